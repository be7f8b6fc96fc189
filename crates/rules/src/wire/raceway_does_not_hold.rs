//! # A raceway cannot hold its conductors
//!
//! What it checks: every part of a route in a raceway: a trade size of its kind exists that holds all its conductors
//! within the allowed share.
//!
//! Why it matters: a raceway that is too full damages insulation while pulling and cannot shed heat afterwards.
//!
//! Known limits: one raceway for each set of conductors in parallel; boxes and bends are not checked yet.
//!
//! Source: NEC 2023, chapter 9 tables 1, 4 and 5 (read second-hand).
//!
//! Fails: an insulation that has no row in the tables of conductor areas.
//! Passes: two pairs of 10 AWG in 3/4 in.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;
use wiring::NoRaceway;

pub(crate) static RULE: Rule = Rule {
    code: "W09",
    name: "raceway-does-not-hold",
    severity: Severity::Breach,
    clause: nec("2023", "chapter 9 table 1", Standing::SecondHand),
    text: include_str!("raceway_does_not_hold.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for row in &schedule.raceways {
        let Some(run) = study.design.system.runs.get(row.run.0) else { continue };
        let says = match (&row.problem, &row.fill) {
            (Some(NoRaceway::NoneHolds), _) => {
                "no trade size of this kind is large enough for its conductors".into()
            }
            (Some(NoRaceway::NotMade(size)), _) => format!("this kind is not made in trade size {size}"),
            (Some(NoRaceway::NotInTables(size)), _) => {
                format!("the tables have no area for {size} with this insulation, so its trade size is open")
            }
            (None, Some(Fact::Known(fill))) if !fill.value.holds => {
                format!("trade size {} is too small for its conductors", fill.value.trade.value)
            }
            _ => continue,
        };
        findings
            .fails(format!("run \"{}\", part {}: {says}", run.name, row.segment + 1))
            .at(format!("{}.route.{}.raceway", run.field, row.segment + 1), "raceway set here");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn what_fits_passes() {
        assert_eq!(verdict("W09", &[]), "passes");
    }

    /// 5 ft of LFNC-B ends at 2 in: 500 kcmil with its ground needs more.
    #[test]
    fn a_kind_that_is_not_made_large_enough_is_told() {
        let large = [
            ("inverter.i.output", "\"72 kW\""),
            ("run.bus.conductor", ""),
            ("run.out.route.1.raceway", "\"lfnc-b\""),
        ];
        assert_eq!(verdict("W09", &large), "breach");
        assert_eq!(verdict("W09", &[("run.out.route.1.raceway", "\"lfnc-b\"")]), "passes");
    }

    #[test]
    fn an_unknown_size_is_told_elsewhere() {
        assert_eq!(verdict("W09", &[("run.out.route.1.where", "\"unknown\"")]), "passes");
        assert_eq!(verdict("W06", &[("run.out.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
