//! Who is answered, and who is not.
#![allow(clippy::unwrap_used)]

mod house;

use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode, header};
use house::{FARM, House, here, post, request, same};
use std::net::SocketAddr;
use tower::ServiceExt;

#[tokio::test(flavor = "multi_thread")]
async fn a_host_that_is_not_ours_gets_nothing() {
    let house = House::of(FARM);
    let strange =
        Request::builder().uri("/5").header(header::HOST, "house.example").body(Body::empty()).unwrap();
    let (status, page) = house.ask(strange).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    assert!(!page.contains("Hollow Farm"));
}

#[tokio::test(flavor = "multi_thread")]
async fn posts_without_token_or_from_elsewhere_write_nothing() {
    let house = House::of(FARM);
    let good = house.keep_form("/5?batteries=8").await;
    let (status, _) = house.post(&good.replacen("token=", "token=0", 1)).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    let (status, _) = house.post("batteries=8&was-batteries=6").await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    for origin in ["http://house.example", "null", "http://127.0.0.1:4001"] {
        let (status, _) = house.ask(post(origin).body(Body::from(good.clone())).unwrap()).await;
        assert_eq!(status, StatusCode::FORBIDDEN, "{origin}");
    }
    let (status, _) = house.post(&format!("{good}&more={}", "x".repeat(100_000))).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    let (status, _) = house.get("/keep").await;
    assert_eq!(status, StatusCode::METHOD_NOT_ALLOWED);
    let json = request("/keep").method("POST").header(header::CONTENT_TYPE, "application/json");
    let (status, _) = house.ask(json.body(Body::from("{}")).unwrap()).await;
    assert!(status.is_client_error());
    same(&house.text(), FARM);
}

#[tokio::test(flavor = "multi_thread")]
async fn answers_forbid_everything_from_elsewhere() {
    let house = House::of(FARM);
    for path in ["/5", "/assets/page.js", "/assets/page.css", "/nothing"] {
        let reply =
            house.app.clone().oneshot(here(request(path).body(Body::empty()).unwrap())).await.unwrap();
        let policy = reply.headers()[header::CONTENT_SECURITY_POLICY].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{path}");
        assert_eq!(reply.headers()[header::X_FRAME_OPTIONS], "DENY");
    }
}

/// A phone on the house network.
fn from_phone(path: &str, cookie: &str) -> Request<Body> {
    let mut request = Request::builder().uri(path).header(header::HOST, "192.168.7.2:4100");
    if !cookie.is_empty() {
        request = request.header(header::COOKIE, format!("wattwright-device={cookie}"));
    }
    let mut request = request.body(Body::empty()).unwrap();
    request.extensions_mut().insert(ConnectInfo(SocketAddr::from(([192, 168, 7, 30], 50_000))));
    request
}

