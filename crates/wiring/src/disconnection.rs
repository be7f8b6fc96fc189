//! Automatic disconnection of supply by IEC 60364-4-41: how long a fault to a protective conductor may stand, and what
//! ends it in that time.
//!
//! Judged for each source of a circuit alone. Where the return path is copper (TN, and a house that runs on its own with
//! its neutral tied), the current of a fault at the far end decides; where it is earth (TT), only a residual-current
//! device does.

use crate::bonds::Arrangement;
use crate::facts::{Curve, DeviceKind, Residual, Run, Supply};
use crate::graph::{Circuit, CircuitId, Graph, NodeId, NodeKind};
use crate::schedule::Sized;
use quantity::{
    Clause, Current, Fact, Gap, Measure, Resistance, Standing, TableRow, Time, Traced, Voltage, formula, iec,
    units,
};
use std::sync::Arc;

const PROTECTION: &str = "IEC 60364-4-41";

/// Voltage of the exposed parts while `idn` flows through an electrode of `ra`.
pub fn touch_voltage(ra: f64, idn: f64) -> f64 {
    ra * idn
}

formula! {
    /// Explained twin of [`touch_voltage`].
    pub TouchVoltage = touch_voltage(
        ra: Resistance as OHM = "resistance of the electrode to earth",
        idn: Current as AMPERE = "current at which the residual-current device trips",
    ) -> Voltage as VOLT,
    text: "ra · idn",
    clause: iec(PROTECTION, "2005", "411.5.3", Standing::Remembered),
}

/// Highest voltage of exposed parts that may last, V (411.5.3).
pub const LASTING_TOUCH: f64 = 50.0;

/// Residual-current devices are counted on from this multiple of their rating: non-delayed ones within 0.04 s, those
/// with a delay (type S) within 0.15 s (IEC 61008-1:2010 table 1, from memory).
const RESIDUAL_AT: f64 = 5.0;
const RESIDUAL_WITHIN: f64 = 0.04;
const DELAYED_WITHIN: f64 = 0.15;

/// Ratings of gG fuses with the greatest currents that still take 5 s and 0.1 s, A (IEC 60269-1:2006 table 3, from
/// memory). A fuse between two rows counts as the larger.
const GATES: &[[f64; 3]] = &[
    [16.0, 65.0, 150.0],
    [20.0, 85.0, 200.0],
    [25.0, 110.0, 260.0],
    [32.0, 150.0, 350.0],
    [40.0, 190.0, 450.0],
    [50.0, 250.0, 610.0],
    [63.0, 320.0, 820.0],
    [80.0, 425.0, 1100.0],
    [100.0, 580.0, 1450.0],
    [125.0, 715.0, 1910.0],
    [160.0, 950.0, 2590.0],
    [200.0, 1250.0, 3420.0],
];

/// Least current at which a gG fuse of `rating` amperes opens within `seconds`, A; `None` beyond the table.
pub fn fuse_opens_at(rating: f64, seconds: f64) -> Option<f64> {
    let row = GATES.iter().find(|row| rating <= row[0])?;
    match seconds {
        s if s >= 5.0 => Some(row[1]),
        s if s >= 0.1 => Some(row[2]),
        _ => None,
    }
}

