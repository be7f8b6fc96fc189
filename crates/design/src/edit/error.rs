//! Why an edit was refused.

use std::fmt;

/// Why an edit was refused; the text is unchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// Nothing of this path is in the design, and it cannot be begun by setting a field.
    NoSuchPlace {
        /// The path asked for.
        path: String,
    },
    /// The path is a thing with a header; only its fields can be set.
    IsTable {
        /// The path asked for.
        path: String,
    },
    /// A part of the path is a plain value and has no fields.
    IsValue {
        /// The path asked for.
        path: String,
    },
    /// The value is no TOML value.
    BadValue {
        /// The value as written.
        value: String,
        /// What the TOML parser says.
        why: String,
    },
    /// The name is taken, or empty.
    BadName {
        /// The name asked for.
        name: String,
        /// Why not.
        why: String,
    },
    /// The catalogue has no such table, or it takes no such item.
    NoSuchTable {
        /// The table asked for.
        table: String,
    },
    /// The mend does not fit the text: its place lies outside, inside a character, or over another mend.
    Misplaced,
    /// The edited text would not have said what was asked for.
    DidNotApply {
        /// The path asked for.
        path: String,
    },
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditError::NoSuchPlace { path } => write!(f, "the design has no {path}"),
            EditError::IsTable { path } => write!(f, "{path} is a table; set its fields"),
            EditError::IsValue { path } => write!(f, "{path} lies below a plain value"),
            EditError::BadValue { value, why } => write!(f, "{value} is no value for a design: {why}"),
            EditError::BadName { name, why } => write!(f, "\"{name}\" cannot be the name: {why}"),
            EditError::NoSuchTable { table } => write!(f, "a design has no table {table} that takes this"),
            EditError::Misplaced => f.write_str("the mend does not fit this text; read it again"),
            EditError::DidNotApply { path } => {
                write!(f, "the edit of {path} would have changed something else; edit the text by hand")
            }
        }
    }
}

impl std::error::Error for EditError {}
