//! Every field of every shipped design is taken out, one at a time: no answer is better than the worst unknown beneath it.
#![allow(clippy::unwrap_used)]

use design::Design;
use output::answers::{Answer, answers, question_of};
use quantity::Fact;
use rules::{Finding, Severity};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn texts() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let mut found: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name()?.to_string_lossy().to_string();
            Some((name.clone(), std::fs::read_to_string(path.join(format!("{name}.toml"))).ok()?))
        })
        .collect();
    found.sort();
    found
}

/// Paths of all fields that a design states.
fn fields(design: &Design) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for item in &design.items {
        for entry in &item.entries {
            let below = if item.path.is_empty() { String::new() } else { format!("{}.", item.path) };
            found.insert(format!("{below}{}", entry.field.key));
        }
    }
    found
}

fn said(answer: &Answer) -> String {
    answer.text().replace('\u{a0}', " ")
}

/// What holds of the answers of any design, whatever is missing in it.
fn held(study: &Study, findings: &[Finding], what: &str) {
    let all = answers(study, findings);
    let system = &study.design.system;
    for page in [6_u8, 7] {
        let (answer, text) = (&all[usize::from(page) - 1], said(&all[usize::from(page) - 1]));
        let of_it: Vec<&Finding> = findings.iter().filter(|f| question_of(f) == page).collect();
        let found = of_it.iter().any(|f| f.blocks() && f.undecided.is_none());
        let unknown = of_it.iter().any(|f| f.severity <= Severity::Doubt && f.undecided.is_some());
        let doubted = of_it.iter().any(|f| f.severity == Severity::Doubt && f.undecided.is_none());
        let nothing_sized = page == 7 && study.wiring.is_err();
        assert!(!found || nothing_sized || text.starts_with("No, as entered"), "{what}: {page}: {text}");
        assert!(!unknown || nothing_sized || text.contains("annot be said"), "{what}: {page}: {text}");
        assert!(!(found || unknown) || answer.open, "{what}: {page} is called answered: {text}");
        if found || unknown || doubted {
            let praise = text.contains("Nothing that was checked") || text.contains("no finding stands");
            assert!(!praise, "{what}: {page}: {text}");
        }
    }
    if let Ok(schedule) = &study.wiring {
        let unsized_one = schedule
            .circuits
            .iter()
            .enumerate()
            .any(|(at, c)| !study.is_existing(at) && matches!(c.conductor, Fact::Unknown(_)));
        let text = said(&all[6]);
        assert!(!unsized_one || text.contains("annot be said"), "{what}: a circuit is not sized: {text}");
    }
    let drawn = system.strings.iter().all(|s| s.string.count.is_known())
        && system.banks.iter().all(|b| b.bank.parallel.is_known() && b.bank.series.is_known())
        && study.banks.iter().all(|bank| bank.capacity.is_known())
        && study.inputs.iter().all(|input| input.power.is_known());
    let text = said(&all[3]);
    assert_eq!(drawn, !text.contains("annot be said"), "{what}: what is drawn: {text}");
    let used = said(&all[1]);
    assert!(study.demand.yearly.is_known() || used.contains("annot be said"), "{what}: {used}");
    let unlisted = system.listings.iter().any(|listing| !listing.mark.is_known());
    let unasked = system.permits.iter().any(|permit| !permit.answer.is_known());
    let may = said(&all[0]);
    assert!(!(unlisted || unasked) || may.contains("do not buy yet"), "{what}: {may}");
}

fn nothing_better_without_a_field(design: &str) {
    let (mut taken, mut undecided) = (0, 0);
    let (name, text) = texts().into_iter().find(|(name, _)| name == design).unwrap();
    for field in fields(&Design::of_text(&text)) {
        let Ok(less) = design::edit::remove(&text, &field) else { continue };
        let study =
            Study::of(Arc::new(Design::of_text(&less)), None, Depth::WithoutYear, &mut Memo::default());
        let findings = rules::inspect(&study);
        held(&study, &findings, &format!("{name} without {field}"));
        taken += 1;
        undecided += usize::from(findings.iter().any(|f| f.undecided.is_some()));
    }
    assert!(
        taken > 60 && undecided > 5,
        "{taken} fields were taken out, {undecided} left something undecided"
    );
}

#[test]
fn no_answer_of_the_farm_is_better_than_what_was_taken_from_beneath_it() {
    nothing_better_without_a_field("hollow-farm");
}

#[test]
fn no_answer_of_the_cabin_is_better_than_what_was_taken_from_beneath_it() {
    nothing_better_without_a_field("pine-cabin");
}

#[test]
fn no_answer_of_the_harbour_is_better_than_what_was_taken_from_beneath_it() {
    nothing_better_without_a_field("harbour-house");
}

#[test]
fn no_answer_of_the_wrong_turns_is_better_than_what_was_taken_from_beneath_it() {
    nothing_better_without_a_field("wrong-turns");
}

#[test]
fn a_year_is_not_better_than_a_fact_that_is_missing_beneath_it() {
    let (_, text) = texts().into_iter().find(|(name, _)| name == "hollow-farm").unwrap();
    let mut memo = Memo::default();
    let mut study_of = |text: &str| {
        let study = Study::of(Arc::new(Design::of_text(text)), None, Depth::Years, &mut memo);
        let findings = rules::inspect(&study);
        said(&answers(&study, &findings)[4])
    };
    let mut missing = 0;
    for field in
        ["plane.east field rack.tilt", "place.latitude", "unit.inverter A.bank", "bank.rack.parallel"]
    {
        let Ok(less) = design::edit::remove(&text, field) else { continue };
        let found = study_of(&less);
        assert!(found.starts_with("Cannot be said"), "without {field}: {found}");
        missing += 1;
    }
    assert!(missing >= 2, "only {missing} of these fields are there");
}
