//! Which way and how steep: energy of a year on every plane, and the best plane for each purpose.
//!
//! Energy is light behind the glass, Wh/m², or, where modules and weather are given ([`Finder::with_modules`]), what they
//! make of it under heat, dirt and snow: the Wh of a module rated 1 W, times 1000. Wires, inputs and batteries come after.

use sun::{MONTH_DAYS, month_of_day};

use crate::incidence::{DiffuseModifiers, IncidenceModel};
use crate::plane::Plane;
use crate::series::{SeriesError, in_range, same_length};
use crate::transposition::SkyYear;
use crate::worth::{Worth, between_tilts};

/// Steps of the day: the finder works on hourly years of 365 days.
const HOURS_PER_DAY: usize = 24;
const DAYS: usize = 365;
/// Steps of the table of the glass by the cosine of incidence.
const GLASS_STEPS: usize = 1024;

/// What a plane is wanted for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// Most energy in the year.
    Year,
    /// Most energy in one month, 0 to 11.
    Month(usize),
    /// The month with the least is as good as can be.
    WorstMonth,
    /// The month with the least energy for its load is as good as can be; the load of each month, January first, in any unit.
    WorstMonthForLoad([f64; 12]),
    /// Most energy, each month counting by its load.
    LoadWeighted([f64; 12]),
    /// The dullest stretch of so many days of each year is as good as can be, on average.
    WorstStretch(usize),
}

/// Energy of one plane, Wh/m² behind the glass, or Wh from modules rated 1000 W; means over the years of the finder.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneEnergy {
    /// Degrees from horizontal.
    pub tilt_deg: f64,
    /// Degrees clockwise from true north.
    pub azimuth_deg: f64,
    /// Of a year.
    pub year_wh_m2: f64,
    /// Mean day of each month.
    pub month_day_wh_m2: [f64; 12],
    /// Least energy of so many neighbouring days of a year, mean over the years, where asked for. The one dullest stretch of
    /// all years would be met best by a plane for its own passing clouds.
    pub worst_stretch_wh_m2: Option<f64>,
}

impl PlaneEnergy {
    /// The figure that an aim compares; larger is better. A stretch that was not asked for counts as nothing.
    #[must_use]
    pub fn score(&self, aim: &Aim) -> f64 {
        let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
        match aim {
            Aim::Year => self.year_wh_m2,
            Aim::Month(month) => self.month_day_wh_m2[(*month).min(11)],
            Aim::WorstMonth => least(&mut self.month_day_wh_m2.iter().copied()),
            Aim::WorstMonthForLoad(load) => {
                let wanted = self.month_day_wh_m2.iter().zip(load).filter(|(_, load)| **load > 0.0);
                let least = least(&mut wanted.map(|(energy, load)| energy / load));
                if least.is_finite() { least } else { 0.0 }
            }
            Aim::LoadWeighted(load) => {
                let days = |month: usize| MONTH_DAYS[month] as f64;
                let weight: f64 = (0..12).map(|month| load[month] * days(month)).sum();
                let sum: f64 =
                    (0..12).map(|month| self.month_day_wh_m2[month] * load[month] * days(month)).sum();
                if weight > 0.0 { sum / weight } else { 0.0 }
            }
            Aim::WorstStretch(_) => self.worst_stretch_wh_m2.unwrap_or(0.0),
        }
    }
}

/// Every plane of a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneMap {
    /// Tilts, degrees, from 0 to 90.
    pub tilts_deg: Vec<f64>,
    /// Azimuths, degrees, from 0 up to below 360.
    pub azimuths_deg: Vec<f64>,
    /// Planes, tilt by tilt; the flat plane stands once for each azimuth.
    pub planes: Vec<PlaneEnergy>,
}

impl PlaneMap {
    /// The best plane of the grid for an aim; the flatter one of equals.
    #[must_use]
    pub fn best(&self, aim: &Aim) -> Option<&PlaneEnergy> {
        self.planes.iter().reduce(|best, next| if next.score(aim) > best.score(aim) { next } else { best })
    }
}

/// One lit hour, as the loops over planes want it.
#[derive(Debug, Clone, Copy)]
struct Hour {
    step: usize,
    day: usize,
    east: f64,
    north: f64,
    up: f64,
    /// Beam and circumsolar light facing the sun.
    sun: f64,
    even: f64,
    horizon: f64,
    reflected: f64,
    air_c: f64,
    /// K for each W/m² on the plane.
    warming: f64,
}

