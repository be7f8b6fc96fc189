//! The text as a tree that keeps places and order, built statement by statement so that a broken one costs only
//! itself.

use super::plant::plant;
use super::problems::Problems;
use super::statements::Statements;
use super::{Label, Mend, Span, What};
use crate::problem::Problem;
use std::collections::HashMap;
use toml::value::Datetime;

/// A value with its place.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    /// Bytes of the value; of a table made by a header, the header.
    pub(crate) span: Span,
    /// The value.
    pub(crate) value: Value,
}

/// A value.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    /// A text, its escapes resolved.
    Text(String),
    /// A whole number; `None` where it is too large.
    Integer(Option<i64>),
    /// A number with decimals; may be infinite or not a number, as TOML allows both.
    Float(f64),
    /// `true` or `false`.
    Bool(bool),
    /// A date, a time or both.
    Date(Datetime),
    /// A list in brackets.
    List(Vec<Node>),
    /// Tables made by `[[…]]` headers.
    Tables(Vec<Node>),
    /// A table.
    Table(Table),
    /// Something that could not be read; its problem is listed already.
    Broken,
}

/// A table in file order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    /// Its keys with values.
    pub(crate) members: Vec<Member>,
    index: HashMap<String, usize>,
    /// How it came to be.
    pub(crate) origin: Origin,
    /// A statement of this table could not be read whole, so a key that is not here may have been meant.
    pub(crate) torn: bool,
}

/// How a table came to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Origin {
    /// As the parent of a header's last name, or the root.
    #[default]
    Implied,
    /// By its own header.
    Header,
    /// As the parent of a dotted key.
    Dotted,
    /// Within braces.
    Inline,
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(crate) struct Member {
    /// The key, its escapes resolved.
    pub(crate) key: String,
    /// Where the key stands first.
    pub(crate) key_span: Span,
    /// Where it stands again, as a part of later headers.
    pub(crate) also: Vec<Span>,
    /// The whole statement: `key = value`, or the header.
    pub(crate) statement: Span,
    /// The value.
    pub(crate) node: Node,
}

impl Table {
    /// An empty one.
    pub(crate) fn of(origin: Origin) -> Self {
        Table { origin, ..Table::default() }
    }

    /// The member of a key.
    pub(crate) fn get(&self, key: &str) -> Option<&Member> {
        self.index.get(key).map(|at| &self.members[*at])
    }

    /// Takes a member out.
    pub(crate) fn take(&mut self, at: usize) {
        self.members.remove(at);
        self.index = self.members.iter().enumerate().map(|(at, member)| (member.key.clone(), at)).collect();
    }

    /// Adds a member, or gives back the place of the one that has the key already.
    pub(crate) fn add(&mut self, member: Member) -> Result<usize, usize> {
        if let Some(at) = self.index.get(&member.key) {
            return Err(*at);
        }
        let at = self.members.len();
        self.index.insert(member.key.clone(), at);
        self.members.push(member);
        Ok(at)
    }
}

impl Value {
    /// What it is, in words.
    pub(crate) fn in_words(&self) -> &'static str {
        match self {
            Value::Text(_) => "a text",
            Value::Integer(_) | Value::Float(_) => "a bare number",
            Value::Bool(true) => "true",
            Value::Bool(false) => "false",
            Value::Date(_) => "a date or time",
            Value::List(_) => "a list",
            Value::Tables(_) => "a list of tables",
            Value::Table(_) => "a table",
            Value::Broken => "unreadable",
        }
    }

    /// Whether both say the same, wherever they stand and however they are spelled.
    pub(crate) fn same(&self, other: &Value) -> bool {
        match (self, other) {
            (Value::Text(a), Value::Text(b)) => a == b,
            (Value::Integer(a), Value::Integer(b)) => a == b,
            (Value::Float(a), Value::Float(b)) => a.to_bits() == b.to_bits(),
            (Value::Bool(a), Value::Bool(b)) => a == b,
            (Value::Date(a), Value::Date(b)) => a == b,
            (Value::List(a) | Value::Tables(a), Value::List(b) | Value::Tables(b)) => {
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.value.same(&b.value))
            }
            (Value::Table(a), Value::Table(b)) => {
                a.members.len() == b.members.len()
                    && a.members
                        .iter()
                        .all(|m| b.get(&m.key).is_some_and(|o| m.node.value.same(&o.node.value)))
            }
            (Value::Broken, Value::Broken) => true,
            _ => false,
        }
    }
}

