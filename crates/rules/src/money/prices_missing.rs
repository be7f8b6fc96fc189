//! # Lines of the purchase list have no price
//!
//! What it checks: how many lines of the purchase list have no price yet, where the design names a ceiling.
//!
//! Why it matters: copper, lugs and breakers are what budgets forget.
//!
//! Known limits: none worth a word.
//!
//! Source: the purchase list of this project.
//!
//! Fails: a ceiling, and wire without a price: a note.
//! Passes: no ceiling, or a price for every line.

use crate::{Findings, Rule, Severity};
use quantity::practice;
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "M02",
    name: "prices-missing",
    severity: Severity::Note,
    clause: practice("a ceiling means little while prices are missing"),
    text: include_str!("prices_missing.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let (missing, lines) = (study.bill.without_price, study.bill.lines.len());
    if missing > 0 && study.design.system.promise.budget.is_some() {
        findings
            .fails(format!("{missing} of {lines} lines of the purchase list have no price; the sum is what is known so far"))
            .at("promise.budget", "ceiling set here");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_ceiling_asks_for_prices() {
        assert_eq!(verdict("M02", &[]), "passes");
        assert_eq!(verdict("M02", &[("+", "[promise]\nbudget = 9000")]), "note");
    }
}
