//! Banks: what they hold, take and give.

use super::{sum_of, unknown};
use crate::fit::StackStudy;
use design::circuits::{battery_volts, share_of_bus};
use design::system::{BankIn, System, UnitPart};
use quantity::{
    Charge, Count, Current, Energy, Fact, Mass, Measure, Power, Ratio, Temperature, Time, Traced, Voltage,
    WhoKnows, product_of_count, units,
};
use std::sync::Arc;
use storage::{
    BankCapacity, BankCurrent, BankVoltage, DailyDraw, DaysOfAutonomy, HeatOfADay, HoldingHeat,
    HoldingHeatInTheOpen, LimitPower, Rise, UsableEnergy, WarmingEnergy,
};
use wiring::BatteryVolts;

/// What its heater has to do on the coldest day.
#[derive(Clone, Debug)]
pub struct HeldWarm {
    /// Cell temperature it holds.
    pub holds: Fact<Temperature>,
    /// Its power.
    pub power: Fact<Power>,
    /// Steady heat that holds the cells in the coldest air.
    pub steady: Fact<Power>,
    /// Energy of a day of it.
    pub daily: Fact<Energy>,
    /// Energy that warms the cells from the coldest air, once.
    pub warming: Fact<Energy>,
}

/// A bank and what it can do.
#[derive(Clone, Debug)]
pub struct BankStudy {
    /// Name.
    pub name: Arc<str>,
    /// Energy when full.
    pub capacity: Fact<Energy>,
    /// Ampere-hours at the bank's voltage.
    pub charge: Fact<Charge>,
    /// Energy used from day to day.
    pub usable: Fact<Energy>,
    /// Nominal voltage.
    pub nominal: Fact<Voltage>,
    /// Voltages between which its circuits work.
    pub volts: BatteryVolts,
    /// Continuous charge current of all units together.
    pub charge_limit: Fact<Current>,
    /// Continuous discharge current of all units together.
    pub discharge_limit: Fact<Current>,
    /// Peak discharge current of all units together.
    pub peak_limit: Fact<Current>,
    /// The bank whose busbars it joins; its own name where it has busbars of its own.
    pub bus: Arc<str>,
    /// Greatest share of the current of its bus that it carries; `None` for a bank that has its bus for itself.
    pub share: Option<Fact<Ratio>>,
    /// Continuous charging current everything on the bus can send, or its share of it.
    pub charge_offered: Fact<Current>,
    /// Direct current everything on the bus asks for at full output and lowest voltage, or its share of it.
    pub discharge_asked: Fact<Current>,
    /// Units side by side.
    pub parallel: Fact<Count>,
    /// Largest number the maker allows side by side.
    pub most_parallel: Fact<Count>,
    /// Coldest air around it.
    pub coldest: Fact<Temperature>,
    /// Coldest cell temperature at which it may be charged.
    pub charge_above: Fact<Temperature>,
    /// Whether it refuses charging below.
    pub cut_off: Fact<bool>,
    /// Whether it is lithium iron phosphate.
    pub lithium: Fact<bool>,
    /// What its heater has to do; `None` without one.
    pub held_warm: Option<HeldWarm>,
    /// Days its usable energy carries the mean day's loads and idle draw without sun, at the worst efficiency of the
    /// inverters' curves.
    pub autonomy: Fact<Time>,
}

pub(crate) fn banks(system: &System) -> Vec<BankStudy> {
    system.banks.iter().map(|bank| bank_of(system, bank)).collect()
}

