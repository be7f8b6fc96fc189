//! # A signal cable lies with power conductors
//!
//! What it checks: every signal cable: it keeps 2 in from power conductors, or lies behind a barrier or in a raceway of its
//! own.
//!
//! Why it matters: a fault puts the voltage of the power conductors on a cable that ends in your hand or your network. And
//! a battery that loses its data to noise stops charging, mostly in the week in which it is needed.
//!
//! Known limits: cable of the classes 2 and 3 and of communications; one listed for the voltage of the power conductors may
//! lie with them and cannot be stated.
//!
//! Source: NEC 2023, 725.136(A), 800.133 (from memory).
//!
//! Fails: battery data through the conduit of the battery cable.
//! Passes: the same 2 in away.

use crate::{Findings, Remedy, Rule, Severity};
use design::system::Separation;
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W23",
    name: "signal-cable-with-power",
    severity: Severity::Breach,
    clause: nec("2023", "725.136(A), 800.133", Standing::Remembered),
    text: include_str!("signal_cable_with_power.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for cable in &study.design.system.cables {
        let path = format!("{}.lies", cable.field);
        match &cable.separation {
            Fact::Known(lies) if lies.value == Separation::None => {
                findings
                    .fails(format!("signal cable \"{}\": it lies with power conductors", cable.name))
                    .at(path.clone(), "how it lies, set here")
                    .remedy(Remedy::set("a raceway of its own", path.clone(), "\"in a raceway of its own\""))
                    .remedy(Remedy::set(
                        "2 in from power conductors",
                        path,
                        "\"2 in from power conductors\"",
                    ));
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let subject = format!("signal cable \"{}\"", cable.name);
                findings.undecided_for(
                    &subject,
                    "how it is kept from power conductors is not known",
                    gap.clone(),
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn lies(how: &str) -> String {
        let cable =
            format!("[[cable]]\nname = \"data\"\nbetween = [\"bank\", \"inverter\"]\nlies = \"{how}\"");
        verdict("W23", &[("+", &cable)])
    }

    #[test]
    fn only_apart_in_one_of_three_ways_passes() {
        assert_eq!(verdict("W23", &[]), "passes");
        assert_eq!(lies("with power conductors"), "breach");
        assert_eq!(lies("2 in from power conductors"), "passes");
        assert_eq!(lies("in a raceway of its own"), "passes");
        assert_eq!(lies("behind a barrier"), "passes");
        assert_eq!(lies("unknown"), "undecided breach");
    }
}
