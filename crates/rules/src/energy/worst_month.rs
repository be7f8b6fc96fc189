//! # The darkest month is not covered
//!
//! What it checks: of a house without a utility, the mean day of each month: what the array brings to the outlets against what
//! loads and equipment need. It names the month covered least, what array would cover it, and the generator's hours instead.
//!
//! Why it matters: a system sized by July, or by the mean of the year, fails in December. No battery mends a month that makes
//! less than it needs; it only moves the day on which it is empty.
//!
//! Known limits: means over all weather years. A month that is covered in the mean can still have a dark week; the hourly
//! year knows it. A larger array reaches the outlets with the same share only while inputs and charging current let it.
//! Where the design states a promise and keeps it, this is told as a note.
//!
//! Source: worst month of IEEE 1562, 2007 (from memory).
//!
//! Fails: 3.6 kW where December has 2.1 hours of full sun and the house needs 10.4 kWh a day: 52 % of it.
//! Passes: 6.9 kW there.

use crate::words::{above, say};
use crate::{Findings, Rule, Severity};
use quantity::{Clause, Standing, print_in, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "E07",
    name: "worst-month",
    severity: Severity::Doubt,
    clause: Clause {
        document: "IEEE 1562",
        edition: "2007",
        clause: "worst month",
        standing: Standing::Remembered,
    },
    text: include_str!("worst_month.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(year) = &study.year else { return };
    let Some(worst) = &year.worst_month else { return };
    if !worst.alone || !above(1.0, worst.covered.si()) {
        return;
    }
    let month = quantity::MONTHS[worst.month];
    let percent = |share: f64| print_in(share, &units::PERCENT);
    let kept = year.promise.is_some_and(|promise| promise.holds);
    let severity = if kept { Severity::Note } else { Severity::Doubt };
    let says = format!(
        "{month} is the month to design for: on its mean day the array brings {} of the {} needed, {} of it",
        say(study, &worst.made),
        say(study, &worst.need),
        percent(worst.covered.si())
    );
    let mut because = vec![
        worst.array.term("array", &units::KILOWATT),
        worst.sun.term("full sun", &units::HOUR),
        worst.factor.term("reaches the outlets", &units::PERCENT),
        worst.need.term("needed", &units::KILOWATT_HOUR),
    ];
    let mut instead = Vec::new();
    if let Some(array) = &worst.array_needed {
        because.push(array.term("array that would do", &units::KILOWATT));
        instead.push(format!("an array of {} in place of {}", say(study, array), say(study, &worst.array)));
    }
    if let (Some(hours), Some(fetched)) = (&worst.generator_hours, &worst.generator_energy) {
        because.push(hours.term("generator", &units::HOUR));
        instead.push(format!(
            "the generator for {} of the month, {} into the battery",
            say(study, hours),
            say(study, fetched)
        ));
    }
    let finding = findings.fails_as(severity, says);
    finding.figure(&["year", "worst-month", "covered"]).because(because);
    if !instead.is_empty() {
        finding.explains(format!("It would take {}, or less to be used.", instead.join(", or ")));
    }
    finding.explains(format!(
        "{} a day of it, {}, the equipment takes for being on.",
        say(study, &worst.own_draw),
        percent(worst.sheet.idle_share)
    ));
}
