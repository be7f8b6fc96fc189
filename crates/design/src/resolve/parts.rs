//! Parts by their data sheets.

use super::take::{Take, assumed};
use crate::read::Given;
use array::facts::Module;
use array::strings_design::{
    AmperesPerKelvinMeasure, MaxPowerVoltageChange, RelativeCurrentChange, RelativeVoltageChange,
    VoltsPerKelvinMeasure,
};
use conversion::{Controller, CurvePoint, Generator, Inverter, NeutralBond, OutputVolts, PvInput, Stackable};
use quantity::{ApparentPower, Fact, Kind, Measure, PerKelvin, Power, Ratio, Temperature, Traced};
use std::sync::Arc;
use storage::{Battery, Chemistry};

pub(super) fn module(name: &Arc<str>, take: &Take<'_>) -> Module {
    let voc = take.quantity("voc");
    let isc = take.quantity("isc");
    let vmp = take.quantity("vmp");
    let voc_change = voltage_change(take, "voc_per_kelvin", &voc);
    let isc_change = match take.given("isc_per_kelvin") {
        Some((Given::Quantity { si, kind: Kind::AmperesPerKelvin }, origin)) => {
            RelativeCurrentChange::of_facts(
                &Fact::Known(Traced { value: AmperesPerKelvinMeasure(*si), origin }),
                &isc,
            )
        }
        _ => take.quantity("isc_per_kelvin"),
    };
    let power_change = take.quantity("pmax_per_kelvin");
    let vmp_change = if take.is_written("vmp_per_kelvin") {
        voltage_change(take, "vmp_per_kelvin", &vmp)
    } else {
        MaxPowerVoltageChange::of_facts(&power_change, &isc_change)
    };
    let cells = take.record("cells");
    let size = take.record("size");
    Module {
        name: name.clone(),
        loss_per_year: take.quantity("loss_per_year"),
        power: take.quantity("power"),
        imp: take.quantity("imp"),
        cells_in_series: cells.count("in_series"),
        cells_in_parallel: cells.count("in_parallel"),
        bypass_diodes: cells.count("bypass_diodes"),
        series_fuse: take.quantity("series_fuse"),
        system_voltage: take.quantity("system_voltage"),
        length: size.quantity("length"),
        width: size.quantity("width"),
        mass: take.quantity("weight"),
        noct: take.quantity("noct"),
        price: take.money("price"),
        voc,
        isc,
        vmp,
        voc_change,
        vmp_change,
        power_change,
        isc_change,
    }
}

/// A voltage coefficient in %/K, or in mV/K against the value it belongs to.
fn voltage_change(take: &Take<'_>, key: &str, at_25: &Fact<quantity::Voltage>) -> Fact<PerKelvin> {
    match take.given(key) {
        Some((Given::Quantity { si, kind: Kind::VoltsPerKelvin }, origin)) => {
            let slope = Fact::Known(Traced { value: VoltsPerKelvinMeasure(*si), origin });
            RelativeVoltageChange::of_facts(&slope, at_25)
        }
        _ => take.quantity(key),
    }
}

fn pv_inputs(take: &Take<'_>) -> Vec<PvInput> {
    take.records("pv_input")
        .iter()
        .map(|input| {
            let (track_low, track_high) = input.range("tracks");
            PvInput {
                voltage_limit: input.quantity("voltage_limit"),
                track_low,
                track_high,
                current: input.quantity("current"),
                short_circuit: input.quantity("short_circuit"),
                power: input.quantity("power"),
                back_feed: input.quantity("back_feed"),
            }
        })
        .collect()
}

pub(super) fn output_volts(word: &str) -> Option<OutputVolts> {
    match word {
        "120" => Some(OutputVolts::Single120),
        "120/240" => Some(OutputVolts::Split240),
        "230" => Some(OutputVolts::Single230),
        _ => None,
    }
}

fn neutral_bond(word: &str) -> Option<NeutralBond> {
    match word {
        "none" => Some(NeutralBond::None),
        "fixed" => Some(NeutralBond::Fixed),
        "removable" => Some(NeutralBond::Removable),
        "relay, closed when inverting" => Some(NeutralBond::RelayWhenInverting),
        _ => None,
    }
}

