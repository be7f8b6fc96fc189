//! # Too much of a battery is counted as usable
//!
//! What it checks: the share of the nameplate energy used from day to day: up to 90 % for iron phosphate, up to 50 %
//! for lead-acid.
//!
//! Why it matters: a bank that is planned to be emptied every night ages in a few years, and the reserve for the bad day
//! is not there when it comes.
//!
//! Known limits: ageing is counted by the year, not here.
//!
//! Source: common practice, no source: 0.8 to 0.9 for iron phosphate, 0.5 for lead-acid.
//!
//! Fails: iron phosphate from 0 to 100 %.
//! Passes: from 10 to 100 %.

use crate::words::{above, field};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, practice, print_in, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B08",
    name: "too-much-counted-usable",
    severity: Severity::Doubt,
    clause: practice("usable share 0.9 at most for iron phosphate, 0.5 for lead-acid"),
    text: include_str!("too_much_counted_usable.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let mut told: Vec<&str> = Vec::new();
    for bank in &study.banks {
        let Some(battery) = system.bank(&bank.name).and_then(|b| system.battery(&b.bank.battery)) else {
            continue;
        };
        if told.contains(&&*battery.name) {
            continue;
        }
        told.push(&battery.name);
        let (Fact::Known(low), Fact::Known(high), Fact::Known(lithium)) =
            (&battery.usable_low, &battery.usable_high, &bank.lithium)
        else {
            continue;
        };
        let (most, words) = if lithium.value { (0.9, "iron phosphate") } else { (0.5, "lead-acid") };
        let share = high.si() - low.si();
        // Written percentages carry the rounding of binary numbers.
        if !above(share, most + 1e-9) {
            continue;
        }
        let percent = |share: f64| print_in(share, &units::PERCENT);
        let path = format!("battery.{}.usable", battery.name);
        let value = format!("[\"{}\", \"{}\"]", percent(high.si() - most), percent(high.si()));
        findings
            .fails(format!(
                "battery \"{}\": {} of its energy counted as usable, {} is usual for {words}",
                battery.name,
                percent(share),
                percent(most)
            ))
            .at_field(field(low), "window set here")
            .explains("The window is your choice, not a value of the data sheet: what stays below it is what the bad day draws on.")
            .remedy(Remedy::set(format!("from {} up", percent(high.si() - most)), path, value));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_per_cent_decides() {
        let window = |window| verdict("B08", &[("battery.b.usable", window)]);
        assert_eq!(window(r#"["11 %", "100 %"]"#), "passes");
        assert_eq!(window(r#"["10 %", "100 %"]"#), "passes");
        assert_eq!(window(r#"["9 %", "100 %"]"#), "doubt");
        // Unknown stands for the usual window, which is listed as an assumption.
        assert_eq!(window("\"unknown\""), "passes");
    }

    #[test]
    fn lead_acid_keeps_half() {
        let lead = ("battery.b.chemistry", "\"lead-acid\"");
        assert_eq!(verdict("B08", &[lead, ("battery.b.usable", r#"["50 %", "100 %"]"#)]), "passes");
        assert_eq!(verdict("B08", &[lead, ("battery.b.usable", r#"["49 %", "100 %"]"#)]), "doubt");
    }
}
