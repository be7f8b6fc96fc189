//! What a person waits for, on the shipped farmhouse with its 20 weather years: the first study, edits of several
//! kinds, the rules, the book. Each line says what was computed; a study after an edit is held against a fresh one.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::expect_used)]

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};
use study::{Depth, Memo, Study};

const RUNS: usize = 15;

fn design(text: &str) -> Arc<design::Design> {
    Arc::new(design::Design::of_text(text))
}

fn study_of(design: Arc<design::Design>, depth: Depth, memo: &mut Memo) -> Study {
    Study::of(design, None, depth, memo)
}

/// Median and slowest of several runs; `prepare` is not timed.
fn time<P, R>(
    name: &str,
    mut prepare: impl FnMut(usize) -> P,
    mut run: impl FnMut(P) -> R,
    says: impl Fn(&R) -> String,
) {
    let mut times: Vec<Duration> = Vec::new();
    let mut last = None;
    for i in 0..RUNS {
        let input = prepare(i);
        let start = Instant::now();
        let result = run(input);
        times.push(start.elapsed());
        last = Some(says(&result));
    }
    times.sort();
    let ms = |d: Duration| d.as_secs_f64() * 1e3;
    println!(
        "{name:52} {:8.2} ms median {:8.2} ms slowest   {}",
        ms(times[RUNS / 2]),
        ms(times[RUNS - 1]),
        last.unwrap_or_default()
    );
}

fn backup(study: &Study) -> String {
    let year = study.year.as_ref().expect("the farmhouse has a year");
    format!("{:.0} h on backup", quantity::Measure::si(year.backup_hours.value) / 3600.0)
}

/// An edit is the text with one thing changed; its study from warm layers must equal a fresh one.
fn edit(name: &str, text: &str, from: &str, to: impl Fn(usize) -> String) {
    let mut memo = Memo::default();
    study_of(design(text), Depth::Whole, &mut memo);
    time(
        name,
        |i| text.replace(from, &to(i)),
        |changed| study_of(design(&changed), Depth::Whole, &mut memo),
        backup,
    );
    let changed = text.replace(from, &to(RUNS - 1));
    assert_ne!(changed, text, "{name} changes nothing");
    let warm = study_of(design(&changed), Depth::Whole, &mut memo);
    let fresh = study_of(design(&changed), Depth::Whole, &mut Memo::default());
    assert!(warm.figures == fresh.figures, "{name}: the layers give another study");
}

fn main() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = std::fs::read_to_string(path).unwrap();
    time("read and resolve", |_| (), |()| design(&text), |d| format!("{} problems", d.problems.len()));
    let read = design(&text);
    time(
        "study without the year",
        |_| read.clone(),
        |d| study_of(d, Depth::WithoutYear, &mut Memo::default()),
        |s| format!("{} figures", s.figures.len()),
    );
    time(
        "first whole study, 20 years made on the way",
        |_| read.clone(),
        |d| study_of(d, Depth::Whole, &mut Memo::default()),
        backup,
    );
    edit("edit: batteries", &text, "parallel = 6", |i| format!("parallel = {}", 7 + i));
    edit("edit: length of a run", &text, "length = \"131 ft\"", |i| format!("length = \"{} ft\"", 132 + i));
    edit("edit: a price", &text, "price = 1240", |i| format!("price = {}", 1241 + i));
    edit("edit: modules in a string", &text, "count = 9", |i| format!("count = {}", 5 + i % 4));
    edit("edit: tilt", &text, "tilt = \"48°\"", |i| format!("tilt = \"{}°\"", 20 + i));
    edit("edit: a data-sheet value of the module", &text, "voc = \"38.9 V\"", |i| {
        format!("voc = \"38.{} V\"", i % 8)
    });
    let study = study_of(read, Depth::Whole, &mut Memo::default());
    time("rules", |_| (), |()| rules::inspect(&study), |f| format!("{} findings", f.len()));
    let findings = rules::inspect(&study);
    let sky_shown = |study: Study| {
        let look = study::look_at_study(&study).expect("the farmhouse has weather");
        let table = output::sky::weather_table(&look, study.design.system.units);
        let forms = [output::drawing::Form::Wide, output::drawing::Form::Phone];
        let pictures = forms.map(|form| output::sky::pictures(&study, form).len());
        (table.rows.len(), pictures, output::sky::weather_remarks(&study).len())
    };
    time(
        "the sky as a page shows it, two forms",
        |_| study.clone(),
        sky_shown,
        |(rows, pictures, remarks)| format!("{rows} rows, {pictures:?} pictures, {remarks} remarks"),
    );
    time(
        "book as a value",
        |_| (),
        |()| output::book::book(&study, &findings),
        |b| format!("{} chapters", b.chapters.len()),
    );
    let book = output::book::book(&study, &findings);
    time("book as HTML", |_| (), |()| output::book::html(&book), |h| format!("{} kB", h.len() / 1000));
}
