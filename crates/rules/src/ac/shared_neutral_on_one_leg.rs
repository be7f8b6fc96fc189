//! # Circuits that share a neutral hang on one source of 120 V
//!
//! What it checks: a panel that one leg of 120 V alone feeds passes on no circuit of two legs and a neutral, no circuit
//! of 240 V, and feeds no circuits whose two hot wires share one neutral.
//!
//! Why it matters: on two legs half a cycle apart the shared neutral carries the difference of the currents. On one
//! source it carries their sum, up to twice what the wire bears, and no breaker watches a neutral: it burns in the wall.
//!
//! Known limits: whether circuits of a panel share a neutral is what its owner says; two breakers with a common handle
//! and one white wire are the sign to look for.
//!
//! Source: NEC 2023, 710.15(C) (read second-hand); 210.4 (from memory).
//!
//! Fails: an inverter of 120 V on the panel of a house whose kitchen circuits share a neutral.
//! Passes: the same panel where every circuit has a neutral of its own.

use crate::words::thing;
use crate::{Findings, Rule, Severity};
use conversion::OutputVolts;
use quantity::{Fact, Standing, nec};
use study::Study;
use wiring::LegProblem;

pub(crate) static RULE: Rule = Rule {
    code: "A11",
    name: "shared-neutral-on-one-leg",
    severity: Severity::Danger,
    clause: nec("2023", "710.15(C); 210.4", Standing::SecondHand),
    text: include_str!("shared_neutral_on_one_leg.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let graph = &study.design.graph;
    for problem in wiring::leg_problems(graph) {
        let (panel, circuit, says) = match problem {
            LegProblem::MultiwireOnOneLeg { panel, circuit } => {
                (panel, circuit, "two legs and a neutral; its neutral carries the sum of both")
            }
            LegProblem::TwoLegVoltageOnOneLeg { panel, circuit } => {
                (panel, circuit, "the voltage between two legs, of which there is only one")
            }
            _ => continue,
        };
        let (Some(node), Some(circuit)) = (graph.node(panel), graph.circuits.get(circuit.0)) else {
            continue;
        };
        findings
            .fails(format!(
                "\"{}\" is fed by one leg of 120 V and passes on \"{}\" with {says}",
                node.name, circuit.name
            ))
            .at(thing(study, &node.name), "fed by one leg");
    }
    for panel in &study.design.system.panels {
        if panel.volts.value() != Some(&OutputVolts::Single120) {
            continue;
        }
        let field = format!("panel.{}.multiwire", panel.name);
        match &panel.multiwire {
            Fact::Known(shared) if shared.value => {
                findings
                    .fails(format!(
                        "circuits of panel \"{}\" share a neutral, and one source of 120 V feeds both of their hot wires",
                        panel.name
                    ))
                    .at(field, "said here")
                    .explains("Give each circuit a neutral of its own, or both hot wires one breaker of one pole that protects the neutral.");
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let finding = findings.undecided_for(
                    &format!("panel \"{}\"", panel.name),
                    "whether circuits of it share a neutral is not known",
                    gap.clone(),
                );
                if finding.more.is_empty() {
                    finding.explains("Two breakers with a common handle and one white wire between them are the sign. On 120 V alone that white wire carries the sum.");
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_shared_neutral_on_120_volts_is_a_danger() {
        let volts = [("inverter.i.volts", "\"120\""), ("panel.panel.volts", "\"120\"")];
        let says =
            |shared: &'static str| verdict("A11", &[volts[0], volts[1], ("panel.panel.multiwire", shared)]);
        assert_eq!(verdict("A11", &[]), "passes");
        assert_eq!(says("\"yes\""), "danger");
        assert_eq!(says("\"no\""), "passes");
        assert_eq!(says("\"unknown\""), "undecided danger");
        // On two legs the neutral carries the difference.
        assert_eq!(verdict("A11", &[("panel.panel.multiwire", "\"yes\"")]), "passes");
    }

    #[test]
    fn a_house_panel_behind_one_leg_is_found_by_the_circuits() {
        let beyond = (
            "+",
            "[[panel]]\nname = \"beyond\"\nfed_by = [\"panel\"]\nvolts = \"120/240\"\nbus = \"60 A\"\nbond = \"no\"",
        );
        let volts = [("inverter.i.volts", "\"120\""), ("panel.panel.volts", "\"120\"")];
        let own = ("panel.panel.multiwire", "\"no\"");
        assert_eq!(verdict("A11", &[volts[0], volts[1], own, beyond]), "danger");
    }
}
