//! The bond table: ties between neutral and ground, counted on each energised and galvanically continuous neutral in
//! every state of the graph and while it changes from one state to the next.
//!
//! A state is one source feeding, every transfer device in one position, and every bond relay open or closed as its
//! inverter passes a supply through or makes its own. Nothing is counted over the whole drawing.

use crate::facts::Supply;
use crate::graph::{Circuit, CircuitId, Graph, NeutralBond, NodeId, NodeKind};
use crate::states::StateFacts;
use quantity::{Fact, FieldPath, Gap, WhoKnows};

/// How many ties a rule set wants on an energised neutral.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Arrangement {
    /// NEC: exactly one, at the service or at the separately derived source that feeds (250.24(A)(5), 250.30, from
    /// memory).
    Nec,
    /// The supply's neutral and protective conductor are joined at the origin: one while it feeds, one in island mode
    /// (IEC 60364-1, 312.2, from memory).
    TnCS,
    /// They are joined at the supply's transformer: none in the house while it feeds, one in island mode.
    TnS,
    /// The house has an electrode of its own: none while the supply feeds, one in island mode.
    Tt,
    /// Isolated from earth: none.
    It,
}

impl Arrangement {
    /// Ties that are right while the utility feeds, or while a source of the house does.
    pub fn wanted(self, utility_feeds: bool) -> usize {
        match (self, utility_feeds) {
            (Arrangement::Nec | Arrangement::TnCS, _) => 1,
            (Arrangement::TnS | Arrangement::Tt, true) => 0,
            (Arrangement::TnS | Arrangement::Tt, false) => 1,
            (Arrangement::It, _) => 0,
        }
    }

    /// "TN-C-S".
    pub fn in_words(self) -> &'static str {
        match self {
            Arrangement::Nec => "NEC",
            Arrangement::TnCS => "TN-C-S",
            Arrangement::TnS => "TN-S",
            Arrangement::Tt => "TT",
            Arrangement::It => "IT",
        }
    }
}

/// What a state of the table is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Moment {
    /// It lasts.
    Steady,
    /// A transfer device is between its positions and an inverter keeps the house alive.
    BetweenPositions,
    /// The inverter has taken over and its bond relay has not closed yet, or has closed before the supply was parted.
    RelayMoves,
}

impl Moment {
    /// The words for a table.
    pub fn in_words(self) -> &'static str {
        match self {
            Moment::Steady => "steady",
            Moment::BetweenPositions => "while a transfer device moves",
            Moment::RelayMoves => "while a bond relay moves",
        }
    }
}

/// Whether the count of a state is right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BondVerdict {
    /// As many as the arrangement wants.
    Right,
    /// Fewer.
    TooFew,
    /// More.
    TooMany,
    /// A fact is missing; to be treated as a danger.
    Unknown,
}

/// One state of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct BondState {
    /// Source that feeds; stacked inverters are named by their first.
    pub source: NodeId,
    /// Supply at which each transfer device stands; devices that are between positions are missing.
    pub stands: Vec<(NodeId, CircuitId)>,
    /// Whether it lasts.
    pub moment: Moment,
    /// Equipment on the energised neutral, ascending.
    pub neutral: Vec<NodeId>,
    /// Closed ties on it, ascending.
    pub bonds: Vec<NodeId>,
    /// Ties that may be closed or not: their state, or whether the neutral reaches them, is not known.
    pub possible: Vec<NodeId>,
    /// The facts that would decide them.
    pub gap: Option<Gap>,
    /// Whether the count is right.
    pub verdict: BondVerdict,
}

/// Every state and every moment between, steady states first, each listed once.
pub fn bond_table(graph: &Graph, facts: &StateFacts, arrangement: Arrangement) -> Vec<BondState> {
    let mut table: Vec<BondState> = Vec::new();
    let sources = sources(graph);
    let (positions, too_many) = match positions(graph) {
        Some(positions) => (positions, false),
        None => (vec![Vec::new()], true),
    };
    for open in positions {
        let stands = stands(graph, &open);
        let all_stand = stands.len() == devices(graph).count();
        for source in &sources {
            let inverter = graph.node(*source).is_some_and(|node| node.kind == NodeKind::Inverter);
            if !all_stand && !inverter {
                continue;
            }
            let moment = if all_stand { Moment::Steady } else { Moment::BetweenPositions };
            let state = |relay_lags, moment| {
                let counted = Count { graph, facts, open: &open, source: *source, relay_lags };
                let mut state = counted.state(stands.clone(), moment, arrangement);
                if too_many {
                    not_gone_through(graph, &mut state);
                }
                state
            };
            table.push(state(false, moment));
            if all_stand && has_relay(graph, *source) {
                table.push(state(true, Moment::RelayMoves));
            }
        }
    }
    // Positions that change nothing on the neutral of a source are one state.
    let mut listed: Vec<BondState> = Vec::new();
    for state in table {
        let same = |other: &BondState| {
            (other.source, other.moment, &other.neutral, &other.bonds, &other.possible)
                == (state.source, state.moment, &state.neutral, &state.bonds, &state.possible)
        };
        match listed.iter_mut().find(|other| same(other)) {
            Some(other) => {
                let shared: Vec<_> =
                    other.stands.iter().filter(|at| state.stands.contains(at)).copied().collect();
                other.stands = shared;
            }
            None => listed.push(state),
        }
    }
    listed.sort_by_key(|state| (state.moment != Moment::Steady, state.source, state.moment as u8));
    listed
}