/// Efficiencies at shares of rated output.
fn curve(take: &Take<'_>, key: &str) -> Fact<Arc<[CurvePoint]>> {
    match take.given(key) {
        Some((Given::Curve(points), origin)) => Fact::Known(Traced { value: points.clone().into(), origin }),
        _ => Fact::unknown(take.path(key).0, quantity::WhoKnows::DataSheet),
    }
}

fn written_curve(take: &Take<'_>, key: &str) -> Option<Fact<Arc<[CurvePoint]>>> {
    take.is_written(key).then(|| curve(take, key))
}

pub(super) fn inverter(name: &Arc<str>, take: &Take<'_>) -> Inverter {
    let output: Fact<Power> = take.quantity("output");
    let output_va = if take.is_written("output_va") {
        take.quantity("output_va")
    } else {
        // A rating in watts alone is usually one at power factor 1.
        output.and_then(|watts| Fact::Known(watts.with(ApparentPower(watts.si()))))
    };
    let surge = take.record("surge");
    let (battery_low, battery_high) = take.range("battery_range");
    let (_, works_up_to) = take.range::<Temperature>("works_between");
    Inverter {
        name: name.clone(),
        volts: take.choice("volts", output_volts),
        surge: surge.quantity("power"),
        surge_time: surge.quantity("lasts"),
        efficiency: curve(take, "efficiency"),
        peak_efficiency: take.optional("peak_efficiency"),
        pv_to_battery: written_curve(take, "pv_to_battery"),
        ac_to_battery: written_curve(take, "ac_to_battery"),
        pv_to_ac: written_curve(take, "pv_to_ac"),
        in_heat: take.is_written("in_heat").then(|| {
            let heat = take.record("in_heat");
            (heat.quantity("full_up_to"), heat.quantity("loses"))
        }),
        charge_efficiency: take.quantity("charge_efficiency"),
        pv_efficiency: take.quantity("pv_efficiency"),
        idle: take.quantity("idle"),
        battery_low,
        battery_high,
        neutral_bond: take.choice("neutral_bond", neutral_bond),
        parts_neutral: take.yes_no("parts_neutral"),
        passes_through: take.quantity("passes_through"),
        pv_inputs: pv_inputs(take),
        array_power: take.quantity("array_power"),
        charge: take.quantity("charge"),
        charge_from_ac: take.quantity("charge_from_ac"),
        units_in_parallel: take.count("units_in_parallel"),
        stackable: take.choice("stackable", |word| match word {
            "no" => Some(Stackable::No),
            "same phase" => Some(Stackable::SamePhase),
            "split phase" => Some(Stackable::SplitPhase),
            "both" => Some(Stackable::Both),
            _ => None,
        }),
        fault_current: take.quantity("fault_current"),
        ends_short: take.yes_no("ends_short"),
        voltage_gone_within: take.quantity("voltage_gone_within"),
        separated: take.yes_no("separated"),
        asks_type_b: take.yes_no("asks_type_b"),
        input_millifarads: take.quantity("input_millifarads"),
        pre_charge: take.yes_no("pre_charge"),
        interactive: take.yes_no("interactive"),
        follows_frequency: take.yes_no("follows_frequency"),
        works_up_to,
        pv_switch: take.yes_no("pv_switch"),
        discharges_within: take.quantity("discharges_within"),
        ground_fault_protection: take.yes_no("ground_fault_protection"),
        arc_fault_protection: take.yes_no("arc_fault_protection"),
        surge_protection: take.yes_no("surge_protection"),
        mass: take.quantity("weight"),
        price: take.money("price"),
        output,
        output_va,
    }
}

pub(super) fn controller(name: &Arc<str>, take: &Take<'_>) -> Controller {
    Controller {
        name: name.clone(),
        pv_inputs: pv_inputs(take),
        charge: take.quantity("charge"),
        efficiency: take.quantity("efficiency"),
        idle: take.quantity("idle"),
        pv_switch: take.yes_no("pv_switch"),
        discharges_within: take.quantity("discharges_within"),
        ground_fault_protection: take.yes_no("ground_fault_protection"),
        arc_fault_protection: take.yes_no("arc_fault_protection"),
        surge_protection: take.yes_no("surge_protection"),
        mass: take.quantity("weight"),
        price: take.money("price"),
    }
}

