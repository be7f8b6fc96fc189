//! # Sockets without a residual-current device
//!
//! What it checks: that every new board states the residual-current device of the circuits that leave it, of 30 mA or
//! less, without a delay and not of type AC.
//!
//! Why it matters: it is what saves a person who touches a live part or a damaged flex. While the house runs on its own it
//! is also what parts a fault to earth, since the inverter trips no breaker.
//!
//! Known limits: IEC 60364 only. A board that is there already is not judged. A device of its own for each circuit is
//! stated as one. Whether a circuit feeds sockets is not asked: every new board is taken to feed some.
//!
//! Source: IEC 60364-4-41:2017, 411.3.3 and 415.1.1; IEC 60364-5-53:2019, 531.3.3 (from memory).
//!
//! Fails: a new board whose circuits stand behind 300 mA.
//! Passes: 30 mA, type A, without a delay.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, FieldPath, Gap, Standing, WhoKnows, iec, units};
use study::Study;
use wiring::ResidualType;

pub(crate) static RULE: Rule = Rule {
    code: "G22",
    name: "sockets-without-residual-device",
    severity: Severity::Danger,
    clause: iec("IEC 60364-4-41", "2017", "411.3.3", Standing::Remembered),
    text: include_str!("sockets_without_residual.rs"),
    check,
};

/// Largest rating that protects a person, A.
const PERSON: f64 = 0.03;

fn check(study: &Study, findings: &mut Findings<'_>) {
    if !study::is_iec(study) || study.wiring.is_err() {
        return;
    }
    for panel in study.design.system.panels.iter().filter(|p| p.existing.value() != Some(&true)) {
        let path = format!("panel.{}.residual", panel.name);
        let thing = format!("panel \"{}\"", panel.name);
        let Some(residual) = &panel.residual else {
            let gap = Gap::one(FieldPath::new(path), WhoKnows::Electrician);
            let says = "what residual-current device guards the circuits that leave it is not stated";
            findings.undecided_for(&thing, says, gap);
            continue;
        };
        match &residual.trips {
            Fact::Known(trips) if crate::words::above(units::AMPERE.of_si(trips.si()), PERSON) => {
                findings
                    .fails(format!(
                        "{thing}: its circuits stand behind {}, 30 mA protect a person",
                        crate::words::say(study, trips)
                    ))
                    .at(format!("{path}.trips"), "stated here")
                    .remedy(Remedy::set(
                        "30 mA for circuits with sockets",
                        format!("{path}.trips"),
                        "\"30 mA\"",
                    ));
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &thing,
                    "when its residual-current device trips is not known",
                    gap.clone(),
                );
            }
        }
        match &residual.delayed {
            Fact::Known(delayed) if delayed.value => {
                findings
                    .fails(format!(
                        "{thing}: its device waits for others further down, which is too long for a person"
                    ))
                    .at(format!("{path}.delayed"), "stated here")
                    .remedy(Remedy::set("a device without a delay", format!("{path}.delayed"), "\"no\""));
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let says = "whether its residual-current device waits for others further down is not known";
                findings.undecided_for(&thing, says, gap.clone());
            }
        }
        match &residual.kind {
            Fact::Known(kind) if kind.value == ResidualType::Ac => {
                findings
                    .fails(format!(
                        "{thing}: a device of type AC does not see the pulsating currents of electronics"
                    ))
                    .at(format!("{path}.type"), "stated here")
                    .remedy(Remedy::set("a device of type A", format!("{path}.type"), "\"A\""));
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &thing,
                    "the type of its residual-current device is not known",
                    gap.clone(),
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{metric_verdict, verdict};

    #[test]
    fn thirty_milliamperes_for_people() {
        let board = "panel.backed-up board.residual";
        assert_eq!(metric_verdict("G22", &[]), "passes");
        assert_eq!(metric_verdict("G22", &[(board, "")]), "undecided danger");
        let of = |fields: &str| metric_verdict("G22", &[(board, &format!("{{ {fields} }}"))]);
        assert_eq!(of("trips = \"30 mA\", type = \"A\", delayed = \"no\""), "passes");
        assert_eq!(of("trips = \"300 mA\", type = \"A\", delayed = \"no\""), "danger");
        assert_eq!(of("trips = \"30 mA\", type = \"AC\", delayed = \"no\""), "danger");
        assert_eq!(of("trips = \"30 mA\", type = \"A\", delayed = \"yes\""), "danger");
        for unknown in [
            "trips = \"30 mA\", delayed = \"no\"",
            "type = \"A\", delayed = \"no\"",
            "trips = \"30 mA\", type = \"A\"",
        ] {
            assert_eq!(of(unknown), "undecided danger", "{unknown}");
        }
        // The rule is not one of the NEC.
        assert_eq!(verdict("G22", &[]), "passes");
    }
}
