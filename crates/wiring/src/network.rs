//! The graph as a network of parts that energy passes between, and what reaches a part.
//!
//! Parts are the terminals of every piece of equipment and every conductor. Parts that nothing can sever from each other
//! are one group, so that a search meets little more than the switches themselves. A transfer device stands at one of its
//! supplies at a time: a way that enters it by one supply and leaves it by another exists in no position. Such a way is
//! told apart by trying the positions of that device alone, so that any number of devices is gone through exactly.

use crate::demand::Demand;
use crate::facts::Supply;
use crate::graph::{Circuit, CircuitId, Graph, NodeId, NodeKind};
use crate::states::{End, SwitchPoint};
use std::collections::VecDeque;

/// Ports of a piece of equipment; only converters have more than the first.
const PORTS: usize = 4;
const DC: usize = 0;
const PV: usize = 1;
const AC_IN: usize = 2;
const AC_OUT: usize = 3;

/// A part of the network: a port of a piece of equipment or a conductor.
pub(crate) type Part = usize;

/// Most switches the sets can be formed of.
pub(crate) const MOST_SWITCHES: usize = 128;

/// Most supplies of transfer devices that are told apart; those beyond count as joined, which never hides a source.
const MOST_SUPPLIES: usize = 128;

/// Most positions tried for one question. A house has a handful of transfer devices; what was not gone through counts as
/// joined, which never hides a source.
const MOST_TRIALS: u32 = 4096;

/// One way energy can go between parts: from one, through which load-break switch and past which supply of a transfer
/// device.
#[derive(Clone, Copy, PartialEq)]
struct Way {
    from: usize,
    switch: Option<u32>,
    supply: Option<u32>,
}

/// The network.
pub(crate) struct Network {
    /// Group of each part.
    group: Vec<usize>,
    /// Ways into each group.
    ways: Vec<Vec<Way>>,
    /// Sources in each group.
    sources: Vec<Vec<NodeId>>,
    /// Supplies of each transfer device that has several.
    devices: Vec<u128>,
    nodes: usize,
}

impl Network {
    /// Of a graph; switches that do not break load count as joined.
    pub(crate) fn new(graph: &Graph, switches: &[SwitchPoint]) -> Self {
        let parts = graph.nodes.len() * PORTS + graph.circuits.len();
        let (devices, supplies) = supplies(graph);
        let mut ways = vec![Vec::new(); parts];
        inside(graph, &mut ways);
        for (k, circuit) in graph.circuits.iter().enumerate() {
            join(graph, switches, supplies[k], CircuitId(k), circuit, &mut ways);
        }
        let group = groups(&ways);
        let count = group.iter().max().map_or(0, |last| last + 1);
        let mut between: Vec<Vec<Way>> = vec![Vec::new(); count];
        for (part, into) in ways.iter().enumerate() {
            for way in into {
                let way = Way { from: group[way.from], ..*way };
                let into = &mut between[group[part]];
                if way.from != group[part] && !into.contains(&way) {
                    into.push(way);
                }
            }
        }
        let mut sources = vec![Vec::new(); count];
        for (k, node) in graph.nodes.iter().enumerate() {
            if node.kind.is_source() {
                sources[group[k * PORTS]].push(NodeId(k));
            }
        }
        Network { group, ways: between, sources, devices, nodes: graph.nodes.len() }
    }

    /// The conductor of a circuit.
    pub(crate) fn conductor(&self, circuit: CircuitId) -> Part {
        self.nodes * PORTS + circuit.0
    }

    /// Every port of a piece of equipment.
    pub(crate) fn ports(&self, node: NodeId) -> std::ops::Range<Part> {
        node.0 * PORTS..(node.0 + 1) * PORTS
    }

