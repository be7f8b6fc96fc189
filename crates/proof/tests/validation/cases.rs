//! Reading the published cases under `cases/`.

use std::collections::HashMap;
use std::path::Path;

pub(crate) struct Row(HashMap<String, String>);

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column} is {text}"))
    }

    /// `name=value` within a column of inputs separated by semicolons.
    pub(crate) fn input(&self, column: &str, name: &str) -> f64 {
        let inputs = self.text(column);
        let found = inputs.split(';').find_map(|pair| pair.trim().strip_prefix(name)?.strip_prefix('='));
        found.and_then(|text| text.parse().ok()).unwrap_or_else(|| panic!("{name} in {inputs}"))
    }
}

pub(crate) fn text(file: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/solar").join(file);
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{file} is part of the repository: {error}"))
}

/// The rows of a table with `#` comments and a line of column names.
pub(crate) fn rows(file: &str) -> Vec<Row> {
    let text = text(file);
    let mut reader =
        csv::ReaderBuilder::new().comment(Some(b'#')).flexible(true).from_reader(text.as_bytes());
    let names: Vec<String> = reader.headers().expect("a header line").iter().map(str::to_owned).collect();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.expect("a well-formed row");
            Row(names.iter().cloned().zip(record.iter().map(str::to_owned)).collect())
        })
        .collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

/// The rows of a table of `quantity,inputs,value`.
pub(crate) fn quantities(file: &str, quantity: &str) -> Vec<Row> {
    let found: Vec<Row> = rows(file).into_iter().filter(|row| row.text("quantity") == quantity).collect();
    assert!(!found.is_empty(), "{file} has no {quantity}");
    found
}
