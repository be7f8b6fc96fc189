//! The circuit graph: nodes are equipment, edges are circuits. The caller derives both from the system; nothing
//! here knows a kind of system, and any source, bus, combiner or building may be there once, often or not at all.

use crate::demand::Demand;
use crate::facts::Supply;
use quantity::Fact;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Place of a node in its graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(pub usize);

/// Place of a run in the list of runs given beside the graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RunId(pub usize);

/// Place of a circuit in its graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CircuitId(pub usize);

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The names are the field's own words.
pub enum NodeKind {
    PvString,
    Combiner,
    Switch,
    Controller,
    Inverter,
    BatteryUnit,
    BatteryBus,
    Panel,
    Transfer,
    Utility,
    Service,
    Generator,
    Load,
    Electrode,
}

impl NodeKind {
    /// The words for a schedule.
    pub fn in_words(self) -> &'static str {
        match self {
            NodeKind::PvString => "string of modules",
            NodeKind::Combiner => "combiner",
            NodeKind::Switch => "switch",
            NodeKind::Controller => "charge controller",
            NodeKind::Inverter => "inverter",
            NodeKind::BatteryUnit => "battery unit",
            NodeKind::BatteryBus => "battery bus",
            NodeKind::Panel => "panel",
            NodeKind::Transfer => "transfer device",
            NodeKind::Utility => "utility",
            NodeKind::Service => "service equipment",
            NodeKind::Generator => "generator",
            NodeKind::Load => "load",
            NodeKind::Electrode => "grounding electrode",
        }
    }

    /// Whether energy enters the system there.
    pub fn is_source(self) -> bool {
        matches!(self, NodeKind::PvString | NodeKind::BatteryUnit | NodeKind::Utility | NodeKind::Generator)
    }
}

/// Whether and when neutral and equipment ground are joined inside a piece of equipment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NeutralBond {
    /// Never joined.
    None,
    /// Joined and not removable.
    Fixed,
    /// Joined by a screw or strap that is fitted.
    Fitted,
    /// A screw or strap that is left out.
    LeftOut,
    /// A relay that closes while the equipment makes its own supply and opens while it passes another through.
    RelayWhenInverting,
}

/// A piece of equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Owner's name, unique in the graph.
    pub name: Arc<str>,
    /// What it is.
    pub kind: NodeKind,
    /// Owner's name of the building or place it stands in; empty in the open.
    pub building: Arc<str>,
    /// Its bond of neutral and ground; `None` where the equipment has no neutral.
    pub bond: Option<Fact<NeutralBond>>,
    /// Whether it is listed to run in parallel with the utility; `None` for what makes no alternating current.
    pub interactive: Option<Fact<bool>>,
    /// The group of inverters it is stacked with to run as one source; `None` when it stands alone.
    pub stack: Option<Stack>,
}

/// Inverters of one kind that feed the same equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    /// Name of the group, the same for all of its members.
    pub group: Arc<str>,
    /// Whether their maker lets them run together as they stand: keeping step is a property of the part.
    pub keeps_step: Fact<bool>,
}

/// Conductors from one node to another with one protective device and one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// Identifier made from the owner's names, unique in the graph.
    pub name: Arc<str>,
    /// The end nearer to the source for which it is named. An alternating-current circuit leads *to* an inverter's
    /// input and *from* its output.
    pub from: NodeId,
    /// The other end.
    pub to: NodeId,
    /// The facts its design current rests on.
    pub demand: Demand,
    /// Its route; `None` when the owner has given none.
    pub run: Option<RunId>,
    /// Insulated circuit conductors of one set, without the equipment ground: 2 for direct current, 2 for two-wire
    /// and 3 for three-wire alternating current, 4 for three phases with neutral.
    pub conductors: u32,
    /// Those of them that count as current-carrying, NEC 310.15(E) (from memory).
    pub carrying: u32,
    /// Poles of its device and of its switch.
    pub poles: u32,
}

impl Circuit {
    /// Whether it has three line conductors and a neutral; its voltage is then that of one line to neutral.
    pub fn is_three_phase(&self) -> bool {
        self.conductors == 4
    }
}

/// The graph.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Graph {
    /// Equipment.
    pub nodes: Vec<Node>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
}

