//! The bond table against every combination of positions, gone through one by one.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use quantity::Fact;
use std::collections::BTreeSet;
use std::sync::Arc;
use wiring::*;

fn wire(graph: &mut Graph, from: NodeId, to: NodeId) -> CircuitId {
    let name = Arc::from(format!("{}-{}-{}", graph.circuits.len(), from.0, to.0));
    let demand = ac(30.0, 240.0);
    graph.join(Circuit { name, from, to, demand, run: None, conductors: 3, carrying: 2, poles: 2 })
}

fn bonded(graph: &mut Graph, name: &str, kind: NodeKind, bond: NeutralBond) -> NodeId {
    let id = graph.add(node(name, kind));
    graph.nodes[id.0].bond = Some(known(bond));
    id
}

struct House {
    graph: Graph,
    facts: StateFacts,
    devices: Vec<NodeId>,
}

/// What a state of the table comes down to: source, moment, neutral and ties.
type Line = (NodeId, u8, Vec<NodeId>, Vec<NodeId>);

/// Every node that edges reach from a start, by going over all edges until nothing is added.
fn spread(start: NodeId, edges: &[(NodeId, NodeId)]) -> BTreeSet<NodeId> {
    let mut on = BTreeSet::from([start]);
    loop {
        let before = on.len();
        for (a, b) in edges {
            if on.contains(a) || on.contains(b) {
                on.extend([*a, *b]);
            }
        }
        if on.len() == before {
            return on;
        }
    }
}

impl House {
    fn kind(&self, id: NodeId) -> NodeKind {
        self.graph.nodes[id.0].kind
    }

    fn supplies(&self, device: NodeId) -> Vec<usize> {
        let all = self.graph.circuits.iter().enumerate();
        all.filter(|(_, c)| c.to == device).map(|(k, _)| k).collect()
    }

    /// Whether no supply reaches the input of an inverter while devices stand at these circuits.
    fn alone(&self, inverter: NodeId, source: NodeId, at: &[Option<usize>]) -> bool {
        if inverter == source {
            return true;
        }
        let live: Vec<(NodeId, NodeId)> = self
            .graph
            .circuits
            .iter()
            .enumerate()
            .filter(|(k, c)| match self.devices.iter().position(|d| *d == c.to) {
                Some(d) => at[d] == Some(*k),
                None => true,
            })
            .filter(|(_, c)| c.to != inverter && c.from != inverter)
            .map(|(_, c)| (c.from, c.to))
            .collect();
        let on = spread(source, &live);
        !self.graph.circuits.iter().any(|c| c.to == inverter && on.contains(&c.from))
    }

    fn line(&self, source: NodeId, at: &[Option<usize>], lags: bool) -> Line {
        let edges: Vec<(NodeId, NodeId)> = self
            .graph
            .circuits
            .iter()
            .enumerate()
            .filter(|(k, c)| {
                let device = self.devices.iter().position(|d| *d == c.to);
                let switched = device.is_some_and(|d| {
                    let fact = self.facts.transfers.iter().find(|t| t.node == c.to).unwrap();
                    fact.switches_neutral.value() == Some(&true) && at[d] != Some(*k)
                });
                let parts = self.facts.parts_neutral.iter().any(|(id, parts)| {
                    *id == c.to && parts.value() == Some(&true) && self.alone(*id, source, at)
                });
                let cord = self.facts.plugged_in.iter().any(|n| *n != source && (c.from == *n || c.to == *n));
                !switched && !parts && !cord
            })
            .map(|(_, c)| (c.from, c.to))
            .collect();
        let neutral: Vec<NodeId> = spread(source, &edges).into_iter().collect();
        let tied = |id: &NodeId| match &self.graph.nodes[id.0].bond {
            Some(Fact::Known(bond)) => match bond.value {
                NeutralBond::Fixed | NeutralBond::Fitted => true,
                NeutralBond::RelayWhenInverting => !lags && self.alone(*id, source, at),
                _ => false,
            },
            _ => false,
        };
        let bonds = neutral.iter().copied().filter(tied).collect();
        let moment = match (lags, at.iter().all(Option::is_some)) {
            (true, _) => 2,
            (false, true) => 0,
            (false, false) => 1,
        };
        (source, moment, neutral, bonds)
    }

    fn sources(&self) -> Vec<NodeId> {
        let makes = [NodeKind::Utility, NodeKind::Generator, NodeKind::Inverter];
        let feeds = |id: NodeId| self.graph.circuits.iter().any(|c| c.from == id);
        (0..self.graph.nodes.len())
            .map(NodeId)
            .filter(|id| makes.contains(&self.kind(*id)) && feeds(*id))
            .collect()
    }

