//! Design currents: what each circuit carries, the maximum its conductors must bear and the continuous current its
//! terminals and device must bear.
//!
//! Figures known from reproductions of the code carry the standing second-hand; no licensed copy was compared.

use crate::above_zero;
use crate::demand::{BatteryVolts, BusToInverters, Demand, PvStrings};
use quantity::{
    Clause, Count, Current, Fact, Gap, Power, Ratio, Standing, Traced, Voltage, formula, greatest, nec, sum,
    units,
};
use std::sync::Arc;

const PARALLEL: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "currents in parallel add",
    standing: Standing::Computed,
};

/// The currents and voltages a circuit is sized on.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignCurrents {
    /// Current at which the voltage drop is scheduled: of strings at maximum power, of all others the maximum.
    pub operating: Fact<Current>,
    /// Voltage the drop is a share of: the voltage at which the operating current flows.
    pub volts: Fact<Voltage>,
    /// Maximum current: what the conductor must carry after correction and adjustment.
    pub maximum: Fact<Current>,
    /// Continuous-load current: what terminals must bear without factors and the least rating of the device.
    pub continuous: Fact<Current>,
    /// Highest voltage the circuit can reach.
    pub highest: Fact<Voltage>,
}

/// Maximum current of `n` strings in parallel of short-circuit current `isc` amperes: `1.25 · n · isc`.
pub fn pv_maximum(n: f64, isc: f64) -> f64 {
    1.25 * n * isc
}

formula! {
    /// Explained twin of [`pv_maximum`].
    pub PvMaximum = pv_maximum(
        n: Count as COUNT = "strings in parallel",
        isc: Current as AMPERE = "label short-circuit current of one string",
    ) -> Current as AMPERE,
    text: "1.25 · n · isc",
    clause: nec("2023", "690.8(A)(1)(a)", Standing::SecondHand),
}

/// Operating current of `n` strings in parallel, amperes.
pub fn pv_operating(n: f64, imp: f64) -> f64 {
    n * imp
}

formula! {
    /// Explained twin of [`pv_operating`].
    pub PvOperating = pv_operating(
        n: Count as COUNT = "strings in parallel",
        imp: Current as AMPERE = "label current at maximum power of one string",
    ) -> Current as AMPERE,
    text: "n · imp",
    clause: PARALLEL,
}

/// Direct current an inverter draws at output `p` watts, battery voltage `v` and efficiency `eta` (0 to 1, never 0).
/// The lowest voltage at which it still runs gives the greatest current.
pub fn inverter_input_current(p: f64, v: f64, eta: f64) -> f64 {
    p / (v * eta)
}

formula! {
    /// Explained twin of [`inverter_input_current`].
    pub InverterInputCurrent = inverter_input_current(
        p: Power as WATT = "rated continuous output",
        v: Voltage as VOLT = "lowest battery voltage",
        eta: Ratio as RATIO = "efficiency at full output",
    ) -> Current as AMPERE,
    text: "p / (v · eta)",
    clause: nec("2023", "706.30(A); 710.12", Standing::Remembered),
}

/// Rated output current of an inverter of `p` watts at `v` volts.
pub fn inverter_output_current(p: f64, v: f64) -> f64 {
    p / v
}

formula! {
    /// Explained twin of [`inverter_output_current`].
    pub InverterOutputCurrent = inverter_output_current(
        p: Power as WATT = "rated continuous output",
        v: Voltage as VOLT = "voltage between the conductors that carry it",
    ) -> Current as AMPERE,
    text: "p / v",
    clause: nec("2023", "690.8(A)(1)(e); 710.15(B)", Standing::SecondHand),
}

/// Current for conductors at their terminals and for the device: 125 % of `i`.
pub fn continuous_current(i: f64) -> f64 {
    1.25 * i
}

formula! {
    /// Array circuits, so that terminals bear 1.5625 times the short-circuit current.
    pub PvContinuous = continuous_current(i: Current as AMPERE = "maximum current") -> Current as AMPERE,
    text: "1.25 · i",
    clause: nec("2023", "690.8(B)(1)", Standing::SecondHand),
}

