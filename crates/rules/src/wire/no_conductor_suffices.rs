//! # No conductor is large enough
//!
//! What it checks: circuits for which even the most and largest conductors sought fail a test, or whose fixed size
//! has no row in the tables.
//!
//! Why it matters: a circuit that cannot be built must be redesigned, usually at a higher voltage, before anything is
//! bought for it.
//!
//! Known limits: up to six conductors in parallel of 4/0 AWG for batteries and 500 kcmil for others are sought.
//!
//! Source: NEC 2023, 310.16 (read second-hand).
//!
//! Fails: a size of `70 mm²` under rules whose tables hold AWG sizes only.
//! Passes: `2/0 AWG` in its place, where it suffices.

use super::{by_run, circuits};
use crate::words::thing;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::{NoConductor, Problem};

pub(crate) static RULE: Rule = Rule {
    code: "W03",
    name: "no-conductor-suffices",
    severity: Severity::Danger,
    clause: nec("2023", "310.16", Standing::SecondHand),
    text: include_str!("no_conductor_suffices.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let of =
            |sized: &&&wiring::Sized| sized.problems.iter().any(|p| matches!(p, Problem::NoConductor(_)));
        let group: Vec<_> = group.iter().filter(of).copied().collect();
        let Some(sized) = group.first() else { continue };
        for problem in &sized.problems {
            let Problem::NoConductor(why) = problem else { continue };
            let why = match why {
                NoConductor::NoneSuffices(why) => why.to_string(),
                NoConductor::NotInTables(size) => format!("{size} is not in the tables of these rules"),
            };
            let finding = findings.fails(format!("{}: {why}", circuits(&group)));
            match run {
                Some(run) if run.conductor.is_some() => {
                    let path = format!("{}.conductor", run.field);
                    finding.at(path.clone(), "size fixed here");
                    finding.remedy(Remedy::remove("leave the size out and it is found", path));
                }
                Some(run) => {
                    finding.at(run.field.as_str(), "this run");
                }
                None => {
                    finding.at(thing(study, &sized.name), "this circuit");
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_size_the_tables_do_not_hold_is_told() {
        assert_eq!(verdict("W03", &[("run.bus.conductor", "\"70 mm²\"")]), "danger");
        assert_eq!(verdict("W03", &[("run.bus.conductor", "\"3/0 AWG\"")]), "passes");
        assert!(of("W03", &[("run.bus.conductor", "\"70 mm²\"")])[0].remedies.len() == 1);
    }

    /// 90 kW at 46 V ask for 2658 A; six conductors of 4/0 AWG bear 1380 A at their terminals.
    #[test]
    fn a_current_beyond_six_conductors_is_told() {
        let huge = [("inverter.i.output", "\"90 kW\""), ("run.bus.conductor", "")];
        assert_eq!(verdict("W03", &huge), "danger");
        let large = [("inverter.i.output", "\"40 kW\""), ("run.bus.conductor", "")];
        assert_eq!(verdict("W03", &large), "passes");
    }

    #[test]
    fn without_the_place_it_stays_silent_and_the_missing_size_is_told() {
        assert_eq!(verdict("W03", &[("run.bus.route.1.where", "\"unknown\"")]), "passes");
        assert_eq!(verdict("W06", &[("run.bus.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
