//! What a short at the far end of a circuit draws from each source alone, and what ends it.
//!
//! The smallest fault decides whether a device sees a short at all: fed by the weakest source, through the whole length
//! of the run with its conductors at 75 °C, with no arc in the way. On alternating current the reactance of the conductors
//! counts: resistance alone would show more current than flows, by 8 % at the end of a long 4/0 in steel. What the source
//! holds back is added to the impedance of the loop as if both stood in phase, so that less is shown than flows.

use crate::demand::{BesideUnits, Demand};
use crate::schedule::RuleSet;
use crate::{above_zero, schedule::Sized};
use quantity::{
    ApparentPower, Count, Current, Fact, Gap, Length, Ratio, ResistancePerLength, Standing, Time, Traced,
    Voltage, formula,
};
use std::sync::Arc;

/// A source of alternating current as a short sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultSource {
    /// Owner's name.
    pub name: Arc<str>,
    /// What it feeds into a bolted short in the first cycles.
    pub first: Fact<Current>,
    /// What it still feeds until something opens.
    pub lasting: Fact<Current>,
    /// Whether it switches itself off on a short; `None` for the utility, which does not.
    pub ends_itself: Option<Fact<bool>>,
    /// Time after which its voltage has fallen to 50 V or less on a short; `None` where nothing makes it fall.
    pub gone_within: Option<Fact<Time>>,
}

/// Sources that can feed a short on a circuit of alternating current.
#[derive(Clone, Debug, PartialEq)]
pub struct AcFault {
    /// What all of them together feed, no conductor credited: what a device must interrupt.
    pub available: Fact<Current>,
    /// Each of them alone.
    pub sources: Vec<FaultSource>,
}

impl From<Fact<Current>> for AcFault {
    /// One source without a name that feeds the same from first to last.
    fn from(current: Fact<Current>) -> AcFault {
        let source = FaultSource {
            name: "source".into(),
            first: current.clone(),
            lasting: current.clone(),
            ends_itself: None,
            gone_within: None,
        };
        AcFault { available: current, sources: vec![source] }
    }
}

/// Current a generator feeds into a bolted short in its first cycles: apparent power `s`, voltage `v`, subtransient
/// reactance `x` as a share of its own rating.
pub fn generator_fault(s: f64, v: f64, x: f64) -> f64 {
    s / (v * x)
}

formula! {
    /// Explained twin of [`generator_fault`].
    pub GeneratorFault = generator_fault(
        s: ApparentPower as VOLT_AMPERE = "rated apparent power",
        v: Voltage as VOLT = "rated voltage",
        x: Ratio as RATIO = "subtransient reactance, share of its rating",
    ) -> Current as AMPERE,
    text: "s / (v · x)",
    clause: quantity::Clause {
        document: "IEEE 141",
        edition: "1993",
        clause: "chapter 4: symmetrical fault current of a machine",
        standing: Standing::Remembered,
    },
}

/// Impedance of a loop of one of `sets` circuit conductors in parallel and the equipment ground, per length: of one
/// conductor `r` of resistance and `x` of reactance, of the ground `g` and `y`.
pub fn loop_impedance(r: f64, x: f64, sets: f64, g: f64, y: f64) -> f64 {
    let (resistance, reactance) = (r / sets + g, x / sets + y);
    (resistance * resistance + reactance * reactance).sqrt()
}

formula! {
    /// Explained twin of [`loop_impedance`].
    pub LoopImpedance = loop_impedance(
        r: ResistancePerLength as OHM_PER_KILOFOOT = "resistance of one conductor at 75 °C",
        x: ResistancePerLength as OHM_PER_KILOFOOT = "reactance of one conductor",
        sets: Count as COUNT = "conductors in parallel per pole",
        g: ResistancePerLength as OHM_PER_KILOFOOT = "resistance of the equipment ground at 75 °C",
        y: ResistancePerLength as OHM_PER_KILOFOOT = "reactance of the equipment ground",
    ) -> ResistancePerLength as OHM_PER_KILOFOOT,
    text: "√((r / sets + g)² + (x / sets + y)²)",
    clause: quantity::Clause {
        document: "Ohm's law",
        edition: "",
        clause: "conductor and ground in series, alternating current",
        standing: Standing::Computed,
    },
}

/// Fault from one conductor to the equipment ground at the far end: `v` volts to ground, `isc` amperes at the near end,
/// `l` feet one way, `z` ohms per 1000 ft of the loop.
pub fn far_end_ground_fault(v: f64, isc: f64, l: f64, z: f64) -> f64 {
    v / (v / isc + l * z / 1000.0)
}

