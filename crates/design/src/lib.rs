//! From a design text to a design, and from a design to a system.

pub mod catalogue;
pub mod circuits;
pub mod compass;
pub mod edit;
pub mod form;
pub mod guide;
mod means;
mod open_questions;
mod prices;
pub mod problem;
pub mod read;
pub mod resolve;
pub mod schema;
pub mod shelf;
pub mod starter;
pub mod system;
pub mod terminals;

pub use open_questions::{Assumption, Question, Recorded};

use problem::Problem;
use quantity::FieldPath;
use read::{Item, Lines, Reading};
use std::ops::Range;
use std::sync::Arc;
use system::System;
use wiring::Graph;

/// A design: its text, what was understood of it, and what is wrong with it.
#[derive(Clone, Debug)]
pub struct Design {
    /// The text as read.
    pub text: Arc<str>,
    /// What was understood, in file order.
    pub items: Vec<Item>,
    /// Everything wrong with the text, in file order.
    pub problems: Vec<Problem>,
    /// The system it describes.
    pub system: System,
    /// The circuits that follow from the system.
    pub graph: Graph,
}

impl Design {
    /// Reads and resolves a text. Problems are kept in the result; everything understood is kept too.
    pub fn of_text(text: &str) -> Design {
        Design::of_reading(text, read::read(text, catalogue::TABLES))
    }

    /// As [`Design::of_text`] from the bytes of a file.
    pub fn of_bytes(bytes: &[u8]) -> Design {
        let reading = read::read_bytes(bytes, catalogue::TABLES);
        Design::of_reading(&String::from_utf8_lossy(bytes), reading)
    }

    fn of_reading(text: &str, reading: Reading) -> Design {
        let Reading { items, mut problems, .. } = reading;
        let system = resolve::resolve(&items, shelf::shelf());
        problems.extend(resolve::contradictions(&items, &system));
        let problems = resolve::in_order(problems);
        let graph = circuits::circuits(&system);
        Design { text: text.into(), items, problems, system, graph }
    }

    /// Whether the text was understood well enough to answer from: no problem but doubts about its contents.
    pub fn is_sound(&self) -> bool {
        self.problems.is_empty()
    }

    /// Where a field stands in the text: its value, or the header of the thing it belongs to when it is blank.
    pub fn span_of(&self, field: &FieldPath) -> Option<Range<usize>> {
        let path = field.as_str();
        let item = self
            .items
            .iter()
            .filter(|item| {
                item.path.is_empty() || path == &*item.path || path.starts_with(&format!("{}.", item.path))
            })
            .max_by_key(|item| item.path.len())?;
        let rest = path.strip_prefix(&*item.path).unwrap_or("").trim_start_matches('.');
        let mut entries = item.entries.as_slice();
        let mut found: Option<&read::Entry> = None;
        for key in rest.split('.') {
            if let Ok(ordinal) = key.parse::<usize>() {
                if let Some(read::Given::Records(list)) = found.map(|entry| &entry.value)
                    && let Some((inner, _)) = list.get(ordinal.wrapping_sub(1))
                {
                    entries = inner;
                }
                continue;
            }
            let Some(entry) = entries.iter().find(|entry| entry.field.key == key) else { break };
            found = Some(entry);
            if let read::Given::Record(inner) = &entry.value {
                entries = inner;
            }
        }
        Some(found.map_or_else(|| item.name_span.clone(), |entry| entry.span.clone()))
    }

    /// Line and column of a field, counted from 1.
    pub fn place_of(&self, field: &FieldPath) -> Option<(usize, usize)> {
        let lines = Lines::new(&self.text);
        self.span_of(field).map(|span| lines.at(&self.text, span.start))
    }
}
