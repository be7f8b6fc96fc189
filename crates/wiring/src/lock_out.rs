//! The lock-out map: for every conductor and every enclosure the sources that reach it, the smallest sets of switches
//! that isolate it, and what stays live whatever the owner opens.

use crate::demand::Demand;
use crate::facts::Supply;
use crate::graph::{CircuitId, Graph, NodeId, NodeKind};
use crate::network::{MOST_SWITCHES, Network, Part, Search};
use crate::states::{StateFacts, SwitchId};
use std::sync::Arc;

/// How a part of the system is made dead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Isolation {
    /// Sources that reach it with everything closed, in any position of the transfer devices.
    pub sources: Vec<NodeId>,
    /// Those of them that still reach it with every switch open.
    pub always: Vec<NodeId>,
    /// The smallest sets of switches that part it from all other sources, in the order of the switches; one empty set
    /// where there is nothing to open.
    pub sets: Vec<Vec<SwitchId>>,
    /// Whether there are more sets of that size than were asked for.
    pub more: bool,
}

/// A conductor of the map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ConductorRow {
    /// Its circuit.
    pub circuit: CircuitId,
    /// How it is made dead.
    pub isolation: Isolation,
}

/// The page of one enclosure: everything that enters it counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EnclosurePage {
    /// The equipment.
    pub node: NodeId,
    /// Circuits whose conductors end in it.
    pub conductors: Vec<CircuitId>,
    /// How all of it is made dead.
    pub isolation: Isolation,
    /// What to do, in order.
    pub steps: Vec<Step>,
}

/// One step of a sequence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// Stop and lock a source that can start without a person.
    LockStart(NodeId),
    /// Stop a source that a person starts, and keep what starts it.
    Stop(NodeId),
    /// Switch an inverter off at its own control, so that nothing is opened under load and nothing starts it again.
    SwitchOff(NodeId),
    /// Open, lock and tag.
    Open(SwitchId),
    /// Wait until the capacitors of this equipment are discharged; the time is on its label.
    Wait(NodeId),
    /// These parts stay live whatever is opened.
    StaysLive(Vec<NodeId>),
    /// Prove the absence of voltage.
    ProveDead,
}

/// The whole map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LockOutMap {
    /// One row per circuit, in graph order.
    pub conductors: Vec<ConductorRow>,
    /// One page per piece of equipment, in graph order.
    pub enclosures: Vec<EnclosurePage>,
    /// There are more switches than sets can be formed of; the sets then lean on the first 128 alone.
    pub too_many_switches: bool,
}

/// The lock-out map of a graph; of each part at most `at_most` sets are listed.
pub fn lock_out(graph: &Graph, facts: &StateFacts, at_most: usize) -> LockOutMap {
    let network = Network::new(graph, &facts.switches);
    let mut search = Search::of(&network);
    let breaking = facts.switches.iter().filter(|s| s.kind.breaks_load()).count();
    let conductors = (0..graph.circuits.len())
        .map(|k| ConductorRow {
            circuit: CircuitId(k),
            isolation: isolation(&mut search, facts, &[network.conductor(CircuitId(k))], at_most),
        })
        .collect();
    let enclosures = (0..graph.nodes.len())
        .map(|k| {
            let node = NodeId(k);
            let conductors: Vec<CircuitId> = graph.circuits_at(node).map(|(id, _)| id).collect();
            let parts: Vec<Part> =
                network.ports(node).chain(conductors.iter().map(|id| network.conductor(*id))).collect();
            let isolation = isolation(&mut search, facts, &parts, at_most);
            let steps = steps(graph, facts, &network, &mut search, node, &parts, &isolation);
            EnclosurePage { node, conductors, isolation, steps }
        })
        .collect();
    LockOutMap { conductors, enclosures, too_many_switches: breaking > MOST_SWITCHES }
}

fn isolation(search: &mut Search<'_>, facts: &StateFacts, parts: &[Part], at_most: usize) -> Isolation {
    let groups = search.groups(parts);
    let sources = search.sources(&groups, 0);
    let always = search.sources(&groups, u128::MAX);
    let (sets, more) = smallest_sets(search, &groups, &always, at_most);
    let ids = |mask: &u128| -> Vec<SwitchId> {
        (0..facts.switches.len().min(MOST_SWITCHES)).filter(|k| mask >> k & 1 == 1).map(SwitchId).collect()
    };
    let mut sets: Vec<Vec<SwitchId>> = sets.iter().map(ids).collect();
    sets.sort();
    Isolation { sources, always, sets, more }
}