    /// Every line by going through all positions of all devices.
    fn by_all_positions(&self) -> BTreeSet<Line> {
        let mut all: Vec<Vec<Option<usize>>> = vec![Vec::new()];
        for device in &self.devices {
            let supplies = self.supplies(*device);
            all = all
                .iter()
                .flat_map(|at| {
                    let choices = supplies.iter().copied().map(Some).chain([None]);
                    choices.map(|choice| at.iter().copied().chain([choice]).collect()).collect::<Vec<_>>()
                })
                .collect();
        }
        let mut lines = BTreeSet::new();
        for source in self.sources() {
            let inverter = self.kind(source) == NodeKind::Inverter;
            let relay = matches!(&self.graph.nodes[source.0].bond, Some(Fact::Known(b)) if b.value == NeutralBond::RelayWhenInverting);
            for at in &all {
                let still = at.iter().all(Option::is_some);
                if still || inverter {
                    lines.insert(self.line(source, at, false));
                }
                if still && relay {
                    lines.insert(self.line(source, at, true));
                }
            }
        }
        lines
    }

    fn by_table(&self) -> BTreeSet<Line> {
        let table = bond_table(&self.graph, &self.facts, Arrangement::Nec);
        let line = |state: BondState| {
            let ties = state.bonds.len();
            let verdict = [BondVerdict::TooFew, BondVerdict::Right, BondVerdict::TooMany][ties.min(2)];
            assert_eq!(state.verdict, verdict, "{state:?}");
            assert!(state.possible.is_empty() && state.gap.is_none());
            let moment = match state.moment {
                Moment::Steady => 0,
                Moment::BetweenPositions => 1,
                Moment::RelayMoves => 2,
            };
            (state.source, moment, state.neutral, state.bonds)
        };
        table.into_iter().map(line).collect()
    }
}

fn numbers(mut seed: u64) -> impl FnMut(usize) -> usize {
    move |n| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 33) % n as u64) as usize
    }
}

/// A service, a generator, inverters with and without relays and parted inputs, panels, and devices between any of them.
fn random_house(below: &mut impl FnMut(usize) -> usize, devices: usize) -> House {
    let mut graph = Graph::default();
    let mut facts = StateFacts::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let generator = bonded(&mut graph, "generator", NodeKind::Generator, NeutralBond::Fixed);
    if below(3) == 0 {
        facts.plugged_in.push(generator);
    }
    let mut things = vec![utility, generator];
    let some_bond = |k: usize| [NeutralBond::LeftOut, NeutralBond::LeftOut, NeutralBond::Fitted][k];
    let panel =
        |graph: &mut Graph, k: usize, bond| bonded(graph, &format!("panel {k}"), NodeKind::Panel, bond);
    let service = panel(&mut graph, 0, NeutralBond::Fitted);
    wire(&mut graph, utility, service);
    things.push(service);
    let mut switches = Vec::new();
    for k in 0..devices {
        let device = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
        for _ in 0..1 + below(2) {
            let from = things[below(things.len())];
            wire(&mut graph, from, device);
        }
        let switches_neutral = known(below(2) == 0);
        facts.transfers.push(TransferFact { node: device, switches_neutral });
        switches.push(device);
        let behind = if below(2) == 0 {
            let bond = [NeutralBond::RelayWhenInverting, NeutralBond::None][below(2)];
            let inverter = bonded(&mut graph, &format!("inverter {k}"), NodeKind::Inverter, bond);
            facts.parts_neutral.push((inverter, known(below(2) == 0)));
            wire(&mut graph, device, inverter);
            let fed = panel(&mut graph, k + 1, some_bond(below(3)));
            wire(&mut graph, inverter, fed);
            fed
        } else {
            let fed = panel(&mut graph, k + 1, some_bond(below(3)));
            wire(&mut graph, device, fed);
            fed
        };
        things.push(behind);
    }
    House { graph, facts, devices: switches }
}

#[test]
fn the_table_equals_all_positions_of_random_houses() {
    let mut below = numbers(5);
    let mut lines = 0;
    for k in 0..300 {
        let house = random_house(&mut below, 1 + k % 4);
        let (wanted, found) = (house.by_all_positions(), house.by_table());
        assert_eq!(found, wanted, "{:#?} {:#?}", house.graph, house.facts);
        lines += wanted.len();
    }
    assert!(lines > 2000, "{lines}");
}