/// Longest time a fault to a protective conductor may stand.
///
/// - `u0`: voltage to earth, V.
/// - `by_earth`: the fault returns through earth (TT).
/// - `is_final`: a circuit that feeds equipment, up to 32 A; circuits between boards may take longer.
///
/// Source: IEC 60364-4-41:2005 table 41.1, 411.3.2.3 and 411.3.2.4 (from memory).
pub fn longest_time(u0: f64, by_earth: bool, is_final: bool) -> Traced<Time> {
    let system = if by_earth { "TT" } else { "TN" };
    let (seconds, clause, row) = match (is_final, by_earth) {
        (false, false) => (5.0, "411.3.2.3", "distribution circuits, TN".to_string()),
        (false, true) => (1.0, "411.3.2.4", "distribution circuits, TT".to_string()),
        (true, _) => {
            let (upto, tn, tt) = match u0 {
                u if u <= 120.0 => ("50 V < U0 ≤ 120 V", 0.8, 0.3),
                u if u <= 230.0 => ("120 V < U0 ≤ 230 V", 0.4, 0.2),
                u if u <= 400.0 => ("230 V < U0 ≤ 400 V", 0.2, 0.07),
                _ => ("U0 > 400 V", 0.1, 0.04),
            };
            (if by_earth { tt } else { tn }, "table 41.1", format!("{upto}, alternating current, {system}"))
        }
    };
    let clause: Clause = iec(PROTECTION, "2005", clause, Standing::Remembered);
    let row = TableRow { clause, row: row.into(), standing: Standing::Remembered };
    Traced::tabled(Time::from_si(units::SECOND.to_si(seconds)), row)
}

/// Smallest current of a second fault in an IT system whose exposed parts share one electrode: each circuit brings its own
/// loop, so half of what a fault between its conductor and the protective one draws in a TN system.
pub fn second_fault(i: f64) -> f64 {
    i / 2.0
}

formula! {
    /// Explained twin of [`second_fault`].
    pub SecondFault = second_fault(
        i: Current as AMPERE = "current if the neutral were tied to earth",
    ) -> Current as AMPERE,
    text: "i / 2",
    clause: iec(PROTECTION, "2005", "411.6.4 a): 2 · Ia · Zs′ ≤ U0", Standing::Remembered),
}

/// How a fault to the protective conductor returns to its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Returns {
    /// By copper, as the neutral is tied to earth (TN).
    Copper,
    /// Through earth (TT).
    Earth,
    /// Not at all while it is the first one; by the first fault when it is the second (IT).
    FirstFault,
}

impl Returns {
    /// "copper (TN)".
    pub fn in_words(self) -> &'static str {
        match self {
            Returns::Copper => "copper (TN)",
            Returns::Earth => "earth (TT)",
            Returns::FirstFault => "a first fault (IT)",
        }
    }
}

/// What parts a faulty circuit from its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PartedBy {
    /// Its overcurrent device.
    Device,
    /// A residual-current device on the way from the source.
    Residual,
    /// The source, whose voltage falls away (411.3.2.5).
    Source,
    /// Nothing that is known, in the time allowed.
    Nothing,
}

/// A fault to the protective conductor at the far end of a circuit, as one source feeds it.
#[derive(Clone, Debug, PartialEq)]
pub struct Disconnection {
    /// The circuit.
    pub circuit: CircuitId,
    /// The source.
    pub source: Arc<str>,
    /// How the fault returns.
    pub returns: Returns,
    /// Longest time it may stand.
    pub longest: Traced<Time>,
    /// What flows; `None` where it returns through earth.
    pub fault: Option<Fact<Current>>,
    /// Voltage of the exposed parts at the trip current of the residual-current device, where that decides.
    pub touch: Option<Traced<Voltage>>,
    /// What ends it in that time.
    pub by: Fact<PartedBy>,
}

