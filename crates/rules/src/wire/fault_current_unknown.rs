//! # Nobody has said what a short can draw
//!
//! What it checks: what every source feeds into a short is known: battery units, the utility at the service, inverters
//! and generators. Fuses and breakers able to break the sum can then be bought.
//!
//! Why it matters: a fuse that cannot break the current bursts and feeds the fire it should have ended. The figure
//! stands in the maker's papers or is had by asking the maker or the utility; it cannot be guessed from the size.
//!
//! Known limits: no length of conductor is credited. 20 kA and more is what the trade suggests for a house bank of
//! lithium units (common practice, no source), and is no substitute for the figure. Module circuits and circuits that
//! are there already are not asked for.
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
    for (k, sized) in schedule.circuits.iter().enumerate() {
        let pv = study.design.graph.circuits.get(sized.circuit.0).is_none_or(|c| c.demand.is_pv());
        if pv || study.is_existing(k) {
            continue;
        }
        if let Fact::Unknown(gap) = &sized.protection.available {
            let (what, ask) = match sized.protection.supply {
                Supply::Dc => (
                    "what a fault can draw from the bank is not known, so no fuse can be trusted to break it",
                    "Ask the maker for the short-circuit current of one unit, in kA.",
                ),
                Supply::Ac => (
                    "what a short can draw is not known, so no breaker can be trusted to break it",
                    "Ask the utility for the fault current at the service, and makers for what an inverter or a generator feeds into a short.",
                ),
            };
            let finding = findings.undecided_for(&format!("circuit \"{}\"", sized.name), what, gap.clone());
            if finding.more.is_empty() {
                finding.explains(ask);
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

    #[test]
    fn so_is_what_an_inverter_feeds() {
        let blank = [("inverter.i.fault_current", "\"unknown\"")];
        assert_eq!(verdict("W08", &blank), "undecided danger");
        assert_eq!(of("W08", &blank)[0].at[0].field.as_str(), "inverter.i.fault_current");
    }
}
