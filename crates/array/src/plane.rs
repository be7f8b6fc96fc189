//! The plane of an array: how steep it is, which way it looks, and the angle at which the sun meets it.

use crate::series::{SeriesError, in_range};

/// A plane by tilt and azimuth, with its outward normal kept ready.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    tilt_deg: f64,
    azimuth_deg: f64,
    normal_east: f64,
    normal_north: f64,
    normal_up: f64,
    tilt_sine: f64,
}

impl Plane {
    /// A plane `tilt_deg` from horizontal (0 faces the zenith, 90 is a wall, above 90 looks down) whose downhill
    /// side looks towards `azimuth_deg`, clockwise from true north.
    ///
    /// # Errors
    /// `SeriesError` when the tilt is outside 0..=180, the azimuth outside -360..=360, or either is not a number.
    pub fn new(tilt_deg: f64, azimuth_deg: f64) -> Result<Self, SeriesError> {
        in_range("tilt", 0, tilt_deg, 0.0, 180.0)?;
        in_range("plane azimuth", 0, azimuth_deg, -360.0, 360.0)?;
        let (tilt_sine, tilt_cosine) = libm::sincos(tilt_deg.to_radians());
        let (azimuth_sine, azimuth_cosine) = libm::sincos(azimuth_deg.to_radians());
        Ok(Self {
            tilt_deg,
            azimuth_deg,
            normal_east: tilt_sine * azimuth_sine,
            normal_north: tilt_sine * azimuth_cosine,
            normal_up: tilt_cosine,
            tilt_sine,
        })
    }

    /// Degrees from horizontal.
    #[must_use]
    pub fn tilt_deg(&self) -> f64 {
        self.tilt_deg
    }

    /// Degrees clockwise from true north, as given.
    #[must_use]
    pub fn azimuth_deg(&self) -> f64 {
        self.azimuth_deg
    }

    /// Sine of the tilt.
    #[must_use]
    pub fn tilt_sine(&self) -> f64 {
        self.tilt_sine
    }

    /// Cosine of the tilt.
    #[must_use]
    pub fn tilt_cosine(&self) -> f64 {
        self.normal_up
    }

    /// The outward normal.
    #[must_use]
    pub fn normal(&self) -> Direction {
        Direction { east: self.normal_east, north: self.normal_north, up: self.normal_up }
    }

    /// The plane seen from its other side, as the rear of a bifacial module sees the world.
    #[must_use]
    pub fn rear(&self) -> Self {
        Self {
            tilt_deg: 180.0 - self.tilt_deg,
            azimuth_deg: if self.azimuth_deg >= 180.0 {
                self.azimuth_deg - 180.0
            } else {
                self.azimuth_deg + 180.0
            },
            normal_east: -self.normal_east,
            normal_north: -self.normal_north,
            normal_up: -self.normal_up,
            tilt_sine: self.tilt_sine,
        }
    }

    /// Cosine of the angle between the normal and a direction given as a unit vector, negative from behind.
    #[must_use]
    pub fn incidence_cosine(&self, direction: Direction) -> f64 {
        let sum = self.normal_east * direction.east
            + self.normal_north * direction.north
            + self.normal_up * direction.up;
        sum.clamp(-1.0, 1.0)
    }

    /// Angle of incidence in degrees, 0..=180, for a sun at `zenith_deg` and `azimuth_deg`.
    #[must_use]
    pub fn angle_of_incidence_deg(&self, zenith_deg: f64, azimuth_deg: f64) -> f64 {
        libm::acos(self.incidence_cosine(Direction::from_angles(zenith_deg, azimuth_deg))).to_degrees()
    }
}

/// A unit vector: east, north, up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    /// Component towards the east.
    pub east: f64,
    /// Component towards true north.
    pub north: f64,
    /// Component towards the zenith; the cosine of the zenith angle.
    pub up: f64,
}

impl Direction {
    /// Direction of a point `zenith_deg` from straight up and `azimuth_deg` clockwise from true north.
    #[must_use]
    pub fn from_angles(zenith_deg: f64, azimuth_deg: f64) -> Self {
        let (zenith_sine, zenith_cosine) = libm::sincos(zenith_deg.to_radians());
        let (azimuth_sine, azimuth_cosine) = libm::sincos(azimuth_deg.to_radians());
        Self { east: zenith_sine * azimuth_sine, north: zenith_sine * azimuth_cosine, up: zenith_cosine }
    }
}

