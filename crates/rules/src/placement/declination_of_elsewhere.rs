//! # A stated declination is not that of the place
//!
//! What it checks: every compass bearing of the design (planes, horizon, obstacles) whose declination is stated, against
//! the World Magnetic Model for the place and the day of the reading, or for all years of the model where no day is named.
//! They may differ by two standard deviations of the model and a degree of rounding. Near a magnetic pole it says in which
//! zone of the model the place lies: in the caution zone (level field of 2000 to 6000 nT) the needle is weak, in the
//! blackout zone (below 2000 nT) it is of no use.
//!
//! Why it matters: a declination with its sign turned, or from an old map, turns the rack by twice or by half of it.
//!
//! Known limits: the model holds from 2025 to 2029; a reading of another day is not compared. Iron near by is not in the
//! model: a truck or a steel roof moves a needle by more than the map ever will.
//!
//! Source: US/UK World Magnetic Model for 2025-2030, technical report: error model, caution and blackout zones (from
//! memory). The degree of rounding is own judgement.
//!
//! Fails: `{ compass = "170°", declination = "-12°" }` where the model gives 13° east.
//! Passes: `{ compass = "170°", declination = "12°" }` there.

use crate::{Findings, Rule, Severity};
use design::compass::{CompassReading, ModelDeclination};
use quantity::{Clause, Standing, units};
use study::Study;
use sun::MagneticZone;

pub(crate) static RULE: Rule = Rule {
    code: "P05",
    name: "declination-of-elsewhere",
    severity: Severity::Doubt,
    clause: Clause {
        document: "World Magnetic Model 2025, technical report",
        edition: "2024",
        clause: "declination, error model, caution zones",
        standing: Standing::Remembered,
    },
    text: include_str!("declination_of_elsewhere.rs"),
    check,
};

/// Declinations of maps and tables are rounded to half a degree or a whole one.
const ROUNDING_DEGREES: f64 = 1.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let readings = &study.design.system.compass;
    let mut told: Vec<f64> = Vec::new();
    for reading in readings {
        let (Some(stated), Some(model)) = (&reading.declination, &reading.model) else { continue };
        let value = stated.value.0;
        let allowed = 2.0 * model.uncertainty_deg + ROUNDING_DEGREES;
        let inside = |degrees: f64| {
            let off = |from: f64| ((degrees - from + 540.0).rem_euclid(360.0) - 180.0).abs();
            (model.least_deg..=model.most_deg).contains(&degrees)
                || off(model.least_deg).min(off(model.most_deg)) <= allowed + 1e-9
        };
        // One wrong number is one finding, wherever it was used.
        if inside(value)
            || model.zone == MagneticZone::Blackout
            || told.iter().any(|t| (t - value).abs() < 1e-9)
        {
            continue;
        }
        told.push(value);
        let others: Vec<&CompassReading> = readings
            .iter()
            .filter(|other| other.field != reading.field)
            .filter(|other| other.declination.as_ref().is_some_and(|d| (d.value.0 - value).abs() < 1e-9))
            .collect();
        let finding = findings.fails(format!(
            "a declination of {} is stated; the magnetic model gives {} here, ± {allowed:.1}°",
            side(value),
            between(model)
        ));
        finding.at(reading.field.as_str(), "stated here");
        for other in others.iter().take(3) {
            finding.at(other.field.as_str(), "and here");
        }
        finding.because([stated.term("declination, degrees, east positive", &units::NUMBER)]);
        finding.explains(if inside(-value) {
            "With its sign turned it would fit: east is positive, true bearing = compass + declination."
        } else {
            "East is positive, true bearing = compass + declination. Old maps are off by a degree or more; with `taken`, the day of the reading, and no declination the model's is used."
        });
    }
    near_a_pole(study, findings);
}

