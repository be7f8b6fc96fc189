//! # The year cannot be answered yet
//!
//! What it checks: whether the hourly balance had everything it needs.
//!
//! Why it matters: without it nothing is known of winter. What is missing is named with who can tell.
//!
//! Known limits: told only where the year was asked for.
//!
//! Source: the hourly balance of this project.
//!
//! Fails: an inverter whose idle draw is not known.
//! Passes: one of 25 W.

use crate::{Findings, Rule, Severity};
use quantity::practice;
use study::{Study, Unanswered};

pub(crate) static RULE: Rule = Rule {
    code: "E05",
    name: "year-not-answered",
    severity: Severity::Doubt,
    clause: practice("nothing is guessed that the year rests on"),
    text: include_str!("year_not_answered.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    match &study.year {
        Ok(_) | Err(Unanswered::NotAsked) => {}
        Err(Unanswered::Missing(gap)) => {
            findings.undecided("the year cannot be walked through yet: facts are missing", gap.clone());
        }
        Err(Unanswered::Refused { because, field }) => {
            findings
                .fails(format!("the year cannot be walked through: {because}"))
                .at_field(field.clone(), "because of this");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{verdict, verdict_of_year};

    #[test]
    fn a_missing_fact_is_named_where_the_year_was_asked_for() {
        let blank = [("inverter.i.idle", "\"unknown\"")];
        assert_eq!(verdict_of_year("E05", &[]), "passes");
        assert_eq!(verdict_of_year("E05", &blank), "undecided doubt");
        assert_eq!(verdict("E05", &blank), "passes");
    }

    #[test]
    fn what_is_refused_says_why() {
        assert_eq!(verdict_of_year("E05", &[("place.weather.file", "\"nowhere.epw\"")]), "doubt");
    }
}
