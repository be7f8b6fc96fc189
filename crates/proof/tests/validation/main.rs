//! `VALIDATION.md` is written by this test: every number in it is computed anew by each run and compared with the file.
//!
//! `UPDATE=1 cargo test -p proof --test validation` writes the file after a change that was meant.
//! The section on files of measured years needs `WATTWRIGHT_DATA`; without it that section is left as it stands.
#![allow(clippy::print_stderr)]

mod cases;
mod record;

mod array_rows;
mod house_rows;
mod money_rows;
mod search_rows;
mod sun_rows;
mod tables_rows;
mod textbook_rows;
mod weather_against;
mod weather_files;
mod weather_hours;
mod weather_rows;
mod weather_spread;
mod wiring_rows;

use std::path::{Path, PathBuf};

use record::heading;

const HEAD: &str = "\
# What is checked against what

This file is kept by the tests (`cargo test -p proof --test validation`): every number is computed anew by each run and the
run fails when the file says something else, or when a difference exceeds its tolerance. Expected values come from
published tables and examples or from programs written apart from this one, never from a run of this program; the section on
the search, which holds two ways of this program against each other, says so. Differences
are rounded to two digits; \"digits\" means units of the last digit that the source prints. Three differences are what
half of the cases stay within, what nine in ten stay within, and the largest. One alone is the largest: of one or two cases
it is all there is, and of more it says that half of them differ as much, to the digits shown.

How well a source is known: **read** (the figure was seen in the named source), **second-hand** (seen in a copy, summary or
teaching text), **remembered** (from memory, to be confirmed), **derived** (computed from the published equations by another
program or by hand).

Electrical figures rest on second-hand copies of the NEC; the licensed book and the local authority decide.
";

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../VALIDATION.md")
}

/// The file as it stands: all but the section on weather files, and that section.
fn present() -> (String, String) {
    let text = std::fs::read_to_string(path()).unwrap_or_default();
    let cut = text.find(&heading(weather_files::TITLE)).unwrap_or(text.len());
    (text[..cut].to_owned(), text[cut..].to_owned())
}

fn update() -> bool {
    std::env::var("UPDATE").is_ok_and(|value| value == "1")
}

fn same(file: &str, today: &str) {
    for (left, right) in file.lines().zip(today.lines()) {
        assert_eq!(
            left, right,
            "a line of VALIDATION.md (left) is not what is computed today (right); if the change is meant, run with \
             UPDATE=1 and read the difference"
        );
    }
    assert_eq!(
        file.lines().count(),
        today.lines().count(),
        "VALIDATION.md has other lines; run with UPDATE=1"
    );
}

#[test]
fn the_record_says_what_is_computed_today() {
    let sections = [
        sun_rows::sections(),
        weather_rows::sections(),
        array_rows::sections(),
        house_rows::sections(),
        money_rows::sections(),
        tables_rows::sections(),
        wiring_rows::sections(),
        search_rows::sections(),
    ];
    let mut today = HEAD.to_owned();
    for section in sections.iter().flatten() {
        today += &section.text();
    }
    let (file, on_weather_files) = present();
    if update() {
        // Without the files their section is kept as it stands.
        let weather_files = weather_files::section().map_or(on_weather_files, |section| section.text());
        std::fs::write(path(), today + &weather_files).expect("the record can be written");
        return;
    }
    same(&file, &today);
}

#[test]
fn the_record_of_weather_files_says_what_is_computed_today() {
    if update() {
        return; // Written together with the rest.
    }
    let Some(section) = weather_files::section() else {
        eprintln!("skipped: WATTWRIGHT_DATA is not set");
        return;
    };
    same(&present().1, &section.text());
}
