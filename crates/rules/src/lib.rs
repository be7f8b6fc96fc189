//! Rules over a study: one file a rule. Rules compare facts and compute no physics.

mod finding;
mod rule;

pub use finding::{Change, Finding, Place, Remedy, Severity};
pub use rule::{Findings, Rule};

use study::Study;

/// Every rule, by code.
pub static RULES: &[&Rule] = &[];

/// All findings of a study, worst first, then in design order.
pub fn inspect(study: &Study) -> Vec<Finding> {
    let mut all = Vec::new();
    for rule in RULES {
        (rule.check)(study, &mut Findings { rule, all: &mut all });
    }
    let place = |finding: &Finding| {
        let first = finding.at.first().and_then(|place| study.design.span_of(&place.field));
        first.map_or(usize::MAX, |span| span.start)
    };
    all.sort_by_key(|finding| (finding.severity, finding.undecided.is_some(), place(finding), finding.code));
    all
}
