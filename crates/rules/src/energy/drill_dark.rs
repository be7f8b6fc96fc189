//! # The rehearsal ends in the dark
//!
//! What it checks: the days the design asks to rehearse without utility and generator, in every weather year: in how
//! many of them a must-load goes dark. None may, unless the design lets one year in ten fail.
//!
//! Why it matters: an outage comes with the storm that also takes the sun. Better to be dark on paper first.
//!
//! Known limits: the bank begins as the year leaves it on that day; nobody saves energy in the rehearsal although
//! people do.
//!
//! Source: the hourly balance of this project.
//!
//! Fails: three January days, dark in 9 of 20 years.
//! Passes: dark in none.

use crate::words::say;
use crate::{Findings, Rule, Severity};
use quantity::{practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "E02",
    name: "drill-dark",
    severity: Severity::Doubt,
    clause: practice("must-loads stay on through the rehearsal"),
    text: include_str!("drill_dark.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(year) = &study.year else { return };
    let Some(drill) = &year.drill else { return };
    let dark = drill.of - drill.carried;
    if dark == 0 {
        return;
    }
    let says = format!(
        "{} without utility and generator from {} {}: must-loads go dark in {dark} of {} weather years",
        if drill.days == 1 { "one day".to_string() } else { format!("{} days", drill.days) },
        drill.from.1,
        quantity::MONTHS.get((drill.from.0 - 1).max(0) as usize).unwrap_or(&""),
        drill.of
    );
    let severity = if dark <= drill.may_fail { Severity::Note } else { Severity::Doubt };
    findings
        .fails_as(severity, says)
        .at("promise.drill", "asked for here")
        .figure(&["year", "drill", "worst-dark-hours"])
        .because([
            drill.dark.term("dark, median of the years", &units::HOUR),
            drill.worst_dark.term("dark in the worst", &units::HOUR),
        ])
        .explains(format!(
            "Dark for {} in the median of the years, {} in the worst one.",
            say(study, &drill.dark),
            say(study, &drill.worst_dark)
        ));
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict_of_year;

    #[test]
    fn a_long_rehearsal_in_winter_goes_dark_and_a_day_in_june_does_not() {
        let drill = |text| ("+", text);
        let hungry = [("load.lights.watts", "900"), ("load.lights.tier", "\"must\"")];
        let winter = [drill("[promise]\ndrill = { from = 2027-12-10, days = 30 }"), hungry[0], hungry[1]];
        assert_eq!(verdict_of_year("E02", &winter), "doubt");
        assert_eq!(
            verdict_of_year("E02", &[drill("[promise]\ndrill = { from = 2027-06-20, days = 1 }")]),
            "passes"
        );
        assert_eq!(verdict_of_year("E02", &hungry), "passes");
    }
}
