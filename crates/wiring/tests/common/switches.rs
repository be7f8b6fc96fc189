//! Houses and meshes of many switches, for the tests and the bench of the lock-out map.
#![allow(dead_code, clippy::unwrap_used)]

use crate::common::*;
use std::sync::Arc;
use wiring::*;

pub(crate) fn wire(graph: &mut Graph, from: NodeId, to: NodeId, demand: Demand) -> CircuitId {
    let name = Arc::from(format!("{}-{}-{}", from.0, to.0, graph.circuits.len()));
    graph.join(Circuit { name, from, to, demand, run: None, conductors: 3, carrying: 2, poles: 2 })
}

pub(crate) fn breaker(circuit: CircuitId, end: End) -> SwitchPoint {
    SwitchPoint { circuit, end, kind: SwitchKind::Breaker, stated: true }
}

/// A small generator of whole numbers, so that the graphs are the same everywhere.
pub(crate) struct Dice(pub(crate) u64);
impl Dice {
    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n as u64) as usize
    }
}

/// Every way the transfer devices can stand.
pub(crate) fn stands(graph: &Graph) -> Vec<Vec<Option<usize>>> {
    let mut all = vec![vec![None; graph.nodes.len()]];
    for (t, node) in graph.nodes.iter().enumerate() {
        if node.kind != NodeKind::Transfer {
            continue;
        }
        let supplies: Vec<usize> =
            (0..graph.circuits.len()).filter(|k| graph.circuits[*k].to.0 == t).collect();
        if supplies.is_empty() {
            continue;
        }
        all = all
            .into_iter()
            .flat_map(|stand| {
                supplies.iter().map(move |k| {
                    let mut stand = stand.clone();
                    stand[t] = Some(*k);
                    stand
                })
            })
            .collect();
    }
    all
}

/// Forty breakers: sixteen battery units, eight controllers, panels and two supplies behind transfer devices.
pub(crate) fn forty_switches() -> (Graph, StateFacts) {
    let mut graph = Graph::default();
    let mut facts = StateFacts::default();
    let bus = graph.add(node("bus", NodeKind::BatteryBus));
    for k in 0..16 {
        let battery = graph.add(node(&format!("rack {k}"), NodeKind::BatteryUnit));
        let id = wire(&mut graph, battery, bus, Demand::BatteryUnit(unit()));
        facts.switches.push(breaker(id, End::From));
    }
    let utility = graph.add(node("utility", NodeKind::Utility));
    let generator = graph.add(node("generator", NodeKind::Generator));
    let service = graph.add(node("service", NodeKind::Panel));
    let transfer = graph.add(node("transfer", NodeKind::Transfer));
    let house = graph.add(node("house", NodeKind::Panel));
    for (from, to, end) in [
        (utility, service, End::To),
        (service, transfer, End::From),
        (generator, transfer, End::From),
        (transfer, house, End::From),
    ] {
        let id = wire(&mut graph, from, to, ac(60.0, 240.0));
        facts.switches.push(breaker(id, end));
    }
    for k in 0..4 {
        let mut inverter = node(&format!("inverter {k}"), NodeKind::Inverter);
        inverter.interactive = Some(known(true));
        let inverter = graph.add(inverter);
        let dc = wire(&mut graph, bus, inverter, Demand::BatteryUnit(unit()));
        let input = wire(&mut graph, house, inverter, ac(40.0, 240.0));
        let load = graph.add(node(&format!("board {k}"), NodeKind::Panel));
        let output = wire(&mut graph, inverter, load, ac(40.0, 240.0));
        let array = graph.add(node(&format!("array {k}"), NodeKind::PvString));
        let pv = wire(&mut graph, array, inverter, Demand::PvStrings(string(1)));
        facts.switches.extend([
            breaker(dc, End::From),
            breaker(input, End::From),
            breaker(output, End::From),
            breaker(output, End::To),
            breaker(pv, End::To),
        ]);
    }
    assert_eq!(facts.switches.len(), 40);
    (graph, facts)
}

/// Panels joined to each other at random with forty breakers and four sources, as no house is.
pub(crate) fn random_mesh(dice: &mut Dice) -> (Graph, StateFacts) {
    let mut graph = Graph::default();
    let mut facts = StateFacts::default();
    for k in 0..16 {
        let kind = if k < 4 { NodeKind::Generator } else { NodeKind::Panel };
        graph.add(node(&format!("n{k}"), kind));
    }
    while facts.switches.len() < 40 {
        let (a, b) = (dice.below(16), dice.below(16));
        if a != b {
            let id = wire(&mut graph, NodeId(a), NodeId(b), ac(20.0, 240.0));
            let end = if dice.below(2) == 0 { End::From } else { End::To };
            facts.switches.push(breaker(id, end));
        }
    }
    (graph, facts)
}

pub(crate) fn unit() -> BatteryUnit {
    BatteryUnit {
        charge: amps(100.0),
        discharge: amps(100.0),
        volts: bank(),
        short_circuit: amps(2000.0),
        units_on_the_bus: count(1),
        beside: None,
        bus_current: amps(100.0),
    }
}
