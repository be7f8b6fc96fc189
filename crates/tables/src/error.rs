//! What a table does not hold.

use crate::{RacewayKind, TradeSize};
use quantity::{Clause, Gauge};
use std::fmt;

/// Why a look-up found no row. Outside a table nothing is guessed.
#[derive(Clone, Debug, PartialEq)]
pub enum TableError {
    /// The table has no row for this conductor size.
    NoSuchSize {
        /// The table.
        table: &'static Clause,
        /// The size that was asked for.
        size: Gauge,
        /// Kind of conductor the rows are for, in words.
        of: &'static str,
        /// Smallest size with a row.
        smallest: Gauge,
        /// Largest size with a row.
        largest: Gauge,
    },
    /// The row exists but the cell is blank.
    BlankCell {
        /// The table.
        table: &'static Clause,
        /// The row in words.
        row: String,
        /// The column in words.
        column: &'static str,
    },
    /// The value lies above the last row.
    Above {
        /// The table.
        table: &'static Clause,
        /// What was asked for, in words.
        what: &'static str,
        /// The value.
        asked: f64,
        /// The greatest value the table answers.
        most: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// The value lies below the first row.
    Below {
        /// The table.
        table: &'static Clause,
        /// What was asked for, in words.
        what: &'static str,
        /// The value.
        asked: f64,
        /// The least value the table answers.
        least: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// The table lists single values and this is none of them.
    NotListed {
        /// The table.
        table: &'static Clause,
        /// What was asked for, in words.
        what: &'static str,
        /// The value.
        asked: f64,
        /// The listed neighbours, below and above.
        neighbours: (Option<f64>, Option<f64>),
        /// Unit of all.
        unit: &'static str,
    },
    /// The raceway is not made, or not listed, in this trade size.
    NoSuchTradeSize {
        /// The table.
        table: &'static Clause,
        /// Kind of raceway.
        kind: RacewayKind,
        /// Trade size that was asked for.
        trade_size: TradeSize,
    },
    /// The value is not a finite number.
    NotANumber {
        /// The table.
        table: &'static Clause,
        /// What was asked for, in words.
        what: &'static str,
    },
}

impl TableError {
    /// The table that was asked.
    pub fn table(&self) -> &'static Clause {
        match self {
            TableError::NoSuchSize { table, .. }
            | TableError::BlankCell { table, .. }
            | TableError::Above { table, .. }
            | TableError::Below { table, .. }
            | TableError::NotListed { table, .. }
            | TableError::NoSuchTradeSize { table, .. }
            | TableError::NotANumber { table, .. } => table,
        }
    }
}

/// Passes a finite number on.
pub(crate) fn finite(value: f64, table: &'static Clause, what: &'static str) -> Result<f64, TableError> {
    if value.is_finite() { Ok(value) } else { Err(TableError::NotANumber { table, what }) }
}

impl fmt::Display for TableError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let table = self.table();
        write!(f, "{} {}: ", table.document, table.clause)?;
        match self {
            TableError::NoSuchSize { size, of, smallest, largest, .. } => {
                write!(f, "no row for {size} {of}; the rows go from {smallest} to {largest}")
            }
            TableError::BlankCell { row, column, .. } => write!(f, "{row} has no value for {column}"),
            TableError::Above { what, asked, most, unit, .. } => {
                write!(f, "{what} of {asked} {unit} is above {most} {unit}, where the table ends")
            }
            TableError::Below { what, asked, least, unit, .. } => {
                write!(f, "{what} of {asked} {unit} is below {least} {unit}, where the table begins")
            }
            TableError::NotListed { what, asked, neighbours, unit, .. } => {
                write!(f, "{what} of {asked} {unit} is not listed")?;
                match neighbours {
                    (Some(below), Some(above)) => {
                        write!(f, "; its neighbours are {below} and {above} {unit}")
                    }
                    (Some(last), None) => write!(f, "; the last is {last} {unit}"),
                    (None, Some(first)) => write!(f, "; the first is {first} {unit}"),
                    (None, None) => Ok(()),
                }
            }
            TableError::NoSuchTradeSize { kind, trade_size, .. } => {
                write!(f, "{kind} is not listed in trade size {trade_size}")
            }
            TableError::NotANumber { what, .. } => write!(f, "{what} is not a finite number"),
        }
    }
}

impl std::error::Error for TableError {}
