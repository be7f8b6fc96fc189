//! From a list of loads to the power of every hour of a year, by tier and leg.
//!
//! An hour holds the mean power of that hour: a kettle used for six minutes shows as a tenth of its watts. What
//! runs together and what a motor pulls while starting is the subject of [`crate::worst_together`] and
//! [`crate::start_va`], not of the hourly profile.
//!
//! Two ways to lay a load out: [`HourlyProfile::of`] gives every day its mean, [`LoadInput::placed_year_w`] draws the
//! hour of every use from a seed. Both hold the same energy.

use crate::calendar::{month_of_day, month_sums, weekday_of_day};
use crate::place::Stream;
use crate::{HOURS, Leg, MONTH_DAYS, Tier};

/// One load as numbers. Hours are local standard time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadInput {
    /// Power while running, of one, W. 0 when only a label is known.
    pub power_w: f64,
    /// Hours a day in the four parts of the day: morning 6–10 h, midday 10–16 h, evening 16–22 h, night 22–6 h. More
    /// than a part has hours counts as the whole part.
    pub hours: [f64; 4],
    /// Energy a year of one by its label or meter, Wh, spread evenly over all 8760 hours; only hours of months in use
    /// count. 0 when the use is given by power and hours.
    pub label_wh_per_year: f64,
    /// Share of full power in each hour of the day, in place of hours by part; then `hours` is not read.
    pub shares: Option<[f64; 24]>,
    /// Power of one while it is plugged in and does not run, W.
    pub standby_w: f64,
    /// How many.
    pub count: f64,
    /// Months of use, January first.
    pub months: [bool; 12],
    /// Days of the week of use, Monday first.
    pub weekdays: [bool; 7],
    /// Of those days, the share on which it is used: 3/7 for three days of any week.
    pub days_share: f64,
    /// How much it matters.
    pub tier: Tier,
    /// Where it hangs; across both legs is split half and half, the only leg there is counts as the first.
    pub leg: Leg,
    /// Hours of the day into which its use is moved as far as they reach, the rest staying in proportion; `None` where it
    /// runs when it is wanted.
    pub sun_hours: Option<[bool; 24]>,
}

/// First hour and length of the four parts of the day; the night goes on after midnight.
const PARTS: [(usize, usize); 4] = [(6, 4), (10, 6), (16, 6), (22, 8)];

impl LoadInput {
    /// A load of a given power that is never used; the ground on which tests and callers set what they know.
    pub const IDLE: LoadInput = LoadInput {
        power_w: 0.0,
        hours: [0.0; 4],
        label_wh_per_year: 0.0,
        shares: None,
        standby_w: 0.0,
        count: 1.0,
        months: [true; 12],
        weekdays: [true; 7],
        days_share: 1.0,
        tier: Tier::Must,
        leg: Leg::A,
        sun_hours: None,
    };

    /// Hours a day in each part, no more than the part has.
    fn part_hours(&self) -> [f64; 4] {
        std::array::from_fn(|part| self.hours[part].clamp(0.0, PARTS[part].1 as f64))
    }

    /// Share of full power in each hour of a day of use, each hour the mean of its part.
    fn mean_shares(&self) -> [f64; 24] {
        let wanted = self.wanted_shares();
        self.sun_hours.map_or(wanted, |into| moved(wanted, into))
    }

    /// The same where nothing is moved.
    fn wanted_shares(&self) -> [f64; 24] {
        if let Some(shares) = self.shares {
            return shares.map(|share| share.clamp(0.0, 1.0));
        }
        let mut day = [0.0; 24];
        for (part, hours) in self.part_hours().into_iter().enumerate() {
            let (first, length) = PARTS[part];
            for hour in first..first + length {
                day[hour % 24] += hours / length as f64;
            }
        }
        day
    }

    /// Mean power of all of them in an hour in which they run for a share, W.
    fn hour_w(&self, share: f64) -> f64 {
        let label_w = self.label_wh_per_year / HOURS as f64;
        self.count * (label_w + self.power_w * share + self.standby_w * (1.0 - share))
    }

    /// Mean power of all of them in each hour of one of its days of the week, W.
    pub fn day_w(&self) -> [f64; 24] {
        let label_w = self.label_wh_per_year / HOURS as f64;
        self.mean_shares().map(|share| {
            let share = share * self.days_share;
            self.count * (label_w * self.days_share + self.power_w * share + self.standby_w * (1.0 - share))
        })
    }

