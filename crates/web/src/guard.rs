//! What a request must show before it is answered, and what every answer carries.
//!
//! The workbook listens on the loopback interface, but any page open in the same browser can send requests there. A page
//! of another site that points its own name at this computer is refused by the host it names; one that posts a form is
//! refused by its origin and by the token that only our own pages carry.

use crate::Workbook;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::collections::hash_map::RandomState;
use std::hash::{BuildHasher, Hasher};
use std::sync::Arc;

/// Everything from here, nothing inline, no frame around it.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const ALWAYS: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    // Not "no-referrer": browsers then send an empty origin with our own forms.
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
];

pub(crate) async fn guard(State(workbook): State<Arc<Workbook>>, request: Request, next: Next) -> Response {
    let refused = refusal(request.method(), request.headers(), request.uri().host(), workbook.port());
    let mut response = match refused {
        Some(says) => (StatusCode::FORBIDDEN, says).into_response(),
        None => next.run(request).await,
    };
    for (name, value) in ALWAYS {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response.headers_mut().entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

fn refusal(method: &Method, headers: &HeaderMap, uri_host: Option<&str>, port: u16) -> Option<&'static str> {
    let text = |name: &HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let ours = ["127.0.0.1", "localhost", "[::1]"].map(|host| format!("{host}:{port}"));
    if !text(&header::HOST)
        .or(uri_host)
        .is_some_and(|host| ours.iter().any(|our| our.eq_ignore_ascii_case(host)))
    {
        return Some("This workbook answers only to its own address on this computer.");
    }
    if *method == Method::GET || *method == Method::HEAD {
        return None;
    }
    let own_origin = match text(&header::ORIGIN) {
        Some(origin) => origin
            .strip_prefix("http://")
            .is_some_and(|host| ours.iter().any(|our| our.eq_ignore_ascii_case(host))),
        // Programs that are no browsers send none; they still need the token.
        None => headers.get(header::ORIGIN).is_none(),
    };
    let own_site = headers.get("sec-fetch-site").is_none_or(|site| site == "same-origin" || site == "none");
    (!own_origin || !own_site).then_some("Edits are taken from this workbook's own pages only.")
}

/// A token nobody can guess: two words of the standard library's keyed hash, whose keys come from the system's random
/// source.
pub(crate) fn token() -> String {
    let word = |salt: u64| {
        let mut hasher = RandomState::new().build_hasher();
        hasher.write_u64(salt);
        hasher.finish()
    };
    format!("{:016x}{:016x}", word(1), word(2))
}

/// Compares without telling by its time how much agrees.
pub(crate) fn same_token(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |differs, (a, b)| differs | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(of: &[(&'static str, &'static str)]) -> HeaderMap {
        of.iter()
            .map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_static(value)))
            .collect()
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
            assert_eq!(
                refusal(&Method::GET, &headers(&[("host", host)]), None, 4000).is_some(),
                refused,
                "{host}"
            );
        }
        assert!(refusal(&Method::GET, &HeaderMap::new(), None, 4000).is_some(), "no host at all");
    }

    #[test]
    fn posts_come_from_our_own_pages() {
        let post = |more: &[(&'static str, &'static str)]| {
            let mut all = headers(more);
            all.insert(header::HOST, HeaderValue::from_static("127.0.0.1:4000"));
            refusal(&Method::POST, &all, None, 4000).is_some()
        };
        assert!(!post(&[("origin", "http://127.0.0.1:4000"), ("sec-fetch-site", "same-origin")]));
        assert!(!post(&[]));
        assert!(post(&[("origin", "http://house.example")]));
        assert!(post(&[("origin", "null")]));
        assert!(post(&[("sec-fetch-site", "cross-site")]));
        assert!(post(&[("sec-fetch-site", "same-site")]));
    }

    #[test]
    fn tokens_differ_and_compare_whole() {
        let (a, b) = (token(), token());
        assert_eq!(a.len(), 32);
        assert_ne!(a, b);
        assert!(same_token(&a, &a) && !same_token(&a, &b) && !same_token(&a, &a[..31]));
    }
}
