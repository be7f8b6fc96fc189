//! The sun seen from a place.

use crate::angle::{DEGREE, half_turn, turn};
use crate::geocentric::Geocentric;
use crate::observer::Observer;

/// Whether the bending of light by the air lifts the sun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refraction {
    /// No air: the direction the geometry gives. Irradiance on planes uses this one.
    Airless,
    /// The formula of the Solar Position Algorithm, for the observer's pressure and temperature.
    Report,
}

/// Where the sun stands for one observer at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPosition {
    /// Zenith angle of the sun's centre without air, degrees, 0 to 180.
    pub zenith_airless_deg: f64,
    /// Zenith angle with refraction; equal to the airless one when the whole disc is below the horizon.
    pub zenith_apparent_deg: f64,
    /// Azimuth, degrees clockwise from true north, 0 to 360. At the zenith and at the poles it is ill-conditioned.
    pub azimuth_deg: f64,
    /// Topocentric hour angle, degrees, −180 to 180, afternoon positive.
    pub hour_angle_deg: f64,
    /// Topocentric declination, degrees.
    pub declination_deg: f64,
    /// Distance of the sun, astronomical units.
    pub distance_au: f64,
    /// Apparent minus mean solar time, minutes.
    pub equation_of_time_min: f64,
}

impl SunPosition {
    /// The full algorithm at one instant.
    ///
    /// `jd_ut`: Julian day, universal time (UTC serves: the difference, below 0.9 s, moves the sun by less than
    /// 0.004°); `delta_t_s` as in [`crate::delta_t_s`].
    /// Source: Reda & Andreas, NREL/TP-560-34302 (revised January 2008), sections 3.9 to 3.14.
    pub fn at(jd_ut: f64, delta_t_s: f64, observer: &Observer) -> Self {
        Self::of(&Geocentric::at(jd_ut, delta_t_s), observer)
    }

    /// The position of a sun already known from the Earth's centre.
    pub fn of(sun: &Geocentric, observer: &Observer) -> Self {
        let local = Local::new(observer);
        let (direction, hour_angle_deg, declination_deg) = local.direction(sun);
        let zenith_airless_deg = direction.zenith_deg();
        let altitude = 90.0 - zenith_airless_deg;
        Self {
            zenith_airless_deg,
            zenith_apparent_deg: 90.0
                - (altitude + refraction_deg(altitude, observer.pressure_hpa, observer.temperature_c)),
            azimuth_deg: direction.azimuth_deg(),
            hour_angle_deg,
            declination_deg,
            distance_au: sun.distance_au,
            equation_of_time_min: sun.equation_of_time_min,
        }
    }

    /// Zenith angle by the wanted treatment of refraction, degrees.
    pub fn zenith_deg(&self, refraction: Refraction) -> f64 {
        match refraction {
            Refraction::Airless => self.zenith_airless_deg,
            Refraction::Report => self.zenith_apparent_deg,
        }
    }
}

/// How far the air lifts the sun, degrees, at an airless altitude in degrees.
///
/// `Δe = (P/1010) · 283/(273 + T) · 1.02 / (60 tan(e + 10.3/(e + 5.11)))`, zero when the upper rim is below the
/// horizon (`e < −(0.26667 + 0.5667)`). `pressure_hpa`: air pressure; `temperature_c`: air temperature.
/// Source: Reda & Andreas, NREL/TP-560-34302, equation 42.
pub fn refraction_deg(altitude_deg: f64, pressure_hpa: f64, temperature_c: f64) -> f64 {
    if altitude_deg < -(0.26667 + 0.5667) {
        return 0.0;
    }
    let air = pressure_hpa / 1010.0 * 283.0 / (273.0 + temperature_c);
    air * 1.02 / (60.0 * libm::tan((altitude_deg + 10.3 / (altitude_deg + 5.11)) * DEGREE))
}

/// What depends only on the place: prepared once for a year of hours.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Local {
    sin_latitude: f64,
    cos_latitude: f64,
    longitude_deg: f64,
    /// Place against the Earth's centre in equatorial radii: distance from the axis, and height above the equator.
    axis_distance: f64,
    equator_height: f64,
}

/// A unit vector towards the sun: east, north, up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Direction {
    pub(crate) east: f64,
    pub(crate) north: f64,
    pub(crate) up: f64,
}

impl Direction {
    pub(crate) fn zenith_deg(&self) -> f64 {
        // The arc tangent keeps its digits near the zenith, where an arc cosine loses them.
        libm::atan2(libm::sqrt(self.east * self.east + self.north * self.north), self.up) / DEGREE
    }

    pub(crate) fn azimuth_deg(&self) -> f64 {
        turn(libm::atan2(self.east, self.north) / DEGREE)
    }
}

impl Local {
    pub(crate) fn new(observer: &Observer) -> Self {
        let (sin_latitude, cos_latitude) = libm::sincos(observer.latitude_deg * DEGREE);
        // Equations 33 to 36: the Earth's flattening moves the parallax.
        let reduced = libm::atan2(0.99664719 * sin_latitude, cos_latitude);
        let height = observer.elevation_m / 6_378_140.0;
        Self {
            sin_latitude,
            cos_latitude,
            longitude_deg: observer.longitude_deg,
            axis_distance: libm::cos(reduced) + height * cos_latitude,
            equator_height: 0.99664719 * libm::sin(reduced) + height * sin_latitude,
        }
    }

    /// Direction, hour angle and declination of the sun's centre, parallax included (equations 32 to 47).
    pub(crate) fn direction(&self, sun: &Geocentric) -> (Direction, f64, f64) {
        let hour_angle = half_turn(sun.sidereal_time_deg + self.longitude_deg - sun.right_ascension_deg);
        let (sin_h, cos_h) = libm::sincos(hour_angle * DEGREE);
        let (sin_d, cos_d) = libm::sincos(sun.declination_deg * DEGREE);
        let parallax = libm::sin(8.794 / (3600.0 * sun.distance_au) * DEGREE);

        let along = cos_d - self.axis_distance * parallax * cos_h;
        let ascension_shift = libm::atan2(-self.axis_distance * parallax * sin_h, along);
        let declination =
            libm::atan2((sin_d - self.equator_height * parallax) * libm::cos(ascension_shift), along);
        let hour_angle = hour_angle * DEGREE - ascension_shift;

        let (sin_h, cos_h) = libm::sincos(hour_angle);
        let (sin_d, cos_d) = libm::sincos(declination);
        let direction = Direction {
            east: -cos_d * sin_h,
            north: sin_d * self.cos_latitude - cos_d * cos_h * self.sin_latitude,
            up: sin_d * self.sin_latitude + cos_d * cos_h * self.cos_latitude,
        };
        (direction, hour_angle / DEGREE, declination / DEGREE)
    }

    /// Cosine of the airless zenith angle, without the detours through angles: for inner loops.
    pub(crate) fn cos_zenith(&self, sun: &Geocentric) -> f64 {
        let hour_angle = (sun.sidereal_time_deg + self.longitude_deg - sun.right_ascension_deg) * DEGREE;
        let (sin_d, cos_d) = libm::sincos(sun.declination_deg * DEGREE);
        let cos_h = libm::cos(hour_angle);
        // The vector from the place to the sun, in units of the sun's distance: geocentric direction minus place.
        let parallax = 8.794 / (3600.0 * sun.distance_au) * DEGREE;
        let up = sin_d * self.sin_latitude + cos_d * cos_h * self.cos_latitude;
        let place_up = self.axis_distance * self.cos_latitude + self.equator_height * self.sin_latitude;
        (up - parallax * place_up) / (1.0 - parallax * up)
    }
}
