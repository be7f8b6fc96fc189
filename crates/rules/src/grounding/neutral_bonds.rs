//! # Neutral is tied to ground in more than one place, or in none
//!
//! What it checks: in every state of the house, that is with each source of alternating current feeding in turn, the
//! ties between neutral and ground on the one neutral that is energised: bonded panels, bonded generators, inverters
//! with a fixed bond, and relays that close while their inverter makes its own supply. There must be exactly one.
//!
//! Why it matters: with two, neutral current flows in the bare wires and enclosures people touch. With none, a fault to
//! an enclosure trips nothing and the enclosure stays live.
//!
//! Known limits: neutrals are followed through every alternating circuit, through inverters, and through transfer
//! devices that do not switch the neutral. A removable bond counts as unknown. Rules other than the NEC are not
//! counted here.
//!
//! Source: NEC 2023, 250.24(A)(5), 250.30 (from memory).
//!
//! Fails: an inverter with a fixed bond feeding a panel with its bond screw in: two.
//! Passes: the screw left out.

use crate::words::{named, thing};
use crate::{Finding, Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, WhoKnows, nec};
use std::sync::Arc;
use study::Study;
use wiring::{CircuitId, Graph, NeutralBond, NodeId, NodeKind, Supply};

pub(crate) static RULE: Rule = Rule {
    code: "G01",
    name: "neutral-bonds",
    severity: Severity::Danger,
    clause: nec("2023", "250.24(A)(5), 250.30", Standing::Remembered),
    text: include_str!("neutral_bonds.rs"),
    check,
};

/// Bonds on the energised neutral of one state.
struct State {
    source: Arc<str>,
    closed: Vec<NodeId>,
    gap: Option<Gap>,
}

fn check(study: &Study, findings: &mut Findings<'_>) {
    // Other rules count by their earthing arrangement, and their inverters part the neutral of the supply in island mode.
    let by_nec = study.design.system.place.rules.value() != Some(&design::system::Rules::Iec60364);
    if study.wiring.is_err() || !by_nec {
        return;
    }
    let graph = &study.design.graph;
    let states: Vec<State> = sources(graph).into_iter().map(|source| state(study, source)).collect();
    let wrong = |state: &&State| state.closed.len() > 1 || (state.closed.is_empty() && state.gap.is_none());
    if let Some(worst) = states.iter().filter(wrong).max_by_key(|state| state.closed.len()) {
        let said: Vec<String> =
            states.iter().map(|s| format!("{} while \"{}\" feeds", s.closed.len(), s.source)).collect();
        let finding = findings.fails(match worst.closed.len() {
            0 => format!("neutral is tied to ground nowhere while \"{}\" feeds", worst.source),
            n => format!("neutral is tied to ground in {n} places while \"{}\" feeds", worst.source),
        });
        places(study, finding, worst);
        finding.explains(format!(
            "Ties on the energised neutral: {}. Exactly one is right in every state.",
            said.join(", ")
        ));
        remedies(study, finding, worst);
        return;
    }
    for state in &states {
        if let Some(gap) = &state.gap {
            findings.undecided_for(
                &format!("while \"{}\" feeds", state.source),
                "how often neutral is tied to ground is not known; it counts as a danger until it is",
                gap.clone(),
            );
        }
    }
}

fn places(study: &Study, finding: &mut Finding, state: &State) {
    let graph = &study.design.graph;
    // A panel's screw is what a person can turn, so it comes first.
    let mut nodes: Vec<_> = state.closed.iter().filter_map(|id| graph.node(*id)).collect();
    nodes.sort_by_key(|node| node.kind != NodeKind::Panel);
    for node in nodes {
        let path = thing(study, &node.name);
        let path = if node.kind == NodeKind::Panel { format!("{path}.bond") } else { path };
        finding.at(path, "tied here");
    }
    if finding.at.is_empty() {
        finding.at(thing(study, &state.source), "this source");
    }
}

fn remedies(study: &Study, finding: &mut Finding, state: &State) {
    let graph = &study.design.graph;
    let panels = |id: &&NodeId| graph.node(**id).is_some_and(|node| node.kind == NodeKind::Panel);
    match state.closed.len() {
        0 => {
            for panel in &study.design.system.panels {
                let path = format!("panel.{}.bond", panel.name);
                finding.remedy(Remedy::set(
                    format!("the bond of \"{}\" fitted", panel.name),
                    path,
                    "\"yes\"",
                ));
            }
        }
        _ => {
            let names: Vec<_> = state
                .closed
                .iter()
                .filter(panels)
                .filter_map(|id| graph.node(*id))
                .map(|n| n.name.clone())
                .collect();
            for name in &names {
                let path = format!("panel.{name}.bond");
                finding.remedy(Remedy::set(
                    format!("the bond of {} left out", named(&[name])),
                    path,
                    "\"no\"",
                ));
            }
        }
    }
}

/// One source of each kind that can feed alone; stacked inverters are one.
fn sources(graph: &Graph) -> Vec<NodeId> {
    let mut stacks: Vec<&wiring::Stack> = Vec::new();
    let mut sources = Vec::new();
    for (k, node) in graph.nodes.iter().enumerate() {
        let feeds =
            graph.circuits_at(NodeId(k)).any(|(_, c)| c.from == NodeId(k) && c.demand.supply() == Supply::Ac);
        let first = node.stack.as_ref().is_none_or(|stack| !stacks.contains(&stack));
        if let (NodeKind::Inverter | NodeKind::Utility | NodeKind::Generator, true, true) =
            (node.kind, feeds, first)
        {
            stacks.extend(node.stack.as_ref());
            sources.push(NodeId(k));
        }
    }
    sources
}

