//! The sky of one nominal year, hour by hour.

use crate::air_mass::relative_air_mass;
use crate::day::DayEvents;
use crate::ephemeris::Ephemeris;
use crate::extraterrestrial::normal_at_distance_w_m2;
use crate::observer::Observer;
use crate::position::{Local, refraction_deg};
use crate::time::{delta_t_s, julian_day};

/// Hours of the nominal year.
pub const HOURS: usize = 8760;
/// Days of the nominal year.
pub const DAYS: usize = 365;
/// The year whose sun stands for every year: not a leap year, 2025.
///
/// Real years run up to half a day ahead of it or behind, because of leap days: 0.2° of declination at the
/// equinoxes, nothing at the solstices.
pub const NOMINAL_YEAR: i32 = 2025;
/// Days of each month of the nominal year.
pub const MONTH_DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Month, 0 to 11, of a day of the year, 0 to 364; later days answer December.
pub fn month_of_day(day: usize) -> usize {
    let mut left = day;
    for (month, days) in MONTH_DAYS.iter().enumerate() {
        if left < *days {
            return month;
        }
        left -= days;
    }
    11
}

/// First day of a month (0 to 11) as a day of the year, 0 to 364.
pub fn month_start_day(month: usize) -> usize {
    MONTH_DAYS.iter().take(month).sum()
}

/// Day of the year, 0 to 364, of an hour, 0 to 8759. The hour ending at 24:00 belongs to the day it closes.
pub fn day_of_hour(hour: usize) -> usize {
    hour / 24
}

/// Month, 0 to 11, of an hour of the year, 0 to 8759.
pub fn month_of_hour(hour: usize) -> usize {
    month_of_day(day_of_hour(hour))
}

/// The sun over one place through the 8760 hours of the nominal year.
///
/// Index `h` is the hour that ends at stamp `h + 1` of local standard time: index 0 is 00:00 to 01:00 of 1 January.
/// "Sunlit" is the part of the hour in which the sun's centre is above the airless horizon; directions are those at
/// the middle of that part, so that a plane's irradiance at sunrise and sunset is computed with a sun that is up.
/// In hours without sun, `cos_zenith`, `sunlit_fraction`, `extraterrestrial_horizontal_w_m2` and `air_mass` are 0,
/// and the directions are those at the middle of the hour.
#[derive(Clone, Debug)]
pub struct YearSky {
    /// The place.
    pub observer: Observer,
    /// Local standard time minus universal time, hours.
    pub utc_offset_h: f64,
    /// Airless zenith angle at the middle of the sunlit part, degrees.
    pub zenith_deg: Vec<f64>,
    /// Azimuth then, degrees clockwise from true north.
    pub azimuth_deg: Vec<f64>,
    /// Hour angle then, degrees, −180 to 180, afternoon positive.
    pub hour_angle_deg: Vec<f64>,
    /// Cosine of the airless zenith angle then; 0 without sun.
    pub cos_zenith: Vec<f64>,
    /// Share of the hour with the sun up, 0 to 1.
    pub sunlit_fraction: Vec<f64>,
    /// Irradiance above the air on a plane facing the sun, W/m², also at night.
    pub extraterrestrial_normal_w_m2: Vec<f64>,
    /// Mean over the whole hour of the irradiance above the air on the horizontal, W/m².
    pub extraterrestrial_horizontal_w_m2: Vec<f64>,
    /// Relative air mass (Kasten & Young 1989) at the apparent zenith angle; 0 without sun.
    pub air_mass: Vec<f64>,
    /// Sum over the day of the extraterrestrial horizontal energy, Wh/m², 365 days.
    pub extraterrestrial_day_wh_m2: Vec<f64>,
    /// Declination at local clock noon, degrees, 365 days.
    pub declination_deg: Vec<f64>,
    /// Sunrise, noon and sunset, 365 days.
    pub events: Vec<DayEvents>,
}

impl YearSky {
    /// Computes the year for a place and its standard time.
    pub fn new(observer: Observer, utc_offset_h: f64) -> Self {
        let start = julian_day(NOMINAL_YEAR, 1, 1, -utc_offset_h);
        let sun = Ephemeris::new(start - 1.0, DAYS + 2, delta_t_s(f64::from(NOMINAL_YEAR) + 0.5));
        let local = Local::new(&observer);
        let cos_zenith_at = |hour: f64| local.cos_zenith(&sun.at(start + hour / 24.0));

        let mut sky = Self {
            observer,
            utc_offset_h,
            zenith_deg: Vec::with_capacity(HOURS),
            azimuth_deg: Vec::with_capacity(HOURS),
            hour_angle_deg: Vec::with_capacity(HOURS),
            cos_zenith: Vec::with_capacity(HOURS),
            sunlit_fraction: Vec::with_capacity(HOURS),
            extraterrestrial_normal_w_m2: Vec::with_capacity(HOURS),
            extraterrestrial_horizontal_w_m2: Vec::with_capacity(HOURS),
            air_mass: Vec::with_capacity(HOURS),
            extraterrestrial_day_wh_m2: vec![0.0; DAYS],
            declination_deg: Vec::with_capacity(DAYS),
            events: Vec::with_capacity(DAYS),
        };
        let mut before = cos_zenith_at(0.0);
        for hour in 0..HOURS {
            let from = hour as f64;
            let after = cos_zenith_at(from + 1.0);
            sky.push_hour(&sun, &local, start, sunlit_part(&cos_zenith_at, from, before, after), from);
            before = after;
        }
        for (day, sum) in sky.extraterrestrial_day_wh_m2.iter_mut().enumerate() {
            *sum = sky.extraterrestrial_horizontal_w_m2[24 * day..24 * day + 24].iter().sum();
            let midnight = start + day as f64;
            sky.declination_deg.push(sun.at(midnight + 0.5).declination_deg);
            sky.events.push(DayEvents::from_ephemeris(&sun, midnight, utc_offset_h, &observer));
        }
        sky
    }

