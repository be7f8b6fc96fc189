//! Forms of things: shown, checked, written.

use super::deeds::field;
use super::{At, Pairs, at_work, no_page};
use crate::Bench;
use crate::page::{self, Asked, FormSheet};
use crate::workbook::{Clash, KeepError, Made, Then, Typed, Workbook, begun, form_written, table_of_path};
use axum::Form;
use axum::extract::rejection::{FormRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use design::catalogue::{TABLES, Table};
use design::edit;
use door::FileHash;
use std::sync::Arc;

type Given = Result<Form<Pairs>, FormRejection>;
type Asking = Result<Query<Pairs>, QueryRejection>;

fn from(pairs: &Pairs, table: &Table) -> u8 {
    field(pairs, "from").parse().ok().filter(|n| (1..=10).contains(n)).unwrap_or(table.question)
}

/// Makes the page of a form.
fn made(
    bench: &Bench,
    book: &Workbook,
    table: &'static Table,
    path: Option<&str>,
    typed: &Pairs,
    refused: Option<&KeepError>,
    from: u8,
) -> Option<String> {
    let tried = book.glance(&[]);
    let asked =
        Asked { bench, workbook: book, tried: &tried, number: from, steps: None, later: None, refused: None };
    page::thing(&FormSheet { asked: &asked, table, path, typed, refused, from })
}

async fn shown(bench: Arc<Bench>, table: &'static Table, path: Option<String>, query: Asking) -> Response {
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let from = from(&super::ask::pairs(query), table);
    let page = at_work(move || made(&bench, &book, table, path.as_deref(), &Pairs::new(), None, from)).await;
    match page {
        Ok(Some(page)) => Html(page).into_response(),
        Ok(None) => (StatusCode::NOT_FOUND, "The design has no such thing any more.").into_response(),
        Err(status) => status.into_response(),
    }
}

pub(super) async fn design(state: At, query: Asking) -> Response {
    thing(state, Path(String::new()), query).await
}

pub(super) async fn thing(State(bench): At, Path(path): Path<String>, query: Asking) -> Response {
    let Some(table) = table_of_path(&path) else { return no_page(&bench) };
    shown(bench, table, Some(path), query).await
}

pub(super) async fn another(State(bench): At, Path(key): Path<String>, query: Asking) -> Response {
    let Some(table) = TABLES.iter().find(|table| table.key == key && !key.is_empty()) else {
        return no_page(&bench);
    };
    shown(bench, table, None, query).await
}

/// What a form says of its fields.
fn typed_of(pairs: &Pairs) -> Vec<Typed> {
    pairs
        .iter()
        .filter_map(|(name, now)| {
            let key = name.strip_prefix("f.")?.to_string();
            let was = field(pairs, &format!("was.{key}")).to_string();
            Some(Typed { key, now: now.clone(), was })
        })
        .collect()
}

pub(super) async fn write_design(state: At, query: Asking, given: Given) -> Response {
    write(state, Path(String::new()), query, given).await
}

pub(super) async fn write(
    State(bench): At,
    Path(path): Path<String>,
    query: Asking,
    given: Given,
) -> Response {
    let Some(table) = table_of_path(&path) else { return no_page(&bench) };
    posted(bench, table, Some(path), query, given).await
}

pub(super) async fn begin(
    State(bench): At,
    Path(key): Path<String>,
    query: Asking,
    given: Given,
) -> Response {
    let Some(table) = TABLES.iter().find(|table| table.key == key && !key.is_empty()) else {
        return no_page(&bench);
    };
    posted(bench, table, None, query, given).await
}

/// Where a written form leads.
enum Outcome {
    /// To another address.
    On(String),
    /// It stays, with what was refused of it; whether anything was.
    Stays(Option<String>, bool),
}

async fn posted(
    bench: Arc<Bench>,
    table: &'static Table,
    path: Option<String>,
    query: Asking,
    given: Given,
) -> Response {
    let pairs = match given {
        Ok(Form(pairs)) => pairs,
        Err(refused) => return (refused.status(), "This form cannot be read.").into_response(),
    };
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let from = from(&super::ask::pairs(query), table);
    let outcome = at_work(move || {
        let typed = typed_of(&pairs);
        let deed = field(&pairs, "do");
        let only_checked = deed == "check";
        let done = match (&path, only_checked) {
            (Some(path), true) => {
                check(&book, |text| form_written(text, path, table, &typed, &Then::Nothing))
            }
            (None, true) => check(&book, |text| begun(text, table, field(&pairs, "f.name"), &typed)),
            (Some(path), false) => changed(&book, table, path, &typed, &pairs, deed, from),
            (None, false) => {
                let name = field(&pairs, "f.name");
                let typed: Vec<Typed> = typed.iter().filter(|one| one.key != "name").cloned().collect();
                book.write(|stored, _| begun(&stored.design().text, table, name, &typed).map(Some))
                    .map(|()| format!("/{from}#things-head"))
            }
        };
        let refused = match done {
            Ok(address) if !only_checked => return Outcome::On(address),
            Ok(_) => None,
            Err(refused) => Some(refused),
        };
        let now: Pairs = typed.iter().map(|one| (one.key.clone(), one.now.clone())).collect();
        let bad = refused.is_some() && !only_checked;
        Outcome::Stays(made(&bench, &book, table, path.as_deref(), &now, refused.as_ref(), from), bad)
    });
    match outcome.await {
        Ok(Outcome::On(address)) => Redirect::to(&address).into_response(),
        Ok(Outcome::Stays(Some(page), bad)) => {
            let status = if bad { StatusCode::CONFLICT } else { StatusCode::OK };
            (status, Html(page)).into_response()
        }
        Ok(Outcome::Stays(None, _)) => {
            let gone = "The design has no such thing any more. Nothing was written.";
            (StatusCode::CONFLICT, gone).into_response()
        }
        Err(status) => status.into_response(),
    }
}

/// Whether a form could be written, without writing it.
fn check(book: &Workbook, make: impl Fn(&str) -> Result<Made, KeepError>) -> Result<String, KeepError> {
    make(&book.sheet().stored.design().text).map(|_| String::new())
}

/// Writes a form of a thing that is there; gives the address to go on at.
fn changed(
    book: &Workbook,
    table: &'static Table,
    path: &str,
    typed: &[Typed],
    pairs: &Pairs,
    deed: &str,
    from: u8,
) -> Result<String, KeepError> {
    let (fields, names): (Vec<Typed>, Vec<Typed>) = typed.iter().cloned().partition(|one| one.key != "name");
    let renamed = names.first().filter(|name| name.now.trim() != name.was && !name.was.is_empty());
    let page = format!("/{from}#things-head");
    let stay = page::edit_address(path, from);
    let bad_name = |error: edit::EditError| match error {
        edit::EditError::BadName { .. } => KeepError::Typed(vec![crate::Fault {
            key: if deed == "thing-double" { "copy".into() } else { "name".into() },
            says: error.to_string(),
            help: String::new(),
        }]),
        other => KeepError::NotPossible(other.to_string()),
    };
    let (word, key) = deed.split_once(' ').unwrap_or((deed, ""));
    let then = match word {
        "append" => Then::Append(key.into()),
        "remove" => Then::Remove(key.into()),
        "up" => Then::Up(key.into()),
        "down" => Then::Down(key.into()),
        "" | "save" | "thing-up" | "thing-down" | "thing-double" | "thing-out" => Then::Nothing,
        _ => return Err(KeepError::NotPossible("there is no such thing to do".into())),
    };
    let whole = |text: &str| -> Result<Option<String>, KeepError> {
        let done = match word {
            "thing-up" => edit::shift(text, path, true),
            "thing-down" => edit::shift(text, path, false),
            "thing-double" => edit::duplicate(text, path, field(pairs, "copy")),
            "thing-out" => edit::remove(text, path),
            _ => return Ok(None),
        };
        done.map(Some).map_err(|error| match error {
            edit::EditError::DidNotApply { .. } if word.starts_with("thing-") && word != "thing-out" => {
                KeepError::NotPossible(
                    "there is no place further that way, or the thing cannot be moved as it is written"
                        .into(),
                )
            }
            other => bad_name(other),
        })
    };
    book.write(|stored, _| {
        let text = &stored.design().text;
        if word == "thing-out" {
            let source = edit::source(text, path).unwrap_or_default();
            if field(pairs, "seen") != FileHash::of(source.as_bytes()).to_string() && !source.is_empty() {
                return Err(KeepError::Clash(vec![Clash {
                    label: path.to_string(),
                    was: "as this page had read it".into(),
                    theirs: Some("changed since".into()),
                    ours: "taken out".into(),
                }]));
            }
        }
        let mut made = form_written(text, path, table, &fields, &then)?;
        if let Some(name) = renamed {
            made.text =
                edit::rename(&made.text, table.key, &name.was, &name.now, TABLES).map_err(bad_name)?;
        } else if let Some(done) = whole(&made.text)? {
            made.text = done;
        }
        Ok(Some(made))
    })?;
    Ok(if then == Then::Nothing { page } else { stay })
}
