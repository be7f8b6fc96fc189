//! On which side of overhead the sun stands at noon.

/// Obliquity of the ecliptic at 2025, degrees: the latitude of the tropics.
pub const TROPIC_DEG: f64 = 23.44;

/// Share of the days of a year on which the noon sun stands on the equator's side of overhead: 1 outside the tropics, a half
/// on the equator itself, for its southern side there.
///
/// `½ + asin(sin φ / sin ε) / π` from `sin δ = sin ε · sin λ` with the sun's longitude λ running evenly; that it does not
/// moves the share by at most four days of the year. Latitude in degrees, either sign; NaN stays no share: 1.
#[must_use]
pub fn noon_sun_towards_equator(latitude_deg: f64) -> f64 {
    let sine = libm::sin(latitude_deg.abs().to_radians()) / libm::sin(TROPIC_DEG.to_radians());
    if sine < 1.0 { 0.5 + libm::asin(sine) / core::f64::consts::PI } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{NOMINAL_YEAR, Observer, SunPosition, delta_t_s, julian_day};

    /// Counted day by day at true noon with the position algorithm: five days allow for the uneven year.
    #[test]
    fn the_share_is_that_of_counted_noons() {
        for latitude in [-23.0, -18.0, -6.0, 3.0, 11.5, 20.0, 23.4, 35.0] {
            let observer = Observer::new(latitude, 0.0, 0.0).expect("a place");
            let start = julian_day(NOMINAL_YEAR, 1, 1, 12.0);
            let towards = (0..365)
                .filter(|day| {
                    let at = start + f64::from(*day);
                    let sun = SunPosition::at(at, delta_t_s(2025.5), &observer);
                    // Near noon the bearing is that of the nearer pole, give or take the equation of time.
                    let south = libm::cos(sun.azimuth_deg.to_radians()) < 0.0;
                    south == (latitude > 0.0)
                })
                .count() as f64;
            assert!(
                (towards / 365.0 - noon_sun_towards_equator(latitude)).abs() * 365.0 <= 5.0,
                "{latitude}"
            );
        }
    }
}
