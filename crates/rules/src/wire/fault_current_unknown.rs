//! # Nobody has said what a short circuit of the battery can feed
//!
//! What it checks: the short-circuit current of the battery units is known, so that fuses able to break the sum of all
//! of them can be bought.
//!
//! Why it matters: a fuse that cannot break the current bursts and feeds the fire it should have ended. The figure
//! stands in the maker's papers or is had by asking; it cannot be guessed from the size.
//!
//! Known limits: direct-current circuits of the battery only; 20 kA and more is what the trade suggests for a house
//! bank of lithium units (common practice, no source), and is no substitute for the figure.
//!
//! Source: NEC 2023, 110.9; 706 (from memory).
//!
//! Fails: a battery with `short_circuit = "unknown"`: undecided, a question for the maker.
//! Passes: `short_circuit = "2 kA"`.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;
use wiring::Supply;

pub(crate) static RULE: Rule = Rule {
    code: "W08",
    name: "fault-current-unknown",
    severity: Severity::Danger,
    clause: nec("2023", "110.9", Standing::Remembered),
    text: include_str!("fault_current_unknown.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for sized in &schedule.circuits {
        let pv = study.design.graph.circuits.get(sized.circuit.0).is_none_or(|c| c.demand.is_pv());
        if pv || sized.protection.supply != Supply::Dc {
            continue;
        }
        if let Fact::Unknown(gap) = &sized.protection.available {
            let finding = findings.undecided_for(
                &format!("circuit \"{}\"", sized.name),
                "what a fault can draw from the bank is not known, so no fuse can be trusted to break it",
                gap.clone(),
            );
            if finding.more.is_empty() {
                finding.explains("Ask the maker for the short-circuit current of one unit, in kA.");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn an_unknown_short_circuit_is_one_question_for_the_maker() {
        assert_eq!(verdict("W08", &[]), "passes");
        let blank = [("battery.b.short_circuit", "\"unknown\"")];
        assert_eq!(verdict("W08", &blank), "undecided danger");
        let found = of("W08", &blank);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(found[0].at[0].says.contains("maker"));
    }
}
