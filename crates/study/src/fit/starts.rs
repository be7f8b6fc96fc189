//! Motors while they start, on the leg that bears most of it.

use super::{LegStudy, sum_of};
use design::system::System;
use loads::Leg;
use quantity::{ApparentPower, Fact, Traced, units};
use std::sync::Arc;

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
        let own = stated.usage.running_power().map_or(0.0, |_| load.running_w.unwrap_or(0.0) / half);
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
        let surges = system.supply_units().filter_map(|(unit, inverter)| {
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
