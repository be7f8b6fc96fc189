//! Whether the parts fit together: inputs, banks, legs, starts.

use design::circuits::battery_volts;
use design::system::{BankIn, System, UnitPart};
use loads::{Leg, Running, WorstHour};
use quantity::{
    ApparentPower, Charge, Count, Current, Energy, Fact, Gap, Measure, Power, Ratio, Temperature, Time,
    Traced, Voltage, WhoKnows, greatest, product_of_count, sum, units,
};
use std::sync::Arc;
use storage::{BankCapacity, BankCurrent, BankVoltage, DailyDraw, DaysOfAutonomy, LimitPower, UsableEnergy};
use wiring::BatteryVolts;

/// One input of a unit with what goes into it.
#[derive(Clone, Debug)]
pub struct InputStudy {
    /// Unit.
    pub unit: Arc<str>,
    /// Input, from 1.
    pub input: u32,
    /// Strings that go into it.
    pub strings: Vec<Arc<str>>,
    /// Short-circuit currents of all strings together.
    pub isc: Fact<Current>,
    /// Maximum current: 1.25 times that.
    pub maximum: Fact<Current>,
    /// Currents at maximum power of all strings together.
    pub imp: Fact<Current>,
    /// Rated power of all modules on it.
    pub power: Fact<Power>,
    /// Highest short-circuit current the input withstands.
    pub short_circuit_limit: Fact<Current>,
    /// Highest current the input uses.
    pub current_limit: Fact<Current>,
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
    /// Continuous charging current everything on the bus can send.
    pub charge_offered: Fact<Current>,
    /// Direct current everything on the bus asks for at full output and lowest voltage.
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
    /// Days its usable energy carries the mean day's loads and idle draw without sun, at the worst efficiency of the
    /// inverters' curves.
    pub autonomy: Fact<Time>,
}

/// A motor while it starts, on the leg that bears most of it.
#[derive(Clone, Debug)]
pub struct StartStudy {
    /// Load.
    pub load: Arc<str>,
    /// The leg.
    pub leg: Leg,
    /// Apparent power of the start on that leg together with everything else listed on it.
    pub together: Fact<ApparentPower>,
    /// Short overload of the units on that leg.
    pub limit: Fact<ApparentPower>,
}

/// One leg with what can run on it at once.
#[derive(Clone, Debug)]
pub struct LegStudy {
    /// Which leg.
    pub leg: Leg,
    /// Everything listed on it running at once.
    pub all_running: Fact<Power>,
    /// Continuous output of the units on it.
    pub limit: Fact<Power>,
}

/// Stacked inverters as one source.
#[derive(Clone, Debug)]
pub struct StackStudy {
    /// Continuous output of all inverters together.
    pub output: Fact<Power>,
    /// Short overload of all inverters that share a motor's start.
    pub surge: Fact<ApparentPower>,
    /// Largest start of a motor on each pair: its name and apparent power.
    pub largest_start: Option<(Arc<str>, Fact<ApparentPower>)>,
    /// Highest hourly mean of the loads, with its hour.
    pub worst_hour: Option<WorstHour>,
    /// Idle draw of all inverters together.
    pub idle: Fact<Power>,
    /// Inverters.
    pub count: usize,
    /// Energy the idle draw takes in a year.
    pub idle_yearly: Fact<Energy>,
}

fn unknown<T>(field: String, ask: WhoKnows) -> Fact<T> {
    Fact::unknown(field, ask)
}

/// Sum of facts; unknown as soon as one is.
pub(crate) fn sum_of<T: Measure>(parts: Vec<(Arc<str>, Fact<T>)>, unit: &'static quantity::Unit) -> Fact<T> {
    let mut known = Vec::new();
    let mut gap: Option<Gap> = None;
    for (name, fact) in parts {
        match fact {
            Fact::Known(traced) => known.push((name, traced)),
            Fact::Unknown(more) => {
                gap = Some(match gap {
                    Some(all) => all.and(&more),
                    None => more,
                });
            }
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, unit)),
    }
}

