//! The neutral that one source energises, in every position of transfer devices that matters to it.
//!
//! A position is asked for where the walk over the neutral comes to it, never for its own sake. Where that still makes too
//! many states, positions are asked for only as far as a tie hangs on them: the neutral is then listed at its widest, with
//! every tie it has in that state and no other.

use crate::bonds::{Arrangement, BondState, BondVerdict, Moment, is_ac};
use crate::graph::{Circuit, CircuitId, Graph, NeutralBond, NodeId, NodeKind};
use crate::states::StateFacts;
use quantity::{Fact, FieldPath, Gap, WhoKnows};

/// Most states of one source that are gone through; a table of more would help nobody, and no count of it is called right.
const MOST_STATES: usize = 1024;

/// One source, before or after the bond relays of its inverters have moved.
pub(crate) struct Case<'a> {
    pub(crate) graph: &'a Graph,
    pub(crate) facts: &'a StateFacts,
    pub(crate) arrangement: Arrangement,
    pub(crate) source: NodeId,
    /// The relay of the feeding inverters has not moved yet.
    pub(crate) relay_lags: bool,
}

/// Transfer devices with the supply at which they stand; between positions they have none. Those nobody asked about are
/// not in it.
type Stands = Vec<(NodeId, Option<CircuitId>)>;

fn stand(stands: &Stands, device: NodeId) -> Option<Option<CircuitId>> {
    stands.iter().find(|(id, _)| *id == device).map(|(_, at)| *at)
}

/// Whether a circuit carries the neutral on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Carries {
    Yes,
    No,
    /// That hangs on where this transfer device stands.
    Asks(NodeId),
}

