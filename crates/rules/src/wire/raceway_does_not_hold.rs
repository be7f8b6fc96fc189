//! # A raceway cannot hold its conductors
//!
//! What it checks: every part of a route in a raceway: a trade size of its kind exists that holds all its conductors
//! within the allowed share.
//!
//! Why it matters: a raceway that is too full damages insulation while pulling and cannot shed heat afterwards.
//!
//! Known limits: one raceway for each set of conductors in parallel; boxes of your own are not measured.
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
        let fixed = run.segments.get(row.segment).is_some_and(|segment| segment.trade_size.is_some());
        let (key, here) =
            if fixed { ("trade_size", "trade size set here") } else { ("raceway", "raceway set here") };
        findings
            .fails(format!("run \"{}\", part {}: {says}", run.name, row.segment + 1))
            .at(format!("{}.route.{}.{key}", run.field, row.segment + 1), here);
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

    /// By hand, tables 4 and 5: two 3/0 THHN and the ground fill 0.572 in²; EMT holds 0.346 in trade size 1 and 0.598 in
    /// 1-1/4. The rest is still sized: the conductors in it have their size.
    #[test]
    fn a_trade_size_fixed_by_the_owner_is_checked() {
        let fixed = |size: &str| ("run.bus.route.1.trade_size", format!("\"{size}\""));
        for (size, wanted) in [("3/8", "breach"), ("1", "breach"), ("1-1/4", "passes"), ("2", "passes")] {
            let (path, value) = fixed(size);
            assert_eq!(verdict("W09", &[(path, &value)]), wanted, "{size}");
            assert_eq!(verdict("W06", &[(path, &value)]), "passes", "{size}");
        }
        let (path, value) = fixed("3/8");
        let told = &crate::trial::of("W09", &[(path, &value)])[0];
        assert!(told.says.contains("is not made in trade size 3/8"), "{}", told.says);
        assert!(told.at[0].field.as_str().ends_with("route.1.trade_size"), "{:?}", told.at);
    }

    #[test]
    fn an_unknown_size_is_told_elsewhere() {
        assert_eq!(verdict("W09", &[("run.out.route.1.where", "\"unknown\"")]), "passes");
        assert_eq!(verdict("W06", &[("run.out.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
