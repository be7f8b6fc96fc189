//! From a path to a place in the tree.

use crate::read::Span;
use crate::read::tree::{Member, Node, Origin, Table, Value};

/// One step from a value to a part of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A member of a table.
    Member(usize),
    /// An element of a list.
    Element(usize),
}

/// How far a path leads.
pub(super) struct Way<'p> {
    /// The steps that exist.
    pub(super) steps: Vec<Step>,
    /// What is left of the path.
    pub(super) rest: &'p str,
}

/// Follows a path as far as it leads. Names may hold dots: the longest name that fits is taken.
pub(super) fn walk<'p>(root: &Table, path: &'p str) -> Way<'p> {
    let mut steps = Vec::new();
    let mut rest = path;
    let mut next = member_of(root, rest);
    let mut node: &Node;
    while let Some((step, used, found)) = next {
        steps.push(step);
        rest = rest[used..].strip_prefix('.').unwrap_or(&rest[used..]);
        node = found;
        if rest.is_empty() {
            break;
        }
        next = match &node.value {
            Value::Table(table) => member_of(table, rest),
            Value::List(list) | Value::Tables(list) => element_of(list, rest),
            _ => None,
        };
    }
    Way { steps, rest }
}

/// Bytes of `rest` that `name` takes, if it begins the path.
fn fits(rest: &str, name: &str) -> Option<usize> {
    let after = rest.strip_prefix(name)?;
    (after.is_empty() || after.starts_with('.')).then_some(name.len())
}

fn member_of<'t>(table: &'t Table, rest: &str) -> Option<(Step, usize, &'t Node)> {
    let fitting = table.members.iter().enumerate().filter_map(|(at, member)| {
        fits(rest, &member.key).map(|used| (Step::Member(at), used, &member.node))
    });
    fitting.max_by_key(|(_, used, _)| *used)
}

fn element_of<'t>(list: &'t [Node], rest: &str) -> Option<(Step, usize, &'t Node)> {
    let named = list
        .iter()
        .enumerate()
        .filter_map(|(at, node)| fits(rest, name_of(node)?).map(|used| (Step::Element(at), used, node)));
    named.max_by_key(|(_, used, _)| *used).or_else(|| {
        let ordinal = rest.split('.').next()?;
        let at = ordinal.parse::<usize>().ok()?.checked_sub(1)?;
        list.get(at).map(|node| (Step::Element(at), ordinal.len(), node))
    })
}

/// The owner's name of a table in a list.
pub(super) fn name_of(node: &Node) -> Option<&str> {
    let Value::Table(table) = &node.value else { return None };
    match &table.get("name")?.node.value {
        Value::Text(name) if !name.trim().is_empty() => Some(name.trim()),
        _ => None,
    }
}

/// The node at the end of some steps; `None` for the root itself.
pub(super) fn node_at<'t>(root: &'t Table, steps: &[Step]) -> Option<&'t Node> {
    let (first, others) = steps.split_first()?;
    let Step::Member(at) = first else { return None };
    others.iter().try_fold(&root.members.get(*at)?.node, |node, step| match (step, &node.value) {
        (Step::Member(at), Value::Table(table)) => table.members.get(*at).map(|member| &member.node),
        (Step::Element(at), Value::List(list) | Value::Tables(list)) => list.get(*at),
        _ => None,
    })
}

/// The table at the end of some steps, the root for none.
pub(super) fn table_at<'t>(root: &'t Table, steps: &[Step]) -> Option<&'t Table> {
    if steps.is_empty() {
        return Some(root);
    }
    match &node_at(root, steps)?.value {
        Value::Table(table) => Some(table),
        _ => None,
    }
}

/// The member a way ends in, if it ends in one.
pub(super) fn member_at<'t>(root: &'t Table, steps: &[Step]) -> Option<&'t Member> {
    match steps.split_last()? {
        (Step::Member(at), before) => table_at(root, before)?.members.get(*at),
        _ => None,
    }
}

/// The value at the end of some steps, to change it; the root must not be meant.
pub(super) fn value_at_mut<'t>(root: &'t mut Table, steps: &[Step]) -> Option<&'t mut Value> {
    let (first, others) = steps.split_first()?;
    let Step::Member(at) = first else { return None };
    others.iter().try_fold(&mut root.members.get_mut(*at)?.node.value, |value, step| match (step, value) {
        (Step::Member(at), Value::Table(table)) => table.members.get_mut(*at).map(|m| &mut m.node.value),
        (Step::Element(at), Value::List(list) | Value::Tables(list)) => {
            list.get_mut(*at).map(|n| &mut n.value)
        }
        _ => None,
    })
}

/// The table at the end of some steps, to change it.
pub(super) fn table_at_mut<'t>(root: &'t mut Table, steps: &[Step]) -> Option<&'t mut Table> {
    if steps.is_empty() {
        return Some(root);
    }
    match value_at_mut(root, steps)? {
        Value::Table(table) => Some(table),
        _ => None,
    }
}

/// Adds a value to an expected tree; its places do not matter.
pub(super) fn put(table: &mut Table, key: &str, value: Value) {
    let node = Node { span: 0..0, value };
    let member = Member { key: key.to_string(), key_span: 0..0, also: Vec::new(), statement: 0..0, node };
    // Where the key is taken nothing is added, and the comparison with the edited text fails.
    let _ = table.add(member);
}

/// The statements `key = value` that stand in a table itself, dotted ones included.
pub(super) fn own_statements(table: &Table) -> Vec<Span> {
    let mut spans = Vec::new();
    for member in &table.members {
        match &member.node.value {
            Value::Table(inner) if inner.origin == Origin::Dotted => spans.extend(own_statements(inner)),
            Value::Table(inner) if inner.origin != Origin::Inline => {}
            Value::Tables(_) => {}
            _ => spans.push(member.statement.clone()),
        }
    }
    spans
}

/// Whether a value has a header of its own.
pub(super) fn has_header(value: &Value) -> bool {
    match value {
        Value::Tables(_) => true,
        Value::Table(table) => table.origin != Origin::Inline,
        _ => false,
    }
}

/// Where the parts of an inline value end: the largest end of its members.
pub(super) fn last_end(table: &Table) -> Option<usize> {
    let ends = table.members.iter().map(|member| match &member.node.value {
        Value::Table(inner) if inner.origin == Origin::Dotted => {
            last_end(inner).unwrap_or(member.node.span.end)
        }
        _ => member.node.span.end,
    });
    ends.max()
}
