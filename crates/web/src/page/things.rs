//! The things of a design that a page rests on: what is there, what is said of it, and the way to change it.

use super::Asked;
use super::parts::encoded;
use crate::words::{capital, spaced};
use design::Design;
use design::catalogue::{Form, Shape, TABLES, Table};
use design::form::typed;
use design::read::{Entry, Given, Item};
use maud::{Markup, html};
use output::book::glued;
use quantity::FieldPath;
use rules::{Finding, Severity};

/// Fields of a thing that are said beside its name.
const SAID: usize = 4;

/// Address at which a thing is changed.
pub(crate) fn edit_address(path: &str, from: u8) -> String {
    match path {
        "" => format!("/edit?from={from}"),
        path => format!("/edit/{}?from={from}", encoded(path, true)),
    }
}

/// Address at which the field of a finding or a working is changed: its thing, and the field in it.
pub(crate) fn field_address(design: &Design, field: &FieldPath, from: u8) -> Option<String> {
    let path = field.as_str();
    let thing = thing_of(design, path).or_else(|| {
        let key = path.split('.').next()?;
        TABLES
            .iter()
            .find(|table| table.key == key && table.form == Form::One)
            .map(|table| table.key.to_string())
    })?;
    let key = path.strip_prefix(&thing).unwrap_or_default().trim_start_matches('.');
    let mark = if key.is_empty() { String::new() } else { format!("#{}", field_id(key)) };
    Some(format!("{}{mark}", edit_address(&thing, from)))
}

/// Identifier of a field on a form.
pub(crate) fn field_id(key: &str) -> String {
    let plain: String = key.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    format!("f-{plain}")
}

/// The thing a path lies in.
pub(crate) fn thing_of(design: &Design, path: &str) -> Option<String> {
    design
        .items
        .iter()
        .filter(|item| !item.path.is_empty())
        .filter(|item| {
            path == &*item.path || path.strip_prefix(&*item.path).is_some_and(|rest| rest.starts_with('.'))
        })
        .max_by_key(|item| item.path.len())
        .map(|item| item.path.to_string())
}

/// What a thing is called.
pub(crate) fn called(table: &Table, name: &str) -> String {
    match table.key {
        "" => "The design".to_string(),
        key => capital(&crate::words::thing(key, name)),
    }
}

/// All things of a page's question, each with the way to change it.
pub(crate) fn things(asked: &Asked<'_>) -> Markup {
    let shown = asked.shown();
    let design = shown.design();
    let tables: Vec<&'static Table> = TABLES.iter().filter(|table| table.question == asked.number).collect();
    if tables.is_empty() {
        return html! {};
    }
    let of = |table: &Table| {
        design.items.iter().filter(|item| item.table.key == table.key).collect::<Vec<&Item>>()
    };
    html! {
        section.things aria-labelledby="things-head" {
            h2 #things-head { "What the design says of it" }
            @for table in &tables {
                @let items: Vec<&Item> = of(table);
                @if !items.is_empty() {
                    div.kind {
                        h3 { (plural_of(table)) }
                        ul {
                            @for item in &items {
                                li.row id=(thing_id(&item.path)) {
                                    a.edit href=(edit_address(&item.path, asked.number)) {
                                        @if item.name.is_empty() || table.form == Form::Unnamed { (called(table, &item.name)) } @else { (item.name) }
                                    }
                                    span.said { (glued(&said(design, item))) }
                                    (marks(&shown.findings, &item.path))
                                }
                            }
                        }
                        @if table.form != Form::One { p.row { (add(asked, table)) } }
                    }
                }
            }
            @let blank: Vec<&&Table> = tables.iter().filter(|table| of(table).is_empty()).collect();
            @if !blank.is_empty() {
                div.kind {
                    h3 { "Not in the design" }
                    ul.blank-kinds {
                        @for table in blank {
                            li {
                                @if table.form == Form::One {
                                    a.edit href=(edit_address(table.key, asked.number)) { "say something of " (spaced(table.key)) }
                                } @else { (add(asked, table)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn add(asked: &Asked<'_>, table: &Table) -> Markup {
    html! { a.edit.add href={ "/add/" (table.key) "?from=" (asked.number) } { "add " (a(&spaced(table.key))) } }
}

/// With its article.
pub(crate) fn a(word: &str) -> String {
    let vowel = word.starts_with(['a', 'e', 'i', 'o']);
    format!("{} {word}", if vowel { "an" } else { "a" })
}

fn thing_id(path: &str) -> String {
    format!("thing-{}", quantity::slug(path))
}

fn plural_of(table: &Table) -> String {
    let word = spaced(table.key);
    match (table.key, table.form) {
        ("", _) => "The design".into(),
        (_, Form::One) => capital(&word),
        (key, _) if key.ends_with('y') => capital(&format!("{}ies", &word[..word.len() - 1])),
        _ => capital(&format!("{word}s")),
    }
}

/// Findings at a thing, as words that lead to the margin.
fn marks(findings: &[Finding], path: &str) -> Markup {
    let about: Vec<&Finding> = findings
        .iter()
        .filter(|finding| {
            let at = crate::workbook::place_of(finding);
            at == path || at.strip_prefix(path).is_some_and(|rest| rest.starts_with('.'))
        })
        .collect();
    html! {
        @for finding in about.iter().take(3) {
            " " a.mark.(super::margin::severity_class(finding.severity)) href={ "/" (super::margin::page_of(finding)) "#" (finding_id(finding)) } {
                (word(finding)) ": " (finding.name.replace('-', " "))
            }
        }
    }
}

fn word(finding: &Finding) -> &'static str {
    match finding.severity {
        Severity::Danger => "danger",
        Severity::Breach => "breach",
        Severity::Doubt => "doubt",
        Severity::Note => "note",
    }
}

/// Link target of a finding in the margin.
pub(crate) fn finding_id(finding: &Finding) -> String {
    format!("at-{}-{}", finding.code.to_lowercase(), quantity::slug(crate::workbook::place_of(finding)))
}

/// The first fields of a thing, as they are typed.
fn said(design: &Design, item: &Item) -> String {
    let mut words = Vec::new();
    let plain = |entry: &&Entry| {
        !matches!(entry.value, Given::Record(_) | Given::Records(_))
            && !matches!(entry.field.key, "name" | "note" | "notes" | "source")
    };
    for entry in item.entries.iter().filter(plain).take(SAID) {
        let source = design.text.get(entry.span.clone()).unwrap_or_default();
        let value: String = typed(&entry.field.shape, source).chars().take(40).collect();
        words.push(match entry.field.shape {
            Shape::Reference(_) | Shape::References(_) | Shape::Text => value,
            _ => format!("{} {value}", spaced(entry.field.key)),
        });
    }
    words.join(" · ")
}
