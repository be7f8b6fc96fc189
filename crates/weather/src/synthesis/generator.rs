//! Years from normals.

use sun::{DAYS, HOURS, MONTH_DAYS, YearSky, month_of_day, month_start_day};

use super::hourly_clearness::{HourSky, fill_day, highest_clearness};
use super::markov::{Class, STATES, class_of};
use super::monthly_curve::daily_from_monthly;
use super::random::{Purpose, Stream};
use super::spread::Spread;
use super::temperature::{
    AMPLITUDE_PER_CLEARNESS, COURSE_RANGE, DAY_MEMORY, NOON_TO_NOON, WITHIN_MONTH, clearness_correlation,
    course, day_deviation_k,
};
use super::wind;
use crate::erbs::split_global;
use crate::normals::{BadNormals, Normals};
use crate::year::Year;

/// Everything about a place that does not change from year to year.
#[derive(Clone, Debug)]
pub struct Generator {
    months: Vec<Month>,
    hours: Vec<HourSky>,
    first_hour_of_day: Vec<usize>,
    day_cap: Vec<f64>,
    mean_c: Vec<f64>,
    amplitude_c: Vec<f64>,
    course: Vec<f64>,
    wind_m_s: [f64; 12],
    spread: Spread,
    unreachable: Vec<usize>,
}

/// One month's chain.
#[derive(Clone, Debug)]
struct Month {
    /// None in the polar night and where the climate has no sun at all.
    chain: Option<Chain>,
    day_deviation_k: f64,
    correlation: f64,
}

/// The library's chain of a month, bent so that its long-run mean is the climate's.
#[derive(Clone, Debug)]
struct Chain {
    class: &'static Class,
    lowest: f64,
    highest: f64,
    mean: f64,
    deviation: f64,
    exponent: f64,
    /// Change of the exponent's logarithm for a share more mean, and for its square: the mean then follows the share.
    exponent_per_share: [f64; 2],
}

/// One synthetic year; [`Generator`] is the same with the preparation kept.
///
/// `sky` must be the sky of the normals' place. The same arguments give the same bits on every machine.
///
/// # Errors
/// Normals out of range ([`Normals::check`]).
pub fn synthesise(normals: &Normals, sky: &YearSky, seed: u64, year_index: u32) -> Result<Year, BadNormals> {
    Ok(Generator::new(normals, sky)?.year(sky, seed, year_index))
}

impl Generator {
    /// Prepares a place: some milliseconds, of which most is the measurement of the chain's own spread.
    ///
    /// # Errors
    /// Normals out of range ([`Normals::check`]).
    pub fn new(normals: &Normals, sky: &YearSky) -> Result<Self, BadNormals> {
        normals.check()?;
        let mut course_of_hour = Vec::with_capacity(HOURS);
        let mut hours = Vec::new();
        let mut first_hour_of_day = Vec::with_capacity(DAYS + 1);
        let mut day_cap = Vec::with_capacity(DAYS);
        for day in 0..DAYS {
            first_hour_of_day.push(hours.len());
            let (mut outside, mut bounded) = (0.0, 0.0);
            for hour in 24 * day..24 * day + 24 {
                let clock = (hour % 24) as f64 + 0.5;
                let solar = 12.0 + clock - sky.events[day].transit_h;
                course_of_hour.push(course(solar));
                if sky.has_sun(hour) {
                    let outside_w_m2 = sky.extraterrestrial_horizontal_w_m2[hour];
                    let bound = highest_clearness(sky, hour);
                    outside += outside_w_m2;
                    bounded += bound * outside_w_m2;
                    hours.push(HourSky { hour, sin_height: sky.cos_zenith[hour], outside_w_m2, bound });
                }
            }
            // A clear day stays a little below its bound, or all its hours would lie on it.
            day_cap.push(if outside > 0.0 { 0.98 * bounded / outside } else { 0.0 });
        }
        first_hour_of_day.push(hours.len());

        let warmest = normals.mean_c.iter().fold(f64::MIN, |a, b| a.max(*b));
        let coldest = normals.mean_c.iter().fold(f64::MAX, |a, b| a.min(*b));
        let mut unreachable = Vec::new();
        let months: Vec<Month> = (0..12)
            .map(|m| {
                let outside = sky.month_mean_extraterrestrial_wh_m2(m) / 1000.0;
                let clearness = if outside > 0.0 { normals.ghi_kwh_m2_day[m] / outside } else { 0.0 };
                let caps = &day_cap[month_start_day(m)..month_start_day(m) + MONTH_DAYS[m]];
                // Days without sun in a month at the edge of the polar night have no cap and carry no weight.
                let lit = caps.iter().filter(|c| **c > 0.0).count().max(1) as f64;
                let chain = (clearness > 0.0).then(|| Chain::new(clearness, caps.iter().sum::<f64>() / lit));
                // 0.5 % of the mean is invisible beside the spread of any month, and climates are printed to 0.01 kWh/m².
                let reached = chain.as_ref().is_some_and(|c| {
                    let short = (c.mean - clearness).abs();
                    short < 0.005 * clearness || short * outside < 0.005
                });
                if normals.ghi_kwh_m2_day[m] > 0.0 && !reached {
                    unreachable.push(m);
                }
                Month {
                    chain,
                    day_deviation_k: day_deviation_k(warmest - coldest, warmest - normals.mean_c[m])
                        / (WITHIN_MONTH * NOON_TO_NOON),
                    correlation: clearness_correlation(outside, clearness),
                }
            })
            .collect();
        let amplitude: [f64; 12] =
            core::array::from_fn(|m| (normals.max_c[m] - normals.min_c[m]) / COURSE_RANGE);
        let mut generator = Self {
            months,
            hours,
            first_hour_of_day,
            day_cap,
            mean_c: daily_from_monthly(&normals.mean_c).to_vec(),
            amplitude_c: daily_from_monthly(&amplitude).to_vec(),
            course: course_of_hour,
            wind_m_s: normals.wind_m_s,
            spread: Spread::completed(0.0, [0.0; 12], [0.0; 12], 0),
            unreachable,
        };
        generator.spread = generator.measure_spread(sky);
        Ok(generator)
    }

