//! # Two sources can meet
//!
//! What it checks: between any two sources of alternating current stands a transfer device, unless they are stacked as
//! one or listed to run in parallel with the utility.
//!
//! Why it matters: two sources that are joined out of step destroy each other within a cycle, and a house that feeds a
//! dead line kills the person who repairs it.
//!
//! Known limits: from the circuits of the design; a cord that is plugged in by hand is not in it.
//!
//! Source: NEC 2023, 702.5, 710.15 (from memory).
//!
//! Fails: a panel fed by an inverter and by the utility at once.
//! Passes: the same panel behind a transfer switch.

use crate::words::{named, thing};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Gap, Standing, nec};
use study::Study;
use wiring::{GraphProblem, NodeId, NodeKind};

pub(crate) static RULE: Rule = Rule {
    code: "A01",
    name: "sources-can-meet",
    severity: Severity::Danger,
    clause: nec("2023", "702.5", Standing::Remembered),
    text: include_str!("sources_can_meet.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for problem in study.design.graph.problems() {
        match problem {
            GraphProblem::SourcesMeet(a, b) => meet(study, findings, a, b, None),
            GraphProblem::SourcesMayMeet(a, b, gap) => meet(study, findings, a, b, Some(gap)),
            _ => {}
        }
    }
}

fn meet(study: &Study, findings: &mut Findings<'_>, a: NodeId, b: NodeId, gap: Option<Gap>) {
    let graph = &study.design.graph;
    let (Some(a), Some(b)) = (graph.node(a), graph.node(b)) else { return };
    let names = named(&[&a.name, &b.name]);
    let panel = study
        .design
        .system
        .panels
        .iter()
        .find(|panel| panel.fed_by.contains(&a.name) && panel.fed_by.contains(&b.name));
    let finding = match gap {
        Some(gap) => {
            let finding = findings.undecided(
                format!("{names} are joined without a transfer device; whether they may run in parallel is not known"),
                gap,
            );
            finding.explains("Until it is known they count as sources that meet.");
            finding
        }
        None => findings.fails(format!("{names} are joined without a transfer device between them")),
    };
    if let Some(panel) = panel {
        let path = format!("panel.{}.fed_by", panel.name);
        finding.at.insert(
            0,
            crate::Place { field: quantity::FieldPath::new(path.clone()), says: "joined here".into() },
        );
        // The way out that needs nothing new: one of the two feeds the panel no longer.
        let away = if a.kind == NodeKind::Inverter { &b.name } else { &a.name };
        let left: Vec<String> =
            panel.fed_by.iter().filter(|name| *name != away).map(|name| format!("\"{name}\"")).collect();
        finding.remedy(Remedy::set(
            format!("\"{away}\" no longer feeds \"{}\"", panel.name),
            path,
            format!("[{}]", left.join(", ")),
        ));
    } else {
        finding.at(thing(study, &a.name), "this source").at(thing(study, &b.name), "and this one");
    }
    finding.explains("A transfer device connects the house to one of them and never to both; its interlock is mechanical, not a habit.");
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const UTILITY: (&str, &str) = (
        "+",
        "[utility]\nrole = \"backup by transfer\"\nservice = \"100 A\"\n[[run]]\nname = \"service\"\nbetween = [\"utility\", \"panel\"]\nterminals = \"75 °C\"\nroute = [{ length = \"5 ft\", where = \"indoors\", raceway = \"emt\" }]",
    );
    const JOINED: (&str, &str) = ("panel.panel.fed_by", r#"["inverter", "utility"]"#);

    #[test]
    fn one_source_meets_nothing() {
        assert_eq!(verdict("A01", &[]), "passes");
    }

    #[test]
    fn utility_and_inverter_on_one_panel_meet() {
        assert_eq!(verdict("A01", &[UTILITY, JOINED]), "danger");
        let found = of("A01", &[UTILITY, JOINED]);
        assert_eq!(found[0].remedies[0].says, "\"utility\" no longer feeds \"panel\"");
    }

    #[test]
    fn a_listing_for_parallel_operation_parts_them() {
        assert_eq!(verdict("A01", &[UTILITY, JOINED, ("inverter.i.interactive", "\"yes\"")]), "passes");
        assert_eq!(
            verdict("A01", &[UTILITY, JOINED, ("inverter.i.interactive", "\"unknown\"")]),
            "undecided danger"
        );
    }

    #[test]
    fn a_transfer_device_parts_them() {
        let switch = (
            "+",
            "[[transfer]]\nname = \"switch\"\nfrom = [\"inverter\", \"utility\"]\nkind = \"manual\"\nrating = \"60 A\"\nswitches_neutral = \"no\"\nprice = 200",
        );
        assert_eq!(verdict("A01", &[UTILITY, switch, ("panel.panel.fed_by", r#"["switch"]"#)]), "passes");
    }
}