/// What is wrong with the shape of a graph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GraphProblem {
    /// A circuit names a node that is not there.
    Dangling(CircuitId),
    /// A circuit starts and ends at the same node.
    Loop(CircuitId),
    /// A piece of equipment that nothing is connected to.
    Unconnected(NodeId),
    /// Two circuits or two nodes share a name.
    SameName(Arc<str>),
    /// Two sources of alternating current can meet without a transfer device or listed parallel operation.
    SourcesMeet(NodeId, NodeId),
    /// As before, but a fact that decides it is missing; counts as meeting.
    SourcesMayMeet(NodeId, NodeId, quantity::Gap),
}

impl Graph {
    /// Adds a node.
    pub fn add(&mut self, node: Node) -> NodeId {
        self.nodes.push(node);
        NodeId(self.nodes.len() - 1)
    }

    /// Adds a circuit.
    pub fn join(&mut self, circuit: Circuit) -> CircuitId {
        self.circuits.push(circuit);
        CircuitId(self.circuits.len() - 1)
    }

    /// The node, if there.
    pub fn node(&self, id: NodeId) -> Option<&Node> {
        self.nodes.get(id.0)
    }

    /// The node of this name.
    pub fn find(&self, name: &str) -> Option<NodeId> {
        self.nodes.iter().position(|node| &*node.name == name).map(NodeId)
    }

    /// Circuits that end at a node, in graph order.
    pub fn circuits_at(&self, node: NodeId) -> impl Iterator<Item = (CircuitId, &Circuit)> {
        self.circuits
            .iter()
            .enumerate()
            .filter(move |(_, c)| c.from == node || c.to == node)
            .map(|(k, c)| (CircuitId(k), c))
    }

    /// How many circuits end at a node.
    pub fn degree(&self, node: NodeId) -> usize {
        self.circuits_at(node).count()
    }

    /// Circuits that lie in a run, in graph order: they fill its raceways and warm each other together.
    pub fn sharing(&self, run: RunId) -> impl Iterator<Item = (CircuitId, &Circuit)> {
        self.circuits
            .iter()
            .enumerate()
            .filter(move |(_, c)| c.run == Some(run))
            .map(|(k, c)| (CircuitId(k), c))
    }

    /// Nodes that can be reached from `start` over circuits for which `closed` holds, entering but not leaving
    /// nodes for which `stops` holds. `start` itself is always left. In ascending order, `start` included.
    pub fn reach(
        &self,
        start: NodeId,
        closed: impl Fn(CircuitId, &Circuit) -> bool,
        stops: impl Fn(NodeId, &Node) -> bool,
    ) -> Vec<NodeId> {
        let mut seen = vec![false; self.nodes.len()];
        let mut queue = Vec::new();
        if let Some(first) = seen.get_mut(start.0) {
            *first = true;
            queue.push(start);
        }
        while let Some(here) = queue.pop() {
            if here != start && self.node(here).is_none_or(|node| stops(here, node)) {
                continue;
            }
            for (id, circuit) in self.circuits_at(here) {
                let there = if circuit.from == here { circuit.to } else { circuit.from };
                if let Some(flag) = seen.get_mut(there.0)
                    && !*flag
                    && closed(id, circuit)
                {
                    *flag = true;
                    queue.push(there);
                }
            }
        }
        seen.iter().enumerate().filter(|(_, seen)| **seen).map(|(k, _)| NodeId(k)).collect()
    }

    /// Everything wrong with the shape; empty when nothing is.
    pub fn problems(&self) -> Vec<GraphProblem> {
        let mut problems = Vec::new();
        for (k, circuit) in self.circuits.iter().enumerate() {
            let id = CircuitId(k);
            if self.node(circuit.from).is_none() || self.node(circuit.to).is_none() {
                problems.push(GraphProblem::Dangling(id));
            } else if circuit.from == circuit.to {
                problems.push(GraphProblem::Loop(id));
            }
        }
        for k in 0..self.nodes.len() {
            if self.degree(NodeId(k)) == 0 {
                problems.push(GraphProblem::Unconnected(NodeId(k)));
            }
        }
        let mut names: Vec<&Arc<str>> = self.nodes.iter().map(|n| &n.name).collect();
        problems.extend(repeated(&mut names));
        let mut names: Vec<&Arc<str>> = self.circuits.iter().map(|c| &c.name).collect();
        problems.extend(repeated(&mut names));
        problems.extend(self.meeting_sources());
        problems
    }

