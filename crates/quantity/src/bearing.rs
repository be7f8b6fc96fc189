//! Bearings, clockwise from north. True and compass bearings are different types: only a declination turns one
//! into the other.

use crate::{Kind, Measure};
use std::f64::consts::{PI, TAU};

/// Clockwise from true north, radians in [0, 2π).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct TrueBearing(f64);

/// Clockwise from magnetic north as a compass shows it, radians in [0, 2π).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct CompassBearing(f64);

fn turn(radians: f64) -> f64 {
    let r = radians.rem_euclid(TAU);
    // A tiny negative angle rounds up to a full turn.
    if r >= TAU { 0.0 } else { r }
}

impl TrueBearing {
    /// From degrees, any turn.
    pub fn from_degrees(degrees: f64) -> Self {
        Self(turn(degrees * PI / 180.0))
    }
    /// Degrees in [0, 360).
    pub fn degrees(self) -> f64 {
        self.0 * 180.0 / PI
    }
}

impl CompassBearing {
    /// From degrees, any turn.
    pub fn from_degrees(degrees: f64) -> Self {
        Self(turn(degrees * PI / 180.0))
    }
    /// Degrees in [0, 360).
    pub fn degrees(self) -> f64 {
        self.0 * 180.0 / PI
    }
    /// True bearing for a declination in degrees, east positive: `true = compass + declination`.
    ///
    /// Source: definition of magnetic declination, as in the World Magnetic Model report.
    pub fn to_true(self, declination_deg: f64) -> TrueBearing {
        TrueBearing::from_degrees(self.degrees() + declination_deg)
    }
}

impl Measure for TrueBearing {
    const KIND: Kind = Kind::TrueBearing;
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(radians: f64) -> Self {
        Self(turn(radians))
    }
}

impl Measure for CompassBearing {
    const KIND: Kind = Kind::CompassBearing;
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(radians: f64) -> Self {
        Self(turn(radians))
    }
}

/// "2° west of south": the nearer of north and south, and how far off it.
pub fn in_words(bearing: TrueBearing) -> String {
    let degrees = bearing.degrees();
    let (pole, off) = if (90.0..=270.0).contains(&degrees) {
        ("south", 180.0 - degrees)
    } else {
        ("north", if degrees > 180.0 { degrees - 360.0 } else { degrees })
    };
    let rounded = (off * 10.0).round() / 10.0;
    // East of north is clockwise, east of south is anticlockwise; `off` is positive to the east for both.
    if rounded == 0.0 {
        format!("due {pole}")
    } else if (rounded.abs() - 90.0).abs() < 1e-9 {
        format!("due {}", if rounded > 0.0 { "east" } else { "west" })
    } else {
        format!("{}° {} of {pole}", rounded.abs(), if rounded > 0.0 { "east" } else { "west" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bearing_is_said_in_words() {
        let say = |d: f64| in_words(TrueBearing::from_degrees(d));
        assert_eq!(say(182.0), "2° west of south");
        assert_eq!(say(167.0), "13° east of south");
        assert_eq!(say(180.0), "due south");
        assert_eq!(say(0.0), "due north");
        assert_eq!(say(350.0), "10° west of north");
        assert_eq!(say(90.0), "due east");
    }

    /// Acceptance story S2: compass 170 with 12° east, compass 180 with 13° west.
    #[test]
    fn compass_plus_east_declination_is_true() {
        assert!((CompassBearing::from_degrees(170.0).to_true(12.0).degrees() - 182.0).abs() < 1e-9);
        assert!((CompassBearing::from_degrees(180.0).to_true(-13.0).degrees() - 167.0).abs() < 1e-9);
    }
}
