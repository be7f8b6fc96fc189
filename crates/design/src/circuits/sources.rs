//! What inverters are to each other: stacked to run as one source, and what they bring on one leg together.

use crate::system::{System, Unit};
use conversion::Stackable;
use quantity::{Current, Fact, Measure, Traced, Voltage, WhoKnows, greatest, sum, units};
use std::sync::Arc;
use wiring::Stack;

/// The units of one part that share what they feed; `None` for a unit beside which none of its kind stands. Whether
/// they keep step is what the maker says of stacking: on one leg or on both.
pub(super) fn stack_of(system: &System, unit: &Unit) -> Option<Stack> {
    let part = system.inverter_of(unit)?;
    let of_kind = |names: &[Arc<str>]| -> Vec<&Unit> {
        let units = names.iter().filter_map(|name| system.unit(name));
        units.filter(|other| other.part == unit.part).collect()
    };
    let panels = system.panels.iter().map(|p| (&p.name, &p.fed_by));
    let transfers = system.transfers.iter().map(|t| (&t.transfer.name, &t.transfer.from));
    let (fed, members) = panels
        .chain(transfers)
        .filter(|(_, names)| names.contains(&unit.name))
        .map(|(fed, names)| (fed, of_kind(names)))
        .find(|(_, members)| members.len() > 1)?;
    let mut legs: Vec<loads::Leg> = Vec::new();
    for member in &members {
        let leg = member.leg.value().copied().unwrap_or(loads::Leg::Both);
        if !legs.contains(&leg) {
            legs.push(leg);
        }
    }
    let (on_one_leg, across_legs) = (legs.len() < members.len(), legs.len() > 1);
    let keeps_step = part.stackable.clone().map(|how| {
        let (same, split) = match how {
            Stackable::No => (false, false),
            Stackable::SamePhase => (true, false),
            Stackable::SplitPhase => (false, true),
            Stackable::Both => (true, true),
        };
        (same || !on_one_leg) && (split || !across_legs)
    });
    Some(Stack { group: format!("{} on {fed}", part.name).into(), keeps_step })
}

/// Greatest continuous output of stacked units on one leg, in words and as a current.
pub fn leg_current(system: &System, names: &[Arc<str>]) -> Fact<Current> {
    type Named = (Arc<str>, Traced<Current>);
    let mut legs: Vec<(loads::Leg, Vec<Named>)> = Vec::new();
    for unit in names.iter().filter_map(|name| system.unit(name)) {
        let Some(inverter) = system.inverter_of(unit) else { continue };
        let volts = inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
        let current = match wiring::InverterOutputCurrent::of_facts(&inverter.output, &volts) {
            Fact::Known(current) => current,
            Fact::Unknown(gap) => return Fact::Unknown(gap),
        };
        let leg = unit.leg.value().copied().unwrap_or(loads::Leg::Both);
        match legs.iter_mut().find(|(at, _)| *at == leg) {
            Some((_, parts)) => parts.push((unit.name.clone(), current)),
            None => legs.push((leg, vec![(unit.name.clone(), current)])),
        }
    }
    let sums = legs
        .into_iter()
        .map(|(leg, parts)| (Arc::from(format!("leg {leg:?}").to_lowercase()), sum(parts, &units::AMPERE)))
        .collect();
    match greatest(sums, &units::AMPERE) {
        Some(current) => Fact::Known(current),
        None => Fact::unknown("unit", WhoKnows::Owner),
    }
}
