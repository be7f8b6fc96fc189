//! States of the circuit graph: what can be opened, what conducts, and what each source reaches.
//!
//! The graph is read as a network of *parts*: the terminals of every piece of equipment and every conductor between.
//! A switch stands between a conductor and one of its ends. Transfer devices stand in exactly one position, so every
//! combination of positions is a state of its own; parts joined in any state count as joined.

use crate::demand::Demand;
use crate::facts::{DeviceKind, Run, Supply};
use crate::graph::{Circuit, CircuitId, Graph, NodeId, NodeKind};
use crate::schedule::Sized;
use quantity::Fact;

/// Which end of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum End {
    /// The end its name begins with.
    From,
    /// The other end.
    To,
}

/// What opens a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SwitchKind {
    /// A circuit breaker, which breaks load.
    Breaker,
    /// A switch rated to break load.
    LoadBreak,
    /// A fuse in a holder, which is opened without load only.
    FuseHolder,
    /// Plugs, which are opened without load only.
    Connector,
}

impl SwitchKind {
    /// Whether it may be opened under load, so that it counts as a switch at all.
    pub fn breaks_load(self) -> bool {
        matches!(self, SwitchKind::Breaker | SwitchKind::LoadBreak)
    }

    /// The words for a map.
    pub fn in_words(self) -> &'static str {
        match self {
            SwitchKind::Breaker => "breaker",
            SwitchKind::LoadBreak => "load-break switch",
            SwitchKind::FuseHolder => "fuse holder",
            SwitchKind::Connector => "connector",
        }
    }
}

/// Place of a switching point in its list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SwitchId(pub usize);

/// Something at one end of a circuit that a person can open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SwitchPoint {
    /// The circuit it opens.
    pub circuit: CircuitId,
    /// At which end it stands; the conductor lies on its far side.
    pub end: End,
    /// What it is.
    pub kind: SwitchKind,
    /// Whether its kind is stated; else it is what the schedule plans, a breaker for alternating and a fuse for
    /// direct current.
    pub stated: bool,
}

/// A transfer device as the states need it.
#[derive(Clone, Debug, PartialEq)]
pub struct TransferFact {
    /// The device.
    pub node: NodeId,
    /// Whether it switches the neutral too.
    pub switches_neutral: Fact<bool>,
}

/// What the states rest on beside the graph.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StateFacts {
    /// Everything that can be opened, whether or not under load.
    pub switches: Vec<SwitchPoint>,
    /// Transfer devices; one that is missing here has an unknown neutral.
    pub transfers: Vec<TransferFact>,
    /// Sources that may start without a person: a generator's two-wire start, timed charging, a remote command, a
    /// battery that wakes up. Unknown counts as can.
    pub starts: Vec<(NodeId, Fact<bool>)>,
    /// Sources that are plugged in by a cord, so that their neutral is joined only while they feed.
    pub plugged_in: Vec<NodeId>,
}

