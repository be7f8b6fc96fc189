//! # A cold string works above the tracking window
//!
//! What it checks: the voltage at maximum power on the coldest morning against the upper end of the input's tracking
//! window.
//!
//! Why it matters: above its window the input works away from the best point, so that the clear cold days of winter,
//! the ones that count, give less than they could.
//!
//! Known limits: cells as cold as the air, which they are only at sunrise; the loss is small when it is a matter of
//! the first hour.
//!
//! Source: common practice, no source; the arithmetic of the coefficient.
//!
//! Fails: eight modules of 41.5 V at −28 °C on a window that ends at 380 V: 394 V.
//! Passes: seven of them: 344 V.

use crate::words::{both, exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Measure, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D04",
    name: "cold-working-voltage-above-tracker",
    severity: Severity::Doubt,
    clause: practice("strings stay inside the tracking window when cold"),
    text: include_str!("cold_working_voltage_above_tracker.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for string in &study.strings {
        let (reached, high) = match both(&string.cold_vmp, &string.track_high) {
            Ok(known) => known,
            Err(gap) => {
                let thing = format!("string \"{}\"", string.name);
                findings.undecided_for(
                    &thing,
                    "whether it stays inside the tracking window when cold is not known",
                    gap,
                );
                continue;
            }
        };
        if !exceeds(reached, high) {
            continue;
        }
        let count_field = format!("string.{}.count", string.name);
        let count = string.count.value().map_or(0, |count| count.0);
        let finding = findings.fails(format!(
            "string \"{}\": {count} modules work at {} on the coldest morning, the tracking window ends at {}",
            string.name,
            say(study, reached),
            say(study, high)
        ));
        finding
            .at(count_field.clone(), format!("{count} in series set here"))
            .at_field(field(high), "tracking window set here")
            .figure(&["strings", &string.name, "cold-vmp"])
            .because([reached.term("reached", &units::VOLT), high.term("window", &units::VOLT)]);
        // Volts are shared evenly, so the count that fits is the same share of the count.
        let fits =
            (1..count).rev().find(|n| reached.si() * f64::from(*n) / f64::from(count) <= high.value.si());
        if let Some(n) = fits.filter(|n| string.shortest.value().is_some_and(|shortest| shortest.0 <= *n)) {
            finding.remedy(Remedy::set(
                format!("{n} modules instead of {count}"),
                count_field,
                n.to_string(),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    /// Eight at −28 °C: 8 · 41.5 · (1 + 0.0035 · 53) = 393.586 V.
    #[test]
    fn it_doubts_just_above_the_window() {
        let window = |tracks| [("inverter.i.pv_input.1.tracks", tracks)];
        assert_eq!(verdict("D04", &window(r#"["120 V", "393.5 V"]"#)), "doubt");
        assert_eq!(verdict("D04", &window(r#"["120 V", "393.586 V"]"#)), "passes");
        assert_eq!(verdict("D04", &window(r#"["120 V", "394 V"]"#)), "passes");
        assert_eq!(verdict("D04", &window(r#""unknown""#)), "undecided doubt");
    }

    #[test]
    fn the_remedy_is_the_most_that_fits() {
        let found = crate::trial::of("D04", &[("inverter.i.pv_input.1.tracks", r#"["120 V", "380 V"]"#)]);
        assert!(found[0].remedies[0].says.starts_with("7 modules"));
    }
}
