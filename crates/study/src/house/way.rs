//! The way of each unit's modules to the house.

use crate::fit::{BankStudy, power_at};
use conversion::{CurvePoint, Inverter, LossCurve};
use design::system::{System, Unit, UnitPart};
use std::sync::Arc;

/// How modules at a unit reach the house.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum PvWay {
    /// By the inputs of the inverters, with the loss curve of the fleet.
    Units,
    /// To the bus by a conversion of their own: charge controllers, and inverters whose way is not that of the fleet.
    Bus(ToBus),
    /// To the AC side.
    Coupled,
}

/// What becomes of module power on the way of one unit to the bus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ToBus {
    /// One figure for all of it.
    Efficiency(f64),
    /// A loss curve of this unit, without its idle draw.
    Curve(LossCurve),
}

impl ToBus {
    /// What arrives at the bus, W.
    pub(crate) fn arrives_w(&self, modules_w: f64) -> f64 {
        match self {
            ToBus::Efficiency(efficiency) => modules_w * efficiency,
            ToBus::Curve(curve) => curve.output_for_above_idle(modules_w),
        }
    }

    /// What modules give when so much arrives, W; `None` where nothing ever does.
    pub(crate) fn taken_w(&self, bus_w: f64) -> Option<f64> {
        match self {
            ToBus::Efficiency(efficiency) => (*efficiency > 0.0).then(|| bus_w / efficiency),
            ToBus::Curve(curve) => Some(curve.above_idle(bus_w)),
        }
    }

    /// Numbers that tell one way from another.
    pub(crate) fn numbers(&self) -> [f64; 4] {
        match self {
            ToBus::Efficiency(efficiency) => [*efficiency, 0.0, 0.0, 0.0],
            ToBus::Curve(curve) => [1.0 + curve.linear, curve.square_per_w, curve.onset, curve.onset_to_w],
        }
    }
}

/// Which way a unit's modules take; `None` where its efficiency is not known.
pub(crate) fn pv_way(system: &System, unit: &Unit) -> Option<PvWay> {
    let single = |efficiency: f64| PvWay::Bus(ToBus::Efficiency(efficiency));
    match &unit.part {
        UnitPart::Controller(name) => system.controller(name)?.efficiency.si().map(single),
        UnitPart::Inverter(_) if system.is_array_inverter(unit) => Some(PvWay::Coupled),
        UnitPart::Inverter(_) => {
            let part = system.inverter_of(unit)?;
            match main_kind(system) {
                Some(main) if main != part.name => match own_curve(part) {
                    Some(curve) => Some(PvWay::Bus(ToBus::Curve(curve))),
                    None => part.pv_efficiency.si().map(single),
                },
                _ => Some(PvWay::Units),
            }
        }
        UnitPart::Unclear => None,
    }
}

/// The curve of one unit from its modules to the bus, where its data sheet gives one that can be.
fn own_curve(part: &Inverter) -> Option<LossCurve> {
    let points: &Arc<[CurvePoint]> = part.pv_to_battery.as_ref()?.value()?;
    LossCurve::fit_path(points, part.output.si()?, part.idle.si()?).ok().map(|fit| fit.curve)
}

/// Power a controller puts on the bus at most, W; `None` for other units and where a fact is missing.
pub(crate) fn controller_limit_w(system: &System, banks: &[BankStudy], unit: &Unit) -> Option<f64> {
    let UnitPart::Controller(name) = &unit.part else { return None };
    power_at(&system.controller(name)?.charge, &banks.first()?.nominal).si()
}

/// Supply units with strings on them.
pub(super) fn with_strings(system: &System) -> impl Iterator<Item = &Inverter> {
    let has_string = |unit: &Unit| system.strings.iter().any(|s| s.string.unit == unit.name);
    system.supply_units().filter(move |(unit, _)| has_string(unit)).map(|(_, part)| part)
}

/// The part whose way from modules is that of the fleet: the first with strings that goes straight to AC, else the first with
/// a curve, else the first; `None` where no supply unit has strings.
pub(super) fn main_kind(system: &System) -> Option<Arc<str>> {
    let first = |which: fn(&Inverter) -> bool| with_strings(system).find(|part| which(part));
    first(|part| part.pv_to_ac.is_some())
        .or_else(|| first(|part| part.pv_to_battery.is_some()))
        .or_else(|| first(|_| true))
        .map(|part| part.name.clone())
}