    /// Whether any part of the hour has the sun up.
    pub fn has_sun(&self, hour: usize) -> bool {
        self.sunlit_fraction.get(hour).is_some_and(|f| *f > 0.0)
    }

    /// Mean daily extraterrestrial energy on the horizontal of a month (0 to 11), Wh/m² per day.
    pub fn month_mean_extraterrestrial_wh_m2(&self, month: usize) -> f64 {
        let from = month_start_day(month);
        let days = MONTH_DAYS.get(month).copied().unwrap_or(31);
        self.extraterrestrial_day_wh_m2.iter().skip(from).take(days).sum::<f64>() / days as f64
    }

    fn push_hour(&mut self, sun: &Ephemeris, local: &Local, start: f64, lit: Option<(f64, f64)>, from: f64) {
        let (lit_from, lit_to) = lit.unwrap_or((from, from + 1.0));
        let middle = 0.5 * (lit_from + lit_to);
        let centre = sun.at(start + middle / 24.0);
        let (direction, hour_angle, _) = local.direction(&centre);
        let zenith = direction.zenith_deg();
        let normal = normal_at_distance_w_m2(centre.distance_au);
        self.zenith_deg.push(zenith);
        self.azimuth_deg.push(direction.azimuth_deg());
        self.hour_angle_deg.push(hour_angle);
        self.extraterrestrial_normal_w_m2.push(normal);
        if lit.is_none() {
            self.cos_zenith.push(0.0);
            self.sunlit_fraction.push(0.0);
            self.extraterrestrial_horizontal_w_m2.push(0.0);
            self.air_mass.push(0.0);
            return;
        }
        // Mean height over the part by Gauss–Legendre with three points, the middle one being at hand.
        let reach = 0.5 * (lit_to - lit_from) * 0.774_596_669_241_483_4;
        let ends = local.cos_zenith(&sun.at(start + (middle - reach) / 24.0))
            + local.cos_zenith(&sun.at(start + (middle + reach) / 24.0));
        let mean_cos = (8.0 * direction.up + 5.0 * ends) / 18.0;
        let altitude = 90.0 - zenith;
        let apparent =
            zenith - refraction_deg(altitude, self.observer.pressure_hpa, self.observer.temperature_c);
        self.cos_zenith.push(direction.up.max(0.0));
        self.sunlit_fraction.push(lit_to - lit_from);
        self.extraterrestrial_horizontal_w_m2.push((normal * mean_cos * (lit_to - lit_from)).max(0.0));
        self.air_mass.push(relative_air_mass(apparent));
    }
}

/// The part of the hour from `from` in which the cosine is positive, given its values at both ends.
///
/// A sun that rises and sets within one hour (the edge of a polar night) or dips below for less than one is found by
/// looking at the middle; the shorter of two sunlit pieces of one hour is then left out.
fn sunlit_part(cos_zenith: &impl Fn(f64) -> f64, from: f64, before: f64, after: f64) -> Option<(f64, f64)> {
    let to = from + 1.0;
    match (before > 0.0, after > 0.0) {
        (true, true) => Some((from, to)),
        (false, true) => Some((root(cos_zenith, from, before, to, after), to)),
        (true, false) => Some((from, root(cos_zenith, from, before, to, after))),
        (false, false) => {
            // Far below the horizon the sun cannot come up within the hour: it climbs at most 15°, cos 0.26.
            if before < -0.26 && after < -0.26 {
                return None;
            }
            let (top, value) = highest(cos_zenith, from);
            (value > 0.0).then(|| {
                (root(cos_zenith, from, before, top, value), root(cos_zenith, top, value, to, after))
            })
        }
    }
}

/// Where the cosine is highest in the hour, through the parabola of three points, if that lies inside.
fn highest(cos_zenith: &impl Fn(f64) -> f64, from: f64) -> (f64, f64) {
    let (a, b, c) = (cos_zenith(from), cos_zenith(from + 0.5), cos_zenith(from + 1.0));
    let bend = a - 2.0 * b + c;
    let shift = if bend < 0.0 { (0.25 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    let top = from + 0.5 + shift;
    (top, cos_zenith(top))
}

/// The zero between two hours of opposite sign, to a thousandth of a second: false position with bisection.
fn root(value: &impl Fn(f64) -> f64, a: f64, at_a: f64, b: f64, at_b: f64) -> f64 {
    let (mut a, mut fa, mut b, mut fb) = (a, at_a, b, at_b);
    for step in 0..40 {
        if (b - a).abs() < 3e-8 {
            break;
        }
        let secant = a - fa * (b - a) / (fb - fa);
        let x =
            if step % 3 == 2 || !(secant > a.min(b) && secant < a.max(b)) { 0.5 * (a + b) } else { secant };
        let fx = value(x);
        // A Julian day resolves 0.00004 s, which is 3e-9 of the cosine: asking for less would never end.
        if fx.abs() < 1e-8 {
            return x;
        }
        if (fx > 0.0) == (fa > 0.0) {
            (a, fa) = (x, fx);
        } else {
            (b, fb) = (x, fx);
        }
    }
    0.5 * (a + b)
}
