//! Doubling a thing and giving it another place among its like.

use super::set::no_such;
use super::walk::{Step, has_header, name_of, node_at, own_statements, put, value_at_mut, walk};
use super::{EditError, end_of_line, grown, newline, proven, start_of_line};
use crate::read::Span;
use crate::read::tree::{Member, Node, Origin, Value};
use crate::read::words::{key_text, quote};

/// The source of the value at a path as it stands in the text, without comments; `None` where nothing stands.
pub fn source(text: &str, path: &str) -> Option<String> {
    sources(text, std::iter::once(path)).pop().flatten()
}

/// As [`source`] for many paths of one text.
pub fn sources<'p>(text: &str, paths: impl Iterator<Item = &'p str>) -> Vec<Option<String>> {
    let (root, _) = grown(text);
    let of = |path: &str| {
        let way = walk(&root, path);
        let node = node_at(&root, &way.steps).filter(|_| way.rest.is_empty())?;
        match &node.value {
            Value::Table(table) if table.origin == Origin::Header => {
                text.get(block_of(text, node)?).map(str::to_string)
            }
            value if has_header(value) => None,
            _ => text.get(node.span.clone()).map(str::to_string),
        }
    };
    paths.map(of).collect()
}

/// Writes a thing once more below itself, under another name; its comments go along.
///
/// # Errors
/// [`EditError`], among it [`EditError::BadName`] when the name is taken; the text is then unchanged.
pub fn duplicate(text: &str, path: &str, name: &str) -> Result<String, EditError> {
    let name = name.trim();
    let bad = |why: &str| EditError::BadName { name: name.to_string(), why: why.to_string() };
    let refused = || EditError::DidNotApply { path: path.to_string() };
    let (root, faults) = grown(text);
    let way = walk(&root, path);
    let node = node_at(&root, &way.steps).filter(|_| way.rest.is_empty()).ok_or_else(|| no_such(path))?;
    let (last, before) = way.steps.split_last().ok_or_else(refused)?;
    let Value::Table(table) = &node.value else { return Err(refused()) };
    if table.origin != Origin::Header || before.len() != 1 {
        return Err(refused());
    }
    let named = matches!(last, Step::Member(_)) || name_of(node).is_some();
    if named == name.is_empty() {
        return Err(bad(if named { "it is empty" } else { "this table has no names" }));
    }
    let alike = |other: &str| other.trim().to_lowercase() == name.to_lowercase();
    let taken = match node_at(&root, before).map(|node| &node.value) {
        Some(Value::Table(names)) => names.members.iter().any(|member| alike(&member.key)),
        Some(Value::Tables(list)) => list.iter().filter_map(name_of).any(alike),
        _ => false,
    };
    if named && taken {
        return Err(bad("it is taken"));
    }
    let span = block_of(text, node).ok_or_else(refused)?;
    let mut copy = text[span.clone()].to_string();
    // Where the name stands in the block: in the header, or as the value of `name`.
    let (place, with) = match last {
        Step::Member(_) => {
            let member = super::walk::member_at(&root, &way.steps).ok_or_else(refused)?;
            (member.key_span.clone(), key_text(name).into_owned())
        }
        Step::Element(_) => match table.get("name") {
            Some(member) => (member.node.span.clone(), quote(name)),
            None => (span.start..span.start, String::new()),
        },
    };
    if place.start < span.start || place.end > span.end {
        return Err(refused());
    }
    copy.replace_range(place.start - span.start..place.end - span.start, &with);
    let mut expected = root.clone();
    let mut fresh = node.clone();
    if let Value::Table(table) = &mut fresh.value
        && matches!(last, Step::Element(_))
        && let Some(at) = table.members.iter().position(|member| member.key == "name")
    {
        table.members[at].node.value = Value::Text(name.to_string());
    }
    match (value_at_mut(&mut expected, before).ok_or_else(refused)?, last) {
        (Value::Table(names), Step::Member(_)) => put(names, name, fresh.value),
        (Value::Tables(list), Step::Element(at)) => list.insert(at + 1, fresh),
        _ => return Err(refused()),
    }
    let mut edited = text.to_string();
    edited.insert_str(span.end, &format!("{}{copy}", newline(text).repeat(2)));
    proven(edited, &expected, faults, path)
}

