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

/// A bearing said in words: "7° east of south", "due north", "south-west". `None` for anything else; angles off a pole run
/// from 0° to 90°.
pub fn of_words(text: &str) -> Option<TrueBearing> {
    let text = text.trim().to_lowercase();
    let point = |word: &str| {
        Some(match word {
            "north" => 0.0,
            "north-east" | "northeast" => 45.0,
            "east" => 90.0,
            "south-east" | "southeast" => 135.0,
            "south" => 180.0,
            "south-west" | "southwest" => 225.0,
            "west" => 270.0,
            "north-west" | "northwest" => 315.0,
            _ => return None,
        })
    };
    if let Some(degrees) = point(text.strip_prefix("due ").unwrap_or(&text).trim()) {
        return Some(TrueBearing::from_degrees(degrees));
    }
    let (off, pole) = text.split_once(" of ")?;
    let (number, side) = off.trim().rsplit_once(char::is_whitespace)?;
    let number =
        number.trim().trim_end_matches('°').trim_end_matches("degrees").trim_end_matches("deg").trim();
    let off: f64 = number.parse().ok().filter(|off| (0.0..=90.0).contains(off))?;
    // East of north is clockwise, east of south anticlockwise.
    let degrees = match (side, pole.trim()) {
        ("east", "north") => off,
        ("west", "north") => -off,
        ("east", "south") => 180.0 - off,
        ("west", "south") => 180.0 + off,
        _ => return None,
    };
    Some(TrueBearing::from_degrees(degrees))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_degrees_say_the_same_bearing() {
        let read = |text: &str| of_words(text).map(|bearing| (bearing.degrees() * 1e9).round() / 1e9);
        assert_eq!(read("7° east of south"), Some(173.0));
        assert_eq!(read("12.5 degrees West of North"), Some(347.5));
        assert_eq!(read("due south"), Some(180.0));
        assert_eq!(read("south-west"), Some(225.0));
        for wrong in ["7° south of east", "95° east of south", "-3° east of south", "7 east", "south 7", ""]
        {
            assert_eq!(read(wrong), None, "{wrong}");
        }
        // What is said in words is read back.
        for degrees in 0..360 {
            let bearing = TrueBearing::from_degrees(f64::from(degrees));
            let back = of_words(&in_words(bearing)).map_or(f64::NAN, TrueBearing::degrees);
            assert!((back - f64::from(degrees)).abs() < 1e-9, "{degrees}: {}", in_words(bearing));
        }
    }

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