#[tokio::test(flavor = "multi_thread")]
async fn nobody_on_the_house_network_is_answered_unless_it_is_shared_and_the_device_was_let_in() {
    let alone = House::of(FARM);
    assert_eq!(alone.ask(from_phone("/5", "")).await.0, StatusCode::FORBIDDEN);
    let shared = House::shared(FARM, Some(SocketAddr::from(([192, 168, 7, 2], 4100))));
    for path in ["/5", "/why/year/load", "/events", "/nothing"] {
        for cookie in ["", "00", "ffffffffffffffffffffffffffffffff"] {
            let (status, page) = shared.ask(from_phone(path, cookie)).await;
            assert_eq!(status, StatusCode::FORBIDDEN, "{path} with {cookie}");
            assert!(!page.contains("Hollow Farm"));
        }
    }
    // The computer itself goes on as before, under its own name only.
    assert_eq!(shared.get("/5").await.0, StatusCode::OK);
    let by_name = Request::builder().uri("/5").header(header::HOST, "192.168.7.2:4100");
    assert_eq!(shared.ask(by_name.body(Body::empty()).unwrap()).await.0, StatusCode::FORBIDDEN);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_of_unknown_origin_is_refused() {
    let house = House::of(FARM);
    let request = request("/5").body(Body::empty()).unwrap();
    let reply = house.app.clone().oneshot(request).await.unwrap();
    assert_eq!(reply.status(), StatusCode::FORBIDDEN);
}

#[tokio::test(start_paused = true)]
async fn a_form_that_does_not_end_is_given_up() {
    let house = House::of(FARM);
    let body = Body::from_stream(Endless);
    let (status, _) = house.ask(post("http://127.0.0.1:4000").body(body).unwrap()).await;
    assert_eq!(status, StatusCode::REQUEST_TIMEOUT);
}

/// A body of which nothing ever comes.
struct Endless;

impl futures_core::Stream for Endless {
    type Item = Result<Vec<u8>, std::io::Error>;

    fn poll_next(
        self: std::pin::Pin<&mut Self>,
        _: &mut std::task::Context<'_>,
    ) -> std::task::Poll<Option<Self::Item>> {
        std::task::Poll::Pending
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn tokens_are_in_forms_and_never_in_addresses() {
    let house = House::of(FARM);
    let token = house.bench.token();
    for question in 1..=10 {
        let (_, page) = house.get(&format!("/{question}")).await;
        for address in page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
            assert!(!address.contains(token), "{address}");
        }
    }
}

/// A post from a phone, to be let in.
fn pairing(path: &str) -> Request<Body> {
    let mut request = Request::builder()
        .uri(path)
        .method("POST")
        .header(header::HOST, "192.168.7.2:4100")
        .header(header::ORIGIN, "http://192.168.7.2:4100")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from("name=thumb"))
        .unwrap();
    request.extensions_mut().insert(ConnectInfo(SocketAddr::from(([192, 168, 7, 30], 50_000))));
    request
}

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_comes_in_once_by_the_code_and_is_sent_away_again() {
    let house = House::shared(FARM, Some(SocketAddr::from(([192, 168, 7, 2], 4100))));
    let (_, page) = house.get("/devices").await;
    assert!(page.contains("<svg") && page.contains("Scan this"));
    let address = house.bench.pairing().unwrap();
    let path = address.strip_prefix("http://192.168.7.2:4100").unwrap().to_string();
    // Looking at the page does not use the code up; coming in does.
    assert_eq!(house.ask(from_phone(&path, "")).await.0, StatusCode::OK);
    let reply = house.app.clone().oneshot(pairing(&path)).await.unwrap();
    assert_eq!(reply.status(), StatusCode::SEE_OTHER);
    let cookie = reply.headers()[header::SET_COOKIE].to_str().unwrap().to_string();
    for wanted in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(wanted), "{cookie}");
    }
    assert!(
        !reply.headers()[header::LOCATION].to_str().unwrap().contains(&path[6..]),
        "no secret in addresses"
    );
    let token = cookie.split(['=', ';']).nth(1).unwrap();
    assert_eq!(house.ask(from_phone("/5", token)).await.0, StatusCode::OK);
    assert_eq!(house.ask(pairing(&path)).await.0, StatusCode::FORBIDDEN, "a code works once");
    // Which files are opened, and who comes in, is decided at the computer.
    for own in ["/devices", "/begin", "/open"] {
        assert_eq!(house.ask(from_phone(own, token)).await.0, StatusCode::FORBIDDEN, "{own}");
    }
    let (_, page) = house.get("/devices").await;
    assert!(page.contains("send away thumb"));
    house.send("/devices", &[("away", "1")]).await;
    assert_eq!(house.ask(from_phone("/5", token)).await.0, StatusCode::FORBIDDEN);
}

#[tokio::test(flavor = "multi_thread")]
async fn at_most_32_pages_hold_a_stream_and_one_that_is_closed_makes_room() {
    let house = House::of(FARM);
    let open = async || {
        let reply = house.app.clone().oneshot(here(request("/events").body(Body::empty()).unwrap())).await;
        reply.unwrap()
    };
    let mut streams = Vec::new();
    for _ in 0..32 {
        let reply = open().await;
        assert_eq!(reply.status(), StatusCode::OK);
        streams.push(reply);
    }
    assert_eq!(open().await.status(), StatusCode::SERVICE_UNAVAILABLE);
    streams.pop();
    assert_eq!(open().await.status(), StatusCode::OK);
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_travel_compressed_and_light_and_streams_do_not() {
    let house = House::of(FARM);
    let gzip =
        |path: &str| request(path).header(header::ACCEPT_ENCODING, "gzip").body(Body::empty()).unwrap();
    for path in ["/1", "/2", "/3", "/4", "/5", "/6", "/7", "/8", "/9", "/10"] {
        let mut weight = 0;
        for part in [path, "/assets/page.css", "/assets/page.js"] {
            let reply = house.app.clone().oneshot(here(gzip(part))).await.unwrap();
            assert_eq!(reply.headers()[header::CONTENT_ENCODING], "gzip", "{part}");
            weight += axum::body::to_bytes(reply.into_body(), 10_000_000).await.unwrap().len();
        }
        assert!(weight < 150_000, "page {path} weighs {weight} bytes with its style and script");
    }
    let reply = house.app.clone().oneshot(here(gzip("/events"))).await.unwrap();
    assert!(reply.headers().get(header::CONTENT_ENCODING).is_none());
}
