//! The overcurrent device of a circuit: what it must be, whether strings need one at all, and whether the owner's
//! device is that.

use crate::demand::{BesideUnits, Demand, PvStrings};
use crate::design_current::{DesignCurrents, greater_of};
use crate::edition::{ratings_clause, standard_rating};
use crate::facts::{Device, Supply};
use crate::schedule::RuleSet;
use crate::{at_least, sizing::Guard};
use quantity::{
    Choice, Clause, Count, Current, Fact, FieldPath, Gap, Length, Measure, ResistancePerLength, Standing,
    Term, Traced, Voltage, WhoKnows, formula, nec, print_in, product_of_count, units,
};
use std::sync::Arc;

const SERIES: Clause = Clause {
    document: "Ohm's law",
    edition: "",
    clause: "source and loop in series",
    standing: Standing::Computed,
};

/// Current that can flow back into a faulted circuit of `own` strings when `strings` are in parallel on its input
/// and the input itself can push `feed` amperes.
pub fn back_flow(strings: f64, own: f64, isc: f64, feed: f64) -> f64 {
    (strings - own) * 1.25 * isc + feed
}

formula! {
    /// Explained twin of [`back_flow`].
    pub BackFlow = back_flow(
        strings: Count as COUNT = "strings in parallel on the input",
        own: Count as COUNT = "strings of this circuit",
        isc: Current as AMPERE = "label short-circuit current of one string",
        feed: Current as AMPERE = "what the input itself can push back",
    ) -> Current as AMPERE,
    text: "(strings − own) · 1.25 · isc + feed",
    clause: nec("2023", "690.9(A)", Standing::SecondHand),
}

/// What one of `n` strings behind a shared device of `device` amperes can be forced to carry.
pub fn behind_shared_device(device: f64, n: f64, isc: f64) -> f64 {
    device + (n - 1.0) * 1.25 * isc
}

formula! {
    /// Explained twin of [`behind_shared_device`].
    pub BehindSharedDevice = behind_shared_device(
        device: Current as AMPERE = "rating of the shared device",
        n: Count as COUNT = "strings behind it",
        isc: Current as AMPERE = "label short-circuit current of one string",
    ) -> Current as AMPERE,
    text: "device + (n − 1) · 1.25 · isc",
    clause: nec("2023", "690.9(A)", Standing::SecondHand),
}

/// Fault current of the other units on a bus into one unit's branch: at least one unit, as a fault beyond the
/// device is fed by the unit itself.
pub fn branch_fault(n: f64, each: f64) -> f64 {
    (n - 1.0).max(1.0) * each
}

formula! {
    /// Explained twin of [`branch_fault`]. No cable resistance is credited.
    pub BranchFault = branch_fault(
        n: Count as COUNT = "units in parallel on the bus",
        each: Current as AMPERE = "short-circuit current of one unit, from its maker",
    ) -> Current as AMPERE,
    text: "max(n − 1, 1) · each",
    clause: nec("2023", "110.9; 706.31(C)", Standing::Remembered),
}

/// Fault current at the far end of a circuit fed by one source: `isc` at the near end behind `v` volts, and the loop
/// of `l` one-way feet with `r` ohms per 1000 ft. The source's own resistance is taken as `v / isc`.
pub fn far_end_fault(v: f64, isc: f64, l: f64, r: f64, sets: f64) -> f64 {
    v / (v / isc + 2.0 * l * r / 1000.0 / sets)
}

formula! {
    /// Explained twin of [`far_end_fault`]. With the resistance at 75 °C it is the smallest bolted fault.
    pub FarEndFault = far_end_fault(
        v: Voltage as VOLT = "circuit voltage",
        isc: Current as AMPERE = "fault current at the near end with the fewest sources",
        l: Length as FOOT_UNIT = "one-way length",
        r: ResistancePerLength as OHM_PER_KILOFOOT = "resistance of one conductor at 75 °C",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Current as AMPERE,
    text: "v / (v / isc + 2 · l · r / 1000 / sets)",
    clause: SERIES,
}

/// A rule about a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeviceRule {
    /// Rated at least the continuous current.
    NotBelowContinuous,
    /// Rated no more than the equipment allows, such as the module's series fuse.
    NotAboveEquipment,
    /// Marked for direct or alternating current as the circuit is.
    RightSupply,
    /// Rated at least for the highest voltage the circuit can reach.
    Volts,
    /// Neither polarised nor marked line and load where current can flow both ways.
    BothWays,
    /// Interrupts at least the available fault current.
    Interrupting,
}

