//! What a request must show before it is answered, and what every answer carries.
//!
//! The workbook listens on the loopback interface, but any page open in the same browser can send requests there. A page
//! of another site that points its own name at this computer is refused by the host it names; one that posts a form is
//! refused by its origin and by the token that only our own pages carry. Whoever comes over the house network shows the
//! token of a device that was let in. SECURITY.md has the whole of it.

mod devices;
mod token;

pub(crate) use devices::Devices;
pub(crate) use token::{same as same_token, token};

use crate::Bench;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

/// Everything from here, nothing inline, no frame around it.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const ALWAYS: [(HeaderName, &str); 7] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    // Not "no-referrer": browsers then send an empty origin with our own forms.
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), microphone=(), geolocation=()"),
];

/// The most bytes a form may have; ours have a few thousand.
const FORM_LIMIT: usize = 64 * 1024;
/// How long a form may take to arrive.
const FORM_TIME: Duration = Duration::from_secs(10);
/// Cookie of a device that was let in.
pub(crate) const COOKIE: &str = "wattwright-device";

pub(crate) async fn guard(State(bench): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let mut response = match passed(&bench, request).await {
        Ok(request) => next.run(request).await,
        Err(refused) => refused.into_response(),
    };
    for (name, value) in ALWAYS {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response.headers_mut().entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

type Refusal = (StatusCode, &'static str);

async fn passed(bench: &Bench, request: Request) -> Result<Request, Refusal> {
    let forbidden = |says| (StatusCode::FORBIDDEN, says);
    let peer = request.extensions().get::<ConnectInfo<SocketAddr>>().map(|ConnectInfo(peer)| peer.ip());
    let Some(peer) = peer else { return Err(forbidden("It cannot be told where this request comes from.")) };
    let here = peer.is_loopback();
    let hosts = bench.hosts(here);
    let (method, path) = (request.method().clone(), request.uri().path().to_string());
    if let Some(says) = refusal(&method, request.headers(), request.uri().host(), &hosts) {
        return Err(forbidden(says));
    }
    let at_the_door = path.starts_with("/pair") || path.starts_with("/assets/");
    if !here {
        if !bench.is_shared() {
            return Err(forbidden("This workbook is not shared on the house network."));
        }
        if !at_the_door && !cookie(request.headers()).is_some_and(|token| bench.devices().knows(token)) {
            return Err(forbidden(
                "This device has not been let in. Scan the code that the workbook shows under \"devices\" on its computer.",
            ));
        }
        // Who may come, and which files are opened, is decided at the computer itself.
        if ["/devices", "/begin", "/open"].iter().any(|own| path.starts_with(own)) {
            return Err(forbidden("This is done at the computer on which the workbook runs."));
        }
    }
    if method == Method::GET || method == Method::HEAD {
        return Ok(request);
    }
    let (parts, body) = request.into_parts();
    let late = (StatusCode::REQUEST_TIMEOUT, "The form took too long to arrive. Nothing was written.");
    let large = (
        StatusCode::PAYLOAD_TOO_LARGE,
        "This form is larger than any of this workbook. Nothing was written.",
    );
    let bytes = match tokio::time::timeout(FORM_TIME, to_bytes(body, FORM_LIMIT)).await {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(_)) => return Err(large),
        Err(_) => return Err(late),
    };
    // A device that is not yet let in has no page of ours; it shows the pairing code instead.
    if !at_the_door && !carries_token(&bytes, bench.token()) {
        return Err(forbidden(
            "This page is from an earlier run of the workbook. Nothing was written; load the page again.",
        ));
    }
    Ok(Request::from_parts(parts, Body::from(bytes)))
}

/// Whether a form carries the token of our own pages, which is hexadecimal and so is never written otherwise.
fn carries_token(form: &Bytes, token: &str) -> bool {
    let text = String::from_utf8_lossy(form);
    let mut shown = text.split('&').filter_map(|pair| pair.strip_prefix("token="));
    shown.next().is_some_and(|shown| same_token(shown, token))
}

fn cookie(headers: &HeaderMap) -> Option<&str> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    cookies
        .flat_map(|line| line.split(';'))
        .find_map(|one| one.trim().strip_prefix(COOKIE)?.strip_prefix('='))
}

fn refusal(
    method: &Method,
    headers: &HeaderMap,
    uri_host: Option<&str>,
    ours: &[String],
) -> Option<&'static str> {
    let text = |name: &HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let is_ours = |host: &str| ours.iter().any(|our| our.eq_ignore_ascii_case(host));
    if !text(&header::HOST).or(uri_host).is_some_and(is_ours) {
        return Some("This workbook answers only to its own address.");
    }
    if *method == Method::GET || *method == Method::HEAD {
        return None;
    }
    let own_origin = match text(&header::ORIGIN) {
        Some(origin) => origin.strip_prefix("http://").is_some_and(is_ours),
        // Programs that are no browsers send none; they still need the token.
        None => headers.get(header::ORIGIN).is_none(),
    };
    let own_site = headers.get("sec-fetch-site").is_none_or(|site| site == "same-origin" || site == "none");
    (!own_origin || !own_site).then_some("Edits are taken from this workbook's own pages only.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(of: &[(&'static str, &'static str)]) -> HeaderMap {
        of.iter()
            .map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_static(value)))
            .collect()
    }

    fn ours() -> Vec<String> {
        ["127.0.0.1:4000", "localhost:4000", "[::1]:4000"].map(str::to_string).to_vec()
    }

    #[test]
    fn a_host_that_is_not_ours_is_refused_whatever_it_resolves_to() {
        for (host, refused) in [
            ("127.0.0.1:4000", false),
            ("localhost:4000", false),
            ("LOCALHOST:4000", false),
            ("127.0.0.1:4001", true),
            ("127.0.0.1", true),
            ("house.example:4000", true),
            ("localhost:4000.house.example", true),
        ] {
            let said = refusal(&Method::GET, &headers(&[("host", host)]), None, &ours());
            assert_eq!(said.is_some(), refused, "{host}");
        }
        assert!(refusal(&Method::GET, &HeaderMap::new(), None, &ours()).is_some(), "no host at all");
    }

    #[test]
    fn posts_come_from_our_own_pages() {
        let post = |more: &[(&'static str, &'static str)]| {
            let mut all = headers(more);
            all.insert(header::HOST, HeaderValue::from_static("127.0.0.1:4000"));
            refusal(&Method::POST, &all, None, &ours()).is_some()
        };
        assert!(!post(&[("origin", "http://127.0.0.1:4000"), ("sec-fetch-site", "same-origin")]));
        assert!(!post(&[]));
        assert!(post(&[("origin", "http://house.example")]));
        assert!(post(&[("origin", "null")]));
        assert!(post(&[("sec-fetch-site", "cross-site")]));
        assert!(post(&[("sec-fetch-site", "same-site")]));
    }

    #[test]
    fn the_token_stands_as_a_field_of_its_own() {
        let carries = |form: &str| carries_token(&Bytes::from(form.to_string()), "ab12");
        assert!(carries("token=ab12&x=1") && carries("x=1&token=ab12"));
        for form in
            ["", "token=", "token=ab1", "token=ab123", "x=token=ab12", "mytoken=ab12", "token=0&token=ab12"]
        {
            assert!(!carries(form), "{form}");
        }
    }

    #[test]
    fn the_cookie_of_a_device_is_found_among_others() {
        assert_eq!(cookie(&headers(&[("cookie", "a=b; wattwright-device=ff; c=d")])), Some("ff"));
        assert_eq!(cookie(&headers(&[("cookie", "xwattwright-device=ff")])), None);
        assert_eq!(cookie(&HeaderMap::new()), None);
    }
}
