//! # A circuit has no route, or its length is not known
//!
//! What it checks: every circuit that follows from the system has a run, and every part of it a length.
//!
//! Why it matters: without a way there is no size, no raceway, no drop and no line on the purchase list. Circuits that
//! nobody thought of are the ones that are improvised on the day.
//!
//! Known limits: the service conductors to an existing panel are the utility's and are left alone.
//!
//! Source: common practice, no source: every conductor of the schedule has a route.
//!
//! Fails: an inverter that feeds a panel, and no run between the two.
//! Passes: the same with a run of 6 ft.

use crate::words::thing;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, FieldPath, Gap, WhoKnows, practice};
use study::Study;
use wiring::{NodeKind, Problem};

pub(crate) static RULE: Rule = Rule {
    code: "W05",
    name: "route-missing",
    severity: Severity::Breach,
    clause: practice("every circuit has a route"),
    text: include_str!("route_missing.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    let graph = &study.design.graph;
    for sized in &schedule.circuits {
        let Some(circuit) = graph.circuits.get(sized.circuit.0) else { continue };
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        let existing =
            study.design.system.panel(&to.name).is_some_and(|panel| panel.existing.value() == Some(&true));
        if from.kind == NodeKind::Utility && existing {
            continue;
        }
        let no_route = sized.problems.iter().any(|p| matches!(p, Problem::NoRoute | Problem::NoSuchRun));
        if circuit.run.is_none() || no_route {
            // Units of one bank have their links in common; one finding stands for all of them.
            let place = thing(study, &from.name);
            let gap = Gap::one(FieldPath::new(format!("run from {place}")), WhoKnows::Owner);
            let finding = findings.undecided_for(
                &format!("\"{}\" to \"{}\"", from.name, to.name),
                "no run is stated, so nothing of this circuit can be sized",
                gap,
            );
            if finding.at.first().is_some_and(|at| at.field.as_str().starts_with("run from")) {
                finding.at.clear();
                finding.at(place, "from here").at(thing(study, &to.name), "to here");
                finding
                    .explains("Measure the way once, along the wall and not through the air, and add a run.");
            }
        } else if let Fact::Unknown(gap) = &sized.length {
            findings.undecided_for(
                &format!("circuit \"{}\"", sized.name),
                "its length is not known, so its drop and its wire are not either",
                gap.clone(),
            );
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{findings, of, verdict};

    #[test]
    fn a_circuit_without_a_run_is_named_with_both_ends() {
        assert_eq!(verdict("W05", &[]), "passes");
        let found = of("W05", &[("run.out.between", r#"["inverter", "bank"]"#)]);
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("\"inverter\" to \"panel\""));
        let places: Vec<&str> = found[0].at.iter().map(|at| at.field.as_str()).collect();
        assert_eq!(places, ["unit.inverter", "panel.panel"]);
    }

    #[test]
    fn an_unknown_length_is_undecided() {
        assert_eq!(verdict("W05", &[("run.out.route.1.length", "\"unknown\"")]), "undecided breach");
    }

    #[test]
    fn the_units_of_a_bank_share_one_finding_a_run() {
        let found = of("W05", &[("run.links.route.1.length", "\"unknown\"")]);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(!findings(&[]).iter().any(|f| f.blocks()));
    }
}
