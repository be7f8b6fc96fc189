//! # A signal cable is longer than its maker allows
//!
//! What it checks: the length of every signal cable against the greatest that its maker allows, and that its ends are known.
//!
//! Why it matters: a data line that is too long, or that lacks the resistor at its end, works on the bench and loses bits in
//! the house. The inverter then charges by guess, or not at all.
//!
//! Known limits: the maker's length counts from end to end of the whole line; where units are chained, state the whole.
//!
//! Source: NEC 2023, 110.3(B): equipment is installed as its instructions say (from memory).
//!
//! Fails: 40 ft of cable where 33 ft is the most.
//! Passes: 20 ft of it.

use crate::words::say;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W24",
    name: "signal-cable-too-long",
    severity: Severity::Doubt,
    clause: nec("2023", "110.3(B)", Standing::Remembered),
    text: include_str!("signal_cable_too_long.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for cable in &study.design.system.cables {
        let subject = format!("signal cable \"{}\"", cable.name);
        match (&cable.length, &cable.longest) {
            (Fact::Known(length), Fact::Known(longest)) => {
                if quantity::Measure::si(length.value)
                    > quantity::Measure::si(longest.value) * (1.0 + quantity::SAME)
                {
                    findings
                        .fails(format!(
                            "{subject}: {} long, its maker allows {}",
                            say(study, length),
                            say(study, longest)
                        ))
                        .at(format!("{}.length", cable.field), "length set here")
                        .because([
                            length.term("length", &units::METER),
                            longest.term("longest", &units::METER),
                        ]);
                }
            }
            (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                findings.undecided_for(
                    &subject,
                    "whether it is short enough for its maker is not known",
                    gap.clone(),
                );
            }
        }
        if let Fact::Unknown(gap) = &cable.ends {
            findings.undecided_for(&subject, "how its ends are made is not known", gap.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn cable(length: &str, longest: &str, ends: &str) -> String {
        let text = format!(
            "[[cable]]\nname = \"data\"\nbetween = [\"bank\", \"inverter\"]\nlength = \"{length}\"\nlongest = \"{longest}\"\nends = \"{ends}\""
        );
        verdict("W24", &[("+", &text)])
    }

    #[test]
    fn the_maker_says_how_long() {
        assert_eq!(verdict("W24", &[]), "passes");
        assert_eq!(cable("33 ft", "33 ft", "plugs"), "passes");
        assert_eq!(cable("33.1 ft", "33 ft", "plugs"), "doubt");
        assert_eq!(cable("20 ft", "unknown", "plugs"), "undecided doubt");
        assert_eq!(cable("unknown", "33 ft", "plugs"), "undecided doubt");
        assert_eq!(cable("20 ft", "33 ft", "unknown"), "undecided doubt");
    }
}