/// Every circuit of alternating current by each of its sources. Where no live part is tied to earth (IT) a first fault is
/// signalled and not parted (411.6.3); judged is the second one, on another circuit and another conductor (411.6.4).
///
/// - `earth`: resistance of the electrodes of the house, which decides where faults return through earth.
pub fn disconnections(
    graph: &Graph,
    runs: &[Run],
    circuits: &[Sized],
    arrangement: Arrangement,
    earth: &Fact<Resistance>,
) -> Vec<Disconnection> {
    if arrangement == Arrangement::Nec {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (k, sized) in circuits.iter().enumerate() {
        let (id, Some(circuit)) = (CircuitId(k), graph.circuits.get(k)) else { continue };
        let Some(fault) = circuit.demand.ac_fault().filter(|_| circuit.demand.supply() == Supply::Ac) else {
            continue;
        };
        for (source, end) in fault.sources.iter().zip(&sized.far_ends) {
            let by_utility = source.ends_itself.is_none();
            let returns = match arrangement {
                Arrangement::Tt if by_utility => Returns::Earth,
                Arrangement::It => Returns::FirstFault,
                _ => Returns::Copper,
            };
            let by_earth = returns == Returns::Earth;
            let to_earth = crate::faults::to_ground(&sized.currents.volts, circuit.conductors);
            let volts = to_earth.si().unwrap_or(230.0);
            let longest = longest_time(volts, by_earth, is_final(graph, circuit, sized));
            let residuals = residuals(graph, runs, &source.name, id);
            let fault = match returns {
                Returns::Copper => Some(end.current.clone()),
                Returns::FirstFault => Some(SecondFault::of_facts(&end.current)),
                Returns::Earth => None,
            };
            // A second fault may lie behind the same residual-current device as the first: what goes out through it
            // comes back through it, and it sees nothing.
            let residuals = if returns == Returns::FirstFault { Vec::new() } else { residuals };
            let case = Case { longest: &longest, fault: fault.as_ref(), residuals: &residuals, earth };
            let device = circuit.run.and_then(|run| runs.get(run.0)).and_then(|run| run.device.as_ref());
            let (by, touch) = case.ended(sized, device, source.gone_within.as_ref());
            found.push(Disconnection {
                circuit: id,
                source: source.name.clone(),
                returns,
                longest,
                fault,
                touch,
                by,
            });
        }
    }
    found
}

/// Largest device of a circuit that counts as final where it ends at equipment, A (411.3.2.2).
const FINAL_UP_TO: f64 = 32.0;

fn is_final(graph: &Graph, circuit: &Circuit, sized: &Sized) -> bool {
    let to = graph.node(circuit.to).map(|node| node.kind);
    let at_equipment = matches!(to, Some(NodeKind::Load | NodeKind::Inverter));
    at_equipment && sized.protection.rating.si().is_none_or(|amps| amps <= FINAL_UP_TO)
}

/// Residual-current devices on the way from a source to a circuit, its own included.
fn residuals<'a>(graph: &Graph, runs: &'a [Run], source: &str, id: CircuitId) -> Vec<&'a Residual> {
    let mut on_way = vec![id];
    if let (Some(start), Some(circuit)) = (graph.find(source), graph.circuits.get(id.0)) {
        on_way.extend(way(graph, start, circuit, id));
    }
    on_way
        .into_iter()
        .filter_map(|id| graph.circuits.get(id.0)?.run)
        .filter_map(|run| runs.get(run.0)?.residual.as_ref())
        .collect()
}

/// Circuits of alternating current on the shortest way from a source to either end of a circuit.
fn way(graph: &Graph, start: NodeId, circuit: &Circuit, id: CircuitId) -> Vec<CircuitId> {
    let mut came_by: Vec<Option<(CircuitId, NodeId)>> = vec![None; graph.nodes.len()];
    let mut queue = std::collections::VecDeque::from([start]);
    while let Some(here) = queue.pop_front() {
        if here == circuit.from || here == circuit.to {
            let mut found = Vec::new();
            let mut at = here;
            while let Some(Some((by, from))) = came_by.get(at.0) {
                found.push(*by);
                at = *from;
            }
            return found;
        }
        for (other, next) in graph.circuits_at(here) {
            let there = if next.from == here { next.to } else { next.from };
            let fresh = there != start && came_by.get(there.0).is_some_and(Option::is_none);
            if other != id && fresh && next.demand.supply() == Supply::Ac {
                came_by[there.0] = Some((other, here));
                queue.push_back(there);
            }
        }
    }
    Vec::new()
}

struct Case<'a> {
    longest: &'a Traced<Time>,
    /// What flows; `None` where the fault returns through earth.
    fault: Option<&'a Fact<Current>>,
    residuals: &'a [&'a Residual],
    earth: &'a Fact<Resistance>,
}

/// Whether one thing ends the fault in time; a gap where a fact that may say so is missing.
type Ends = Result<bool, Gap>;

