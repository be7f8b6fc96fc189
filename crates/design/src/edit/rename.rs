//! Giving a thing another name, everywhere.

use super::walk::name_of;
use super::{EditError, grown};
use crate::catalogue::{Shape, Table as Described};
use crate::read::tree::{Table, Value};
use crate::read::words::{key_text, quote};
use crate::read::{Entry, Given, Span, read};

/// Renames the thing `old` of a table to `new`: in its header or its `name`, and in every field that refers to it.
///
/// # Errors
/// [`EditError`], among it [`EditError::BadName`] when the new name is taken; the text is then unchanged.
pub fn rename(
    text: &str,
    table: &str,
    old: &str,
    new: &str,
    tables: &'static [Described],
) -> Result<String, EditError> {
    let new = new.trim();
    let path = format!("{table}.{old}");
    let (root, _) = grown(text);
    let reading = read(text, tables);
    let bad = |why: &str| EditError::BadName { name: new.to_string(), why: why.to_string() };
    if new.is_empty() {
        return Err(bad("it is empty"));
    }
    let others = reading.items_of(table).filter(|item| &*item.name != old);
    if others.into_iter().any(|item| item.name.to_lowercase() == new.to_lowercase()) {
        return Err(bad("it is taken"));
    }
    let mut splices = own_name(&root, table, old, new);
    if splices.is_empty() {
        return Err(EditError::NoSuchPlace { path });
    }
    for item in &reading.items {
        references(&item.entries, table, old, &mut |span| splices.push((span.clone(), quote(new))));
    }
    splices.sort_by_key(|(span, _)| span.start);
    let mut edited = text.to_string();
    for (span, with) in splices.iter().rev() {
        edited.replace_range(span.clone(), with);
    }
    // Read again: the thing goes by its new name, nothing is missing and nothing else is wrong.
    let again = read(&edited, tables);
    let moved = again.named(table, new).is_some() && (old == new || again.named(table, old).is_none());
    if moved && again.items.len() == reading.items.len() && again.problems.len() <= reading.problems.len() {
        Ok(edited)
    } else {
        Err(EditError::DidNotApply { path })
    }
}

/// Where a thing says its own name.
fn own_name(root: &Table, table: &str, old: &str, new: &str) -> Vec<(Span, String)> {
    match root.get(table).map(|member| &member.node.value) {
        Some(Value::Table(names)) => names.get(old).map_or_else(Vec::new, |member| {
            let spans = std::iter::once(&member.key_span).chain(&member.also);
            spans.map(|span| (span.clone(), key_text(new).into_owned())).collect()
        }),
        Some(Value::List(list) | Value::Tables(list)) => {
            let named = list.iter().filter(|node| name_of(node) == Some(old));
            let spans = named.filter_map(|node| match &node.value {
                Value::Table(table) => table.get("name").map(|member| member.node.span.clone()),
                _ => None,
            });
            spans.map(|span| (span, quote(new))).collect()
        }
        _ => Vec::new(),
    }
}

fn references(entries: &[Entry], table: &str, name: &str, found: &mut dyn FnMut(&Span)) {
    for entry in entries {
        match (&entry.field.shape, &entry.value) {
            (Shape::Reference(tables), Given::Reference(to)) if tables.contains(&table) && &**to == name => {
                found(&entry.span);
            }
            (Shape::References(tables), Given::References(list)) if tables.contains(&table) => {
                list.iter().filter(|(to, _)| &**to == name).for_each(|(_, span)| found(span));
            }
            (_, Given::Record(inner)) => references(inner, table, name, found),
            (_, Given::Records(records)) => {
                records.iter().for_each(|(inner, _)| references(inner, table, name, found));
            }
            _ => {}
        }
    }
}
