//! # Nobody has said which wiring rules hold
//!
//! What it checks: the design names the wiring rules and edition of its place.
//!
//! Why it matters: clause numbers and limits move between editions, and the inspector checks by the one the office has
//! adopted. Nothing is sized before it is known.
//!
//! Known limits: amendments of a county are not seen.
//!
//! Source: NEC 2023, 90.4 (from memory): the authority decides.
//!
//! Fails: `rules = "unknown"`.
//! Passes: `rules = "nec-2023"`.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W14",
    name: "rules-unknown",
    severity: Severity::Breach,
    clause: nec("2023", "90.4", Standing::Remembered),
    text: include_str!("rules_unknown.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if let Fact::Unknown(gap) = &study.design.system.place.rules {
        findings.undecided(
            "which wiring rules hold here is not known, so nothing of the wiring is sized",
            gap.clone(),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn an_unknown_edition_is_asked_for() {
        assert_eq!(verdict("W14", &[]), "passes");
        assert_eq!(verdict("W14", &[("place.rules", "\"unknown\"")]), "undecided breach");
    }
}