/// All sets of switches of the smallest size that leave no way from a source other than `always`, up to `at_most`.
///
/// Exact: every set must open every way, so the smallest sets are the smallest that hit every way found so far and
/// leave no new one. A new way is added and the search begun again; sizes only grow.
fn smallest_sets(
    search: &mut Search<'_>,
    groups: &[usize],
    always: &[NodeId],
    at_most: usize,
) -> (Vec<u128>, bool) {
    let mut ways: Vec<u128> = Vec::new();
    let mut size = 0;
    while size <= MOST_SWITCHES as u32 {
        let mut good: Vec<u128> = Vec::new();
        let mut new_way = None;
        hit(&ways, 0, 0, size, &mut |set| match search.live_way(groups, set, always) {
            Some(way) => {
                new_way = Some(way);
                true
            }
            None => {
                good.push(set);
                good.len() > at_most
            }
        });
        match new_way {
            Some(way) => ways.push(way),
            None if good.is_empty() => size += 1,
            None => {
                let more = good.len() > at_most;
                good.truncate(at_most);
                return (good, more);
            }
        }
    }
    // Only where positions were left untried: nothing is then called enough.
    (Vec::new(), true)
}

/// Every set that adds at most `left` switches to `set`, none of them `refused`, and hits all ways. `found` ends the
/// search by returning true, and so does this.
fn hit(ways: &[u128], set: u128, mut refused: u128, left: u32, found: &mut impl FnMut(u128) -> bool) -> bool {
    // Ways without a switch in common each need one of their own: fewer than those cannot do.
    let mut first = None;
    let (mut apart, mut taken) = (0, 0);
    for way in ways.iter().filter(|way| **way & set == 0) {
        first.get_or_insert(*way);
        if way & taken == 0 {
            apart += 1;
            taken |= way;
        }
    }
    let Some(first) = first else { return found(set) };
    if apart > left {
        return false;
    }
    let mut choices = first & !refused;
    while choices != 0 {
        let switch = choices & choices.wrapping_neg();
        choices &= !switch;
        if hit(ways, set | switch, refused, left - 1, found) {
            return true;
        }
        // Sets with this switch are done; the next ones go without it.
        refused |= switch;
    }
    false
}

/// Switches of the circuits that end here which part a source that stays live from what lies behind them: the main of
/// a service, the switch of a string. Those nearest to the supply first; one that the others have made needless is left.
fn toward_what_stays_live(
    graph: &Graph,
    facts: &StateFacts,
    network: &Network,
    search: &mut Search<'_>,
    node: NodeId,
    isolation: &Isolation,
) -> Vec<SwitchId> {
    let mut opened: Vec<SwitchId> = isolation.sets.first().cloned().unwrap_or_default();
    let of_set = opened.len();
    let mut own: Vec<SwitchId> = (0..facts.switches.len().min(MOST_SWITCHES))
        .map(SwitchId)
        .filter(|id| facts.switches[id.0].kind.breaks_load() && !opened.contains(id))
        .filter(|id| {
            let circuit = graph.circuits.get(facts.switches[id.0].circuit.0);
            circuit.is_some_and(|circuit| circuit.from == node || circuit.to == node)
        })
        .collect();
    let leads_in = |id: &SwitchId| graph.circuits[facts.switches[id.0].circuit.0].to == node;
    own.sort_by_key(|id| !leads_in(id));
    for id in own {
        let Some(sides) = network.beside(graph, &facts.switches[id.0]) else { continue };
        let groups = search.groups(&sides);
        let live = search.sources(&groups, mask(&opened));
        if live.iter().any(|source| isolation.always.contains(source)) {
            opened.push(id);
        }
    }
    opened.split_off(of_set)
}

/// Puts switches of modules first and those of batteries last, and adds the modules of every converter that is to lose its
/// battery: one that is left in the sun without it may be destroyed, and arcs in the battery's switch.
fn modules_first(graph: &Graph, facts: &StateFacts, open: &mut Vec<SwitchId>) {
    let circuit =
        |id: &SwitchId| facts.switches.get(id.0).and_then(|point| graph.circuits.get(point.circuit.0));
    let rank = |id: &SwitchId| match circuit(id).map(|circuit| &circuit.demand) {
        Some(Demand::PvStrings(_)) => 0,
        Some(demand) if demand.supply() == Supply::Dc => 2,
        _ => 1,
    };
    let loses_its_battery: Vec<NodeId> = open
        .iter()
        .filter(|id| rank(id) == 2)
        .filter_map(circuit)
        .flat_map(|circuit| [circuit.from, circuit.to])
        .filter(|id| {
            graph.node(*id).is_some_and(|n| matches!(n.kind, NodeKind::Inverter | NodeKind::Controller))
        })
        .collect();
    let modules = (0..facts.switches.len().min(MOST_SWITCHES)).map(SwitchId).filter(|id| {
        let feeds = circuit(id).is_some_and(|circuit| loses_its_battery.contains(&circuit.to));
        rank(id) == 0 && feeds && facts.switches[id.0].kind.breaks_load()
    });
    let missing: Vec<SwitchId> = modules.filter(|id| !open.contains(id)).collect();
    open.extend(missing);
    open.sort_by_key(rank);
}

