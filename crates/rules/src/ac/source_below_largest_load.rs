//! # The inverters are smaller than the largest single load
//!
//! What it checks: the continuous output of all inverters together against the largest single load: what a listed load
//! draws while it runs, or the nameplate of an `[[appliance]]`, when the inverters feed its panel.
//!
//! Why it matters: a house on its own need not carry everything at once, but it must carry each thing.
//!
//! Known limits: vehicle chargers and heat that only the utility feeds are counted too where `[household]` names a panel
//! that the inverters can feed. Legs are judged by A02, starts by A03.
//!
//! Source: NEC 2023, 710.15(A) (read second hand).
//!
//! Fails: a 4.5 kW water heater on a 3 kW inverter.
//! Passes: on a 5 kW one.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A09",
    name: "source-below-largest-load",
    severity: Severity::Breach,
    clause: nec("2023", "710.15(A)", Standing::SecondHand),
    text: include_str!("source_below_largest_load.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let by_nec = study.design.system.place.rules.value() != Some(&design::system::Rules::Iec60364);
    if study.stack.count == 0 || !by_nec {
        return;
    }
    let (Some((name, load)), Fact::Known(output)) =
        (study::largest_load(&study.design.system), &study.stack.output)
    else {
        // An output that is not known is told with the legs.
        return;
    };
    let enough = wiring::stands_alone(&Fact::Known(output.clone()), &Fact::Known(load.clone()));
    if enough.value() == Some(&false) || exceeds(&load, output) {
        let table =
            if study.design.system.loads.iter().any(|each| each.name == name) { "load" } else { "appliance" };
        findings
            .fails(format!(
                "\"{name}\" draws {}, all inverters together give {}",
                say(study, &load),
                say(study, output)
            ))
            .at(format!("{table}.{name}"), "the largest load")
            .because([load.term("largest load", &units::WATT), output.term("inverters", &units::WATT)])
            .figure(&["inverters", "largest-load"]);
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn each_load_alone_must_be_carried() {
        assert_eq!(verdict("A09", &[]), "passes");
        assert_eq!(verdict("A09", &[("load.water heater.watts", "6000")]), "passes");
        assert_eq!(verdict("A09", &[("load.water heater.watts", "6001")]), "breach");
        let range = (
            "+",
            "[[appliance]]\nname = \"range\"\nkind = \"cooking, drying, water heating or other\"\nrated = \"12 kVA\"",
        );
        assert_eq!(verdict("A09", &[range]), "breach");
    }
}