    /// Mean power of all of them on a day of the week on which they are not used, W.
    pub fn rest_w(&self) -> f64 {
        self.count * self.standby_w
    }

    /// Whether every day of a month in use is like every other.
    fn same_every_day(&self) -> bool {
        self.weekdays == [true; 7]
    }

    /// Energy of each month, Wh.
    pub fn month_wh(&self) -> [f64; 12] {
        let day_wh: f64 = self.day_w().iter().sum();
        let used = crate::calendar::days_on(self.weekdays);
        let mut months = [0.0; 12];
        for (month, energy) in months.iter_mut().enumerate() {
            if self.months[month] {
                let rest = MONTH_DAYS[month] - used[month];
                *energy = day_wh * used[month] as f64 + self.rest_w() * 24.0 * rest as f64;
            }
        }
        months
    }

    /// Mean power of every hour of a year with every day at its mean, W.
    pub fn year_w(&self) -> Vec<f64> {
        let (day_w, rest_w) = (self.day_w(), self.rest_w());
        let mut year = Vec::with_capacity(HOURS);
        for day in 0..HOURS / 24 {
            if !self.months[month_of_day(day)] {
                year.extend_from_slice(&[0.0; 24]);
            } else if self.weekdays[weekday_of_day(day)] {
                year.extend_from_slice(&day_w);
            } else {
                year.extend_from_slice(&[rest_w; 24]);
            }
        }
        year
    }

    /// Mean power of every hour of a year in which each part of a day's hours is one stretch that begins at a drawn
    /// time, W. A load used on a share of the days takes whole days, spread as evenly as days allow. What has its day in
    /// shares, or is moved into hours of sun, keeps the means of its hours.
    pub fn placed_year_w(&self, stream: &mut Stream) -> Vec<f64> {
        let mut year = vec![0.0; HOURS];
        let hours = self.part_hours();
        let mut days = stream.uniform();
        for day in 0..HOURS / 24 {
            let in_use = self.months[month_of_day(day)];
            let mut used = false;
            if self.weekdays[weekday_of_day(day)] {
                days += self.days_share;
                used = days >= 1.0;
                days -= f64::from(u8::from(used));
            }
            let mut shares = [0.0; 24];
            if used {
                shares = match self.shares.is_some() || self.sun_hours.is_some() {
                    true => self.mean_shares(),
                    false => stretches(hours, stream),
                };
            }
            if in_use {
                let label = self.label_wh_per_year / HOURS as f64 * self.count;
                for (hour, share) in shares.into_iter().enumerate() {
                    let watts = self.hour_w(share);
                    year[day * 24 + hour] = if used { watts } else { watts - label };
                }
            }
        }
        year
    }
}

/// Shares of a day moved evenly into some of its hours as far as these reach; the rest stays in proportion.
fn moved(shares: [f64; 24], into: [bool; 24]) -> [f64; 24] {
    let reach = into.iter().filter(|inside| **inside).count() as f64;
    let total: f64 = shares.iter().sum();
    if reach == 0.0 {
        return shares;
    }
    if total <= reach {
        return into.map(|inside| if inside { total / reach } else { 0.0 });
    }
    let outside: f64 = shares.iter().zip(into).filter(|(_, inside)| !inside).map(|(share, _)| share).sum();
    let stays = (total - reach) / outside;
    std::array::from_fn(|hour| if into[hour] { 1.0 } else { shares[hour] * stays })
}

/// One stretch in each part of the day, each as long as its hours, as shares of the 24 hours.
fn stretches(hours: [f64; 4], stream: &mut Stream) -> [f64; 24] {
    let mut shares = [0.0; 24];
    for (part, length) in hours.into_iter().enumerate().filter(|(_, h)| *h > 0.0) {
        let (first, whole) = PARTS[part];
        let start = stream.uniform() * (whole as f64 - length).max(0.0);
        for offset in 0..whole {
            let from = (offset as f64).max(start);
            let until = (offset as f64 + 1.0).min(start + length);
            shares[(first + offset) % 24] += (until - from).max(0.0);
        }
    }
    shares
}

