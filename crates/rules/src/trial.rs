//! A small house that keeps every rule, and what becomes of it when something is changed. For tests only.

use crate::Finding;
use design::Design;
use design::catalogue::TABLES;
use std::sync::Arc;
use study::{Depth, Memo, Study};

/// The house that keeps every rule.
pub(crate) const SOUND: &str = include_str!("trial_house.toml");

/// The house with changes: a path with its value as it stands in the file, a path with nothing to take it out, or `+`
/// with text to put below the file.
pub(crate) fn text(changes: &[(&str, &str)]) -> String {
    changed(SOUND, changes)
}

fn changed(house: &str, changes: &[(&str, &str)]) -> String {
    let mut text = house.to_string();
    for (path, value) in changes {
        text = match (*path, *value) {
            ("+", more) => format!("{text}\n{more}\n"),
            (path, "") => design::edit::remove(&text, path).expect("the field is there"),
            (path, value) => design::edit::set(&text, path, value, TABLES).expect("the change applies"),
        };
    }
    text
}

/// A shipped house of 230 V, interactive, with a bank and two boards; wired by IEC 60364.
const METRIC: &str = include_str!("../../../designs/harbour-house/harbour-house.toml");

/// A shipped house whose inverter works beside the utility without a battery, wired by the NEC.
const BESIDE: &str = include_str!("../../../designs/orchard-row/orchard-row.toml");

/// What one rule says of that house with changes, as a word.
pub(crate) fn beside_verdict(code: &str, changes: &[(&str, &str)]) -> String {
    word(&about(code, &changed(BESIDE, changes)))
}

/// The findings of one rule about the metric house with changes.
pub(crate) fn metric(code: &str, changes: &[(&str, &str)]) -> Vec<Finding> {
    about(code, &changed(METRIC, changes))
}

fn about(code: &str, text: &str) -> Vec<Finding> {
    let design = Arc::new(Design::of_text(text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    let study = Study::of(design, None, Depth::WithoutYear, &mut Memo::default());
    crate::inspect(&study).into_iter().filter(|finding| finding.code == code).collect()
}

/// A study of the metric house with changes.
pub(crate) fn metric_study(changes: &[(&str, &str)]) -> Study {
    let design = Arc::new(Design::of_text(&changed(METRIC, changes)));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Study::of(design, None, Depth::WithoutYear, &mut Memo::default())
}

/// What one rule says of that house, as a word.
pub(crate) fn metric_verdict(code: &str, changes: &[(&str, &str)]) -> String {
    word(&metric(code, changes))
}

/// A study of the changed house; its text must be in order.
pub(crate) fn study_of(changes: &[(&str, &str)], depth: Depth) -> Study {
    let design = Arc::new(Design::of_text(&text(changes)));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Study::of(design, None, depth, &mut Memo::default())
}

/// All findings of the changed house, without the year.
pub(crate) fn findings(changes: &[(&str, &str)]) -> Vec<Finding> {
    crate::inspect(&study_of(changes, Depth::WithoutYear))
}

/// The findings of one rule.
pub(crate) fn of(code: &str, changes: &[(&str, &str)]) -> Vec<Finding> {
    findings(changes).into_iter().filter(|finding| finding.code == code).collect()
}

/// What one rule says, as a word: `passes`, `danger`, `undecided danger` and so on; the worst where there are several.
pub(crate) fn verdict(code: &str, changes: &[(&str, &str)]) -> String {
    word(&of(code, changes))
}

/// As [`verdict`] with the year.
pub(crate) fn verdict_of_year(code: &str, changes: &[(&str, &str)]) -> String {
    let all = crate::inspect(&study_of(changes, Depth::Whole));
    word(&all.into_iter().filter(|finding| finding.code == code).collect::<Vec<_>>())
}

fn word(findings: &[Finding]) -> String {
    match findings.first() {
        None => "passes".into(),
        Some(first) if first.undecided.is_some() => format!("undecided {}", first.severity.word()),
        Some(first) => first.severity.word().into(),
    }
}

/// A value within 1 % of what an acceptance story prints.
#[track_caller]
pub(crate) fn close(found: f64, story: f64) {
    // 1 %: the stories round to three digits and ask for no more.
    assert!((found / story - 1.0).abs() <= 0.01, "{found} against {story}");
}

#[test]
fn the_trial_house_keeps_every_rule() {
    let found = findings(&[]);
    let worse: Vec<_> = found.iter().filter(|f| f.severity < crate::Severity::Note).collect();
    assert!(worse.is_empty(), "{worse:#?}");
}
