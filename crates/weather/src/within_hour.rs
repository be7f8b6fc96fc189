//! Light within the hour: what minutes do around an hourly mean when clouds come and go.
//!
//! How much the light of an hour varies is Skartveit & Olseth's: the deviation of short means from the hour's share of a
//! clear sky and from how the hours around it differ. Within the hour the sun is in one of two states, out or behind a
//! cloud, and stays in it for a while; the two levels and the minutes in each are those that keep the mean of the hour
//! exactly and its deviation as published. What is drawn from the seed is when the minutes come.
//!
//! Not modelled: the edge of a cloud that brightens the sun for seconds, and clouds that leave one plane of a house in
//! the sun while another lies in shade.

use crate::synthesis::random::{Purpose, Stream};

/// Light in sunny minutes over that of a clear sky, where clouds are about: they add some of their own (from memory,
/// 1.0 to 1.2 over whole minutes).
const SUNNY: f64 = 1.05;

/// Least light behind a cloud, as a share of the hour's mean.
const DARKEST: f64 = 0.1;

/// How long the sky remembers its state, minutes: a cumulus of a kilometre at eight metres a second takes two, fields of
/// them some ten (from memory).
const MEMORY_MIN: f64 = 8.0;

/// Below this share of light the sun stands too low for a share of clear sky to mean anything, W/m² of clear sky.
const LOW_SUN_W_M2: f64 = 50.0;

/// Minutes of a day.
pub const MINUTES: usize = 1440;

/// How much the hours around an hour differ from it: the root of half the sum of both squared differences of the shares of
/// clear sky. Source: Skartveit & Olseth 1992, The probability density and autocorrelation of short-term global and beam
/// irradiance, Solar Energy 49:477 (from memory).
pub fn differs_from_neighbours(before: f64, share: f64, after: f64) -> f64 {
    let (a, b) = (share - before, share - after);
    libm::sqrt((a * a + b * b) / 2.0)
}

/// Deviation of five-minute means from the mean of their hour, both as shares of a clear sky.
///
/// `0.87 k² (1 − k) + 0.39 √k s`, never below 0: `k` the share of the hour, `s` by [`differs_from_neighbours`]. Source as there.
pub fn deviation(share: f64, differs: f64) -> f64 {
    let k = share.max(0.0);
    (0.87 * k * k * (1.0 - k) + 0.39 * libm::sqrt(k) * differs).max(0.0)
}

/// A year's hours with how much each varies within.
#[derive(Clone, Debug, PartialEq)]
pub struct WithinHours {
    /// Share of clear sky of each hour; 0 without sun or with it low.
    pub share: Vec<f64>,
    /// Deviation of the five-minute means of each, by [`deviation`].
    pub deviation: Vec<f64>,
}

impl WithinHours {
    /// From hourly global irradiance and that of a clear sky at the same hours, W/m². The shorter slice ends the year.
    pub fn of(ghi_w_m2: &[f64], clear_w_m2: &[f64]) -> WithinHours {
        let share: Vec<f64> = ghi_w_m2
            .iter()
            .zip(clear_w_m2)
            .map(|(ghi, clear)| if *clear > LOW_SUN_W_M2 && *ghi > 0.0 { ghi / clear } else { 0.0 })
            .collect();
        // An hour at the edge of the day knows one neighbour.
        let neighbour = |at: Option<usize>, own: f64| {
            at.and_then(|at| share.get(at)).copied().filter(|share| *share > 0.0).unwrap_or(own)
        };
        let deviation = share
            .iter()
            .enumerate()
            .map(|(hour, own)| {
                if *own <= 0.0 {
                    return 0.0;
                }
                let before = neighbour(hour.checked_sub(1), *own);
                deviation(*own, differs_from_neighbours(before, *own, neighbour(Some(hour + 1), *own)))
            })
            .collect();
        WithinHours { share, deviation }
    }

    /// The same hours with nothing varying within them.
    pub fn even(&self) -> WithinHours {
        WithinHours { share: self.share.clone(), deviation: vec![0.0; self.deviation.len()] }
    }

    /// Light of each of the 1440 minutes of a day (from 0) over the mean of its hour; the sixty of an hour have a mean of 1.
    /// The same seed, year and day give the same minutes.
    pub fn minutes_of_day(&self, day: usize, seed: u64, year: u32) -> Vec<f64> {
        let mut over = vec![1.0; MINUTES];
        let hours = day * 24..day * 24 + 24;
        let varies = |hour: usize| self.deviation.get(hour).is_some_and(|deviation| *deviation > 0.0);
        if !hours.clone().any(varies) {
            return over;
        }
        let mut stream = Stream::new(seed, year.wrapping_mul(366).wrapping_add(day as u32), Purpose::Minutes);
        let kept = libm::exp(-1.0 / MEMORY_MIN);
        let fresh = libm::sqrt(1.0 - kept * kept);
        let mut sky = stream.normal();
        let mut hour_sky = [0.0; 60];
        for (hour, of_hour) in hours.zip(over.chunks_mut(60)) {
            for minute in &mut hour_sky {
                *minute = sky;
                sky = kept * sky + fresh * stream.normal();
            }
            if varies(hour) {
                two_states(self.share[hour], self.deviation[hour], &hour_sky, of_hour);
            }
        }
        over
    }
}

