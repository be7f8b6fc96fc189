//! Taking out a field or a whole thing.

use super::set::no_such;
use super::walk::{Step, has_header, node_at, own_statements, table_at, table_at_mut, value_at_mut, walk};
use super::{EditError, end_of_line, grown, proven, start_of_line};
use crate::read::Span;
use crate::read::tree::{Origin, Table, Value};

/// Takes out the field or the thing at `path`, with the comment on its line. Comments on lines of their own above it
/// stay. References to a thing are not touched; reading the result lists them.
///
/// # Errors
/// [`EditError`]; the text is then unchanged.
pub fn remove(text: &str, path: &str) -> Result<String, EditError> {
    let (root, faults) = grown(text);
    let way = walk(&root, path);
    let (last, before) = way.steps.split_last().ok_or_else(|| no_such(path))?;
    if !way.rest.is_empty() {
        return Err(no_such(path));
    }
    let mut expected = root.clone();
    without(&mut expected, *last, before).ok_or_else(|| no_such(path))?;
    let mut spans = removed(text, &root, &way.steps, *last, before).ok_or_else(|| no_such(path))?;
    spans.sort_by_key(|span| span.start);
    let mut edited = text.to_string();
    for span in spans.into_iter().rev() {
        edited.replace_range(span, "");
    }
    proven(edited, &expected, faults, path)
}

/// Takes the target out of the expected tree, and with it every table that no text stands for any more: the name of
/// `[[…]]` tables with the last of them, an implied or dotted table with its last member.
fn without(expected: &mut Table, last: Step, before: &[Step]) -> Option<()> {
    let emptied = match last {
        Step::Member(at) => {
            let table = table_at_mut(expected, before)?;
            table.take(at);
            table.members.is_empty() && matches!(table.origin, Origin::Implied | Origin::Dotted)
        }
        Step::Element(at) => match value_at_mut(expected, before)? {
            Value::List(list) => {
                list.remove(at);
                false
            }
            Value::Tables(list) => {
                list.remove(at);
                list.is_empty()
            }
            _ => return None,
        },
    };
    match before.split_last() {
        Some((last, before)) if emptied => without(expected, *last, before),
        _ => Some(()),
    }
}

/// The bytes to take out.
fn removed(text: &str, root: &Table, steps: &[Step], last: Step, before: &[Step]) -> Option<Vec<Span>> {
    let node = node_at(root, steps)?;
    match (last, &node.value) {
        (Step::Element(_), Value::Table(table)) if table.origin == Origin::Header => {
            Some(regions(text, &node.value, &node.span))
        }
        (Step::Element(at), _) => {
            let Value::List(list) = &node_at(root, before)?.value else { return None };
            let spans: Vec<Span> = list.iter().map(|node| node.span.clone()).collect();
            Some(vec![between_commas(&spans, at)])
        }
        (Step::Member(_), Value::Table(table)) if table.origin == Origin::Dotted => {
            Some(own_statements(table).iter().map(|span| line_of(text, span)).collect())
        }
        (Step::Member(_), value) if has_header(value) => Some(regions(text, value, &node.span)),
        (Step::Member(at), _) => {
            let table = table_at(root, before)?;
            if in_braces(root, before) {
                let spans: Vec<Span> =
                    table.members.iter().map(|m| m.key_span.start..m.node.span.end).collect();
                let mut span = between_commas(&spans, at);
                if spans.len() == 1 {
                    // Nothing stays between the braces, not even the blanks.
                    span.start = text[..span.start].trim_end_matches([' ', '\t']).len();
                    span.end +=
                        text[span.end..].len() - text[span.end..].trim_start_matches([' ', '\t']).len();
                }
                return Some(vec![span]);
            }
            Some(vec![line_of(text, &table.members.get(at)?.statement)])
        }
    }
}

fn in_braces(root: &Table, steps: &[Step]) -> bool {
    let inline = |value: &Value| matches!(value, Value::Table(table) if table.origin == Origin::Inline);
    (1..=steps.len()).any(|end| node_at(root, &steps[..end]).is_some_and(|node| inline(&node.value)))
}

/// One of several parts with the comma that goes with it.
fn between_commas(spans: &[Span], at: usize) -> Span {
    match at.checked_sub(1) {
        Some(before) => spans[before].end..spans[at].end,
        None => spans[at].start..spans.get(1).map_or(spans[at].end, |next| next.start),
    }
}

/// The lines of a statement with the line end before them, or after them at the top of the file.
fn line_of(text: &str, statement: &Span) -> Span {
    let start = start_of_line(text, statement.start);
    let end = end_of_line(text, statement.end);
    match before_newline(text, start) {
        Some(before) => before..end,
        None => start..next_line(text, end),
    }
}

fn before_newline(text: &str, line_start: usize) -> Option<usize> {
    let before = text[..line_start].strip_suffix('\n')?;
    Some(before.strip_suffix('\r').unwrap_or(before).len())
}

fn next_line(text: &str, line_end: usize) -> usize {
    text[line_end..].find('\n').map_or(text.len(), |length| line_end + length + 1)
}

/// The blocks of a thing with headers: from each header to its last line, with the blank line before.
fn regions(text: &str, value: &Value, header: &Span) -> Vec<Span> {
    let mut spans = Vec::new();
    match value {
        Value::Table(table) => {
            if table.origin == Origin::Header {
                let end = own_statements(table).iter().map(|span| span.end).fold(header.end, usize::max);
                let mut span = line_of(text, &(header.start..end));
                let start = start_of_line(text, span.start);
                if text[start..span.start].trim().is_empty()
                    && let Some(blank) = before_newline(text, start)
                {
                    span.start = blank;
                }
                spans.push(span);
            }
            for member in &table.members {
                if has_header(&member.node.value) && !is_dotted(&member.node.value) {
                    spans.extend(regions(text, &member.node.value, &member.node.span));
                }
            }
        }
        Value::Tables(list) => {
            for node in list {
                spans.extend(regions(text, &node.value, &node.span));
            }
        }
        _ => {}
    }
    spans
}

fn is_dotted(value: &Value) -> bool {
    matches!(value, Value::Table(table) if table.origin == Origin::Dotted)
}