/// What a circuit needs of its device, and how the owner's compares.
#[derive(Clone, Debug, PartialEq)]
pub struct Protection {
    /// Whether a device is needed at all; always for other circuits than strings.
    pub needed: Fact<bool>,
    /// What can flow back into the circuit, for strings.
    pub back_flow: Option<Fact<Current>>,
    /// The rating that stands in the schedule: the owner's, else the smallest standard rating that suits.
    pub rating: Fact<Current>,
    /// Least rating.
    pub least: Fact<Current>,
    /// Smallest standard rating not below the least; for a utility supply, its main device.
    pub standard: Fact<Current>,
    /// Largest rating the equipment allows, where it sets one.
    pub most: Option<Fact<Current>>,
    /// Least rated voltage: the highest the circuit can reach.
    pub volts: Fact<Voltage>,
    /// Direct or alternating current.
    pub supply: Supply,
    /// Poles.
    pub poles: u32,
    /// Whether current can flow both ways, so that a polarised device would fail.
    pub both_ways: bool,
    /// Fault current it must be able to interrupt.
    pub available: Fact<Current>,
    /// No standard rating lies between least and most.
    pub none_fits: bool,
    /// Rules the owner's device breaks.
    pub breaks: Vec<DeviceRule>,
    /// Rules that cannot be decided for want of a fact.
    pub undecided: Vec<(DeviceRule, Gap)>,
}

/// What a circuit needs of its device, the owner's device held against it, and what the conductor must be protected
/// against. `field` is where the design would state the device.
pub fn protection(
    demand: &Demand,
    currents: &DesignCurrents,
    poles: u32,
    device: Option<&Device>,
    field: &FieldPath,
) -> (Protection, Fact<Guard>) {
    protection_by(RuleSet::Nec2023, demand, currents, poles, false, device, field)
}

/// As [`protection`], by the ratings and clauses of these rules; `both_ends` where sources reach the circuit from both.
pub(crate) fn protection_by(
    rules: RuleSet,
    demand: &Demand,
    currents: &DesignCurrents,
    poles: u32,
    both_ends: bool,
    device: Option<&Device>,
    field: &FieldPath,
) -> (Protection, Fact<Guard>) {
    let least = currents.continuous.clone();
    let standard = match demand {
        Demand::UtilitySupply(utility) => utility.main.clone(),
        _ => least.and_then(|least| smallest_standard(rules, least, field)),
    };
    let most = match demand {
        Demand::PvStrings(pv)
            if rules == RuleSet::Iec60364 && pv.in_parallel.value().is_some_and(|n| n.0 == 1) =>
        {
            Some(crate::iec::largest_string_fuse(&pv.series_fuse, &pv.isc))
        }
        Demand::PvStrings(pv) => Some(pv.series_fuse.clone()),
        _ => None,
    };
    let back = match demand {
        Demand::PvStrings(pv) => Some(back_flow_of(pv)),
        _ => None,
    };
    let needed = match demand {
        Demand::PvStrings(pv) => strings_need_device(rules, pv, back.as_ref()),
        _ => Fact::Known(Traced::found(true, always_needed(rules))),
    };
    let none_fits = match (&standard, &most) {
        (Fact::Known(standard), Some(Fact::Known(most))) => !at_least(most.si(), standard.si()),
        _ => false,
    };
    let rating = match (device, &standard, &most) {
        (Some(device), ..) => device.rating.clone(),
        (None, Fact::Known(_), Some(Fact::Unknown(gap))) => Fact::Unknown(gap.clone()),
        (None, ..) if none_fits => Fact::unknown(format!("{field}.rating"), WhoKnows::Electrician),
        (None, standard, _) => standard.clone(),
    };
    let guard = match (device.map(|device| &device.rating), &needed, &back) {
        (Some(Fact::Known(rating)), ..) => Fact::Known(rating.with(Guard::Device(rating.clone()))),
        (None, Fact::Known(needed), Some(Fact::Known(flow))) if !needed.value => {
            Fact::Known(flow.with(Guard::Flow(flow.clone())))
        }
        _ => match (demand, &currents.maximum) {
            // Where NEC 310.12 applies, the main device protects conductors of 83 % of its rating.
            (Demand::UtilitySupply(utility), Fact::Known(maximum))
                if utility.whole_dwelling.value() == Some(&true) =>
            {
                Fact::Known(maximum.with(Guard::Flow(maximum.clone())))
            }
            _ => standard.and_then(|rating| Fact::Known(rating.with(Guard::Device(rating.clone())))),
        },
    };
    let mut protection = Protection {
        needed,
        back_flow: back,
        rating,
        least,
        standard,
        most,
        volts: currents.highest.clone(),
        supply: demand.supply(),
        poles,
        both_ways: both_ends || demand.flows_both_ways(),
        available: available_fault(demand, currents),
        none_fits,
        breaks: Vec::new(),
        undecided: Vec::new(),
    };
    if let Some(device) = device {
        protection.hold_against(device);
    }
    (protection, guard)
}

