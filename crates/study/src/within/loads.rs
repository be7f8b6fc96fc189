//! The load list as it switches within hours, and the worst that runs together.

use crate::WaitedLoad;
use crate::demand::{DemandYears, Listed, ListedYear};
use crate::sky::SkyStudy;
use design::system::System;
use loads::{Climate, HOURS, Leg, MinutesOfDay, Stream, Switching, Tier};
use quantity::Fact;
use std::sync::Arc;

/// Every load of the list in one weather year, in its order, each use at an hour drawn from the seed; what nobody listed comes
/// last.
pub(super) fn switching(
    system: &System,
    wanted: &DemandYears,
    sky: &SkyStudy,
    starts_va: &[Option<f64>],
    (seed, year): (u64, usize),
    waited: &[WaitedLoad],
) -> (Vec<Switching>, Vec<Arc<str>>) {
    let south = system.place.latitude.si().is_some_and(|latitude| latitude < 0.0);
    let airs = sky.weather.years.iter().map(|year| year.air_c.as_slice());
    let inlet_c = Climate::of(airs, south).map(|climate| climate.mains_c()).unwrap_or_default();
    let laid = &wanted.laid;
    let more = laid.more();
    let mut list = Vec::new();
    let mut names = Vec::new();
    for (at, (listed, load)) in wanted.listed.iter().zip(&system.loads).enumerate() {
        let most_w = load.usage.running_power().and_then(Fact::si).unwrap_or(0.0);
        let air_c = sky.weather.years.get(year).map_or(&[][..], |year| year.air_c.as_slice());
        let mut of_year = listed.year(air_c, &inlet_c, most_w);
        if let Listed::Steady(input) = listed {
            of_year.hours_w = input.placed_year_w(&mut Stream::new(seed, year as u32, at as u32));
        }
        for (hour, watts) in of_year.hours_w.iter_mut().enumerate() {
            *watts *= more[sun::month_of_hour(hour)];
        }
        if let Some(waited) = waited.iter().find(|waited| waited.load == at) {
            of_year.hours_w = waited.all_hours_w.clone();
        }
        let ListedYear { hours_w, rest_w, running_w, count, tier, leg } = of_year;
        let power_factor = load.power_factor.si().filter(|factor| *factor > 0.0 && *factor <= 1.0);
        list.push(Switching {
            hours_w,
            rest_w,
            running_w,
            count,
            va_per_w: 1.0 / power_factor.unwrap_or(1.0),
            start_va: starts_va.get(at).copied().flatten().unwrap_or(0.0),
            tier,
            leg,
        });
        names.push(load.name.clone());
    }
    if laid.added_w != [0.0; 12] {
        let by_hour = |hour| laid.added_w[sun::month_of_hour(hour)] * (1.0 + laid.growth);
        list.push(Switching {
            hours_w: (0..HOURS).map(by_hour).collect(),
            rest_w: 0.0,
            running_w: 0.0,
            count: 1.0,
            va_per_w: 1.0,
            start_va: 0.0,
            tier: Tier::Want,
            leg: laid.leg,
        });
        names.push("what nobody listed".into());
    }
    (list, names)
}

/// The busiest minute of a leg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Busiest {
    pub(super) va: f64,
    /// Minute of the year.
    pub(super) at: usize,
    /// Minutes above the continuous output.
    pub(super) minutes_over: u32,
    /// Most of them in a row.
    pub(super) longest_over: u32,
    /// In a row so far.
    row: u32,
}

/// The hardest start of a motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hardest {
    pub(super) load: usize,
    pub(super) va: f64,
    pub(super) leg: usize,
    pub(super) at: usize,
}

/// The worst so far, by leg.
#[derive(Clone, Debug, Default)]
pub(super) struct Worst {
    pub(super) legs: [Busiest; 2],
    pub(super) start: Option<Hardest>,
}

impl Worst {
    /// Adds a day; `limits_va` is the continuous output of each leg.
    pub(super) fn add(&mut self, loads: &[Switching], day: usize, of: &MinutesOfDay, limits_va: [f64; 2]) {
        for ((busiest, va), limit) in self.legs.iter_mut().zip(&of.va).zip(limits_va) {
            for (minute, va) in va.iter().enumerate() {
                if *va > busiest.va {
                    (busiest.va, busiest.at) = (*va, day * 1440 + minute);
                }
                busiest.row = if *va > limit { busiest.row + 1 } else { 0 };
                busiest.minutes_over += u32::from(*va > limit);
                busiest.longest_over = busiest.longest_over.max(busiest.row);
            }
        }
        for start in &of.starts {
            let legs = of.va_at_start(loads, start);
            let own = loads.get(start.load).map_or([1.0, 0.0], |load| loads::leg_shares(load.leg));
            for leg in (0..2).filter(|leg| own[*leg] > 0.0) {
                if self.start.is_none_or(|hardest| legs[leg] > hardest.va) {
                    let at = day * 1440 + start.minute;
                    self.start = Some(Hardest { load: start.load, va: legs[leg], leg, at });
                }
            }
        }
    }
}

/// The leg at this position as its owner calls it.
pub(super) fn leg_name(split: bool, leg: usize) -> Leg {
    match (split, leg) {
        (false, _) => Leg::Only,
        (true, 0) => Leg::A,
        (true, _) => Leg::B,
    }
}
