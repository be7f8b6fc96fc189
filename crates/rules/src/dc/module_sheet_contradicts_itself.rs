//! # A module's data sheet contradicts itself
//!
//! What it checks: whether one diode curve passes through the four values of a data sheet, and whether its change with heat is
//! the stated one: open-circuit voltage within 15 %, maximum power within 0.15 %/K.
//!
//! Why it matters: a number copied from the wrong line, the wrong sign, or the cells of both halves counted in series all give a
//! module that no maker builds. Every hour of the year would be computed with it.
//!
//! Known limits: a curve through wrong values that happen to go together is not noticed. The bounds are chosen, without a source.
//!
//! Source: De Soto, Klein and Beckman, Solar Energy 80 (2006) 78–88, from memory.
//!
//! Fails: a power that falls by 0.75 %/K where the other values imply a third of a per cent.
//! Passes: one that falls by 0.34 %/K.

use crate::{Findings, Rule, Severity};
use quantity::{Clause, Standing};
use study::{Study, Unanswered};

pub(crate) static RULE: Rule = Rule {
    code: "D16",
    name: "module-sheet-contradicts-itself",
    severity: Severity::Doubt,
    clause: Clause {
        document: "De Soto, Klein & Beckman, Solar Energy 80",
        edition: "2006",
        clause: "78–88, five parameters",
        standing: Standing::Remembered,
    },
    text: include_str!("module_sheet_contradicts_itself.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for module in &study.modules {
        let Err(Unanswered::Refused { because, field }) = &module.curve else { continue };
        findings
            .fails(because.clone())
            .at_field(field.clone(), "this data sheet")
            .explains("Read the sheet again line by line: at 1000 W/m² and 25 °C, one module, its own sign before each change by heat.");
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_change_that_the_other_values_do_not_bear_is_told_with_both_numbers() {
        assert_eq!(verdict("D16", &[]), "passes");
        let wrong = [("module.m.pmax_per_kelvin", "\"-0.75 %/K\"")];
        let found = of("D16", &wrong);
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("-0.750 %/K"), "{}", found[0].says);
        assert_eq!(found[0].at[0].field.as_str(), "module.m");
    }

    #[test]
    fn a_sheet_that_is_not_whole_is_a_question_and_no_contradiction() {
        assert_eq!(verdict("D16", &[("module.m.voc_per_kelvin", "\"unknown\"")]), "passes");
    }
}