    /// Pairs of alternating-current sources with an unbroken path between them in some position of the transfer
    /// devices. A transfer device parts its supplies from each other, not the chosen one from its load side; an
    /// inverter parts its input from its output.
    fn meeting_sources(&self) -> Vec<GraphProblem> {
        let mut pairs = BTreeSet::new();
        for (k, _) in self.nodes.iter().enumerate().filter(|(_, node)| makes_ac(node)) {
            let start = NodeId(k);
            for (other, torn) in self.ways_to_sources(start, &[]) {
                let met = torn.is_none_or(|device| {
                    self.meets(start, other, device, &mut Vec::new(), &mut { MOST_TRIALS })
                });
                if met && other.0 > k {
                    pairs.insert((start, other));
                }
            }
        }
        pairs.into_iter().filter_map(|(a, b)| self.meeting(a, b)).collect()
    }

    /// Sources of alternating current that a way leads to from `start`, with the supplies of `open` parted from their
    /// transfer devices; with each the device that the way found would have stand at two supplies at once, if any.
    fn ways_to_sources(&self, start: NodeId, open: &[CircuitId]) -> Vec<(NodeId, Option<NodeId>)> {
        let mut came_by: Vec<Option<(CircuitId, NodeId)>> = vec![None; self.nodes.len()];
        let mut queue = vec![start];
        let mut found = Vec::new();
        while let Some(here) = queue.pop() {
            let Some(node) = self.node(here) else { continue };
            if here != start && makes_ac(node) {
                found.push((here, self.torn(here, &came_by)));
                continue;
            }
            for (id, circuit) in self.circuits_at(here) {
                let there = if circuit.from == here { circuit.to } else { circuit.from };
                // Circuits lead into an inverter's input and out of its output; its own relay parts the two, so an
                // inverter is met at its output only.
                let closed = circuit.demand.supply() == Supply::Ac
                    && !open.contains(&id)
                    && self.node(circuit.to).is_some_and(|to| to.kind != NodeKind::Inverter);
                if closed && there != start && came_by.get(there.0).is_some_and(Option::is_none) {
                    came_by[there.0] = Some((id, here));
                    queue.push(there);
                }
            }
        }
        found
    }

    /// Whether two sources are joined in some position of a device that the way found between them would have stand at
    /// two supplies. Once `trials` are used up they count as joined: nothing counts as parted that was not gone through.
    fn meets(
        &self,
        start: NodeId,
        other: NodeId,
        device: NodeId,
        open: &mut Vec<CircuitId>,
        trials: &mut u32,
    ) -> bool {
        let supplies: Vec<CircuitId> = self.supplies_of(device).filter(|id| !open.contains(id)).collect();
        supplies.iter().any(|stands| {
            if *trials == 0 {
                return true;
            }
            *trials -= 1;
            let before = open.len();
            open.extend(supplies.iter().filter(|id| *id != stands));
            let way = self.ways_to_sources(start, open).into_iter().find(|(met, _)| *met == other);
            let joined = match way {
                None => false,
                Some((_, None)) => true,
                Some((_, Some(next))) => self.meets(start, other, next, open, trials),
            };
            open.truncate(before);
            joined
        })
    }

