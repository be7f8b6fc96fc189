//! Legs and the stack of inverters: what runs on them and what they give.

use super::sum_of;
use design::system::System;
use loads::{Leg, Running, WorstHour};
use quantity::{ApparentPower, Energy, Fact, Measure, Power, Traced, greatest, product_of_count, units};
use std::sync::Arc;

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

pub(crate) fn legs(system: &System) -> Vec<LegStudy> {
    let split = system.supply_units().any(|(unit, part)| {
        unit.leg.is_known() || part.volts.value() == Some(&conversion::OutputVolts::Split240)
    });
    let legs: &[Leg] = if split { &[Leg::A, Leg::B] } else { &[Leg::Only] };
    legs.iter().map(|leg| leg_of(system, *leg, split)).collect()
}

fn leg_of(system: &System, leg: Leg, split: bool) -> LegStudy {
    // Everything listed on a leg at once; a load across both counts half on each.
    let half = |at: &Traced<Leg>| if at.value == Leg::Both && split { 0.5 } else { 1.0 };
    let mut parts = Vec::new();
    for load in &system.loads {
        let Some(power) = load.usage.running_power() else { continue };
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
    // Array inverters give nothing to count on: at night, and when the battery is full, there is nothing of them.
    let units_here = system.supply_units().filter_map(|(unit, inverter)| {
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
    let inverters: Vec<_> = system.supply_units().map(|(unit, part)| (unit.name.clone(), part)).collect();
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
        worst_hour: demand.years.as_ref().ok().and_then(|years| years.worst),
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
            let power = load.usage.running_power()?;
            let watts = power.si()? * f64::from(load.count.value()?.0);
            Some((load.name.clone(), Running { watts, leg: load.leg.value().copied()? }))
        })
        .collect()
}
