//! The owner's guide to the design file, from the catalogue.

use crate::catalogue::{Blank, Field, Form, Shape, Table};
use crate::read::compound::COMPASS;
use crate::read::forms::{fitting_examples, wanted};
use crate::read::interpret::header_of;
use std::fmt::Write as _;

/// `docs/design-file.md`: every table with every field, what may be written, what a blank means and who can tell.
pub fn guide(tables: &[Table]) -> String {
    let mut out = String::from(INTRODUCTION);
    out.push_str("\n## The tables\n\n| table | what it is |\n|---|---|\n");
    for table in tables {
        let _ = writeln!(out, "| [{}](#{}) | {} |", plain_header(table), anchor(table), cell(table.doc));
    }
    for table in tables {
        let _ = write!(out, "\n## {}\n\n{} {}\n", plain_header(table), table.doc, form(table));
        rows(&mut out, table.fields, "");
    }
    out.push_str("\n## A compass bearing\n\nWhere a bearing was read from a compass, write a record:\n");
    rows(&mut out, COMPASS, "");
    out
}

const INTRODUCTION: &str = "# The design file

This page is made from the same catalogue of fields that reads the file; `wattwright schema` prints it as JSON Schema.

A design is one TOML file. Quantities are texts with their unit, in any unit of the right kind: `\"120 ft\"`, `\"36 m\"`.
A field named for its unit, or with one natural unit, takes a bare number. Nothing is guessed: a missing unit is a
problem that shows the accepted forms.

The word `\"unknown\"` may stand for any value; so may leaving it out, where the table says *unknown*. Unknown facts are
listed with who can answer. A default is only ever assumed where no danger hangs on it, and it is listed with its reason.

Things refer to each other by the names you give them. Names within a table differ by more than capital letters.
";

fn form(table: &Table) -> String {
    match table.form {
        _ if table.key.is_empty() => "These keys stand above all headers.".into(),
        Form::One => "Written once at most.".into(),
        Form::Named => {
            let like = match table.shelf {
                Some(_) => {
                    " With `like = \"…\"` a typical part fills what is blank; replace it by the data sheet."
                }
                None => "",
            };
            format!("One for each, the name being yours.{like}")
        }
        Form::List => "One for each, with a `name` of yours.".into(),
        Form::Unnamed => "One for each, in order; they have no names.".into(),
    }
}

/// One table of fields, then those of its records.
fn rows(out: &mut String, fields: &[Field], prefix: &str) {
    out.push_str("\n| field | what may be written | blank means | who can tell | what it is |\n|---|---|---|---|---|\n");
    for field in fields {
        let _ = writeln!(
            out,
            "| `{prefix}{}` | {} | {} | {} | {} |",
            field.key,
            cell(&written(field)),
            cell(&blank(field)),
            cell(field.ask.in_words()),
            cell(&if field.used {
                field.doc.to_string()
            } else {
                format!("{} *Recorded, not yet used.*", field.doc)
            }),
        );
    }
    for field in fields {
        let (inner, many) = match &field.shape {
            Shape::Record(inner) => (inner, ""),
            Shape::Records(inner) => (inner, "Each of "),
            _ => continue,
        };
        let _ = write!(out, "\n{many}`{prefix}{}`:\n", field.key);
        rows(out, inner, &format!("{prefix}{}.", field.key));
    }
}

fn written(field: &Field) -> String {
    let examples: Vec<String> = match &field.shape {
        // The words themselves are all there is to say.
        Shape::Choice(words) => {
            return words.iter().map(|word| format!("`\"{word}\"`")).collect::<Vec<_>>().join(", ");
        }
        Shape::Record(_) | Shape::Text | Shape::YesNo => return wanted(&field.shape),
        _ => fitting_examples(field, "USD").iter().map(|example| format!("`{example}`")).collect(),
    };
    format!("{}: {}", wanted(&field.shape), examples.join(", "))
}

fn blank(field: &Field) -> String {
    match field.blank {
        Blank::Needed => "a problem: it is needed".into(),
        Blank::Asked => "unknown, and asked for".into(),
        Blank::None => "none".into(),
        Blank::Assumed { value, because, moves } => format!("{value}, because {because}; it moves {moves}"),
    }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

fn plain_header(table: &Table) -> String {
    if table.key.is_empty() { "The top of the file".into() } else { format!("`{}`", header_of(table)) }
}

/// The anchor that common Markdown renderers give the heading.
fn anchor(table: &Table) -> String {
    if table.key.is_empty() {
        return "the-top-of-the-file".into();
    }
    let kept = |c: &char| c.is_alphanumeric() || *c == '_' || *c == '-';
    header_of(table).to_lowercase().chars().filter(kept).collect()
}
