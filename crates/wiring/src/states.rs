//! States of the circuit graph: what can be opened, what conducts, and what each source reaches.
//!
//! The graph is read as a network of *parts*: the terminals of every piece of equipment and every conductor between.
//! A switch stands between a conductor and one of its ends. Transfer devices stand in exactly one position, so every
//! combination of positions is a state of its own; parts joined in any state count as joined.

use crate::demand::Demand;
use crate::facts::{DeviceKind, Run, Supply};
use crate::graph::{CircuitId, Graph, NodeId, NodeKind};
use crate::schedule::Sized;
use quantity::{Fact, Time};

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
    /// A switch that is opened without load only.
    Isolating,
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
            SwitchKind::Isolating => "isolating switch",
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
    /// Converters: the time after which their capacitors are down to a harmless voltage.
    pub discharge: Vec<(NodeId, Fact<Time>)>,
    /// Inverters with an input for alternating current: whether they part its neutral while they make their own supply.
    /// One that is missing here leaves it joined.
    pub parts_neutral: Vec<(NodeId, Fact<bool>)>,
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