impl Case<'_> {
    fn ended(
        &self,
        sized: &Sized,
        device: Option<&crate::facts::Device>,
        gone_within: Option<&Fact<Time>>,
    ) -> (Fact<PartedBy>, Option<Traced<Voltage>>) {
        let (by_residual, touch) = self.by_residual();
        let ways = [
            (PartedBy::Device, self.by_device(sized, device)),
            (PartedBy::Residual, by_residual),
            (PartedBy::Source, self.by_source(gone_within)),
        ];
        let mut gap: Option<Gap> = None;
        for (by, ends) in ways {
            match ends {
                Ok(true) => return (Fact::Known(self.longest.with(by)), touch),
                Ok(false) => {}
                Err(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
            }
        }
        let by = match gap {
            Some(gap) => Fact::Unknown(gap),
            None => Fact::Known(self.longest.with(PartedBy::Nothing)),
        };
        (by, touch)
    }

    fn by_device(&self, sized: &Sized, device: Option<&crate::facts::Device>) -> Ends {
        let Some(fault) = self.fault else { return Ok(false) };
        if sized.protection.needed.value() == Some(&false) && device.is_none() {
            return Ok(false);
        }
        let rating = units::AMPERE.of_si(sized.protection.rating.need()?.si());
        let amps = units::AMPERE.of_si(fault.need()?.si());
        let Some(device) = device else { return Ok(amps >= Curve::C.at_once() * rating) };
        let seconds = units::SECOND.of_si(self.longest.si());
        match device.kind.need()?.value {
            DeviceKind::Fuse => Ok(fuse_opens_at(rating, seconds).is_some_and(|least| amps >= least)),
            DeviceKind::Breaker => match &device.curve {
                Fact::Known(curve) => Ok(amps >= curve.value.at_once() * rating),
                Fact::Unknown(_) if amps >= Curve::D.at_once() * rating => Ok(true),
                Fact::Unknown(_) if amps < Curve::B.at_once() * rating => Ok(false),
                Fact::Unknown(gap) => Err(gap.clone()),
            },
        }
    }

    fn by_residual(&self) -> (Ends, Option<Traced<Voltage>>) {
        let mut gap: Option<Gap> = None;
        let mut worst: Option<Traced<Voltage>> = None;
        for residual in self.residuals {
            let in_time = |within: f64| within <= units::SECOND.of_si(self.longest.si());
            let mut note = |more: &Gap| gap = Some(gap.take().map_or(more.clone(), |gap| gap.and(more)));
            let fast = match &residual.delayed {
                Fact::Known(delayed) => !delayed.value,
                Fact::Unknown(more) => {
                    if in_time(RESIDUAL_WITHIN) && !in_time(DELAYED_WITHIN) {
                        note(more);
                    }
                    false
                }
            };
            if !in_time(if fast { RESIDUAL_WITHIN } else { DELAYED_WITHIN }) {
                continue;
            }
            match (&residual.trips, self.fault) {
                (Fact::Unknown(more), _) | (_, Some(Fact::Unknown(more))) => note(more),
                (Fact::Known(trips), Some(Fact::Known(fault))) => {
                    if fault.si() >= RESIDUAL_AT * trips.si() {
                        return (Ok(true), None);
                    }
                }
                (Fact::Known(trips), None) => match self.earth {
                    Fact::Unknown(more) => note(more),
                    Fact::Known(earth) => {
                        let touch = TouchVoltage::of(earth, trips);
                        if crate::at_least(LASTING_TOUCH, units::VOLT.of_si(touch.si())) {
                            return (Ok(true), Some(touch));
                        }
                        worst = Some(touch);
                    }
                },
            }
        }
        (gap.map_or(Ok(false), Err), worst)
    }

    fn by_source(&self, gone_within: Option<&Fact<Time>>) -> Ends {
        match gone_within {
            None => Ok(false),
            Some(within) => Ok(within.need()?.si() <= self.longest.si()),
        }
    }
}
