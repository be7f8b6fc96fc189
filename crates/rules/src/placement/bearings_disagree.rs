//! # Two statements of a bearing disagree
//!
//! What it checks: a plane whose bearing is stated twice, in degrees, in words or by compass, against itself. The two may
//! lie apart as far as `second_bearing.within` says, and by two standard deviations of the magnetic model where a compass
//! reading rests on it.
//!
//! Why it matters: one of the two is wrong, and most wrong bearings are wrong by much: a declination with its sign turned,
//! degrees counted from south, magnetic taken for true.
//!
//! Known limits: which of the two is right it cannot know; the year goes by `bearing`.
//!
//! Source: geometry; a bearing is clockwise from true north.
//!
//! Fails: `bearing = "180°"` and `second_bearing = { bearing = "12° east of south" }`: 12° apart, 5° allowed.
//! Passes: `bearing = "180°"` and `second_bearing = { bearing = "4° east of south" }`.

use crate::words::{above, both, field};
use crate::{Findings, Rule, Severity};
use quantity::{TrueBearing, bearing_in_words, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P04",
    name: "bearings-disagree",
    severity: Severity::Doubt,
    clause: practice("one plane faces one way"),
    text: include_str!("bearings_disagree.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for site in &system.sites {
        let Some(second) = &site.second_bearing else { continue };
        let Some(plane) = system.planes.iter().find(|plane| plane.name == site.plane) else { continue };
        let thing = format!("plane \"{}\"", plane.name);
        let (first, again) = match both(&plane.bearing, &second.bearing) {
            Ok(pair) => pair,
            Err(gap) => {
                findings.undecided_for(&thing, "its two bearings cannot be compared yet", gap);
                continue;
            }
        };
        let Some(allowed) = second.apart.known() else {
            let gap = second.apart.gap().cloned().unwrap_or(quantity::Gap { missing: Vec::new() });
            findings.undecided_for(&thing, "how far its two bearings may lie apart is not known", gap);
            continue;
        };
        let apart = apart_deg(first.value, again.value);
        let allowed_deg = units::DEGREE_UNIT.of_si(allowed.si());
        if !above(apart, allowed_deg) {
            continue;
        }
        let said = |bearing: TrueBearing| {
            format!("{}° ({})", (bearing.degrees() * 10.0).round() / 10.0, bearing_in_words(bearing))
        };
        let finding = findings.fails(format!(
            "{thing}: its two bearings, {} and {}, lie {apart:.1}° apart; {allowed_deg:.1}° is allowed",
            said(first.value),
            match &second.basis {
                Some(basis) => format!("{} by {basis}", said(again.value)),
                None => said(again.value),
            }
        ));
        finding
            .at_field(field(first), "first stated here")
            .at_field(field(again), "again here")
            .because([
                first.term("bearing", &units::TRUE_DEGREE),
                again.term("second bearing", &units::TRUE_DEGREE),
                allowed.term("may lie apart", &units::DEGREE_UNIT),
            ])
            .explains("The year goes by the first. Look along the plane again: by the shadow of a plumb line at true noon, or on an aerial photograph.");
        // The mistakes that are made most, each with what it would do to the second bearing.
        for (would, because) in [
            (
                again.value.degrees() + 180.0,
                "one of the two looks the other way, along the roof or from the house",
            ),
            (360.0 - again.value.degrees(), "east and west are turned in one of the two"),
        ] {
            if !above(apart_deg(first.value, TrueBearing::from_degrees(would)), allowed_deg) {
                finding.explains(format!("They would agree if {because}."));
            }
        }
    }
}

/// Angle between two bearings, degrees, 0 to 180.
fn apart_deg(a: TrueBearing, b: TrueBearing) -> f64 {
    ((a.degrees() - b.degrees() + 540.0).rem_euclid(360.0) - 180.0).abs()
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn against(first: &str, second: &str) -> String {
        verdict("P04", &[("plane.rack.bearing", first), ("plane.rack.second_bearing", second)])
    }

    #[test]
    fn a_tenth_of_a_degree_beyond_what_is_allowed_decides() {
        assert_eq!(verdict("P04", &[]), "passes");
        assert_eq!(against("\"180°\"", r#"{ bearing = "5° east of south" }"#), "passes");
        assert_eq!(against("\"180°\"", r#"{ bearing = "5.1° east of south" }"#), "doubt");
        assert_eq!(against("\"180°\"", r#"{ bearing = "174°", within = "6°" }"#), "passes");
        assert_eq!(against("\"180°\"", r#"{ bearing = "174°", within = "5.9°" }"#), "doubt");
        // Over north.
        assert_eq!(against("\"358°\"", r#"{ bearing = "1°" }"#), "passes");
        assert_eq!(against("\"355°\"", r#"{ bearing = "3°" }"#), "doubt");
    }

    /// Acceptance story S2: compass 170° with 12° east is 182° true; with the sign lost it would be 158°.
    #[test]
    fn a_compass_and_a_map_are_compared_in_true_degrees() {
        let second = r#"{ bearing = "2° west of south" }"#;
        assert_eq!(against(r#"{ compass = "170°", declination = "12°" }"#, second), "passes");
        assert_eq!(against(r#"{ compass = "170°", declination = "-12°" }"#, second), "doubt");
        assert_eq!(against(r#"{ compass = "170°" }"#, second), "undecided doubt");
    }

    /// By the model the declination at 42° N 118° W is about 13° east with half a degree of standard deviation: 167.8° by
    /// compass is 181° true.
    #[test]
    fn the_model_leaves_a_degree_more_open() {
        let by_model = |within: &str| {
            let second =
                format!(r#"{{ bearing = {{ compass = "168°", taken = 2026-03-20 }}, within = "{within}" }}"#);
            of("P04", &[("plane.rack.bearing", "\"182°\""), ("plane.rack.second_bearing", &second)])
        };
        assert!(by_model("2°").is_empty());
        let told = r#"{ bearing = "20°", basis = "aerial photograph" }"#;
        let told = of("P04", &[("plane.rack.bearing", "\"200°\""), ("plane.rack.second_bearing", told)]);
        assert!(told[0].says.contains("by aerial photograph"), "{}", told[0].says);
        let turned = of(
            "P04",
            &[("plane.rack.bearing", "\"200°\""), ("plane.rack.second_bearing", r#"{ bearing = "20°" }"#)],
        );
        assert!(turned[0].more.iter().any(|more| more.contains("the other way")), "{:?}", turned[0].more);
        // 40° east of south against 40° west of it.
        let second = r#"{ bearing = "220°" }"#;
        let mirrored =
            of("P04", &[("plane.rack.bearing", "\"140°\""), ("plane.rack.second_bearing", second)]);
        let more = &mirrored[0].more;
        assert!(more.iter().any(|line| line.contains("east and west")), "{more:?}");
        assert!(!more.iter().any(|line| line.contains("the other way")), "{more:?}");
    }
}
