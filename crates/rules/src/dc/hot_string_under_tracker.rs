//! # A hot string falls under the tracking window
//!
//! What it checks: the voltage at maximum power on the hottest bright afternoon against the lower end of the input's
//! tracking window.
//!
//! Why it matters: hot modules give fewer volts. A string that is too short drops out of the window just when the sun
//! is best, and the summer disappoints without anything being broken.
//!
//! Known limits: cell temperature by a fixed rise above air; the drop on the way and the loss with age are not taken
//! off yet; a charger also needs some volts above the battery, which its window usually contains.
//!
//! Source: common practice, no source; the arithmetic of the coefficient.
//!
//! Fails: three modules of 41.5 V at 70 °C cells on a window that begins at 120 V: 105 V.
//! Passes: four of them: 140 V.

use crate::words::{both, exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, practice, product_of_count, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D03",
    name: "hot-string-under-tracker",
    severity: Severity::Doubt,
    clause: practice("strings stay inside the tracking window when hot"),
    text: include_str!("hot_string_under_tracker.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for string in &study.strings {
        let (reached, low) = match both(&string.hot_vmp, &string.track_low) {
            Ok(known) => known,
            Err(gap) => {
                let thing = format!("string \"{}\"", string.name);
                findings.undecided_for(
                    &thing,
                    "whether it stays inside the tracking window when hot is not known",
                    gap,
                );
                continue;
            }
        };
        if !exceeds(low, reached) {
            continue;
        }
        let count_field = format!("string.{}.count", string.name);
        let count = string.count.value().map_or(0, |count| count.0);
        let finding = findings.fails(format!(
            "string \"{}\": {count} modules give {} on the hottest afternoon, the tracking window begins at {}",
            string.name,
            say(study, reached),
            say(study, low)
        ));
        finding
            .at(count_field.clone(), format!("{count} in series set here"))
            .at_field(field(low), "tracking window set here")
            .figure(&["strings", &string.name, "hot-vmp"])
            .because([reached.term("reached", &units::VOLT), low.term("window", &units::VOLT)])
            .explains("Under its window the input stops or works far from the best point, in the best hours of summer.");
        if let (Fact::Known(shortest), Fact::Known(each)) = (&string.shortest, &string.hot_vmp_each)
            && string.longest.value().is_some_and(|longest| longest.0 >= shortest.count())
        {
            let n = shortest.count();
            let volts = say(study, &product_of_count(shortest, each, &units::VOLT));
            finding.remedy(Remedy::set(
                format!("{n} modules instead of {count}: {volts} when hot"),
                count_field,
                n.to_string(),
            ));
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::Change;
    use crate::trial::{of, verdict};

    /// One hot module: 41.5 · (1 − 0.0035 · 45) = 34.96 V; three 104.9 V, four 139.9 V.
    #[test]
    fn three_are_too_few_and_four_are_enough() {
        assert_eq!(verdict("D03", &[("string.row.count", "3")]), "doubt");
        assert_eq!(verdict("D03", &[("string.row.count", "4")]), "passes");
        let found = of("D03", &[("string.row.count", "2")]);
        let Change::Set { value, .. } = &found[0].remedies[0].changes[0] else { panic!() };
        assert_eq!(value, "4");
    }

    /// Eight of them: 279.71 V.
    #[test]
    fn a_window_just_reached_passes() {
        let window = |tracks| [("inverter.i.pv_input.1.tracks", tracks)];
        assert_eq!(verdict("D03", &window(r#"["279.7 V", "460 V"]"#)), "passes");
        assert_eq!(verdict("D03", &window(r#"["279.71 V", "460 V"]"#)), "passes");
        assert_eq!(verdict("D03", &window(r#"["279.8 V", "460 V"]"#)), "doubt");
        assert_eq!(verdict("D03", &window(r#""unknown""#)), "undecided doubt");
    }
}
