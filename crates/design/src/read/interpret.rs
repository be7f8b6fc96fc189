//! The tree by the catalogue: which table, which name, which field.

use super::shapes::Spot;
use super::tree::{Member, Node, Origin, Table as Tree, Value};
use super::words::{brief, key_text, listed, nearest};
use super::{Entry, Given, Header, Item, Label, Mend, Problems, Span, What, forms};
use crate::catalogue::{Blank, Field, Form, Shape, Table, field};
use crate::problem::Problem;
use quantity::{Currency, Units};
use std::sync::Arc;

/// Stands in for the typical part of a table that has a shelf; allowed there whether or not the catalogue lists it.
static LIKE: Field =
    field("like", Shape::Text, "A typical part of the shelf that fills what is blank here.").optional();

/// What reading needs to know everywhere.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) tables: &'static [Table],
    pub(super) currency: String,
    pub(super) units: Units,
    pub(super) problems: &'a mut Problems,
}

/// What the top of the file says about the file.
pub(super) fn header(root: &Tree, tables: &'static [Table]) -> Header {
    if !tables.iter().any(|table| table.key.is_empty()) {
        return Header::default();
    }
    let text = |key: &str| match root.get(key).map(|member| &member.node.value) {
        Some(Value::Text(text)) => Some(text.trim()),
        _ => None,
    };
    let wattwright = match root.get("wattwright").map(|member| &member.node.value) {
        Some(Value::Integer(Some(number))) => u32::try_from(*number).ok(),
        _ => None,
    };
    let units = text("units").and_then(|word| match word.to_lowercase().as_str() {
        "us" => Some(Units::Us),
        "metric" => Some(Units::Metric),
        _ => None,
    });
    let currency = text("currency").and_then(|code| Currency::read(code).ok());
    Header { wattwright, title: text("title").map(Arc::from), units, currency }
}

/// Everything the tree says, as items of the catalogue.
pub(super) fn items(
    text: &str,
    root: &Tree,
    tables: &'static [Table],
    header: &Header,
    problems: &mut Problems,
) -> Vec<Item> {
    let top = tables.iter().find(|table| table.key.is_empty());
    let currency = match header.currency {
        Some(currency) => currency.code().to_string(),
        None => assumed_currency(top).unwrap_or("USD").to_string(),
    };
    let units = header.units.unwrap_or(Units::Metric);
    let mut reader = Reader { text, tables, currency, units, problems };
    let mut items = Vec::new();
    let mut at_top = Vec::new();
    for member in &root.members {
        if reader.problems.full() {
            break;
        }
        let table = tables.iter().find(|table| !table.key.is_empty() && table.key == member.key);
        let top_field = top.and_then(|top| top.fields.iter().find(|field| field.key == member.key));
        match (table, top_field) {
            (Some(table), _) => reader.table(table, member, &mut items),
            (None, Some(field)) => at_top.extend(reader.top_entry(field, member)),
            (None, None) => reader.unknown_at_top(member, top),
        }
    }
    if let Some(top) = top {
        if !root.torn {
            reader.missing(top.fields, root, "the top of the file", &(0..0));
        }
        items.push(Item {
            table: top,
            name: "".into(),
            path: "".into(),
            span: 0..0,
            name_span: 0..0,
            entries: at_top,
        });
    }
    items
}

fn assumed_currency(top: Option<&'static Table>) -> Option<&'static str> {
    let field = top?.fields.iter().find(|field| field.key == "currency")?;
    match field.blank {
        Blank::Assumed { value, .. } => Some(value.trim_matches('"')),
        _ => None,
    }
}

/// One table of the file on its way to an item.
struct Found<'a> {
    tree: &'a Tree,
    name: String,
    name_span: Span,
    span: Span,
    /// The name is a key of the table and not a field of it.
    name_is_key: bool,
}

