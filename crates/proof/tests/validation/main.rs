//! `VALIDATION.md` is written by this test: every number in it is computed anew by each run and compared with the file.
//!
//! `UPDATE=1 cargo test -p proof --test validation` writes the file after a change that was meant.
//! The section on files of measured years needs `WATTWRIGHT_DATA`; without it that section is left as it stands.
#![allow(clippy::print_stderr)]

mod cases;
mod record;

mod array_rows;
mod house_rows;
mod sun_rows;
mod tables_rows;
mod weather_files;
mod weather_rows;
mod wiring_rows;

use std::path::Path;

use record::{Section, heading};

const HEAD: &str = "\
# What is checked against what

This file is kept by the tests (`cargo test -p proof --test validation`): every number is computed anew by each run and the
run fails when the file says something else, or when a difference exceeds its tolerance. Expected values come from
published tables and examples or from programs written apart from this one, never from a run of this program. Differences
are rounded to two digits; \"digits\" means units of the last digit that the source prints.

How well a source is known: **read** (the figure was seen in the named source), **second-hand** (seen in a copy, summary or
teaching text), **remembered** (from memory, to be confirmed), **derived** (computed from the published equations by another
program or by hand).

Electrical figures rest on second-hand copies of the NEC; the licensed book and the local authority decide.
";

#[test]
fn the_record_says_what_is_computed_today() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../VALIDATION.md");
    let present = std::fs::read_to_string(&path).unwrap_or_default();
    let sections: Vec<Section> = [
        sun_rows::sections(),
        weather_rows::sections(),
        array_rows::sections(),
        house_rows::sections(),
        tables_rows::sections(),
        wiring_rows::sections(),
    ]
    .into_iter()
    .flatten()
    .collect();
    let mut text = HEAD.to_owned();
    for section in &sections {
        text += &section.text();
    }
    match weather_files::section() {
        Some(section) => text += &section.text(),
        None => {
            eprintln!("skipped: WATTWRIGHT_DATA is not set");
            // Kept as it stands in the file, if it is there.
            if let Some(at) = present.find(&heading(weather_files::TITLE)) {
                text += &present[at..];
            }
        }
    }
    if std::env::var("UPDATE").is_ok_and(|value| value == "1") {
        std::fs::write(&path, &text).expect("the record can be written");
        return;
    }
    for (at, (file, today)) in present.lines().zip(text.lines()).enumerate() {
        assert_eq!(
            file,
            today,
            "line {} of VALIDATION.md (left) is not what is computed today (right); if the change is meant, run with \
             UPDATE=1 and read the difference",
            at + 1
        );
    }
    assert_eq!(
        present.lines().count(),
        text.lines().count(),
        "VALIDATION.md has other lines; run with UPDATE=1"
    );
}
