//! # The wiring rules of this place are not computed yet
//!
//! What it checks: whether the rule set the design names is one this program can size by.
//!
//! Why it matters: a size from the wrong rules is worse than none. Nothing of the wiring is computed then, and the
//! energy answer is not touched by it.
//!
//! Known limits: NEC 2020, 2023 and 2026 and IEC 60364 are built, so that every rule set a design can name passes today.
//!
//! Source: this project: a rule set that is not built sizes nothing and says so.
//!
//! Fails: a rule set this program does not size by; a design can name none today.
//! Passes: `rules = "nec-2023"`.

use crate::{Findings, Rule, Severity};
use quantity::practice;
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W13",
    name: "rules-not-built",
    severity: Severity::Note,
    clause: practice("a rule set that is not built sizes nothing"),
    text: include_str!("rules_not_built.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let (Err(not_built), true) = (&study.wiring, study.design.system.place.rules.is_known()) else { return };
    findings
        .fails(format!("the wiring is {not_built}"))
        .at("place.rules", "rules named here")
        .explains("No conductor, device, raceway or bond of this design was checked. Have the wiring designed by someone who knows these rules.");
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn only_a_rule_set_that_is_built_is_silent() {
        assert_eq!(verdict("W13", &[]), "passes");
        for rules in ["iec-60364", "nec-2020", "nec-2026"] {
            assert_eq!(verdict("W13", &[("place.rules", &format!("\"{rules}\""))]), "passes");
        }
        // An unknown edition is a question, not a note.
        assert_eq!(verdict("W13", &[("place.rules", "\"unknown\"")]), "passes");
    }
}