    /// The two parts a switch stands between: the conductor of its circuit and the terminals at its end.
    pub(crate) fn beside(&self, graph: &Graph, point: &SwitchPoint) -> Option<[Part; 2]> {
        let circuit = graph.circuits.get(point.circuit.0)?;
        let node = if point.end == End::From { circuit.from } else { circuit.to };
        (node.0 < self.nodes).then(|| [self.conductor(point.circuit), port_of(graph, circuit, node)])
    }

    /// A device that a way past these supplies would have in two positions at once.
    fn torn(&self, supplies: u128) -> Option<u128> {
        self.devices.iter().copied().find(|device| (device & supplies).count_ones() > 1)
    }
}

/// The supplies of every transfer device that has several, as bits, and the bit of each circuit that is one.
fn supplies(graph: &Graph) -> (Vec<u128>, Vec<Option<u32>>) {
    let mut of_circuit = vec![None; graph.circuits.len()];
    let (mut devices, mut next) = (Vec::new(), 0);
    for (t, _) in graph.nodes.iter().enumerate().filter(|(_, node)| node.kind == NodeKind::Transfer) {
        let own: Vec<CircuitId> =
            graph.circuits_at(NodeId(t)).filter(|(_, c)| c.to == NodeId(t)).map(|(id, _)| id).collect();
        if own.len() < 2 || next + own.len() > MOST_SUPPLIES {
            continue;
        }
        let mut device = 0;
        for id in own {
            of_circuit[id.0] = Some(next as u32);
            device |= 1u128 << next;
            next += 1;
        }
        devices.push(device);
    }
    (devices, of_circuit)
}

/// Group of each part: parts that energy passes between both ways and past nothing are one.
fn groups(ways: &[Vec<Way>]) -> Vec<usize> {
    fn root(of: &mut [usize], mut part: usize) -> usize {
        while of[part] != part {
            of[part] = of[of[part]];
            part = of[part];
        }
        part
    }
    let plain = |way: &&Way| way.switch.is_none() && way.supply.is_none();
    let mut of: Vec<usize> = (0..ways.len()).collect();
    for (part, into) in ways.iter().enumerate() {
        for way in into.iter().filter(plain) {
            if ways[way.from].iter().filter(plain).any(|back| back.from == part) {
                let (a, b) = (root(&mut of, part), root(&mut of, way.from));
                of[a.max(b)] = a.min(b);
            }
        }
    }
    let mut number = vec![usize::MAX; ways.len()];
    let mut next = 0;
    for part in 0..ways.len() {
        let first = root(&mut of, part);
        if number[first] == usize::MAX {
            number[first] = next;
            next += 1;
        }
        number[part] = number[first];
    }
    number
}

/// Asks a network; keeps the memory of one question for the next.
pub(crate) struct Search<'n> {
    network: &'n Network,
    seen: Vec<u32>,
    stamp: u32,
    queue: VecDeque<(usize, u128, u128)>,
    /// Positions left to try for the question being asked.
    trials: u32,
}

impl<'n> Search<'n> {
    pub(crate) fn of(network: &'n Network) -> Self {
        let seen = vec![0; network.ways.len()];
        Search { network, seen, stamp: 0, queue: VecDeque::new(), trials: 0 }
    }

    /// The groups of some parts, each once.
    pub(crate) fn groups(&self, parts: &[Part]) -> Vec<usize> {
        let mut groups: Vec<usize> = parts.iter().map(|part| self.network.group[*part]).collect();
        groups.sort_unstable();
        groups.dedup();
        groups
    }