/// Most combinations of transfer positions that are gone through; a table of more would help nobody. Beyond them all
/// positions count as closed at once, and no count is called right.
const MOST_POSITIONS: usize = 1024;

/// Supplies of every transfer device, and the combinations of positions: in each, the circuits that are open because
/// their transfer device stands elsewhere. `None` where there are more than [`MOST_POSITIONS`].
fn positions(graph: &Graph) -> Option<Vec<Vec<CircuitId>>> {
    let mut all: Vec<Vec<CircuitId>> = vec![Vec::new()];
    for (t, _) in graph.nodes.iter().enumerate().filter(|(_, node)| node.kind == NodeKind::Transfer) {
        let supplies: Vec<CircuitId> =
            graph.circuits_at(NodeId(t)).filter(|(_, c)| c.to == NodeId(t)).map(|(id, _)| id).collect();
        if supplies.is_empty() {
            continue;
        }
        let mut choices: Vec<Option<CircuitId>> = supplies.iter().copied().map(Some).collect();
        choices.push(None);
        if all.len() * choices.len() > MOST_POSITIONS {
            return None;
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
    Some(all)
}

fn devices(graph: &Graph) -> impl Iterator<Item = NodeId> + '_ {
    graph
        .nodes
        .iter()
        .enumerate()
        .filter(|(_, node)| node.kind == NodeKind::Transfer)
        .map(|(k, _)| NodeId(k))
        .filter(|id| graph.circuits.iter().any(|c| c.to == *id))
}

fn stands(graph: &Graph, open: &[CircuitId]) -> Vec<(NodeId, CircuitId)> {
    devices(graph)
        .filter_map(|device| {
            let mut closed = graph
                .circuits_at(device)
                .filter(|(id, c)| c.to == device && !open.contains(id))
                .map(|(id, _)| id);
            closed.next().map(|id| (device, id))
        })
        .collect()
}

/// Where not every position was gone through, no count is known.
fn not_gone_through(graph: &Graph, state: &mut BondState) {
    state.stands.clear();
    state.verdict = BondVerdict::Unknown;
    for device in devices(graph) {
        let name = graph.node(device).map_or_else(String::new, |node| node.name.to_string());
        let field = FieldPath::new(format!("transfer.{name}.from"));
        add(&mut state.gap, &Gap::one(field, WhoKnows::Electrician));
    }
}

/// One of each source of alternating current that feeds something; stacked inverters are one.
fn sources(graph: &Graph) -> Vec<NodeId> {
    let mut stacks: Vec<&crate::graph::Stack> = Vec::new();
    let mut sources = Vec::new();
    for (k, node) in graph.nodes.iter().enumerate() {
        let makes = matches!(node.kind, NodeKind::Inverter | NodeKind::Utility | NodeKind::Generator);
        let feeds = graph.circuits_at(NodeId(k)).any(|(_, c)| c.from == NodeId(k) && is_ac(c));
        if makes && feeds && node.stack.as_ref().is_none_or(|stack| !stacks.contains(&stack)) {
            stacks.extend(node.stack.as_ref());
            sources.push(NodeId(k));
        }
    }
    sources
}

fn is_ac(circuit: &Circuit) -> bool {
    circuit.demand.supply() == Supply::Ac
}

fn has_relay(graph: &Graph, inverter: NodeId) -> bool {
    let relay = |bond: &Fact<NeutralBond>| bond.value() == Some(&NeutralBond::RelayWhenInverting);
    graph.node(inverter).is_some_and(|node| node.bond.as_ref().is_some_and(relay))
}

/// One state being counted.
struct Count<'a> {
    graph: &'a Graph,
    facts: &'a StateFacts,
    /// Supplies from which their transfer device is parted.
    open: &'a [CircuitId],
    source: NodeId,
    /// The relay of the feeding inverters has not moved yet.
    relay_lags: bool,
}