/// Shares on the first and second leg.
pub fn leg_shares(leg: Leg) -> [f64; 2] {
    match leg {
        Leg::A | Leg::Only => [1.0, 0.0],
        Leg::B => [0.0, 1.0],
        Leg::Both => [0.5, 0.5],
    }
}

/// Position of a tier in arrays by tier: must, want, luxury.
pub fn tier_index(tier: Tier) -> usize {
    match tier {
        Tier::Must => 0,
        Tier::Want => 1,
        Tier::Luxury => 2,
    }
}

/// Mean power of every hour of the year.
#[derive(Clone, Debug, PartialEq)]
pub struct HourlyProfile {
    /// `watts[tier][leg]`: 8760 hourly means, W, from the first hour of January, local standard time. Tiers must,
    /// want, luxury; legs first and second (a house with one leg leaves the second at zero).
    pub watts: [[Vec<f64>; 2]; 3],
}

impl HourlyProfile {
    /// Nothing in any hour.
    pub fn empty() -> HourlyProfile {
        HourlyProfile { watts: [0, 1, 2].map(|_| [0, 1].map(|_| vec![0.0; HOURS])) }
    }

    /// The profile of a list of loads, every day at its mean: the same list gives the same bits.
    pub fn of(loads: &[LoadInput]) -> HourlyProfile {
        // A year of loads that are used every day has only twelve different days; they are added up once and laid out.
        let mut days = [[[[0.0; 24]; 2]; 3]; 12];
        for load in loads.iter().filter(|load| load.same_every_day()) {
            let day_w = load.day_w();
            let tier = tier_index(load.tier);
            for (day, _) in days.iter_mut().zip(load.months).filter(|(_, used)| *used) {
                for (leg, share) in leg_shares(load.leg).into_iter().enumerate() {
                    for (sum, watts) in day[tier][leg].iter_mut().zip(day_w) {
                        *sum += watts * share;
                    }
                }
            }
        }
        let lay_out = |tier: usize, leg: usize| -> Vec<f64> {
            let mut year = Vec::with_capacity(HOURS);
            for (day, count) in days.iter().zip(MONTH_DAYS) {
                for _ in 0..count {
                    year.extend_from_slice(&day[tier][leg]);
                }
            }
            year
        };
        let mut profile = HourlyProfile { watts: [0, 1, 2].map(|tier| [0, 1].map(|leg| lay_out(tier, leg))) };
        for load in loads.iter().filter(|load| !load.same_every_day()) {
            profile.add(&load.year_w(), load.tier, load.leg);
        }
        profile
    }

    /// Adds a year of a load.
    pub fn add(&mut self, watts: &[f64], tier: Tier, leg: Leg) {
        for (sums, share) in self.watts[tier_index(tier)].iter_mut().zip(leg_shares(leg)) {
            if share > 0.0 {
                sums.iter_mut().zip(watts).for_each(|(sum, watts)| *sum += watts * share);
            }
        }
    }

    /// Takes a year of a load off again; what rounding leaves below nothing is nothing.
    pub fn take_off(&mut self, watts: &[f64], tier: Tier, leg: Leg) {
        for (sums, share) in self.watts[tier_index(tier)].iter_mut().zip(leg_shares(leg)) {
            if share > 0.0 {
                sums.iter_mut().zip(watts).for_each(|(sum, watts)| *sum = (*sum - watts * share).max(0.0));
            }
        }
    }

    /// Both legs of one tier together, W.
    pub fn tier(&self, tier: Tier) -> Vec<f64> {
        let [first, second] = &self.watts[tier_index(tier)];
        first.iter().zip(second).map(|(a, b)| a + b).collect()
    }

    /// All tiers of one leg together, W.
    pub fn leg(&self, leg: usize) -> Vec<f64> {
        (0..HOURS).map(|hour| self.watts.iter().map(|legs| legs[leg.min(1)][hour]).sum()).collect()
    }

    /// Energy of each month, all tiers and legs, Wh.
    pub fn month_wh(&self) -> [f64; 12] {
        let mut months = [0.0; 12];
        for series in self.watts.iter().flatten() {
            months.iter_mut().zip(month_sums(series)).for_each(|(sum, month)| *sum += month);
        }
        months
    }

