//! Copies, comparisons and exports of the design that is open.

use super::ask::pairs;
use super::deeds::field;
use super::{At, Pairs, at_work};
use crate::page::{self, Asked, FilesShown};
use crate::workbook::{Workbook, differences};
use crate::{Bench, WebError};
use axum::Form;
use axum::extract::rejection::{FormRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use output::table::Table;
use output::{book, sheets};
use quantity::Units;
use std::sync::Arc;
use typeset::Paper;

fn made(bench: &Bench, book: &Workbook, shown: &FilesShown<'_>) -> String {
    let tried = book.glance(&[]);
    let asked =
        Asked { bench, workbook: book, tried: &tried, number: 0, steps: None, later: None, refused: None };
    page::files(&asked, shown)
}

async fn page_of(
    bench: Arc<Bench>,
    work: impl FnOnce(&Bench, &Workbook) -> (StatusCode, String) + Send + 'static,
) -> Response {
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    match at_work(move || work(&bench, &book)).await {
        Ok((status, page)) => (status, Html(page)).into_response(),
        Err(status) => status.into_response(),
    }
}

pub(super) async fn files(State(bench): At) -> Response {
    page_of(bench, |bench, book| (StatusCode::OK, made(bench, book, &FilesShown::Nothing))).await
}

pub(super) async fn compare(State(bench): At, query: Result<Query<Pairs>, QueryRejection>) -> Response {
    let pairs = pairs(query);
    page_of(bench, move |bench, book| {
        let name = field(&pairs, "with");
        let beside = bench
            .inside(name)
            .and_then(|path| book.beside(&path).map_err(|error| WebError::from(error).to_string()));
        match beside {
            Ok(beside) => {
                let found = differences(book.sheet().stored.design(), beside.design());
                (StatusCode::OK, made(bench, book, &FilesShown::Beside(name, &beside, found)))
            }
            Err(says) => (StatusCode::CONFLICT, made(bench, book, &FilesShown::Refused(&says))),
        }
    })
    .await
}

pub(super) async fn copy(State(bench): At, given: Result<Form<Pairs>, FormRejection>) -> Response {
    let pairs = match given {
        Ok(Form(pairs)) => pairs,
        Err(refused) => return (refused.status(), "This form cannot be read.").into_response(),
    };
    page_of(bench, move |bench, book| {
        let name = field(&pairs, "name").trim();
        let written = bench.inside(name).and_then(|path| {
            if bench.files().read_design(&path).is_ok() {
                return Err(format!("there is a file {name} already; choose another name"));
            }
            // The very bytes on disk, also when they cannot be read as a design.
            let bytes = bench.files().read_design(book.path()).map_err(|error| error.to_string())?;
            bench.files().write(&path, &bytes).map_err(|error| error.to_string())
        });
        match written {
            Ok(()) => (StatusCode::OK, made(bench, book, &FilesShown::Written(name))),
            Err(says) => (StatusCode::CONFLICT, made(bench, book, &FilesShown::Refused(&says))),
        }
    })
    .await
}

pub(super) async fn export(State(bench): At, Path(name): Path<String>) -> Response {
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let stem = book
        .file_name()
        .trim_end_matches(".toml")
        .replace(|c: char| !c.is_ascii_alphanumeric() && c != '-', "-");
    let asked = name.clone();
    let made = at_work(move || exported(&book, &asked)).await;
    match made {
        Ok(Some((kind, bytes))) => {
            let attached = format!("attachment; filename=\"{stem}-{name}\"");
            ([(header::CONTENT_TYPE, kind.to_string()), (header::CONTENT_DISPOSITION, attached)], bytes)
                .into_response()
        }
        Ok(None) => (StatusCode::NOT_FOUND, "There is nothing of that name to take away.").into_response(),
        Err(status) => status.into_response(),
    }
}

fn exported(book: &Workbook, name: &str) -> Option<(&'static str, Vec<u8>)> {
    let stored = book.sheet().stored;
    let study = book.whole(&stored);
    let table = match name {
        "book.html" => {
            let text = book::html(&book::book(study, &stored.findings));
            return Some(("text/html; charset=utf-8", text.into_bytes()));
        }
        "book.pdf" => {
            let paper = match study.design.system.units {
                Units::Us => Paper::Letter,
                Units::Metric => Paper::A4,
            };
            let book = book::book(study, &stored.findings);
            return Some(("application/pdf", typeset::pdf(&book, paper).ok()?));
        }
        "bill.csv" => sheets::bill(study),
        "circuits.csv" => sheets::circuits(study)?,
        "loads.csv" => sheets::loads(study),
        _ => return None,
    };
    Some(("text/csv; charset=utf-8", separated(&table)?))
}

/// A table as comma-separated values, its heads with their units.
fn separated(table: &Table) -> Option<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let head = |column: &output::table::Column| match column.unit.as_str() {
        "" => column.head.clone(),
        unit => format!("{} ({unit})", column.head),
    };
    writer.write_record(table.columns.iter().map(head)).ok()?;
    for row in &table.rows {
        let mut cells: Vec<String> = row.cells.iter().map(|cell| harmless(&cell.text)).collect();
        cells.resize(table.columns.len(), String::new());
        writer.write_record(cells).ok()?;
    }
    writer.into_inner().ok()
}

/// A name that a spreadsheet would take for a formula is marked as text.
fn harmless(text: &str) -> String {
    let number = text.trim_start_matches(['-', '+']).starts_with(|c: char| c.is_ascii_digit());
    if text.starts_with(['=', '@', '+', '-', '\t']) && !number {
        format!("'{text}")
    } else {
        text.to_string()
    }
}