/// Years made ready for any number of planes.
#[derive(Debug, Clone)]
pub struct Finder {
    years: Vec<Vec<Hour>>,
    glass: IncidenceModel,
    glass_by_cosine: Vec<f64>,
    stretch_days: Option<usize>,
    worth: Option<Worth>,
}

impl Finder {
    /// A finder over hourly years of 365 days. With `stretch_days` the dullest stretch of so many days (1 to 365) is kept
    /// for every plane. `seen_sun` is the share of the sun that horizon and obstacles leave in each hour
    /// ([`crate::near_shade::NearShade::beam_share`]), none in the open; the sky they take is left to all planes alike.
    ///
    /// # Errors
    /// `SeriesError` for no year, a year or share that is not 8760 steps, a share outside 0..=1 or a stretch out of range.
    pub fn new(
        years: &[SkyYear],
        glass: &IncidenceModel,
        stretch_days: Option<usize>,
        seen_sun: Option<&[f64]>,
    ) -> Result<Self, SeriesError> {
        in_range("number of years", 0, years.len() as f64, 1.0, 1e4)?;
        in_range("days of a stretch", 0, stretch_days.unwrap_or(1) as f64, 1.0, DAYS as f64)?;
        if let Some(shares) = seen_sun {
            same_length("seen share of the sun", shares.len(), HOURS_PER_DAY * DAYS)?;
            for (step, share) in shares.iter().enumerate() {
                in_range("seen share of the sun", step, *share, 0.0, 1.0)?;
            }
        }
        let mut ready = Vec::with_capacity(years.len());
        for year in years {
            same_length("weather year", year.steps(), HOURS_PER_DAY * DAYS)?;
            let hours = year.lit().iter().map(|hour| {
                let source = hour.sources();
                Hour {
                    step: hour.step,
                    day: hour.step / HOURS_PER_DAY,
                    east: hour.sun.east,
                    north: hour.sun.north,
                    up: hour.sun.up,
                    sun: source.sun_normal_w_m2 * seen_sun.map_or(1.0, |shares| shares[hour.step]),
                    even: source.even_w_m2,
                    horizon: source.horizon_w_m2,
                    reflected: source.reflected_w_m2,
                    air_c: 0.0,
                    warming: 0.0,
                }
            });
            ready.push(hours.collect());
        }
        // One more entry than steps, so that a cosine of 1 finds its upper neighbour.
        let glass_by_cosine = (0..=GLASS_STEPS + 1)
            .map(|step| glass.modifier_at_cosine((step as f64 / GLASS_STEPS as f64).min(1.0)))
            .collect();
        Ok(Self { years: ready, glass: *glass, glass_by_cosine, stretch_days, worth: None })
    }

    /// The same finder, ranking by what modules make of the light in the weather of the same years.
    ///
    /// # Errors
    /// `SeriesError` for another number of years, or air, wind, dirt or snow out of range.
    pub fn with_modules(mut self, worth: Worth) -> Result<Self, SeriesError> {
        worth.check(self.years.len())?;
        for (hours, year) in self.years.iter_mut().zip(&worth.years) {
            for hour in hours {
                hour.air_c = year.air_c[hour.step];
                hour.warming = worth.warming(year.wind_m_s[hour.step]);
            }
        }
        self.worth = Some(worth);
        Ok(self)
    }

