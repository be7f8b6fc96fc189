//! The bank: what it holds, takes and gives, how warm it is, what its links lose.

use super::assumption;
use super::one_bus::{main_bank, on_one_bus};
use crate::fit::{BankStudy, power_at};
use crate::uses::{Unanswered, Uses};
use design::Design;
use design::system::{BankIn, UnitPart};
use energy::{Bank, Chemistry, Thermal};
use quantity::{FieldPath, units};
use storage::{CELLS_WH_PER_KG_K, Kinetic, OPEN_W_PER_KG_K, ThermalNode};
use wiring::Schedule;

/// Charging of iron phosphate tapers near full; from memory of charger manuals, no source.
const LFP_TAPER: (f64, f64) = (0.95, 0.30);
/// Lead-acid takes less and less above four fifths; from memory, no source.
const LEAD_TAPER: (f64, f64) = (0.80, 0.10);
/// Two-well constants of a flooded battery: share at hand, rate per hour; from memory, no published pair confirmed.
const FLOODED: Kinetic = Kinetic { share_at_hand: 0.31, rate_per_h: 0.6 };
/// Kilograms of battery that store a kilowatt-hour, iron phosphate and lead-acid; from memory, no source.
const KG_PER_KWH: [f64; 2] = [10.0, 28.0];

/// The banks of the house as one, and the air around them.
pub(super) fn bank(
    design: &Design,
    banks: &[BankStudy],
    schedule: Option<&Schedule>,
    broken: Option<&str>,
    uses: &mut Uses,
) -> Result<(Bank, Option<[f64; 2]>), Unanswered> {
    let system = &design.system;
    let Some(stated) = main_bank(system) else { return Ok((no_bank(), None)) };
    on_one_bus(system, banks, stated)?;
    let mut parts = Vec::new();
    // The bank whose busbars they are comes first.
    let mut on_bus: Vec<&BankIn> = system.banks_on(&stated.bank.name).collect();
    on_bus.sort_by_key(|bank| bank.bank.name != stated.bank.name);
    for bank in on_bus {
        let Some(study) = banks.iter().find(|study| study.name == bank.bank.name) else { continue };
        let one = one(design, bank, study, schedule, uses)?;
        let share = match &study.share {
            Some(share) => {
                uses.number(&format!("{}: greatest share of the bus", study.name), share, &units::RATIO)
            }
            None => 1.0,
        };
        parts.push((one, share));
    }
    if parts.len() > 1 {
        let words = "banks on one bus are charged and emptied together, within the narrower window and until the first is at a limit";
        uses.note(
            "sharing of banks",
            words,
            assumption("bank", words, "energy in store, and current of the bus"),
        );
    }
    let mut bank = Bank::side_by_side(&parts).unwrap_or_else(no_bank);
    for unit in system.units_in_place.iter().filter(|unit| broken != Some(&*unit.name)) {
        if let UnitPart::Controller(name) = &unit.part
            && let Some(part) = system.controller(name)
        {
            bank.standby_w += uses.number(&format!("{}: own draw", unit.name), &part.idle, &units::WATT);
        }
    }
    let room = system.room(&stated.bank.room).map(|room| {
        let of = |what: &str| format!("{}: {what}", stated.bank.name);
        [
            uses.number(&of("coldest air"), &room.coldest, &units::CELSIUS),
            uses.number(&of("hottest air"), &room.hottest, &units::CELSIUS),
        ]
    });
    Ok((bank, room))
}

/// One bank by itself.
fn one(
    design: &Design,
    stated: &BankIn,
    study: &BankStudy,
    schedule: Option<&Schedule>,
    uses: &mut Uses,
) -> Result<Bank, Unanswered> {
    let system = &design.system;
    let Some(battery) = system.battery(&stated.bank.battery) else {
        return Err(Unanswered::refused("the bank names no battery", Some(FieldPath::new("bank"))));
    };
    let of = |what: &str| format!("{}: {what}", study.name);
    let chemistry = uses.words(&of("chemistry"), &battery.chemistry, |kind| format!("{kind:?}"));
    let lithium = chemistry == Some(storage::Chemistry::Lfp);
    let capacity_wh = uses.number(&of("energy when full"), &study.capacity, &units::WATT_HOUR);
    let round_trip = uses.number(&of("energy out over energy in"), &battery.round_trip, &units::RATIO);
    let one_way = storage::one_way(round_trip);
    let units_total =
        study.parallel.value().map_or(1, |n| n.0) * stated.bank.series.value().map_or(1, |n| n.0);
    let standby_w =
        uses.number(&of("own draw of one unit"), &battery.standby, &units::WATT) * f64::from(units_total);
    let self_discharge = uses.number(&of("loss a month at rest"), &battery.self_discharge, &units::RATIO);
    let charge_above_c = uses.number(&of("charged above"), &battery.charge_above, &units::CELSIUS);
    let (taper_from, taper_share) = if lithium { LFP_TAPER } else { LEAD_TAPER };
    let words = if lithium {
        "charging tapers above 95 % of full to 30 % of the current"
    } else {
        "charging tapers above 80 % of full to 10 % of the current"
    };
    uses.note(&of("taper"), words, assumption("bank", words, "how soon the bank is full"));
    let kinetic = if lithium {
        Chemistry::Linear
    } else {
        let words = "two wells: 31 % at hand, 0.6 an hour between them";
        uses.note(&of("kinetic constants"), words, assumption("bank", words, "capacity at high current"));
        Chemistry::Kinetic(FLOODED)
    };
    let capacity_wh = if lithium { capacity_wh } else { FLOODED.full_from_rated(capacity_wh, 20.0) };
    let mass_kg = match battery.mass.is_known() {
        true => {
            uses.number(&of("mass of one unit"), &battery.mass, &units::KILOGRAM) * f64::from(units_total)
        }
        false => {
            let each = KG_PER_KWH[usize::from(!lithium)];
            let words = format!("{each:.0} kg for each kilowatt-hour");
            uses.note(&of("mass"), words.clone(), assumption("battery", &words, "how fast cells cool"));
            each * capacity_wh / 1000.0
        }
    };
    let thermal = thermal(stated, mass_kg, &of, uses);
    let link = link_loss(design, stated, study, schedule, uses);
    Ok(Bank {
        capacity_wh,
        usable_low: uses.number(&of("lowest charge"), &battery.usable_low, &units::RATIO),
        usable_high: uses.number(&of("highest charge"), &battery.usable_high, &units::RATIO),
        charge_w: uses.number(
            &of("charge limit"),
            &power_at(&study.charge_limit, &study.nominal),
            &units::WATT,
        ),
        discharge_w: uses.number(
            &of("discharge limit"),
            &power_at(&study.discharge_limit, &study.nominal),
            &units::WATT,
        ),
        charge_efficiency: one_way,
        discharge_efficiency: one_way,
        taper_from,
        taper_share,
        standby_w,
        self_discharge_per_h: storage::hourly_self_discharge(self_discharge),
        link_loss_per_w: link,
        charge_above_c: Some(charge_above_c),
        full_charge_from_c: battery
            .full_charge_from
            .as_ref()
            .map(|from| uses.number(&of("full charge from"), from, &units::CELSIUS)),
        thermal: Some(thermal),
        chemistry: kinetic,
    })
}