impl Protection {
    fn hold_against(&mut self, device: &Device) {
        let not_below = |a: &Fact<Current>, b: &Fact<Current>| compare(a, b, at_least);
        let mut answers = vec![(DeviceRule::NotBelowContinuous, not_below(&device.rating, &self.least))];
        if let Some(most) = &self.most {
            answers.push((DeviceRule::NotAboveEquipment, not_below(most, &device.rating)));
        }
        let suits = device.suits.need().map(|suits| suits.value.on(self.supply));
        answers.push((DeviceRule::RightSupply, suits));
        answers.push((DeviceRule::Volts, compare(&device.volts, &self.volts, at_least)));
        if self.both_ways {
            answers.push((DeviceRule::BothWays, device.polarised.need().map(|polarised| !polarised.value)));
        }
        answers.push((DeviceRule::Interrupting, not_below(&device.interrupting, &self.available)));
        for (rule, answer) in answers {
            match answer {
                Ok(true) => {}
                Ok(false) => self.breaks.push(rule),
                Err(gap) => self.undecided.push((rule, gap)),
            }
        }
    }
}

fn compare<T: Measure>(a: &Fact<T>, b: &Fact<T>, holds: impl Fn(f64, f64) -> bool) -> Result<bool, Gap> {
    match (a, b) {
        (Fact::Known(a), Fact::Known(b)) => Ok(holds(a.si(), b.si())),
        (Fact::Unknown(a), Fact::Unknown(b)) => Err(a.clone().and(b)),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Err(gap.clone()),
    }
}

/// Smallest standard rating of NEC 240.6(A) that is not below a continuous current; unknown above the table.
fn smallest_standard(rules: RuleSet, least: &Traced<Current>, field: &FieldPath) -> Fact<Current> {
    match standard_rating(rules, least.si()) {
        Ok(row) => Fact::Known(Traced::found(
            row.value,
            Choice {
                because: "the smallest standard rating not below the continuous current".into(),
                runner_up: Arc::from(""),
                clause: ratings_clause(rules),
                terms: vec![
                    least.term("continuous current", &units::AMPERE),
                    row.term("standard rating", &units::AMPERE),
                ],
            },
        )),
        Err(_) => Fact::unknown(format!("{field}.rating"), WhoKnows::Electrician),
    }
}

fn always_needed(rules: RuleSet) -> Choice {
    let clause = match rules {
        RuleSet::Iec60364 => quantity::iec("IEC 60364-4-43", "2008", "431, 433", Standing::Remembered),
        _ => nec("2023", "240.4; 240.21; 706.31(A)", Standing::Remembered),
    };
    Choice {
        because: "conductors are protected at their ampacity where they receive their supply".into(),
        runner_up: "".into(),
        clause,
        terms: Vec::new(),
    }
}

fn back_flow_of(pv: &PvStrings) -> Fact<Current> {
    // Fewer strings on the input than in this circuit contradict each other; the count is then not known.
    let strings = match (&pv.strings_on_the_input, &pv.in_parallel) {
        (Fact::Known(all), Fact::Known(own)) if all.count() < own.count() => {
            let field = all.origin.fields().into_iter().next();
            let field = field.unwrap_or_else(|| FieldPath::new("strings on the input"));
            Fact::Unknown(Gap::one(field, WhoKnows::Owner))
        }
        (all, _) => all.clone(),
    };
    BackFlow::of_facts(&strings, &pv.in_parallel, &pv.isc, &pv.back_feed)
}

