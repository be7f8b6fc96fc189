//! The line of hills and houses around a plane: when it hides the sun, and how much of the sky it takes.

use std::fmt;

use crate::plane::Plane;

/// Why a horizon is refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HorizonError {
    /// No point at all.
    Empty,
    /// A bearing does not lie in 0..360° or is not above the one before it.
    BearingOutOfOrder {
        /// Index of the point, from 0.
        point: usize,
        /// The bearing found.
        bearing_deg: f64,
    },
    /// An elevation does not lie in 0..=90°.
    Elevation {
        /// Index of the point, from 0.
        point: usize,
        /// The elevation found.
        elevation_deg: f64,
    },
}

impl fmt::Display for HorizonError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(out, "the horizon has no points"),
            Self::BearingOutOfOrder { point, bearing_deg } => write!(
                out,
                "bearing {bearing_deg}° of horizon point {} must lie between 0 and 360 and above the one before it",
                point + 1
            ),
            Self::Elevation { point, elevation_deg } => {
                write!(
                    out,
                    "elevation {elevation_deg}° of horizon point {} must lie between 0 and 90",
                    point + 1
                )
            }
        }
    }
}

impl std::error::Error for HorizonError {}

/// Elevation of the horizon by bearing, straight between the points and across north.
#[derive(Debug, Clone, PartialEq)]
pub struct Horizon {
    points: Vec<(f64, f64)>,
}

/// What a horizon leaves of the even sky light and of the horizon band on a plane, as shares 0..=1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeenSky {
    /// Share of the even sky light.
    pub sky: f64,
    /// Share of the horizon band.
    pub horizon: f64,
}

/// Height of the bright band along the horizon, degrees: the 6.5° of the model's first form (Perez et al., Solar Energy
/// 39 (1987) 221–231; from memory). The form of 1990 puts all of it at the horizon itself.
pub(crate) const BAND_DEG: f64 = 6.5;

impl Horizon {
    /// A horizon from points of (bearing clockwise from true north, elevation), degrees, in order of bearing.
    ///
    /// # Errors
    /// `HorizonError` for no points, bearings outside 0..360 or not rising, elevations outside 0..=90.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, HorizonError> {
        if points.is_empty() {
            return Err(HorizonError::Empty);
        }
        let mut before = -1.0;
        for (point, (bearing_deg, elevation_deg)) in points.iter().copied().enumerate() {
            if !((0.0..360.0).contains(&bearing_deg) && bearing_deg > before) {
                return Err(HorizonError::BearingOutOfOrder { point, bearing_deg });
            }
            if !(0.0..=90.0).contains(&elevation_deg) {
                return Err(HorizonError::Elevation { point, elevation_deg });
            }
            before = bearing_deg;
        }
        Ok(Self { points })
    }

    /// Elevation at a bearing, degrees.
    #[must_use]
    pub fn elevation_deg(&self, bearing_deg: f64) -> f64 {
        let bearing = bearing_deg.rem_euclid(360.0);
        let after = self.points.partition_point(|point| point.0 <= bearing);
        let count = self.points.len();
        let (mut left, right) = (self.points[(after + count - 1) % count], self.points[after % count]);
        if left.0 > bearing {
            left.0 -= 360.0;
        }
        let width = (right.0 - left.0).rem_euclid(360.0);
        // One point alone is an even horizon all around.
        if width == 0.0 { left.1 } else { left.1 + (right.1 - left.1) * ((bearing - left.0) / width) }
    }

    /// Whether the middle of the sun, at a (refracted) zenith angle and azimuth in degrees, stands above the horizon.
    #[must_use]
    pub fn shows_sun(&self, zenith_deg: f64, azimuth_deg: f64) -> bool {
        90.0 - zenith_deg > self.elevation_deg(azimuth_deg)
    }

    /// Seen share of the sun for every step, 0 or 1, for [`crate::plane_year::Unshaded::beam`]. Slices of one length;
    /// the shorter decides.
    #[must_use]
    pub fn sun_by_step(&self, zenith_deg: &[f64], azimuth_deg: &[f64]) -> Vec<f64> {
        zenith_deg
            .iter()
            .zip(azimuth_deg)
            .map(|(zenith, azimuth)| f64::from(u8::from(*zenith < 90.0 && self.shows_sun(*zenith, *azimuth))))
            .collect()
    }

    /// What is left of even sky and horizon band on `plane`. The integral over elevation is closed, the one over bearing
    /// a sum over 720 directions. A plane that sees no sky keeps shares of 1: there is nothing to take.
    #[must_use]
    pub fn seen_sky(&self, plane: &Plane) -> SeenSky {
        let (mut open, mut seen, mut band, mut band_seen) = (0.0, 0.0, 0.0, 0.0);
        for index in 0..720_u32 {
            let bearing_deg = 0.5 * f64::from(index) + 0.25;
            // Along this bearing the cosine of incidence is `level cos e + upright sin e`.
            let level = plane.tilt_sine() * libm::cos((bearing_deg - plane.azimuth_deg()).to_radians());
            let upright = plane.tilt_cosine();
            let elevation_deg = self.elevation_deg(bearing_deg);
            open += light_above(level, upright, 0.0);
            seen += light_above(level, upright, elevation_deg.to_radians());
            band += level.max(0.0);
            band_seen += level.max(0.0) * (1.0 - elevation_deg / BAND_DEG).max(0.0);
        }
        let share = |part: f64, whole: f64| if whole > 1e-9 { (part / whole).clamp(0.0, 1.0) } else { 1.0 };
        SeenSky { sky: share(seen, open), horizon: share(band_seen, band) }
    }
}

