//! Loads within the hour: what is on in which minute.
//!
//! The hourly profile says how much; this says when. A load that takes a part of its running power in an hour runs for that
//! part of the hour, each of several for itself, in one stretch whose beginning is drawn. The energy of every hour stays what
//! it was. What is known by its yearly energy alone has no running power and stays even.

use crate::place::Stream;
use crate::{Leg, Tier, leg_shares, tier_index};

/// Minutes of a day.
const MINUTES: usize = 1440;

/// Of more than so many of a kind, groups switch together.
const MOST_PIECES: f64 = 12.0;

/// One entry of the load list with its hours, as it switches within them.
#[derive(Clone, Debug, PartialEq)]
pub struct Switching {
    /// 8760 hourly means, all of them together, W.
    pub hours_w: Vec<f64>,
    /// Taken in every hour of use whatever runs, all of them together, W.
    pub rest_w: f64,
    /// Taken by one above its rest while it runs, W; 0 for what is even over the hour.
    pub running_w: f64,
    /// How many.
    pub count: f64,
    /// Volt-amperes per watt, at least 1.
    pub va_per_w: f64,
    /// Apparent power of one while it starts, VA; 0 for what starts gently.
    pub start_va: f64,
    /// How much it matters.
    pub tier: Tier,
    /// Where it hangs.
    pub leg: Leg,
}

/// A motor that starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorStart {
    /// Position of its load in the list.
    pub load: usize,
    /// Minute of the day.
    pub minute: usize,
    /// What it takes itself in that minute on each leg, VA.
    own_va: [f64; 2],
}

/// The minutes of one day.
#[derive(Clone, Debug, PartialEq)]
pub struct MinutesOfDay {
    /// `watts[tier][leg]`: 1440 means of a minute each, W, as in [`crate::HourlyProfile`].
    pub watts: [[Vec<f64>; 2]; 3],
    /// Apparent power on each leg, VA; sizes are added as if in phase, which is never too low.
    pub va: [Vec<f64>; 2],
    /// Motors that start.
    pub starts: Vec<MotorStart>,
}

impl MinutesOfDay {
    /// A day (from 0) of a list of loads. The same list, seed, year and day give the same minutes.
    pub fn of(loads: &[Switching], day: usize, seed: u64, year: u32) -> MinutesOfDay {
        let mut of_day = MinutesOfDay::empty();
        let mut minutes = vec![0.0; MINUTES];
        for (at, load) in loads.iter().enumerate() {
            of_day.add(load, at, day, (seed, year), &mut minutes);
        }
        of_day
    }

    /// The same day of the load at this position of the list alone.
    pub fn of_one(load: &Switching, at: usize, day: usize, seed: u64, year: u32) -> MinutesOfDay {
        let mut of_day = MinutesOfDay::empty();
        of_day.add(load, at, day, (seed, year), &mut vec![0.0; MINUTES]);
        of_day
    }

    fn empty() -> MinutesOfDay {
        let zeros = || vec![0.0; MINUTES];
        MinutesOfDay {
            watts: [0, 1, 2].map(|_| [zeros(), zeros()]),
            va: [zeros(), zeros()],
            starts: Vec::new(),
        }
    }

    fn add(&mut self, load: &Switching, at: usize, day: usize, seed: (u64, u32), minutes: &mut [f64]) {
        // Not the streams from which the hour of a use is drawn.
        let days = seed.1.wrapping_mul(366).wrapping_add(day as u32);
        let mut stream = Stream::new(seed.0 ^ (1 << 63), days, at as u32);
        minutes.fill(0.0);
        let shares = leg_shares(load.leg);
        for hour in 0..24 {
            let mean_w = load.hours_w.get(day * 24 + hour).copied().unwrap_or(0.0);
            if mean_w > 0.0 {
                let of_hour = &mut minutes[hour * 60..hour * 60 + 60];
                load.switch(mean_w, of_hour, &mut stream, |minute, own_w| {
                    let own_va = shares.map(|share| own_w * load.va_per_w * share);
                    self.starts.push(MotorStart { load: at, minute: hour * 60 + minute, own_va });
                });
            }
        }
        let tier = tier_index(load.tier);
        for (leg, share) in shares.into_iter().enumerate().filter(|(_, share)| *share > 0.0) {
            let sums = self.watts[tier][leg].iter_mut().zip(&mut self.va[leg]);
            for ((watts, va), minute) in sums.zip(minutes.iter()) {
                *watts += minute * share;
                *va += minute * share * load.va_per_w;
            }
        }
    }

    /// Apparent power on each leg while a motor of this day starts, VA: what else is on in that minute and its start.
    pub fn va_at_start(&self, loads: &[Switching], start: &MotorStart) -> [f64; 2] {
        let Some(load) = loads.get(start.load) else { return [0.0; 2] };
        let shares = leg_shares(load.leg);
        [0, 1].map(|leg| {
            let others = self.va[leg].get(start.minute).map_or(0.0, |va| va - start.own_va[leg]);
            others.max(0.0) + load.start_va * shares[leg]
        })
    }

    /// Means of so many minutes each, W: [`Self::watts`] at a coarser step that divides an hour.
    pub fn in_steps_of(&self, minutes: usize) -> [[Vec<f64>; 2]; 3] {
        let minutes = minutes.clamp(1, 60);
        let means = |series: &Vec<f64>| -> Vec<f64> {
            series.chunks(minutes).map(|step| step.iter().sum::<f64>() / step.len() as f64).collect()
        };
        self.watts.each_ref().map(|legs| legs.each_ref().map(means))
    }
}

