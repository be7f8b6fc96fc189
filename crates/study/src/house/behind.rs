//! What stands behind the bank: utility, transfer device, generator.

use super::assumption;
use crate::fit::{BankStudy, power_at};
use crate::uses::Uses;
use conversion::{OutputAtAltitude, TransferKind};
use design::system::{System, Unit, UtilityRole};
use energy::{Generator, System as Behind, Transfer};
use quantity::{Fact, units};

/// Hours until someone has started a generator by hand (common practice, no source).
const BY_HAND_H: f64 = 1.0;

pub(super) fn behind(
    system: &System,
    banks: &[BankStudy],
    broken: Option<&str>,
    uses: &mut Uses,
) -> (Behind, &'static str) {
    let role = uses.words("utility", &system.utility.role, |role| {
        match role {
            UtilityRole::None => "none",
            UtilityRole::BackupByTransfer => "backup by transfer",
            UtilityRole::BackupThroughInput => "backup through inverter input",
            UtilityRole::Interactive => "interactive",
        }
        .to_string()
    });
    match role {
        Some(UtilityRole::BackupByTransfer) => {
            (Behind::BackupByTransfer(by_transfer(system, uses)), "the utility")
        }
        Some(UtilityRole::BackupThroughInput) => {
            (Behind::BackupThroughInput(through_input(system, banks, broken, uses)), "the utility")
        }
        Some(UtilityRole::Interactive) => {
            let export_limit_w = match &system.utility.export_limit {
                Some(limit) => uses.number("export limit", limit, &units::WATT),
                None => {
                    let words = "nothing may be fed in until the utility has said how much";
                    uses.note("export", words, assumption("utility.export_limit", words, "unused energy"));
                    0.0
                }
            };
            let (charge_w, charge_to) = match &system.utility.charge_power {
                Some(power) => (
                    uses.number("charging power from the utility", power, &units::WATT),
                    uses.number("charged from the utility up to", &system.utility.hands_back, &units::RATIO),
                ),
                None => (0.0, 1.0),
            };
            (Behind::Interactive { export_limit_w, charge_w, charge_to }, "the utility")
        }
        Some(UtilityRole::None) | None => match generator(system, banks, broken, uses) {
            Some(generator) => (Behind::StandAlone { generator: Some(generator) }, "the generator"),
            None => (Behind::StandAlone { generator: None }, "nothing"),
        },
    }
}

fn by_transfer(system: &System, uses: &mut Uses) -> Transfer {
    let device = system.transfers.first().map(|t| &t.transfer);
    let kind = device.and_then(|t| uses.words("who turns the switch", &t.kind, |kind| format!("{kind:?}")));
    let acts_within_h = match (kind, device) {
        (Some(TransferKind::Manual), Some(t)) => {
            uses.number("time until it is turned", &t.acts_within, &units::HOUR)
        }
        _ => 0.0,
    };
    // A switch that feeds no panel carries nothing.
    let limit_w = device.map_or(f64::INFINITY, |t| {
        let amps = uses.number("rating of the switch", &t.rating, &units::AMPERE);
        let panel = system.panels.iter().find(|p| p.fed_by.contains(&t.name));
        panel
            .and_then(|p| across(&format!("{}: volts", p.name), &p.volts, uses))
            .map_or(0.0, |volts| amps * volts)
    });
    Transfer {
        acts_within_h,
        start_below: uses.number("utility takes over below", &system.utility.takes_over, &units::RATIO),
        stop_above: uses.number("battery takes over above", &system.utility.hands_back, &units::RATIO),
        charge_w: 0.0,
        limit_w,
    }
}

/// Volts between the lines of an output.
fn across(says: &str, volts: &Fact<conversion::OutputVolts>, uses: &mut Uses) -> Option<f64> {
    uses.words(says, volts, |volts| format!("{} V", volts.across())).map(conversion::OutputVolts::across)
}

/// Units at work that something feeds from outside.
fn fed_from_outside<'a>(system: &'a System, broken: Option<&'a str>) -> impl Iterator<Item = &'a Unit> {
    let at_work = move |unit: &&Unit| !unit.ac_input.is_empty() && broken != Some(&*unit.name);
    system.units_in_place.iter().filter(at_work)
}

/// Charging power from the AC input of all units that have one.
fn charge_from_ac(system: &System, banks: &[BankStudy], broken: Option<&str>, uses: &mut Uses) -> f64 {
    let Some(nominal) = banks.first().map(|bank| &bank.nominal) else { return 0.0 };
    let mut watts = 0.0;
    for unit in fed_from_outside(system, broken) {
        if let Some(part) = system.inverter_of(unit) {
            let charge = if part.charge_from_ac.is_known() { &part.charge_from_ac } else { &part.charge };
            watts += uses.number(
                &format!("{}: charge from AC", unit.name),
                &power_at(charge, nominal),
                &units::WATT,
            );
        }
    }
    watts
}

fn through_input(system: &System, banks: &[BankStudy], broken: Option<&str>, uses: &mut Uses) -> Transfer {
    let mut limit_w = 0.0;
    for unit in fed_from_outside(system, broken) {
        if let Some(part) = system.inverter_of(unit) {
            let amps =
                uses.number(&format!("{}: passes through", unit.name), &part.passes_through, &units::AMPERE);
            limit_w +=
                across(&format!("{}: volts", unit.name), &part.volts, uses).map_or(0.0, |volts| amps * volts);
        }
    }
    Transfer {
        acts_within_h: 0.0,
        start_below: uses.number("utility takes over below", &system.utility.takes_over, &units::RATIO),
        stop_above: uses.number("battery takes over above", &system.utility.hands_back, &units::RATIO),
        charge_w: charge_from_ac(system, banks, broken, uses),
        limit_w,
    }
}

fn generator(
    system: &System,
    banks: &[BankStudy],
    broken: Option<&str>,
    uses: &mut Uses,
) -> Option<Generator> {
    let engine = system.engines.first()?;
    let part = system.generator(&engine.generator)?;
    let at_altitude = OutputAtAltitude::of_facts(&part.output, &part.altitude_loss, &system.place.elevation);
    let automatic = uses.words("generator starts by itself", &part.automatic, |yes| yes.to_string());
    let acts_within_h = if automatic == Some(true) {
        0.0
    } else {
        let words = "someone starts the generator within an hour";
        uses.note(
            "start by hand",
            words,
            assumption("generator.automatic", words, "dark hours when the bank is empty"),
        );
        BY_HAND_H
    };
    Some(Generator {
        output_w: uses.number("generator at this altitude", &at_altitude, &units::WATT),
        charge_w: charge_from_ac(system, banks, broken, uses),
        start_below: uses.number("generator started below", &part.start_below, &units::RATIO),
        stop_above: uses.number("generator stopped above", &part.stop_above, &units::RATIO),
        shortest_run_h: uses.number("shortest run", &part.shortest_run, &units::HOUR),
        acts_within_h,
        fuel_per_kwh: uses.number("litres per kWh", &part.fuel_per_kwh, &units::NUMBER),
    })
}
