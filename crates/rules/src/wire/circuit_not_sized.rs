//! # A circuit cannot be sized yet
//!
//! What it checks: circuits that have a route but no conductor, because a fact is missing.
//!
//! Why it matters: a circuit without a size is not a small gap in a table. It is the wire that will be bought by guess.
//!
//! Known limits: what the law of a place adds is not seen.
//!
//! Source: NEC 2023, 310.14 (from memory): conductors are sized for their load.
//!
//! Fails: a battery circuit of which nobody has said where it runs.
//! Passes: the same, indoors.

use super::{by_run, circuits};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W06",
    name: "circuit-not-sized",
    severity: Severity::Breach,
    clause: nec("2023", "310.14", Standing::Remembered),
    text: include_str!("circuit_not_sized.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let Some(run) = run else { continue };
        let open = |sized: &&&wiring::Sized| sized.problems.is_empty() && !sized.conductor.is_known();
        let group: Vec<_> = group.iter().filter(open).copied().collect();
        let Some(Fact::Unknown(gap)) = group.first().map(|sized| &sized.conductor) else { continue };
        findings
            .undecided_for(&circuits(&group), "no conductor can be given yet", gap.clone())
            .at(run.field.as_str(), "its run");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_missing_fact_is_named_and_asked_for() {
        assert_eq!(verdict("W06", &[]), "passes");
        assert_eq!(verdict("W06", &[("run.bus.route.1.where", "\"unknown\"")]), "undecided breach");
        let found = of("W06", &[("run.links.route.1.where", "\"unknown\"")]);
        // Four battery units, one run, one finding.
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("and 3 circuits like it"), "{}", found[0].says);
        assert_eq!(found[0].at[0].field.as_str(), "run.links.route.1.where");
    }
}
