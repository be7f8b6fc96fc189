//! The house as the hourly balance sees it: plain numbers out of facts.

use crate::demand::DemandStudy;
use crate::fit::{BankStudy, power_at};
use crate::uses::{Unanswered, Uses};
use conversion::{LossCurve, OutputAtAltitude, TransferKind};
use design::Design;
use design::system::{System, UnitPart, UtilityRole};
use energy::{Bank, Chemistry, Fleet, Generator, Inputs, RATES, Rate, Shed, System as Behind, Transfer};
use quantity::{Fact, FieldPath, Origin, Reason, Term, practice, units};
use storage::Kinetic;
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
}

/// Charging of iron phosphate tapers near full; from memory of charger manuals, no source.
const LFP_TAPER: (f64, f64) = (0.95, 0.30);
/// Lead-acid takes less and less above four fifths; from memory, no source.
const LEAD_TAPER: (f64, f64) = (0.80, 0.10);
/// Two-well constants of a flooded battery: share at hand, rate per hour; from memory, no published pair confirmed.
const FLOODED: Kinetic = Kinetic { share_at_hand: 0.31, rate_per_h: 0.6 };
/// Hours until someone has started a generator by hand (common practice, no source).
const BY_HAND_H: f64 = 1.0;

pub(crate) fn house(
    design: &Design,
    banks: &[BankStudy],
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
) -> Result<std::sync::Arc<HouseStudy>, Unanswered> {
    let system = &design.system;
    let mut uses = Uses::default();
    if let Err(missing) = &demand.profile {
        return Err(missing.clone());
    }
    let fleet = fleet(system, banks, &mut uses)?;
    let (bank, room_c) = bank(design, banks, schedule, &mut uses)?;
    let (behind, backup_name) = behind(system, banks, &mut uses);
    let held_back = match system.banks.first() {
        Some(bank) => uses.number("share held back", &bank.reserve, &units::RATIO),
        None => 0.0,
    };
    uses.extend(&demand.terms);
    let terms = uses.done()?;
    let inputs = Inputs {
        fleet,
        bank,
        room: None,
        system: behind,
        held_back,
        shed_below: Shed::default(),
        rates: [Rate::default(); RATES],
    };
    inputs.check().map_err(|problem| Unanswered::refused(problem.to_string(), None))?;
    Ok(std::sync::Arc::new(HouseStudy { inputs, terms, backup_name, room_c }))
}

fn fleet(system: &System, banks: &[BankStudy], uses: &mut Uses) -> Result<Fleet, Unanswered> {
    let inverters: Vec<_> =
        system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit)).collect();
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
    let points = uses.words(&of("efficiency"), &first.efficiency, |points| {
        let all: Vec<String> =
            points.iter().map(|(x, e)| format!("{:.0} % → {:.1} %", x * 100.0, e * 100.0)).collect();
        all.join(", ")
    });
    let charge_efficiency =
        uses.number(&of("efficiency AC to battery"), &first.charge_efficiency, &units::RATIO);
    let discharge = match points {
        Some(points) if rated.is_finite() && idle.is_finite() => {
            let fit = LossCurve::fit(&points, rated, idle).map_err(|e| {
                Unanswered::refused(
                    format!("the efficiencies of inverter \"{}\" cannot be: {e}", first.name),
                    Some(FieldPath::new(format!("inverter.{}.efficiency", first.name))),
                )
            })?;
            fit.curve.side_by_side(count)
        }
        // The gap is remembered and stops the answer below.
        _ => LossCurve { idle_w: 0.0, linear: 0.0, square_per_w: 0.0 },
    };
    let (mut pv_efficiency, mut charge_w) = (0.0_f64, 0.0);
    let nominal = banks.first().map(|bank| &bank.nominal);
    for unit in &system.units_in_place {
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
        if let Some(efficiency) = efficiency {
            // Units of one house are of one kind or nearly so; the best one is the common scale, see `year`.
            pv_efficiency =
                pv_efficiency.max(uses.number(&format!("{name}: from modules"), efficiency, &units::RATIO));
        }
    }
    Ok(Fleet {
        discharge,
        direct: None,
        output_limit_w: rated.min(rated_va) * f64::from(count),
        leg_limit_w: None,
        derate: None,
        pv_efficiency: if pv_efficiency > 0.0 { pv_efficiency } else { 1.0 },
        pv_square_per_w: 0.0,
        charge_efficiency,
        charge_square_per_w: 0.0,
        charge_limit_w: charge_w,
    })
}