fn mask(switches: &[SwitchId]) -> u128 {
    switches.iter().filter(|id| id.0 < MOST_SWITCHES).fold(0, |mask, id| mask | 1 << id.0)
}

fn steps(
    graph: &Graph,
    facts: &StateFacts,
    network: &Network,
    search: &mut Search<'_>,
    node: NodeId,
    parts: &[Part],
    isolation: &Isolation,
) -> Vec<Step> {
    let mut steps = Vec::new();
    // Whatever can start by itself and reaches this place is stopped first; unknown counts as can.
    let may_start = |id: NodeId| {
        facts.starts.iter().any(|(source, starts)| *source == id && starts.value() != Some(&false))
    };
    for k in 0..graph.nodes.len() {
        let source = NodeId(k);
        if !isolation.sources.contains(&source) && source != node {
            continue;
        }
        if may_start(source) {
            steps.push(Step::LockStart(source));
        } else if graph.nodes[k].kind == NodeKind::Generator {
            steps.push(Step::Stop(source));
        }
    }
    let mut open: Vec<SwitchId> = isolation.sets.first().cloned().unwrap_or_default();
    open.extend(toward_what_stays_live(graph, facts, network, search, node, isolation));
    modules_first(graph, facts, &mut open);
    // Converters that end here, and those that still hang on these conductors with everything opened: what their
    // capacitors hold comes back through a bus that no switch parts.
    let groups = search.groups(parts);
    let converters: Vec<NodeId> = (0..graph.nodes.len())
        .map(NodeId)
        .filter(|id| matches!(graph.nodes[id.0].kind, NodeKind::Inverter | NodeKind::Controller))
        .filter(|id| {
            let ends_here = *id == node
                || graph.circuits_at(node).any(|(_, circuit)| circuit.from == *id || circuit.to == *id);
            let of_it: Vec<Part> = network.ports(*id).collect();
            ends_here || search.any_reaches(&of_it, &groups, mask(&open))
        })
        .collect();
    // Inverters give up their load before anything is opened; one may start again by a timer, a remote command or the
    // return of a supply.
    let inverters = converters.iter().filter(|id| graph.nodes[id.0].kind == NodeKind::Inverter);
    steps.extend(inverters.map(|id| Step::SwitchOff(*id)));
    steps.extend(open.into_iter().map(Step::Open));
    steps.extend(converters.into_iter().map(Step::Wait));
    if !isolation.always.is_empty() {
        steps.push(Step::StaysLive(isolation.always.clone()));
    }
    steps.push(Step::ProveDead);
    steps
}

/// The words for why a source cannot be parted from a place: what it is that never goes dead.
pub fn never_dead(graph: &Graph, source: NodeId) -> &'static str {
    match graph.node(source).map(|node| node.kind) {
        Some(NodeKind::Utility) => "service line side: live until the utility opens it",
        Some(NodeKind::BatteryUnit) => "battery terminals and cells: live always",
        Some(NodeKind::PvString) => "module conductors up to the first open point: live in any light",
        Some(NodeKind::Generator) => "generator output up to its first open point: live while it runs",
        _ => "live",
    }
}

/// How one works beside a source that no switch parts.
fn work_beside(kind: NodeKind) -> Option<&'static str> {
    Some(match kind {
        NodeKind::Utility => {
            "Leave the covers of the line side on; what is to be touched there waits until the utility has opened it."
        }
        NodeKind::BatteryUnit => {
            "Cover every terminal but the one in hand; insulated tools, gloves and eye protection, no ring or watch; \
             open a link only when no current flows."
        }
        NodeKind::PvString => {
            "Part no connector while current flows: open the switch at the far end first, then cover the modules or \
             work after dark, and treat both conductors as live."
        }
        NodeKind::Generator => "Take its key and part its starting battery or cord.",
        _ => return None,
    })
}

/// A set of switches in words: each named by the circuit it opens.
pub fn set_in_words(graph: &Graph, facts: &StateFacts, set: &[SwitchId]) -> String {
    let named: Vec<String> = set.iter().map(|id| switch_in_words(graph, facts, *id)).collect();
    named.join("; ")
}

