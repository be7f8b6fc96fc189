//! What each source still reaches while some switches are open: the answer to "and if I open this one?".

use crate::graph::{CircuitId, Graph, NodeId};
use crate::network::{MOST_SWITCHES, Network, Part, Search};
use crate::states::{StateFacts, SwitchId};

/// Sources that reach each part while some switches are open, in any position of the transfer devices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reached {
    /// Of the conductors of each circuit, in graph order; ascending.
    pub conductors: Vec<Vec<NodeId>>,
    /// Of each piece of equipment: sources that reach any of its terminals or a conductor that ends in it.
    pub equipment: Vec<Vec<NodeId>>,
}

/// What is reached while the switches of `open` are open and all others closed.
///
/// A switch that does not break load, and one beyond the first 128, counts as closed whatever is asked: nobody is to
/// lean on it.
pub fn reached(graph: &Graph, facts: &StateFacts, open: &[SwitchId]) -> Reached {
    let network = Network::new(graph, &facts.switches);
    let mut search = Search::of(&network);
    let mask = open
        .iter()
        .filter(|id| id.0 < MOST_SWITCHES && facts.switches.get(id.0).is_some_and(|s| s.kind.breaks_load()))
        .fold(0_u128, |mask, id| mask | 1 << id.0);
    let mut of = |parts: &[Part]| {
        let groups = search.groups(parts);
        search.sources(&groups, mask)
    };
    let conductors = (0..graph.circuits.len()).map(|k| of(&[network.conductor(CircuitId(k))])).collect();
    let equipment = (0..graph.nodes.len())
        .map(|k| {
            let node = NodeId(k);
            let ends = graph.circuits_at(node).map(|(id, _)| network.conductor(id));
            of(&network.ports(node).chain(ends).collect::<Vec<_>>())
        })
        .collect();
    Reached { conductors, equipment }
}
