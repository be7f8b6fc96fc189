//! Edits of a design text by path. Only the bytes of the edited value change: comments, order and spacing stay.
//!
//! A path names a field as everywhere else: `place.coldest`, `module.field.voc`, `string.north row.count`,
//! `inverter.wall.pv_input.1.power`. Things in lists are found by their `name`, or counted from 1.
//!
//! Every result is read again before it is returned and must say exactly what the edit asked for and nothing else;
//! otherwise the edit is refused with [`EditError::DidNotApply`]. A text with problems elsewhere can be edited.

mod add;
mod error;
mod mend;
mod order;
mod remove;
mod rename;
mod set;
mod walk;

pub use add::add_item;
pub use error::EditError;
pub use mend::{apply_mend, apply_mends};
pub use order::{append, duplicate, shift, source, sources};
pub use remove::remove;
pub use rename::rename;
pub use set::set;

use crate::read::Problems;
use crate::read::tree::{Table, Value, grow};

/// The tree of a text, and how many statements of it are broken.
fn grown(text: &str) -> (Table, usize) {
    let mut problems = Problems::default();
    let root = grow(text, &mut problems);
    (root, problems.len())
}

/// The value a text stands for.
///
/// # Errors
/// [`EditError::BadValue`] when it is not exactly one TOML value.
fn value_of(written: &str) -> Result<Value, EditError> {
    let bad = |why: String| EditError::BadValue { value: written.to_string(), why };
    toml::de::DeValue::parse(written).map_err(|error| bad(error.message().to_string()))?;
    let text = format!("x = {written}");
    let (mut root, faults) = grown(&text);
    match root.members.pop() {
        Some(member) if faults == 0 && root.members.is_empty() && member.key == "x" => Ok(member.node.value),
        _ => Err(bad("it is more than one value".into())),
    }
}

/// The new text, if it says what was expected and breaks nothing more than the old one.
fn proven(text: String, expected: &Table, faults_before: usize, path: &str) -> Result<String, EditError> {
    let (root, faults) = grown(&text);
    let same = Value::Table(root).same(&Value::Table(expected.clone()));
    if same && faults <= faults_before {
        Ok(text)
    } else {
        Err(EditError::DidNotApply { path: path.to_string() })
    }
}

/// The line end the text uses.
fn newline(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

/// End of the line that holds `at`, before its line end.
fn end_of_line(text: &str, at: usize) -> usize {
    let end = text[at..].find('\n').map_or(text.len(), |length| at + length);
    if text[at..end].ends_with('\r') { end - 1 } else { end }
}

/// Beginning of the line that holds `at`.
fn start_of_line(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |newline| newline + 1)
}
