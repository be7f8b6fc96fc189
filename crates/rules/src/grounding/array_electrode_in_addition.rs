//! # An electrode at the array, and the equipment ground that it never replaces
//!
//! What it checks: where an electrode stands at the array (`at_array`), that every circuit of modules still has its equipment
//! ground with its size; and says so.
//!
//! Why it matters: earth between two rods has tens of ohms. A fault to the rack behind it draws a few amperes, no device
//! opens, and the rack stays live; the copper back to the inverter is what clears it.
//!
//! Known limits: NEC only. The size of the conductor from the rack to its electrode is that of the schedule of electrodes.
//!
//! Source: NEC 2023, 250.54, 690.47(B), 690.43 (from memory).
//!
//! Fails: an electrode at the array and a circuit of modules whose equipment ground is not known.
//! Passes: a house without one; with one it is worth knowing.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "G05",
    name: "array-electrode-in-addition",
    severity: Severity::Breach,
    clause: nec("2023", "250.54, 690.47(B)", Standing::Remembered),
    text: include_str!("array_electrode_in_addition.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let iec = system.place.rules.value() == Some(&design::system::Rules::Iec60364);
    let Ok(schedule) = &study.wiring else { return };
    let Some(electrode) = system.electrodes.iter().find(|electrode| electrode.at_array).filter(|_| !iec)
    else {
        return;
    };
    let graph = &study.design.graph;
    let is_pv =
        |sized: &&wiring::Sized| graph.circuits.get(sized.circuit.0).is_some_and(|c| c.demand.is_pv());
    let mut grounds: Vec<String> = Vec::new();
    for sized in schedule.circuits.iter().filter(is_pv) {
        match &sized.ground {
            Fact::Known(ground) => grounds.push(format!("{} with \"{}\"", ground.value, sized.name)),
            Fact::Unknown(gap) => {
                let says = "its equipment ground is not known, and the electrode at the array does not take its place";
                findings.undecided_for(&format!("circuit \"{}\"", sized.name), says, gap.clone());
            }
        }
    }
    if !grounds.is_empty() {
        findings
            .fails_as(
                Severity::Note,
                format!(
                    "electrode \"{}\" at the array is one more; the equipment ground back to the inverter runs all the same",
                    electrode.name
                ),
            )
            .at(electrode.field.as_str(), "stands at the array")
            .explains(format!("Equipment ground: {}.", grounds.join(", ")));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, study_of, verdict};

    const ROD: &str = "[[electrode]]\nname = \"rack rod\"\nkind = \"rod\"\nat_array = \"yes\"\nat = \"panel\"\nbuilding = \"shed\"";

    #[test]
    fn the_equipment_ground_stays_with_a_rod_at_the_rack() {
        assert_eq!(verdict("G05", &[]), "passes");
        assert_eq!(verdict("G05", &[("+", ROD)]), "note");
        assert!(of("G05", &[("+", ROD)])[0].more[0].contains("10 AWG with \"row to inverter\""));
        assert_eq!(verdict("G05", &[("+", ROD), ("run.down.route.1.where", "")]), "undecided breach");
        let ground = |changes: &[(&str, &str)]| {
            study_of(changes, study::Depth::WithoutYear)
                .wiring
                .as_ref()
                .ok()
                .and_then(|s| s.circuits[0].ground.value().copied())
        };
        assert_eq!(ground(&[]), ground(&[("+", ROD)]));
        // Nor is it an electrode of the building: one rod is left alone.
        assert_eq!(verdict("G03", &[("+", ROD), ("electrode.second rod", "")]), "breach");
    }
}
