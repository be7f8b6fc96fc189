//! # Module conductors inside a building without metal around them
//!
//! What it checks: every part of a route that carries strings inside a building: it must be a metal raceway or
//! metal-clad cable up to the first disconnect.
//!
//! Why it matters: by day nothing switches these conductors off. Metal around them keeps a nail, a mouse or a fire from
//! meeting some hundred volts of direct current.
//!
//! Known limits: a disconnect directly where the conductors enter would end the rule there; it is not seen yet.
//!
//! Source: NEC 2023, 690.31(D) (from memory).
//!
//! Fails: the last ten feet to the inverter indoors in PVC.
//! Passes: the same in EMT.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D11",
    name: "array-conductors-not-in-metal",
    severity: Severity::Breach,
    clause: nec("2023", "690.31(D)", Standing::Remembered),
    text: include_str!("array_conductors_not_in_metal.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for row in &schedule.raceways {
        let Some(run) = study.design.system.runs.get(row.run.0) else { continue };
        let carries_pv = study.design.graph.sharing(row.run).any(|(_, circuit)| circuit.demand.is_pv());
        let part = format!("run \"{}\", part {}", run.name, row.segment + 1);
        let path = format!("{}.route.{}", run.field, row.segment + 1);
        match (&row.must_be_metal, &row.raceway) {
            (Fact::Known(must), Fact::Known(raceway)) if must.value && !raceway.value.is_metal() => {
                findings
                    .fails(format!("{part}: module conductors inside a building, not in metal"))
                    .at(format!("{path}.raceway"), "raceway set here")
                    .explains("Up to the first disconnect they run in a metal raceway or metal-clad cable inside a building.")
                    .remedy(Remedy::set("EMT for this part", format!("{path}.raceway"), "\"emt\""));
            }
            (Fact::Known(must), Fact::Unknown(gap)) if must.value => {
                findings.undecided_for(
                    &part,
                    "module conductors inside a building, in what is not known",
                    gap.clone(),
                );
            }
            (Fact::Unknown(gap), _) if carries_pv => {
                findings.undecided_for(
                    &part,
                    "whether these module conductors run inside a building is not known",
                    gap.clone(),
                );
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn indoors_needs_metal_and_outdoors_does_not() {
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"emt\"")]), "passes");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"rmc\"")]), "passes");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"mc cable\"")]), "passes");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"pvc-40\"")]), "breach");
        let damp = ("run.down.route.2.where", "\"damp indoors\"");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"pvc-40\""), damp]), "breach");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"open\"")]), "breach");
        let outside = ("run.down.route.2.where", "\"outdoors\"");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"pvc-40\""), outside]), "passes");
        assert_eq!(verdict("D11", &[("run.down.route.2.raceway", "\"unknown\"")]), "undecided breach");
        assert_eq!(verdict("D11", &[("run.down.route.2.where", "\"unknown\"")]), "undecided breach");
    }

    #[test]
    fn other_circuits_may_run_in_plastic_indoors() {
        assert_eq!(verdict("D11", &[("run.out.route.1.raceway", "\"pvc-40\"")]), "passes");
    }
}