/// The switching points of sized circuits: the device of every circuit that has one, at the end of the supply.
///
/// Strings have theirs at the combiner or input, controllers at the battery bus, and the main device of a service
/// stands in the service equipment, so that the conductors from the utility lie before it.
pub fn switch_points(graph: &Graph, runs: &[Run], circuits: &[Sized]) -> Vec<SwitchPoint> {
    let mut points = Vec::new();
    for (k, circuit) in graph.circuits.iter().enumerate() {
        let Some(sized) = circuits.get(k) else { continue };
        let device = circuit.run.and_then(|run| runs.get(run.0)).and_then(|run| run.device.as_ref());
        let has_device = match (device, &circuit.demand) {
            (Some(_), _) => true,
            // A service without a main device has nothing that opens it.
            (None, Demand::UtilitySupply(supply)) => supply.main.is_known(),
            (None, _) => sized.protection.needed.value() == Some(&true),
        };
        if !has_device {
            continue;
        }
        let kind = match device.map(|device| &device.kind) {
            Some(Fact::Known(kind)) => Some(kind.value),
            // Stated without its kind: nobody may lean on it.
            Some(Fact::Unknown(_)) => Some(DeviceKind::Fuse),
            None => None,
        };
        let kind = match (kind, device) {
            (Some(DeviceKind::Breaker), Some(device)) if !breaks_here(device, &circuit.demand) => {
                Some(DeviceKind::Fuse)
            }
            (kind, _) => kind,
        };
        let planned = match circuit.demand.supply() {
            Supply::Ac => DeviceKind::Breaker,
            Supply::Dc => DeviceKind::Fuse,
        };
        let from_utility = graph.node(circuit.from).is_some_and(|node| node.kind == NodeKind::Utility);
        points.push(SwitchPoint {
            circuit: CircuitId(k),
            end: match &circuit.demand {
                Demand::PvStrings(_) | Demand::ControllerToBus(_) => End::To,
                Demand::UtilitySupply(_) if from_utility => End::To,
                _ => End::From,
            },
            kind: match kind.unwrap_or(planned) {
                DeviceKind::Breaker => SwitchKind::Breaker,
                DeviceKind::Fuse => SwitchKind::FuseHolder,
            },
            stated: kind.is_some(),
        });
    }
    points
}

/// Whether a breaker is known to break this circuit: marked for its current, and not of one direction where current
/// flows both ways. Unknown is no.
fn breaks_here(device: &crate::facts::Device, demand: &Demand) -> bool {
    let supply = demand.supply();
    let marked = device.suits.value().is_some_and(|suits| suits.on(supply));
    let both = supply == Supply::Dc && demand.flows_both_ways();
    marked && (!both || device.polarised.value() == Some(&false))
}

/// More combinations of transfer positions than this are not told apart: all positions then count as closed at
/// once, which never hides a source.
const MOST_POSITIONS: usize = 64;

/// Supplies of every transfer device, and the combinations of positions: in each, the circuits that are open because
/// their transfer device stands elsewhere.
pub(crate) fn positions(graph: &Graph, between: bool) -> Vec<Vec<CircuitId>> {
    let mut all: Vec<Vec<CircuitId>> = vec![Vec::new()];
    for (t, _) in graph.nodes.iter().enumerate().filter(|(_, node)| node.kind == NodeKind::Transfer) {
        let supplies: Vec<CircuitId> =
            graph.circuits_at(NodeId(t)).filter(|(_, c)| c.to == NodeId(t)).map(|(id, _)| id).collect();
        if supplies.is_empty() {
            continue;
        }
        let mut choices: Vec<Option<CircuitId>> = supplies.iter().copied().map(Some).collect();
        if between {
            choices.push(None);
        }
        if all.len() * choices.len() > MOST_POSITIONS {
            return vec![Vec::new()];
        }
        all = all
            .iter()
            .flat_map(|open| {
                choices.iter().map(|closed| {
                    let mut open = open.clone();
                    open.extend(supplies.iter().copied().filter(|id| Some(*id) != *closed));
                    open
                })
            })
            .collect();
    }
    all
}

/// Ports of a piece of equipment; only converters have more than the first.
const PORTS: usize = 4;
const DC: usize = 0;
const PV: usize = 1;
const AC_IN: usize = 2;
const AC_OUT: usize = 3;

/// A part of the network: a port of a piece of equipment or a conductor.
pub(crate) type Part = usize;

/// One way energy can go: into this part from another, and through which load-break switch.
#[derive(Clone, Copy)]
struct Way {
    from: Part,
    switch: Option<u32>,
}

/// The network in every combination of transfer positions.
pub(crate) struct Network {
    /// For each combination, the ways into each part.
    ways: Vec<Vec<Vec<Way>>>,
    /// Source at each part.
    sources: Vec<Option<NodeId>>,
    nodes: usize,
}

/// Most switches the sets can be formed of.
pub(crate) const MOST_SWITCHES: usize = 128;

