//! A slider in motion without a browser: how long the study of a text never tried before takes and how long the writing of
//! each page over it, as the program itself tells in its answers; then what is asked for once the page has come to rest.
//!
//! `cargo bench -p web --bench edit`
#![allow(clippy::print_stdout, clippy::unwrap_used)]

#[path = "../tests/house/mod.rs"]
mod house;

use axum::body::{Body, to_bytes};
use house::{FARM, House, here, request};
use tower::ServiceExt;

/// Times each is asked for; values of a control are others each time, since the program remembers the last few texts.
const RUNS: usize = 12;

/// Milliseconds of the study and of the page, as told, and bytes of text.
async fn asked(house: &House, path: &str, part: &str) -> [f64; 3] {
    let request = request(path).header("x-part", part).body(Body::empty()).unwrap();
    let reply = house.app.clone().oneshot(here(request)).await.unwrap();
    let told = reply.headers().get("server-timing").map(|told| told.to_str().unwrap().to_string());
    let body = to_bytes(reply.into_body(), 10_000_000).await.unwrap();
    let told = told.unwrap_or_default();
    let of = |name: &str| {
        let rest = told.split(&format!("{name};dur=")).nth(1).unwrap_or("0");
        rest.split(',').next().unwrap_or("0").parse::<f64>().unwrap_or(f64::NAN)
    };
    [of("study"), of("page"), body.len() as f64]
}

/// Time of processors that this process took, in milliseconds (proc(5), in hundredths of a second).
fn processor_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    fields.skip(11).take(2).filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>() * 10.0
}

/// Asks for each address and prints the middle of what was told. On a busy machine the time of processors says more.
async fn line(house: &House, name: &str, part: &str, path: impl Fn(usize) -> String) {
    let (mut found, before) = (Vec::new(), processor_ms());
    for run in 0..RUNS {
        found.push(asked(house, &path(run), part).await);
    }
    let took = (processor_ms() - before) / RUNS as f64;
    let middle = |take: usize| {
        let mut times: Vec<f64> = found.iter().map(|one| one[take]).collect();
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    };
    println!(
        "{name:26} processors {took:6.0}   study {:6.1}   page {:6.1} ms   {:4.0} kB",
        middle(0),
        middle(1),
        middle(2) / 1e3
    );
}

fn main() {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build();
    runtime.unwrap().block_on(async {
        let house = House::of(FARM);
        println!("text on disk");
        for page in 1..=10 {
            line(&house, &format!("page {page}"), "answer", |_| format!("/{page}")).await;
        }
        println!("a control in motion");
        let batteries = |page: u8| move |run: usize| format!("/{page}?batteries={}", 1 + run);
        for page in 1..=10 {
            line(&house, &format!("page {page}, batteries"), "answer", batteries(page)).await;
        }
        line(&house, "page 5, modules", "answer", |run| format!("/5?modules={}", 2 + run)).await;
        line(&house, "page 5, tilt", "answer", |run| format!("/5?tilt={}", 6 + run)).await;
        println!("once it rests");
        line(&house, "page 5, steps", "steps", batteries(5)).await;
        for (page, later) in [(5, "minutes"), (6, "minutes"), (5, "without-a-unit")] {
            line(&house, &format!("page {page}, {later}"), later, batteries(page)).await;
        }
    });
}
