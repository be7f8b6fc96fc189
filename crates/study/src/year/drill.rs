//! The rehearsal: utility and generator are gone for some days, in every weather year.

use super::{BALANCE, DrillStudy};
use crate::house::HouseStudy;
use crate::uses::Unanswered;
use design::Design;
use energy::YearInput;
use quantity::{Measure, Term, Time, Traced, units};
use rayon::prelude::*;

pub(super) fn drill(
    design: &Design,
    house: &HouseStudy,
    inputs: &[YearInput<'_>],
    terms: &[Term],
) -> Result<Option<DrillStudy>, Unanswered> {
    let Some(asked) = &design.system.promise.drill else { return Ok(None) };
    let Some(days) = asked.days.value() else { return Ok(None) };
    let (month, day) = asked.from.value;
    let first_of_month: usize = sun::MONTH_DAYS[..(month.clamp(1, 12) - 1) as usize].iter().sum();
    let from_hour = ((first_of_month + day.max(1) as usize - 1).min(364)) * 24;
    let runs: Result<Vec<energy::Drill>, String> = inputs
        .par_iter()
        .map(|input| {
            energy::drill(&house.inputs, input, from_hour, days.0 as usize).map_err(|e| e.to_string())
        })
        .collect();
    let runs = runs.map_err(|e| Unanswered::refused(e, None))?;
    let dark: Vec<f64> = runs.iter().map(|run| run.dark_h).collect();
    let Some(spread) = energy::spread(&dark) else { return Ok(None) };
    let mut all = terms.to_vec();
    all.push(Term::words("first day without", format!("{day} of month {month}"), asked.from.origin.clone()));
    if let Some(days) = asked.days.known() {
        all.push(days.term("days", &units::COUNT));
    }
    let hours = |h: f64, says: &str| Traced::series(Time::from_si(h * 3600.0), says, BALANCE, all.clone());
    let worst = dark.iter().copied().fold(0.0, f64::max);
    Ok(Some(DrillStudy {
        from: (month, day),
        days: days.0,
        dark: hours(spread.middle, "dark hours of the drill in the middling of all weather years"),
        worst_dark: hours(worst, "dark hours of the drill in the worst of all weather years"),
        carried: dark.iter().filter(|h| **h == 0.0).count(),
        of: dark.len(),
    }))
}