impl Case<'_> {
    /// Every state of this source.
    pub(crate) fn states(&self) -> Vec<BondState> {
        let all = self.gone_through(false).or_else(|| self.gone_through(true));
        all.unwrap_or_else(|| vec![self.not_gone_through()])
    }

    fn gone_through(&self, ties_alone: bool) -> Option<Vec<BondState>> {
        let mut found = Vec::new();
        let mut waiting: Vec<Stands> = vec![Vec::new()];
        let moves = self.is(self.source, NodeKind::Inverter) && !self.relay_lags;
        while let Some(stands) = waiting.pop() {
            if waiting.len() + found.len() > MOST_STATES {
                return None;
            }
            match self.state(&stands, ties_alone) {
                Ok(state) => {
                    let still = stands.iter().all(|(_, at)| at.is_some());
                    let any_free = self.devices().any(|device| stand(&stands, device).is_none());
                    // A device that was not asked about changes nothing while it moves.
                    if still && moves && any_free {
                        let moving = BondState { moment: Moment::BetweenPositions, ..state.clone() };
                        found.push(moving);
                    }
                    found.push(self.with_single_supplies(state, still));
                }
                Err(device) => {
                    let between = moves.then_some(None);
                    let at = self.supplies(device).map(|(id, _)| Some(id)).chain(between);
                    let mut next: Vec<Stands> =
                        at.map(|at| stands.iter().copied().chain([(device, at)]).collect()).collect();
                    // The first position is gone through first.
                    next.reverse();
                    waiting.extend(next);
                }
            }
        }
        Some(found)
    }

    /// A device with one supply stands there in every state that lasts.
    fn with_single_supplies(&self, mut state: BondState, still: bool) -> BondState {
        for device in self.devices().filter(|_| still) {
            let mut supplies = self.supplies(device);
            if let (Some((id, _)), None) = (supplies.next(), supplies.next())
                && !state.stands.contains(&(device, id))
            {
                state.stands.push((device, id));
            }
        }
        state.stands.sort_unstable();
        state
    }

    /// The state in which devices stand so, or the device whose position decides it.
    fn state(&self, stands: &Stands, ties_alone: bool) -> Result<BondState, NodeId> {
        // With the neutral of unknown devices parted, and with it joined: what differs is only possible.
        let mut gap = None;
        let joined = self.neutral(stands, ties_alone, true, &mut gap)?;
        let parted = self.neutral(stands, ties_alone, false, &mut None)?;
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
                    NeutralBond::RelayWhenInverting => !self.relay_lags && self.makes_its_own(stands, *id)?,
                },
            };
            if closed && parted.contains(id) {
                bonds.push(*id);
            } else if closed {
                possible.push(*id);
            }
        }
        let wanted = self.arrangement.wanted(self.is(self.source, NodeKind::Utility));
        let verdict = if bonds.len() > wanted {
            BondVerdict::TooMany
        } else if gap.is_some() && (!possible.is_empty() || joined != parted) {
            BondVerdict::Unknown
        } else if bonds.len() < wanted {
            BondVerdict::TooFew
        } else {
            BondVerdict::Right
        };
        let moment = match (self.relay_lags, stands.iter().all(|(_, at)| at.is_some())) {
            (true, _) => Moment::RelayMoves,
            (false, true) => Moment::Steady,
            (false, false) => Moment::BetweenPositions,
        };
        let stands = stands.iter().filter_map(|(device, at)| Some((*device, (*at)?))).collect();
        Ok(BondState { source: self.source, stands, moment, neutral: joined, bonds, possible, gap, verdict })
    }

    /// Where not every position was gone through, no count is known.
    fn not_gone_through(&self) -> BondState {
        let neutral = self.graph.reach(self.source, |_, c| is_ac(c), |_, _| false);
        let possible = neutral.iter().copied().filter(|id| self.may_tie(*id)).collect();
        let mut gap = None;
        for device in self.devices() {
            let name = self.graph.node(device).map_or_else(String::new, |node| node.name.to_string());
            let field = FieldPath::new(format!("transfer.{name}.from"));
            add(&mut gap, &Gap::one(field, WhoKnows::Electrician));
        }
        let (source, moment) =
            (self.source, if self.relay_lags { Moment::RelayMoves } else { Moment::Steady });
        let (stands, bonds, verdict) = (Vec::new(), Vec::new(), BondVerdict::Unknown);
        BondState { source, stands, moment, neutral, bonds, possible, gap, verdict }
    }

    /// Equipment on the neutral of the source. Neutrals run solid through panels, transfer devices that do not switch
    /// them, and inverters, but for those that part the neutral of their supply in island mode; a source on a cord brings
    /// its neutral only while it feeds.
    fn neutral(
        &self,
        stands: &Stands,
        ties_alone: bool,
        unknown_is_joined: bool,
        gap: &mut Option<Gap>,
    ) -> Result<Vec<NodeId>, NodeId> {
        let carries: Vec<Carries> = self.carries(stands, unknown_is_joined, gap);
        let of = |id: CircuitId| carries.get(id.0).copied().unwrap_or(Carries::No);
        let sure = self.graph.reach(self.source, |id, _| of(id) == Carries::Yes, |_, _| false);
        let widest = || self.widest(self.source, None, &|id, _| of(id), &|_| false);
        let ties = |nodes: &[NodeId]| -> Vec<NodeId> {
            nodes.iter().copied().filter(|id| self.may_tie(*id)).collect()
        };
        if ties_alone {
            let widest = widest();
            if ties(&widest) == ties(&sure) {
                return Ok(widest);
            }
        }
        // Devices at the edge of what is surely reached, with a tie behind them where only ties count.
        let asked = self.graph.circuits.iter().enumerate().filter_map(|(k, circuit)| {
            let Carries::Asks(device) = of(CircuitId(k)) else { return None };
            let beyond = match (sure.contains(&circuit.from), sure.contains(&circuit.to)) {
                (true, false) => circuit.to,
                (false, true) => circuit.from,
                _ => return None,
            };
            let behind =
                || self.widest(beyond, Some(CircuitId(k)), &|id, _| of(id), &|id| sure.contains(&id));
            let matters = !ties_alone || behind().iter().any(|id| !sure.contains(id) && self.may_tie(*id));
            matters.then_some(device)
        });
        match asked.min() {
            Some(device) => Err(device),
            None => Ok(sure),
        }
    }

    /// What a walk can reach in any position, entering but not leaving where `stops` holds. A device has one position at a
    /// time: entered by one of its supplies it is not left by another.
    fn widest(
        &self,
        start: NodeId,
        by: Option<CircuitId>,
        carries: &dyn Fn(CircuitId, &Circuit) -> Carries,
        stops: &dyn Fn(NodeId) -> bool,
    ) -> Vec<NodeId> {
        let is_supply = |id: CircuitId, node: NodeId| {
            let circuit = self.graph.circuits.get(id.0);
            circuit.is_some_and(|c| {
                c.to == node && matches!(carries(id, c), Carries::Asks(device) if device == node)
            })
        };
        // Each circuit as walked towards its first end and towards its other one, never straight back: what hangs behind a
        // device would otherwise seem to lead to its other supplies.
        let mut walked = vec![[false; 2]; self.graph.circuits.len()];
        let mut reached = vec![false; self.graph.nodes.len()];
        let mut waiting = vec![(start, by)];
        while let Some((here, by)) = waiting.pop() {
            let Some(flag) = reached.get_mut(here.0) else { continue };
            *flag = true;
            if here != start && stops(here) {
                continue;
            }
            let by_supply = by.is_some_and(|id| is_supply(id, here));
            for (id, circuit) in self.graph.circuits_at(here) {
                let onward = Some(id) != by && !(by_supply && is_supply(id, here));
                if !onward || carries(id, circuit) == Carries::No {
                    continue;
                }
                let there = if circuit.from == here { circuit.to } else { circuit.from };
                if let Some(flags) = walked.get_mut(id.0)
                    && !std::mem::replace(&mut flags[usize::from(there == circuit.to)], true)
                {
                    waiting.push((there, Some(id)));
                }
            }
        }
        reached.iter().enumerate().filter(|(_, reached)| **reached).map(|(k, _)| NodeId(k)).collect()
    }

    fn carries(&self, stands: &Stands, unknown_is_joined: bool, gap: &mut Option<Gap>) -> Vec<Carries> {
        let mut carries: Vec<Carries> = self
            .graph
            .circuits
            .iter()
            .map(|c| if is_ac(c) && !self.unplugged(c) { Carries::Yes } else { Carries::No })
            .collect();
        let mut part = |id: CircuitId, how: Carries| {
            if let Some(of) = carries.get_mut(id.0)
                && *of != Carries::No
            {
                *of = how;
            }
        };
        for device in self.devices() {
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
            for (id, _) in self.supplies(device).filter(|_| switches) {
                match stand(stands, device) {
                    Some(at) if at == Some(id) => {}
                    Some(_) => part(id, Carries::No),
                    None => part(id, Carries::Asks(device)),
                }
            }
        }
        for (inverter, fact) in &self.facts.parts_neutral {
            let own = self.makes_its_own(stands, *inverter);
            let parts = match fact {
                Fact::Known(parts) => parts.value,
                Fact::Unknown(more) => {
                    if own != Ok(false) {
                        add(gap, more);
                    }
                    !unknown_is_joined
                }
            };
            let how = match own {
                Ok(true) => Carries::No,
                Ok(false) => continue,
                Err(device) => Carries::Asks(device),
            };
            let inputs = self.graph.circuits_at(*inverter).filter(|(_, c)| c.to == *inverter && is_ac(c));
            for (id, _) in inputs.filter(|_| parts) {
                part(id, how);
            }
        }
        carries
    }

    fn unplugged(&self, circuit: &Circuit) -> bool {
        let ends_at = |node: NodeId| circuit.from == node || circuit.to == node;
        self.facts.plugged_in.iter().any(|node| *node != self.source && ends_at(*node))
    }

    /// Whether an inverter makes its own supply: it is the source, or no other supply reaches its input. An error names
    /// the device whose position decides it.
    fn makes_its_own(&self, stands: &Stands, inverter: NodeId) -> Result<bool, NodeId> {
        let stack = |id: NodeId| self.graph.node(id).and_then(|node| node.stack.as_ref());
        let stacked = stack(inverter).is_some() && stack(inverter) == stack(self.source);
        if inverter == self.source || stacked {
            return Ok(true);
        }
        // Its own output must not count as a supply of its input.
        let lives = |id: CircuitId, c: &Circuit| {
            if !is_ac(c) || c.to == inverter || c.from == inverter {
                Carries::No
            } else if !self.is(c.to, NodeKind::Transfer) {
                Carries::Yes
            } else {
                match stand(stands, c.to) {
                    Some(at) if at == Some(id) => Carries::Yes,
                    Some(_) => Carries::No,
                    None => Carries::Asks(c.to),
                }
            }
        };
        let inputs: Vec<NodeId> =
            self.graph.circuits.iter().filter(|c| c.to == inverter && is_ac(c)).map(|c| c.from).collect();
        let reaches = |nodes: &[NodeId]| inputs.iter().any(|input| nodes.contains(input));
        let sure = self.graph.reach(self.source, |id, c| lives(id, c) == Carries::Yes, |_, _| false);
        if reaches(&sure) {
            return Ok(false);
        }
        // A device at the edge of what is surely live, with a way on to an input of the inverter.
        let asked = self.graph.circuits.iter().enumerate().filter_map(|(k, c)| {
            let Carries::Asks(device) = lives(CircuitId(k), c) else { return None };
            let beyond = match (sure.contains(&c.from), sure.contains(&c.to)) {
                (true, false) => c.to,
                (false, true) => c.from,
                _ => return None,
            };
            let onward = self.widest(beyond, Some(CircuitId(k)), &lives, &|id| sure.contains(&id));
            let on = onward.iter().any(|id| !sure.contains(id) && inputs.contains(id));
            on.then_some(device)
        });
        match asked.min() {
            Some(device) => Err(device),
            None => Ok(true),
        }
    }

    /// Whether a node may tie neutral to ground.
    fn may_tie(&self, id: NodeId) -> bool {
        match self.graph.node(id).and_then(|node| node.bond.as_ref()) {
            None => false,
            Some(Fact::Known(bond)) => !matches!(bond.value, NeutralBond::None | NeutralBond::LeftOut),
            Some(Fact::Unknown(_)) => true,
        }
    }

    fn is(&self, id: NodeId, kind: NodeKind) -> bool {
        self.graph.node(id).is_some_and(|node| node.kind == kind)
    }

    /// Transfer devices that have a supply.
    fn devices(&self) -> impl Iterator<Item = NodeId> + '_ {
        let nodes = self.graph.nodes.iter().enumerate().filter(|(_, node)| node.kind == NodeKind::Transfer);
        nodes.map(|(k, _)| NodeId(k)).filter(|id| self.graph.circuits.iter().any(|c| c.to == *id))
    }

    fn supplies(&self, device: NodeId) -> impl Iterator<Item = (CircuitId, &Circuit)> + '_ {
        self.graph.circuits_at(device).filter(move |(_, c)| c.to == device)
    }
}

fn add(gap: &mut Option<Gap>, more: &Gap) {
    *gap = Some(match gap.take() {
        Some(all) => all.and(more),
        None => more.clone(),
    });
}