    /// Supplies of a transfer device.
    fn supplies_of(&self, device: NodeId) -> impl Iterator<Item = CircuitId> + '_ {
        self.circuits_at(device).filter(move |(_, c)| c.to == device).map(|(id, _)| id)
    }

    /// A transfer device that the way to a node enters by one supply and leaves by another.
    fn torn(&self, end: NodeId, came_by: &[Option<(CircuitId, NodeId)>]) -> Option<NodeId> {
        let mut here = end;
        let mut left_by: Option<CircuitId> = None;
        while let Some(Some((by, from))) = came_by.get(here.0) {
            let leads_here = |id: CircuitId| self.circuits.get(id.0).is_some_and(|c| c.to == here);
            let is_device = self.node(here).is_some_and(|node| node.kind == NodeKind::Transfer);
            if is_device && leads_here(*by) && left_by.is_some_and(leads_here) {
                return Some(here);
            }
            left_by = Some(*by);
            here = *from;
        }
        None
    }

    /// Whether sources reach a circuit of alternating current from both of its ends, so that current may flow through
    /// its device either way. Units stacked to run as one source count as one; an inverter feeds its input where it may
    /// run in parallel, or nobody says it may not.
    pub fn fed_from_both_ends(&self, id: CircuitId) -> bool {
        let Some(circuit) = self.circuits.get(id.0).filter(|c| c.demand.supply() == Supply::Ac) else {
            return false;
        };
        let (a, b) = (self.sources_beyond(circuit.from, id), self.sources_beyond(circuit.to, id));
        let one = |a: &NodeId, b: &NodeId| {
            let group = |id: &NodeId| self.node(*id).and_then(|node| node.stack.as_ref()).map(|s| &s.group);
            a == b || (group(a).is_some() && group(a) == group(b))
        };
        a.iter().any(|a| b.iter().any(|b| !one(a, b)))
    }

    /// Sources of alternating current that reach an end of a circuit without it.
    fn sources_beyond(&self, end: NodeId, without: CircuitId) -> Vec<NodeId> {
        let feeds_by_input =
            |node: &Node| node.interactive.as_ref().is_some_and(|may| may.value() != Some(&false));
        let mut seen = vec![end];
        let mut queue = vec![(end, without)];
        let mut found = Vec::new();
        while let Some((here, by)) = queue.pop() {
            let Some(node) = self.node(here) else { continue };
            let by_input = self.circuits.get(by.0).is_some_and(|c| c.to == here);
            if node.kind == NodeKind::Inverter && by_input {
                if feeds_by_input(node) {
                    found.push(here);
                }
                continue;
            }
            if makes_ac(node) {
                found.push(here);
                continue;
            }
            // Entered by one of its supplies, a transfer device leads to its load side alone.
            let parts = node.kind == NodeKind::Transfer && by_input;
            for (id, circuit) in self.circuits_at(here) {
                let there = if circuit.from == here { circuit.to } else { circuit.from };
                let shut = id == without || id == by || (parts && circuit.to == here);
                if !shut && circuit.demand.supply() == Supply::Ac && !seen.contains(&there) {
                    seen.push(there);
                    queue.push((there, id));
                }
            }
        }
        found
    }

    /// What is wrong with two sources between which a path is closed; `None` when they may run together.
    fn meeting(&self, a: NodeId, b: NodeId) -> Option<GraphProblem> {
        let pair = [self.node(a)?, self.node(b)?];
        if !pair.iter().all(|node| makes_ac(node)) {
            return None;
        }
        let stacks = match (&pair[0].stack, &pair[1].stack) {
            (Some(a), Some(b)) if a.group == b.group => vec![&a.keeps_step, &b.keeps_step],
            _ => Vec::new(),
        };
        let stacked = !stacks.is_empty() && stacks.iter().all(|fact| fact.value() == Some(&true));
        // A listing for parallel operation is one with the utility, never with a generator.
        let generator = pair.iter().any(|node| node.kind == NodeKind::Generator);
        let parallel: Vec<&Fact<bool>> =
            pair.iter().filter(|_| !generator).filter_map(|node| node.interactive.as_ref()).collect();
        if stacked || parallel.iter().any(|fact| fact.value() == Some(&true)) {
            return None;
        }
        Some(match stacks.iter().chain(&parallel).find_map(|fact| fact.gap()) {
            Some(gap) => GraphProblem::SourcesMayMeet(a, b, gap.clone()),
            None => GraphProblem::SourcesMeet(a, b),
        })
    }
}

/// Most positions of transfer devices that are tried for one source; a house has a handful.
const MOST_TRIALS: u32 = 4096;

/// Whether alternating current comes out of it.
fn makes_ac(node: &Node) -> bool {
    matches!(node.kind, NodeKind::Utility | NodeKind::Generator | NodeKind::Inverter)
}

fn repeated(names: &mut [&Arc<str>]) -> Vec<GraphProblem> {
    names.sort();
    let mut found: Vec<Arc<str>> =
        names.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0].clone()).collect();
    found.dedup();
    found.into_iter().map(GraphProblem::SameName).collect()
}
