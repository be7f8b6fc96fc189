//! Applying remedies, and studying what becomes of a design before a remedy is offered.

use crate::{Change, Finding, Remedy, inspect};
use design::Design;
use design::catalogue::TABLES;
use design::edit::{self, EditError};
use std::sync::Arc;
use study::{Depth, Files, Memo, Study, Unanswered};

/// The design text with a remedy applied; comments and order stay.
///
/// # Errors
/// [`EditError`] of the first change that does not fit the text; nothing is applied then.
pub fn apply(text: &str, remedy: &Remedy) -> Result<String, EditError> {
    remedy.changes.iter().try_fold(text.to_string(), |text, change| match change {
        Change::Set { field, value } => edit::set(&text, field.as_str(), value, TABLES),
        Change::Remove { field } => edit::remove(&text, field.as_str()),
        Change::Add { table, name, fields } => {
            let fields: Vec<(&str, &str)> =
                fields.iter().map(|(key, value)| (key.as_str(), value.as_str())).collect();
            edit::add_item(&text, table, name, &fields, TABLES)
        }
    })
}

/// The remedies of a finding that hold: applied to the design and studied to the same depth, the finding is gone and
/// no danger or breach is there that was not before. Remedies without edits cannot be studied and are left out. `files` are
/// those the study was made with: a list scaled to a meter is judged with its meter.
pub fn studied(study: &Study, finding: &Finding, memo: &mut Memo, files: Files<'_>) -> Vec<Remedy> {
    let before = inspect(study);
    let holds = |remedy: &&Remedy| {
        !remedy.changes.is_empty()
            && apply(&study.design.text, remedy).is_ok_and(|text| {
                let design = Arc::new(Design::of_text(&text));
                if design.problems.len() > study.design.problems.len() {
                    return false;
                }
                let depth = match study.year {
                    Err(Unanswered::NotAsked) => Depth::WithoutYear,
                    _ => Depth::Shown,
                };
                let after = inspect(&Study::of_files(design, files, depth, memo));
                let gone = !after.iter().any(|other| same(other, finding));
                gone && after.iter().filter(|f| f.blocks()).all(|f| before.iter().any(|b| same(b, f)))
            })
    };
    finding.remedies.iter().filter(holds).cloned().collect()
}

/// Whether two findings are of one rule about one place, whatever their figures.
fn same(a: &Finding, b: &Finding) -> bool {
    let place = |finding: &Finding| finding.at.first().map(|at| at.field.clone());
    a.code == b.code && place(a) == place(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::study_of;

    fn offered(code: &str, changes: &[(&str, &str)]) -> (usize, Vec<String>) {
        let study = study_of(changes, Depth::WithoutYear);
        let finding = inspect(&study).into_iter().find(|f| f.code == code).expect("the finding is there");
        let held = studied(&study, &finding, &mut Memo::default(), Files::default());
        (finding.remedies.len(), held.into_iter().map(|remedy| remedy.says).collect())
    }

    #[test]
    fn a_remedy_that_was_studied_is_offered() {
        let (all, held) = offered("D01", &[("string.row.count", "10")]);
        assert_eq!((all, held.len()), (1, 1));
        assert!(held[0].starts_with("8 modules instead of 10"));
    }

    /// Moving the second string to a free input that is too weak for it would make a danger of a doubt.
    #[test]
    fn a_remedy_that_does_harm_is_not_offered() {
        let second = "[[string]]\nname = \"second\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 6\ninto = { unit = \"inverter\", input = 1 }";
        let changes = [
            ("+", second),
            ("run.down.carries", r#"["row", "second"]"#),
            ("inverter.i.pv_input.1.short_circuit", "\"50 A\""),
            ("inverter.i.pv_input.2.voltage_limit", "\"300 V\""),
        ];
        let (all, held) = offered("D05", &changes);
        assert_eq!(all, 2);
        assert_eq!(held, ["8 modules in \"second\" too"]);
    }
}
