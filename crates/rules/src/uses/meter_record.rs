//! # The meter's record is not whole
//!
//! What it checks: whether the file of interval readings can be read, and whether every second of it is covered exactly
//! once. Gaps, overlaps and readings of odd length are told with line and time.
//!
//! Why it matters: a month with a gap looks like a month of thrift, one that is counted twice like a load to be found.
//! Nothing is filled in and nothing is cut: months that are not whole are left out of the comparison.
//!
//! Known limits: an hour missing or counted twice in a month is taken for a change of clocks; where that is all, it is told as a
//! note.
//!
//! Source: common practice, no source.
//!
//! Fails: a file without the readings of a day.
//! Passes: a file that covers each month once.

use crate::{Findings, Rule, Severity};
use loads::meter::{Oddity, moment};
use quantity::practice;
use study::{Study, Unanswered};

pub(crate) static RULE: Rule = Rule {
    code: "L02",
    name: "meter-record",
    severity: Severity::Doubt,
    clause: practice("a record of readings covers every second once"),
    text: include_str!("meter_record.rs"),
    check,
};

/// Places told one by one; the rest is counted.
const TOLD: usize = 5;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let meter = match &study.demand.meter {
        Some(Ok(meter)) => meter,
        Some(Err(Unanswered::Refused { because, .. })) => {
            findings
                .fails(format!("the meter's readings cannot be used: {because}"))
                .at("bills.meter", "file named here");
            return;
        }
        _ => return,
    };
    let odd = &meter.account.odd;
    let broken: Vec<&Oddity> =
        odd.iter().filter(|odd| matches!(odd, Oddity::Gap { .. } | Oddity::Overlap { .. })).collect();
    if broken.is_empty() {
        return;
    }
    let hours = |take: fn(&loads::meter::MeterMonth) -> i64| {
        meter.account.months.iter().map(take).sum::<i64>() as f64 / 3600.0
    };
    let not_whole = meter.account.months.iter().filter(|month| !month.is_whole()).count();
    let severity = if not_whole == 0 { Severity::Note } else { Severity::Doubt };
    let months = match not_whole {
        0 => "every month is whole: so much a change of clocks leaves".to_string(),
        _ => format!(
            "{not_whole} of its {} months are not whole and are not compared",
            meter.account.months.len()
        ),
    };
    let finding = findings.fails_as(
        severity,
        format!(
            "{} leaves out {:.2} h and covers {:.2} h twice; {months}",
            meter.name.value,
            hours(|month| month.missing_s),
            hours(|month| month.twice_s),
        ),
    );
    finding.at("bills.meter", "file named here");
    for odd in broken.iter().take(TOLD) {
        finding.explains(words(odd));
    }
    if broken.len() > TOLD {
        finding.explains(format!("And {} more places.", broken.len() - TOLD));
    }
}

fn words(odd: &Oddity) -> String {
    match odd {
        Oddity::Gap { line, from_s, seconds } => {
            format!("Line {line}: nothing from {} for {}.", moment(*from_s), lasting(*seconds))
        }
        Oddity::Overlap { line, with_line, from_s, seconds } => format!(
            "Lines {with_line} and {line}: {} from {} are covered twice.",
            lasting(*seconds),
            moment(*from_s)
        ),
        Oddity::WithoutLength { line, at_s, wh } => {
            format!("Line {line}: a reading of {wh:.0} Wh without length at {}.", moment(*at_s))
        }
        Oddity::Long { line, at_s, seconds } => {
            format!("Line {line}: a reading of {} at {}.", lasting(*seconds), moment(*at_s))
        }
    }
}

/// Minutes, hours or days, whichever a person would say.
fn lasting(seconds: i64) -> String {
    let of =
        |unit: i64, word: &str| format!("{:.1} {word}", seconds as f64 / unit as f64).replacen(".0 ", " ", 1);
    match seconds {
        0..7200 => of(60, "min"),
        7200..172_800 => of(3600, "h"),
        _ => of(86_400, "days"),
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::text;
    use design::Design;
    use std::sync::Arc;
    use study::{Depth, Files, Memo, NamedFile, Study};

    const DECLARED: &str = "[bills]\nmeter = \"m.csv\"\ncolumns = { stamp = \"begin\", taken = \"kwh\", unit = \"kWh\", stamped = \"begin\", \
                            dates = \"year first\", clock = \"standard\" }";

    /// Hours of January at 1 kWh, without those that are left out.
    fn says(leave_out: &dyn Fn(usize) -> bool, file: bool) -> Vec<String> {
        let rows: String = (0..744)
            .filter(|hour| !leave_out(*hour))
            .map(|hour| format!("2026-01-{:02} {:02}:00,1\n", hour / 24 + 1, hour % 24))
            .collect();
        let bytes: Arc<[u8]> = format!("begin,kwh\n{rows}").into_bytes().into();
        let meter = NamedFile { name: "m.csv".into(), bytes: Ok(bytes) };
        let design = Arc::new(Design::of_text(&text(&[("+", DECLARED)])));
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let files = Files { weather: None, meter: file.then_some(&meter) };
        let study = Study::of_files(design, files, Depth::WithoutYear, &mut Memo::default());
        if file && !(0..744).any(leave_out) {
            // Its only month is compared with the list.
            let reconciled = study.demand.reconciled.as_ref().expect("one whole month");
            assert!((reconciled.months[0].bill_wh - 744_000.0).abs() < 1e-6);
        }
        let found = crate::inspect(&study).into_iter().filter(|f| f.code == "L02");
        found.map(|f| format!("{} {}", f.says, f.more.join(" "))).collect()
    }

    #[test]
    fn a_gap_is_told_with_line_and_time() {
        let whole = |_: usize| false;
        assert_eq!(says(&whole, true), Vec::<String>::new());
        let gap = says(&|hour| (100..124).contains(&hour), true);
        assert!(
            gap[0].contains("leaves out 24.00 h")
                && gap[0].contains("Line 102: nothing from 2026-01-05 04:00 for 24 h."),
            "{gap:?}"
        );
        assert!(says(&whole, false)[0].contains("m.csv was not read"));
    }

    #[test]
    fn an_hour_that_a_change_of_clocks_takes_is_a_note_and_weeks_are_days() {
        let hour = says(&|hour| hour == 100, true);
        assert!(hour[0].contains("every month is whole"), "{hour:?}");
        let weeks = says(&|hour| (100..436).contains(&hour), true);
        assert!(weeks[0].contains("1 of its 1 months are not whole and are not compared"), "{weeks:?}");
        assert!(weeks[0].contains("for 14 days."), "{weeks:?}");
    }

    #[test]
    fn five_places_are_told_and_the_others_counted() {
        let every_hundredth =
            |n: usize| says(&|hour| hour > 0 && hour % 100 == 0 && hour <= 100 * n, true)[0].clone();
        assert!(
            every_hundredth(5).contains("Line 498: nothing") && !every_hundredth(5).contains("more places")
        );
        let six = every_hundredth(6);
        assert!(six.contains("And 1 more places.") && !six.contains("Line 597: nothing"), "{six}");
    }
}
