//! How often a promise holds, over more weather years than a search can afford.

use crate::outcome::{Limit, Outcome};
use crate::trial::{bulk, lived};
use design::catalogue::TABLES;
use study::{Memo, WeatherFile};

/// Years of the last word on a promise.
pub const YEARS: usize = 200;

/// How often a promise held.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    /// Weather years.
    pub years: usize,
    /// Of them keep the promise of hours and energy.
    pub kept: usize,
    /// Share of all years that keep it as far as these can tell, at 90 % confidence ([`energy::exact_interval`]).
    pub share: (f64, f64),
    /// Limits that these years break more often than promised.
    pub breaks: Vec<Limit>,
    /// Rehearsals without a dark hour, of how many.
    pub drill: Option<(usize, usize)>,
}

/// The odds of the promise of a design text over [`YEARS`] synthetic years; `None` where its weather is not synthetic,
/// where nothing is promised of a year, or where it has no year.
pub fn odds(text: &str, file: Option<&WeatherFile>) -> Option<Odds> {
    if file.is_some() {
        return None;
    }
    let text = design::edit::set(text, "place.weather.years", &YEARS.to_string(), TABLES).ok()?;
    let study = lived(&text, None, &mut Memo::default());
    let year = study.year.as_ref().ok()?;
    let outcome = Outcome::of(&study.design, year, bulk(&study).cost)?;
    let held = year.promise?;
    let kept = held.years - held.broken;
    Some(Odds {
        years: held.years,
        kept,
        share: energy::exact_interval(kept, held.years, 0.9),
        breaks: outcome.breaks.iter().copied().filter(|limit| *limit != Limit::Budget).collect(),
        drill: outcome.drill,
    })
}
