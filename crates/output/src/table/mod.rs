//! A table is a value first: columns, rows and a note. Terminal, page and book lay out the same value.

mod decimals;
pub mod html;
mod terminal;

pub use decimals::padding;
pub use html::html;
pub use terminal::terminal;

use quantity::FigureName;

/// A table ready to be laid out; all text is in the owner's units.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Table {
    /// Short name, unique in a document, usable as a link target.
    pub id: String,
    /// What it shows.
    pub caption: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows, each with one cell per column.
    pub rows: Vec<Row>,
    /// A line below, empty where there is none.
    pub note: String,
}

/// One column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Head.
    pub head: String,
    /// Unit, said once in the head; empty where there is none.
    pub unit: String,
    /// Numbers stand right, words left.
    pub align: Align,
}

/// Which way the cells of a column lean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Align {
    Left,
    Right,
}

/// One row.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Row {
    /// Cells.
    pub cells: Vec<Cell>,
    /// A total, set off by a rule.
    pub total: bool,
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Cell {
    /// Text.
    pub text: String,
    /// The figure it shows, for links and workings.
    pub figure: Option<FigureName>,
    /// How it is to be looked at.
    pub tone: Tone,
}

/// What a cell or a run of text means beyond its words. Colour is chosen at the edge and only from this.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Tone {
    /// Ink.
    #[default]
    Plain,
    /// Straight from the sun.
    Sun,
    /// Through the battery.
    Battery,
    /// Utility or generator, and doubts.
    Backup,
    /// Dark hours and danger only.
    Danger,
    /// Not known.
    Unknown,
    /// Less important.
    Soft,
}