/// `∫ max(0, level cos e + upright sin e) cos e de` from `from_rad` to the zenith.
pub(crate) fn light_above(level: f64, upright: f64, from_rad: f64) -> f64 {
    let quarter = std::f64::consts::FRAC_PI_2;
    let upto =
        |e: f64| level * (0.5 * e + 0.25 * libm::sin(2.0 * e)) + upright * 0.25 * (1.0 - libm::cos(2.0 * e));
    // The plane's own edge crosses this bearing at tan e = -level / upright.
    let edge = if upright.abs() > 1e-15 { libm::atan(-level / upright) } else { 0.0 };
    let (mut low, mut high) = (from_rad.clamp(0.0, quarter), quarter);
    if upright > 1e-15 {
        low = low.max(edge);
    } else if level <= 0.0 {
        return 0.0;
    } else if upright < -1e-15 {
        high = edge.clamp(0.0, quarter);
    }
    if high > low { upto(high) - upto(low) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_horizon_is_straight_between_points_and_across_north() {
        let horizon = Horizon::new(vec![(10.0, 5.0), (90.0, 21.0), (350.0, 15.0)]).expect("points in order");
        // Hand: halfway from 10 to 90; a quarter of the way from 350 over north to 10.
        assert!((horizon.elevation_deg(50.0) - 13.0).abs() < 1e-12);
        assert!((horizon.elevation_deg(355.0) - 12.5).abs() < 1e-12);
        assert!((horizon.elevation_deg(0.0) - 10.0).abs() < 1e-12);
        assert!((horizon.elevation_deg(-5.0) - 12.5).abs() < 1e-12);
        assert_eq!(Horizon::new(vec![(123.0, 7.0)]).expect("one point").elevation_deg(300.0), 7.0);
    }

    #[test]
    fn a_horizon_that_goes_backwards_is_refused() {
        assert_eq!(Horizon::new(Vec::new()), Err(HorizonError::Empty));
        let error = Horizon::new(vec![(0.0, 5.0), (90.0, 5.0), (80.0, 5.0)]).expect_err("out of order");
        assert_eq!(error, HorizonError::BearingOutOfOrder { point: 2, bearing_deg: 80.0 });
        assert!(Horizon::new(vec![(0.0, 91.0)]).is_err());
        assert!(Horizon::new(vec![(f64::NAN, 1.0)]).is_err());
        assert!(Horizon::new(vec![(0.0, f64::NAN)]).is_err());
    }

    #[test]
    fn the_sun_shows_only_above_the_horizon_of_its_bearing() {
        let horizon = Horizon::new(vec![(90.0, 20.0), (180.0, 0.0), (270.0, 0.0)]).expect("points in order");
        assert!(!horizon.shows_sun(71.0, 90.0));
        assert!(horizon.shows_sun(69.0, 90.0));
        assert!(horizon.shows_sun(71.0, 180.0));
        assert_eq!(horizon.sun_by_step(&[71.0, 69.0, 95.0], &[90.0, 90.0, 180.0]), [0.0, 1.0, 0.0]);
    }

    #[test]
    fn an_even_horizon_takes_the_square_of_its_sine_from_a_flat_plane() {
        // For a flat plane ∫ sin e cos e de from h gives cos² h of the whole.
        let flat = Plane::new(0.0, 0.0).expect("a plane");
        for elevation in [0.0_f64, 5.0, 15.0, 40.0] {
            let horizon = Horizon::new(vec![(0.0, elevation)]).expect("one point");
            let expected = elevation.to_radians().cos().powi(2);
            assert!((horizon.seen_sky(&flat).sky - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn the_open_sky_on_a_tilted_plane_has_its_view_factor() {
        // The sum over bearings of the closed integrals is π (1 + cos β)/2; the midpoint sum over 720 directions of a
        // function with kinks is good to about 1e-5.
        for tilt in [0.0_f64, 30.0, 60.0, 90.0, 120.0] {
            let plane = Plane::new(tilt, 137.0).expect("a plane");
            let mut sum = 0.0;
            for index in 0..720_u32 {
                let bearing = 0.5 * f64::from(index) + 0.25;
                let level = plane.tilt_sine() * (bearing - 137.0).to_radians().cos();
                sum += light_above(level, plane.tilt_cosine(), 0.0);
            }
            let view = sum * 0.5_f64.to_radians() / std::f64::consts::PI;
            assert!((view - 0.5 * (1.0 + tilt.to_radians().cos())).abs() < 2e-5, "{tilt}: {view}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_higher_horizon_never_shows_more(
            tilt in 0.0f64..120.0, azimuth in 0.0f64..360.0, low in 0.0f64..60.0, more in 0.0f64..30.0, at in 0.0f64..359.0,
        ) {
            let plane = Plane::new(tilt, azimuth).expect("a plane");
            let seen = |height| {
                let mut points = vec![(at, height)];
                points.push(if at < 180.0 { (at + 100.0, 2.0) } else { (at - 100.0, 2.0) });
                points.sort_by(|a, b| a.0.total_cmp(&b.0));
                Horizon::new(points).expect("points in order").seen_sky(&plane)
            };
            let (before, after) = (seen(low), seen(low + more));
            prop_assert!(after.sky <= before.sky + 1e-12 && after.horizon <= before.horizon + 1e-12);
            prop_assert!((0.0..=1.0).contains(&after.sky));
        }
    }
}
