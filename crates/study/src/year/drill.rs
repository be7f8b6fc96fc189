//! The rehearsal: utility and generator are gone for some days, in every weather year.

use super::{BALANCE, Brought, DrillStudy};
use crate::house::HouseStudy;
use crate::uses::Unanswered;
use design::Design;
use quantity::{Measure, Term, Time, Traced, units};
use rayon::prelude::*;

/// A rehearsal that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rehearsal {
    /// First day: month from 1, day of the month.
    pub from: (i8, i8),
    /// Its hour of the year.
    pub from_hour: usize,
    /// For how many days.
    pub days: u32,
    /// In how many years a must-load may go dark in it.
    pub may_fail: usize,
}

impl Rehearsal {
    pub(super) fn of(design: &Design, years: usize) -> Option<Rehearsal> {
        let asked = design.system.promise.drill.as_ref()?;
        let (month, day) = asked.from.value;
        let first_of_month: usize = sun::MONTH_DAYS[..(month.clamp(1, 12) - 1) as usize].iter().sum();
        Some(Rehearsal {
            from: (month, day),
            from_hour: ((first_of_month + day.max(1) as usize - 1).min(364)) * 24,
            days: asked.days.value()?.0,
            may_fail: if asked.one_in_ten_may_fail.value() == Some(&true) { years / 10 } else { 0 },
        })
    }
}

pub(super) fn drill(
    design: &Design,
    house: &HouseStudy,
    brought: &Brought,
    terms: &[Term],
) -> Result<Option<DrillStudy>, Unanswered> {
    let Some(asked) = &design.system.promise.drill else { return Ok(None) };
    let Some(rehearsal) = Rehearsal::of(design, brought.years.len()) else { return Ok(None) };
    let Rehearsal { from: (month, day), from_hour, days, may_fail } = rehearsal;
    let length = days as usize;
    let runs: Result<Vec<[energy::Drill; 2]>, energy::Problem> = brought
        .years
        .par_iter()
        .map(|year| {
            let input = year.input(house);
            Ok([
                energy::drill(&house.inputs, &input, from_hour, length)?,
                energy::drill_from_held_back(&house.inputs, &input, from_hour, length)?,
            ])
        })
        .collect();
    let runs = runs.map_err(|e| Unanswered::refused(e.to_string(), None))?;
    let mut all = terms.to_vec();
    all.push(Term::words("first day without", format!("{day} of month {month}"), asked.from.origin.clone()));
    if let Some(days) = asked.days.known() {
        all.push(days.term("days", &units::COUNT));
    }
    let hours = |h: f64, says: &str| Traced::series(Time::from_si(h * 3600.0), says, BALANCE, all.clone());
    let dark = |which: usize| runs.iter().map(move |run| run[which].dark_h).collect::<Vec<f64>>();
    let (from_year, from_reserve) = (dark(0), dark(1));
    let middle = |hours: &[f64]| energy::spread(hours).map(|spread| spread.middle);
    let (Some(middling), Some(held)) = (middle(&from_year), middle(&from_reserve)) else { return Ok(None) };
    let worst = |hours: &[f64]| hours.iter().copied().fold(0.0, f64::max);
    let carried = |hours: &[f64]| hours.iter().filter(|h| **h == 0.0).count();
    let mut charge: Vec<f64> = runs.iter().map(|run| run[0].start_state_of_charge).collect();
    charge.sort_by(f64::total_cmp);
    let at = |index: usize| charge.get(index).copied().unwrap_or(0.0);
    Ok(Some(DrillStudy {
        from: (month, day),
        days,
        dark: hours(middling, "dark hours of the drill in the middling of all weather years"),
        worst_dark: hours(worst(&from_year), "dark hours of the drill in the worst of all weather years"),
        carried: carried(&from_year),
        start_charge: [at(0), at((charge.len().max(1) - 1) / 2), at(charge.len().max(1) - 1)],
        held_dark: hours(held, "dark hours of the drill from the share held back, middling year"),
        held_worst_dark: hours(
            worst(&from_reserve),
            "dark hours of the drill from the share held back, worst year",
        ),
        held_carried: carried(&from_reserve),
        of: from_year.len(),
        may_fail,
    }))
}
