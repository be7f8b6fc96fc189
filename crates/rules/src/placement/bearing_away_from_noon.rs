//! # A plane faces away from the noon sun
//!
//! What it checks: the true bearing of every plane that is not nearly level against the side where the sun stands at
//! noon: south in the northern hemisphere, north in the southern one. More than a quarter turn away is a doubt, more
//! than an eighth a note.
//!
//! Why it matters: bearings are easily entered from the wrong side, as degrees from south or with the wrong sign, and
//! the winter pays for it. A plane that is meant so is left as it is.
//!
//! Between the tropics the noon sun changes sides over the year. Where it stands on one side on two days of three or more,
//! a plane that faces away from that side is a note; nearer to the equator nothing is said.
//!
//! Known limits: hills and houses are not looked at here; the finder does.
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

/// Share of the days on one side from which a plane on the other side is worth a note; own judgement, no source.
const MOSTLY: f64 = 2.0 / 3.0;
/// Under this tilt a plane hardly faces anywhere.
const NEARLY_LEVEL_DEGREES: f64 = 10.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let Some(latitude) = system.place.latitude.si().map(|radians| units::DEGREE_UNIT.of_si(radians)) else {
        return;
    };
    let days = sun::noon_sun_towards_equator(latitude);
    if days < MOSTLY {
        return;
    }
    let in_tropics = latitude.abs() <= sun::TROPIC_DEG;
    let (noon, side) = if latitude > 0.0 { (180.0, "south") } else { (0.0, "north") };
    for plane in &system.planes {
        let (Fact::Known(bearing), Some(tilt)) = (&plane.bearing, plane.tilt.si()) else { continue };
        if units::DEGREE_UNIT.of_si(tilt) <= NEARLY_LEVEL_DEGREES {
            continue;
        }
        let off = ((bearing.value.degrees() - noon + 540.0).rem_euclid(360.0) - 180.0).abs();
        let words = bearing_in_words(bearing.value);
        let degrees = (bearing.value.degrees() * 10.0).round() / 10.0;
        let finding = if in_tropics {
            if off <= 90.0 + 1e-9 {
                continue;
            }
            findings.fails_as(
                Severity::Note,
                format!(
                    "plane \"{}\" faces {degrees}°, {words}; between the tropics here the noon sun stands in the {side} on about {:.0} days of the year",
                    plane.name,
                    days * 365.0
                ),
            )
        } else if off > 90.0 + 1e-9 {
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

    /// 20° north: the noon sun passes overhead towards the end of May and of July, so 300 days of 365 are in the south.
    #[test]
    fn between_the_tropics_the_side_of_most_noons_counts() {
        let at = |latitude: &'static str, bearing: &'static str| {
            of("P01", &[("place.latitude", latitude), ("plane.rack.bearing", bearing)])
        };
        let north = at("20.0", "\"0°\"");
        assert!(north[0].says.contains("in the south on about 303 days"), "{}", north[0].says);
        assert_eq!(north[0].severity, crate::Severity::Note);
        assert!(at("20.0", "\"180°\"").is_empty() && at("20.0", "\"90°\"").is_empty());
        assert!(at("-20.0", "\"180°\"")[0].says.contains("in the north"));
        assert!(at("-20.0", "\"0°\"").is_empty());
        // Near the equator either side is as good.
        assert!(at("5.0", "\"0°\"").is_empty() && at("5.0", "\"180°\"").is_empty());
        assert!(at("0.0", "\"0°\"").is_empty());
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