/// The cells as one body in their cabinet, or in the open, with their heater.
fn thermal(stated: &BankIn, mass_kg: f64, of: &dyn Fn(&str) -> String, uses: &mut Uses) -> Thermal {
    let conductance = match &stated.cabinet {
        Some(walls) => {
            let surface = uses.number(&of("surface of its cabinet"), &walls.surface, &units::SQUARE_METER);
            let insulation = uses.number(&of("insulation of its cabinet"), &walls.insulation, &units::NUMBER);
            storage::holding_heat(surface, 1.0, insulation)
        }
        None => {
            let words = "units in the open lose 0.1 W for each kelvin and kilogram";
            uses.note(&of("heat lost"), words, assumption("bank.cabinet", words, "temperature of the cells"));
            OPEN_W_PER_KG_K * mass_kg
        }
    };
    let (heater_w, heater_holds_c) = match &stated.heater {
        Some((power, holds)) => (
            uses.number(&of("heater"), power, &units::WATT),
            uses.number(&of("its heater holds"), holds, &units::CELSIUS),
        ),
        None => (0.0, 0.0),
    };
    // A bank of nothing has no temperature of its own; any small body will do.
    let mass_kg = if mass_kg > 0.0 { mass_kg } else { 1.0 };
    let conductance = if conductance > 0.0 { conductance } else { OPEN_W_PER_KG_K };
    Thermal {
        node: ThermalNode {
            capacity_wh_per_k: mass_kg * CELLS_WH_PER_KG_K,
            conductance_w_per_k: conductance,
        },
        heater_w,
        heater_holds_c,
    }
}

/// Loss in the links of the bank as a factor of power squared, from the sized conductors where there are any.
fn link_loss(
    design: &Design,
    stated: &BankIn,
    study: &BankStudy,
    schedule: Option<&Schedule>,
    uses: &mut Uses,
) -> f64 {
    let Some(schedule) = schedule else { return 0.0 };
    let branches: Vec<_> = schedule
        .circuits
        .iter()
        .filter(|sized| {
            let circuit = design.graph.circuits.get(sized.circuit.0);
            circuit.is_some_and(|circuit| {
                let from = design.graph.node(circuit.from);
                matches!(circuit.demand, wiring::Demand::BatteryUnit(_))
                    && from.is_some_and(|node| is_branch_of(&node.name, &stated.bank.name))
            })
        })
        .collect();
    let (Some(volts), false) = (study.nominal.si(), branches.is_empty()) else { return 0.0 };
    // Equal branches share the current; unknown ones are left out of the loss and named elsewhere.
    let conductance: f64 =
        branches.iter().filter_map(|sized| loop_ohm(sized)).filter(|r| *r > 0.0).map(|r| 1.0 / r).sum();
    for sized in &branches {
        if let Some(drop) = sized.drop.known() {
            uses.traced(&format!("{}: drop", sized.name), drop, &units::VOLT);
        }
    }
    if conductance > 0.0 { storage::link_loss_per_w(1.0 / conductance, volts) } else { 0.0 }
}

/// Whether a node is a unit of a bank, such as "rack 3" of "rack".
fn is_branch_of(node: &str, bank: &str) -> bool {
    node.strip_prefix(bank).is_some_and(|rest| rest.trim_start().parse::<u32>().is_ok())
}

/// Resistance out and back of a sized circuit at 75 °C, from its scheduled drop: volts over amperes.
pub(crate) fn loop_ohm(sized: &wiring::Sized) -> Option<f64> {
    let (drop, current) = (sized.drop.si()?, sized.currents.operating.si()?);
    (current > 0.0).then_some(drop / current)
}

fn no_bank() -> Bank {
    Bank {
        capacity_wh: 0.0,
        usable_low: 0.0,
        usable_high: 1.0,
        charge_w: 0.0,
        discharge_w: 0.0,
        charge_efficiency: 1.0,
        discharge_efficiency: 1.0,
        taper_from: 1.0,
        taper_share: 1.0,
        standby_w: 0.0,
        self_discharge_per_h: 0.0,
        link_loss_per_w: 0.0,
        charge_above_c: None,
        full_charge_from_c: None,
        thermal: None,
        chemistry: Chemistry::Linear,
    }
}