    /// How far yearly totals spread by themselves, and what is added.
    pub fn spread(&self) -> Spread {
        self.spread
    }

    /// Months (0 to 11) whose stated radiation no weather of the model can reach: brighter than the clear bound, or
    /// light in a month without sun. Their years come out duller than stated; show it.
    pub fn unreachable_months(&self) -> &[usize] {
        &self.unreachable
    }

    /// The year of an index under a seed. `sky` is the one the generator was prepared with.
    pub fn year(&self, sky: &YearSky, seed: u64, year_index: u32) -> Year {
        let mut moods = Stream::new(seed, year_index, Purpose::Year);
        // Beyond two and a half deviations it would be a new climate.
        let mut mood = || moods.normal().clamp(-2.5, 2.5);
        let whole = self.spread.whole_years * mood();
        let shift = self.spread.single_months.map(|alone| whole + alone * mood());
        let clearness = self.days(&shift, &mut Stream::new(seed, year_index, Purpose::Days));
        let mut ghi = vec![0.0; HOURS];
        let mut random = Stream::new(seed, year_index, Purpose::Hours);
        for (day, kt) in clearness.iter().enumerate() {
            let hours = &self.hours[self.first_hour_of_day[day]..self.first_hour_of_day[day + 1]];
            fill_day(*kt, hours, &mut random, &mut ghi);
        }
        let (dni, dhi) = split_global(&ghi, sky);
        Year {
            ghi_w_m2: ghi,
            dni_w_m2: dni,
            dhi_w_m2: dhi,
            air_c: self.temperatures(&clearness, &mut Stream::new(seed, year_index, Purpose::Temperature)),
            wind_m_s: wind::year(&self.wind_m_s, &mut Stream::new(seed, year_index, Purpose::Wind)),
            snow_cm: None,
            albedo: None,
        }
    }

    /// Clearness of 365 days, each month shifted by a share of its mean.
    fn days(&self, shift: &[f64; 12], random: &mut Stream) -> Vec<f64> {
        let mut state: Option<usize> = None;
        (0..DAYS)
            .map(|day| {
                let month = month_of_day(day);
                let Some(chain) = &self.months[month].chain else {
                    state = None;
                    return 0.0;
                };
                let turn = random.uniform();
                let now =
                    state.map_or_else(|| chain.class.first_state(turn), |s| chain.class.next_state(s, turn));
                state = Some(now);
                chain.clearness(now, random.uniform(), shift[month]).min(self.day_cap[day])
            })
            .collect()
    }

    fn temperatures(&self, clearness: &[f64], random: &mut Stream) -> Vec<f64> {
        let fresh = libm::sqrt(1.0 - DAY_MEMORY * DAY_MEMORY);
        let mut memory = random.normal();
        let mut departure = Vec::with_capacity(DAYS);
        let mut amplitude = Vec::with_capacity(DAYS);
        for (day, kt) in clearness.iter().enumerate() {
            let month = &self.months[month_of_day(day)];
            memory = DAY_MEMORY * memory + fresh * random.normal();
            // A day without sun is neither clear nor dull.
            let lit = month.chain.as_ref().filter(|_| self.day_cap[day] > 0.0);
            let (brightness, wider) = lit.map_or((0.0, 0.0), |c| {
                ((kt - c.mean) / c.deviation.max(0.02), AMPLITUDE_PER_CLEARNESS * (kt - c.mean))
            });
            let r = if lit.is_some() { month.correlation } else { 0.0 };
            departure.push(month.day_deviation_k * (r * brightness + libm::sqrt(1.0 - r * r) * memory));
            amplitude.push(self.amplitude_c[day] * (1.0 + wider).max(0.2));
        }
        (0..HOURS)
            .map(|hour| {
                let day = hour / 24;
                // Day values hold at noon and run straight between, so that no night has a step at midnight.
                let from_noon = ((hour % 24) as f64 + 0.5 - 12.0) / 24.0;
                let next = if from_noon < 0.0 { day.saturating_sub(1) } else { (day + 1).min(DAYS - 1) };
                let between = |values: &[f64]| values[day] + (values[next] - values[day]) * from_noon.abs();
                between(&self.mean_c) + between(&departure) + between(&amplitude) * self.course[hour]
            })
            .collect()
    }

