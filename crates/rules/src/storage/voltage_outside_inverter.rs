//! # A bank and an inverter do not fit in voltage
//!
//! What it checks: the highest charging voltage of a bank against the highest battery voltage of every inverter on it,
//! and its nominal voltage against the lowest.
//!
//! Why it matters: above its range an inverter is destroyed or shuts off at the end of every charge; below it never
//! starts.
//!
//! Known limits: charge controllers state no battery range in the format yet.
//!
//! Source: data sheets.
//!
//! Fails: a bank charged to 61 V on an inverter that ends at 60 V.
//! Passes: one charged to 56.8 V.

use crate::words::{above, exceeds, gap_of, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, product_of_count, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B05",
    name: "voltage-outside-inverter",
    severity: Severity::Danger,
    clause: practice("a bank stays inside the battery range of its inverters"),
    text: include_str!("voltage_outside_inverter.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for bank in &study.banks {
        let Some(stated) = system.bank(&bank.name) else { continue };
        let Some(battery) = system.battery(&stated.bank.battery) else { continue };
        let charged = stated.bank.series.and_then(|n| {
            battery.charge_voltage.and_then(|each| Fact::Known(product_of_count(n, each, &units::VOLT)))
        });
        for unit in system.units_on(&bank.bus) {
            let Some(inverter) = system.inverter_of(unit) else { continue };
            let pair = format!("bank \"{}\" and \"{}\"", bank.name, unit.name);
            let place = format!("unit.{}.bank", unit.name);
            if let (Fact::Known(charged), Fact::Known(high)) = (&charged, &inverter.battery_high)
                && exceeds(charged, high)
            {
                findings
                    .fails(format!(
                        "{pair}: charged to {}, the inverter bears {}",
                        say(study, charged),
                        say(study, high)
                    ))
                    .at(place.clone(), "joined here")
                    .because([charged.term("charged to", &units::VOLT), high.term("borne", &units::VOLT)]);
            }
            if let (Fact::Known(nominal), Fact::Known(low)) = (&bank.nominal, &inverter.battery_low)
                && above(low.si(), nominal.si())
            {
                findings
                    .fails_as(
                        Severity::Doubt,
                        format!(
                            "{pair}: {} nominal, the inverter works from {}",
                            say(study, nominal),
                            say(study, low)
                        ),
                    )
                    .at(place, "joined here");
            }
            if let Some(gap) = gap_of(&charged, &inverter.battery_high) {
                findings.undecided_for(&pair, "whether their voltages fit is not known", gap);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_tenth_of_a_volt_decides() {
        let range = |range| verdict("B05", &[("inverter.i.battery_range", range)]);
        assert_eq!(range(r#"["44 V", "56.7 V"]"#), "danger");
        assert_eq!(range(r#"["44 V", "56.8 V"]"#), "passes");
        assert_eq!(range(r#"["51.2 V", "60 V"]"#), "passes");
        assert_eq!(range(r#"["51.3 V", "60 V"]"#), "doubt");
        assert_eq!(range("\"unknown\""), "undecided danger");
    }
}
