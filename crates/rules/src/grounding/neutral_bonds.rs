//! # Neutral is tied to ground in more than one place, or in none
//!
//! What it checks: in every state of the house, that is with each source of alternating current feeding in turn and every
//! transfer device in each of its positions, the ties between neutral and ground on the one neutral that is energised:
//! bonded panels, bonded generators, inverters with a fixed bond, and relays that close while their inverter makes its own
//! supply. By the NEC there must be exactly one; by IEC 60364 as many as the earthing arrangement wants.
//!
//! Why it matters: with two, neutral current flows in the bare wires and enclosures people touch. With none, a fault to
//! an enclosure trips nothing and the enclosure stays live.
//!
//! Known limits: neutrals are followed through every alternating circuit, through transfer devices that do not switch
//! them, and through inverters unless they part the neutral of their input. A removable bond of a source counts as unknown
//! until a `[[bond]]` says whether it is fitted. A moment without a tie, while a relay closes, is not counted.
//!
//! Source: NEC 2023, 250.24(A)(5), 250.30 (from memory); IEC 60364-1, 312.2 (from memory).
//!
//! Fails: an inverter with a fixed bond feeding a panel with its bond screw in: two.
//! Passes: the screw left out.

use crate::words::{named, thing};
use crate::{Finding, Findings, Remedy, Rule, Severity};
use quantity::{Gap, Standing, nec};
use std::sync::Arc;
use study::Study;
use wiring::{Arrangement, BondState, BondVerdict, Moment, NodeId, NodeKind};

pub(crate) static RULE: Rule = Rule {
    code: "G01",
    name: "neutral-bonds",
    severity: Severity::Danger,
    clause: nec("2023", "250.24(A)(5), 250.30", Standing::Remembered),
    text: include_str!("neutral_bonds.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() {
        return;
    }
    let Some(arrangement) = study::arrangement(study) else {
        if let Some(gap) = study.design.system.utility.earthing.gap() {
            let says = "how often neutral must be tied to ground follows from the earthing arrangement, which is not known";
            findings.undecided(says, gap.clone());
        }
        return;
    };
    let states = study::bond_states(study);
    let wrong = |state: &&BondState| match state.verdict {
        BondVerdict::TooMany => true,
        BondVerdict::TooFew => state.moment == Moment::Steady,
        BondVerdict::Right | BondVerdict::Unknown => false,
    };
    if let Some(worst) = states.iter().filter(wrong).max_by_key(|state| state.bonds.len()) {
        let mut said: Vec<String> = Vec::new();
        for state in states.iter().filter(|state| state.moment == Moment::Steady) {
            let words = format!("{} while \"{}\" feeds", state.bonds.len(), source(study, state));
            if !said.contains(&words) {
                said.push(words);
            }
        }
        let feeds = source(study, worst);
        let finding = findings.fails(match worst.bonds.len() {
            0 => format!("neutral is tied to ground nowhere while \"{feeds}\" feeds"),
            1 => format!("neutral is tied to ground in one place while \"{feeds}\" feeds, where none may be"),
            n => format!("neutral is tied to ground in {n} places while \"{feeds}\" feeds"),
        });
        places(study, finding, worst);
        finding.explains(format!(
            "Ties on the energised neutral: {}. {}",
            said.join(", "),
            match arrangement {
                Arrangement::Nec | Arrangement::TnCS => "Exactly one is right in every state.",
                Arrangement::TnS | Arrangement::Tt =>
                    "None is right while the utility feeds, exactly one while the house feeds itself.",
                Arrangement::It => "None is right in any state.",
            }
        ));
        if worst.bonds.is_empty() && arrangement != Arrangement::Nec {
            finding.explains(
                "Without the tie the house is an IT system while it feeds itself: a first fault to earth trips nothing, no residual-current device either, and the second is the one that kills. Close the tie in that state, or build and state the supply as IT, with insulation monitoring (IEC 60364-4-41, 411.6.3, from memory).",
            );
        }
        remedies(study, finding, worst);
        return;
    }
    for state in states.iter().filter(|state| state.verdict == BondVerdict::Unknown) {
        let gap = state.gap.clone().unwrap_or(Gap { missing: Vec::new() });
        findings.undecided_for(
            &format!("while \"{}\" feeds", source(study, state)),
            "how often neutral is tied to ground is not known; it counts as a danger until it is",
            gap,
        );
    }
}

fn source(study: &Study, state: &BondState) -> Arc<str> {
    study.design.graph.node(state.source).map_or_else(|| "".into(), |node| node.name.clone())
}

/// The field that says whether the tie in a panel is fitted, and what it would be with the tie taken out.
fn tie_of(study: &Study, name: &str) -> String {
    let system = &study.design.system;
    let said = system.panel(name).is_some_and(|panel| panel.bond.is_known());
    match system.bonds.iter().find(|bond| &*bond.at == name) {
        Some(bond) if !said => format!("bond.{}.fitted", bond.name),
        _ => format!("panel.{name}.bond"),
    }
}

