//! Reading of the check tables under `cases/`.
#![allow(dead_code, unreachable_pub, clippy::print_stdout)]

use std::collections::HashMap;
use sun::{HOURS, Observer, YearSky, month_of_hour};

/// One row of a table: column name to text.
pub struct Row(HashMap<String, String>);

impl Row {
    /// The text of a column.
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The number of a column.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column} is {text}"))
    }
}

/// All rows of a table with `#` comment lines and a line of column names.
pub fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let names: Vec<String> = reader.headers().expect("a header line").iter().map(str::to_owned).collect();
    reader
        .records()
        .map(|record| {
            let record = record.expect("a well-formed row");
            Row(names.iter().cloned().zip(record.iter().map(str::to_owned)).collect())
        })
        .collect()
}

/// Largest difference seen, with its place, for the validation tables.
#[derive(Default)]
pub struct Largest {
    /// The difference.
    pub value: f64,
    /// Where.
    pub place: String,
}

impl Largest {
    /// Keeps the larger difference; NaN is never small.
    pub fn see(&mut self, difference: f64, place: impl Into<String>) {
        assert!(!difference.is_nan(), "not a number at {}", place.into());
        if difference.abs() >= self.value {
            self.value = difference.abs();
            self.place = place.into();
        }
    }

    /// Prints and holds the bound.
    pub fn at_most(&self, what: &str, bound: f64) {
        println!("{what}: largest difference {:.3e} at {}", self.value, self.place);
        assert!(self.value <= bound, "{what}: {:.3e} exceeds {bound:e} at {}", self.value, self.place);
    }
}

/// Month of every hour of the calendar, 1..=12.
pub fn months() -> Vec<u8> {
    (0..HOURS).map(|hour| month_of_hour(hour) as u8 + 1).collect()
}

/// The sun of the calendar at a latitude, 100 m up on the prime meridian.
pub fn sky_at(latitude: f64) -> YearSky {
    YearSky::new(Observer::new(latitude, 0.0, 100.0).expect("a place"), 0.0)
}
