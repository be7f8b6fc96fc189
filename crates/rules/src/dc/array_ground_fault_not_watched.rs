//! # Nothing watches the modules for current to ground
//!
//! What it checks: that the inverter or charge controller into which modules go watches them for current to ground, parts
//! them and says so, where they give more than 30 V or 8 A (`ground_fault_protection` of the part).
//!
//! Why it matters: a conductor rubbed through on a metal edge sends its current into the frame. No fuse opens, for modules
//! give hardly more into a fault than in work, and what glows there has the whole day for it.
//!
//! Known limits: The exception for at most two solidly grounded circuits off buildings is not taken. How often a unit tests
//! and what current it lets pass is for its listing.
//!
//! Source: NEC 2023, 690.41(B) (read second-hand; the limits from memory); IEC 62548:2016, 6.4 (from memory).
//!
//! Fails: a string in an inverter whose data sheet names no ground-fault protection.
//! Passes: the same with `ground_fault_protection = "yes"`.

use crate::{Findings, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D13",
    name: "array-ground-fault-not-watched",
    severity: Severity::Danger,
    clause: nec("2023", "690.41(B)", Standing::SecondHand),
    text: include_str!("array_ground_fault_not_watched.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for watch in study::array_watches(study).iter().filter(|watch| watch.ground_faults_asked) {
        let field = format!("{}.ground_fault_protection", watch.part);
        match &watch.ground_faults {
            quantity::Fact::Known(name) if !name.value.is_empty() => {}
            quantity::Fact::Known(_) => {
                findings
                    .fails(format!("nothing at \"{}\" watches its modules for current to ground", watch.unit))
                    .at(field, "none by its data sheet")
                    .explains(format!(
                        "It carries {}. A fault to the frame opens no fuse; only a device made for it finds it.",
                        crate::words::named(&watch.strings)
                    ));
            }
            quantity::Fact::Unknown(gap) => {
                let says = "whether it watches its modules for current to ground is not known";
                findings.undecided_for(&format!("\"{}\"", watch.unit), says, gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const FIELD: &str = "inverter.i.ground_fault_protection";

    #[test]
    fn a_part_that_does_not_watch_is_found_and_one_nobody_looked_up_is_asked_for() {
        assert_eq!(verdict("D13", &[]), "passes");
        assert_eq!(verdict("D13", &[(FIELD, "\"no\"")]), "danger");
        assert_eq!(verdict("D13", &[(FIELD, "")]), "undecided danger");
        let found = of("D13", &[(FIELD, "\"no\"")]);
        assert_eq!(found[0].at[0].field.as_str(), FIELD);
        // Metric rules ask for it as well.
        let iec = ("place.rules", "\"iec-60364\"");
        assert_eq!(verdict("D13", &[(FIELD, "\"no\""), iec]), "danger");
        assert_eq!(of("D13", &[(FIELD, "\"no\""), iec])[0].clause.document, "IEC 62548");
    }

    /// One module of 25 V and 6 A is below both limits, at 31 V or 9 A it is not.
    #[test]
    fn up_to_30_volts_and_8_amperes_nobody_asks() {
        let small = |voc, isc| {
            verdict(
                "D13",
                &[
                    (FIELD, "\"no\""),
                    ("string.row.count", "1"),
                    ("module.m.voc", voc),
                    ("module.m.vmp", "\"20 V\""),
                    ("module.m.isc", isc),
                    ("module.m.imp", "\"5 A\""),
                    ("module.m.power", "\"100 W\""),
                    ("module.m.cells", "{ in_series = 36, in_parallel = 1, bypass_diodes = 2 }"),
                ],
            )
        };
        assert_eq!(small("\"25 V\"", "\"6 A\""), "passes");
        // 28 V · (1 + 0.0027 · 53) = 32 V on the coldest morning.
        assert_eq!(small("\"28 V\"", "\"6 A\""), "danger");
        assert_eq!(small("\"25 V\"", "\"9 A\""), "danger");
    }
}
