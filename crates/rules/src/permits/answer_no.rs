//! # An office has said no
//!
//! What it checks: answers that are "no". Where the owner may not do the electrical work, work that is hired out is the
//! way on.
//!
//! Why it matters: a no is the end of this plan as it stands, and cheap to learn now.
//!
//! Known limits: which work must be hired out is the office's to say.
//!
//! Source: common practice, no source.
//!
//! Fails: `building_permit = "no"`.
//! Passes: `owner_may_wire = "no"` with the electrical work hired out.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "O02",
    name: "answer-no",
    severity: Severity::Breach,
    clause: practice("a plan that was refused is not built"),
    text: include_str!("answer_no.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for permit in &system.permits {
        let Fact::Known(answer) = &permit.answer else { continue };
        let field = crate::words::field(answer);
        let own_work = field.as_ref().is_some_and(|field| field.as_str() == "permits.owner_may_wire");
        if answer.value || (own_work && !system.hired_out.is_empty()) {
            continue;
        }
        findings
            .fails(format!("the answer is no: {}", permit.asks))
            .at_field(field, "answered here")
            .explains(if own_work {
                "Hire a licensed person for the electrical work and say so under `hired_out`."
            } else {
                "Ask what would have to change, and change the plan before anything is bought."
            });
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_no_stops_the_plan() {
        assert_eq!(verdict("O02", &[]), "passes");
        assert_eq!(verdict("O02", &[("permits.building_permit", "\"no\"")]), "breach");
        assert_eq!(verdict("O02", &[("permits.owner_may_wire", "\"no\"")]), "breach");
        let hired = ("permits.hired_out", r#"["all electrical work"]"#);
        assert_eq!(verdict("O02", &[("permits.owner_may_wire", "\"no\""), hired]), "passes");
        assert_eq!(verdict("O02", &[("permits.building_permit", "\"unknown\"")]), "passes");
    }
}
