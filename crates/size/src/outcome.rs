//! How a system comes through its weather years, and whether it keeps the promise.

use design::Design;
use design::system::{HoldsIn, System};
use energy::YearInShort;
use quantity::{Fact, Money};
use study::YearStudy;

/// What limits a system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // The names say it.
pub enum Limit {
    DarkHours,
    BackupHours,
    BackupEnergy,
    Missing,
    Fuel,
    /// Too many years break one limit or another, though each alone would hold.
    Together,
    Drill,
    Budget,
}

/// What one year brought of hardship.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hardship {
    /// Hours on utility or generator.
    pub backup_h: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Load not served, Wh.
    pub missing_wh: f64,
}

impl Hardship {
    fn of(year: &YearInShort) -> Hardship {
        Hardship { backup_h: year.backup_h, dark_h: year.dark_h, missing_wh: year.missing_total_wh() }
    }

    fn harder(&self, other: &Hardship) -> std::cmp::Ordering {
        self.dark_h
            .total_cmp(&other.dark_h)
            .then(self.missing_wh.total_cmp(&other.missing_wh))
            .then(self.backup_h.total_cmp(&other.backup_h))
    }
}

/// The weather years of a system in short.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Weather years.
    pub years: usize,
    /// Of them break the promise.
    pub broken: usize,
    /// May break it.
    pub allowed: usize,
    /// Hours on utility or generator in the middling year.
    pub backup_h: f64,
    /// From utility or generator in the middling year, Wh.
    pub backup_wh: f64,
    /// Hours in which a must-load is missing in the middling year.
    pub dark_h: f64,
    /// Load not served in the middling year, Wh.
    pub missing_wh: f64,
    /// Offered by the modules and taken by nothing in the middling year, Wh.
    pub unused_wh: f64,
    /// Fuel in the middling year, litres.
    pub fuel_l: f64,
    /// The leanest of the years: most dark hours, then most load missing, then most hours on backup.
    pub leanest: Hardship,
    /// Rehearsals without a dark hour, of how many; `None` where none was asked for.
    pub drill: Option<(usize, usize)>,
    /// All costs of the years in today's money, where that is what a search makes least.
    pub life: Option<Money>,
    /// The limits that are broken, the bill's among them; none when the promise is kept.
    pub breaks: Vec<Limit>,
}

impl Outcome {
    /// Whether everything promised is kept.
    pub fn keeps(&self) -> bool {
        self.breaks.is_empty()
    }

    /// Of a studied year and the sum of the bill.
    pub(crate) fn of(design: &Design, year: &YearStudy, cost: Money) -> Option<Outcome> {
        let results = year.results.as_ref().as_ref().ok()?;
        let years: Vec<YearInShort> = results.iter().map(YearInShort::from).collect();
        let drill = year.drill.as_ref().map(|drill| Rehearsed {
            carried: drill.carried,
            of: drill.of,
            may_fail: drill.may_fail,
        });
        Outcome::of_years(design, &years, drill, cost)
    }

    /// Of years in short, the rehearsal in them, and the sum of the bill.
    pub(crate) fn of_years(
        design: &Design,
        years: &[YearInShort],
        drill: Option<Rehearsed>,
        cost: Money,
    ) -> Option<Outcome> {
        let middling = years.get(energy::middling_of(years)?)?;
        let promise = study::promise_held(&design.system, years);
        let allowed = promise.map_or_else(|| may_break(&design.system, years.len()), |held| held.allowed);
        let mut breaks = broken_limits(&design.system, years, allowed);
        if breaks.is_empty() && promise.is_some_and(|held| !held.holds) {
            breaks.push(Limit::Together);
        }
        if drill.is_some_and(|drill| drill.of - drill.carried > drill.may_fail) {
            breaks.push(Limit::Drill);
        }
        if over_budget(design, cost) {
            breaks.push(Limit::Budget);
        }
        Some(Outcome {
            years: years.len(),
            broken: promise.map_or(0, |held| held.broken),
            allowed,
            backup_h: middling.backup_h,
            backup_wh: middling.backup_wh,
            dark_h: middling.dark_h,
            missing_wh: middling.missing_total_wh(),
            unused_wh: middling.unused_wh,
            fuel_l: middling.fuel_l,
            leanest: years.iter().map(Hardship::of).max_by(Hardship::harder)?,
            drill: drill.map(|drill| (drill.carried, drill.of)),
            life: None,
            breaks,
        })
    }
}

/// How the rehearsal went over the years.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rehearsed {
    /// Without a dark hour.
    pub(crate) carried: usize,
    /// Rehearsals.
    pub(crate) of: usize,
    /// In so many of them a must-load may go dark.
    pub(crate) may_fail: usize,
}

/// Whether anything is promised but a ceiling for the bill.
pub(crate) fn promised(design: &Design) -> bool {
    let promise = &design.system.promise;
    promise.backup.is_some()
        || promise.backup_energy.is_some()
        || promise.missing.is_some()
        || promise.fuel.is_some()
        || promise.must_dark.is_some()
        || promise.drill.is_some()
}

pub(crate) fn over_budget(design: &Design, cost: Money) -> bool {
    matches!(&design.system.promise.budget, Some(Fact::Known(most)) if cost > most.value)
}

/// How many of so many years may break a promise.
pub(crate) fn may_break(system: &System, years: usize) -> usize {
    match system.promise.holds_in.value() {
        Some(HoldsIn::TheMiddlingYear) => years / 2,
        _ => years / 10,
    }
}

fn broken_limits(system: &System, years: &[YearInShort], allowed: usize) -> Vec<Limit> {
    let promise = study::promise_of(system);
    let none = energy::Promise::default;
    [
        (Limit::DarkHours, energy::Promise { dark_h: promise.dark_h, ..none() }),
        (Limit::BackupHours, energy::Promise { backup_h: promise.backup_h, ..none() }),
        (Limit::BackupEnergy, energy::Promise { backup_wh: promise.backup_wh, ..none() }),
        (Limit::Missing, energy::Promise { missing_wh: promise.missing_wh, ..none() }),
        (Limit::Fuel, energy::Promise { fuel_l: promise.fuel_l, ..none() }),
    ]
    .into_iter()
    .filter(|(_, alone)| years.iter().filter(|year| !alone.kept_in(year)).count() > allowed)
    .map(|(limit, _)| limit)
    .collect()
}