/// Seven devices beside each other, each before a panel: 3⁷ = 2187 positions of an inverter. Only some panels are tied, and
/// the table has each combination of ties that all positions together have, and no other.
#[test]
fn ties_of_many_devices_equal_those_of_all_positions() {
    let mut below = numbers(9);
    for _ in 0..6 {
        let mut graph = Graph::default();
        let mut facts = StateFacts::default();
        let inverter = bonded(&mut graph, "inverter", NodeKind::Inverter, NeutralBond::RelayWhenInverting);
        let hub = bonded(&mut graph, "hub", NodeKind::Panel, NeutralBond::LeftOut);
        wire(&mut graph, inverter, hub);
        let mut devices = Vec::new();
        for k in 0..7 {
            let device = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
            let other =
                bonded(&mut graph, &format!("generator {k}"), NodeKind::Generator, NeutralBond::Fixed);
            let bond = if below(3) == 0 { NeutralBond::Fitted } else { NeutralBond::LeftOut };
            let panel = bonded(&mut graph, &format!("panel {k}"), NodeKind::Panel, bond);
            wire(&mut graph, hub, device);
            wire(&mut graph, other, device);
            wire(&mut graph, device, panel);
            facts.transfers.push(TransferFact { node: device, switches_neutral: known(true) });
            devices.push(device);
        }
        let house = House { graph, facts, devices };
        let ties = |lines: BTreeSet<Line>| -> BTreeSet<(NodeId, u8, Vec<NodeId>)> {
            lines.into_iter().map(|(source, moment, _, bonds)| (source, moment, bonds)).collect()
        };
        assert_eq!(ties(house.by_table()), ties(house.by_all_positions()));
    }
}

/// Forty in a row, each with a generator of its own that keeps its tie: a source has its own tie as long as the neutral is
/// switched, and never another.
#[test]
fn forty_switched_neutrals_in_a_row_keep_one_tie_each() {
    for switched in [true, false] {
        let mut graph = Graph::default();
        let mut facts = StateFacts::default();
        let utility = graph.add(node("utility", NodeKind::Utility));
        let mut behind = bonded(&mut graph, "service", NodeKind::Panel, NeutralBond::Fitted);
        wire(&mut graph, utility, behind);
        for k in 0..40 {
            let own = bonded(&mut graph, &format!("source {k}"), NodeKind::Generator, NeutralBond::Fixed);
            let switch = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
            wire(&mut graph, behind, switch);
            wire(&mut graph, own, switch);
            facts.transfers.push(TransferFact { node: switch, switches_neutral: known(switched) });
            behind = switch;
        }
        let table = bond_table(&graph, &facts, Arrangement::Nec);
        assert!(!table.is_empty());
        for state in &table {
            let (ties, verdict) = if switched { (1, BondVerdict::Right) } else { (41, BondVerdict::TooMany) };
            assert_eq!((state.bonds.len(), state.verdict), (ties, verdict));
        }
        let mut sources: Vec<NodeId> = table.iter().map(|state| state.source).collect();
        sources.dedup();
        assert_eq!(sources.len(), 41);
    }
}

/// Forty beside each other on one service, one of them before a building with a tie of its own: two where it stands at the
/// service, one where it does not.
#[test]
fn forty_switched_neutrals_beside_each_other_make_a_short_table() {
    let mut graph = Graph::default();
    let mut facts = StateFacts::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let service = bonded(&mut graph, "service", NodeKind::Panel, NeutralBond::Fitted);
    let generator = bonded(&mut graph, "generator", NodeKind::Generator, NeutralBond::None);
    wire(&mut graph, utility, service);
    for k in 0..40 {
        let switch = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
        let bond = if k == 17 { NeutralBond::Fitted } else { NeutralBond::LeftOut };
        let panel = bonded(&mut graph, &format!("panel {k}"), NodeKind::Panel, bond);
        wire(&mut graph, service, switch);
        wire(&mut graph, generator, switch);
        wire(&mut graph, switch, panel);
        facts.transfers.push(TransferFact { node: switch, switches_neutral: known(true) });
    }
    let table = bond_table(&graph, &facts, Arrangement::Nec);
    let of = |source| -> Vec<(usize, BondVerdict)> {
        table.iter().filter(|s| s.source == source).map(|s| (s.bonds.len(), s.verdict)).collect()
    };
    assert_eq!(of(utility), [(2, BondVerdict::TooMany), (1, BondVerdict::Right)]);
    assert_eq!(of(generator), [(0, BondVerdict::TooFew), (1, BondVerdict::Right)]);
}