/// One switch in words: what it is and the circuit it opens.
pub fn switch_in_words(graph: &Graph, facts: &StateFacts, id: SwitchId) -> String {
    let Some(point) = facts.switches.get(id.0) else { return String::new() };
    let circuit = graph.circuits.get(point.circuit.0);
    let at = circuit.and_then(|circuit| {
        graph.node(if point.end == crate::states::End::From { circuit.from } else { circuit.to })
    });
    let name: Arc<str> = circuit.map_or_else(|| "".into(), |circuit| circuit.name.clone());
    match at {
        Some(node) => format!("{} of \"{name}\", at {}", point.kind.in_words(), node.name),
        None => format!("{} of \"{name}\"", point.kind.in_words()),
    }
}

impl Step {
    /// The step in words.
    pub fn in_words(&self, graph: &Graph, facts: &StateFacts) -> String {
        let name = |id: &NodeId| graph.node(*id).map_or_else(String::new, |node| node.name.to_string());
        match self {
            Step::LockStart(id) => {
                format!(
                    "stop {}, and lock every start that needs no person: two-wire start, timer, remote command",
                    name(id)
                )
            }
            Step::Stop(id) => {
                format!("stop {} and keep its key or its starting cord with you", name(id))
            }
            Step::SwitchOff(id) => format!(
                "switch {} off at its own control, with timed charging, remote command and restart by itself",
                name(id)
            ),
            Step::Open(id) => format!("open, lock and tag the {}", switch_in_words(graph, facts, *id)),
            Step::Wait(id) => {
                let time =
                    facts.discharge.iter().find(|(node, _)| node == id).and_then(|(_, time)| time.si());
                match time {
                    Some(seconds) => format!(
                        "wait {} for the capacitors of {}, as its label says",
                        quantity::print(seconds, quantity::Kind::Time, quantity::Units::Us),
                        name(id)
                    ),
                    None => format!(
                        "wait for the capacitors of {}: the time on its label, which this design does not hold",
                        name(id)
                    ),
                }
            }
            Step::StaysLive(ids) => {
                let mut said: Vec<(&str, Vec<Arc<str>>)> = Vec::new();
                for id in ids {
                    let (why, node) = (never_dead(graph, *id), graph.node(*id));
                    let Some(node) = node else { continue };
                    match said.iter_mut().find(|(other, _)| *other == why) {
                        Some((_, names)) => names.push(node.name.clone()),
                        None => said.push((why, vec![node.name.clone()])),
                    }
                }
                let said: Vec<String> =
                    said.iter().map(|(why, names)| format!("{} ({why})", drawn_together(names))).collect();
                let mut kinds: Vec<NodeKind> =
                    ids.iter().filter_map(|id| graph.node(*id)).map(|node| node.kind).collect();
                kinds.sort_by_key(|kind| *kind as u8);
                kinds.dedup();
                let how: Vec<&str> = kinds.into_iter().filter_map(work_beside).collect();
                format!("STAYS LIVE whatever is opened: {}. {}", said.join("; "), how.join(" "))
            }
            Step::ProveDead => "prove the absence of voltage, meter proved before and after".to_string(),
        }
    }
}

/// Names with numbered ones drawn together: "rack 1 to rack 6, utility".
pub fn drawn_together(names: &[Arc<str>]) -> String {
    let numbered = |name: &str| -> Option<(String, u32)> {
        let (stem, number) = name.rsplit_once(' ')?;
        Some((stem.to_string(), number.parse().ok()?))
    };
    let mut said: Vec<String> = Vec::new();
    let mut k = 0;
    while k < names.len() {
        let mut last = k;
        if let Some((stem, mut number)) = numbered(&names[k]) {
            while names.get(last + 1).and_then(|name| numbered(name)) == Some((stem.clone(), number + 1)) {
                number += 1;
                last += 1;
            }
        }
        said.push(if last > k { format!("{} to {}", names[k], names[last]) } else { names[k].to_string() });
        k = last + 1;
    }
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbered_names_that_follow_each_other_are_drawn_together() {
        let of = |names: &[&str]| {
            let names: Vec<Arc<str>> = names.iter().map(|name| Arc::from(*name)).collect();
            drawn_together(&names)
        };
        assert_eq!(of(&["rack 1", "rack 2", "rack 3", "utility"]), "rack 1 to rack 3, utility");
        assert_eq!(of(&["rack 1", "rack 3", "shed 4"]), "rack 1, rack 3, shed 4");
        assert_eq!(of(&[]), "");
    }
}
