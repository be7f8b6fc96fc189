//! A thing of the design as a form, made from the catalogue of fields.

use super::parts::Links;
use super::things::{called, edit_address, field_id};
use super::{Asked, margin, shell, token};
use crate::words::{capital, spaced};
use crate::workbook::{Fault, KeepError, below, field_of, typed_in};
use design::catalogue::{Blank, Field, Form, Shape, Table};
use design::form::{accepted, typed};
use design::read::{Entry, Given, Item};
use design::shelf::{shelf, shelf_text};
use door::FileHash;
use maud::{Markup, html};
use output::answers::answers;
use output::book::glued;

/// A form as it is to be shown: of a thing that is there, or of one that is to be begun.
pub(crate) struct Sheet<'a> {
    pub(crate) asked: &'a Asked<'a>,
    pub(crate) table: &'static Table,
    /// Path of the thing; `None` for one that is to be begun.
    pub(crate) path: Option<&'a str>,
    /// What was typed and not yet written.
    pub(crate) typed: &'a [(String, String)],
    pub(crate) refused: Option<&'a KeepError>,
    pub(crate) from: u8,
}

/// The page on which a thing is changed; nothing where the design has no such thing.
pub(crate) fn thing(sheet: &Sheet<'_>) -> Option<String> {
    let (asked, table) = (sheet.asked, sheet.table);
    let design = asked.shown().design();
    if let Some(path) = sheet.path {
        let there = design.items.iter().any(|item| *item.path == *path);
        if !there && table.form != Form::One {
            return None;
        }
    }
    let title = match sheet.path {
        Some(path) => called(table, &name_of(sheet, path)),
        None => format!("Another {}", spaced(table.key)),
    };
    let links = Links::of(asked.tried);
    let all = answers(&asked.shown().study, &asked.shown().findings);
    let main = html! {
        div.thing data-title=(title) {
            h1 { (title) }
            p.cap { (glued(table.doc)) }
            (refusal(sheet))
            (form(sheet))
        }
        p.leave { a href={ "/" (sheet.from) } { "back to page " (sheet.from) } }
    };
    let around = match sheet.path {
        Some(path) => margin::of_thing(asked, path, &links),
        None => html! {},
    };
    Some(shell(asked, &title, &all, &links, main, around))
}

fn name_of(sheet: &Sheet<'_>, path: &str) -> String {
    let items = &sheet.asked.shown().design().items;
    items.iter().find(|item| *item.path == *path).map(|item| item.name.to_string()).unwrap_or_default()
}

fn is_named(table: &Table) -> bool {
    matches!(table.form, Form::Named | Form::List)
}

/// What was refused as a whole; what was refused of a field stands at the field.
fn refusal(sheet: &Sheet<'_>) -> Markup {
    html! {
        @match sheet.refused {
            Some(KeepError::Clash(clashes)) => (super::clash(clashes)),
            Some(KeepError::Typed(faults)) => {
                div.notice.bad role="alert" {
                    h2 { "Nothing was written" }
                    @for fault in faults.iter().filter(|fault| !is_on_form(sheet, fault)) {
                        p { (glued(&fault.says)) @if !fault.help.is_empty() { " " (glued(&fault.help)) } }
                    }
                    ul {
                        @for fault in faults.iter().filter(|fault| is_on_form(sheet, fault)) {
                            li { a href={ "#" (field_id(&fault.key)) } { (spaced(&fault.key)) } }
                        }
                    }
                }
            },
            Some(other) => div.notice.bad role="alert" { h2 { "Nothing was written" } p { (other) } },
            None => {},
        }
    }
}

fn is_on_form(sheet: &Sheet<'_>, fault: &Fault) -> bool {
    fault.key == "name" && is_named(sheet.table) || field_of(sheet.table, &fault.key).is_some()
}