fn bank(
    design: &Design,
    banks: &[BankStudy],
    schedule: Option<&Schedule>,
    uses: &mut Uses,
) -> Result<(Bank, Option<[f64; 2]>), Unanswered> {
    let system = &design.system;
    let (Some(study), Some(stated)) = (banks.first(), system.banks.first()) else {
        return Ok((no_bank(), None));
    };
    if banks.len() > 1 {
        return Err(Unanswered::refused(
            "two banks on one house are not modelled yet",
            Some(FieldPath::new("bank")),
        ));
    }
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
    let mut standby_w =
        uses.number(&of("own draw of one unit"), &battery.standby, &units::WATT) * f64::from(units_total);
    for unit in &system.units_in_place {
        if let UnitPart::Controller(name) = &unit.part
            && let Some(part) = system.controller(name)
        {
            standby_w += uses.number(&format!("{}: own draw", unit.name), &part.idle, &units::WATT);
        }
    }
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
    let link = link_loss(design, study, schedule, uses);
    let bank = Bank {
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
        full_charge_from_c: None,
        thermal: None,
        chemistry: kinetic,
    };
    let room = system.room(&stated.bank.room).map(|room| {
        [
            uses.number(&of("coldest air"), &room.coldest, &units::CELSIUS),
            uses.number(&of("hottest air"), &room.hottest, &units::CELSIUS),
        ]
    });
    Ok((bank, room))
}

/// Loss in the links of the bank as a factor of power squared, from the sized conductors where there are any.
fn link_loss(design: &Design, study: &BankStudy, schedule: Option<&Schedule>, uses: &mut Uses) -> f64 {
    let Some(schedule) = schedule else { return 0.0 };
    let branches: Vec<_> = schedule
        .circuits
        .iter()
        .filter(|sized| {
            design
                .graph
                .circuits
                .get(sized.circuit.0)
                .is_some_and(|c| matches!(c.demand, wiring::Demand::BatteryUnit(_)))
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

pub(crate) fn assumption(field: &str, because: &str, moves: &str) -> Origin {
    Origin::Assumed(Reason {
        field: FieldPath::new(field.to_string()),
        because: format!("{because}; from memory").into(),
        moves: moves.into(),
        clause: practice("assumption"),
    })
}

fn behind(system: &System, banks: &[BankStudy], uses: &mut Uses) -> (Behind, &'static str) {
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
            (Behind::BackupThroughInput(through_input(system, banks, uses)), "the utility")
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
            (Behind::Interactive { export_limit_w, charge_w: 0.0, charge_to: 1.0 }, "the utility")
        }
        Some(UtilityRole::None) | None => match generator(system, banks, uses) {
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

/// Charging power from the AC input of all units that have one.
fn charge_from_ac(system: &System, banks: &[BankStudy], uses: &mut Uses) -> f64 {
    let Some(nominal) = banks.first().map(|bank| &bank.nominal) else { return 0.0 };
    let mut watts = 0.0;
    for unit in system.units_in_place.iter().filter(|unit| !unit.ac_input.is_empty()) {
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

fn through_input(system: &System, banks: &[BankStudy], uses: &mut Uses) -> Transfer {
    let mut limit_w = 0.0;
    for unit in system.units_in_place.iter().filter(|unit| !unit.ac_input.is_empty()) {
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
        charge_w: charge_from_ac(system, banks, uses),
        limit_w,
    }
}

fn generator(system: &System, banks: &[BankStudy], uses: &mut Uses) -> Option<Generator> {
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
        charge_w: charge_from_ac(system, banks, uses),
        start_below: uses.number("generator started below", &part.start_below, &units::RATIO),
        stop_above: uses.number("generator stopped above", &part.stop_above, &units::RATIO),
        shortest_run_h: uses.number("shortest run", &part.shortest_run, &units::HOUR),
        acts_within_h,
        fuel_per_kwh: uses.number("litres per kWh", &part.fuel_per_kwh, &units::NUMBER),
    })
}