fn bank_of(system: &System, bank: &BankIn) -> BankStudy {
    let battery = system.battery(&bank.bank.battery);
    macro_rules! sheet {
        ($field:ident) => {
            battery.map_or_else(
                || Fact::unknown(format!("battery.{}", bank.bank.battery), WhoKnows::DataSheet),
                |battery| battery.$field.clone(),
            )
        };
    }
    let (parallel, series) = (&bank.bank.parallel, &bank.bank.series);
    let nominal_each: Fact<Voltage> = sheet!(nominal);
    let capacity_each: Fact<Charge> = sheet!(capacity);
    let capacity = BankCapacity::of_facts(parallel, series, &nominal_each, &capacity_each);
    let volts = battery_volts(system, bank);
    let charge_limit = BankCurrent::of_facts(parallel, &sheet!(charge));
    let discharge_limit = BankCurrent::of_facts(parallel, &sheet!(discharge));
    let peak_limit = BankCurrent::of_facts(parallel, &sheet!(peak));
    let room = system.room(&bank.bank.room);
    let bus: Arc<str> = system.bus_of(&bank.bank.name).into();
    let share = share_of_bus(system, bank);
    let of_bus = |whole: Fact<Current>| match &share {
        Some(share) => storage::Carried::of_facts(share, &whole),
        None => whole,
    };
    let hanging = || system.units_on(&bus);
    let charge_offered = of_bus(sum_of(
        hanging()
            .map(|unit| {
                let charge = match &unit.part {
                    UnitPart::Inverter(name) => system.inverter(name).map(|i| i.charge.clone()),
                    UnitPart::Controller(name) => system.controller(name).map(|c| c.charge.clone()),
                    UnitPart::Unclear => None,
                };
                let none = || unknown(format!("unit.{}", unit.name), WhoKnows::Owner);
                (unit.name.clone(), charge.unwrap_or_else(none))
            })
            .collect(),
        &units::AMPERE,
    ));
    let discharge_asked = of_bus(sum_of(
        hanging()
            .filter_map(|unit| {
                let inverter = system.inverter_of(unit)?;
                let full = inverter.efficiency.and_then(|points| match points.value.last() {
                    Some((_, at_full)) => Fact::Known(points.with(Ratio::from_si(*at_full))),
                    None => unknown(format!("inverter.{}.efficiency", inverter.name), WhoKnows::DataSheet),
                });
                Some((
                    unit.name.clone(),
                    wiring::InverterInputCurrent::of_facts(&inverter.output, &volts.lowest, &full),
                ))
            })
            .collect(),
        &units::AMPERE,
    ));
    let coldest = room.map_or_else(
        || unknown(format!("bank.{}.room", bank.bank.name), WhoKnows::Owner),
        |room| room.coldest.clone(),
    );
    BankStudy {
        name: bank.bank.name.clone(),
        held_warm: held_warm(bank, &coldest, &sheet!(mass)),
        charge: parallel.and_then(|n| {
            capacity_each.and_then(|c| Fact::Known(product_of_count(n, c, &units::AMPERE_HOUR)))
        }),
        usable: UsableEnergy::of_facts(&capacity, &sheet!(usable_high), &sheet!(usable_low)),
        nominal: BankVoltage::of_facts(series, &nominal_each),
        capacity,
        volts,
        charge_limit,
        discharge_limit,
        peak_limit,
        bus: bus.clone(),
        share: share.clone(),
        charge_offered,
        discharge_asked,
        parallel: parallel.clone(),
        most_parallel: sheet!(units_in_parallel),
        coldest,
        charge_above: sheet!(charge_above),
        cut_off: sheet!(low_temperature_cut_off),
        lithium: {
            let chemistry: Fact<storage::Chemistry> = sheet!(chemistry);
            chemistry.map(|kind| kind == storage::Chemistry::Lfp)
        },
        autonomy: Fact::unknown(format!("bank.{}", bank.bank.name), WhoKnows::Owner),
    }
}

/// The heater's task, from the walls of the cabinet or, in the open, from the mass of the cells.
fn held_warm(bank: &BankIn, coldest: &Fact<Temperature>, each: &Fact<Mass>) -> Option<HeldWarm> {
    let (power, holds) = bank.heater.as_ref()?;
    let of_all = |count: &Fact<Count>, mass: &Fact<Mass>| {
        count.and_then(|n| mass.and_then(|m| Fact::Known(product_of_count(n, m, &units::KILOGRAM))))
    };
    let mass = of_all(&bank.bank.parallel, &of_all(&bank.bank.series, each));
    let rise = Rise::of_facts(holds, coldest);
    let steady = match &bank.cabinet {
        Some(walls) => HoldingHeat::of_facts(&walls.surface, &rise, &walls.insulation),
        None => HoldingHeatInTheOpen::of_facts(&mass, &rise),
    };
    Some(HeldWarm {
        daily: HeatOfADay::of_facts(&steady),
        warming: WarmingEnergy::of_facts(&mass, &rise),
        holds: holds.clone(),
        power: power.clone(),
        steady,
    })
}

/// How long the banks of each bus alone carry the mean day.
pub(crate) fn autonomy(
    system: &System,
    banks: &mut [BankStudy],
    demand: &crate::DemandStudy,
    stack: &StackStudy,
) {
    let worst = |points: &Traced<Arc<[(f64, f64)]>>| {
        let least = points.value.iter().map(|(_, e)| *e).min_by(f64::total_cmp);
        least.map(|e| points.with(Ratio::from_si(e)))
    };
    let mut efficiencies = Vec::new();
    for (_, inverter) in system.supply_units() {
        match &inverter.efficiency {
            Fact::Known(points) => efficiencies.extend(worst(points).map(|e| (inverter.name.clone(), e))),
            Fact::Unknown(gap) => {
                for bank in &mut *banks {
                    bank.autonomy = Fact::Unknown(gap.clone());
                }
                return;
            }
        }
    }
    let Some(efficiency) = quantity::least(efficiencies, &units::RATIO) else { return };
    let draw = DailyDraw::of_facts(&demand.daily, &stack.idle, &Fact::Known(efficiency));
    let on_bus = |bus: &str| {
        let here = banks.iter().filter(|bank| &*bank.bus == bus);
        let all: Vec<_> = here.map(|bank| (bank.name.clone(), bank.usable.clone())).collect();
        match &all[..] {
            [(_, only)] => only.clone(),
            _ => sum_of(all, &units::KILOWATT_HOUR),
        }
    };
    let usable: Vec<Fact<Energy>> = banks.iter().map(|bank| on_bus(&bank.bus)).collect();
    for (bank, usable) in banks.iter_mut().zip(&usable) {
        bank.autonomy = draw.and_then(|draw| {
            if draw.si() > 0.0 {
                DaysOfAutonomy::of_facts(usable, &Fact::Known(draw.clone()))
            } else {
                unknown("load".into(), WhoKnows::Owner)
            }
        });
    }
}

/// Power of a current at the bank's nominal voltage.
pub(crate) fn power_at(current: &Fact<Current>, nominal: &Fact<Voltage>) -> Fact<Power> {
    LimitPower::of_facts(current, nominal)
}