fn state(study: &Study, source: NodeId) -> State {
    let graph = &study.design.graph;
    let name = graph.node(source).map_or_else(|| "".into(), |node| node.name.clone());
    let mut gap = None;
    let neutral = neutral_of(study, source, &mut gap);
    let mut closed = Vec::new();
    for id in &neutral {
        let Some(node) = graph.node(*id) else { continue };
        match &node.bond {
            None => {}
            Some(Fact::Unknown(more)) => add(&mut gap, more),
            Some(Fact::Known(bond)) => match bond.value {
                NeutralBond::None | NeutralBond::LeftOut => {}
                NeutralBond::Fitted if node.kind != NodeKind::Panel => {
                    let path = format!("{}.neutral_bond", thing(study, &node.name));
                    add(&mut gap, &Gap::one(quantity::FieldPath::new(path), WhoKnows::Maker));
                }
                NeutralBond::Fixed | NeutralBond::Fitted => closed.push(*id),
                // The relay opens only while another supply reaches the inverter's own input.
                NeutralBond::RelayWhenInverting => {
                    if *id == source || !passes_through(graph, *id, source) {
                        closed.push(*id);
                    }
                }
            },
        }
    }
    State { source: name, closed, gap }
}

fn add(gap: &mut Option<Gap>, more: &Gap) {
    *gap = Some(match gap.take() {
        Some(all) => all.and(more),
        None => more.clone(),
    });
}

fn is_ac(graph: &Graph, id: CircuitId) -> bool {
    graph.circuits.get(id.0).is_some_and(|circuit| circuit.demand.supply() == Supply::Ac)
}

/// Whether the source reaches the input of an inverter.
fn passes_through(graph: &Graph, inverter: NodeId, source: NodeId) -> bool {
    let behind = graph.circuits.iter().filter(|c| c.to == inverter && c.demand.supply() == Supply::Ac);
    behind.into_iter().any(|circuit| {
        let upstream = graph.reach(
            circuit.from,
            |id, c| is_ac(graph, id) && c.to != inverter && c.from != inverter,
            |_, _| false,
        );
        upstream.contains(&source)
    })
}

/// Everything on the neutral that the source energises.
fn neutral_of(study: &Study, source: NodeId, gap: &mut Option<Gap>) -> Vec<NodeId> {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let mut parted: Vec<(CircuitId, bool)> = Vec::new();
    for (t, node) in graph.nodes.iter().enumerate().filter(|(_, node)| node.kind == NodeKind::Transfer) {
        let Some(device) = system.transfer(&node.name) else { continue };
        let switches = match &device.transfer.switches_neutral {
            Fact::Known(switches) => switches.value,
            Fact::Unknown(more) => {
                add(gap, more);
                true
            }
        };
        if !switches {
            continue;
        }
        // It stands on the side from which the source comes.
        for (k, circuit) in graph.circuits.iter().enumerate().filter(|(_, c)| c.to == NodeId(t)) {
            let side = graph.reach(
                circuit.from,
                |id, c| is_ac(graph, id) && c.to != NodeId(t) && c.from != NodeId(t),
                |_, _| false,
            );
            parted.push((CircuitId(k), side.contains(&source)));
        }
    }
    let open = |id: CircuitId| parted.iter().any(|(at, closed)| *at == id && !closed);
    graph.reach(source, |id, _| is_ac(graph, id) && !open(id), |_, _| false)
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
    const RELAY: (&str, &str) = ("inverter.i.neutral_bond", "\"relay, closed when inverting\"");

    #[test]
    fn three_sources_with_four_bonds_are_counted_by_state() {
        // The story lifts the generator's and the service's bond out of reach of each other only by the neutral being
        // solid; here the generator's neutral hangs on the same neutral too, so that it counts in every state.
        let found = of("G01", &[STORY, BEHIND, RELAY]);
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("in 4 places while \"inverter\" feeds"), "{}", found[0].says);
        let repaired = [STORY, BEHIND, NO_SCREW, ("generator.g.neutral_bond", "\"none\"")];
        assert_eq!(verdict("G01", &repaired), "passes");
    }

    #[test]
    fn a_switched_neutral_keeps_its_own_bond() {
        let switched = [STORY, BEHIND, NO_SCREW, ("transfer.switch.switches_neutral", "\"yes\"")];
        // Each of utility and generator brings its own bond, but the inverter alone has none.
        let found = of("G01", &switched);
        assert!(found[0].says.contains("nowhere while \"inverter\" feeds"), "{}", found[0].says);
        let with_relay: Vec<_> = switched.iter().copied().chain([RELAY]).collect();
        assert_eq!(verdict("G01", &with_relay), "passes");
        let unknown: Vec<_> =
            with_relay.into_iter().chain([("transfer.switch.switches_neutral", "\"unknown\"")]).collect();
        assert_eq!(verdict("G01", &unknown), "undecided danger");
    }
}