/// NEC 690.9(A): a string needs no device where nothing that can flow back exceeds what its modules allow. Whether
/// its conductor bears the same is the third sizing test. A pair that already joins strings needs one as soon as
/// anything can flow back at all.
fn strings_need_device(rules: RuleSet, pv: &PvStrings, back: Option<&Fact<Current>>) -> Fact<bool> {
    let own = match pv.in_parallel.need() {
        Ok(own) => own,
        Err(gap) => return Fact::Unknown(gap),
    };
    let single = own.count() == 1;
    let choice = |because: String, terms: Vec<Term>| Choice {
        because: because.into(),
        runner_up: "".into(),
        clause: match rules {
            RuleSet::Iec60364 => quantity::iec("IEC 62548", "2016", "6.5.3", Standing::Remembered),
            _ => nec("2023", "690.9(A)", Standing::SecondHand),
        },
        terms,
    };
    if let Some(Fact::Known(flow)) = back {
        let amps = print_in(flow.si(), &units::AMPERE);
        let mut terms = vec![flow.term("can flow back", &units::AMPERE)];
        if flow.si() <= 0.0 {
            let because = "nothing can flow back into this circuit".to_string();
            return Fact::Known(Traced::found(false, choice(because, terms)));
        }
        if !single {
            let because = format!("{amps} can flow back into conductors that already join strings");
            return Fact::Known(Traced::found(true, choice(because, terms)));
        }
        return pv.series_fuse.and_then(|fuse| {
            terms.push(fuse.term("largest series fuse of the module", &units::AMPERE));
            let needed = !at_least(fuse.si(), flow.si());
            let allowed = print_in(fuse.si(), &units::AMPERE);
            let because = if needed {
                format!("{amps} can flow back into the string, its modules allow {allowed}")
            } else {
                format!("{amps} can flow back into the string, within the {allowed} its modules allow")
            };
            Fact::Known(Traced::found(needed, choice(because, terms)))
        });
    }
    // What the input can push back is not known and counts as possible; the other strings alone may decide it.
    let (Fact::Known(strings), Fact::Known(isc), Fact::Known(fuse)) =
        (&pv.strings_on_the_input, &pv.isc, &pv.series_fuse)
    else {
        return back.map_or_else(|| pv.back_feed.clone().map(|_| true), |back| back.clone().map(|_| true));
    };
    let others = back_flow(strings.si(), own.si(), isc.si(), 0.0);
    if others < 0.0 {
        return back_flow_of(pv).map(|_| true);
    }
    let decided = if single { !at_least(fuse.si(), others) } else { others > 0.0 };
    if decided {
        let because = format!("the other strings alone push {} back", print_in(others, &units::AMPERE));
        let terms = vec![
            strings.term("strings on the input", &units::COUNT),
            isc.term("label short-circuit current", &units::AMPERE),
            fuse.term("largest series fuse of the module", &units::AMPERE),
        ];
        return Fact::Known(Traced::found(true, choice(because, terms)));
    }
    pv.back_feed.clone().map(|_| true)
}

/// A fault fed by units of other banks as well.
fn with_beside(own: Fact<Current>, beside: &Option<Box<BesideUnits>>) -> Fact<Current> {
    let Some(beside) = beside else { return own };
    match (own, &beside.all) {
        (Fact::Known(own), Fact::Known(all)) => Fact::Known(quantity::sum(
            vec![("units of its bank".into(), own), ("units of other banks".into(), all.clone())],
            &units::AMPERE,
        )),
        (Fact::Unknown(a), Fact::Unknown(b)) => Fact::Unknown(a.and(b)),
        (Fact::Unknown(gap), _) => Fact::Unknown(gap),
        (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
    }
}

fn available_fault(demand: &Demand, currents: &DesignCurrents) -> Fact<Current> {
    let whole_bus = |n: &Fact<Count>, each: &Fact<Current>| match (n, each) {
        (Fact::Known(n), Fact::Known(each)) => Fact::Known(product_of_count(n, each, &units::AMPERE)),
        (Fact::Unknown(a), Fact::Unknown(b)) => Fact::Unknown(a.clone().and(b)),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
    };
    match demand {
        Demand::PvStrings(pv) => {
            greater_of(&currents.maximum, "own strings", &back_flow_of(pv), "can flow back")
        }
        Demand::BatteryUnit(unit) => {
            with_beside(BranchFault::of_facts(&unit.units_on_the_bus, &unit.short_circuit), &unit.beside)
        }
        Demand::BusToInverters(bus) => {
            with_beside(whole_bus(&bus.units_on_the_bus, &bus.short_circuit), &bus.beside)
        }
        Demand::ControllerToBus(controller) => with_beside(
            whole_bus(&controller.units_on_the_bus, &controller.short_circuit),
            &controller.beside,
        ),
        Demand::InverterOutput(inverter) => inverter.fault.available.clone(),
        Demand::Ac(load) => load.fault.available.clone(),
        Demand::UtilitySupply(utility) => utility.fault.available.clone(),
        Demand::GeneratorSupply(generator) => generator.fault.available.clone(),
    }
}