    /// Runs the chain of days alone for 200 years, and completes what its sums lack.
    fn measure_spread(&self, sky: &YearSky) -> Spread {
        const YEARS: usize = 200;
        let mut random = Stream::new(0, 0, Purpose::Study);
        let light = |month: &usize| sky.month_mean_extraterrestrial_wh_m2(*month);
        let dark_month = (0..12)
            .filter(|month| self.months[*month].chain.is_some())
            .min_by(|a, b| light(a).total_cmp(&light(b)))
            .unwrap_or(0);
        let mut years = Vec::with_capacity(YEARS);
        let mut months: [Vec<f64>; 12] = core::array::from_fn(|_| Vec::with_capacity(YEARS));
        for _ in 0..YEARS {
            let mut sums = [0.0; 12];
            let days = self.days(&[0.0; 12], &mut random);
            for (day, (kt, outside)) in days.iter().zip(&sky.extraterrestrial_day_wh_m2).enumerate() {
                sums[month_of_day(day)] += kt * outside;
            }
            years.push(sums.iter().sum());
            months.iter_mut().zip(sums).for_each(|(all, sum)| all.push(sum));
        }
        let whole = years.iter().sum::<f64>();
        let shares =
            core::array::from_fn(
                |month| {
                    if whole > 0.0 { months[month].iter().sum::<f64>() / whole } else { 0.0 }
                },
            );
        let deviations = core::array::from_fn(|month| share_of_mean(&months[month]));
        Spread::completed(share_of_mean(&years), deviations, shares, dark_month)
    }
}

/// Standard deviation over the mean; 0 where there is no mean.
fn share_of_mean(sums: &[f64]) -> f64 {
    let n = sums.len() as f64;
    let mean = sums.iter().sum::<f64>() / n;
    if mean <= 0.0 {
        return 0.0;
    }
    let variance = sums.iter().map(|sum| (sum - mean) * (sum - mean)).sum::<f64>() / (n - 1.0);
    libm::sqrt(variance) / mean
}

impl Chain {
    /// Bends the class of a mean clearness until its long run has that mean.
    ///
    /// The library's classes are 0.05 wide and have one mean each; between them the place of a day between the
    /// lowest and the highest clearness, x in 0 to 1, is replaced by a power of x. Order, memory and ends stay.
    fn new(mean_clearness: f64, cap: f64) -> Self {
        let class = class_of(mean_clearness);
        let lowest = class.lowest.min(0.3 * mean_clearness);
        let highest = class.highest.min(cap).max(lowest);
        let mut chain = Self {
            class,
            lowest,
            highest,
            mean: mean_clearness,
            deviation: 0.0,
            exponent: 1.0,
            exponent_per_share: [0.0; 2],
        };
        // The mean falls as the exponent rises: halve the logarithm between 1/20 and 20.
        let (mut low, mut high) = (-3.0, 3.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if chain.moments(libm::exp(middle)).0 > mean_clearness { low = middle } else { high = middle }
        }
        let log = 0.5 * (low + high);
        chain.exponent = libm::exp(log);
        let (mean, deviation) = chain.moments(chain.exponent);
        let (more, less) = (chain.moments(libm::exp(log + 0.2)).0, chain.moments(libm::exp(log - 0.2)).0);
        let (slope, bend) = ((more - less) / 0.4, (more + less - 2.0 * mean) / 0.04);
        chain.mean = mean;
        chain.deviation = deviation;
        if slope < -1e-6 {
            // The parabola of the mean turned about: what the logarithm must do for the mean to do what is asked.
            let line = mean / slope;
            chain.exponent_per_share = [line, -0.5 * bend / slope * line * line];
        }
        chain
    }

    /// A day's clearness from its state and a uniform number that places it within the state's interval.
    fn clearness(&self, state: usize, uniform: f64, shift: f64) -> f64 {
        let x = (state as f64 + uniform) / STATES as f64;
        let [line, bend] = self.exponent_per_share;
        let exponent = self.exponent * libm::exp((shift * (line + bend * shift)).clamp(-1.0, 1.0));
        self.lowest + (self.highest - self.lowest) * libm::pow(x, exponent)
    }

    /// Long-run mean and standard deviation of the days for an exponent, by closed integrals over each state.
    fn moments(&self, exponent: f64) -> (f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        for (state, share) in self.class.long_run.iter().enumerate() {
            let (a, b) = (state as f64 / STATES as f64, (state as f64 + 1.0) / STATES as f64);
            let mean_of = |power: f64| {
                (libm::pow(b, power + 1.0) - libm::pow(a, power + 1.0)) / ((power + 1.0) * (b - a))
            };
            first += share * mean_of(exponent);
            second += share * mean_of(2.0 * exponent);
        }
        let width = self.highest - self.lowest;
        (self.lowest + width * first, width * libm::sqrt((second - first * first).max(0.0)))
    }
}