pub(crate) fn inputs(system: &System) -> Vec<InputStudy> {
    let mut studied = Vec::new();
    for unit in &system.units_in_place {
        for (i, input) in system.pv_inputs(unit).iter().enumerate() {
            let number = i as u32 + 1;
            let into: Vec<_> = system
                .strings
                .iter()
                .filter(|s| s.string.unit == unit.name && s.string.input == number)
                .collect();
            if into.is_empty() {
                continue;
            }
            let of_module = |take: fn(&array::facts::Module) -> Fact<Current>| {
                let parts = into
                    .iter()
                    .map(|s| {
                        let module = system.module(&s.string.module);
                        let none = || unknown(format!("module.{}", s.string.module), WhoKnows::Owner);
                        (s.string.name.clone(), module.map_or_else(none, take))
                    })
                    .collect();
                sum_of(parts, &units::AMPERE)
            };
            let isc = of_module(|m| m.isc.clone());
            let power = sum_of(
                into.iter()
                    .map(|s| {
                        let module = system.module(&s.string.module);
                        let each = module.map_or_else(
                            || unknown(format!("module.{}", s.string.module), WhoKnows::Owner),
                            |m| m.power.clone(),
                        );
                        let all = s.string.count.and_then(|n| {
                            each.and_then(|each| Fact::Known(product_of_count(n, each, &units::WATT)))
                        });
                        (s.string.name.clone(), all)
                    })
                    .collect(),
                &units::WATT,
            );
            let one = Fact::Known(Traced::stated(Count(1), format!("unit.{}", unit.name)));
            studied.push(InputStudy {
                unit: unit.name.clone(),
                input: number,
                strings: into.iter().map(|s| s.string.name.clone()).collect(),
                maximum: wiring::PvMaximum::of_facts(&one, &isc),
                imp: of_module(|m| m.imp.clone()),
                isc,
                power,
                short_circuit_limit: input.short_circuit.clone(),
                current_limit: input.current.clone(),
            });
        }
    }
    studied
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
    let hanging = || system.units_in_place.iter().filter(|unit| unit.bank == bank.bank.name);
    let charge_offered = sum_of(
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
    );
    let discharge_asked = sum_of(
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
    );
    BankStudy {
        name: bank.bank.name.clone(),
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
        charge_offered,
        discharge_asked,
        parallel: parallel.clone(),
        most_parallel: sheet!(units_in_parallel),
        coldest: room.map_or_else(
            || unknown(format!("bank.{}.room", bank.bank.name), WhoKnows::Owner),
            |room| room.coldest.clone(),
        ),
        charge_above: sheet!(charge_above),
        cut_off: sheet!(low_temperature_cut_off),
        lithium: {
            let chemistry: Fact<storage::Chemistry> = sheet!(chemistry);
            chemistry.map(|kind| kind == storage::Chemistry::Lfp)
        },
        autonomy: Fact::unknown(format!("bank.{}", bank.bank.name), WhoKnows::Owner),
    }
}

/// How long each bank alone carries the mean day.
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
    for inverter in system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit)) {
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
    for bank in &mut *banks {
        bank.autonomy = draw.and_then(|draw| {
            if draw.si() > 0.0 {
                DaysOfAutonomy::of_facts(&bank.usable, &Fact::Known(draw.clone()))
            } else {
                unknown("load".into(), WhoKnows::Owner)
            }
        });
    }
}