/// Lets the thing or the list element at a path change places with the one before it, or after it.
///
/// # Errors
/// [`EditError`]; the text is then unchanged. At the end of the row there is nothing to change places with.
pub fn shift(text: &str, path: &str, up: bool) -> Result<String, EditError> {
    let refused = || EditError::DidNotApply { path: path.to_string() };
    let (root, faults) = grown(text);
    let way = walk(&root, path);
    if !way.rest.is_empty() {
        return Err(no_such(path));
    }
    let (last, before) = way.steps.split_last().ok_or_else(refused)?;
    let at = match last {
        Step::Member(at) | Step::Element(at) => *at,
    };
    let other = if up { at.checked_sub(1) } else { Some(at + 1) }.ok_or_else(refused)?;
    let (first, second) = (at.min(other), at.max(other));
    let mut expected = root.clone();
    let siblings = node_at(&root, before).ok_or_else(refused)?;
    let span_of = |at: usize| -> Option<Span> {
        match (&siblings.value, last) {
            (Value::Table(names), Step::Member(_)) => block_of(text, &names.members.get(at)?.node),
            (Value::Tables(list), Step::Element(_)) => block_of(text, list.get(at)?),
            (Value::List(list), Step::Element(_)) => Some(list.get(at)?.span.clone()),
            _ => None,
        }
    };
    let (a, b) = (span_of(first).ok_or_else(refused)?, span_of(second).ok_or_else(refused)?);
    if a.end > b.start {
        return Err(refused());
    }
    if let Some(Value::List(list) | Value::Tables(list)) = value_at_mut(&mut expected, before) {
        list.swap(first, second);
    }
    let edited =
        [&text[..a.start], &text[b.clone()], &text[a.end..b.start], &text[a.clone()], &text[b.end..]];
    proven(edited.concat(), &expected, faults, path)
}

/// Adds an element at the end of the list at a path; the list is begun where there is none.
///
/// # Errors
/// [`EditError`]; the text is then unchanged.
pub fn append(
    text: &str,
    path: &str,
    element: &str,
    tables: &[crate::catalogue::Table],
) -> Result<String, EditError> {
    let (root, faults) = grown(text);
    let way = walk(&root, path);
    let list = node_at(&root, &way.steps).filter(|_| way.rest.is_empty());
    let (span, list) = match list.map(|node| (&node.span, &node.value)) {
        Some((span, Value::List(list))) => (span, list),
        None | Some((_, Value::Text(_))) => return super::set(text, path, &format!("[{element}]"), tables),
        Some(_) => return Err(EditError::DidNotApply { path: path.to_string() }),
    };
    let value = super::value_of(element)?;
    let mut expected = root.clone();
    if let Some(Value::List(list)) = value_at_mut(&mut expected, &way.steps) {
        list.push(Node { span: 0..0, value });
    }
    let mut edited = text.to_string();
    match list.last() {
        Some(last) => {
            let line = &text[start_of_line(text, last.span.start)..last.span.start];
            // Elements on lines of their own stay so.
            let joint =
                if line.trim().is_empty() { format!(",{}{line}", newline(text)) } else { ", ".to_string() };
            edited.insert_str(last.span.end, &format!("{joint}{element}"));
        }
        None => edited.insert_str(span.start + 1, element),
    }
    proven(edited, &expected, faults, path)
}

