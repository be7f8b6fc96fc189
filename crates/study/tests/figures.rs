//! Every figure of every shipped design explains itself, and moves only with what it rests on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use design::Design;
use quantity::{Figure, FigureName, Kind, Origin, Value};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn designs() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let mut found = Vec::new();
    for entry in std::fs::read_dir(&folder).expect("the designs are shipped") {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().to_string();
        if let Ok(text) = std::fs::read_to_string(path.join(format!("{name}.toml"))) {
            found.push((name, text));
        }
    }
    found.sort();
    assert!(found.len() >= 3, "the shipped designs were not found");
    found
}

fn study_of(text: &str, memo: &mut Memo) -> Study {
    Study::of(Arc::new(Design::of_text(text)), None, Depth::Whole, memo)
}

/// Walks a chain: workings must recompute to what they show, and every end must be a leaf that a person can look up.
fn walk(figure: &FigureName, origin: &Origin, value: Option<f64>, design: &Design, depth: usize) {
    assert!(depth < 64, "{figure}: the chain never ends");
    match origin {
        Origin::Stated(field) => {
            assert!(design.span_of(field).is_some(), "{figure}: {field} leads to no place of the design");
        }
        Origin::Tabled(row) => assert!(!row.row.is_empty(), "{figure}: a table row without words"),
        Origin::Shelf(_) | Origin::Measured(_) => {}
        Origin::Assumed(reason) => {
            assert!(!reason.because.is_empty(), "{figure}: an assumption without a reason")
        }
        Origin::Found(choice) => {
            assert!(!choice.because.is_empty(), "{figure}: a choice without a reason");
        }
        Origin::Series(series) => assert!(!series.terms.is_empty(), "{figure}: a run that rests on nothing"),
        Origin::Computed(working) => {
            // Two roundings of the printed constants are allowed for; nothing else.
            let again = working.recompute().unwrap_or_else(|e| panic!("{figure}: {e}"));
            if let Some(value) = value {
                let scale = value.abs().max(again.abs()).max(1e-12);
                // Money is kept in ten-thousandths of its unit.
                let coin = if working.formula.unit.kind == Kind::Money { 0.5000001e-4 } else { 0.0 };
                assert!(
                    (again - value).abs() <= 1e-9 * scale + coin,
                    "{figure}: shows {value}, its text gives {again}"
                );
            }
            assert!(!working.terms.is_empty(), "{figure}: a working without terms");
        }
    }
    for term in origin.terms() {
        walk(figure, &term.origin, term.value.number(), design, depth + 1);
    }
}

#[test]
fn every_figure_of_every_design_recomputes_and_ends_in_lines_rows_or_assumptions() {
    for (name, text) in designs() {
        let study = study_of(&text, &mut Memo::default());
        assert!(study.figures.len() > 60, "{name}: only {} figures", study.figures.len());
        for figure in study.figures.values() {
            if let Value::Number { si, .. } = figure.value {
                assert!(si.is_finite(), "{name}: {} is not a number", figure.name);
            }
            walk(&figure.name, &figure.origin, figure.value.number(), &study.design, 0);
        }
    }
}

/// A design wired by IEC cites no clause of the NEC, and the matter of every clause a figure rests on is found there.
#[test]
fn what_is_wired_by_iec_cites_no_clause_of_the_nec() {
    let mut seen = 0;
    for (name, text) in designs() {
        let study = study_of(&text, &mut Memo::default());
        if study::rule_set(&study.design.system) != Some(wiring::RuleSet::Iec60364) {
            continue;
        }
        for figure in study.figures.values() {
            figure.origin.walk(&mut |origin| {
                let clause = match origin {
                    Origin::Tabled(row) => row.clause,
                    Origin::Computed(working) => working.formula.clause,
                    Origin::Found(choice) => choice.clause,
                    Origin::Series(series) => series.clause,
                    Origin::Assumed(reason) => reason.clause,
                    Origin::Stated(_) | Origin::Shelf(_) | Origin::Measured(_) => return,
                };
                let cited = wiring::in_edition(wiring::RuleSet::Iec60364, clause);
                assert_ne!(cited.document, "NEC", "{name}: {}: {clause}", figure.name);
                assert!(!cited.clause.starts_with("no clause"), "{name}: {}: {clause}", figure.name);
                seen += 1;
            });
        }
    }
    assert!(seen > 200, "only {seen} clauses were looked at");
}

/// Bits of a value, so that equality is exact.
fn bits(figure: &Figure) -> String {
    match &figure.value {
        Value::Number { si, .. } => format!("{:x}", si.to_bits()),
        other => format!("{other:?}"),
    }
}

fn all_bits(study: &Study) -> BTreeMap<FigureName, String> {
    study.figures.iter().map(|(name, figure)| (name.clone(), bits(figure))).collect()
}

/// A small generator so that the edits are the same each time.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        // Numerical Recipes' linear congruential constants.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }
}