    /// Energy of one plane.
    ///
    /// The modifier of the glass is read from a table of its cosine, which moves the sum of a year by less than a hundred
    /// thousandth of it.
    #[must_use]
    pub fn energy(&self, plane: &Plane) -> PlaneEnergy {
        let modifiers = DiffuseModifiers::new(&self.glass, plane);
        let sky_view = 0.5 * (1.0 + plane.tilt_cosine());
        let ground_view = 0.5 * (1.0 - plane.tilt_cosine());
        let ground = ground_view * modifiers.ground;
        let normal = plane.normal();
        let (mut month_sums, mut worst) = ([0.0; 12], 0.0);
        let mut days = [0.0; DAYS];
        for (index, year) in self.years.iter().enumerate() {
            days.fill(0.0);
            let snowed_in = self.worth.as_ref().map_or(&[][..], |worth| &worth.years[index].snowed_in);
            let (flatter, steeper, between) = between_tilts(plane.tilt_deg(), snowed_in.len());
            for hour in year {
                let cosine = (normal.east * hour.east + normal.north * hour.north + normal.up * hour.up)
                    .clamp(0.0, 1.0);
                let place = cosine * GLASS_STEPS as f64;
                let below = place as usize;
                let (low, high) = (self.glass_by_cosine[below], self.glass_by_cosine[below + 1]);
                let straight = hour.sun * cosine * (low + (high - low) * (place - below as f64));
                // As plane_year: a dark horizon band takes away no more than all of the diffuse light.
                let sky = hour.even * sky_view + hour.horizon * plane.tilt_sine();
                let behind_glass = (straight + sky * modifiers.sky).max(0.0) + hour.reflected * ground;
                let Some(worth) = &self.worth else {
                    days[hour.day] += behind_glass;
                    continue;
                };
                let on_plane = (hour.sun * cosine + sky).max(0.0) + hour.reflected * ground_view;
                let cell_c = hour.air_c + on_plane * hour.warming;
                let light = behind_glass * worth.clean[month_of_day(hour.day)];
                let free = match snowed_in {
                    [] => 1.0,
                    tilts => {
                        let low = tilts[flatter][hour.step];
                        1.0 - low - (tilts[steeper][hour.step] - low) * between
                    }
                };
                days[hour.day] += worth.power.at(light, cell_c) * free;
            }
            for (day, energy) in days.iter().enumerate() {
                month_sums[month_of_day(day)] += energy;
            }
            if let Some(length) = self.stretch_days {
                worst += least_run(&days, length);
            }
        }
        let count = self.years.len() as f64;
        let mut month_day_wh_m2 = month_sums;
        for (month, energy) in month_day_wh_m2.iter_mut().enumerate() {
            *energy /= count * MONTH_DAYS[month] as f64;
        }
        PlaneEnergy {
            tilt_deg: plane.tilt_deg(),
            azimuth_deg: plane.azimuth_deg(),
            year_wh_m2: month_sums.iter().sum::<f64>() / count,
            month_day_wh_m2,
            worst_stretch_wh_m2: self.stretch_days.map(|_| worst / count),
        }
    }

    /// Energy of all planes of a grid, steps in degrees: 2 and 5 are fine enough for any picture.
    ///
    /// # Errors
    /// `SeriesError` for steps outside 0.5..=90°.
    pub fn map(&self, tilt_step_deg: f64, azimuth_step_deg: f64) -> Result<PlaneMap, SeriesError> {
        in_range("step of the tilt", 0, tilt_step_deg, 0.5, 90.0)?;
        in_range("step of the azimuth", 0, azimuth_step_deg, 0.5, 90.0)?;
        let steps = |step: f64, to: f64| -> Vec<f64> {
            (0..).map(|index| f64::from(index) * step).take_while(|angle| *angle <= to + 1e-9).collect()
        };
        let tilts_deg = steps(tilt_step_deg, 90.0);
        let azimuths_deg = steps(azimuth_step_deg, 360.0 - 1e-6);
        let mut planes: Vec<PlaneEnergy> = Vec::with_capacity(tilts_deg.len() * azimuths_deg.len());
        for tilt in &tilts_deg {
            for azimuth in &azimuths_deg {
                // A flat plane looks nowhere: one is enough.
                match planes.first().filter(|_| *tilt == 0.0) {
                    Some(flat) => planes.push(PlaneEnergy { azimuth_deg: *azimuth, ..flat.clone() }),
                    None => planes.push(self.energy(&Plane::new(*tilt, *azimuth)?)),
                }
            }
        }
        Ok(PlaneMap { tilts_deg, azimuths_deg, planes })
    }

    /// The best plane for an aim, from the best of a grid by ever smaller steps down to a quarter of a degree.
    ///
    /// # Errors
    /// `SeriesError` for a stretch that the finder does not keep.
    pub fn best(&self, map: &PlaneMap, aim: &Aim) -> Result<PlaneEnergy, SeriesError> {
        if let Aim::WorstStretch(days) = aim {
            let kept = self.stretch_days.unwrap_or(0) as f64;
            in_range("days of a stretch", 0, *days as f64, kept, kept)?;
        }
        let mut best = match map.best(aim) {
            Some(plane) => plane.clone(),
            None => self.energy(&Plane::new(0.0, 180.0)?),
        };
        let mut step = 2.0;
        while step >= 0.25 {
            let (tilt, azimuth) = (best.tilt_deg, best.azimuth_deg);
            let mut moved = false;
            for (up, turn) in [(step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)] {
                let next = Plane::new((tilt + up).clamp(0.0, 90.0), (azimuth + turn).rem_euclid(360.0))?;
                let next = self.energy(&next);
                if next.score(aim) > best.score(aim) {
                    (best, moved) = (next, true);
                }
            }
            if !moved {
                step *= 0.5;
            }
        }
        Ok(best)
    }

