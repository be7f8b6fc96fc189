//! Loads that wait for the sun, moved in every weather year.

use super::{BALANCE, Brought, BroughtYear};
use crate::demand::{DemandYears, ListedYear, WantedYear};
use crate::house::HouseStudy;
use crate::sky::SkyStudy;
use crate::uses::Unanswered;
use design::Design;
use energy::{Waited, Waiting, wait_for_sun};
use loads::{Leg, Tier, leg_shares};
use quantity::{Energy, Fact, Measure, Term, Traced, units};
use rayon::prelude::*;
use std::sync::Arc;

/// A load that waits, in one year.
#[derive(Clone, Debug, PartialEq)]
pub struct WaitedLoad {
    /// Position in the list of loads.
    pub load: usize,
    /// Between which hours of the day it runs.
    pub window: [bool; 24],
    /// When it ran above what it takes at rest, and on what.
    pub waited: Waited,
    /// 8760 hourly means with what it takes at rest, W.
    pub all_hours_w: Vec<f64>,
}

/// A load that waits, in the middling year.
#[derive(Clone, Debug)]
pub struct WaitedStudy {
    /// Its name.
    pub name: Arc<str>,
    /// First and last hour of the day between which it runs.
    pub window: (usize, usize),
    /// Run on what the sun left over.
    pub on_sun: Traced<Energy>,
    /// Run at the end of its hours without it.
    pub without_sun: Traced<Energy>,
    /// Days on which some of it ran without.
    pub days_without: u32,
}

/// A load of the list that waits, as the year lists it.
struct AsListed {
    load: usize,
    window: [bool; 24],
    running_w: f64,
    tier: Tier,
    leg: Leg,
    /// Above its rest, W.
    hours_w: Vec<f64>,
    /// All of it, W.
    all_hours_w: Vec<f64>,
}

/// The years with every load that may wait moved into their sun.
pub(super) fn moved(
    design: &Design,
    sky: &SkyStudy,
    house: &HouseStudy,
    wanted: &DemandYears,
    years: Vec<BroughtYear>,
) -> Result<Vec<BroughtYear>, Unanswered> {
    if wanted.listed.iter().all(|load| load.waits().is_none()) {
        return Ok(years);
    }
    let none = Vec::new();
    years
        .into_par_iter()
        .enumerate()
        .map(|(at, year)| {
            let air_c = sky.weather.years.get(at).map_or(&none, |year| &year.air_c);
            of_year(as_listed(design, wanted, air_c), house, year)
        })
        .collect()
}

fn as_listed(design: &Design, wanted: &DemandYears, air_c: &[f64]) -> Vec<AsListed> {
    let more = wanted.laid.more();
    let all = wanted.listed.iter().zip(&design.system.loads).enumerate();
    all.filter_map(|(at, (listed, load))| {
        let window = listed.waits()?;
        let most_w = load.usage.running_power().and_then(Fact::si).unwrap_or(0.0);
        // Only what needs no inlet water waits.
        let ListedYear { mut hours_w, rest_w, running_w, count, tier, leg } = listed.year(air_c, &[], most_w);
        hours_w.iter_mut().enumerate().for_each(|(hour, watts)| *watts *= more[sun::month_of_hour(hour)]);
        let above = |(hour, watts): (usize, &f64)| (watts - rest_w * more[sun::month_of_hour(hour)]).max(0.0);
        Some(AsListed {
            load: at,
            window,
            running_w: running_w * count,
            tier,
            leg,
            hours_w: hours_w.iter().enumerate().map(above).collect(),
            all_hours_w: hours_w,
        })
    })
    .collect()
}

fn of_year(
    list: Vec<AsListed>,
    house: &HouseStudy,
    mut year: BroughtYear,
) -> Result<BroughtYear, Unanswered> {
    let mut profile = year.wanted.profile.clone();
    for load in &list {
        profile.take_off(&load.hours_w, load.tier, load.leg);
    }
    year.wanted = Arc::new(WantedYear::new(profile));
    let waiting: Vec<Waiting<'_>> = list
        .iter()
        .map(|load| Waiting {
            hours_w: &load.hours_w,
            running_w: load.running_w,
            window: load.window,
            legs: leg_shares(load.leg),
        })
        .collect();
    let waited = wait_for_sun(&house.inputs, &year.input(house), &waiting)
        .map_err(|problem| Unanswered::refused(problem.to_string(), None))?;
    let mut profile = year.wanted.profile.clone();
    for (load, waited) in list.into_iter().zip(waited) {
        profile.add(&waited.hours_w, load.tier, load.leg);
        let mut all_hours_w = load.all_hours_w;
        for ((all, listed), run) in all_hours_w.iter_mut().zip(&load.hours_w).zip(&waited.hours_w) {
            *all = (*all - listed).max(0.0) + run;
        }
        year.waited.push(WaitedLoad { load: load.load, window: load.window, waited, all_hours_w });
    }
    year.wanted = Arc::new(WantedYear::new(profile));
    Ok(year)
}

/// What became of them in the middling year.
pub(super) fn told(design: &Design, brought: &Brought, middling: usize, terms: &[Term]) -> Vec<WaitedStudy> {
    let Some(year) = brought.years.get(middling) else { return Vec::new() };
    let energy = |wh: f64, says: &str| {
        Traced::series(Energy::from_si(units::WATT_HOUR.to_si(wh)), says, BALANCE, terms.to_vec())
    };
    year.waited
        .iter()
        .filter_map(|load| {
            let first = load.window.iter().position(|inside| *inside)?;
            let last = load.window.iter().rposition(|inside| *inside)?;
            Some(WaitedStudy {
                name: design.system.loads.get(load.load)?.name.clone(),
                window: (first, last + 1),
                on_sun: energy(
                    load.waited.on_sun_wh,
                    "run in its hours on what the sun left over, middling year",
                ),
                without_sun: energy(
                    load.waited.without_sun_wh,
                    "run at the end of its hours without spare sun, middling year",
                ),
                days_without: load.waited.days_without,
            })
        })
        .collect()
}
