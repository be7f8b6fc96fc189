//! # A panel has not enough free spaces for the breakers that go into it
//!
//! What it checks: the breaker spaces that are free in a panel against the poles of the breakers this design puts there: of
//! each circuit that leaves it, and of each source where several feed it.
//!
//! Why it matters: it is seen on the day the breaker is in the hand. Two wires under one screw, or a breaker of another make
//! pushed in, is what happens then, and both burn.
//!
//! Known limits: Branch circuits of the loads stand in no design: state what they leave free. Half-size breakers are not
//! counted. A panel that a single source feeds by its main device or lugs takes none for it.
//!
//! Source: NEC 2023, 408.54, 408.36 (from memory); one space for each pole is common practice, no source.
//!
//! Fails: a feeder of two poles out of a panel with one space.
//! Passes: the same with two.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A30",
    name: "panel-spaces-too-few",
    severity: Severity::Doubt,
    clause: nec("2023", "408.54", Standing::Remembered),
    text: include_str!("panel_spaces_too_few.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() {
        return;
    }
    for panel in study::panel_spaces(study) {
        let field = format!("panel.{}.spaces", panel.panel);
        match &panel.free {
            Fact::Known(free) if free.value.0 < panel.needs.value.0 => {
                findings
                    .fails(format!(
                        "panel \"{}\": its breakers here take {} spaces, {} are free",
                        panel.panel, panel.needs.value.0, free.value.0
                    ))
                    .at(field, "free spaces set here")
                    .because([panel.needs.term("needed", &units::COUNT), free.term("free", &units::COUNT)])
                    .explains(format!("They serve {}.", crate::words::named(&panel.serves)));
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let says = format!(
                    "how many breaker spaces are free is not known, {} are needed",
                    panel.needs.value.0
                );
                findings.undecided(format!("panel \"{}\": {says}", panel.panel), gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::means::building_without_disconnect::tests::BARN;
    use crate::trial::{of, verdict};

    #[test]
    fn a_feeder_of_two_poles_takes_two_spaces() {
        assert_eq!(verdict("A30", &[]), "passes");
        let free = |n: &'static str| verdict("A30", &[("+", BARN), ("panel.panel.spaces", n)]);
        assert_eq!(free("2"), "passes");
        assert_eq!(free("1"), "doubt");
        assert_eq!(verdict("A30", &[("+", BARN)]), "undecided doubt");
        assert!(of("A30", &[("+", BARN)])[0].says.contains("2 are needed"));
    }

    /// Two units of two poles each meet in the panel.
    #[test]
    fn several_sources_have_a_breaker_each() {
        let second = "[[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"bank\"\nroom = \"corner\"";
        let fed = ("panel.panel.fed_by", "[\"inverter\", \"second\"]");
        let free = |n: &'static str| verdict("A30", &[("+", second), fed, ("panel.panel.spaces", n)]);
        assert_eq!(free("4"), "passes");
        assert_eq!(free("3"), "doubt");
    }
}