    /// Sources that reach any of the groups in any position with these switches open, ascending.
    pub(crate) fn sources(&mut self, groups: &[usize], open: u128) -> Vec<NodeId> {
        let network = self.network;
        let mut found: Vec<NodeId> = Vec::new();
        let mut doubtful = Vec::new();
        self.back(groups, open, 0, |at, switches, supplies| {
            match network.torn(supplies) {
                None => found.extend(&network.sources[at]),
                Some(device) => doubtful.push((at, device, switches)),
            }
            false
        });
        for (at, device, switches) in doubtful {
            self.trials = MOST_TRIALS;
            if self.way_in_a_position(groups, open, 0, (at, device, switches)).is_some() {
                found.extend(&network.sources[at]);
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Whether anything passes from one of these parts to the groups with these switches open. Transfer devices count
    /// as standing at all their supplies at once, which never hides a part.
    pub(crate) fn any_reaches(&mut self, parts: &[Part], groups: &[usize], open: u128) -> bool {
        self.back(groups, open, 0, |_, _, _| false);
        parts.iter().any(|part| self.seen[self.network.group[*part]] == self.stamp)
    }

    /// The switches on a way from a source other than `always`; `None` when no way is left.
    pub(crate) fn live_way(&mut self, groups: &[usize], open: u128, always: &[NodeId]) -> Option<u128> {
        let network = self.network;
        self.trials = MOST_TRIALS;
        let wanted = |group: usize| network.sources[group].iter().any(|s| !always.contains(s));
        let mut whole = None;
        let mut doubtful = Vec::new();
        self.back(groups, open, 0, |at, switches, supplies| {
            if !wanted(at) {
                return false;
            }
            match network.torn(supplies) {
                None => whole = Some(switches),
                Some(device) => doubtful.push((at, device, switches)),
            }
            whole.is_some()
        });
        if whole.is_some() {
            return whole;
        }
        // Each source by itself: the devices on its own way are few.
        for (source, device, switches) in doubtful {
            let way = self.way_in_a_position(groups, open, 0, (source, device, switches));
            if way.is_some() {
                return way;
            }
        }
        None
    }

    /// The switches on a way from a source in some position of the device that the way found would have in two at once.
    fn way_in_a_position(
        &mut self,
        groups: &[usize],
        open: u128,
        parted: u128,
        (source, device, switches): (usize, u128, u128),
    ) -> Option<u128> {
        let mut left = device & !parted;
        while left != 0 {
            let stands = left & left.wrapping_neg();
            left &= !stands;
            if self.trials == 0 {
                return Some(switches);
            }
            self.trials -= 1;
            let parted = parted | (device & !stands);
            let mut found = None;
            let network = self.network;
            self.back(groups, open, parted, |at, switches, supplies| {
                if at == source {
                    found = Some((switches, network.torn(supplies)));
                }
                at == source
            });
            let way = match found {
                None => None,
                Some((switches, None)) => Some(switches),
                Some((switches, Some(next))) => {
                    self.way_in_a_position(groups, open, parted, (source, next, switches))
                }
            };
            if way.is_some() {
                return way;
            }
        }
        None
    }

    /// Goes back from the groups, fewest switches first; `at` is told every group with a source that is met, with the
    /// switches and supplies between, and ends the search by returning true.
    fn back(
        &mut self,
        groups: &[usize],
        open: u128,
        parted: u128,
        mut at: impl FnMut(usize, u128, u128) -> bool,
    ) {
        self.stamp += 1;
        self.queue.clear();
        self.queue.extend(groups.iter().map(|group| (*group, 0, 0)));
        while let Some((group, switches, supplies)) = self.queue.pop_front() {
            if std::mem::replace(&mut self.seen[group], self.stamp) == self.stamp {
                continue;
            }
            if !self.network.sources[group].is_empty() && at(group, switches, supplies) {
                return;
            }
            for way in &self.network.ways[group] {
                if self.seen[way.from] == self.stamp
                    || way.supply.is_some_and(|supply| parted >> supply & 1 == 1)
                {
                    continue;
                }
                let supplies = way.supply.map_or(supplies, |supply| supplies | 1 << supply);
                match way.switch {
                    Some(switch) if open >> switch & 1 == 1 => {}
                    Some(switch) => self.queue.push_back((way.from, switches | 1 << switch, supplies)),
                    None => self.queue.push_front((way.from, switches, supplies)),
                }
            }
        }
    }
}

/// Whether a conductor of strings can be fed from the input it goes to: by other strings there, or by the input
/// itself unless its maker says that it feeds nothing back.
fn fed_back(demand: &Demand) -> bool {
    let Demand::PvStrings(pv) = demand else { return true };
    let alone = match (pv.strings_on_the_input.value(), pv.in_parallel.value()) {
        (Some(all), Some(own)) => all.0 <= own.0,
        _ => false,
    };
    let feeds_nothing = pv.back_feed.si().is_some_and(|amps| amps <= 0.0);
    !(alone && feeds_nothing)
}

fn port_of(graph: &Graph, circuit: &Circuit, node: NodeId) -> Part {
    let kind = graph.node(node).map(|node| node.kind);
    let port = match (kind, &circuit.demand) {
        (Some(NodeKind::Inverter | NodeKind::Controller), Demand::PvStrings(_)) => PV,
        (Some(NodeKind::Inverter), demand) if demand.supply() == Supply::Ac => {
            if circuit.to == node {
                AC_IN
            } else {
                AC_OUT
            }
        }
        _ => DC,
    };
    node.0 * PORTS + port
}

/// Ways through converters. A converter that is not listed to feed a utility does not feed its own input; one whose
/// listing is unknown counts as feeding it.
fn inside(graph: &Graph, ways: &mut [Vec<Way>]) {
    for (k, node) in graph.nodes.iter().enumerate() {
        let mut pairs: Vec<(usize, usize)> = match node.kind {
            NodeKind::Controller => vec![(PV, DC)],
            NodeKind::Inverter => {
                vec![(PV, DC), (PV, AC_OUT), (DC, AC_OUT), (AC_OUT, DC), (AC_IN, AC_OUT), (AC_IN, DC)]
            }
            _ => continue,
        };
        let feeds_input = node.interactive.as_ref().is_none_or(|fact| fact.value() != Some(&false));
        if node.kind == NodeKind::Inverter && feeds_input {
            pairs.extend([(AC_OUT, AC_IN), (DC, AC_IN), (PV, AC_IN)]);
        }
        let feeds_back = graph.circuits_at(NodeId(k)).any(|(_, circuit)| match &circuit.demand {
            Demand::PvStrings(pv) => pv.back_feed.si().is_none_or(|amps| amps > 0.0),
            _ => false,
        });
        if feeds_back {
            pairs.push((DC, PV));
            if node.kind == NodeKind::Inverter {
                pairs.extend([(AC_IN, PV), (AC_OUT, PV)]);
            }
        }
        for (from, to) in pairs {
            ways[k * PORTS + to].push(Way { from: k * PORTS + from, switch: None, supply: None });
        }
    }
}

fn join(
    graph: &Graph,
    switches: &[SwitchPoint],
    supply: Option<u32>,
    id: CircuitId,
    circuit: &Circuit,
    ways: &mut [Vec<Way>],
) {
    let conductor = graph.nodes.len() * PORTS + id.0;
    for (end, node) in [(End::From, circuit.from), (End::To, circuit.to)] {
        if node.0 >= graph.nodes.len() {
            continue;
        }
        // A transfer device that stands elsewhere parts the circuit at its own end.
        let supply = if end == End::To { supply } else { None };
        let port = port_of(graph, circuit, node);
        let switch = switches
            .iter()
            .position(|s| s.circuit == id && s.end == end && s.kind.breaks_load())
            .filter(|k| *k < MOST_SWITCHES)
            .map(|k| k as u32);
        ways[port].push(Way { from: conductor, switch, supply });
        let to_converter = graph
            .node(node)
            .is_some_and(|node| matches!(node.kind, NodeKind::Inverter | NodeKind::Controller));
        if !(end == End::To && to_converter) || fed_back(&circuit.demand) {
            ways[conductor].push(Way { from: port, switch, supply });
        }
    }
}
