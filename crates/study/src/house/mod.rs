//! The house as the hourly balance sees it: plain numbers out of facts.

mod bank;
mod behind;
mod rates;
mod room;

use crate::demand::DemandStudy;
use crate::fit::{BankStudy, power_at};
use crate::uses::{Unanswered, Uses};
use bank::bank;
pub(crate) use bank::loop_ohm;
use behind::behind;
use conversion::{CurvePoint, LossCurve, OutputVolts};
use design::Design;
use design::system::{System, Unit, UnitPart};
use energy::{Derate, Fleet, Inputs, Shed};
use loads::Leg;
use quantity::{FieldPath, Origin, Reason, Term, practice, units};
use std::sync::Arc;
use wiring::Schedule;

/// The balance's inputs and what they rest on.
#[derive(Clone, Debug)]
pub struct HouseStudy {
    /// Inputs of the balance.
    pub inputs: Inputs,
    /// What they rest on.
    pub terms: Vec<Term>,
    /// What stands behind the bank, in words: "the utility", "the generator", "nothing".
    pub backup_name: &'static str,
    /// Air around the bank, °C: lowest and highest over the year.
    pub room_c: Option<[f64; 2]>,
    /// Rate of every hour of the year; empty where one holds throughout.
    pub rate_of_hour: Vec<u8>,
    /// Names of the rates, in the order of their numbers.
    pub rate_names: Vec<Arc<str>>,
}

pub(crate) fn house(
    design: &Design,
    banks: &[BankStudy],
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
) -> Result<Arc<HouseStudy>, Unanswered> {
    house_without(design, banks, demand, schedule, None).map(Arc::new)
}

/// The house while one of its units is out of order.
pub(crate) fn house_without(
    design: &Design,
    banks: &[BankStudy],
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
    broken: Option<&str>,
) -> Result<HouseStudy, Unanswered> {
    let system = &design.system;
    let mut uses = Uses::default();
    if let Err(missing) = &demand.profile {
        return Err(missing.clone());
    }
    let fleet = fleet(system, banks, broken, &mut uses)?;
    let (bank, room_c) = bank(design, banks, schedule, broken, &mut uses)?;
    let room = room::room(system, &mut uses);
    let (behind, backup_name) = behind(system, banks, broken, &mut uses);
    let mut shed_below = Shed::default();
    let held_back = match system.banks.first() {
        Some(bank) => {
            let of = |what: &str| format!("{}: {what}", bank.bank.name);
            let mut below = |what: &str, fact: &Option<quantity::Fact<quantity::Ratio>>| {
                fact.as_ref().map_or(0.0, |fact| uses.number(&of(what), fact, &units::RATIO))
            };
            shed_below.want = below("wanted loads go below", &bank.shed.want);
            shed_below.luxury = below("luxury loads go below", &bank.shed.luxury);
            if shed_below != Shed::default() {
                shed_below.comes_back_above =
                    uses.number(&of("loads come back after"), &bank.shed.back_after, &units::RATIO);
            }
            uses.number("share held back", &bank.reserve, &units::RATIO)
        }
        None => 0.0,
    };
    let tariff = rates::rates(system, &mut uses)?;
    uses.extend(&demand.terms);
    let terms = uses.done()?;
    let inputs = Inputs { fleet, bank, room, system: behind, held_back, shed_below, rates: tariff.rates };
    inputs.check().map_err(|problem| Unanswered::refused(problem.to_string(), None))?;
    Ok(HouseStudy {
        inputs,
        terms,
        backup_name,
        room_c,
        rate_of_hour: tariff.of_hour,
        rate_names: tariff.names,
    })
}

fn refused_curve(name: &str, field: &str, e: conversion::CurveError) -> Unanswered {
    Unanswered::refused(
        format!("the efficiencies of inverter \"{name}\" cannot be: {e}"),
        Some(FieldPath::new(format!("inverter.{name}.{field}"))),
    )
}

/// Points of a curve in words.
fn in_words(points: &Arc<[CurvePoint]>) -> String {
    let all: Vec<String> =
        points.iter().map(|(x, e)| format!("{:.0} % → {:.1} %", x * 100.0, e * 100.0)).collect();
    all.join(", ")
}