formula! {
    /// Battery circuits.
    pub StorageContinuous = continuous_current(i: Current as AMPERE = "maximum current") -> Current as AMPERE,
    text: "1.25 · i",
    clause: nec("2023", "706.30(B); 706.31(B)", Standing::SecondHand),
}

formula! {
    /// Output circuits of inverters.
    pub SourceContinuous = continuous_current(
        i: Current as AMPERE = "rated continuous output current",
    ) -> Current as AMPERE,
    text: "1.25 · i",
    clause: nec("2023", "705.28(B); 705.30(B)", Standing::SecondHand),
}

formula! {
    /// Feeders and load circuits.
    pub LoadContinuous = continuous_current(i: Current as AMPERE = "continuous load") -> Current as AMPERE,
    text: "1.25 · i",
    clause: nec("2023", "210.19(A)(1); 215.2(A)(1)", Standing::Remembered),
}

/// Least ampacity of conductors that carry the whole load of one dwelling behind a main device of `main` amperes.
pub fn whole_dwelling(main: f64) -> f64 {
    0.83 * main
}

formula! {
    /// Explained twin of [`whole_dwelling`], for services of 100 A to 400 A.
    pub WholeDwelling = whole_dwelling(main: Current as AMPERE = "rating of the main device") -> Current as AMPERE,
    text: "0.83 · main",
    clause: nec("2023", "310.12", Standing::SecondHand),
}

/// Share of the bus current one unit bears when another of `n` is out of service; `n` at least 2.
pub fn one_out(total: f64, n: f64) -> f64 {
    total / (n - 1.0)
}

formula! {
    /// Explained twin of [`one_out`].
    pub OneOutShare = one_out(
        total: Current as AMPERE = "greatest continuous current of the bus",
        n: Count as COUNT = "units in parallel",
    ) -> Current as AMPERE,
    text: "total / (n − 1)",
    clause: quantity::practice("even sharing among the units that remain"),
}

/// What happens to a battery unit when another one is out of service.
#[derive(Clone, Debug, PartialEq)]
pub struct OneOut {
    /// Current left to each unit that remains.
    pub share: Traced<Current>,
    /// Greater of the unit's rated charge and discharge current.
    pub rating: Traced<Current>,
    /// Whether the rating bears the share.
    pub bears: bool,
}

/// Whether the remaining units bear the bus current with one out; `None` for other circuits and a single unit.
pub fn one_unit_out(demand: &Demand) -> Option<Fact<OneOut>> {
    let Demand::BatteryUnit(unit) = demand else { return None };
    if unit.units_on_the_bus.value().is_some_and(|n| n.0 < 2) {
        return None;
    }
    let rating = match greater_of(&unit.charge, "charge", &unit.discharge, "discharge") {
        Fact::Known(rating) => rating,
        Fact::Unknown(gap) => return Some(Fact::Unknown(gap)),
    };
    Some(match OneOutShare::of_facts(&unit.bus_current, &unit.units_on_the_bus) {
        Fact::Known(share) => {
            let bears = crate::at_least(rating.si(), share.si());
            let origin = share.origin.clone();
            Fact::Known(Traced { value: OneOut { share, rating, bears }, origin })
        }
        Fact::Unknown(gap) => Fact::Unknown(gap),
    })
}