/// Sets the minutes of an hour: sunny where the sky is clearest, as many and as much brighter than the others as give the hour
/// its mean and its five-minute means their deviation.
fn two_states(share: f64, wanted: f64, sky: &[f64; 60], over: &mut [f64]) {
    if share >= SUNNY {
        return;
    }
    let mut order: [usize; 60] = std::array::from_fn(|minute| minute);
    order.sort_by(|a, b| sky[*b].total_cmp(&sky[*a]).then(a.cmp(b)));
    // Short means vary less than minutes, the less the more often the sky changes. Both grow together.
    let (mut low, mut high) = (wanted, libm::sqrt((SUNNY - share) * (1.0 - DARKEST) * share));
    if high <= low {
        low = high;
    }
    for _ in 0..HALVINGS {
        let of_minutes = (low + high) / 2.0;
        set_levels(share, of_minutes, &order, over);
        if share * deviation_of_fives(over) < wanted {
            low = of_minutes;
        } else {
            high = of_minutes;
        }
    }
    set_levels(share, high, &order, over);
}

/// Two levels around the mean with this deviation of minutes: a mean m between levels l and h has the variance (h − m)(m − l),
/// and h is known.
fn set_levels(share: f64, of_minutes: f64, order: &[usize; 60], over: &mut [f64]) {
    let dull = (share - of_minutes * of_minutes / (SUNNY - share)).max(DARKEST * share);
    let sunny_minutes = 60.0 * (share - dull) / (SUNNY - dull);
    let whole = libm::floor(sunny_minutes) as usize;
    let part = sunny_minutes - whole as f64;
    for (rank, minute) in order.iter().enumerate() {
        let level = match rank.cmp(&whole) {
            std::cmp::Ordering::Less => SUNNY,
            std::cmp::Ordering::Equal => dull + part * (SUNNY - dull),
            std::cmp::Ordering::Greater => dull,
        };
        over[*minute] = level / share;
    }
}

/// Steps towards the deviation wanted: to a ten-thousandth of the interval.
const HALVINGS: usize = 14;

/// Deviation of the five-minute means of an hour whose mean is 1.
fn deviation_of_fives(over: &[f64]) -> f64 {
    let square = |five: &[f64]| {
        let mean = five.iter().sum::<f64>() / 5.0;
        (mean - 1.0) * (mean - 1.0)
    };
    libm::sqrt(over.chunks(5).map(square).sum::<f64>() / 12.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(shares: &[f64]) -> WithinHours {
        let mut ghi = vec![0.0; 24];
        for (hour, share) in shares.iter().enumerate() {
            ghi[7 + hour] = share * 800.0;
        }
        WithinHours::of(&ghi, &[800.0; 24])
    }

    /// By hand: k 0.6 between 0.3 and 0.8 gives s = √((0.09 + 0.04)/2) = 0.254 951, and 0.87·0.36·0.4 + 0.39·0.774 597·s =
    /// 0.125 28 + 0.077 019 = 0.202 299.
    #[test]
    fn the_published_deviation_by_hand() {
        let differs = differs_from_neighbours(0.3, 0.6, 0.8);
        assert!((differs - 0.254_951).abs() < 1e-6);
        assert!((deviation(0.6, differs) - 0.202_299).abs() < 1e-6);
        // Clear or black sky between its like does not vary.
        assert_eq!((deviation(1.0, 0.0), deviation(0.0, 0.0)), (0.0, 0.0));
        assert_eq!(deviation(1.2, 0.0), 0.0);
    }

    #[test]
    fn the_mean_of_every_hour_is_kept() {
        let within = day(&[0.2, 0.5, 0.3, 0.9, 0.6, 1.0, 0.97, 0.1, 0.4, 1.1]);
        for year in 0..20 {
            for hour in within.minutes_of_day(0, 7, year).chunks(60) {
                let mean = hour.iter().sum::<f64>() / 60.0;
                // Sixty roundings.
                assert!((mean - 1.0).abs() < 1e-13, "{mean}");
                assert!(hour.iter().all(|over| *over > 0.0 && *over < 11.0));
            }
        }
    }

    #[test]
    fn the_seed_repeats_and_an_even_sky_stays_even() {
        let within = day(&[0.5, 0.7, 0.4, 0.8]);
        assert_eq!(within.minutes_of_day(0, 7, 3), within.minutes_of_day(0, 7, 3));
        assert_ne!(within.minutes_of_day(0, 7, 3), within.minutes_of_day(0, 8, 3));
        assert_ne!(within.minutes_of_day(0, 7, 3), within.minutes_of_day(0, 7, 4));
        assert_eq!(within.even().minutes_of_day(0, 7, 3), vec![1.0; MINUTES]);
        // Without sun, and past the end of the year, nothing varies.
        assert_eq!(day(&[]).minutes_of_day(0, 7, 3), vec![1.0; MINUTES]);
        assert_eq!(within.minutes_of_day(9, 7, 3), vec![1.0; MINUTES]);
    }

    /// The five-minute means of every hour that its darkest clouds do not bound deviate as published.
    #[test]
    fn five_minute_means_deviate_as_published() {
        let within = day(&[0.4, 0.6, 0.7, 0.5, 0.6, 0.8, 0.95, 0.97, 0.98]);
        for hour in 8..16 {
            let (share, wanted) = (within.share[hour], within.deviation[hour]);
            let mut met = 0;
            for year in 0..400 {
                let minutes = within.minutes_of_day(0, 11, year);
                let found = share * deviation_of_fives(&minutes[hour * 60..hour * 60 + 60]);
                met += u32::from((found / wanted - 1.0).abs() < 0.01);
            }
            // All but skies in which no two levels reach it.
            assert!(met >= 380, "hour {hour}: {met} of 400 at {wanted}");
        }
    }
}
