//! Letting devices of the house network in, and sending them away.

use super::deeds::field;
use super::{At, Pairs};
use crate::guard::COOKIE;
use crate::page;
use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// How long a device stays let in, in seconds: half a year, unless it is sent away.
const STAYS: u32 = 180 * 86_400;

pub(super) async fn list(State(bench): At) -> Response {
    Html(page::devices(&bench)).into_response()
}

pub(super) async fn away(State(bench): At, given: Result<Form<Pairs>, FormRejection>) -> Response {
    match given.map(|Form(pairs)| field(&pairs, "away").parse()) {
        Ok(Ok(number)) => bench.devices().revoke(number),
        _ => return (StatusCode::CONFLICT, "There is no such device. Nothing was changed.").into_response(),
    };
    Redirect::to("/devices").into_response()
}

pub(super) async fn ask(State(bench): At, Path(code): Path<String>) -> Response {
    let good = bench.devices().is_code(&code);
    let status = if good { StatusCode::OK } else { StatusCode::FORBIDDEN };
    (status, Html(page::pair(&bench, &code, good))).into_response()
}

pub(super) async fn pair(
    State(bench): At,
    Path(code): Path<String>,
    given: Result<Form<Pairs>, FormRejection>,
) -> Response {
    let name = given.map(|Form(pairs)| field(&pairs, "name").to_string()).unwrap_or_default();
    match bench.devices().pair(&code, &name) {
        Some(token) => {
            // Not read by any script, and not sent along from other sites.
            let cookie = format!("{COOKIE}={token}; Path=/; Max-Age={STAYS}; HttpOnly; SameSite=Strict");
            ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response()
        }
        None => (StatusCode::FORBIDDEN, Html(page::pair(&bench, &code, false))).into_response(),
    }
}
