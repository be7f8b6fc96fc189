//! The sun over a span of days, from the full series once per day and smooth interpolation between.

use crate::angle::{half_turn, turn};
use crate::geocentric::{Geocentric, Slow, mean_sidereal_time_deg};

/// The geocentric sun at every instant of a span of days.
///
/// The full series is evaluated once per day; right ascension, declination, distance and the equation of the
/// equinoxes run through four neighbouring days (cubic Lagrange), the Earth's turning is exact. The difference to
/// the full series stays below 0.00001°, which a test bounds. No place enters: one serves every observer.
#[derive(Clone, Debug)]
pub struct Ephemeris {
    first_jd_ut: f64,
    days: Vec<Slow>,
}

impl Ephemeris {
    /// Prepares `days` days (at least 1) from Julian day `from_jd_ut`; instants up to a day outside are served too.
    pub fn new(from_jd_ut: f64, days: usize, delta_t_s: f64) -> Self {
        let first_jd_ut = from_jd_ut - 2.0;
        let mut nodes: Vec<Slow> =
            (0..days.max(1) + 5).map(|day| Slow::at(first_jd_ut + day as f64, delta_t_s)).collect();
        // Right ascension is unwound, so that it runs on through the equinox.
        let mut previous = nodes[0].right_ascension_deg;
        for node in &mut nodes {
            previous += half_turn(node.right_ascension_deg - previous);
            node.right_ascension_deg = previous;
        }
        Self { first_jd_ut, days: nodes }
    }

    /// The sun at a Julian day, universal time. Outside the prepared span the outermost days are extended.
    pub fn at(&self, jd_ut: f64) -> Geocentric {
        let since = jd_ut - self.first_jd_ut;
        let last = self.days.len() as f64 - 3.0;
        let base = libm::floor(since).clamp(1.0, last);
        let x = since - base;
        let n = &self.days[base as usize - 1..base as usize + 3];
        let (a, b, c) = (x + 1.0, x - 1.0, x - 2.0);
        let weights = [-x * b * c / 6.0, a * b * c / 2.0, -a * x * c / 2.0, a * x * b / 6.0];
        let mix = |value: fn(&Slow) -> f64| {
            weights[0] * value(&n[0])
                + weights[1] * value(&n[1])
                + weights[2] * value(&n[2])
                + weights[3] * value(&n[3])
        };
        Geocentric {
            right_ascension_deg: turn(mix(|s| s.right_ascension_deg)),
            declination_deg: mix(|s| s.declination_deg),
            distance_au: mix(|s| s.distance_au),
            sidereal_time_deg: turn(mean_sidereal_time_deg(jd_ut) + mix(|s| s.equation_of_equinoxes_deg)),
            equation_of_time_min: mix(|s| s.equation_of_time_min),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::julian_day;

    #[test]
    fn interpolation_between_days_stays_within_its_bound() {
        let start = julian_day(2025, 1, 1, 0.0);
        let table = Ephemeris::new(start, 365, 70.0);
        // 0.00001° is a thirtieth of the algorithm's own uncertainty.
        for step in 0..3650 {
            let jd = start + f64::from(step) * 0.1003;
            let (fast, full) = (table.at(jd), Geocentric::at(jd, 70.0));
            assert!(half_turn(fast.right_ascension_deg - full.right_ascension_deg).abs() < 1e-5, "{jd}");
            assert!((fast.declination_deg - full.declination_deg).abs() < 1e-5, "{jd}");
            assert!(half_turn(fast.sidereal_time_deg - full.sidereal_time_deg).abs() < 1e-5, "{jd}");
            assert!((fast.distance_au - full.distance_au).abs() < 1e-7, "{jd}");
        }
    }
}