impl Demand {
    /// The currents and voltages to size on. Facts that are missing leave only what rests on them unknown.
    pub fn design_currents(&self) -> DesignCurrents {
        match self {
            Demand::PvStrings(pv) => pv_currents(pv),
            Demand::BatteryUnit(unit) => {
                battery_circuit(greater_of(&unit.charge, "charge", &unit.discharge, "discharge"), &unit.volts)
            }
            Demand::BusToInverters(bus) => battery_circuit(bus_current(bus), &bus.volts),
            Demand::ControllerToBus(controller) => {
                battery_circuit(controller.charge.clone(), &controller.volts)
            }
            Demand::InverterOutput(inverter) => {
                let own = InverterOutputCurrent::of_facts(&inverter.output, &above_zero(&inverter.volts));
                let maximum = greater_of(&own, "own output", &inverter.passes_through, "passed through");
                ac_circuit(SourceContinuous::of_facts(&maximum), maximum, &inverter.volts)
            }
            Demand::Ac(load) => {
                ac_circuit(LoadContinuous::of_facts(&load.continuous), load.continuous.clone(), &load.volts)
            }
            Demand::GeneratorSupply(generator) => ac_circuit(
                LoadContinuous::of_facts(&generator.rated),
                generator.rated.clone(),
                &generator.volts,
            ),
            Demand::UtilitySupply(utility) => {
                // The rating of the main device governs; the share of a dwelling applies from 100 A to 400 A.
                let in_range = utility.main.si().is_some_and(|amps| (100.0..=400.0).contains(&amps));
                let maximum = match (&utility.whole_dwelling, in_range) {
                    (Fact::Unknown(gap), true) => Fact::Unknown(gap.clone()),
                    (Fact::Known(whole), true) if whole.value => WholeDwelling::of_facts(&utility.main),
                    _ => utility.main.clone(),
                };
                ac_circuit(maximum.clone(), maximum, &utility.volts)
            }
        }
    }
}

fn pv_currents(pv: &PvStrings) -> DesignCurrents {
    let maximum = PvMaximum::of_facts(&pv.in_parallel, &pv.isc);
    DesignCurrents {
        operating: PvOperating::of_facts(&pv.in_parallel, &pv.imp),
        volts: pv.vmp.clone(),
        continuous: PvContinuous::of_facts(&maximum),
        maximum,
        highest: pv.voc_cold.clone(),
    }
}

fn battery_circuit(maximum: Fact<Current>, volts: &BatteryVolts) -> DesignCurrents {
    DesignCurrents {
        operating: maximum.clone(),
        volts: volts.lowest.clone(),
        continuous: StorageContinuous::of_facts(&maximum),
        maximum,
        highest: volts.highest.clone(),
    }
}

fn ac_circuit(continuous: Fact<Current>, maximum: Fact<Current>, volts: &Fact<Voltage>) -> DesignCurrents {
    DesignCurrents {
        operating: maximum.clone(),
        volts: volts.clone(),
        maximum,
        continuous,
        highest: volts.clone(),
    }
}

/// The greater of everything inverting at the lowest battery voltage and everything charging.
fn bus_current(bus: &BusToInverters) -> Fact<Current> {
    let lowest = above_zero(&bus.volts.lowest);
    let inverting = sum_of(bus.inverters.iter().map(|inverter| {
        let drawn =
            InverterInputCurrent::of_facts(&inverter.output, &lowest, &above_zero(&inverter.efficiency));
        (inverter.name.clone(), drawn)
    }));
    let charging =
        sum_of(bus.inverters.iter().map(|inverter| (inverter.name.clone(), inverter.charge.clone())));
    greater_of(&inverting, "inverting", &charging, "charging")
}

fn sum_of(parts: impl Iterator<Item = (Arc<str>, Fact<Current>)>) -> Fact<Current> {
    let mut known = Vec::new();
    let mut gap: Option<Gap> = None;
    for (name, part) in parts {
        match part {
            Fact::Known(part) => known.push((name, part)),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        // One alone needs no sum around it.
        None if known.len() == 1 => known
            .pop()
            .map_or_else(|| Fact::Known(sum(Vec::new(), &units::AMPERE)), |(_, only)| Fact::Known(only)),
        None => Fact::Known(sum(known, &units::AMPERE)),
    }
}

/// The greater of two currents with both in the working; unknown when either is.
pub(crate) fn greater_of(a: &Fact<Current>, a_name: &str, b: &Fact<Current>, b_name: &str) -> Fact<Current> {
    match (a, b) {
        (Fact::Known(a), Fact::Known(b)) => {
            let parts = vec![(Arc::from(a_name), a.clone()), (Arc::from(b_name), b.clone())];
            // Two parts are always there, so the greatest is as well.
            greatest(parts, &units::AMPERE).map_or_else(|| Fact::Known(a.clone()), Fact::Known)
        }
        (Fact::Unknown(a), Fact::Unknown(b)) => Fact::Unknown(a.clone().and(b)),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
    }
}
