//! # Neutral is tied to ground in a building that only a feeder reaches
//!
//! What it checks: a panel with its tie fitted in a building in which nothing makes or brings in the supply, neither service
//! nor inverter nor generator: a feeder from another building with its own equipment ground serves it. There neutral and
//! ground stay apart, whatever the count of ties on that neutral is.
//!
//! Why it matters: behind the tie the feeder's equipment ground, its raceway and the water pipe between the buildings carry
//! neutral current. When the neutral breaks, all of it.
//!
//! Known limits: NEC only. The exception for old feeders without an equipment ground is not taken: every feeder here has one.
//! A tie that is not known is told by the rule on ties (G01).
//!
//! Source: NEC 2023, 250.32(B)(1), 250.24(A)(5) (from memory).
//!
//! Fails: the bond screw of a barn panel that the house feeds.
//! Passes: the screw left out; a bond at the service of that building.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::NodeKind;

pub(crate) static RULE: Rule = Rule {
    code: "G04",
    name: "bond-in-fed-building",
    severity: Severity::Danger,
    clause: nec("2023", "250.32(B)(1)", Standing::Remembered),
    text: include_str!("bond_in_fed_building.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    if study.wiring.is_err() || system.place.rules.value() == Some(&design::system::Rules::Iec60364) {
        return;
    }
    let graph = &study.design.graph;
    let feeders = study::feeders_between_buildings(study);
    for panel in &system.panels {
        let tied = panel.bond.value() == Some(&true)
            || system.bonds.iter().any(|bond| bond.at == panel.name && bond.fitted.value() == Some(&true));
        if !tied || panel.building.is_empty() {
            continue;
        }
        let reached = feeders
            .iter()
            .filter_map(|id| graph.circuits.get(id.0))
            .any(|circuit| graph.node(circuit.to).is_some_and(|to| to.building == panel.building));
        let own = graph.nodes.iter().enumerate().any(|(k, node)| {
            let by_utility = graph.circuits.iter().any(|c| {
                c.to == wiring::NodeId(k)
                    && graph.node(c.from).is_some_and(|from| from.kind == NodeKind::Utility)
            });
            let makes = matches!(node.kind, NodeKind::Inverter | NodeKind::Generator);
            node.building == panel.building && (makes || by_utility)
        });
        if reached && !own {
            let stated = system.bonds.iter().find(|bond| bond.at == panel.name && !panel.bond.is_known());
            let field = stated.map_or_else(
                || format!("panel.{}.bond", panel.name),
                |bond| format!("bond.{}.fitted", bond.name),
            );
            findings
                .fails(format!(
                    "panel \"{}\" ties neutral to ground in building \"{}\", which only a feeder reaches",
                    panel.name, panel.building
                ))
                .at(field.clone(), "tied here")
                .explains("Neutral and equipment ground arrive on conductors of their own and stay on bars of their own; the electrode of the building goes to the ground bar.")
                .remedy(Remedy::set(format!("the bond of \"{}\" left out", panel.name), field, "\"no\""));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::means::building_without_disconnect::tests::BARN;
    use crate::trial::{of, verdict};

    #[test]
    fn a_fed_building_ties_nothing() {
        assert_eq!(verdict("G04", &[("+", BARN)]), "passes");
        let tied = ("panel.barn panel.bond", "\"yes\"");
        assert_eq!(verdict("G04", &[("+", BARN), tied]), "danger");
        // The tie of the first building taken out, one is left in all, and still at the wrong place.
        let moved = [("+", BARN), tied, ("panel.panel.bond", "\"no\"")];
        assert_eq!(verdict("G01", &moved), "passes");
        assert_eq!(verdict("G04", &moved), "danger");
        assert_eq!(of("G04", &moved)[0].at[0].field.as_str(), "panel.barn panel.bond");
        // In the building of the inverter the tie is at the source.
        assert_eq!(verdict("G04", &[("panel.panel.bond", "\"yes\"")]), "passes");
        let named = "[[bond]]\nname = \"strap\"\nat = \"barn panel\"";
        assert_eq!(verdict("G04", &[("+", BARN), ("panel.barn panel.bond", ""), ("+", named)]), "danger");
    }

    #[test]
    fn its_electrode_is_asked_for() {
        assert_eq!(verdict("G03", &[("+", BARN)]), "undecided breach");
        let at_array = "[[electrode]]\nname = \"rack rod\"\nkind = \"rod\"\nat_array = \"yes\"\nbuilding = \"barn\"\nat = \"barn panel\"\nresistance = \"12 ohm\"";
        assert_eq!(verdict("G03", &[("+", BARN), ("+", at_array)]), "undecided breach");
        let own = at_array.replace("at_array = \"yes\"\n", "");
        assert_eq!(verdict("G03", &[("+", BARN), ("+", &own)]), "passes");
    }
}
