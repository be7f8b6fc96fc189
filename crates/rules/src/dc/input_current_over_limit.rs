//! # More short-circuit current than an input withstands
//!
//! What it checks: 1.25 times the short-circuit currents of all strings on an input against the highest short-circuit
//! current its maker allows.
//!
//! Why it matters: this limit is one of damage, not of harvest. Beyond it a fault inside the input is fed with more
//! current than its parts can carry.
//!
//! Known limits: the factor 1.25 covers bright moments at the edge of clouds; a maker may state the limit with that
//! margin already inside.
//!
//! Source: NEC 2023, 690.8(A) (read second-hand) for the factor; the input's data sheet for the limit.
//!
//! Fails: two strings of 13.9 A on an input of 20 A: 34.8 A.
//! Passes: one of them: 17.4 A.

use super::unequal_strings_on_one_input::free_input;
use crate::words::{both, exceeds, field, named, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D06",
    name: "input-current-over-limit",
    severity: Severity::Danger,
    clause: nec("2023", "690.8(A)", Standing::SecondHand),
    text: include_str!("input_current_over_limit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for input in &study.inputs {
        let (reached, limit) = match both(&input.maximum, &input.short_circuit_limit) {
            Ok(known) => known,
            Err(gap) => {
                let thing = format!("input {} of \"{}\"", input.input, input.unit);
                findings.undecided_for(
                    &thing,
                    "the short-circuit current of its strings cannot be held against its limit",
                    gap,
                );
                continue;
            }
        };
        if !exceeds(reached, limit) {
            continue;
        }
        let number = format!("input {}", input.input);
        let last = input.strings.last().cloned().unwrap_or_default();
        let finding = findings.fails(format!(
            "{number} of \"{}\": {} can send {} into a short circuit, it withstands {}",
            input.unit,
            named(&input.strings),
            say(study, reached),
            say(study, limit)
        ));
        finding
            .at(format!("string.{last}.into"), "goes into this input")
            .at_field(field(limit), "limit set here")
            .figure(&["inputs", &input.unit, &number, "maximum"])
            .because([reached.term("reached", &units::AMPERE), limit.term("limit", &units::AMPERE)])
            .explains("The limit is one of damage. The current the input uses is another, lower figure and only costs harvest.");
        if input.strings.len() > 1
            && let Some(free) = free_input(study, &input.unit)
        {
            finding.remedy(Remedy::set(
                format!("\"{last}\" on the free input {free}"),
                format!("string.{last}.into.input"),
                free.to_string(),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// One string: 1.25 · 13.9 A = 17.375 A.
    #[test]
    fn it_is_a_danger_just_above_the_limit() {
        let limit = |amps| [("inverter.i.pv_input.1.short_circuit", amps)];
        assert_eq!(verdict("D06", &limit("\"17.4 A\"")), "passes");
        assert_eq!(verdict("D06", &limit("\"17.375 A\"")), "passes");
        assert_eq!(verdict("D06", &limit("\"17.3 A\"")), "danger");
        assert_eq!(verdict("D06", &limit("\"unknown\"")), "undecided danger");
    }

    #[test]
    fn two_strings_are_too_many_and_a_free_input_is_named() {
        let second = "[[string]]\nname = \"second\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 8\ninto = { unit = \"inverter\", input = 1 }";
        let found = of("D06", &[("+", second)]);
        assert_eq!(found.len(), 1);
        assert!(found[0].remedies[0].says.contains("\"second\" on the free input 2"));
        assert_eq!(verdict("D06", &[("+", second), ("string.second.into.input", "2")]), "passes");
    }
}