/// Data-sheet numbers of a design: byte range of the number inside its quotes, path, number.
fn sheet_values(design: &Design) -> Vec<(std::ops::Range<usize>, String, f64)> {
    let mut values = Vec::new();
    for item in
        design.items.iter().filter(|i| ["module", "inverter", "battery", "controller"].contains(&i.table.key))
    {
        for entry in &item.entries {
            if !entry.field.used || entry.field.key == "price" || entry.field.key == "weight" {
                continue;
            }
            if !matches!(entry.value, design::read::Given::Quantity { .. }) {
                continue;
            }
            let text = &design.text[entry.span.clone()];
            let Some(inner) = text.strip_prefix('"').and_then(|t| t.strip_suffix('"')) else { continue };
            let end =
                inner.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(inner.len());
            if let Ok(number) = inner[..end].parse::<f64>() {
                let start = entry.span.start + 1;
                values.push((start..start + end, format!("{}.{}", item.path, entry.field.key), number));
            }
        }
    }
    values
}

#[test]
fn one_changed_value_moves_only_the_figures_that_rest_on_it() {
    let mut dice = Dice(20_261_125);
    let mut moved_at_all = 0;
    let mut edits = 0;
    for (name, text) in designs() {
        if name == "wrong-turns" {
            continue;
        }
        let mut memo = Memo::default();
        let before = study_of(&text, &mut memo);
        let values = sheet_values(&before.design);
        assert!(values.len() > 10, "{name}: only {} values to change", values.len());
        let was = all_bits(&before);
        for _ in 0..17 {
            let (span, path, number) = &values[(dice.next() % values.len() as u64) as usize];
            // One per cent down keeps every sheet free of contradictions.
            let changed = format!("{}{}{}", &text[..span.start], number * 0.99, &text[span.end..]);
            let after = study_of(&changed, &mut memo);
            assert!(after.design.problems.is_empty(), "{path}: {:?}", after.design.problems);
            edits += 1;
            let is = all_bits(&after);
            for (figure, now) in &is {
                let Some(then) = was.get(figure) else { continue };
                if now == then {
                    continue;
                }
                moved_at_all += 1;
                let fields = after.figures[figure].origin.fields();
                let names_it = |fields: &[quantity::FieldPath]| {
                    fields.iter().any(|f| f.as_str() == path || f.as_str().starts_with(&format!("{path}.")))
                };
                // A line of the bill gathers what was found in one size: a circuit whose size moved leaves or joins it,
                // and it is that circuit's figure that says why.
                let gathers = ["bill/wire/", "bill/raceway/", "bill/breakers", "bill/total"]
                    .iter()
                    .any(|group| figure.as_str().starts_with(group));
                let a_circuit_moved = || {
                    is.iter().any(|(name, now)| {
                        (name.as_str().starts_with("circuits/") || name.as_str().starts_with("raceways/"))
                            && was.get(name) != Some(now)
                            && names_it(&after.figures[name].origin.fields())
                    })
                };
                let rests = names_it(&fields) || (gathers && a_circuit_moved());
                assert!(rests, "{name}: {path} moved {figure}, whose working does not name it");
            }
        }
        // With everything as before, every bit is as before, whatever is in the layers.
        assert_eq!(all_bits(&study_of(&text, &mut memo)), was, "{name}: the layers remember something else");
    }
    assert!(edits >= 50 && moved_at_all > 200, "{edits} edits moved {moved_at_all} figures");
}

#[test]
fn a_battery_more_solves_no_diode_again() {
    let (_, text) = designs().into_iter().find(|(name, _)| name == "hollow-farm").unwrap();
    let mut memo = Memo::default();
    study_of(&text, &mut memo);
    let (sun, light, modules, balance) =
        (memo.sun.computed, memo.light.computed, memo.modules.computed, memo.balance.computed);
    let more = text.replace("parallel = 6", "parallel = 7");
    assert_ne!(more, text);
    let study = study_of(&more, &mut memo);
    assert_eq!((memo.sun.computed, memo.light.computed, memo.modules.computed), (sun, light, modules));
    // The house whole, and with each of its units out of order, once.
    let states = 1 + study.year.as_ref().unwrap().broken.len();
    assert!(states > 1);
    assert_eq!(memo.balance.computed, balance + states);
}

#[test]
fn the_same_design_gives_the_same_bits_on_one_thread_and_many() {
    let (_, text) = designs().into_iter().next().unwrap();
    let many = all_bits(&study_of(&text, &mut Memo::default()));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let one = pool.install(|| all_bits(&study_of(&text, &mut Memo::default())));
    assert_eq!(many, one);
}

#[test]
fn an_unknown_coldest_temperature_is_never_filled_in() {
    let (_, text) = designs().into_iter().find(|(name, _)| name == "hollow-farm").unwrap();
    let line = text.lines().find(|line| line.starts_with("coldest")).unwrap().to_string();
    let study = study_of(&text.replace(&line, ""), &mut Memo::default());
    assert!(study.strings.iter().all(|s| !s.cold_voc.is_known() && !s.longest.is_known()));
    assert!(study.design.questions().iter().any(|q| q.field.as_str() == "place.coldest.value"));
    // The energy answer does not hang on it.
    assert!(study.year.is_ok());
}