fn fleet(
    system: &System,
    banks: &[BankStudy],
    broken: Option<&str>,
    uses: &mut Uses,
) -> Result<Fleet, Unanswered> {
    let works = |unit: &&Unit| broken != Some(&*unit.name);
    let units_at_work: Vec<&Unit> = system.units_in_place.iter().filter(works).collect();
    let inverters: Vec<_> = units_at_work.iter().filter_map(|unit| system.inverter_of(unit)).collect();
    let Some(first) = inverters.first() else {
        return Err(Unanswered::refused(
            "the design names no inverter in its place",
            Some(FieldPath::new("unit")),
        ));
    };
    if inverters.iter().any(|i| i.name != first.name) {
        return Err(Unanswered::refused(
            "two kinds of inverters on one house are not modelled yet",
            Some(FieldPath::new("unit")),
        ));
    }
    let count = inverters.len() as u32;
    uses.note("inverters", count.to_string(), Origin::Stated(FieldPath::new("unit")));
    let of = |what: &str| format!("{}: {what}", first.name);
    let rated = uses.number(&of("continuous output"), &first.output, &units::WATT);
    let rated_va = uses.number(&of("continuous output in VA"), &first.output_va, &units::VOLT_AMPERE);
    let idle = uses.number(&of("idle draw"), &first.idle, &units::WATT);
    let points = uses.words(&of("efficiency"), &first.efficiency, in_words);
    let numbers_known = rated.is_finite() && idle.is_finite();
    let fitted = |points: &Arc<[CurvePoint]>, idle: f64, field: &str| {
        LossCurve::fit(points, rated, idle)
            .map(|fit| fit.curve.side_by_side(count))
            .map_err(|e| refused_curve(&first.name, field, e))
    };
    let discharge = match &points {
        Some(points) if numbers_known => fitted(points, idle, "efficiency")?,
        // The gap is remembered and stops the answer below.
        _ => LossCurve { idle_w: 0.0, linear: 0.0, square_per_w: 0.0 },
    };
    // The idle draw belongs to the unit and is counted once, with the way from battery to AC.
    let straight = match &first.pv_to_ac {
        Some(curve) => uses.words(&of("modules to AC"), curve, in_words).map(|points| (points, "pv_to_ac")),
        // A unit without a battery has no other way: its efficiency is that of modules to AC.
        None if system.banks.is_empty() => points.clone().map(|points| (points, "efficiency")),
        None => None,
    };
    let direct = match straight {
        Some((points, field)) if numbers_known => {
            Some(LossCurve { idle_w: 0.0, ..fitted(&points, idle, field)? })
        }
        _ => None,
    };
    let mut on_path = |what: &str, field: &str, curve: &Option<quantity::Fact<Arc<[CurvePoint]>>>| {
        let Some(points) = curve.as_ref().and_then(|curve| uses.words(&of(what), curve, in_words)) else {
            return Ok(None);
        };
        if rated.is_finite() { fitted(&points, 0.0, field).map(Some) } else { Ok(None) }
    };
    let charge_curve = on_path("AC to battery", "ac_to_battery", &first.ac_to_battery)?;
    let pv_curve = on_path("modules to battery", "pv_to_battery", &first.pv_to_battery)?;
    let charge_efficiency = match charge_curve {
        Some(curve) => 1.0 / (1.0 + curve.linear),
        None => uses.number(&of("efficiency AC to battery"), &first.charge_efficiency, &units::RATIO),
    };
    let derate = first.in_heat.as_ref().map(|(full_up_to, loses)| Derate {
        above_c: uses.number(&of("full output up to"), full_up_to, &units::CELSIUS),
        per_kelvin: -uses.number(&of("loses in heat"), loses, &units::PER_KELVIN),
    });
    let (mut pv_efficiency, mut charge_w) = (0.0_f64, 0.0);
    let nominal = banks.first().map(|bank| &bank.nominal);
    for unit in &units_at_work {
        let (charge, efficiency, name) = match &unit.part {
            UnitPart::Inverter(name) => match system.inverter(name) {
                Some(part) => {
                    (&part.charge, (!part.pv_inputs.is_empty()).then_some(&part.pv_efficiency), name)
                }
                None => continue,
            },
            UnitPart::Controller(name) => match system.controller(name) {
                Some(part) => (&part.charge, Some(&part.efficiency), name),
                None => continue,
            },
            UnitPart::Unclear => continue,
        };
        if let Some(nominal) = nominal {
            charge_w += uses.number(
                &format!("{}: charge limit", unit.name),
                &power_at(charge, nominal),
                &units::WATT,
            );
        }
        if let (Some(efficiency), None) = (efficiency, pv_curve) {
            // Units of one house are of one kind or nearly so; the best one is the common scale, see `year`.
            pv_efficiency =
                pv_efficiency.max(uses.number(&format!("{name}: from modules"), efficiency, &units::RATIO));
        }
    }
    if let Some(curve) = pv_curve {
        pv_efficiency = 1.0 / (1.0 + curve.linear);
    }
    Ok(Fleet {
        discharge,
        direct,
        output_limit_w: rated.min(rated_va) * f64::from(count),
        leg_limit_w: leg_limits(system, &units_at_work, rated.min(rated_va)),
        derate,
        pv_efficiency: if pv_efficiency > 0.0 { pv_efficiency } else { 1.0 },
        pv_square_per_w: pv_curve.map_or(0.0, |curve| curve.square_per_w),
        charge_efficiency,
        charge_square_per_w: charge_curve.map_or(0.0, |curve| curve.square_per_w),
        charge_limit_w: charge_w,
    })
}

/// What the units give on each of two legs; `None` where there is one.
fn leg_limits(system: &System, at_work: &[&Unit], rated_w: f64) -> Option<[f64; 2]> {
    let whole = |unit: &Unit| {
        system.inverter_of(unit).is_some_and(|part| part.volts.value() == Some(&OutputVolts::Split240))
    };
    if !system.units_in_place.iter().any(|unit| unit.leg.is_known() || whole(unit)) {
        return None;
    }
    let mut legs = [0.0; 2];
    for unit in at_work.iter().filter(|unit| system.inverter_of(unit).is_some()) {
        match unit.leg.value() {
            Some(Leg::A) => legs[0] += rated_w,
            Some(Leg::B) => legs[1] += rated_w,
            // Common practice, no source: a split-phase unit gives half its output on each leg.
            _ => legs.iter_mut().for_each(|leg| *leg += rated_w / 2.0),
        }
    }
    Some(legs)
}

pub(crate) fn assumption(field: &str, because: &str, moves: &str) -> Origin {
    Origin::Assumed(Reason {
        field: FieldPath::new(field.to_string()),
        because: format!("{because}; from memory").into(),
        moves: moves.into(),
        clause: practice("assumption"),
    })
}
