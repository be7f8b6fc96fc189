//! Every weather year while one inverter is out of order: its power, its idle draw and its strings are gone.

use super::arrived::offered;
use super::{BALANCE, Given, balances, brought};
use crate::house::house_without;
use crate::light::PlaneStudy;
use crate::memo::Memo;
use crate::uses::Uses;
use design::system::{System, Unit};
use quantity::{Measure, Term, Time, Traced};
use std::sync::Arc;

/// The years without one unit.
#[derive(Clone, Debug)]
pub struct BrokenUnit {
    /// The unit.
    pub unit: Arc<str>,
    /// Dark hours in the middling year.
    pub dark: Traced<Time>,
    /// Dark hours in the worst year.
    pub worst_dark: Traced<Time>,
    /// Hours on utility or generator in the middling year.
    pub backup: Traced<Time>,
}

/// The inverters of a house, each of which may be out of order.
pub(crate) fn inverters(system: &System) -> Vec<&Unit> {
    system.units_in_place.iter().filter(|unit| system.inverter_of(unit).is_some()).collect()
}

/// One answer for each inverter of a house that has several; those that cannot be computed are left out.
pub(super) fn broken_units(
    given: &Given<'_>,
    planes: &[&PlaneStudy],
    terms: &[Term],
    memo: &mut Memo,
) -> Vec<BrokenUnit> {
    let system = &given.design.system;
    let inverters = inverters(system);
    if inverters.len() < 2 {
        return Vec::new();
    }
    let (Ok(sky), Ok(wanted)) = (given.sky, &given.demand.years) else { return Vec::new() };
    let mut broken = Vec::new();
    for unit in inverters {
        let rest = house_without(given.design, given.banks, given.demand, given.schedule, Some(&unit.name));
        let Ok(house) = rest else { continue };
        let mut uses = Uses::default();
        let without =
            offered(given.design, planes, given.banks, given.schedule, &mut uses, Some(&unit.name), memo);
        let Ok(without) = without else { continue };
        let Ok(left) = brought(given.design, sky, &house, wanted, without.years) else { continue };
        let results = balances(&left, &house, without.key, memo);
        let Ok(results) = results.as_ref() else { continue };
        let of = |take: fn(&energy::YearResult) -> f64| results.iter().map(take).collect::<Vec<f64>>();
        let (dark, backup) = (of(|r| r.year.dark_h), of(|r| r.year.backup_h));
        let (Some(middle), Some(helped)) = (energy::spread(&dark), energy::spread(&backup)) else { continue };
        let mut all = terms.to_vec();
        all.push(Term::words(
            "out of order",
            unit.name.to_string(),
            quantity::Origin::Stated(quantity::FieldPath::new(format!("unit.{}", unit.name))),
        ));
        let hours =
            |h: f64, says: &str| Traced::series(Time::from_si(h * 3600.0), says, BALANCE, all.clone());
        broken.push(BrokenUnit {
            unit: unit.name.clone(),
            dark: hours(middle.middle, "dark hours a year without this unit, middling year"),
            worst_dark: hours(
                dark.iter().copied().fold(0.0, f64::max),
                "dark hours a year without this unit, worst year",
            ),
            backup: hours(helped.middle, "hours on utility or generator without this unit, middling year"),
        });
    }
    broken
}
