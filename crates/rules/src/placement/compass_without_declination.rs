//! # A compass bearing without its declination
//!
//! What it checks: a bearing taken with a compass comes with the magnetic declination of place and date.
//!
//! Why it matters: a needle does not point to true north. The difference is up to twenty degrees in inhabited places,
//! and its sign decides which way the rack is turned wrong.
//!
//! Known limits: there is no model of the earth's field here yet; nothing is guessed.
//!
//! Source: the definition of declination: true = compass + declination, east positive.
//!
//! Fails: `bearing = { compass = "170°" }`.
//! Passes: `bearing = { compass = "170°", declination = "12°" }`: 182° true.

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