impl Reader<'_> {
    fn top_entry(&mut self, field: &'static Field, member: &Member) -> Option<Entry> {
        let entry = self.entry(field, member, field.key)?;
        if field.key == "currency"
            && let Given::Text(code) = &entry.value
            && Currency::read(code.trim()).is_err()
        {
            let upper = code.trim().to_uppercase();
            let mend = Currency::read(&upper).is_ok();
            self.problems.push(Problem {
                what: What::WrongShape,
                says: format!("\"{}\" is no currency code", brief(code)),
                help: "Write the three capital letters of ISO 4217, such as USD, EUR or AUD.".into(),
                labels: vec![Label { span: member.node.span.clone(), says: "three capital letters".into() }],
                mend: mend.then(|| Mend { span: member.node.span.clone(), with: format!("\"{upper}\"") }),
            });
            return None;
        }
        Some(entry)
    }

    fn table(&mut self, table: &'static Table, member: &Member, items: &mut Vec<Item>) {
        let key = table.key;
        match (table.form, &member.node.value) {
            (_, Value::Broken) => {}
            (Form::One, Value::Table(tree)) => {
                let found = Found {
                    tree,
                    name: String::new(),
                    name_span: member.key_span.clone(),
                    span: member.node.span.clone(),
                    name_is_key: false,
                };
                items.push(self.item(table, found));
            }
            (Form::One, Value::Tables(list)) => {
                for (node, key_span) in list.iter().zip(key_spans(member)) {
                    let mend = (list.len() == 1)
                        .then(|| Mend { span: node.span.clone(), with: format!("[{}]", key_text(key)) });
                    let says = format!("[[{key}]] is written once and in single brackets");
                    self.misformed(says, format!("Write [{key}]."), &node.span, mend);
                    // Only the first counts, so that no later stage meets two of them.
                    if let (Value::Table(tree), true) = (&node.value, std::ptr::eq(node, &list[0])) {
                        let (span, name_span) = (node.span.clone(), key_span.clone());
                        let found = Found { tree, name: String::new(), name_span, span, name_is_key: false };
                        items.push(self.item(table, found));
                    }
                }
            }
            (Form::Named, Value::Table(tree)) => self.named(table, member, tree, items),
            (Form::Named, Value::Tables(list)) => {
                for (index, node) in list.iter().enumerate() {
                    let says = format!("[[{key}]] wants the name in its header");
                    self.misformed(says, format!("Write [{key}.NAME]."), &node.span, None);
                    self.listed(table, index, node, items);
                }
            }
            (Form::List | Form::Unnamed, Value::Tables(list) | Value::List(list)) => {
                for (index, node) in list.iter().enumerate() {
                    self.listed(table, index, node, items);
                }
            }
            (Form::List | Form::Unnamed, Value::Table(tree)) => self.single(table, member, tree, items),
            (_, value) => {
                let says = format!("{key} is {}; {} is wanted", value.in_words(), header_of(table));
                self.misformed(
                    says,
                    format!("Begin it with the header {}.", header_of(table)),
                    &member.node.span,
                    None,
                );
            }
        }
    }

    /// `[module.NAME]` for each name.
    fn named(&mut self, table: &'static Table, member: &Member, tree: &Tree, items: &mut Vec<Item>) {
        let mut nameless: Option<Span> = None;
        for inner in &tree.members {
            // Below a header of its own without a name, a field that is a table is not a name.
            let is_field = tree.origin == Origin::Header && table.fields.iter().any(|f| f.key == inner.key);
            match &inner.node.value {
                Value::Table(tree) if !is_field => {
                    let found = Found {
                        tree,
                        name: inner.key.clone(),
                        name_span: inner.key_span.clone(),
                        span: inner.node.span.clone(),
                        name_is_key: false,
                    };
                    items.push(self.item(table, found));
                }
                _ => nameless = nameless.or(Some(inner.key_span.clone())),
            }
        }
        if let Some(span) = nameless {
            let key = table.key;
            self.problems.push(Problem {
                what: What::WrongShape,
                says: format!("[{key}] lacks a name"),
                help: format!("Give it a name of yours: [{key}.NAME]."),
                labels: vec![
                    Label { span: member.key_span.clone(), says: "a name is missing here".into() },
                    Label { span, says: "so it is not clear whose field this is".into() },
                ],
                mend: None,
            });
        }
    }

    /// One of `[[string]]`.
    fn listed(&mut self, table: &'static Table, index: usize, node: &Node, items: &mut Vec<Item>) {
        let tree = match &node.value {
            Value::Table(tree) => tree,
            Value::Broken => return,
            value => {
                let says = format!("{} {} is {}; a table is wanted", table.key, index + 1, value.in_words());
                let help = format!("Begin it with the header {}.", header_of(table));
                return self.misformed(says, help, &node.span, None);
            }
        };
        let (name, name_span) = if table.form == Form::Unnamed {
            ((index + 1).to_string(), node.span.clone())
        } else {
            self.name(table, index, tree, &node.span)
        };
        let name_is_key = table.form != Form::Unnamed;
        let item = self.item(table, Found { tree, name, name_span, span: node.span.clone(), name_is_key });
        items.push(item);
    }

    /// The owner's name, or the ordinal with a problem listed.
    fn name(&mut self, table: &'static Table, index: usize, tree: &Tree, span: &Span) -> (String, Span) {
        let ordinal = (index + 1).to_string();
        let member = tree.get("name");
        let (says, at) = match member.map(|member| (&member.node.value, &member.node.span)) {
            Some((Value::Text(name), at)) if !name.trim().is_empty() => {
                return (name.trim().to_string(), at.clone());
            }
            Some((Value::Broken, at)) => return (ordinal, at.clone()),
            Some((Value::Text(_), at)) => ("the name is empty".to_string(), at),
            Some((value, at)) => (format!("the name is {}; a text is wanted", value.in_words()), at),
            None if tree.torn => return (ordinal, span.clone()),
            None => (format!("this {} has no name", header_of(table)), span),
        };
        let what = if member.is_some() { What::WrongShape } else { What::Missing };
        self.problems.push(Problem {
            what,
            says,
            help: "Give it a name of yours; other parts of the design refer to it by that: name = \"…\""
                .into(),
            labels: vec![Label { span: at.clone(), says: "a name is wanted here".into() }],
            mend: None,
        });
        (ordinal, at.clone())
    }

    /// `[string]` or `[string.north]` where `[[string]]` is wanted.
    fn single(&mut self, table: &'static Table, member: &Member, tree: &Tree, items: &mut Vec<Item>) {
        let key = table.key;
        let names =
            |inner: &Member| matches!(&inner.node.value, Value::Table(t) if t.origin == Origin::Header);
        if tree.origin == Origin::Implied && tree.members.iter().all(names) {
            for (index, inner) in tree.members.iter().enumerate() {
                let says = format!("[{key}.{}] wants double brackets", key_text(&inner.key));
                let help = format!("Write [[{key}]] and below it name = \"{}\".", inner.key);
                self.misformed(says, help, &inner.node.span, None);
                if let Value::Table(tree) = &inner.node.value {
                    let name =
                        if table.form == Form::List { inner.key.clone() } else { (index + 1).to_string() };
                    let (name_span, span) = (inner.key_span.clone(), inner.node.span.clone());
                    items.push(self.item(table, Found { tree, name, name_span, span, name_is_key: true }));
                }
            }
            return;
        }
        let span = &member.node.span;
        let mend = (tree.origin == Origin::Header)
            .then(|| Mend { span: span.clone(), with: format!("[[{}]]", key_text(key)) });
        self.misformed(format!("[{key}] wants double brackets"), format!("Write [[{key}]]."), span, mend);
        self.listed(table, 0, &member.node, items);
    }

    fn item(&mut self, table: &'static Table, found: Found<'_>) -> Item {
        let path = if found.name.is_empty() {
            table.key.to_string()
        } else {
            format!("{}.{}", table.key, found.name)
        };
        let tree = found.tree;
        let mut entries = Vec::with_capacity(tree.members.len());
        for member in &tree.members {
            let field = table.fields.iter().find(|field| field.key == member.key);
            let field = field.or((table.shelf.is_some() && member.key == LIKE.key).then_some(&LIKE));
            match field {
                Some(field) => entries.extend(self.entry(field, member, field.key)),
                None if found.name_is_key && member.key == "name" => {}
                None => self.unknown_field(table, tree, member),
            }
        }
        // A typical part may fill what is blank, so nothing is missing then.
        if tree.get(LIKE.key).is_none() {
            let owner = match table.form {
                Form::One => format!("[{}]", table.key),
                Form::Named => format!("[{path}]"),
                Form::List => format!("{} \"{}\"", table.key, found.name),
                Form::Unnamed => format!("{} {}", table.key, found.name),
            };
            self.missing(table.fields, tree, &owner, &found.span);
        }
        Item {
            table,
            name: found.name.into(),
            path: path.into(),
            span: found.span,
            name_span: found.name_span,
            entries,
        }
    }

    /// The entries of a nested table, whose problems are listed under the name it is called.
    pub(super) fn entries(
        &mut self,
        fields: &'static [Field],
        tree: &Tree,
        called: &str,
        place: &Span,
    ) -> Vec<Entry> {
        let mut entries = Vec::with_capacity(tree.members.len());
        for member in &tree.members {
            match fields.iter().find(|field| field.key == member.key) {
                Some(field) => entries.extend(self.entry(field, member, &format!("{called}.{}", field.key))),
                None => {
                    let left = fields.iter().map(|field| field.key).filter(|key| tree.get(key).is_none());
                    let keys: Vec<&str> = left.collect();
                    self.unknown_key(&member.key, &member.key_span, &keys, called);
                }
            }
        }
        self.missing(fields, tree, called, place);
        entries
    }

    fn entry(&mut self, field: &'static Field, member: &Member, called: &str) -> Option<Entry> {
        let key_span = member.key_span.clone();
        let value = self.given(&Spot { field, called, key_span: &key_span, node: &member.node })?;
        if value == Given::Unknown && field.blank == Blank::Needed {
            self.problems.push(Problem {
                what: What::Missing,
                says: format!("{called} cannot stay unknown"),
                help: needed_help(field, &self.currency),
                labels: vec![Label {
                    span: member.node.span.clone(),
                    says: "nothing can be said without it".into(),
                }],
                mend: None,
            });
        }
        Some(Entry { field, key_span, span: member.node.span.clone(), value })
    }

    fn missing(&mut self, fields: &'static [Field], tree: &Tree, owner: &str, place: &Span) {
        if tree.torn {
            return;
        }
        for field in fields.iter().filter(|f| f.blank == Blank::Needed && tree.get(f.key).is_none()) {
            self.problems.push(Problem {
                what: What::Missing,
                says: format!("{owner} lacks {}", field.key),
                help: needed_help(field, &self.currency),
                labels: vec![Label { span: place.clone(), says: format!("{} is missing here", field.key) }],
                mend: None,
            });
        }
    }

    fn unknown_field(&mut self, table: &'static Table, tree: &Tree, member: &Member) {
        let left: Vec<&str> =
            table.fields.iter().map(|f| f.key).filter(|key| tree.get(key).is_none()).collect();
        let near = nearest(&member.key, left.iter().copied());
        let elsewhere = self.tables.iter().find(|other| other.fields.iter().any(|f| f.key == member.key));
        match (near, elsewhere) {
            (None, Some(other)) => self.problems.push(Problem {
                what: What::UnknownKey,
                says: format!("{} is no field of {}", brief(&member.key), header_of(table)),
                help: format!("It is a field of {}.", header_of(other)),
                labels: vec![Label {
                    span: member.key_span.clone(),
                    says: format!("belongs to {}", header_of(other)),
                }],
                mend: None,
            }),
            _ => self.unknown_key(&member.key, &member.key_span, &left, &header_of(table)),
        }
    }

    /// A key that is none of `known`, the keys not written yet.
    pub(super) fn unknown_key(&mut self, key: &str, span: &Span, known: &[&str], owner: &str) {
        let near = nearest(key, known.iter().copied());
        let help = match near {
            Some(near) => format!("Write {near}, if that is what you mean."),
            None if known.is_empty() => "All fields of this table are written already.".into(),
            None => format!("Not yet written are {}.", listed(known, "and")),
        };
        self.problems.push(Problem {
            what: What::UnknownKey,
            says: format!("{} is no field of {owner}", brief(key)),
            help,
            labels: vec![Label {
                span: span.clone(),
                says: near.map_or("not known here".into(), |near| format!("did you mean {near}?")),
            }],
            mend: near.map(|near| Mend { span: span.clone(), with: key_text(near).into_owned() }),
        });
    }

    fn unknown_at_top(&mut self, member: &Member, top: Option<&'static Table>) {
        let is_table = match &member.node.value {
            Value::Table(_) | Value::Tables(_) => true,
            Value::List(list) => list.iter().any(|node| matches!(node.value, Value::Table(_))),
            _ => false,
        };
        let keys = self.tables.iter().map(|table| table.key).filter(|key| !key.is_empty());
        if !is_table {
            let mut keys: Vec<&str> = keys.collect();
            // A bare key at the top may also be the field of a table whose header is missing above it.
            let owner = self.tables.iter().find(|table| table.fields.iter().any(|f| f.key == member.key));
            if let Some(owner) = owner {
                self.problems.push(Problem {
                    what: What::UnknownKey,
                    says: format!("{} is no field of the top of the file", brief(&member.key)),
                    help: format!("It is a field of {}; write it below that header.", header_of(owner)),
                    labels: vec![Label {
                        span: member.key_span.clone(),
                        says: format!("belongs to {}", header_of(owner)),
                    }],
                    mend: None,
                });
                return;
            }
            keys = top.map_or(keys, |top| top.fields.iter().map(|field| field.key).collect());
            return self.unknown_key(&member.key, &member.key_span, &keys, "the top of the file");
        }
        let keys: Vec<&str> = keys.collect();
        let near = nearest(&member.key, keys.iter().copied());
        for span in key_spans(member) {
            let help = match near {
                Some(near) => format!("Write {near}, if that is what you mean."),
                None => format!("The tables are {}.", listed(&keys, "and")),
            };
            self.problems.push(Problem {
                what: What::UnknownTable,
                says: format!("{} is no table of a design", brief(&member.key)),
                help,
                labels: vec![Label {
                    span: span.clone(),
                    says: near.map_or("not known here".into(), |near| format!("did you mean {near}?")),
                }],
                mend: near.map(|near| Mend { span: span.clone(), with: key_text(near).into_owned() }),
            });
        }
    }

    fn misformed(&mut self, says: String, help: String, span: &Span, mend: Option<Mend>) {
        let labels = vec![Label { span: span.clone(), says: "written here".into() }];
        self.problems.push(Problem { what: What::WrongShape, says, help, labels, mend });
    }
}

/// The header as an owner writes it.
pub(crate) fn header_of(table: &Table) -> String {
    match table.form {
        _ if table.key.is_empty() => "the top of the file".into(),
        Form::One => format!("[{}]", table.key),
        Form::Named => format!("[{}.NAME]", table.key),
        Form::List | Form::Unnamed => format!("[[{}]]", table.key),
    }
}

fn needed_help(field: &Field, currency: &str) -> String {
    format!("{} {} {} can tell.", field.doc, forms::how(field, currency), capital(field.ask.in_words()))
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

fn key_spans(member: &Member) -> impl Iterator<Item = &Span> {
    std::iter::once(&member.key_span).chain(&member.also)
}