fn form(sheet: &Sheet<'_>) -> Markup {
    let (asked, table) = (sheet.asked, sheet.table);
    let design = asked.shown().design();
    let path = sheet.path.unwrap_or_default();
    let item = sheet.path.and_then(|path| design.items.iter().find(|item| *item.path == *path));
    let entries = item.map_or(&[][..], |item| item.entries.as_slice());
    let off = asked.tried.sheet.trouble.is_some();
    let action = match sheet.path {
        Some(path) => edit_address(path, sheet.from),
        None => format!("/add/{}?from={}", table.key, sheet.from),
    };
    let (first, later) = halves(sheet, table.fields, entries, item);
    html! {
        @if off { p.beside { "The design file cannot be read as it stands. Edits are refused until it can." } }
        form.fields method="post" action=(action) autocomplete="off" {
            (token(asked))
            input type="hidden" name="from" value=(sheet.from);
            @if let Some(source) = item.and_then(|item| design::edit::source(&design.text, &item.path)) {
                input type="hidden" name="seen" value=(FileHash::of(source.as_bytes()));
            }
            // The first button is the one that Enter presses.
            fieldset.plain disabled[off] {
                button.unseen name="do" value="save" tabindex="-1" aria-hidden="true" { "save" }
                @if is_named(table) { (name_field(sheet, path)) }
                @for field in &first { (any(sheet, field, field.key, entries)) }
                @if !later.is_empty() {
                    details.more open[sheet.path.is_none() || later.iter().any(|field| faulty(sheet, field.key))] {
                        summary { (later.len()) " more that may be said" }
                        @for field in &later { (any(sheet, field, field.key, entries)) }
                    }
                }
                p.deeds {
                    button.main name="do" value="save" {
                        @if sheet.path.is_some() { "write it to the file" } @else { "add it to the file" }
                    }
                    a.button href={ "/" (sheet.from) } data-close { "leave it as it is" }
                }
                @if item.is_some() && table.form != Form::One && !table.key.is_empty() { (whole_thing(table)) }
            }
        }
    }
}

/// What can be done with a thing as a whole.
fn whole_thing(table: &Table) -> Markup {
    html! {
        details.whole {
            summary { "move it, double it, take it out" }
            p.deeds {
                button name="do" value="thing-up" { "move before the one above" }
                button name="do" value="thing-down" { "move after the one below" }
            }
            @if is_named(table) {
                div.field {
                    label for="f-copy" { "Name of the double" }
                    input id="f-copy" name="copy" type="text";
                }
            }
            p.deeds {
                button name="do" value="thing-double" { "double it" }
                button name="do" value="thing-out" { "take it out of the file" }
            }
        }
    }
}

/// Fields that are filled in or wanted, and those that may stay blank.
fn halves(
    sheet: &Sheet<'_>,
    fields: &'static [Field],
    entries: &[Entry],
    item: Option<&Item>,
) -> (Vec<&'static Field>, Vec<&'static Field>) {
    let named = is_named(sheet.table);
    let like = item.and_then(shelf_of);
    fields.iter().filter(|field| !(named && field.key == "name")).partition(|field| {
        let there = entries.iter().any(|entry| entry.field.key == field.key);
        let typical = like.is_some_and(|part| part.entry(field.key).is_some());
        let wanted = matches!(field.blank, Blank::Needed) || matches!(field.blank, Blank::Asked) && !typical;
        let shelved = field.key == "like" && sheet.table.shelf.is_some();
        there || wanted || shelved || sheet.typed.iter().any(|(key, now)| key == field.key && !now.is_empty())
    })
}

fn shelf_of(item: &Item) -> Option<&'static Item> {
    let Given::Text(name) = &item.entry("like")?.value else { return None };
    shelf().iter().find(|part| part.table.key == item.table.key && part.name.eq_ignore_ascii_case(name))
}

fn name_field(sheet: &Sheet<'_>, path: &str) -> Markup {
    let was = if path.is_empty() { String::new() } else { name_of(sheet, path) };
    let now = now(sheet, "name").unwrap_or(&was);
    let fault = fault_of(sheet, "name");
    html! {
        div.field.bad[fault.is_some()] {
            label for="f-name" { "Name" }
            input id="f-name" name="f.name" type="text" value=(now) required aria-describedby="h-name" aria-invalid=[fault.map(|_| "true")];
            input type="hidden" name="was.name" value=(was);
            div.hint id="h-name" { (said_fault(fault, "name")) "your own; other things call it by this name" }
        }
    }
}