impl Switching {
    /// Lays the mean of one hour out over its sixty minutes; `starts` hears of every motor that starts in it.
    fn switch(
        &self,
        mean_w: f64,
        of_hour: &mut [f64],
        stream: &mut Stream,
        mut starts: impl FnMut(usize, f64),
    ) {
        let pieces = self.count.clamp(1.0, MOST_PIECES).round();
        let piece_w = self.running_w * self.count / pieces;
        let above_w = mean_w - self.rest_w;
        let minutes_on = if piece_w > 0.0 { 60.0 * above_w / (piece_w * pieces) } else { 60.0 };
        if above_w <= 0.0 || minutes_on >= 60.0 {
            of_hour.iter_mut().for_each(|minute| *minute += mean_w);
            return;
        }
        of_hour.iter_mut().for_each(|minute| *minute += self.rest_w);
        for _ in 0..pieces as usize {
            let from = stream.uniform() * (60.0 - minutes_on);
            let until = from + minutes_on;
            let first = from as usize;
            for (at, minute) in of_hour.iter_mut().enumerate().skip(first) {
                let on = until.min(at as f64 + 1.0) - from.max(at as f64);
                if on <= 0.0 {
                    break;
                }
                if at == first && self.start_va > 0.0 {
                    starts(at, piece_w * on);
                }
                *minute += piece_w * on;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{HOURS, HourlyProfile, LoadInput};

    fn switching(input: LoadInput) -> Switching {
        Switching {
            hours_w: input.year_w(),
            rest_w: input.rest_w(),
            running_w: input.power_w - input.standby_w,
            count: input.count,
            va_per_w: 1.0,
            start_va: 0.0,
            tier: input.tier,
            leg: input.leg,
        }
    }

    fn list() -> Vec<LoadInput> {
        let load = |power_w, hours| LoadInput { power_w, hours, ..LoadInput::IDLE };
        vec![
            load(1500.0, [0.2, 0.0, 0.3, 0.0]),
            LoadInput { standby_w: 2.0, count: 3.0, leg: Leg::B, ..load(60.0, [0.5, 0.0, 3.0, 8.0]) },
            LoadInput { tier: Tier::Luxury, leg: Leg::Both, ..load(4000.0, [0.0, 6.0, 0.7, 0.0]) },
            LoadInput { count: 40.0, ..load(9.0, [1.0, 0.0, 5.0, 0.5]) },
        ]
    }

    #[test]
    fn every_hour_keeps_its_energy_on_every_tier_and_leg() {
        let list = list();
        let profile = HourlyProfile::of(&list);
        let loads: Vec<Switching> = list.into_iter().map(switching).collect();
        for day in [0, 17, 364] {
            let minutes = MinutesOfDay::of(&loads, day, 7, 2);
            for (tier, legs) in minutes.in_steps_of(60).iter().enumerate() {
                for (leg, hours) in legs.iter().enumerate() {
                    for (hour, mean) in hours.iter().enumerate() {
                        let wanted = profile.watts[tier][leg][day * 24 + hour];
                        assert!((mean - wanted).abs() < 1e-9, "{tier} {leg} {hour}: {mean} {wanted}");
                    }
                }
            }
        }
    }

    #[test]
    fn minutes_show_what_runs_and_repeat_with_the_seed() {
        let loads: Vec<Switching> = list().into_iter().map(switching).collect();
        let day = MinutesOfDay::of(&loads, 3, 7, 0);
        assert_eq!(day, MinutesOfDay::of(&loads, 3, 7, 0));
        assert_ne!(day, MinutesOfDay::of(&loads, 3, 8, 0));
        assert_ne!(day.watts, MinutesOfDay::of(&loads, 4, 7, 0).watts);
        // The kettle's three minutes an hour show as its 1500 W, not as 75.
        let highest = day.watts[0][0].iter().copied().fold(0.0, f64::max);
        assert!((1500.0..1900.0).contains(&highest), "{highest}");
        assert!(day.in_steps_of(60)[0][0].iter().all(|mean| *mean < 400.0));
    }

    /// A pump of 800 W and 1000 VA that starts with 6000 VA on both legs, once in the hour, beside 300 W on the first: 3300 and
    /// 3000 VA.
    #[test]
    fn a_start_stands_on_what_else_is_on() {
        let hours = |watts: f64| {
            let mut hours_w = vec![0.0; HOURS];
            hours_w[8] = watts;
            hours_w
        };
        let even = LoadInput { ..LoadInput::IDLE };
        let loads = [
            Switching { hours_w: hours(300.0), ..switching(even) },
            Switching {
                hours_w: hours(400.0),
                running_w: 800.0,
                va_per_w: 1.25,
                start_va: 6000.0,
                leg: Leg::Both,
                ..switching(even)
            },
        ];
        let day = MinutesOfDay::of(&loads, 0, 7, 0);
        assert_eq!(day.starts.len(), 1);
        let start = day.va_at_start(&loads, &day.starts[0]);
        assert!((start[0] - 3300.0).abs() < 1e-9 && (start[1] - 3000.0).abs() < 1e-9, "{start:?}");
        // While it runs it is 500 VA on each leg.
        let highest = day.va[1].iter().copied().fold(0.0, f64::max);
        assert!((highest - 500.0).abs() < 1e-9);
    }
}