formula! {
    /// Explained twin of [`far_end_ground_fault`].
    pub FarEndGroundFault = far_end_ground_fault(
        v: Voltage as VOLT = "voltage to ground",
        isc: Current as AMPERE = "what the source alone keeps feeding into a short",
        l: Length as FOOT_UNIT = "one-way length",
        z: ResistancePerLength as OHM_PER_KILOFOOT = "impedance of the loop at 75 °C",
    ) -> Current as AMPERE,
    text: "v / (v / isc + l · z / 1000)",
    clause: quantity::Clause {
        document: "Ohm's law",
        edition: "",
        clause: "source and loop in series, as if in phase",
        standing: Standing::Computed,
    },
}

/// How an overcurrent device answers a current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Trips {
    /// Too little to count on it.
    NotCountedOn,
    /// Within seconds to minutes.
    InMinutes,
    /// At once.
    AtOnce,
}

/// Times its rating from which a device opens at once: upper end of the magnetic release of house breakers (type C of
/// IEC 60898-1, from memory; common practice for breakers to UL 489), and far in the steep part of a fast fuse.
const AT_ONCE: f64 = 10.0;

/// How a device of `rating` amperes answers `fault` amperes.
///
/// UL 489 and UL 248 let a device take minutes at twice its rating (2 to 12 min by size), and IEC 60898-1 one or two
/// minutes at 2.55 times (all from memory). Below that it may take an hour or never open, and is not counted on.
pub fn trips(rules: RuleSet, rating: f64, fault: f64) -> Trips {
    trips_from(AT_ONCE, rules, rating, fault)
}

/// As [`trips`] for a device that opens at once from so many times its rating, as the letter on it says.
pub fn trips_from(at_once: f64, rules: RuleSet, rating: f64, fault: f64) -> Trips {
    let minutes = if rules == RuleSet::Iec60364 { 2.55 } else { 2.0 };
    // What is not a number opens nothing.
    if !(rating > 0.0 && fault.is_finite()) {
        Trips::NotCountedOn
    } else if fault >= at_once * rating {
        Trips::AtOnce
    } else if fault >= minutes * rating {
        Trips::InMinutes
    } else {
        Trips::NotCountedOn
    }
}

/// A short at the far end as one source alone feeds it.
#[derive(Clone, Debug, PartialEq)]
pub struct FarEnd {
    /// The source.
    pub source: Arc<str>,
    /// What flows.
    pub current: Fact<Current>,
    /// What ends it.
    pub ended: Fact<Ended>,
}

/// What ends a short.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ended {
    /// The overcurrent device of the circuit.
    ByDevice(Trips),
    /// The source, which switches itself off.
    BySource,
    /// No function that is known.
    ByNothing,
}

/// Voltage of a leg to the neutral in the middle of `v` volts.
pub fn leg_to_neutral(v: f64) -> f64 {
    v / 2.0
}

formula! {
    /// Explained twin of [`leg_to_neutral`].
    pub LegToNeutral = leg_to_neutral(v: Voltage as VOLT = "voltage between the legs") -> Voltage as VOLT,
    text: "v / 2",
    clause: quantity::Clause {
        document: "definition",
        edition: "",
        clause: "a neutral in the middle of two legs",
        standing: Standing::Computed,
    },
}

/// Voltage of a circuit to ground: half of it where two legs and a neutral run. That of three line conductors is stated to
/// neutral.
pub(crate) fn to_ground(volts: &Fact<Voltage>, conductors: u32) -> Fact<Voltage> {
    if conductors != 3 { volts.clone() } else { LegToNeutral::of_facts(volts) }
}

/// The loop a short at the far end closes.
pub(crate) struct Loop {
    pub(crate) conductor: Fact<ResistancePerLength>,
    pub(crate) ground: Fact<ResistancePerLength>,
    /// Reactance of one conductor and of the equipment ground; read for alternating current alone.
    pub(crate) reactance: [Fact<ResistancePerLength>; 2],
    /// Insulated circuit conductors of one set.
    pub(crate) conductors: u32,
    /// Times its rating from which the device opens at once.
    pub(crate) at_once: f64,
}

/// By the letter on a breaker where one is stated.
pub(crate) fn at_once_of(device: Option<&crate::Device>) -> f64 {
    device.and_then(|device| device.curve.value()).map_or(AT_ONCE, |curve| curve.at_once())
}