impl Network {
    /// Of a graph; switches that do not break load count as joined.
    pub(crate) fn new(graph: &Graph, switches: &[SwitchPoint]) -> Self {
        let parts = graph.nodes.len() * PORTS + graph.circuits.len();
        let mut sources = vec![None; parts];
        for (k, node) in graph.nodes.iter().enumerate() {
            if node.kind.is_source() {
                sources[k * PORTS] = Some(NodeId(k));
            }
        }
        let ways = positions(graph, false)
            .into_iter()
            .map(|open| {
                let mut ways = vec![Vec::new(); parts];
                inside(graph, &mut ways);
                for (k, circuit) in graph.circuits.iter().enumerate() {
                    join(graph, switches, &open, CircuitId(k), circuit, &mut ways);
                }
                ways
            })
            .collect();
        Network { ways, sources, nodes: graph.nodes.len() }
    }

    /// The conductor of a circuit.
    pub(crate) fn conductor(&self, circuit: CircuitId) -> Part {
        self.nodes * PORTS + circuit.0
    }

    /// Every port of a piece of equipment.
    pub(crate) fn ports(&self, node: NodeId) -> std::ops::Range<Part> {
        node.0 * PORTS..(node.0 + 1) * PORTS
    }

    /// Sources that reach any of the parts in any state with these switches open, ascending.
    pub(crate) fn sources(&self, parts: &[Part], open: u128) -> Vec<NodeId> {
        let mut found = Vec::new();
        for ways in &self.ways {
            self.search(ways, parts, open, |source, _| {
                found.push(source);
                false
            });
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The switches on a way from a source other than `always` with the fewest switches; `None` when none is left.
    pub(crate) fn live_way(&self, parts: &[Part], open: u128, always: &[NodeId]) -> Option<u128> {
        let mut shortest: Option<u128> = None;
        for ways in &self.ways {
            self.search(ways, parts, open, |source, on_the_way| {
                if always.contains(&source) {
                    return false;
                }
                if shortest.is_none_or(|best| on_the_way.count_ones() < best.count_ones()) {
                    shortest = Some(on_the_way);
                }
                true
            });
        }
        shortest
    }

    /// Goes back from the parts, fewest switches first; `at` is told every source met with the switches between and
    /// ends the search by returning true.
    fn search(
        &self,
        ways: &[Vec<Way>],
        parts: &[Part],
        open: u128,
        mut at: impl FnMut(NodeId, u128) -> bool,
    ) {
        let mut seen = vec![false; self.sources.len()];
        let mut queue: std::collections::VecDeque<(Part, u128)> = parts.iter().map(|p| (*p, 0)).collect();
        while let Some((part, on_the_way)) = queue.pop_front() {
            if std::mem::replace(&mut seen[part], true) {
                continue;
            }
            if let Some(source) = self.sources[part]
                && at(source, on_the_way)
            {
                return;
            }
            for way in &ways[part] {
                match way.switch {
                    Some(switch) if open >> switch & 1 == 1 => {}
                    Some(switch) => queue.push_back((way.from, on_the_way | 1 << switch)),
                    None => queue.push_front((way.from, on_the_way)),
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
            ways[k * PORTS + to].push(Way { from: k * PORTS + from, switch: None });
        }
    }
}

fn join(
    graph: &Graph,
    switches: &[SwitchPoint],
    open: &[CircuitId],
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
        if end == End::To && open.contains(&id) {
            continue;
        }
        let port = port_of(graph, circuit, node);
        let switch = switches
            .iter()
            .position(|s| s.circuit == id && s.end == end && s.kind.breaks_load())
            .filter(|k| *k < MOST_SWITCHES)
            .map(|k| k as u32);
        ways[port].push(Way { from: conductor, switch });
        let to_converter = graph
            .node(node)
            .is_some_and(|node| matches!(node.kind, NodeKind::Inverter | NodeKind::Controller));
        if !(end == End::To && to_converter) || fed_back(&circuit.demand) {
            ways[conductor].push(Way { from: port, switch });
        }
    }
}