impl Count<'_> {
    fn state(&self, stands: Vec<(NodeId, CircuitId)>, moment: Moment, arrangement: Arrangement) -> BondState {
        // With the neutral of unknown devices parted, and with it joined: what differs is only possible.
        let mut gap = None;
        let joined = self.neutral(true, &mut gap);
        let parted = self.neutral(false, &mut None);
        let (mut bonds, mut possible) = (Vec::new(), Vec::new());
        for id in &joined {
            let Some(node) = self.graph.node(*id) else { continue };
            let Some(fact) = &node.bond else { continue };
            let closed = match fact {
                Fact::Unknown(more) => {
                    add(&mut gap, more);
                    possible.push(*id);
                    continue;
                }
                Fact::Known(bond) => match bond.value {
                    NeutralBond::None | NeutralBond::LeftOut => false,
                    NeutralBond::Fixed => true,
                    NeutralBond::Fitted if node.kind != NodeKind::Panel => {
                        // A removable strap of a source is fitted when it is delivered and may be out by now.
                        let field = FieldPath::new(format!("neutral bond of {}", node.name));
                        add(&mut gap, &Gap::one(field, WhoKnows::Owner));
                        possible.push(*id);
                        continue;
                    }
                    NeutralBond::Fitted => true,
                    NeutralBond::RelayWhenInverting => self.makes_its_own(*id) && !self.relay_lags,
                },
            };
            if closed && parted.contains(id) {
                bonds.push(*id);
            } else if closed {
                possible.push(*id);
            }
        }
        let utility = self.graph.node(self.source).is_some_and(|node| node.kind == NodeKind::Utility);
        let wanted = arrangement.wanted(utility);
        let verdict = if bonds.len() > wanted {
            BondVerdict::TooMany
        } else if gap.is_some() && (!possible.is_empty() || joined != parted) {
            BondVerdict::Unknown
        } else if bonds.len() < wanted {
            BondVerdict::TooFew
        } else {
            BondVerdict::Right
        };
        BondState { source: self.source, stands, moment, neutral: joined, bonds, possible, gap, verdict }
    }

    /// Equipment on the neutral of the source. Neutrals run solid through panels, transfer devices that do not switch
    /// them, and inverters, but for those that part the neutral of their supply in island mode; a source on a cord brings its neutral only while it feeds.
    fn neutral(&self, unknown_is_joined: bool, gap: &mut Option<Gap>) -> Vec<NodeId> {
        let mut parted = Vec::new();
        for device in devices(self.graph) {
            let fact = self.facts.transfers.iter().find(|t| t.node == device).map(|t| &t.switches_neutral);
            let switches = match fact {
                Some(Fact::Known(switches)) => switches.value,
                Some(Fact::Unknown(more)) => {
                    add(gap, more);
                    !unknown_is_joined
                }
                None => {
                    let name = self.graph.node(device).map_or_else(String::new, |node| node.name.to_string());
                    let field = FieldPath::new(format!("transfer.{name}.switches_neutral"));
                    add(gap, &Gap::one(field, WhoKnows::Maker));
                    !unknown_is_joined
                }
            };
            if switches {
                let here = self.graph.circuits_at(device).filter(|(id, _)| self.open.contains(id));
                parted.extend(here.map(|(id, _)| id));
            }
        }
        for (inverter, fact) in self.facts.parts_neutral.iter().filter(|(id, _)| self.makes_its_own(*id)) {
            let parts = match fact {
                Fact::Known(parts) => parts.value,
                Fact::Unknown(more) => {
                    add(gap, more);
                    !unknown_is_joined
                }
            };
            if parts {
                let inputs = self.graph.circuits_at(*inverter).filter(|(_, c)| c.to == *inverter && is_ac(c));
                parted.extend(inputs.map(|(id, _)| id));
            }
        }
        let unplugged = |c: &Circuit| {
            self.facts
                .plugged_in
                .iter()
                .any(|node| *node != self.source && (c.from == *node || c.to == *node))
        };
        self.graph.reach(
            self.source,
            |id, c| is_ac(c) && !parted.contains(&id) && !unplugged(c),
            |_, _| false,
        )
    }

    /// Whether an inverter makes its own supply: it is the source, or no other supply reaches its input.
    fn makes_its_own(&self, inverter: NodeId) -> bool {
        if inverter == self.source {
            return true;
        }
        let stack = |id: NodeId| self.graph.node(id).and_then(|node| node.stack.as_ref());
        if stack(inverter).is_some() && stack(inverter) == stack(self.source) {
            return true;
        }
        let inputs = self.graph.circuits.iter().filter(|c| c.to == inverter && is_ac(c));
        // Its own output must not count as a supply of its input.
        let live = |start: NodeId| {
            self.graph
                .reach(
                    start,
                    |id, c| is_ac(c) && !self.open.contains(&id) && c.to != inverter && c.from != inverter,
                    |_, _| false,
                )
                .contains(&self.source)
        };
        !inputs.into_iter().any(|circuit| live(circuit.from))
    }
}

fn add(gap: &mut Option<Gap>, more: &Gap) {
    *gap = Some(match gap.take() {
        Some(all) => all.and(more),
        None => more.clone(),
    });
}