    /// Mean power in each hour of the day over the days of some months, all tiers and legs, W.
    pub fn day_of(&self, months: [bool; 12]) -> [f64; 24] {
        let (mut day, mut days) = ([0.0; 24], 0.0);
        for at in (0..HOURS / 24).filter(|at| months[month_of_day(*at)]) {
            days += 1.0;
            for series in self.watts.iter().flatten() {
                day.iter_mut().zip(&series[at * 24..at * 24 + 24]).for_each(|(sum, watts)| *sum += watts);
            }
        }
        day.map(|sum| if days > 0.0 { sum / days } else { 0.0 })
    }

    /// Scales every hour of each month, for instance to meet the bills; a scale is at least 0.
    pub fn scaled(&self, by_month: [f64; 12]) -> HourlyProfile {
        let mut scaled = self.clone();
        for series in scaled.watts.iter_mut().flatten() {
            let mut rest = series.as_mut_slice();
            for (scale, days) in by_month.into_iter().zip(MONTH_DAYS) {
                let (month, after) = rest.split_at_mut((days * 24).min(rest.len()));
                month.iter_mut().for_each(|watts| *watts *= scale);
                rest = after;
            }
        }
        scaled
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(power_w: f64, hours: [f64; 4]) -> LoadInput {
        LoadInput { power_w, hours, ..LoadInput::IDLE }
    }

    #[test]
    fn a_day_holds_power_times_hours_in_each_part() {
        // 1500 W for 0.2 h in the morning and 0.3 h in the evening: 300 Wh over 4 hours, 450 Wh over 6.
        let day = load(1500.0, [0.2, 0.0, 0.3, 0.0]).day_w();
        assert!((day[6] - 75.0).abs() < 1e-12 && (day[9] - 75.0).abs() < 1e-12);
        assert!((day[16] - 75.0).abs() < 1e-12 && (day[21] - 75.0).abs() < 1e-12);
        assert!(day[5] == 0.0 && day[10] == 0.0 && day[22] == 0.0);
        assert!((day.iter().sum::<f64>() - 750.0).abs() < 1e-9);
        // The night of eight hours lies on both sides of midnight.
        let night = load(100.0, [0.0, 0.0, 0.0, 8.0]).day_w();
        assert_eq!((night[21], night[22], night[0], night[5], night[6]), (0.0, 100.0, 100.0, 100.0, 0.0));
    }

    #[test]
    fn a_label_is_spread_evenly_and_sums_to_itself() {
        let label = LoadInput { label_wh_per_year: 512_000.0, ..load(0.0, [0.0; 4]) };
        let profile = HourlyProfile::of(&[label]);
        let year: f64 = profile.tier(Tier::Must).iter().sum();
        assert!((year - 512_000.0).abs() < 1e-6);
        assert_eq!(profile.watts[0][0][0], profile.watts[0][0][8759]);
    }

    #[test]
    fn two_hundred_forty_volts_load_both_legs_alike_and_months_are_kept() {
        let mut months = [false; 12];
        months[1] = true;
        let pump = LoadInput { leg: Leg::Both, months, count: 2.0, ..load(1000.0, [1.0, 0.0, 0.0, 0.0]) };
        let profile = HourlyProfile::of(&[pump]);
        assert_eq!(profile.watts[0][0], profile.watts[0][1]);
        let by_month = profile.month_wh();
        // Two pumps of 1000 W for an hour on each of 28 days.
        assert!((by_month[1] - 56_000.0).abs() < 1e-6);
        assert_eq!(by_month[0] + by_month[2], 0.0);
        assert!((pump.month_wh()[1] - by_month[1]).abs() < 1e-6);
        let doubled = profile.scaled([2.0; 12]).month_wh();
        assert!((doubled[1] - 112_000.0).abs() < 1e-6);
    }

    #[test]
    fn a_load_that_waits_goes_to_hours_of_sun_as_far_as_they_reach() {
        let midday: [bool; 24] = std::array::from_fn(|hour| (10..16).contains(&hour));
        let parts = |hours| {
            let day = LoadInput { sun_hours: Some(midday), ..load(500.0, hours) }.day_w();
            let part = |first: usize, length: usize| -> f64 {
                (first..first + length).map(|hour| day[hour % 24] / 500.0).sum()
            };
            [part(6, 4), part(10, 6), part(16, 6), part(22, 8)]
        };
        let near = |a: [f64; 4], b: [f64; 4]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-12);
        assert!(near(parts([1.0, 0.0, 2.0, 1.0]), [0.0, 4.0, 0.0, 0.0]));
        // 9 h of which 8 outside midday: 3 h stay outside, 3/8 of each.
        assert!(near(parts([2.0, 1.0, 6.0, 0.0]), [0.75, 6.0, 2.25, 0.0]));
        assert!(near(parts([0.0, 6.0, 0.0, 0.0]), [0.0, 6.0, 0.0, 0.0]));
    }

