//! Setting one value.

use super::walk::{
    Step, Way, has_header, last_end, member_at, node_at, own_statements, put, table_at, table_at_mut,
    value_at_mut, walk,
};
use super::{EditError, end_of_line, grown, newline, proven, start_of_line, value_of};
use crate::catalogue::{Form, Table as Described};
use crate::read::tree::{Origin, Table, Value};
use crate::read::words::key_text;

/// Sets the field at `path` to a value as it would stand in the file, such as `"120 ft"` with its quotes, `9` or
/// `{ compass = "163°" }`.
///
/// A field that is there keeps its place and its comment. One that is not is written below the last one of its table;
/// a table that is not there is begun at the end of the file, where the catalogue knows it. A value `"unknown"` whose
/// part is set becomes a record. Things of lists are not begun here, see [`super::add_item`].
///
/// # Errors
/// [`EditError`]; the text is then unchanged.
pub fn set(text: &str, path: &str, value: &str, tables: &[Described]) -> Result<String, EditError> {
    let value = value.trim();
    let meant = value_of(value)?;
    let (root, faults) = grown(text);
    let way = walk(&root, path);
    let mut expected = root.clone();
    let edited = if way.rest.is_empty() {
        let target = value_at_mut(&mut expected, &way.steps);
        *target.ok_or_else(|| no_such(path))? = meant;
        replaced(text, &root, &way.steps, value, path)?
    } else {
        let edited = begun(text, &root, &way, value, path, tables)?;
        expect(&mut expected, &way, meant).ok_or_else(|| no_such(path))?;
        edited
    };
    proven(edited, &expected, faults, path)
}

pub(super) fn no_such(path: &str) -> EditError {
    EditError::NoSuchPlace { path: path.to_string() }
}

fn replaced(text: &str, root: &Table, steps: &[Step], value: &str, path: &str) -> Result<String, EditError> {
    let node = node_at(root, steps).ok_or_else(|| no_such(path))?;
    if has_header(&node.value) {
        return Err(EditError::IsTable { path: path.to_string() });
    }
    let mut edited = text.to_string();
    match (&node.value, member_at(root, steps)) {
        // A line that could not be read is written anew.
        (Value::Broken, Some(member)) if member.statement.start == member.key_span.start => {
            let line = format!("{} = {value}", key_text(&member.key));
            edited.replace_range(member.statement.clone(), &line);
        }
        (Value::Broken, _) => return Err(EditError::DidNotApply { path: path.to_string() }),
        _ => edited.replace_range(node.span.clone(), value),
    }
    Ok(edited)
}

/// The keys of the rest of a path, and the value they lead to: `a = { b = value }`.
fn nested(rest: &str, value: &str) -> (String, String) {
    let mut keys: Vec<&str> = rest.split('.').collect();
    let first = keys.remove(0);
    let value =
        keys.iter().rev().fold(value.to_string(), |value, key| format!("{{ {} = {value} }}", key_text(key)));
    (first.to_string(), value)
}

/// What the tree looks like after the edit.
fn expect(expected: &mut Table, way: &Way<'_>, meant: Value) -> Option<()> {
    let keys: Vec<&str> = way.rest.split('.').collect();
    let (first, others) = keys.split_first()?;
    let value = others.iter().rev().fold(meant, |value, key| {
        let mut table = Table::of(Origin::Inline);
        put(&mut table, key, value);
        Value::Table(table)
    });
    if let Some(table) = table_at_mut(expected, &way.steps) {
        put(table, first, value);
        return Some(());
    }
    let mut table = Table::of(Origin::Inline);
    put(&mut table, first, value);
    *value_at_mut(expected, &way.steps)? = Value::Table(table);
    Some(())
}

/// Writes a field that is not there yet.
fn begun(
    text: &str,
    root: &Table,
    way: &Way<'_>,
    value: &str,
    path: &str,
    tables: &[Described],
) -> Result<String, EditError> {
    let Some(table) = table_at(root, &way.steps) else {
        let node = node_at(root, &way.steps).ok_or_else(|| no_such(path))?;
        return match &node.value {
            Value::Text(word) if word.trim().eq_ignore_ascii_case("unknown") => {
                let (key, value) = nested(way.rest, value);
                let mut edited = text.to_string();
                edited.replace_range(node.span.clone(), &format!("{{ {} = {value} }}", key_text(&key)));
                Ok(edited)
            }
            Value::List(_) | Value::Tables(_) => Err(no_such(path)),
            _ => Err(EditError::IsValue { path: path.to_string() }),
        };
    };
    let is_root = way.steps.is_empty();
    if is_root && let Some(described) = tables.iter().find(|t| !t.key.is_empty() && begins(way.rest, t.key)) {
        return new_table(text, described, way.rest, value).ok_or_else(|| no_such(path));
    }
    if table.origin == Origin::Implied && !is_root {
        let (header, fields) = implied_header(root, way, tables).ok_or_else(|| no_such(path))?;
        let (key, value) = nested(fields, value);
        return Ok(at_end(text, &header, &[format!("{} = {value}", key_text(&key))]));
    }
    let (key, value) = nested(way.rest, value);
    let line = format!("{} = {value}", key_text(&key));
    match table.origin {
        Origin::Inline => {
            let node = node_at(root, &way.steps).ok_or_else(|| no_such(path))?;
            Ok(into_braces(text, node.span.start, table, &line))
        }
        Origin::Dotted => {
            let prefix = dotted_prefix(root, &way.steps);
            Ok(below(text, &own_statements(table), None, &format!("{prefix}{line}")))
        }
        Origin::Implied | Origin::Header => {
            let header = node_at(root, &way.steps).map(|node| node.span.end);
            Ok(below(text, &own_statements(table), header, &line))
        }
    }
}

