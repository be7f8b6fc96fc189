//! Sunrise, noon and sunset of a local day.

use crate::ephemeris::Ephemeris;
use crate::observer::Observer;
use crate::position::{Local, SunPosition};
use crate::time::julian_day;

/// Airless altitude of the sun's centre when its upper rim touches the horizon: −(0.26667 + 0.5667)°.
///
/// Source: Reda & Andreas, NREL/TP-560-34302, section 3.15 and appendix A.2.
pub const HORIZON_ALTITUDE_DEG: f64 = -0.8333;

/// Whether and when the sun crosses the horizon between one lower culmination and the next.
///
/// Times are hours of the local clock counted from 0 h of the date; below 0 or above 24 they fall on a neighbour day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Daylight {
    /// The usual day.
    Normal {
        /// Sunrise before noon.
        sunrise_h: f64,
        /// Sunset after noon.
        sunset_h: f64,
    },
    /// The midnight sun.
    UpAllDay,
    /// The polar night.
    DownAllDay,
    /// The first day of a midnight sun: it rises and stays.
    RisesOnly {
        /// Sunrise.
        sunrise_h: f64,
    },
    /// The last day of a midnight sun: it was up and sets.
    SetsOnly {
        /// Sunset.
        sunset_h: f64,
    },
}

/// The sun's events of one local date.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayEvents {
    /// When the sun crosses the meridian, local clock hours from 0 h of the date.
    pub transit_h: f64,
    /// Airless altitude then, degrees.
    pub transit_altitude_deg: f64,
    /// Rise and set.
    pub daylight: Daylight,
}

impl DayEvents {
    /// The events of a Gregorian date at a clock `utc_offset_h` hours ahead of universal time.
    ///
    /// They belong to the noon that falls on that local date. (The published algorithm works on the date at
    /// Greenwich instead, so that at 105° west its printed sunset is the one of the evening before.)
    pub fn of(
        year: i32,
        month: u32,
        day: u32,
        utc_offset_h: f64,
        delta_t_s: f64,
        observer: &Observer,
    ) -> Self {
        let midnight = julian_day(year, month, day, -utc_offset_h);
        // The noon of the date can lie up to a day after its midnight, and the search reaches half a day around it.
        Self::from_ephemeris(&Ephemeris::new(midnight - 1.0, 3, delta_t_s), midnight, utc_offset_h, observer)
    }

    /// The same from a prepared span of days; `midnight_jd_ut` is 0 h of the local date.
    pub fn from_ephemeris(
        sun: &Ephemeris,
        midnight_jd_ut: f64,
        utc_offset_h: f64,
        observer: &Observer,
    ) -> Self {
        let local = Local::new(observer);
        let at = |hour: f64| sun.at(midnight_jd_ut + hour / 24.0);
        // The mean noon of the date, wound into its 24 hours, then three corrections by the true hour angle.
        let mean_noon = 12.0 + utc_offset_h - observer.longitude_deg / 15.0;
        let mut transit_h = mean_noon - 24.0 * libm::floor(mean_noon / 24.0);
        for _ in 0..3 {
            transit_h -= SunPosition::of(&at(transit_h), observer).hour_angle_deg / 15.0;
        }
        let horizon = libm::sin(HORIZON_ALTITUDE_DEG * crate::angle::DEGREE);
        let above = |hour: f64| local.cos_zenith(&at(hour)) - horizon;
        let sunrise = crossing(&above, transit_h, -12.0);
        let sunset = crossing(&above, transit_h, 12.0);
        let daylight = match (sunrise, sunset) {
            (Some(sunrise_h), Some(sunset_h)) => Daylight::Normal { sunrise_h, sunset_h },
            (Some(sunrise_h), None) => Daylight::RisesOnly { sunrise_h },
            (None, Some(sunset_h)) => Daylight::SetsOnly { sunset_h },
            (None, None) if above(transit_h) > 0.0 => Daylight::UpAllDay,
            (None, None) => Daylight::DownAllDay,
        };
        Self {
            transit_h,
            transit_altitude_deg: 90.0 - SunPosition::of(&at(transit_h), observer).zenith_airless_deg,
            daylight,
        }
    }

    /// Hours of daylight of this date's noon: 24 under the midnight sun, 0 in the polar night.
    pub fn daylight_h(&self) -> f64 {
        match self.daylight {
            Daylight::Normal { sunrise_h, sunset_h } => sunset_h - sunrise_h,
            Daylight::UpAllDay => 24.0,
            Daylight::DownAllDay => 0.0,
            Daylight::RisesOnly { sunrise_h } => self.transit_h + 12.0 - sunrise_h,
            Daylight::SetsOnly { sunset_h } => sunset_h - (self.transit_h - 12.0),
        }
    }
}

/// The first change of sign going from noon towards the lower culmination, `reach_h` away; none if there is none.
fn crossing(above: &impl Fn(f64) -> f64, noon_h: f64, reach_h: f64) -> Option<f64> {
    let steps = 24;
    let mut near = noon_h;
    let mut near_value = above(near);
    for step in 1..=steps {
        let far = noon_h + reach_h * f64::from(step) / f64::from(steps);
        let far_value = above(far);
        if (near_value > 0.0) != (far_value > 0.0) {
            // Halving to a thousandth of a second.
            let (mut inner, mut outer) = (near, far);
            while (outer - inner).abs() > 3e-7 {
                let middle = 0.5 * (inner + outer);
                if (above(middle) > 0.0) == (near_value > 0.0) {
                    inner = middle;
                } else {
                    outer = middle;
                }
            }
            return Some(0.5 * (inner + outer));
        }
        near = far;
        near_value = far_value;
    }
    None
}
