//! The sun seen from the centre of the Earth, and the Earth's turning.

use crate::angle::{DEGREE, half_turn, polynomial, turn};
use crate::periodic_terms::{LATITUDE_TERMS, LONGITUDE_TERMS, NUTATION_TERMS, RADIUS_TERMS};

/// The apparent sun from the Earth's centre at one instant, and Greenwich's sidereal time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geocentric {
    /// Apparent right ascension, degrees, 0 to 360.
    pub right_ascension_deg: f64,
    /// Apparent declination, degrees.
    pub declination_deg: f64,
    /// Distance of the sun, astronomical units.
    pub distance_au: f64,
    /// Apparent sidereal time at Greenwich, degrees, 0 to 360.
    pub sidereal_time_deg: f64,
    /// Apparent minus mean solar time, minutes.
    pub equation_of_time_min: f64,
}

impl Geocentric {
    /// The full series of the Solar Position Algorithm, sections 3.2 to 3.8 and appendix A.1.
    ///
    /// `jd_ut`: Julian day, universal time; `delta_t_s`: terrestrial minus universal time, seconds.
    /// Claimed uncertainty 0.0003° for the years −2000 to 6000.
    /// Source: Reda & Andreas, NREL/TP-560-34302 (revised January 2008).
    pub fn at(jd_ut: f64, delta_t_s: f64) -> Self {
        let slow = Slow::at(jd_ut, delta_t_s);
        Self {
            right_ascension_deg: slow.right_ascension_deg,
            declination_deg: slow.declination_deg,
            distance_au: slow.distance_au,
            sidereal_time_deg: turn(mean_sidereal_time_deg(jd_ut) + slow.equation_of_equinoxes_deg),
            equation_of_time_min: slow.equation_of_time_min,
        }
    }
}

/// What changes slowly enough to be interpolated between days: everything but the Earth's turning.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slow {
    pub(crate) right_ascension_deg: f64,
    pub(crate) declination_deg: f64,
    pub(crate) distance_au: f64,
    /// Apparent minus mean sidereal time.
    pub(crate) equation_of_equinoxes_deg: f64,
    pub(crate) equation_of_time_min: f64,
}

impl Slow {
    pub(crate) fn at(jd_ut: f64, delta_t_s: f64) -> Self {
        let ephemeris_century = (jd_ut + delta_t_s / 86400.0 - 2451545.0) / 36525.0;
        let millennium = ephemeris_century / 10.0;

        let longitude = series(&LONGITUDE_TERMS, millennium) / DEGREE + 180.0;
        let latitude = -series(&LATITUDE_TERMS, millennium);
        let distance_au = series(&RADIUS_TERMS, millennium);
        let (nutation_longitude, nutation_obliquity) = nutation_deg(ephemeris_century);
        let obliquity_deg = mean_obliquity_arcsec(millennium) / 3600.0 + nutation_obliquity;
        let obliquity = obliquity_deg * DEGREE;

        // Equation 25, aberration, and 27, the apparent longitude.
        let aberration = -20.4898 / (3600.0 * distance_au);
        let apparent = (longitude + nutation_longitude + aberration) * DEGREE;

        let (sin_l, cos_l) = libm::sincos(apparent);
        let (sin_e, cos_e) = libm::sincos(obliquity);
        let (sin_b, cos_b) = libm::sincos(latitude);
        let right_ascension_deg = turn(libm::atan2(sin_l * cos_e - sin_b / cos_b * sin_e, cos_l) / DEGREE);
        let declination_deg = libm::asin((sin_b * cos_e + cos_b * sin_e * sin_l).clamp(-1.0, 1.0)) / DEGREE;
        let equation_of_equinoxes_deg = nutation_longitude * cos_e;

        // Appendix A.1: the mean longitude of the sun against its right ascension.
        let mean_longitude = polynomial(
            &[280.4664567, 360007.6982779, 0.03032028, 1.0 / 49931.0, -1.0 / 15300.0, -1.0 / 2_000_000.0],
            millennium,
        );
        let equation_deg = mean_longitude - 0.0057183 - right_ascension_deg + equation_of_equinoxes_deg;

        Self {
            right_ascension_deg,
            declination_deg,
            distance_au,
            equation_of_equinoxes_deg,
            equation_of_time_min: 4.0 * half_turn(equation_deg),
        }
    }
}

