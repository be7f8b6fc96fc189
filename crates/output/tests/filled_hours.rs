//! Hours that a weather file lacks stand in the book with their lines and what stands there now.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use std::sync::Arc;
use study::{Depth, Memo, Study, WeatherFile};

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

fn study_of(weather: &str, file: Option<&WeatherFile>) -> Study {
    let line = FARM.lines().find(|line| line.starts_with("weather = {")).unwrap();
    let design = Design::of_text(&FARM.replacen(line, weather, 1));
    assert!(design.is_sound(), "{:?}", design.problems);
    Study::of(Arc::new(design), file, Depth::Whole, &mut Memo::default())
}

#[test]
fn the_book_lists_what_a_file_lacked_and_says_what_the_years_are() {
    let made = study_of("weather = { normals = \"nearest\", years = 1, seed = 3 }", None);
    assert!(output::sky::filled_table(&study::look_at_study(&made).unwrap()).is_none());
    let whole = study::year_as_table(&study::look_at_study(&made).unwrap(), 0).unwrap();
    // The first hours stand on line 8: 2 January 01:00 to 03:00 without air on lines 32 to 34.
    let holed: String = whole
        .lines()
        .enumerate()
        .map(|(at, line)| match at + 1 {
            32..=34 => {
                let cells: Vec<&str> = line.split(',').collect();
                format!("{},{},{},{},,{}\n", cells[0], cells[1], cells[2], cells[3], cells[5])
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let file = WeatherFile { name: "field.csv".into(), bytes: Ok(holed.as_bytes().into()) };
    let study = study_of("weather = { file = \"field.csv\" }", Some(&file));
    let table = output::sky::filled_table(&study::look_at_study(&study).unwrap()).unwrap();
    let cells: Vec<Vec<&str>> =
        table.rows.iter().map(|row| row.cells.iter().map(|cell| &*cell.text).collect()).collect();
    assert_eq!(
        cells,
        [[
            "air temperature",
            "2 January, 01:00",
            "3",
            "lines 32 to 34",
            "run straight between their neighbours"
        ]]
    );
    assert!(table.note.contains("place.weather.gaps"));
    let findings = Vec::new();
    let page = output::book::html(&output::book::book(&study, &findings));
    assert!(page.contains("Hours the weather file lacked") && page.contains("lines 32 to 34"));
    assert!(
        page.replace("\u{a0}", " ")
            .contains("air temperature of 3 hours run straight between their neighbours")
    );
}