    /// Best tilts of a rack at a fixed azimuth that is set anew `times` a year, each time on the first of a month, against the
    /// best single tilt. All choices of months are tried, so that oftener never gains less.
    ///
    /// # Errors
    /// `SeriesError` for an azimuth out of range or a number of times outside 1..=12.
    pub fn seasonal(&self, azimuth_deg: f64, times: usize) -> Result<Retilt, SeriesError> {
        in_range("settings a year", 0, times as f64, 1.0, 12.0)?;
        let mut of_tilt = Vec::with_capacity(91);
        for tilt in 0..=90_u32 {
            of_tilt.push(self.energy(&Plane::new(f64::from(tilt), azimuth_deg)?));
        }
        // Best tilt of every run of months, by first month and length less one.
        let best_of_run = |first: usize, length: usize| {
            let mut best = (0.0, f64::NEG_INFINITY);
            for energy in &of_tilt {
                let months = (first..first + length).map(|month| month % 12);
                let sum: f64 =
                    months.map(|month| energy.month_day_wh_m2[month] * MONTH_DAYS[month] as f64).sum();
                if sum > best.1 {
                    best = (energy.tilt_deg, sum);
                }
            }
            best
        };
        let runs: Vec<Vec<(f64, f64)>> =
            (0..12).map(|first| (1..=12).map(|length| best_of_run(first, length)).collect()).collect();
        let (fixed_tilt_deg, fixed_wh_m2) = runs[0][11];
        let mut found = Retilt {
            fixed_tilt_deg,
            fixed_wh_m2,
            starts: vec![0],
            tilts_deg: vec![fixed_tilt_deg],
            retilted_wh_m2: fixed_wh_m2,
        };
        if times == 1 {
            return Ok(found);
        }
        for set in 0_u32..1 << 12 {
            if set.count_ones() as usize != times {
                continue;
            }
            let starts: Vec<usize> = (0..12).filter(|month| set >> month & 1 == 1).collect();
            let tilts: Vec<(f64, f64)> = (0..times)
                .map(|at| {
                    let next = starts[(at + 1) % times];
                    runs[starts[at]][(next + 11 - starts[at]) % 12]
                })
                .collect();
            let sum: f64 = tilts.iter().map(|run| run.1).sum();
            if sum > found.retilted_wh_m2 {
                found.retilted_wh_m2 = sum;
                found.tilts_deg = tilts.iter().map(|run| run.0).collect();
                found.starts = starts;
            }
        }
        Ok(found)
    }
}

/// What setting a rack by season gains.
#[derive(Debug, Clone, PartialEq)]
pub struct Retilt {
    /// Best single tilt for the year, degrees.
    pub fixed_tilt_deg: f64,
    /// Energy of a year with it, Wh/m².
    pub fixed_wh_m2: f64,
    /// Months, 0 to 11, on whose first day each tilt is set; the single tilt alone where no other gains anything.
    pub starts: Vec<usize>,
    /// Best tilt from then on, degrees.
    pub tilts_deg: Vec<f64>,
    /// Energy of a year with them, Wh/m².
    pub retilted_wh_m2: f64,
}

/// The planes that rules of thumb name, facing the equator: tilt of the latitude for the year, 15° steeper for winter, 15°
/// flatter for summer. Common practice, no source.
///
/// # Errors
/// `SeriesError` for a latitude outside -90..=90°.
pub fn rules_of_thumb(latitude_deg: f64) -> Result<[(&'static str, Plane); 3], SeriesError> {
    in_range("latitude", 0, latitude_deg, -90.0, 90.0)?;
    let towards = if latitude_deg >= 0.0 { 180.0 } else { 0.0 };
    let of = |more: f64| Plane::new((latitude_deg.abs() + more).clamp(0.0, 90.0), towards);
    Ok([
        ("tilt = latitude", of(0.0)?),
        ("tilt = latitude + 15°, for winter", of(15.0)?),
        ("tilt = latitude − 15°, for summer", of(-15.0)?),
    ])
}

/// Share of the best plane's score that a plane gives up, 0..=1; 0 where the best has nothing either.
#[must_use]
pub fn given_up(plane: &PlaneEnergy, best: &PlaneEnergy, aim: &Aim) -> f64 {
    let most = best.score(aim);
    if most > 0.0 { (1.0 - plane.score(aim) / most).clamp(0.0, 1.0) } else { 0.0 }
}

/// Least sum of `length` neighbouring days; does not run over the new year.
fn least_run(days: &[f64], length: usize) -> f64 {
    let mut sum: f64 = days.iter().take(length).sum();
    let mut least = sum;
    for last in length..days.len() {
        sum += days[last] - days[last - length];
        least = least.min(sum);
    }
    // Differences of large sums may leave a rounding below zero.
    least.max(0.0)
}
