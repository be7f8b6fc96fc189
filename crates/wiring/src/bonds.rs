//! The bond table: ties between neutral and ground, counted on each energised and galvanically continuous neutral in
//! every state of the graph and while it changes from one state to the next.
//!
//! A state is one source feeding, every transfer device in one position, and every bond relay open or closed as its
//! inverter passes a supply through or makes its own. Nothing is counted over the whole drawing.

use crate::bond_walk::Case;
use crate::facts::Supply;
use crate::graph::{Circuit, CircuitId, Graph, NeutralBond, NodeId, NodeKind};
use crate::states::StateFacts;
use quantity::{Fact, Gap};

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
///
/// Positions are gone through only where they change the neutral of a source, so that many transfer devices in a row or
/// beside each other still make a short table.
pub fn bond_table(graph: &Graph, facts: &StateFacts, arrangement: Arrangement) -> Vec<BondState> {
    let mut table: Vec<BondState> = Vec::new();
    for source in sources(graph) {
        for relay_lags in [false, true] {
            if !relay_lags || has_relay(graph, source) {
                table.extend(Case { graph, facts, arrangement, source, relay_lags }.states());
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

pub(crate) fn is_ac(circuit: &Circuit) -> bool {
    circuit.demand.supply() == Supply::Ac
}

fn has_relay(graph: &Graph, inverter: NodeId) -> bool {
    let relay = |bond: &Fact<NeutralBond>| bond.value() == Some(&NeutralBond::RelayWhenInverting);
    graph.node(inverter).is_some_and(|node| node.bond.as_ref().is_some_and(relay))
}
