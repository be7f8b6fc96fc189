//! Reading the embedded data files. A file that does not read is a fault of this crate, found by its tests.

use quantity::{Gauge, Material, Standing};
use std::collections::HashMap;
use std::str::FromStr;

/// One row of a data file with its column names.
pub(crate) struct Line<'a> {
    columns: &'a HashMap<String, usize>,
    cells: &'a csv::StringRecord,
}

impl Line<'_> {
    /// Text of a cell; `None` when the column does not exist.
    pub(crate) fn text(&self, column: &str) -> Option<&str> {
        self.cells.get(*self.columns.get(column)?)
    }

    /// A cell that must hold a value.
    pub(crate) fn value<T: FromStr>(&self, column: &str) -> Option<T> {
        self.text(column)?.parse().ok()
    }

    /// A cell that may be blank: `Some(None)` when it is, `None` when it does not read.
    pub(crate) fn optional<T: FromStr>(&self, column: &str) -> Option<Option<T>> {
        match self.text(column)? {
            "" => Some(None),
            text => text.parse().ok().map(Some),
        }
    }

    /// A conductor size.
    pub(crate) fn size(&self, column: &str) -> Option<Gauge> {
        Gauge::read(self.text(column)?).ok()
    }

    /// A conductor size that may be blank.
    pub(crate) fn optional_size(&self, column: &str) -> Option<Option<Gauge>> {
        match self.text(column)? {
            "" => Some(None),
            text => Gauge::read(text).ok().map(Some),
        }
    }

    /// Standing of the row.
    pub(crate) fn standing(&self) -> Option<Standing> {
        match self.text("standing")? {
            "computed" => Some(Standing::Computed),
            "read" => Some(Standing::Read),
            "second-hand" => Some(Standing::SecondHand),
            "memory" => Some(Standing::Remembered),
            _ => None,
        }
    }
}

/// Metal named in a cell; `None` for metals no look-up offers.
pub(crate) fn material(text: &str) -> Option<Material> {
    [Material::Copper, Material::Aluminum].into_iter().find(|material| material.in_words() == text)
}

/// All rows of a data file, each through `row`.
///
/// # Panics
/// When the embedded file does not read; every file is read whole by a test of its table.
pub(crate) fn rows<T>(text: &'static str, row: impl Fn(&Line<'_>) -> Option<T>) -> Vec<T> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let names = reader.headers().expect("an embedded table has column names");
    // By name, because the climate table has sixty columns and a thousand rows.
    let columns = names.iter().enumerate().map(|(place, name)| (name.to_owned(), place)).collect();
    reader
        .records()
        .map(|record| {
            let cells = record.expect("an embedded table has as many cells as columns");
            let line = Line { columns: &columns, cells: &cells };
            row(&line).unwrap_or_else(|| panic!("a row of an embedded table does not read: {cells:?}"))
        })
        .collect()
}