/// Every motor while it starts.
pub(crate) fn starts(system: &System, demand: &crate::DemandStudy, legs: &[LegStudy]) -> Vec<StartStudy> {
    let split = legs.len() > 1;
    let mut studied = Vec::new();
    for (load, stated) in demand.loads.iter().zip(&system.loads) {
        let Some(start) = &load.start else { continue };
        let at = load.leg.value().copied().unwrap_or(Leg::Only);
        let on = |leg: &LegStudy| {
            !split || at == leg.leg || at == Leg::Both || (at == Leg::Only && leg.leg == Leg::A)
        };
        let fullest = legs.iter().filter(|leg| on(leg)).max_by(|a, b| {
            a.all_running.si().unwrap_or(f64::MAX).total_cmp(&b.all_running.si().unwrap_or(f64::MAX))
        });
        let Some(leg) = fullest else { continue };
        let half = if at == Leg::Both && split { 2.0 } else { 1.0 };
        // The motor's own running power gives way to its start.
        let own = match &stated.usage {
            loads::Use::Hours { .. } => load.running_w.unwrap_or(0.0) / half,
            loads::Use::Label { .. } => 0.0,
        };
        let together = start.and_then(|start| {
            leg.all_running.and_then(|running| {
                let va = start.si() / half + (running.si() - own).max(0.0);
                let terms = vec![
                    start.term("start", &units::VOLT_AMPERE),
                    running.term("everything listed on the leg", &units::WATT),
                ];
                let clause = quantity::Clause {
                    document: "definition",
                    edition: "",
                    clause: "start and what else runs on the leg, watts taken as volt-amperes",
                    standing: quantity::Standing::Computed,
                };
                let says = "start on this leg and everything else listed on it";
                Fact::Known(Traced::series(ApparentPower(va), says, clause, terms))
            })
        });
        let surges = system.units_in_place.iter().filter_map(|unit| {
            let inverter = system.inverter_of(unit)?;
            let there = unit.leg.value().copied().unwrap_or(Leg::Both);
            let whole = inverter.volts.value() == Some(&conversion::OutputVolts::Split240);
            match (there, whole) {
                (Leg::Both, true) if split => Some((
                    unit.name.clone(),
                    inverter.surge.and_then(|surge| {
                        let clause =
                            quantity::practice("a split-phase unit gives half its overload on each leg");
                        let terms = vec![surge.term("overload", &units::VOLT_AMPERE)];
                        Fact::Known(Traced::series(
                            ApparentPower(surge.si() / 2.0),
                            "half of the overload",
                            clause,
                            terms,
                        ))
                    }),
                )),
                (there, _) if !split || there == leg.leg => Some((unit.name.clone(), inverter.surge.clone())),
                _ => None,
            }
        });
        let surges: Vec<_> = surges.collect();
        if surges.is_empty() {
            continue;
        }
        studied.push(StartStudy {
            load: load.name.clone(),
            leg: leg.leg,
            together,
            limit: sum_of(surges, &units::VOLT_AMPERE),
        });
    }
    studied
}

/// Power of a current at the bank's nominal voltage.
pub(crate) fn power_at(current: &Fact<Current>, nominal: &Fact<Voltage>) -> Fact<Power> {
    LimitPower::of_facts(current, nominal)
}

pub(crate) fn legs(system: &System) -> Vec<LegStudy> {
    let split = system.units_in_place.iter().any(|unit| {
        unit.leg.is_known()
            || system
                .inverter_of(unit)
                .is_some_and(|i| i.volts.value() == Some(&conversion::OutputVolts::Split240))
    });
    let legs: &[Leg] = if split { &[Leg::A, Leg::B] } else { &[Leg::Only] };
    legs.iter().map(|leg| leg_of(system, *leg, split)).collect()
}

