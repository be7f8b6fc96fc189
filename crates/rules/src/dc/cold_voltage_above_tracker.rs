//! # A string's cold open-circuit voltage lies above the tracking window
//!
//! What it checks: the cold open-circuit voltage against the upper end of the input's tracking window, for strings
//! that stay under every damage limit.
//!
//! Why it matters: it does not harm. The input starts a little later on a frosty morning, because it waits until the
//! voltage under load is inside its window; what it tracks is the voltage at maximum power, which lies lower.
//!
//! Known limits: some inputs refuse to start above the window; their manual says so.
//!
//! Source: common practice, no source.
//!
//! Fails: 453 V cold on a window that ends at 450 V and a damage limit of 500 V.
//! Passes: the same string on a window that ends at 460 V.

use crate::words::{exceeds, field, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D02",
    name: "cold-voltage-above-tracker",
    severity: Severity::Note,
    clause: practice("the input tracks maximum power, not open circuit"),
    text: include_str!("cold_voltage_above_tracker.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for string in &study.strings {
        let (Fact::Known(reached), Fact::Known(limit), Fact::Known(high)) =
            (&string.cold_voc, &string.limit, &string.track_high)
        else {
            continue;
        };
        if exceeds(reached, limit) || !exceeds(reached, high) {
            continue;
        }
        let working = string.cold_vmp.known().map_or_else(String::new, |vmp| {
            format!(" What is tracked is the voltage at maximum power, {} on that morning.", say(study, vmp))
        });
        findings
            .fails(format!(
                "string \"{}\": {} open circuit on the coldest morning is above the tracking window, which ends at {}, and under the damage limit of {}",
                string.name,
                say(study, reached),
                say(study, high),
                say(study, limit)
            ))
            .at(format!("string.{}.count", string.name), "modules in series set here")
            .at_field(field(high), "tracking window set here")
            .figure(&["strings", &string.name, "cold-voc"])
            .because([reached.term("reached", &units::VOLT), high.term("window", &units::VOLT)])
            .explains(format!("No energy is lost by it.{working}"));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    /// The cold string has 452.67 V.
    #[test]
    fn it_is_a_note_just_above_the_window_only() {
        let window = |tracks| [("inverter.i.pv_input.1.tracks", tracks)];
        assert_eq!(verdict("D02", &window(r#"["120 V", "452 V"]"#)), "note");
        assert_eq!(verdict("D02", &window(r#"["120 V", "452.6676 V"]"#)), "passes");
        assert_eq!(verdict("D02", &window(r#"["120 V", "453 V"]"#)), "passes");
        assert_eq!(verdict("D02", &window(r#""unknown""#)), "passes");
    }

    #[test]
    fn a_string_over_the_damage_limit_gets_no_soothing_note() {
        assert_eq!(verdict("D02", &[("string.row.count", "9")]), "passes");
    }
}