fn now<'a>(sheet: &'a Sheet<'_>, key: &str) -> Option<&'a String> {
    sheet.typed.iter().find(|(known, _)| known == key).map(|(_, now)| now)
}

fn fault_of<'a>(sheet: &'a Sheet<'_>, key: &str) -> Option<&'a Fault> {
    match sheet.refused {
        Some(KeepError::Typed(faults)) => faults.iter().find(|fault| fault.key == key),
        _ => None,
    }
}

fn faulty(sheet: &Sheet<'_>, key: &str) -> bool {
    match sheet.refused {
        Some(KeepError::Typed(faults)) => {
            faults.iter().any(|fault| fault.key == key || fault.key.starts_with(&format!("{key}.")))
        }
        _ => false,
    }
}

/// With a capital and one full stop, and without the quotes and escapes in which the file would have it.
fn sentence_of(text: &str) -> String {
    let plain = text.replace("`\"", "`").replace("\"`", "`").replace("\\\"", "\"");
    format!("{}.", capital(&glued(plain.trim_end_matches('.'))))
}

fn said_fault(fault: Option<&Fault>, key: &str) -> Markup {
    html! {
        span.fault id={ "e" (field_id(key)) } aria-live="polite" {
            @if let Some(fault) = fault {
                (sentence_of(&fault.says)) @if !fault.help.is_empty() { " " (sentence_of(&fault.help)) }
            }
        }
    }
}

/// A field of any shape.
fn any(sheet: &Sheet<'_>, field: &'static Field, key: &str, entries: &[Entry]) -> Markup {
    let entry = entries.iter().find(|entry| entry.field.key == field.key);
    match &field.shape {
        Shape::Record(inner) => {
            let below_it = match entry.map(|entry| &entry.value) {
                Some(Given::Record(inner)) => inner.as_slice(),
                _ => &[],
            };
            html! {
                fieldset.record {
                    legend { (capital(&spaced(field.key))) }
                    p.hint { (glued(field.doc)) }
                    @for one in inner.iter() { (any(sheet, one, &format!("{key}.{}", one.key), below_it)) }
                }
            }
        }
        Shape::Records(inner) => records(sheet, field, key, inner, entry),
        _ => leaf(sheet, field, key),
    }
}

fn records(
    sheet: &Sheet<'_>,
    field: &'static Field,
    key: &str,
    inner: &'static [Field],
    entry: Option<&Entry>,
) -> Markup {
    let list = match entry.map(|entry| &entry.value) {
        Some(Given::Records(list)) => list.as_slice(),
        _ => &[],
    };
    html! {
        fieldset.record {
            legend { (capital(&spaced(field.key))) }
            p.hint { (glued(field.doc)) }
            @for (at, (entries, _)) in list.iter().enumerate() {
                @let key = format!("{key}.{}", at + 1);
                fieldset.element {
                    legend { (at + 1) " of " (list.len()) }
                    @for one in inner.iter() { (any(sheet, one, &format!("{key}.{}", one.key), entries)) }
                    p.deeds {
                        @if at > 0 { button name="do" value={ "up " (key) } { "move up" } }
                        @if at + 1 < list.len() { button name="do" value={ "down " (key) } { "move down" } }
                        button name="do" value={ "remove " (key) } { "take out" }
                    }
                }
            }
            @if sheet.path.is_some() {
                p.deeds { button name="do" value={ "append " (key) } { "add to " (spaced(field.key)) } }
            } @else {
                p.hint { "Comes once the thing itself is in the file." }
            }
        }
    }
}