/// The lines of a thing with a header of its own: comments that stand directly above it, header, statements. Things
/// with further headers below them have none.
fn block_of(text: &str, node: &Node) -> Option<Span> {
    let Value::Table(table) = &node.value else { return None };
    let inner = |member: &Member| match &member.node.value {
        Value::Table(inner) => matches!(inner.origin, Origin::Header | Origin::Implied),
        Value::Tables(_) => true,
        _ => false,
    };
    if table.origin != Origin::Header || table.members.iter().any(inner) {
        return None;
    }
    let end = own_statements(table).iter().map(|span| span.end).fold(node.span.end, usize::max);
    let mut start = start_of_line(text, node.span.start);
    while start > 0 {
        let above = start_of_line(text, start - 1);
        let line = text[above..start].trim();
        // A ruled line parts the file into chapters and belongs to none of its things.
        if !line.starts_with('#') || line.contains("──") {
            break;
        }
        start = above;
    }
    Some(start..end_of_line(text, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::TABLES;

    const TEXT: &str = "# top\n\n[[load]]\nname = \"pump\"\nwatts = 40   # read\n\n# ── more ──\n# by the door\n[[load]]\nname = \"lamp\"\n\n[module.a]\npower = \"400 W\"\n\n[module.b]\npower = \"410 W\"\n\n[[run]]\nname = \"r\"\nroute = [\n  { length = \"1 m\" },\n  { length = \"2 m\" },\n]\n";

    #[test]
    fn a_thing_is_doubled_with_its_comments_under_another_name() {
        let twice = duplicate(TEXT, "load.pump", "second pump").expect("it is doubled");
        let block = "[[load]]\nname = \"pump\"\nwatts = 40   # read\n";
        assert_eq!(
            twice,
            TEXT.replace(block, &format!("{block}\n{}", block.replace("\"pump\"", "\"second pump\"")))
        );
        let module = duplicate(TEXT, "module.a", "c d").expect("it is doubled");
        assert!(module.contains("[module.\"c d\"]\npower = \"400 W\""), "{module}");
        for (path, name) in [
            ("load.pump", "Lamp"),
            ("load.pump", " "),
            ("module.a", "B"),
            ("load.none", "x"),
            ("run.r.route.1", "x"),
        ] {
            assert!(duplicate(TEXT, path, name).is_err(), "{path} as {name}");
        }
    }

    #[test]
    fn things_and_elements_change_places_and_changing_back_leaves_the_very_bytes() {
        for path in ["load.lamp", "module.b", "run.r.route.2"] {
            let moved = shift(TEXT, path, true).expect("it moves");
            assert_ne!(moved, TEXT);
            let back = if path.ends_with('2') { "run.r.route.1" } else { path };
            assert_eq!(shift(&moved, back, false).expect("it moves back"), TEXT, "{path}");
        }
        let moved = shift(TEXT, "load.lamp", true).expect("it moves");
        assert!(
            moved.starts_with("# top\n\n# by the door\n[[load]]\nname = \"lamp\"\n\n# ── more ──\n[[load]]"),
            "{moved}"
        );
        for (path, up) in [("load.pump", true), ("load.lamp", false), ("run.r", true), ("load.none", true)] {
            assert!(shift(TEXT, path, up).is_err(), "{path}");
        }
    }

    #[test]
    fn an_element_is_added_on_a_line_of_its_own_where_the_others_have_one() {
        let longer = append(TEXT, "run.r.route", "{ length = \"3 m\" }", TABLES).expect("it is added");
        assert!(longer.contains("  { length = \"2 m\" },\n  { length = \"3 m\" },\n]"), "{longer}");
        let begun = append(TEXT, "module.a.x", "{ y = 1 }", TABLES).expect("a list is begun");
        assert!(begun.contains("x = [{ y = 1 }]"), "{begun}");
    }

    #[test]
    fn the_source_of_a_value_is_what_stands_there() {
        assert_eq!(source(TEXT, "load.pump.watts").as_deref(), Some("40"));
        assert_eq!(source(TEXT, "run.r.route.2.length").as_deref(), Some("\"2 m\""));
        assert_eq!(source(TEXT, "module.a").as_deref(), Some("[module.a]\npower = \"400 W\""));
        assert_eq!(source(TEXT, "module.z"), None);
    }
}
