//! # An office has not answered
//!
//! What it checks: the answers of building office, utility and insurer.
//!
//! Why it matters: an answer that comes after the inverter was bought is an expensive one. Unknown blocks the purchase,
//! not the planning.
//!
//! Known limits: it checks that there is an answer, not what its papers say.
//!
//! Source: common practice, no source.
//!
//! Fails: `utility_agrees = "unknown"`.
//! Passes: `utility_agrees = "yes"`.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "O01",
    name: "answer-missing",
    severity: Severity::Doubt,
    clause: practice("answers come before the purchase"),
    text: include_str!("answer_missing.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for permit in &study.design.system.permits {
        if let Fact::Unknown(gap) = &permit.answer {
            findings
                .undecided(format!("not answered: {}", permit.asks), gap.clone())
                .explains("Plan on, but do not buy inverter and battery before the answer is in your hand.");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn each_open_question_is_told() {
        assert_eq!(verdict("O01", &[]), "passes");
        assert_eq!(verdict("O01", &[("permits.utility_agrees", "\"unknown\"")]), "undecided doubt");
        assert_eq!(
            of("O01", &[("permits.utility_agrees", "\"unknown\""), ("permits.insurer_agrees", "")]).len(),
            2
        );
        assert_eq!(verdict("O01", &[("permits.utility_agrees", "\"no\"")]), "passes");
    }
}