/// A field with one value.
fn leaf(sheet: &Sheet<'_>, field: &'static Field, key: &str) -> Markup {
    let design = sheet.asked.shown().design();
    let was = match sheet.path {
        Some(path) => typed_in(&design.text, &below(path, key), field),
        None => String::new(),
    };
    let now = now(sheet, key).unwrap_or(&was);
    let (fault, id) = (fault_of(sheet, key), field_id(key));
    let described = format!("h{id}");
    let label = capital(&spaced(key.rsplit('.').next().unwrap_or(key)));
    html! {
        div.field.bad[fault.is_some()] {
            label for=(id) { (label) }
            (control(sheet, field, &id, key, now, fault.is_some()))
            input type="hidden" name={ "was." (key) } value=(was);
            div.hint id=(described) {
                (said_fault(fault, key))
                (glued(field.doc)) " "
                span.accepted { (capital(&accepted(field, design.system.currency.code()))) "." }
                (blank_words(sheet, field, key, &was))
            }
        }
    }
}

fn blank_words(sheet: &Sheet<'_>, field: &Field, key: &str, was: &str) -> Markup {
    if !was.is_empty() {
        return html! {};
    }
    let design = sheet.asked.shown().design();
    let item = sheet.path.and_then(|path| design.items.iter().find(|item| *item.path == *path));
    if let Some(value) = item.and_then(shelf_of).and_then(|part| shelf_value(part, key)) {
        return html! { " " b { "From the typical part: " (glued(&value)) "." } };
    }
    html! {
        @match field.blank {
            Blank::Needed => { " " b { "Needed." } },
            Blank::Asked => { " Unknown as long as it is blank; ask " (field.ask.in_words()) "." },
            Blank::None => {},
            Blank::Assumed { value, because, moves } => {
                " " span.assumed { "Blank is taken as " (glued(value)) ": " (glued(because)) ". It moves " (glued(moves)) "." }
            },
        }
    }
}

/// What a typical part says of a field, as it is typed.
fn shelf_value(part: &Item, key: &str) -> Option<String> {
    let mut entries = part.entries.as_slice();
    let mut found: Option<&Entry> = None;
    for one in key.split('.') {
        let entry = entries.iter().find(|entry| entry.field.key == one)?;
        if let Given::Record(inner) = &entry.value {
            entries = inner;
        }
        found = Some(entry);
    }
    let entry = found?;
    Some(typed(&entry.field.shape, shelf_text().get(entry.span.clone())?))
}

fn control(sheet: &Sheet<'_>, field: &Field, id: &str, key: &str, now: &str, bad: bool) -> Markup {
    let design = sheet.asked.shown().design();
    let names = |tables: &[&str]| -> Vec<String> {
        let of = design.items.iter().filter(|item| tables.contains(&item.table.key));
        of.map(|item| item.name.to_string()).collect()
    };
    let choices: Option<Vec<String>> = match &field.shape {
        Shape::Choice(words) => Some(words.iter().map(|word| word.to_string()).collect()),
        Shape::YesNo => Some(vec!["yes".into(), "no".into()]),
        Shape::Reference(tables) => Some(names(tables)),
        Shape::Text if field.key == "like" => sheet.table.shelf.map(|_| {
            let parts = shelf().iter().filter(|part| part.table.key == sheet.table.key);
            parts.map(|part| part.name.to_string()).collect()
        }),
        _ => None,
    };
    let name = format!("f.{key}");
    let described = format!("h{id}");
    let invalid = bad.then_some("true");
    let Some(mut choices) = choices else {
        let mode = match field.shape {
            Shape::Count | Shape::Money => Some("decimal"),
            _ => None,
        };
        return html! {
            input id=(id) name=(name) type="text" value=(now) inputmode=[mode] aria-describedby=(described) aria-invalid=[invalid];
        };
    };
    if field.key != "like" {
        choices.push("unknown".into());
    }
    // Yes may be written in several ways; whatever stands in the file can be chosen again.
    if !now.is_empty() && !choices.iter().any(|choice| choice == now) {
        choices.insert(0, now.to_string());
    }
    html! {
        select id=(id) name=(name) aria-describedby=(described) aria-invalid=[invalid] {
            option value="" selected[now.is_empty()] { "—" }
            @for choice in &choices { option value=(choice) selected[choice == now] { (choice) } }
        }
    }
}