/// Reads the statements of a text into a tree; what cannot be read is listed in `problems`.
pub(crate) fn grow(text: &str, problems: &mut Problems) -> Table {
    let mut grower = Grower { text, root: Table::default(), limbo: Table::default(), here: Some(Vec::new()) };
    for statement in Statements::of(text) {
        if problems.full() {
            break;
        }
        if text[statement.clone()].starts_with('[') {
            grower.header(statement, problems);
        } else {
            grower.key_value(statement, problems);
        }
    }
    grower.root
}

struct Grower<'t> {
    text: &'t str,
    root: Table,
    /// Takes what follows a header that could not be read, so that its values are not laid to another table.
    limbo: Table,
    /// Member places from the root to the table being filled; of `[[…]]` tables always the last. `None` is limbo.
    here: Option<Vec<usize>>,
}

impl Grower<'_> {
    fn header(&mut self, statement: Span, problems: &mut Problems) {
        let planted = plant(self.text, &statement, problems);
        let many = self.text[statement.clone()].starts_with("[[");
        let mut keys = Vec::new();
        let mut table = Some(planted.table);
        while let Some(mut level) = table.take() {
            let Some(member) = level.members.pop() else {
                break;
            };
            keys.push((member.key, member.key_span));
            table = match member.node.value {
                Value::Table(inner) => Some(inner),
                _ => None,
            };
        }
        self.here = match keys.split_last() {
            Some(((last, last_span), parents)) => {
                self.open(parents, last, last_span, statement, many, problems)
            }
            _ => None,
        };
        if self.here.is_none() {
            self.limbo = Table::default();
        }
    }

    /// Finds or makes the table of a header and gives the way to it.
    fn open(
        &mut self,
        parents: &[(String, Span)],
        last: &str,
        last_span: &Span,
        statement: Span,
        many: bool,
        problems: &mut Problems,
    ) -> Option<Vec<usize>> {
        let mut way = Vec::with_capacity(parents.len() + 1);
        let mut table = &mut self.root;
        for (key, span) in parents {
            let at = match table.add(implied(key, span, &statement, Origin::Implied)) {
                Ok(at) => at,
                Err(at) => {
                    table.members[at].also.push(span.clone());
                    at
                }
            };
            way.push(at);
            let member = &mut table.members[at];
            let (first, is) = (member.key_span.clone(), member.node.value.in_words());
            match inner(&mut member.node) {
                Some(found) => table = found,
                None => {
                    problems.push(not_a_table(key, is, span, &first));
                    return None;
                }
            }
        }
        let node = |value| Node { span: statement.clone(), value };
        let fresh = || Value::Table(Table::of(Origin::Header));
        let value = if many { Value::Tables(vec![node(fresh())]) } else { fresh() };
        let member = Member {
            key: last.to_string(),
            key_span: last_span.clone(),
            also: Vec::new(),
            statement: statement.clone(),
            node: node(value),
        };
        let at = match table.add(member) {
            Ok(at) => {
                way.push(at);
                return Some(way);
            }
            Err(at) => at,
        };
        way.push(at);
        let member = &mut table.members[at];
        member.also.push(last_span.clone());
        let first = member.node.span.clone();
        match (&mut member.node.value, many) {
            (Value::Tables(list), true) => list.push(node(fresh())),
            (Value::Tables(list), false) => {
                let mend = Mend { span: statement.clone(), with: doubled(&self.text[statement.clone()]) };
                problems.push(mixed_headers(last, &statement, &first, Some(mend)));
                list.push(node(fresh()));
            }
            (Value::Table(existing), false) if existing.origin == Origin::Implied => {
                existing.origin = Origin::Header;
                member.node.span = statement.clone();
                member.key_span = last_span.clone();
                member.statement = statement;
            }
            (Value::Table(existing), true) if existing.origin == Origin::Header => {
                let mend = Mend { span: first.clone(), with: doubled(&self.text[first.clone()]) };
                problems.push(mixed_headers(last, &statement, &first, Some(mend)));
                let before = std::mem::replace(&mut member.node.value, Value::Broken);
                let before = Node { span: first, value: before };
                member.node.value = Value::Tables(vec![before, node(fresh())]);
            }
            (Value::Table(existing), false) if existing.origin == Origin::Header => {
                problems.push(twice(&self.text[statement.clone()], last_span, &member.key_span));
            }
            (value, _) => {
                problems.push(not_a_table(last, value.in_words(), last_span, &first));
                return None;
            }
        }
        Some(way)
    }

    fn key_value(&mut self, statement: Span, problems: &mut Problems) {
        let planted = plant(self.text, &statement, problems);
        let target = match &self.here {
            Some(way) => descend(&mut self.root, way),
            None => Some(&mut self.limbo),
        };
        let Some(target) = target else { return };
        target.torn |= planted.torn;
        merge(target, planted.table, problems);
    }
}