fn places(study: &Study, finding: &mut Finding, state: &BondState) {
    let graph = &study.design.graph;
    // A panel's screw is what a person can turn, so it comes first.
    let mut nodes: Vec<_> = state.bonds.iter().filter_map(|id| graph.node(*id)).collect();
    nodes.sort_by_key(|node| node.kind != NodeKind::Panel);
    for node in nodes {
        let path = thing(study, &node.name);
        let path = if node.kind == NodeKind::Panel { tie_of(study, &node.name) } else { path };
        finding.at(path, "tied here");
    }
    if finding.at.is_empty() {
        finding.at(thing(study, &source(study, state)), "this source");
    }
}

fn remedies(study: &Study, finding: &mut Finding, state: &BondState) {
    let graph = &study.design.graph;
    let panels = |id: &&NodeId| graph.node(**id).is_some_and(|node| node.kind == NodeKind::Panel);
    if state.bonds.is_empty() {
        for panel in &study.design.system.panels {
            let says = format!("the bond of \"{}\" fitted", panel.name);
            finding.remedy(Remedy::set(says, tie_of(study, &panel.name), "\"yes\""));
        }
    }
    for name in state.bonds.iter().filter(panels).filter_map(|id| graph.node(*id)).map(|n| n.name.clone()) {
        let says = format!("the bond of {} left out", named(&[&name]));
        finding.remedy(Remedy::set(says, tie_of(study, &name), "\"no\""));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const FIXED: (&str, &str) = ("inverter.i.neutral_bond", "\"fixed\"");
    const NO_SCREW: (&str, &str) = ("panel.panel.bond", "\"no\"");

    #[test]
    fn exactly_one_is_right() {
        assert_eq!(verdict("G01", &[]), "passes");
        assert_eq!(verdict("G01", &[FIXED]), "danger");
        assert_eq!(verdict("G01", &[FIXED, NO_SCREW]), "passes");
        assert_eq!(verdict("G01", &[NO_SCREW]), "danger");
        assert!(of("G01", &[NO_SCREW])[0].says.contains("nowhere"));
    }

    #[test]
    fn an_unknown_bond_is_a_danger_until_it_is_known() {
        assert_eq!(verdict("G01", &[("panel.panel.bond", "\"unknown\"")]), "undecided danger");
        assert_eq!(verdict("G01", &[("inverter.i.neutral_bond", "\"removable\"")]), "undecided danger");
        assert_eq!(verdict("G01", &[FIXED, ("panel.panel.bond", "\"unknown\"")]), "undecided danger");
    }

    /// The house of acceptance story S6: service bond, relay of the inverter, bonded generator, screw in the panel; the
    /// neutral is never switched. Two, three and three; after the repair one in each.
    const STORY: (&str, &str) = (
        "+",
        "[utility]\nrole = \"backup through inverter input\"\nservice = \"100 A\"\n\
        [generator.g]\noutput = \"3 kW\"\nvolts = \"120/240\"\nneutral_bond = \"fixed\"\nprice = 500\n\
        [[engine]]\nname = \"set\"\ngenerator = \"g\"\n\
        [[panel]]\nname = \"service\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"100 A\"\nmain = \"100 A\"\nbond = \"yes\"\nexisting = \"yes\"\nprice = 0\n\
        [[transfer]]\nname = \"switch\"\nfrom = [\"service\", \"set\"]\nkind = \"manual\"\nrating = \"60 A\"\nswitches_neutral = \"no\"\nprice = 200",
    );
    const BEHIND: (&str, &str) = ("unit.inverter.ac_input", "\"switch\"");
    const SOLID: (&str, &str) = ("inverter.i.parts_neutral", "\"no\"");
    const RELAY: (&str, &str) = ("inverter.i.neutral_bond", "\"relay, closed when inverting\"");

    #[test]
    fn three_sources_with_four_bonds_are_counted_by_state() {
        // The story lifts the generator's and the service's bond out of reach of each other only by the neutral being
        // solid; here the generator's neutral hangs on the same neutral too, so that it counts in every state.
        let found = of("G01", &[STORY, BEHIND, SOLID, RELAY]);
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("in 4 places while \"inverter\" feeds"), "{}", found[0].says);
        let told = &found[0].more[0];
        for source in ["utility", "inverter", "set"] {
            assert!(told.contains(&format!("while \"{source}\" feeds")), "{source}: {told}");
        }
        let repaired = [STORY, BEHIND, SOLID, NO_SCREW, ("generator.g.neutral_bond", "\"none\"")];
        assert_eq!(verdict("G01", &repaired), "passes");
    }

    #[test]
    fn a_switched_neutral_keeps_its_own_bond() {
        let switched = [STORY, BEHIND, SOLID, NO_SCREW, ("transfer.switch.switches_neutral", "\"yes\"")];
        // Each of utility and generator brings its own bond, and the switch always stands at one of them, so that the
        // inverter's neutral is tied there too.
        assert_eq!(verdict("G01", &switched), "passes");
        let relay: Vec<_> = switched.iter().copied().chain([RELAY]).collect();
        let found = of("G01", &relay);
        assert!(found[0].says.contains("in 2 places while \"inverter\" feeds"), "{}", found[0].says);
        // With its input's neutral parted the inverter stands alone, and its relay is the one tie.
        let parts: Vec<_> = relay.into_iter().chain([("inverter.i.parts_neutral", "\"yes\"")]).collect();
        assert_eq!(verdict("G01", &parts), "passes");
        let unknown: Vec<_> =
            parts.into_iter().chain([("transfer.switch.switches_neutral", "\"unknown\"")]).collect();
        assert_eq!(verdict("G01", &unknown), "undecided danger");
    }

    #[test]
    fn an_inverter_that_parts_the_neutral_of_its_input_needs_a_tie_of_its_own() {
        let parted = [STORY, BEHIND, ("inverter.i.parts_neutral", "\"yes\""), NO_SCREW];
        // While the inverter feeds, service and generator are out of reach of its neutral; while they feed, the solid
        // neutral of the switch joins the service's screw and the generator's.
        let found = of("G01", &parted);
        assert!(found[0].says.contains("in 2 places while"), "{}", found[0].says);
        let one: Vec<_> = parted.into_iter().chain([("generator.g.neutral_bond", "\"none\"")]).collect();
        assert!(of("G01", &one)[0].says.contains("nowhere while \"inverter\" feeds"));
        let relay: Vec<_> = one.into_iter().chain([RELAY]).collect();
        assert_eq!(verdict("G01", &relay), "passes");
        let unknown: Vec<_> =
            relay.into_iter().chain([("inverter.i.parts_neutral", "\"unknown\"")]).collect();
        assert_eq!(verdict("G01", &unknown), "undecided danger");
    }

    #[test]
    fn a_removable_tie_is_what_a_bond_says_it_is() {
        let removable = ("inverter.i.neutral_bond", "\"none\"");
        let set = [STORY, BEHIND, SOLID, removable, NO_SCREW, ("generator.g.neutral_bond", "\"removable\"")];
        assert_eq!(verdict("G01", &set), "undecided danger");
        let lifted = ("+", "[[bond]]\nname = \"strap\"\nat = \"set\"\nfitted = \"no\"");
        let out: Vec<_> = set.iter().copied().chain([lifted]).collect();
        assert_eq!(verdict("G01", &out), "passes");
        let fitted = ("+", "[[bond]]\nname = \"strap\"\nat = \"set\"");
        let two: Vec<_> = set.iter().copied().chain([fitted]).collect();
        assert_eq!(verdict("G01", &two), "danger");
        // On a cord the set's neutral is there only while it is plugged in and feeds: one each with the service's screw
        // out of its reach would take a switched neutral, so two are left while the set feeds.
        let cord: Vec<_> = two.into_iter().chain([("engine.set.connected", "\"cord and plug\"")]).collect();
        let found = of("G01", &cord);
        assert!(found[0].says.contains("in 2 places while \"set\" feeds"), "{}", found[0].says);
        // A tie that cannot be lifted stands whatever is said of it.
        let fixed: Vec<_> =
            set.iter().copied().chain([lifted, ("generator.g.neutral_bond", "\"fixed\"")]).collect();
        assert_eq!(verdict("G01", &fixed), "danger");
    }

    #[test]
    fn the_screw_may_be_named_by_a_bond_instead_of_the_panel() {
        let named = [FIXED, ("panel.panel.bond", ""), ("+", "[[bond]]\nname = \"screw\"\nat = \"panel\"")];
        let found = of("G01", &named);
        assert_eq!(found[0].at[0].field.as_str(), "bond.screw.fitted");
        assert_eq!(verdict("G01", &named[1..]), "passes");
    }

    #[test]
    fn earthing_arrangements_are_counted_by_their_own_numbers() {
        let iec = ("place.rules", "\"iec-60364\"");
        assert_eq!(verdict("G01", &[iec]), "undecided danger");
        let by = |earthing: &'static str| {
            let utility = match earthing {
                "TN-C-S" => "[utility]\nrole = \"none\"\nservice = \"63 A\"\nearthing = \"TN-C-S\"",
                _ => "[utility]\nrole = \"none\"\nservice = \"63 A\"\nearthing = \"IT\"",
            };
            verdict("G01", &[iec, ("+", utility)])
        };
        assert_eq!(by("TN-C-S"), "passes");
        assert_eq!(by("IT"), "danger");
    }
}