pub(super) fn battery(name: &Arc<str>, take: &Take<'_>) -> Battery {
    let chemistry = take.choice("chemistry", |word| match word {
        "lfp" => Some(Chemistry::Lfp),
        "lead-acid" => Some(Chemistry::LeadAcid),
        _ => None,
    });
    let current = take.record("current");
    let (usable_low, usable_high) = take.range("usable");
    let of_chemistry = |lfp: f64, lead: f64, key: &str, because: [&str; 2], moves: &str| {
        chemistry.and_then(|kind| {
            let (value, because) = match kind.value {
                Chemistry::Lfp => (lfp, because[0]),
                Chemistry::LeadAcid => (lead, because[1]),
            };
            assumed(Ratio::from_si(value), take.path(key), because, moves)
        })
    };
    Battery {
        name: name.clone(),
        nominal: take.quantity("nominal"),
        capacity: take.quantity("capacity"),
        charge: current.quantity("charge"),
        discharge: current.quantity("discharge"),
        peak: current.quantity("peak"),
        cut_off: take.quantity("cut_off"),
        charge_voltage: take.quantity("charge_voltage"),
        usable_low: usable_low.or(|| {
            let because = [
                "one tenth is kept as iron phosphate owners do; common practice",
                "half is kept as lead-acid owners do; common practice",
            ];
            of_chemistry(0.1, 0.5, "usable", because, "usable energy")
        }),
        usable_high: usable_high.or(|| {
            let because = ["charged to full; common practice", "charged to full; common practice"];
            of_chemistry(1.0, 1.0, "usable", because, "usable energy")
        }),
        charge_above: take.quantity("charge_above"),
        full_charge_from: take.optional("full_charge_from"),
        low_temperature_cut_off: take.yes_no("low_temperature_cut_off"),
        short_circuit: take.quantity("short_circuit"),
        units_in_parallel: take.count("units_in_parallel"),
        round_trip: take.quantity("round_trip").or(|| {
            let because = [
                "iron phosphate returns 93 to 96 %; from memory",
                "lead-acid returns 75 to 85 %; from memory",
            ];
            of_chemistry(0.95, 0.80, "round_trip", because, "energy through the battery")
        }),
        standby: take.quantity("standby").or(|| {
            chemistry.and_then(|kind| {
                let (watts, because) = match kind.value {
                    Chemistry::Lfp => (1.0, "units of this kind draw 1 to 3 W; from memory"),
                    Chemistry::LeadAcid => (0.0, "lead-acid units have no electronics; common practice"),
                };
                assumed(Power::from_si(watts), take.path("standby"), because, "some kilowatt-hours a year")
            })
        }),
        self_discharge: take.quantity("self_discharge").or(|| {
            let because = [
                "iron phosphate loses about 2 % a month; from memory",
                "lead-acid loses 3 to 5 % a month; from memory",
            ];
            of_chemistry(0.02, 0.04, "self_discharge", because, "a few kilowatt-hours a year")
        }),
        electronic_switch: take.yes_no("electronic_switch"),
        breaker: take.yes_no("breaker"),
        close_together: take.yes_no("close_together"),
        pre_charge: take.yes_no("pre_charge"),
        mass: take.quantity("weight"),
        price: take.money("price"),
        chemistry,
    }
}

pub(super) fn generator(name: &Arc<str>, take: &Take<'_>) -> Generator {
    let output: Fact<Power> = take.quantity("output");
    Generator {
        name: name.clone(),
        output_va: if take.is_written("output_va") {
            take.quantity("output_va")
        } else {
            output.and_then(|watts| Fact::Known(watts.with(ApparentPower(watts.si()))))
        },
        output,
        subtransient: take.quantity("subtransient_reactance"),
        fault_current: take.quantity("fault_current"),
        lasting_fault: take.quantity("lasting_fault"),
        ends_short: take.yes_no("ends_short"),
        volts: take.choice("volts", output_volts),
        neutral_bond: take.choice("neutral_bond", neutral_bond),
        altitude_loss: take.quantity("altitude_loss"),
        fuel_per_kwh: take.quantity("litres_per_kwh"),
        price: take.money("price"),
        start_below: take.quantity("start_below"),
        stop_above: take.quantity("stop_above"),
        shortest_run: take.quantity("shortest_run"),
        automatic: take.yes_no("automatic"),
    }
}
