//! Names across the file: no two alike in one table, and every reference leads to a thing.

use super::words::{brief, listed, nearest, quote, quoted};
use super::{Entry, Given, Item, Label, Mend, Problems, Span, What};
use crate::catalogue::{Form, Shape, Table};
use crate::problem::Problem;
use std::collections::{HashMap, HashSet};

/// Lists duplicate names and dangling references.
pub(super) fn check(items: &mut [Item], tables: &'static [Table], problems: &mut Problems) {
    duplicates(items, problems);
    let mut names: HashMap<&str, Vec<&str>> = HashMap::new();
    for item in items.iter() {
        // What there is one of, such as the utility, goes by the name of its table.
        let name = match item.table.form {
            Form::Named | Form::List => &*item.name,
            Form::One if !item.table.key.is_empty() => item.table.key,
            Form::One | Form::Unnamed => continue,
        };
        names.entry(item.table.key).or_default().push(name);
    }
    let exact: HashSet<(&str, &str)> =
        names.iter().flat_map(|(table, names)| names.iter().map(|name| (*table, *name))).collect();
    let check = Check { names: &names, exact: &exact, tables };
    for item in items.iter() {
        check.entries(&item.entries, problems);
    }
}

fn named(table: &Table) -> bool {
    matches!(table.form, Form::Named | Form::List)
}

fn duplicates(items: &[Item], problems: &mut Problems) {
    let mut first: HashMap<(&str, String), &Item> = HashMap::new();
    for item in items.iter().filter(|item| named(item.table)) {
        let slug = quantity::slug(&item.name);
        if slug.is_empty() || item.name.contains(char::is_control) {
            unspeakable(item, problems);
            continue;
        }
        let key = (item.table.key, slug);
        let Some(before) = first.get(&key) else {
            first.insert(key, item);
            continue;
        };
        let alike = item.name.trim().to_lowercase() == before.name.trim().to_lowercase();
        let says = if alike {
            format!("two things of {} are named {}", item.table.key, quote(&brief(&item.name)))
        } else {
            format!(
                "{} and {} of {} are told apart by their marks alone",
                quote(&brief(&before.name)),
                quote(&brief(&item.name)),
                item.table.key
            )
        };
        let help = if alike {
            "Give each its own name; capital letters make no difference."
        } else {
            "Give each its own name; capital letters, spaces and marks make no difference."
        };
        problems.push(Problem {
            what: What::Duplicate,
            says,
            help: help.into(),
            labels: vec![
                Label { span: item.name_span.clone(), says: "named so again here".into() },
                Label { span: before.name_span.clone(), says: "named so first here".into() },
            ],
            mend: None,
        });
    }
}

/// Figures are called by the letters and digits of names, and a name stands on one line of every answer.
fn unspeakable(item: &Item, problems: &mut Problems) {
    let lacks = if item.name.contains(char::is_control) {
        "holds a line break or another control character"
    } else {
        "has neither letter nor digit"
    };
    problems.push(Problem {
        what: What::WrongShape,
        says: format!("the name {} {lacks}", quote(&brief(&item.name))),
        help: "Write a name of letters and digits on one line; spaces and marks may stand between them."
            .into(),
        labels: vec![Label { span: item.name_span.clone(), says: "named here".into() }],
        mend: None,
    });
}

struct Check<'a> {
    names: &'a HashMap<&'a str, Vec<&'a str>>,
    exact: &'a HashSet<(&'a str, &'a str)>,
    tables: &'static [Table],
}

impl Check<'_> {
    fn entries(&self, entries: &[Entry], problems: &mut Problems) {
        for entry in entries {
            match (&entry.field.shape, &entry.value) {
                (Shape::Reference(tables), Given::Reference(name)) => {
                    self.reference(tables, name, &entry.span, entry.field.key, problems);
                }
                (Shape::References(tables), Given::References(names)) => {
                    for (name, span) in names {
                        self.reference(tables, name, span, entry.field.key, problems);
                    }
                }
                (_, Given::Record(entries)) => self.entries(entries, problems),
                (_, Given::Records(records)) => {
                    for (entries, _) in records {
                        self.entries(entries, problems);
                    }
                }
                _ => {}
            }
        }
    }

    fn reference(&self, tables: &[&str], name: &str, span: &Span, key: &str, problems: &mut Problems) {
        if problems.full() || tables.iter().any(|table| self.exact.contains(&(*table, name))) {
            return;
        }
        let mut said = HashSet::new();
        let known: Vec<&str> = tables
            .iter()
            .filter_map(|table| self.names.get(table))
            .flatten()
            .copied()
            .filter(|name| said.insert(*name))
            .collect();
        let near = nearest(name, known.iter().copied());
        let help = if known.is_empty() {
            let headers = self.tables.iter().filter(|table| tables.contains(&table.key));
            let headers: Vec<String> = headers.map(super::interpret::header_of).collect();
            format!("There is no {} in this design yet.", listed(&headers, "or"))
        } else {
            format!("There is {}.", listed(&quoted(&known), "and"))
        };
        problems.push(Problem {
            what: What::Dangling,
            says: format!("{key}: there is no {} named {}", listed(tables, "or"), quote(&brief(name))),
            help,
            labels: vec![Label {
                span: span.clone(),
                says: near.map_or("no such name".into(), |near| format!("did you mean {}?", quote(near))),
            }],
            mend: near.map(|near| Mend { span: span.clone(), with: quote(near) }),
        });
    }
}