    #[test]
    fn tiers_and_legs_are_two_ways_to_the_same_sum() {
        let list = [
            load(1500.0, [0.2, 0.0, 0.3, 0.0]),
            LoadInput { tier: Tier::Luxury, leg: Leg::B, ..load(900.0, [0.0, 1.0, 2.0, 0.5]) },
            LoadInput { tier: Tier::Want, leg: Leg::Both, ..load(2200.0, [1.0; 4]) },
        ];
        let profile = HourlyProfile::of(&list);
        let tiers: f64 =
            [Tier::Must, Tier::Want, Tier::Luxury].map(|t| profile.tier(t).iter().sum::<f64>()).iter().sum();
        let legs: f64 = [0, 1].map(|leg| profile.leg(leg).iter().sum::<f64>()).iter().sum();
        let listed: f64 = list.iter().flat_map(|load| load.month_wh()).sum();
        // Sums of 8760 terms in another order.
        assert!((tiers - legs).abs() < 1e-6 && (tiers - listed).abs() < 1e-6);
    }

    #[test]
    fn weekdays_and_standby_are_counted_by_the_calendar() {
        let weekdays = [true, true, true, true, true, false, false];
        let office = LoadInput { standby_w: 5.0, weekdays, ..load(200.0, [0.0, 6.0, 0.0, 0.0]) };
        // January 2025 has 23 weekdays: 23 · (6 · 200 + 18 · 5) + 8 · 24 · 5.
        assert!((office.month_wh()[0] - (23.0 * 1290.0 + 960.0)).abs() < 1e-6, "{}", office.month_wh()[0]);
        let profile = HourlyProfile::of(&[office]);
        for (laid, listed) in profile.month_wh().into_iter().zip(office.month_wh()) {
            assert!((laid - listed).abs() < 1e-6);
        }
    }

    #[test]
    fn drawn_hours_hold_the_energy_and_repeat_with_the_seed() {
        let list = [
            load(1500.0, [0.2, 0.0, 0.3, 0.0]),
            LoadInput { days_share: 3.0 / 7.0, ..load(1100.0, [0.0, 0.6, 0.0, 0.0]) },
            LoadInput { label_wh_per_year: 512_000.0, ..load(0.0, [0.0; 4]) },
            LoadInput { standby_w: 2.0, ..load(60.0, [0.0, 0.0, 3.0, 8.0]) },
        ];
        let placed = |seed, year| {
            let mut profile = HourlyProfile::empty();
            for (index, load) in list.iter().enumerate() {
                let mut stream = Stream::new(seed, year, index as u32);
                profile.add(&load.placed_year_w(&mut stream), load.tier, load.leg);
            }
            profile
        };
        let (mean, drawn) = (HourlyProfile::of(&list), placed(7, 0));
        let sum = |p: &HourlyProfile| p.month_wh().iter().sum::<f64>();
        // Whole days of use: at most one of 660 Wh more or less over the year.
        assert!((sum(&mean) - sum(&drawn)).abs() <= 660.0 + 1e-6, "{} {}", sum(&mean), sum(&drawn));
        assert_eq!(drawn, placed(7, 0));
        assert_ne!(drawn, placed(8, 0));
        assert_ne!(drawn, placed(7, 1));
        let highest = |p: &HourlyProfile| p.leg(0).into_iter().fold(0.0, f64::max);
        assert!(highest(&drawn) > highest(&mean));
    }

    #[test]
    fn a_day_profile_is_taken_hour_by_hour() {
        let mut shares = [0.0; 24];
        shares[7] = 0.5;
        shares[23] = 1.0;
        let day = LoadInput { shares: Some(shares), ..load(800.0, [9.0; 4]) }.day_w();
        assert_eq!((day[7], day[23], day[8]), (400.0, 800.0, 0.0));
    }
}