/// Moves the members of one statement into the table it stands in, joining dotted keys.
fn merge(target: &mut Table, from: Table, problems: &mut Problems) {
    for member in from.members {
        let at = match target.index.get(&member.key) {
            None => {
                // The key is new, so adding cannot fail.
                let _ = target.add(member);
                continue;
            }
            Some(at) => *at,
        };
        let existing = &mut target.members[at];
        let dotted = matches!(&member.node.value, Value::Table(t) if t.origin == Origin::Dotted);
        match (&mut existing.node.value, member.node.value) {
            (Value::Table(old), Value::Table(new)) if dotted && old.origin == Origin::Dotted => {
                existing.also.push(member.key_span);
                merge(old, new, problems);
            }
            _ => problems.push(twice(&member.key, &member.key_span, &existing.key_span)),
        }
    }
}

/// The table a way leads to; of several tables under one name, the last.
fn descend<'t>(root: &'t mut Table, way: &[usize]) -> Option<&'t mut Table> {
    way.iter().try_fold(root, |table, at| inner(&mut table.members.get_mut(*at)?.node))
}

fn inner(node: &mut Node) -> Option<&mut Table> {
    match &mut node.value {
        Value::Table(table) if table.origin != Origin::Inline => Some(table),
        Value::Tables(list) => match &mut list.last_mut()?.value {
            Value::Table(table) => Some(table),
            _ => None,
        },
        _ => None,
    }
}

fn implied(key: &str, span: &Span, statement: &Span, origin: Origin) -> Member {
    let value = Value::Table(Table::of(origin));
    let node = Node { span: span.clone(), value };
    Member {
        key: key.to_string(),
        key_span: span.clone(),
        also: Vec::new(),
        statement: statement.clone(),
        node,
    }
}

/// `[string]` as `[[string]]`.
fn doubled(header: &str) -> String {
    match header.find(']') {
        Some(close) => format!("[{}]{}", &header[..=close], &header[close + 1..]),
        None => format!("[{header}]]"),
    }
}

fn twice(key: &str, again: &Span, first: &Span) -> Problem {
    Problem {
        what: What::Duplicate,
        says: format!("{key} is written twice"),
        help: "Keep one of the two; the first one is used for now.".into(),
        labels: vec![
            Label { span: again.clone(), says: "written again here".into() },
            Label { span: first.clone(), says: "first written here".into() },
        ],
        mend: None,
    }
}

fn mixed_headers(key: &str, again: &Span, first: &Span, mend: Option<Mend>) -> Problem {
    Problem {
        what: What::WrongShape,
        says: format!("{key} is written once as [{key}] and once as [[{key}]]"),
        help: format!("Where there can be several, write [[{key}]] for each."),
        labels: vec![
            Label { span: again.clone(), says: "this one".into() },
            Label { span: first.clone(), says: "and this one".into() },
        ],
        mend,
    }
}

fn not_a_table(key: &str, is: &str, span: &Span, first: &Span) -> Problem {
    Problem {
        what: What::WrongShape,
        says: format!("{key} is {is} already, so it cannot begin a table here"),
        help: "Keep one of the two.".into(),
        labels: vec![
            Label { span: span.clone(), says: "a table is begun here".into() },
            Label { span: first.clone(), says: "already written here".into() },
        ],
        mend: None,
    }
}
