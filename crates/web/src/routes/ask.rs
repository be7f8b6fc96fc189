//! Pages that are only looked at.

use super::{At, Pairs, at_work, no_page};
use crate::Bench;
use crate::page::{self, Asked};
use crate::workbook::{KeepError, Tried, Workbook};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderName, StatusCode};
use axum::response::{Html, IntoResponse, Redirect, Response};
use std::time::{Duration, Instant};

pub(super) fn pairs(query: Result<Query<Pairs>, QueryRejection>) -> Pairs {
    query.map(|Query(pairs)| pairs).unwrap_or_default()
}

pub(super) fn part(headers: &HeaderMap) -> &str {
    headers.get("x-part").and_then(|part| part.to_str().ok()).unwrap_or("")
}

pub(super) async fn question(
    State(bench): At,
    Path(number): Path<String>,
    query: Result<Query<Pairs>, QueryRejection>,
    headers: HeaderMap,
) -> Response {
    let Some(number) = number.parse::<u8>().ok().filter(|n| (1..=10).contains(n)) else {
        return no_page(&bench);
    };
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let (pairs, mut part) = (pairs(query), part(&headers).to_string());
    if part.is_empty() && pairs.iter().any(|(name, _)| name == "steps") {
        part = "with-steps".into();
    }
    let made = at_work(move || {
        let begun = Instant::now();
        let aside = part == "steps" || page::Later::of(&part).is_some();
        let tried = if aside { book.glance(&pairs) } else { book.try_out(&pairs) };
        let studied = Instant::now();
        let page = whole_page(&bench, &book, number, &tried, &part, None);
        page.map(|page| (page, timing(studied - begun, studied.elapsed())))
    });
    match made.await {
        Ok(Some((page, timing))) => ([timing], Html(page)).into_response(),
        // A newer request made this one needless.
        Ok(None) => StatusCode::NO_CONTENT.into_response(),
        Err(status) => status.into_response(),
    }
}

/// How long the study and the writing of the page took, as browsers read it (W3C Server Timing).
fn timing(study: Duration, page: Duration) -> (HeaderName, String) {
    let ms = |time: Duration| time.as_secs_f64() * 1e3;
    (
        HeaderName::from_static("server-timing"),
        format!("study;dur={:.1}, page;dur={:.1}", ms(study), ms(page)),
    )
}

pub(super) fn whole_page(
    bench: &Bench,
    workbook: &Workbook,
    number: u8,
    tried: &Tried,
    part: &str,
    refused: Option<&KeepError>,
) -> Option<String> {
    // What one more step would bring costs a study each. A script asks for it once the page is there; without scripts a link does.
    let steps = match (number, part) {
        (5 | 7, "steps") => Some(workbook.steps(tried, number, false)?),
        (5 | 7, "with-steps") => workbook.steps(tried, number, true),
        _ => None,
    };
    let alone = page::Later::of(part);
    let named =
        || tried.asked.iter().find(|(name, _)| name == "later").and_then(|(_, key)| page::Later::of(key));
    let later = alone.or_else(|| named().filter(|_| part != "answer"));
    let asked = Asked { bench, workbook, tried, number, steps: steps.as_deref(), later, refused };
    Some(match part {
        "steps" => page::only_steps(&asked),
        _ => alone.map_or_else(|| page::whole(&asked), |later| page::only_later(&asked, later)),
    })
}

pub(super) async fn why(
    State(bench): At,
    Path(figure): Path<String>,
    query: Result<Query<Pairs>, QueryRejection>,
    headers: HeaderMap,
) -> Response {
    let Some(book) = bench.workbook() else { return Redirect::to("/").into_response() };
    let (pairs, alone, at) = (pairs(query), !part(&headers).is_empty(), bench.clone());
    let made = at_work(move || {
        let tried = book.glance(&pairs);
        page::why(&bench, &book, &tried, &figure, alone)
    });
    match made.await {
        Ok(Some(page)) => Html(page).into_response(),
        Ok(None) => {
            (StatusCode::NOT_FOUND, Html(page::not_here(&at, "This design has no figure of that name.")))
                .into_response()
        }
        Err(status) => status.into_response(),
    }
}
