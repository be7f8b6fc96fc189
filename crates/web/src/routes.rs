//! Addresses of the workbook.
//!
//! Every page is whole and works without scripts. A script asks for the same addresses with the header `x-part` and puts
//! the parts it gets in place of those shown: `answer` leaves out what one more step would bring, `steps` is only that.

use crate::events::Turns;
use crate::guard::{guard, same_token};
use crate::page::{self, Asked};
use crate::workbook::{KeepError, Tried, Workbook};
use axum::extract::rejection::{FormRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::sse::{KeepAlive, Sse};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use std::sync::Arc;

type Pairs = Vec<(String, String)>;
type Book = State<Arc<Workbook>>;

/// The most bytes a form may have; ours have a few hundred.
const FORM_LIMIT: usize = 64 * 1024;

#[derive(rust_embed::RustEmbed)]
#[folder = "assets"]
struct Assets;

/// All pages over a workbook.
pub fn app(workbook: Arc<Workbook>) -> Router {
    Router::new()
        .route("/", get(|| async { Redirect::to("/5") }))
        .route("/{question}", get(question))
        .route("/why/{*figure}", get(why))
        .route("/keep", post(keep))
        .route("/events", get(events))
        .route("/assets/page.css", get(style))
        .route("/assets/page.js", get(script))
        .fallback(|| async { (StatusCode::NOT_FOUND, "There is no such page in this workbook.") })
        .layer(DefaultBodyLimit::max(FORM_LIMIT))
        .layer(from_fn_with_state(workbook.clone(), guard))
        .with_state(workbook)
}

/// Work that takes longer than a moment does not hold up other requests.
async fn at_work<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, StatusCode> {
    tokio::task::spawn_blocking(work).await.map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)
}

fn pairs(query: Result<Query<Pairs>, QueryRejection>) -> Pairs {
    query.map(|Query(pairs)| pairs).unwrap_or_default()
}

fn part(headers: &HeaderMap) -> &str {
    headers.get("x-part").and_then(|part| part.to_str().ok()).unwrap_or("")
}

async fn question(
    State(workbook): Book,
    Path(number): Path<String>,
    query: Result<Query<Pairs>, QueryRejection>,
    headers: HeaderMap,
) -> Response {
    let Some(number) = number.parse::<u8>().ok().filter(|n| (1..=10).contains(n)) else {
        return (StatusCode::NOT_FOUND, "There is no such page in this workbook.").into_response();
    };
    let (pairs, part) = (pairs(query), part(&headers).to_string());
    let made = at_work(move || {
        let tried = workbook.try_out(&pairs);
        whole_page(&workbook, number, &tried, &part, None)
    });
    match made.await {
        Ok(Some(page)) => Html(page).into_response(),
        // A newer request made this one needless.
        Ok(None) => StatusCode::NO_CONTENT.into_response(),
        Err(status) => status.into_response(),
    }
}

fn whole_page(
    workbook: &Workbook,
    number: u8,
    tried: &Tried,
    part: &str,
    refused: Option<&KeepError>,
) -> Option<String> {
    let steps = match (number, part) {
        (5, "steps") => Some(workbook.steps(tried, false)?),
        (5, "answer") => None,
        (5, _) => workbook.steps(tried, true),
        _ => None,
    };
    let asked = Asked { workbook, tried, number, steps: steps.as_deref(), refused };
    Some(if part == "steps" { page::only_steps(&asked) } else { page::whole(&asked) })
}

async fn why(
    State(workbook): Book,
    Path(figure): Path<String>,
    query: Result<Query<Pairs>, QueryRejection>,
    headers: HeaderMap,
) -> Response {
    let (pairs, alone) = (pairs(query), !part(&headers).is_empty());
    let made = at_work(move || {
        let tried = workbook.try_out(&pairs);
        page::why(&workbook, &tried, &figure, alone)
    });
    match made.await {
        Ok(Some(page)) => Html(page).into_response(),
        Ok(None) => (StatusCode::NOT_FOUND, "This design has no figure of that name.").into_response(),
        Err(status) => status.into_response(),
    }
}

async fn keep(State(workbook): Book, form: Result<Form<Pairs>, FormRejection>) -> Response {
    let pairs = match form {
        Ok(Form(pairs)) => pairs,
        Err(refused) => return (refused.status(), "This form cannot be read.").into_response(),
    };
    let field = |name: &str| pairs.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str());
    if !field("token").is_some_and(|token| same_token(token, workbook.token())) {
        let says =
            "This page is from an earlier run of the workbook. Nothing was written; load the page again.";
        return (StatusCode::FORBIDDEN, says).into_response();
    }
    let page_hash = field("hash").and_then(|hash| hash.parse().ok());
    let made = at_work(move || match workbook.keep(&pairs, page_hash) {
        Ok(()) => None,
        Err(refused) => {
            // What was asked for stays on the page, against the file as it is now.
            let tried = workbook.try_out(&pairs);
            Some(whole_page(&workbook, 5, &tried, "", Some(&refused)).unwrap_or_default())
        }
    });
    match made.await {
        Ok(None) => Redirect::to("/5").into_response(),
        Ok(Some(page)) => (StatusCode::CONFLICT, Html(page)).into_response(),
        Err(status) => status.into_response(),
    }
}

async fn events(State(workbook): Book) -> Response {
    Sse::new(Turns(workbook.listen())).keep_alive(KeepAlive::default()).into_response()
}

async fn style() -> Response {
    let own = Assets::get("page.css").map(|file| String::from_utf8_lossy(&file.data).into_owned());
    asset("text/css; charset=utf-8", page::style(&own.unwrap_or_default()))
}

async fn script() -> Response {
    let own = Assets::get("page.js").map(|file| String::from_utf8_lossy(&file.data).into_owned());
    asset("text/javascript; charset=utf-8", own.unwrap_or_default())
}

fn asset(kind: &'static str, text: String) -> Response {
    // Short enough that a new version of the program shows itself, long enough for one sitting.
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "private, max-age=60")], text).into_response()
}