/// Says once in which zone of the model the place lies, where a compass was used there.
fn near_a_pole(study: &Study, findings: &mut Findings<'_>) {
    let zoned = study.design.system.compass.iter().filter_map(|reading| Some((reading, reading.model?)));
    let worst = zoned.min_by(|a, b| a.1.horizontal_nt.total_cmp(&b.1.horizontal_nt));
    let Some((reading, model)) = worst else { return };
    let strength = format!("{:.0} nT", model.horizontal_nt);
    let finding = match model.zone {
        MagneticZone::Usual => return,
        MagneticZone::Caution => findings.fails_as(
            Severity::Note,
            format!(
                "a compass was used in the caution zone of the magnetic model: the level field is {strength}, and the needle may be off by {:.0}° and more",
                2.0 * model.uncertainty_deg
            ),
        ),
        MagneticZone::Blackout => findings.fails(format!(
            "a compass was used in the blackout zone of the magnetic model: the level field is {strength}, and no needle is to be believed"
        )),
    };
    finding
        .at(reading.field.as_str(), "read by compass")
        .explains("Take the bearing from a map, or from the shadow of a plumb line at true noon.");
}

fn side(degrees: f64) -> String {
    format!("{:.1}° {}", degrees.abs(), if degrees < 0.0 { "west" } else { "east" })
}

fn between(model: &ModelDeclination) -> String {
    let (least, most) = (side(model.least_deg), side(model.most_deg));
    if least == most { least } else { format!("{least} to {most} from 2025 to 2029") }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn stated(bearing: &str) -> String {
        verdict("P05", &[("plane.rack.bearing", bearing)])
    }

    #[test]
    fn a_declination_with_its_sign_turned_is_told_so() {
        assert_eq!(stated("\"180°\""), "passes");
        assert_eq!(stated(r#"{ compass = "170°", declination = "13°" }"#), "passes");
        assert_eq!(stated(r#"{ compass = "170°", declination = "12°" }"#), "passes");
        assert_eq!(stated(r#"{ compass = "170°", declination = "-13°" }"#), "doubt");
        // Two standard deviations of half a degree and a degree of rounding leave about two degrees.
        assert_eq!(stated(r#"{ compass = "170°", declination = "17°" }"#), "doubt");
        assert_eq!(stated(r#"{ compass = "170°", taken = 2026-03-20, declination = "-13°" }"#), "doubt");
        // Another day than the model's years is not compared.
        assert_eq!(stated(r#"{ compass = "170°", taken = 2009-03-20, declination = "-13°" }"#), "passes");
        let found = of("P05", &[("plane.rack.bearing", r#"{ compass = "170°", declination = "-13°" }"#)]);
        assert!(found[0].more[0].contains("sign turned"), "{:?}", found[0].more);
        assert!(found[0].says.contains("13.0° west is stated"), "{}", found[0].says);
    }

    #[test]
    fn the_same_wrong_number_at_an_obstacle_is_the_same_finding() {
        let wrong = r#"{ compass = "170°", declination = "20°" }"#;
        let tree = r#"[{ name = "tree", from = { compass = "120°", declination = "20°" }, to = "160°", distance = "9 m", height = "5 m" }]"#;
        let changes = [("plane.rack.bearing", wrong), ("plane.rack.obstacles", tree)];
        let found = of("P05", &changes);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!(found[0].at.len(), 2);
    }

    /// The model's north pole of dip lies near 86° N 139° E in 2025 (from memory); Resolute at 75° N 95° W lies in its
    /// caution zone.
    #[test]
    fn zones_near_a_pole_are_named() {
        let at = |latitude: &'static str, longitude: &'static str, zone: &'static str| {
            let place = [
                ("place.latitude", latitude),
                ("place.longitude", longitude),
                ("place.zone", zone),
                ("plane.rack.bearing", r#"{ compass = "10°", taken = 2026-06-01 }"#),
            ];
            of("P05", &place).into_iter().map(|found| found.says).collect::<Vec<_>>()
        };
        let caution = at("75.0", "-95.0", "\"America/Resolute\"");
        assert!(caution[0].contains("caution zone"), "{caution:?}");
        assert!(at("86.0", "139.0", "\"Asia/Yakutsk\"")[0].contains("blackout zone"));
        assert!(at("60.0", "10.0", "\"Europe/Oslo\"").is_empty());
    }
}
