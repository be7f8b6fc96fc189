//! # A plane faces away from the noon sun
//!
//! What it checks: the true bearing of every plane that is not nearly level against the side where the sun stands at
//! noon: south in the northern hemisphere, north in the southern one. More than a quarter turn away is a doubt, more
//! than an eighth a note.
//!
//! Why it matters: bearings are easily entered from the wrong side, as degrees from south or with the wrong sign, and
//! the winter pays for it. A plane that is meant so is left as it is.
//!
//! Known limits: between the tropics the noon sun changes sides over the year; there nothing is said.
//!
//! Source: geometry; a bearing is clockwise from true north.
//!
//! Fails: a rack of 45° at 42° north that faces 20°.
//! Passes: one that faces 182°, 2° west of south.

use crate::words::field;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, bearing_in_words, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P01",
    name: "bearing-away-from-noon",
    severity: Severity::Doubt,
    clause: practice("planes face the noon sun unless they are meant otherwise"),
    text: include_str!("bearing_away_from_noon.rs"),
    check,
};

/// Tropics of the sun.
const TROPIC_DEGREES: f64 = 23.44;
/// Under this tilt a plane hardly faces anywhere.
const NEARLY_LEVEL_DEGREES: f64 = 10.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let Some(latitude) = system.place.latitude.si().map(|radians| units::DEGREE_UNIT.of_si(radians)) else {
        return;
    };
    if latitude.abs() <= TROPIC_DEGREES {
        return;
    }
    let (noon, side) = if latitude > 0.0 { (180.0, "south") } else { (0.0, "north") };
    for plane in &system.planes {
        let (Fact::Known(bearing), Some(tilt)) = (&plane.bearing, plane.tilt.si()) else { continue };
        if units::DEGREE_UNIT.of_si(tilt) <= NEARLY_LEVEL_DEGREES {
            continue;
        }
        let off = ((bearing.value.degrees() - noon + 540.0).rem_euclid(360.0) - 180.0).abs();
        let words = bearing_in_words(bearing.value);
        let degrees = (bearing.value.degrees() * 10.0).round() / 10.0;
        let finding = if off > 90.0 + 1e-9 {
            findings.fails(format!(
                "plane \"{}\" faces {degrees}°, {words}: away from the noon sun, which stands in the {side} here",
                plane.name
            ))
        } else if off > 45.0 + 1e-9 {
            findings.fails_as(
                Severity::Note,
                format!(
                    "plane \"{}\" faces {degrees}°, {words}; the noon sun stands in the {side} here",
                    plane.name
                ),
            )
        } else {
            continue;
        };
        finding
            .at_field(field(bearing), "bearing set here")
            .explains("A bearing counts clockwise from true north: 90° is east, 180° south, 270° west. Was it meant from south, or from the other side?");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn faces(bearing: &str) -> String {
        verdict("P01", &[("plane.rack.bearing", bearing)])
    }

    #[test]
    fn a_quarter_turn_away_is_a_doubt_and_an_eighth_a_note() {
        assert_eq!(faces("\"135°\""), "passes");
        assert_eq!(faces("\"134°\""), "note");
        assert_eq!(faces("\"90°\""), "note");
        assert_eq!(faces("\"89°\""), "doubt");
        assert_eq!(faces("\"271°\""), "doubt");
        assert_eq!(faces("\"unknown\""), "passes");
    }

    /// Acceptance story S2: compass 170° with 12° east is 182°, 2° west of south; 180° with 13° west is 167°.
    #[test]
    fn a_compass_bearing_is_turned_before_it_is_judged() {
        assert_eq!(faces(r#"{ compass = "170°", declination = "12°" }"#), "passes");
        assert_eq!(faces(r#"{ compass = "180°", declination = "-13°" }"#), "passes");
        let found = of("P01", &[("plane.rack.bearing", r#"{ compass = "60°", declination = "12°" }"#)]);
        assert!(found[0].says.contains("72°, 72° east of north"), "{}", found[0].says);
    }

    #[test]
    fn the_southern_noon_stands_in_the_north() {
        let south = [
            ("place.latitude", "-42.0"),
            ("place.longitude", "147.0"),
            ("place.zone", "\"Australia/Hobart\""),
        ];
        assert_eq!(verdict("P01", &south), "doubt");
        let north: Vec<_> = south.into_iter().chain([("plane.rack.bearing", "\"10°\"")]).collect();
        assert_eq!(verdict("P01", &north), "passes");
    }
}
