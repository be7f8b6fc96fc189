//! Edits. Each is a form of one of our own pages; the guard has seen its token.

use super::ask::whole_page;
use super::{At, Pairs, at_work};
use crate::Bench;
use crate::workbook::{KeepError, Workbook};
use axum::Form;
use axum::extract::State;
use axum::extract::rejection::FormRejection;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use std::sync::Arc;

type Given = Result<Form<Pairs>, FormRejection>;

pub(super) fn field<'p>(pairs: &'p Pairs, name: &str) -> &'p str {
    pairs.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.as_str())
}

/// A form that none of our pages has made.
fn no_such_deed() -> KeepError {
    KeepError::NotPossible("there is no such thing to do".into())
}

/// The page an edit was asked for from.
fn from(pairs: &Pairs) -> u8 {
    field(pairs, "from").parse().ok().filter(|n| (1..=10).contains(n)).unwrap_or(5)
}

/// Makes an edit; back to its page when it was written, the page with the reason when it was not.
async fn edited(
    bench: Arc<Bench>,
    given: Given,
    edit: impl FnOnce(&Workbook, &Pairs) -> Result<(), KeepError> + Send + 'static,
) -> Response {
    let pairs = match given {
        Ok(Form(pairs)) => pairs,
        Err(refused) => return (refused.status(), "This form cannot be read.").into_response(),
    };
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let number = from(&pairs);
    let made = at_work(move || {
        let refused = edit(&book, &pairs).err()?;
        // What was asked for stays on the page, against the file as it is now.
        let tried = book.try_out(&pairs);
        Some(whole_page(&bench, &book, number, &tried, "", Some(&refused)).unwrap_or_default())
    });
    match made.await {
        Ok(None) => Redirect::to(&format!("/{number}")).into_response(),
        Ok(Some(page)) => (StatusCode::CONFLICT, Html(page)).into_response(),
        Err(status) => status.into_response(),
    }
}

pub(super) async fn keep(State(bench): At, given: Given) -> Response {
    edited(bench, given, |book, pairs| {
        let page = field(pairs, "hash").parse().ok();
        book.keep(pairs, page)
    })
    .await
}

pub(super) async fn turn(State(bench): At, given: Given) -> Response {
    edited(bench, given, |book, pairs| book.turn_back(field(pairs, "what") != "again")).await
}

pub(super) async fn remedy(State(bench): At, given: Given) -> Response {
    edited(bench, given, |book, pairs| {
        book.take_remedy(field(pairs, "code"), field(pairs, "place"), field(pairs, "says"))
    })
    .await
}

pub(super) async fn pin(State(bench): At, given: Given) -> Response {
    edited(bench, given, |book, pairs| {
        match field(pairs, "what") {
            "in" => book.pin(true),
            "out" => book.pin(false),
            _ => return Err(no_such_deed()),
        }
        Ok(())
    })
    .await
}

pub(super) async fn search(State(bench): At, given: Given) -> Response {
    let book = bench.workbook();
    edited(bench, given, move |open, pairs| {
        match (field(pairs, "what"), book) {
            ("stop", _) => open.stop_search(),
            ("", Some(book)) => book.search(),
            ("", None) => {}
            _ => return Err(no_such_deed()),
        }
        Ok(())
    })
    .await
}

pub(super) async fn take_system(State(bench): At, given: Given) -> Response {
    edited(bench, given, |book, pairs| {
        let named = field(pairs, "system");
        match named.parse() {
            Ok(system) => book.take_system(Some(system)),
            Err(_) if named.is_empty() => book.take_system(None),
            Err(_) => Err(KeepError::NotPossible("there is no system of that number".into())),
        }
    })
    .await
}