/// Mean sidereal time at Greenwich, degrees, not wound (equation 28).
pub(crate) fn mean_sidereal_time_deg(jd_ut: f64) -> f64 {
    let days = jd_ut - 2451545.0;
    let century = days / 36525.0;
    // Whole days turn by 360° exactly, so only the excess is multiplied by the large number of days.
    let whole = libm::floor(days);
    280.46061837
        + 360.0 * (days - whole)
        + 0.98564736629 * days
        + century * century * (0.000387933 - century / 38_710_000.0)
}

/// `Σ JMEⁱ Σ A cos(B + C JME)` in radians or astronomical units (equations 9 to 12).
fn series(terms: &[&[[f64; 3]]], millennium: f64) -> f64 {
    let mut total = 0.0;
    for power in terms.iter().rev() {
        let mut sum = 0.0;
        for [a, b, c] in power.iter() {
            sum += a * libm::cos(b + c * millennium);
        }
        total = total * millennium + sum;
    }
    total / 1e8
}

/// Nutation in longitude and in obliquity, degrees (equations 15 to 23).
fn nutation_deg(century: f64) -> (f64, f64) {
    let arguments = [
        polynomial(&[297.85036, 445267.11148, -0.0019142, 1.0 / 189474.0], century),
        polynomial(&[357.52772, 35999.05034, -0.0001603, -1.0 / 300000.0], century),
        polynomial(&[134.96298, 477198.867398, 0.0086972, 1.0 / 56250.0], century),
        polynomial(&[93.27191, 483202.017538, -0.0036825, 1.0 / 327270.0], century),
        polynomial(&[125.04452, -1934.136261, 0.0020708, 1.0 / 450000.0], century),
    ];
    let (mut longitude, mut obliquity) = (0.0, 0.0);
    for term in &NUTATION_TERMS {
        let argument: f64 = term.multipliers.iter().zip(arguments).map(|(y, x)| y * x).sum();
        let (sin, cos) = libm::sincos(turn(argument) * DEGREE);
        longitude += (term.longitude[0] + term.longitude[1] * century) * sin;
        obliquity += (term.obliquity[0] + term.obliquity[1] * century) * cos;
    }
    (longitude / 36_000_000.0, obliquity / 36_000_000.0)
}

/// Mean obliquity of the ecliptic, arc seconds (equation 24).
fn mean_obliquity_arcsec(millennium: f64) -> f64 {
    let c = [84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45];
    polynomial(&c, millennium / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NREL/TP-560-34302, Table A5.1: 17 October 2003, 12:30:30, seven hours behind UT, delta T 67 s.
    const JD: f64 = 2452930.312847222;

    #[test]
    fn the_worked_example_is_reproduced_step_by_step() {
        let century = (JD + 67.0 / 86400.0 - 2451545.0) / 36525.0;
        let millennium = century / 10.0;
        let near = |value: f64, printed: f64, tolerance: f64, what: &str| {
            assert!((value - printed).abs() <= tolerance, "{what}: {value} against {printed}");
        };
        // Printed digits; half a unit of the last one, or the difference that rounding of the inputs makes.
        near(turn(series(&LONGITUDE_TERMS, millennium) / DEGREE), 24.0182616917, 1e-8, "longitude");
        near(series(&LATITUDE_TERMS, millennium) / DEGREE, -0.0001011219, 1e-9, "latitude");
        near(series(&RADIUS_TERMS, millennium), 0.9965422974, 1e-9, "radius vector");
        let (longitude, obliquity) = nutation_deg(century);
        near(longitude, -0.00399840, 1e-7, "nutation in longitude");
        near(obliquity, 0.00166657, 1e-7, "nutation in obliquity");
        near(mean_obliquity_arcsec(millennium), 84379.672625, 1e-5, "mean obliquity");
        let sun = Geocentric::at(JD, 67.0);
        near(sun.right_ascension_deg, 202.22741, 1e-5, "right ascension");
        near(sun.declination_deg, -9.31434, 1e-5, "declination");
        near(sun.equation_of_time_min, 14.641503, 1e-5, "equation of time");
    }
}
