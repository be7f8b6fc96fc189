//! Reading a design text: everything understood is kept, every problem is listed in one run.

mod bytes;
pub(crate) mod compound;
pub(crate) mod forms;
mod inside;
pub(crate) mod interpret;
mod lines;
mod names;
mod plant;
mod problems;
pub(crate) mod shapes;
mod statements;
mod times;
pub(crate) mod tree;
mod value;
pub(crate) mod words;

pub use bytes::{LARGEST, read_bytes, text_of};
pub use lines::Lines;
pub use problems::MOST_PROBLEMS;
pub use value::{Entry, Given, Item, Span};

use crate::catalogue::Table;
use crate::problem::{Label, Mend, Problem, What};
pub(crate) use problems::Problems;
use quantity::{Currency, Units};
use std::sync::Arc;
use toml::de::DeTable;

/// What a text says, as far as it was understood, and everything that is wrong with it.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// The tables in file order; the bare keys at the top are the item whose table has an empty key.
    pub items: Vec<Item>,
    /// The problems in file order.
    pub problems: Vec<Problem>,
    /// What the top of the file says about the file itself.
    pub header: Header,
}

/// What the top of the file says about the file itself; `None` where it is not written or not understood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Header {
    /// Version of the file format.
    pub wattwright: Option<u32>,
    /// The owner's name for the design.
    pub title: Option<Arc<str>>,
    /// How answers are printed.
    pub units: Option<Units>,
    /// The one currency of all amounts.
    pub currency: Option<Currency>,
}

impl Reading {
    /// The items of one table, in file order.
    pub fn items_of<'r>(&'r self, table: &'r str) -> impl Iterator<Item = &'r Item> {
        self.items.iter().filter(move |item| item.table.key == table)
    }

    /// The first item of a table: the only one of a table that is written once.
    pub fn one(&self, table: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.table.key == table)
    }

    /// The item of a table with this name.
    pub fn named(&self, table: &str, name: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.table.key == table && &*item.name == name)
    }
}

/// Reads a design by a catalogue. The table with the empty key describes the bare keys at the top of the file.
///
/// Takes any text: it never fails, and what is wrong stands in [`Reading::problems`], at most
/// [`MOST_PROBLEMS`] of them. Time and memory grow linearly with the text.
pub fn read(text: &str, tables: &'static [Table]) -> Reading {
    let mut problems = Problems::default();
    let root = tree::grow(text, &mut problems);
    let faults = problems.len();
    if faults == 0 && root.members.is_empty() {
        problems.push(bytes::empty(text));
        return Reading { problems: problems.in_order(), ..Reading::default() };
    }
    if faults == 0
        && let Err(error) = DeTable::parse(text)
    {
        // The statements are right one by one but not together: a rare rule of TOML on dotted keys.
        let span = error.span().unwrap_or(0..0);
        problems.push(Problem {
            what: What::Syntax,
            says: format!("this is not TOML: {}", error.message()),
            help: "Write the table's keys under its one header.".into(),
            labels: vec![Label { span, says: "here".into() }],
            mend: None,
        });
    }
    let header = interpret::header(&root, tables);
    let mut items = interpret::items(text, &root, tables, &header, &mut problems);
    names::check(&mut items, tables, &mut problems);
    items.sort_by_key(|item| item.span.start);
    Reading { items, problems: problems.in_order(), header }
}
