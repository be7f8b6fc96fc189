//! # Strings on one input are not alike
//!
//! What it checks: strings that share an input have the same module, the same number in series and the same plane.
//!
//! Why it matters: strings in parallel share one voltage. A shorter one pulls the longer one off its best point, a
//! shaded or differently turned one loses some, and a stranger may push current back into the other.
//!
//! Known limits: planes of different bearing with equal strings lose little; the year says how much. The finding does
//! not weigh it.
//!
//! Source: common practice, no source.
//!
//! Fails: a string of 8 beside a string of 6 on one input.
//! Passes: both of 8, on one plane; or each on an input of its own.

use crate::words::named;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::practice;
use study::{StringStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "D05",
    name: "unequal-strings-on-one-input",
    severity: Severity::Doubt,
    clause: practice("strings on one input are alike"),
    text: include_str!("unequal_strings_on_one_input.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for input in &study.inputs {
        let here: Vec<&StringStudy> =
            study.strings.iter().filter(|s| s.unit == input.unit && s.input == input.input).collect();
        let Some((first, others)) = here.split_first() else { continue };
        for other in others {
            let counts = (first.count.value(), other.count.value());
            let mut differ = Vec::new();
            if first.module != other.module {
                differ.push(format!("modules \"{}\" and \"{}\"", first.module, other.module));
            }
            if let (Some(a), Some(b)) = counts
                && a != b
            {
                differ.push(format!("{} and {} in series", a.0, b.0));
            }
            if first.plane != other.plane {
                differ.push(format!("planes \"{}\" and \"{}\"", first.plane, other.plane));
            }
            if differ.is_empty() {
                continue;
            }
            let finding = findings.fails(format!(
                "strings {} share input {} of \"{}\" and differ: {}",
                named(&[&first.name, &other.name]),
                input.input,
                input.unit,
                differ.join("; ")
            ));
            finding
                .at(format!("string.{}", other.name), "this string")
                .at(format!("string.{}", first.name), "and this one")
                .explains("They share one voltage; the one that wants another gives less than it could.");
            if let Some(free) = free_input(study, &input.unit)
                && study
                    .design
                    .system
                    .strings
                    .iter()
                    .any(|s| s.string.name == other.name && s.through.is_empty())
            {
                finding.remedy(Remedy::set(
                    format!("\"{}\" on the free input {free}", other.name),
                    format!("string.{}.into.input", other.name),
                    free.to_string(),
                ));
            }
            if let (Some(a), Some(b)) = counts
                && a != b
                && differ.len() == 1
            {
                finding.remedy(Remedy::set(
                    format!("{} modules in \"{}\" too", a.0, other.name),
                    format!("string.{}.count", other.name),
                    a.0.to_string(),
                ));
            }
        }
    }
}

/// An input of the same unit that nothing goes into.
pub(super) fn free_input(study: &Study, unit: &str) -> Option<u32> {
    let system = &study.design.system;
    let inputs = system.pv_inputs(system.unit(unit)?).len() as u32;
    (1..=inputs).find(|n| !study.inputs.iter().any(|input| &*input.unit == unit && input.input == *n))
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const SECOND: &str = "[[string]]\nname = \"second\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 8\ninto = { unit = \"inverter\", input = 1 }";
    const PLANE: &str = "[[plane]]\nname = \"other\"\nmount = \"roof\"\ntilt = \"45°\"\nbearing = \"170°\"";

    #[test]
    fn like_strings_pass_and_unlike_ones_do_not() {
        assert_eq!(verdict("D05", &[("+", SECOND)]), "passes");
        assert_eq!(verdict("D05", &[("+", SECOND), ("string.second.count", "7")]), "doubt");
        assert_eq!(verdict("D05", &[("+", SECOND), ("string.second.count", "9")]), "doubt");
        assert_eq!(
            verdict("D05", &[("+", SECOND), ("+", PLANE), ("string.second.plane", "\"other\"")]),
            "doubt"
        );
    }

    #[test]
    fn an_input_of_its_own_is_offered_first() {
        let found = of("D05", &[("+", SECOND), ("string.second.count", "7")]);
        assert_eq!(found[0].remedies.len(), 2);
        assert!(found[0].remedies[0].says.contains("input 2"));
        assert_eq!(
            verdict("D05", &[("+", SECOND), ("string.second.count", "7"), ("string.second.into.input", "2")]),
            "passes"
        );
    }
}
