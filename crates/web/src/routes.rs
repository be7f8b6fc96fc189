//! Addresses of the workbook.
//!
//! Every page is whole and works without scripts. A script asks for the same addresses with the header `x-part` and puts
//! the parts it gets in place of those shown: `answer` leaves out what takes its time, `steps` is only what one more step
//! would bring, and so on for each part that comes later.

mod ask;
mod begin;
mod deeds;
mod devices;
mod files;
mod things;

use crate::Bench;
use crate::events::Turns;
use crate::guard::guard;
use crate::page;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::sse::{KeepAlive, Sse};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use std::sync::Arc;
use tower_http::compression::CompressionLayer;

pub(crate) type Pairs = Vec<(String, String)>;
pub(crate) type At = State<Arc<Bench>>;

const NO_PAGE: &str = "There is no such page in this workbook.";

#[derive(rust_embed::RustEmbed)]
#[folder = "assets"]
struct Assets;

/// All pages over a bench.
pub fn app(bench: Arc<Bench>) -> Router {
    Router::new()
        .route("/", get(door))
        .route("/{question}", get(ask::question))
        .route("/why/{*figure}", get(ask::why))
        .route("/keep", post(deeds::keep))
        .route("/turn", post(deeds::turn))
        .route("/remedy", post(deeds::remedy))
        .route("/edit", get(things::design).post(things::write_design))
        .route("/edit/{*path}", get(things::thing).post(things::write))
        .route("/add/{table}", get(things::another).post(things::begin))
        .route("/pin", post(deeds::pin))
        .route("/search", post(deeds::search))
        .route("/take", post(deeds::take_system))
        .route("/begin", get(begin::start).post(begin::begin))
        .route("/open", post(begin::open))
        .route("/files", get(files::files))
        .route("/copy", post(files::copy))
        .route("/compare", get(files::compare))
        .route("/export/{name}", get(files::export))
        .route("/devices", get(devices::list).post(devices::away))
        .route("/pair/{code}", get(devices::ask).post(devices::pair))
        .route("/events", get(events))
        .route("/assets/page.css", get(style))
        .route("/assets/page.js", get(|| script("page.js")))
        .route("/assets/skyline.js", get(|| script("skyline.js")))
        .fallback(|State(bench): At| async move { no_page(&bench) })
        // Streams of events are left as they are. What an attacker could learn from the length of a page would need a page
        // of theirs that can send requests and see lengths: the guard answers neither of them.
        .layer(CompressionLayer::new())
        .layer(from_fn_with_state(bench.clone(), guard))
        .with_state(bench)
}

/// The answer where there is no page.
fn no_page(bench: &Bench) -> Response {
    (StatusCode::NOT_FOUND, Html(page::not_here(bench, NO_PAGE))).into_response()
}

/// Work that takes longer than a moment does not hold up other requests.
pub(crate) async fn at_work<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, StatusCode> {
    tokio::task::spawn_blocking(work).await.map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)
}

/// To the year of the design that is open, or to the choice of one.
async fn door(State(bench): At) -> Redirect {
    Redirect::to(if bench.workbook().is_some() { "/5" } else { "/begin" })
}

async fn events(State(bench): At) -> Response {
    let Some(book) = bench.workbook() else { return StatusCode::NO_CONTENT.into_response() };
    match book.listen() {
        // Listened first and asked then, so that no turn falls between.
        Some(told) => {
            Sse::new(Turns::new(book.sheet().turn, told)).keep_alive(KeepAlive::default()).into_response()
        }
        None => {
            (StatusCode::SERVICE_UNAVAILABLE, "Too many pages of this workbook are open.").into_response()
        }
    }
}

async fn style() -> Response {
    let own = Assets::get("page.css").map(|file| String::from_utf8_lossy(&file.data).into_owned());
    asset("text/css; charset=utf-8", page::style(&own.unwrap_or_default()))
}

async fn script(name: &'static str) -> Response {
    let own = Assets::get(name).map(|file| String::from_utf8_lossy(&file.data).into_owned());
    asset("text/javascript; charset=utf-8", own.unwrap_or_default())
}

fn asset(kind: &'static str, text: String) -> Response {
    // Short enough that a new version of the program shows itself, long enough for one sitting.
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "private, max-age=60")], text).into_response()
}