/// The header that makes an implied table one of its own, and the fields below it.
fn implied_header<'p>(root: &Table, way: &Way<'p>, tables: &[Described]) -> Option<(String, &'p str)> {
    let mut keys = Vec::with_capacity(way.steps.len() + 1);
    for end in 1..=way.steps.len() {
        keys.push(key_text(&member_at(root, &way.steps[..end])?.key).into_owned());
    }
    let named = |table: &Described| table.form == Form::Named && keys.len() == 1 && table.key == keys[0];
    let fields = if tables.iter().any(named) {
        let (name, fields) = way.rest.split_once('.')?;
        keys.push(key_text(name).into_owned());
        fields
    } else {
        way.rest
    };
    Some((format!("[{}]", keys.join(".")), fields))
}

fn begins(rest: &str, key: &str) -> bool {
    rest.strip_prefix(key).is_some_and(|after| after.starts_with('.'))
}

/// Begins a table of the catalogue at the end of the file.
fn new_table(text: &str, described: &Described, rest: &str, value: &str) -> Option<String> {
    let fields = rest.strip_prefix(described.key)?.strip_prefix('.')?;
    let (header, fields) = match described.form {
        Form::One => (format!("[{}]", key_text(described.key)), fields),
        Form::Named => {
            let (name, fields) = fields.split_once('.')?;
            (format!("[{}.{}]", key_text(described.key), key_text(name)), fields)
        }
        Form::List | Form::Unnamed => return None,
    };
    let (key, value) = nested(fields, value);
    Some(at_end(text, &header, &[format!("{} = {value}", key_text(&key))]))
}

/// Keys from the nearest header down to a dotted table, each with its dot.
fn dotted_prefix(root: &Table, steps: &[Step]) -> String {
    let mut prefix = String::new();
    for end in 1..=steps.len() {
        let Some(member) = member_at(root, &steps[..end]) else { continue };
        if matches!(&member.node.value, Value::Table(table) if table.origin == Origin::Dotted) {
            prefix.push_str(&key_text(&member.key));
            prefix.push('.');
        }
    }
    prefix
}

/// Adds a line below the last of some statements, or below the header, or at the very top.
fn below(text: &str, statements: &[std::ops::Range<usize>], header_end: Option<usize>, line: &str) -> String {
    let newline = newline(text);
    let last = statements.iter().max_by_key(|span| span.end);
    let mut edited = text.to_string();
    match last.map(|span| span.end).or(header_end) {
        Some(end) => {
            let first = last.map_or(end, |span| span.start);
            let line_start = start_of_line(text, first);
            let indent: String = text[line_start..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
            edited.insert_str(end_of_line(text, end), &format!("{newline}{indent}{line}"));
        }
        None => {
            let at = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
            let gap = if text[at..].trim().is_empty() { newline.to_string() } else { newline.repeat(2) };
            edited.insert_str(at, &format!("{line}{gap}"));
        }
    }
    edited
}

/// Adds a member at the end of a table in braces that opens at `open`.
fn into_braces(text: &str, open: usize, table: &Table, line: &str) -> String {
    let mut edited = text.to_string();
    match last_end(table) {
        Some(end) => edited.insert_str(end, &format!(", {line}")),
        None => {
            let close = text[open..].find('}').map_or(open + 1, |length| open + length);
            edited.replace_range(open + 1..close, &format!(" {line} "));
        }
    }
    edited
}

/// Adds a block after everything that is written.
pub(super) fn at_end(text: &str, header: &str, lines: &[String]) -> String {
    let at = text.trim_end().len();
    block(text, at, header, lines)
}

/// Adds a header with its lines at the end of the line of `at`, after a blank line.
pub(super) fn block(text: &str, at: usize, header: &str, lines: &[String]) -> String {
    let newline = newline(text);
    let nothing_before = text[..at].trim_matches(['\u{feff}', ' ', '\n', '\r', '\t']).is_empty();
    let mut written = if nothing_before { String::new() } else { newline.repeat(2) };
    written.push_str(header);
    for line in lines {
        written.push_str(newline);
        written.push_str(line);
    }
    let at = if nothing_before { at } else { end_of_line(text, at) };
    let mut edited = text.to_string();
    edited.insert_str(at, &written);
    edited
}
