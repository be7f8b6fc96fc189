//! Beginning a thing: another load, module, string.

use super::set::{at_end, block};
use super::walk::{has_header, name_of, own_statements, put};
use super::{EditError, grown, proven, value_of};
use crate::catalogue::{Form, Table as Described};
use crate::read::Span;
use crate::read::tree::{Node, Origin, Table, Value};
use crate::read::words::{key_text, quote};

/// Adds a thing to a table of the catalogue, below the last one of its kind or at the end of the file. `fields` are
/// keys with values as they would stand in the file. `name` is the owner's name; tables without names take `""`.
///
/// # Errors
/// [`EditError`], among it [`EditError::BadName`] when the name is taken (capital letters make no difference); the
/// text is then unchanged.
pub fn add_item(
    text: &str,
    table: &str,
    name: &str,
    fields: &[(&str, &str)],
    tables: &[Described],
) -> Result<String, EditError> {
    let described = tables.iter().find(|described| described.key == table && !table.is_empty());
    let described = described.ok_or_else(|| EditError::NoSuchTable { table: table.to_string() })?;
    let name = name.trim();
    let named = matches!(described.form, Form::Named | Form::List);
    let (root, faults) = grown(text);
    let existing = root.get(table);
    let bad = |why: &str| EditError::BadName { name: name.to_string(), why: why.to_string() };
    if named == name.is_empty() {
        return Err(bad(if named { "it is empty" } else { "this table has no names" }));
    }
    if named && existing.is_some_and(|member| names(&member.node.value).any(|taken| alike(taken, name))) {
        return Err(bad("it is taken"));
    }
    let mut fresh = Table::of(Origin::Header);
    let mut lines = Vec::with_capacity(fields.len() + 1);
    if described.form == Form::List {
        put(&mut fresh, "name", Value::Text(name.to_string()));
        lines.push(format!("name = {}", quote(name)));
    }
    for (key, value) in fields {
        put(&mut fresh, key, value_of(value.trim())?);
        lines.push(format!("{} = {}", key_text(key), value.trim()));
    }
    let path = if named { format!("{table}.{name}") } else { table.to_string() };
    let refused = || EditError::DidNotApply { path: path.clone() };
    let mut expected = root.clone();
    expect(&mut expected, described.form, table, name, fresh).ok_or_else(refused)?;
    let header = match described.form {
        Form::One => format!("[{}]", key_text(table)),
        Form::Named => format!("[{}.{}]", key_text(table), key_text(name)),
        Form::List | Form::Unnamed => format!("[[{}]]", key_text(table)),
    };
    let edited = match existing.map(|member| &member.node) {
        None => at_end(text, &header, &lines),
        Some(node) if has_header(&node.value) => {
            let end = last_line(&node.value, &node.span).ok_or_else(refused)?;
            block(text, end, &header, &lines)
        }
        Some(node) => in_list(text, node, &lines).ok_or_else(refused)?,
    };
    proven(edited, &expected, faults, &path)
}

fn alike(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

fn names(value: &Value) -> Box<dyn Iterator<Item = &str> + '_> {
    match value {
        Value::Table(table) => Box::new(table.members.iter().map(|member| member.key.as_str())),
        Value::List(list) | Value::Tables(list) => Box::new(list.iter().filter_map(name_of)),
        _ => Box::new(std::iter::empty()),
    }
}

fn expect(expected: &mut Table, form: Form, key: &str, name: &str, fresh: Table) -> Option<()> {
    let node = |table| Node { span: 0..0, value: Value::Table(table) };
    let at = expected.members.iter().position(|member| member.key == key);
    match (form, at) {
        (Form::One, None) => put(expected, key, Value::Table(fresh)),
        (Form::One, Some(_)) => return None,
        (Form::Named, None) => {
            let mut names = Table::of(Origin::Implied);
            put(&mut names, name, Value::Table(fresh));
            put(expected, key, Value::Table(names));
        }
        (Form::Named, Some(at)) => match &mut expected.members[at].node.value {
            Value::Table(names) => put(names, name, Value::Table(fresh)),
            _ => return None,
        },
        (Form::List | Form::Unnamed, None) => put(expected, key, Value::Tables(vec![node(fresh)])),
        (Form::List | Form::Unnamed, Some(at)) => match &mut expected.members[at].node.value {
            Value::List(list) | Value::Tables(list) => list.push(node(fresh)),
            _ => return None,
        },
    }
    Some(())
}

/// End of the last statement of a thing with headers.
fn last_line(value: &Value, header: &Span) -> Option<usize> {
    match value {
        Value::Table(table) => {
            let own = own_statements(table).into_iter().map(|span| span.end).max();
            let inner = table.members.iter().filter(|member| has_header(&member.node.value));
            let inner = inner.filter_map(|member| last_line(&member.node.value, &member.node.span)).max();
            own.max(inner).max(Some(header.end))
        }
        Value::Tables(list) => list.iter().filter_map(|node| last_line(&node.value, &node.span)).max(),
        _ => None,
    }
}

/// Adds an element to a list in brackets, or a member to a table in braces.
fn in_list(text: &str, node: &Node, lines: &[String]) -> Option<String> {
    let Value::List(list) = &node.value else { return None };
    let written = format!("{{ {} }}", lines.join(", "));
    let mut edited = text.to_string();
    match list.last() {
        Some(last) => edited.insert_str(last.span.end, &format!(", {written}")),
        None => edited.insert_str(node.span.start + 1, &written),
    }
    Some(edited)
}
