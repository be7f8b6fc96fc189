//! # A raceway cannot hold its conductors
//!
//! What it checks: every part of a route in a raceway: a trade size of its kind exists that holds all its conductors
//! within the allowed share. Under IEC 60364 the share is the space factor of national practice.
//!
//! Why it matters: a raceway that is too full damages insulation while pulling and cannot shed heat afterwards.
//!
//! Known limits: one raceway for each set of conductors in parallel; boxes of your own are not measured. IEC 60364 gives
//! no share of its own, and the inside of steel conduit and of trunking is in no standard: its maker is asked.
//!
//! Source: NEC 2023, chapter 9 tables 1, 4 and 5 (read second-hand); under IEC 60364 AS/NZS 3000:2018 appendix C for conduit
//! (from memory), 45 % of a trunking (common practice, no source).
//!
//! Fails: an insulation that has no row in the tables of conductor areas.
//! Passes: two pairs of 10 AWG in 3/4 in.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Ratio, Standing, Traced, nec, units};
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
                "no size of this kind is large enough for its conductors".into()
            }
            (Some(NoRaceway::NotMade(size)), _) => format!("this kind is not made in size {size}"),
            (Some(NoRaceway::NotInTables(size)), _) => {
                format!("the tables have no area for {size} with this insulation, so its size is open")
            }
            (None, Some(Fact::Known(fill))) if !fill.value.holds => {
                let share = |ratio: &Traced<Ratio>| quantity::print_in(ratio.si(), &units::PERCENT);
                format!(
                    "size {} is too small for its conductors: they fill {}, {} may be",
                    fill.value.trade.value,
                    share(&fill.value.share),
                    share(&fill.value.limit)
                )
            }
            // Where a conductor in it has no size yet, that is told as such.
            (None, Some(Fact::Unknown(gap))) if row.contents.is_known() => {
                let thing = format!("run \"{}\", part {}", run.name, row.segment + 1);
                let says = "how full its raceway is cannot be said";
                findings.undecided_for(&thing, says, gap.clone());
                continue;
            }
            _ => continue,
        };
        let fixed = run.segments.get(row.segment).is_some_and(|segment| segment.trade_size.is_some());
        let (key, here) =
            if fixed { ("trade_size", "size set here") } else { ("raceway", "raceway set here") };
        findings
            .fails(format!("run \"{}\", part {}: {says}", run.name, row.segment + 1))
            .at(format!("{}.route.{}.{key}", run.field, row.segment + 1), here);
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{metric, metric_verdict, verdict};

    /// By hand: two conductors of 10 mm² and the protective one, 6.8 mm each, take 3 · 36.32 = 108.95 mm². Conduit of 20 mm
    /// has 16.9 mm inside, 224.3 mm²: 48.6 % of at most 40 %; 25 mm has 21.4 mm, 359.7 mm²: 30.3 %.
    #[test]
    fn conduit_of_millimetres_is_checked_by_the_space_factor() {
        let of = |size: &str, more: &str| {
            let route = format!(
                "[{{ length = \"7 m\", where = \"indoors\", room = \"garage\", raceway = {size}{more} }}]"
            );
            metric_verdict("W09", &[("run.main board to hybrid.route", &route)])
        };
        assert_eq!(metric_verdict("W09", &[]), "passes");
        assert_eq!(of("\"plastic conduit\", trade_size = \"20 mm\"", ""), "breach");
        assert_eq!(of("\"plastic conduit\", trade_size = \"25 mm\"", ""), "passes");
        assert_eq!(of("\"plastic conduit\", trade_size = \"110 mm\"", ""), "breach");
        // What the maker states goes before the table: 18.7 mm inside is 274.6 mm², 39.7 %.
        assert_eq!(of("\"plastic conduit\", trade_size = \"20 mm\"", ", inside = \"18.7 mm\""), "passes");
        // An inside that belongs to no size is a question, and none is as wide as the pipe outside.
        assert_eq!(of("\"plastic conduit\"", ", inside = \"10 mm\""), "undecided breach");
        assert_eq!(of("\"plastic conduit\", trade_size = \"20 mm\"", ", inside = \"40 mm\""), "breach");
        // Its inside is the maker's.
        assert_eq!(of("\"steel conduit\"", ""), "undecided breach");
        assert_eq!(of("\"steel conduit\", trade_size = \"25 mm\"", ""), "undecided breach");
        assert_eq!(of("\"steel conduit\", trade_size = \"25 mm\"", ", inside = \"21.8 mm\""), "passes");
        // 45 % of 16 by 16 mm is 115.2 mm², of 15 by 16 mm 108.0 mm².
        assert_eq!(of("\"trunking\"", ""), "undecided breach");
        assert_eq!(of("\"trunking\"", ", inside = \"16 mm\", inside_height = \"16 mm\""), "passes");
        assert_eq!(of("\"trunking\"", ", inside = \"15 mm\", inside_height = \"16 mm\""), "breach");
        assert_eq!(of("\"sheathed cable\"", ""), "passes");
        let small = ("run.main board to hybrid.route.1.trade_size", "\"20 mm\"");
        let told = &metric("W09", &[small])[0];
        assert!(told.says.contains("they fill 48.57 %, 40 % may be"), "{}", told.says);
    }

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
        assert!(told.says.contains("is not made in size 3/8"), "{}", told.says);
        assert!(told.at[0].field.as_str().ends_with("route.1.trade_size"), "{:?}", told.at);
    }

    #[test]
    fn an_unknown_size_is_told_elsewhere() {
        assert_eq!(verdict("W09", &[("run.out.route.1.where", "\"unknown\"")]), "passes");
        assert_eq!(verdict("W06", &[("run.out.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
