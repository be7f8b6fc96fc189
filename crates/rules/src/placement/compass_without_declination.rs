//! # A compass bearing without its declination
//!
//! What it checks: a bearing taken with a compass comes with its declination, or with the day of the reading, for which
//! the World Magnetic Model gives it.
//!
//! Why it matters: a needle does not point to true north. The difference is up to twenty degrees in inhabited places,
//! and its sign decides which way the rack is turned wrong.
//!
//! Known limits: the model answers for days of 2025 to 2029 at a place with known latitude, longitude and elevation, not
//! close to a magnetic pole, where no compass is to be believed. It knows nothing of iron near by. Elsewhere, and without
//! a day, this stays a question; nothing is guessed.
//!
//! Source: the definition of declination: true = compass + declination, east positive. US/UK World Magnetic Model for
//! 2025-2030, technical report (from memory).
//!
//! Fails: `bearing = { compass = "170°" }`: neither day nor declination.
//! Passes: `bearing = { compass = "170°", declination = "12°" }`: 182° true.
//! Passes: `bearing = { compass = "170°", taken = 2026-03-20 }`: the model's declination is added.

use crate::{Findings, Rule, Severity};
use quantity::{Clause, Fact, Standing};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P02",
    name: "compass-without-declination",
    severity: Severity::Doubt,
    clause: Clause {
        document: "definition",
        edition: "",
        clause: "true = compass + declination",
        standing: Standing::Computed,
    },
    text: include_str!("compass_without_declination.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for plane in &study.design.system.planes {
        let Fact::Unknown(gap) = &plane.bearing else { continue };
        if gap.missing.iter().any(|missing| missing.field.as_str().ends_with(".declination")) {
            findings
                .undecided(
                    format!("plane \"{}\": a compass bearing, and the declination of the place is not known", plane.name),
                    gap.clone(),
                )
                .explains("East is positive: a compass reading of 170° where the declination is 12° east is 182° true.");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn the_declination_is_asked_for() {
        assert_eq!(verdict("P02", &[]), "passes");
        assert_eq!(verdict("P02", &[("plane.rack.bearing", r#"{ compass = "170°" }"#)]), "undecided doubt");
        assert_eq!(
            verdict("P02", &[("plane.rack.bearing", r#"{ compass = "170°", declination = "12°" }"#)]),
            "passes"
        );
        // A bearing that is not known at all is another question.
        assert_eq!(verdict("P02", &[("plane.rack.bearing", "\"unknown\"")]), "passes");
    }
}