fn leg_of(system: &System, leg: Leg, split: bool) -> LegStudy {
    // Everything listed on a leg at once; a load across both counts half on each.
    let half = |at: &Traced<Leg>| if at.value == Leg::Both && split { 0.5 } else { 1.0 };
    let mut parts = Vec::new();
    for load in &system.loads {
        let loads::Use::Hours { power, .. } = &load.usage else { continue };
        let here = match load.leg.known() {
            Some(at) => {
                !split || at.value == leg || at.value == Leg::Both || (at.value == Leg::Only && leg == Leg::A)
            }
            None => true,
        };
        if !here {
            continue;
        }
        let all = load
            .count
            .and_then(|n| power.and_then(|each| Fact::Known(product_of_count(n, each, &units::WATT))));
        let share = load.leg.known().map_or(1.0, half);
        let part = all.and_then(|all| {
            if share == 1.0 {
                return Fact::Known(all.clone());
            }
            let term = all.term("both legs", &units::WATT);
            let clause = quantity::Clause {
                document: "definition",
                edition: "",
                clause: "a load across both legs takes half from each",
                standing: quantity::Standing::Computed,
            };
            Fact::Known(Traced::series(
                Power::from_si(all.si() / 2.0),
                "half of a load across both legs",
                clause,
                vec![term],
            ))
        });
        parts.push((load.name.clone(), part));
    }
    let units_here = system.units_in_place.iter().filter_map(|unit| {
        let inverter = system.inverter_of(unit)?;
        let at = unit.leg.value().copied().unwrap_or(Leg::Both);
        match (at, inverter.volts.value()) {
            (Leg::Both, Some(conversion::OutputVolts::Split240)) if split => {
                let clause = quantity::Clause {
                    document: "common practice, no source",
                    edition: "",
                    clause: "a split-phase unit gives half its output on each leg",
                    standing: quantity::Standing::Practice,
                };
                let half = inverter.output.and_then(|p| {
                    Fact::Known(Traced::series(
                        Power::from_si(p.si() / 2.0),
                        "half of the output of a split-phase unit",
                        clause,
                        vec![p.term("output", &units::WATT)],
                    ))
                });
                Some((unit.name.clone(), half))
            }
            (at, _) if !split || at == leg => Some((unit.name.clone(), inverter.output.clone())),
            _ => None,
        }
    });
    LegStudy {
        leg,
        all_running: sum_of(parts, &units::WATT),
        limit: sum_of(units_here.collect(), &units::WATT),
    }
}

pub(crate) fn stack(system: &System, demand: &crate::DemandStudy) -> StackStudy {
    let inverters: Vec<_> = system
        .units_in_place
        .iter()
        .filter_map(|unit| Some((unit.name.clone(), system.inverter_of(unit)?)))
        .collect();
    let largest_start = {
        let mut open: Option<(Arc<str>, Fact<ApparentPower>)> = None;
        let mut known: Vec<(Arc<str>, Traced<ApparentPower>)> = Vec::new();
        for load in &demand.loads {
            match &load.start {
                Some(Fact::Known(start)) => known.push((load.name.clone(), start.clone())),
                Some(unknown) => open = Some((load.name.clone(), unknown.clone())),
                None => {}
            }
        }
        let name = known.iter().max_by(|a, b| a.1.si().total_cmp(&b.1.si())).map(|(name, _)| name.clone());
        open.or_else(|| name.zip(greatest(known, &units::VOLT_AMPERE).map(Fact::Known)))
    };
    let of = |take: fn(&conversion::Inverter) -> Fact<Power>| {
        sum_of(inverters.iter().map(|(name, i)| (name.clone(), take(i))).collect(), &units::WATT)
    };
    let idle = of(|i| i.idle.clone());
    let clause = quantity::Clause {
        document: "definition",
        edition: "",
        clause: "idle draw times 8760 hours",
        standing: quantity::Standing::Computed,
    };
    StackStudy {
        output: of(|i| i.output.clone()),
        surge: sum_of(
            inverters.iter().map(|(name, i)| (name.clone(), i.surge.clone())).collect(),
            &units::VOLT_AMPERE,
        ),
        largest_start,
        worst_hour: demand.profile.as_ref().ok().and_then(|profile| loads::worst_together(profile)),
        idle_yearly: idle.and_then(|idle| {
            let energy = Energy::from_si(idle.si() * 8760.0 * 3600.0);
            Fact::Known(Traced::series(
                energy,
                "idle draw over all hours of a year",
                clause,
                vec![idle.term("idle draw", &units::WATT)],
            ))
        }),
        idle,
        count: inverters.len(),
    }
}

/// Loads that run at once on the legs, for the search of the smallest move.
pub fn running(system: &System) -> Vec<(Arc<str>, Running)> {
    system
        .loads
        .iter()
        .filter_map(|load| {
            let loads::Use::Hours { power, .. } = &load.usage else { return None };
            let watts = power.si()? * f64::from(load.count.value()?.0);
            Some((load.name.clone(), Running { watts, leg: load.leg.value().copied()? }))
        })
        .collect()
}
