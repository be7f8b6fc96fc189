//! # A run passes through a hazardous place
//!
//! What it checks: every part of a route: none lies where gas, vapour or dust can burn.
//!
//! Why it matters: a spark in a loosened joint is harmless in a hall and an explosion beside a fuel pump. Such places ask
//! for their own raceways, seals and equipment, which nothing here chooses.
//!
//! Known limits: what makes a place hazardous is yours to say: fuel being filled, solvents sprayed, grain or wood dust in
//! the air, a closed room of flooded batteries without ventilation (480.10 asks for it).
//!
//! Source: NEC 2023, 500.5, 501.10, 501.15 (from memory).
//!
//! Fails: EMT through the fuel store.
//! Passes: the same run around it.

use crate::{Findings, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::Where;

pub(crate) static RULE: Rule = Rule {
    code: "W20",
    name: "hazardous-place",
    severity: Severity::Danger,
    clause: nec("2023", "500.5, 501.10, 501.15", Standing::Remembered),
    text: include_str!("hazardous_place.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for run in &study.design.system.runs {
        for (k, segment) in run.segments.iter().enumerate() {
            if segment.place.value() != Some(&Where::Hazardous) {
                continue;
            }
            findings
                .fails(format!("run \"{}\", part {}: it lies where gas, vapour or dust can burn", run.name, k + 1))
                .at(format!("{}.where", segment.field), "place set here")
                .explains("Lead it around that place. If it must pass, a licensed electrician chooses its raceway, seals and equipment by articles 500 to 516; sizes here do not cover them.");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn only_a_place_that_is_named_hazardous_is_told() {
        for (place, wanted) in [
            ("hazardous", "danger"),
            ("damp indoors", "passes"),
            ("indoors", "passes"),
            ("unknown", "passes"),
        ] {
            assert_eq!(
                verdict("W20", &[("run.out.route.1.where", &format!("\"{place}\""))]),
                wanted,
                "{place}"
            );
        }
        // Where it is not known the circuit has no size, and that is told.
        assert_eq!(verdict("W06", &[("run.out.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
