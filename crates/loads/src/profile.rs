//! From a list of loads to the power of every hour of a year, by tier and leg.
//!
//! An hour holds the mean power of that hour: a kettle used for six minutes shows as a tenth of its watts. What
//! runs together and what a motor pulls while starting is the subject of [`crate::worst_together`] and
//! [`crate::start_va`], not of the hourly profile.

use crate::{Leg, Tier};

/// Hours of a year: all years share one calendar of 365 days.
pub const HOURS: usize = 8760;

/// Days of each month.
pub const MONTH_DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

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
    /// How many.
    pub count: f64,
    /// Months of use, January first.
    pub months: [bool; 12],
    /// How much it matters.
    pub tier: Tier,
    /// Where it hangs; across both legs is split half and half, the only leg there is counts as the first.
    pub leg: Leg,
    /// Its hours are moved into midday as far as midday has hours; the rest stays in proportion.
    pub shift_into_sun: bool,
}

/// First hour and length of the four parts of the day; the night goes on after midnight.
const PARTS: [(usize, usize); 4] = [(6, 4), (10, 6), (16, 6), (22, 8)];

impl LoadInput {
    /// Hours a day in each part after limiting to the part's length and, where wanted, shifting into the sun.
    pub fn placed_hours(&self) -> [f64; 4] {
        let mut hours = [0.0; 4];
        for (part, placed) in hours.iter_mut().enumerate() {
            *placed = self.hours[part].clamp(0.0, PARTS[part].1 as f64);
        }
        if !self.shift_into_sun {
            return hours;
        }
        let total: f64 = hours.iter().sum();
        let midday = PARTS[1].1 as f64;
        let outside = total - hours[1];
        if total <= midday || outside <= 0.0 {
            return [0.0, total, 0.0, 0.0];
        }
        let stays = (total - midday) / outside;
        [hours[0] * stays, midday, hours[2] * stays, hours[3] * stays]
    }

    /// Mean power of all of them in each hour of a day of use, W.
    pub fn day_w(&self) -> [f64; 24] {
        let mut day = [self.label_wh_per_year / HOURS as f64 * self.count; 24];
        for (part, hours) in self.placed_hours().into_iter().enumerate() {
            let (first, length) = PARTS[part];
            let mean_w = self.power_w * self.count * hours / length as f64;
            for hour in first..first + length {
                day[hour % 24] += mean_w;
            }
        }
        day
    }

    /// Energy of each month, Wh.
    pub fn month_wh(&self) -> [f64; 12] {
        let day_wh: f64 = self.day_w().iter().sum();
        let mut months = [0.0; 12];
        for (month, energy) in months.iter_mut().enumerate() {
            if self.months[month] {
                *energy = day_wh * MONTH_DAYS[month] as f64;
            }
        }
        months
    }

    /// Shares on the first and second leg.
    pub fn leg_shares(&self) -> [f64; 2] {
        match self.leg {
            Leg::A | Leg::Only => [1.0, 0.0],
            Leg::B => [0.0, 1.0],
            Leg::Both => [0.5, 0.5],
        }
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
    /// The profile of a list of loads: the same list gives the same bits.
    pub fn of(loads: &[LoadInput]) -> HourlyProfile {
        // A year of this list has only twelve different days; they are added up once and laid out.
        let mut days = [[[[0.0; 24]; 2]; 3]; 12];
        for load in loads {
            let day_w = load.day_w();
            let tier = tier_index(load.tier);
            for (day, _) in days.iter_mut().zip(load.months).filter(|(_, used)| *used) {
                for (leg, share) in load.leg_shares().into_iter().enumerate() {
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
        HourlyProfile { watts: [0, 1, 2].map(|tier| [0, 1].map(|leg| lay_out(tier, leg))) }
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
            let mut rest = series.as_slice();
            for (sum, days) in months.iter_mut().zip(MONTH_DAYS) {
                let (month, after) = rest.split_at((days * 24).min(rest.len()));
                *sum += month.iter().sum::<f64>();
                rest = after;
            }
        }
        months
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
        LoadInput {
            power_w,
            hours,
            label_wh_per_year: 0.0,
            count: 1.0,
            months: [true; 12],
            tier: Tier::Must,
            leg: Leg::A,
            shift_into_sun: false,
        }
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
    fn a_shiftable_load_goes_to_midday_as_far_as_midday_reaches() {
        let shift = |hours| LoadInput { shift_into_sun: true, ..load(500.0, hours) }.placed_hours();
        assert_eq!(shift([1.0, 0.0, 2.0, 1.0]), [0.0, 4.0, 0.0, 0.0]);
        // 9 h of which 8 outside midday: 3 h stay outside, 3/8 of each.
        let placed = shift([2.0, 1.0, 6.0, 0.0]);
        assert_eq!(placed, [0.75, 6.0, 2.25, 0.0]);
        assert_eq!(shift([0.0, 6.0, 0.0, 0.0]), [0.0, 6.0, 0.0, 0.0]);
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
}