/// Roof pitch in degrees from rise and run in one unit (4 in 12 is 18.43°). `None` unless both are finite, none is
/// negative and one is above zero; a run of zero is a wall.
#[must_use]
pub fn pitch_deg(rise: f64, run: f64) -> Option<f64> {
    let usable = rise.is_finite() && run.is_finite() && rise >= 0.0 && run >= 0.0 && rise + run > 0.0;
    usable.then(|| libm::atan2(rise, run).to_degrees())
}

/// Slant length over horizontal length of a roof of the given pitch; multiplies plan area to slope area.
/// `None` at or above 90°, where a plan area says nothing, and below 0°.
#[must_use]
pub fn slope_factor(pitch_deg: f64) -> Option<f64> {
    (0.0..90.0).contains(&pitch_deg).then(|| 1.0 / libm::cos(pitch_deg.to_radians()))
}

/// Degrees between the plane's azimuth and the direction of the noon sun (180° on the northern half of the Earth,
/// 0° on the southern), 0..=180. Above 90° the plane looks away from the noon sun. `None` for a flat plane or
/// between the tropics, where the noon sun stands on either side in the course of the year.
#[must_use]
pub fn azimuth_from_noon_sun_deg(plane: &Plane, latitude_deg: f64) -> Option<f64> {
    // 23.44° is the obliquity of the ecliptic to the digits that matter here.
    if plane.tilt_sine <= 0.0 || !(23.44..=90.0).contains(&latitude_deg.abs()) {
        return None;
    }
    let noon_deg = if latitude_deg > 0.0 { 180.0 } else { 0.0 };
    let turned = (plane.azimuth_deg - noon_deg).rem_euclid(360.0);
    Some(turned.min(360.0 - turned))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_pitches_have_their_usual_degrees() {
        // Printed to one decimal in tables of roof pitches: half a unit of that digit.
        for (rise, degrees) in [(4.0, 18.4), (5.0, 22.6), (6.0, 26.6), (8.0, 33.7), (12.0, 45.0)] {
            let found = pitch_deg(rise, 12.0).expect("a rise over twelve");
            assert!((found - degrees).abs() < 0.05, "{rise} in 12 gave {found}");
        }
        assert_eq!(pitch_deg(1.0, 0.0), Some(90.0));
        assert_eq!(pitch_deg(0.0, 0.0), None);
        assert_eq!(pitch_deg(-1.0, 12.0), None);
        assert_eq!(pitch_deg(f64::NAN, 12.0), None);
    }

    #[test]
    fn a_plane_facing_the_sun_meets_it_head_on() {
        let plane = Plane::new(40.0, 150.0).expect("a valid plane");
        // acos near 1 turns one rounding into 1e-8 rad, about 1e-6 degrees.
        assert!(plane.angle_of_incidence_deg(40.0, 150.0) < 2e-6);
        assert!((plane.rear().angle_of_incidence_deg(40.0, 150.0) - 180.0).abs() < 2e-6);
    }

    #[test]
    fn incidence_agrees_with_the_textbook_example() {
        // Duffie & Beckman, Solar Engineering of Thermal Processes, Ex. 1.6.1: latitude 43° N, 13 February (declination
        // -14°), 10:30 solar (hour angle -22.5°), tilt 45°, 15° west of south: 35°, printed without decimals.
        // Sun by hand: sin alt = sin43 sin(-14) + cos43 cos(-14) cos(22.5) = 0.4906, zenith 60.62°;
        // sin az = cos(-14) sin(-22.5)/sin(60.62°) = -0.4262, azimuth 180 - 25.23 = 154.77°.
        let plane = Plane::new(45.0, 195.0).expect("a valid plane");
        assert!((plane.angle_of_incidence_deg(60.62, 154.77) - 35.0).abs() < 0.5);
        // The cosine is printed as 0.817; the sun above is rounded to 0.01°, worth 1e-4 in the cosine.
        let cosine = plane.incidence_cosine(Direction::from_angles(60.62, 154.77));
        assert!((cosine - 0.817).abs() < 0.0006);
    }

    #[test]
    fn impossible_planes_are_refused() {
        assert!(Plane::new(-1.0, 180.0).is_err());
        assert!(Plane::new(f64::NAN, 180.0).is_err());
        assert!(Plane::new(30.0, 400.0).is_err());
    }

    #[test]
    fn a_south_roof_looks_at_the_noon_sun_in_the_north_and_away_from_it_in_the_south() {
        let south = Plane::new(30.0, 173.0).expect("a valid plane");
        assert_eq!(azimuth_from_noon_sun_deg(&south, 45.0), Some(7.0));
        assert_eq!(azimuth_from_noon_sun_deg(&south, -45.0), Some(173.0));
        assert_eq!(azimuth_from_noon_sun_deg(&south, 10.0), None);
    }
}