/// The far end of a circuit, source by source; empty for strings, whose own current operates nothing.
pub(crate) fn far_ends(rules: RuleSet, demand: &Demand, sized: &Sized, way: &Loop) -> Vec<FarEnd> {
    let volts = above_zero(&sized.currents.volts);
    let sets = sized.sets();
    let direct = |current: &Fact<Current>| {
        let isc = above_zero(current);
        crate::FarEndFault::of_facts(&volts, &isc, &sized.length, &way.conductor, &sets)
    };
    let one_unit = |own: &Fact<Current>, beside: &Option<Box<BesideUnits>>| {
        // The fewest sources: the one unit that gives least.
        let current = match (own, beside.as_ref().map(|beside| &beside.least)) {
            (Fact::Known(own), Some(other @ Fact::Known(less))) if less.si() < own.si() => other,
            (Fact::Known(_), Some(other @ Fact::Unknown(_))) => other,
            _ => own,
        };
        let current = direct(current);
        vec![FarEnd {
            source: "one battery unit".into(),
            ended: ended((rules, way.at_once), &sized.protection.rating, &current, None),
            current,
        }]
    };
    match demand {
        Demand::PvStrings(_) => Vec::new(),
        Demand::BatteryUnit(unit) => one_unit(&unit.short_circuit, &unit.beside),
        Demand::BusToInverters(bus) => one_unit(&bus.short_circuit, &bus.beside),
        Demand::ControllerToBus(controller) => one_unit(&controller.short_circuit, &controller.beside),
        Demand::InverterOutput(_) | Demand::Ac(_) | Demand::UtilitySupply(_) | Demand::GeneratorSupply(_) => {
            let to_ground = to_ground(&volts, way.conductors);
            let [x, y] = &way.reactance;
            let impedance = LoopImpedance::of_facts(&way.conductor, x, &sets, &way.ground, y);
            let sources = demand.ac_fault().map_or(&[][..], |fault| &fault.sources);
            sources
                .iter()
                .map(|source| {
                    let current = FarEndGroundFault::of_facts(
                        &to_ground,
                        &above_zero(&source.lasting),
                        &sized.length,
                        &impedance,
                    );
                    FarEnd {
                        source: source.name.clone(),
                        ended: ended(
                            (rules, way.at_once),
                            &sized.protection.rating,
                            &current,
                            source.ends_itself.as_ref(),
                        ),
                        current,
                    }
                })
                .collect()
        }
    }
}

/// The device where it sees enough, else the source where it switches itself off.
fn ended(
    (rules, at_once): (RuleSet, f64),
    rating: &Fact<Current>,
    current: &Fact<Current>,
    ends_itself: Option<&Fact<bool>>,
) -> Fact<Ended> {
    let by_device = match (rating, current) {
        (Fact::Known(rating), Fact::Known(current)) => {
            Ok(current.with(trips_from(at_once, rules, rating.si(), current.si())))
        }
        (Fact::Unknown(a), Fact::Unknown(b)) => Err(a.clone().and(b)),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Err(gap.clone()),
    };
    let by_source = ends_itself.and_then(Fact::known).filter(|ends| ends.value);
    match (by_device, by_source) {
        (Ok(traced), _) if traced.value != Trips::NotCountedOn => {
            Fact::Known(traced.with(Ended::ByDevice(traced.value)))
        }
        (_, Some(ends)) => Fact::Known(ends.with(Ended::BySource)),
        // One more fact may still name what ends it.
        (Ok(traced), None) => match ends_itself.and_then(Fact::gap) {
            Some(gap) => Fact::Unknown(gap.clone()),
            None => Fact::Known(traced.with(Ended::ByNothing)),
        },
        (Err(gap), None) => {
            let more = ends_itself.and_then(Fact::gap);
            Fact::Unknown(more.map_or(gap.clone(), |more: &Gap| gap.and(more)))
        }
    }
}

/// The smallest of the currents at the far end; unknown when one of them is, `None` when there is none.
pub(crate) fn smallest(ends: &[FarEnd]) -> Option<Fact<Current>> {
    let mut least: Option<&Traced<Current>> = None;
    let mut gap: Option<Gap> = None;
    for end in ends {
        match &end.current {
            Fact::Known(current) => {
                if least.is_none_or(|so_far| current.si() < so_far.si()) {
                    least = Some(current);
                }
            }
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    match gap {
        Some(gap) => Some(Fact::Unknown(gap)),
        None => least.map(|current| Fact::Known(current.clone())),
    }
}
