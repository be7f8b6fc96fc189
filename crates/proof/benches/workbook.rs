//! The workbook in a real browser: how long a page takes to be there and what it weighs, how long an edit takes from the
//! key to the picture and where that time goes, and how much memory the program holds after many edits.
//!
//! `cargo bench -p proof --features proof/browser --bench workbook`; with a number behind `--`, that many edits.
#![allow(clippy::print_stdout, clippy::expect_used)]

#[path = "../tests/browser_house/mod.rs"]
mod browser_house;

use browser_house::{Driver, House, calm, farm, until_file};
use serde_json::Value;
use std::fmt::Write as _;
use std::fs;
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;

/// Times each page is loaded, and each edit is made.
const RUNS: usize = 15;
/// Edits of the scripted session: one every few seconds for an hour.
const SESSION: usize = 600;

fn main() {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build();
    runtime.expect("a runtime").block_on(async {
        let house = House::open("bench", &farm());
        let driver = Driver::start();
        let browser = driver.browser().await;
        pages(&browser, &house.url).await;
        edits(&browser, &house.url).await;
        session(&browser, &house).await;
        browser.quit().await.ok();
    });
}

async fn asked(browser: &WebDriver, script: &str) -> Value {
    browser.execute_async(script, vec![]).await.expect("the script runs").json().clone()
}

fn line(name: &str, mut times: Vec<f64>, more: &str) {
    times.sort_by(f64::total_cmp);
    let p95 = times[(times.len() * 95).div_ceil(100) - 1];
    println!("{name:30} {:7.1} ms median {p95:7.1} ms p95   {more}", times[times.len() / 2]);
}

/// From the first byte asked for to everything painted; the weight is what came over the wire, style and script included.
async fn pages(browser: &WebDriver, url: &str) {
    println!("pages, nothing in the browser's cache");
    browser.cdp().send_raw("Network.enable", serde_json::json!({})).await.expect("taken");
    let no_cache = serde_json::json!({ "cacheDisabled": true });
    browser.cdp().send_raw("Network.setCacheDisabled", no_cache).await.expect("taken");
    for number in 1..=10 {
        let (mut times, mut split) = (Vec::new(), String::new());
        for _ in 0..RUNS {
            browser.goto(format!("{url}{number}")).await.expect("the page opens");
            let found = asked(
                browser,
                "const done = arguments[0]; requestAnimationFrame(() => setTimeout(() => { \
                 const n = performance.getEntriesByType('navigation')[0]; \
                 const paint = performance.getEntriesByType('paint').at(-1)?.startTime ?? 0; \
                 const wire = [n, ...performance.getEntriesByType('resource').filter((r) => r.name.includes('/assets/'))]; \
                 done([n.loadEventEnd, paint, wire.reduce((sum, r) => sum + r.transferSize, 0), n.decodedBodySize, \
                 ...n.serverTiming.map((t) => t.duration)]) }, 50))",
            )
            .await;
            let of = |at: usize| found[at].as_f64().unwrap_or(f64::NAN);
            times.push(of(0).max(of(1)));
            split.clear();
            let _ = write!(
                split,
                "{:.0} kB sent, {:.0} kB whole; study {:.1}, page {:.1} ms",
                of(2) / 1e3,
                of(3) / 1e3,
                of(4),
                of(5)
            );
        }
        line(&format!("page {number}"), times, &split);
    }
}

/// From the key to the next picture that shows the answer, by controls that are moved to and fro.
async fn edits(browser: &WebDriver, url: &str) {
    println!("edits on page 5, from the key to the picture");
    for control in ["batteries", "modules", "tilt"] {
        browser.goto(format!("{url}5")).await.expect("the page opens");
        calm(browser).await;
        let (mut whole, mut study, mut page) = (Vec::new(), Vec::new(), Vec::new());
        for run in 0..RUNS {
            // Each value is a new one for the program: texts tried before are remembered.
            let found = asked(
                browser,
                &format!(
                    "const done = arguments[0], knob = document.getElementById('{control}'), answer = document.getElementById('change'); \
                     if (!knob) return done(null); performance.clearResourceTimings(); \
                     const at = performance.now(); \
                     const watch = new MutationObserver(() => {{ watch.disconnect(); requestAnimationFrame(() => setTimeout(() => {{ \
                     const r = performance.getEntriesByType('resource').find((r) => r.serverTiming.length); \
                     done([performance.now() - at, ...(r?.serverTiming ?? []).map((t) => t.duration)]) }})) }}); \
                     watch.observe(answer, {{ childList: true, subtree: true, characterData: true, attributes: true }}); \
                     knob.value = +knob.dataset.stored + {run} % 2 * {run} - (1 - {run} % 2) * Math.min({run} + 1, +knob.dataset.stored - 1 || 1); \
                     knob.dispatchEvent(new Event('input', {{ bubbles: true }}))"
                ),
            )
            .await;
            calm(browser).await;
            if let (Some(all), Some(studied), Some(written)) =
                (found[0].as_f64(), found[1].as_f64(), found[2].as_f64())
            {
                whole.push(all);
                study.push(studied);
                page.push(written);
            }
        }
        if whole.is_empty() {
            println!("{control:30} no such control");
            continue;
        }
        let rest: Vec<f64> =
            whole.iter().zip(study.iter().zip(&page)).map(|(all, (s, p))| all - s - p).collect();
        line(control, whole, "whole");
        line("  study", study, "");
        line("  page as text", page, "");
        line("  browser and wire", rest, "");
    }
}

/// Edits one after another: by the file, by the controls, by forms, with pages visited in between.
async fn session(browser: &WebDriver, house: &House) {
    let wanted = std::env::args().skip(1).find_map(|arg| arg.parse().ok()).unwrap_or(SESSION);
    let (begun, before) = (Instant::now(), resident());
    for edit in 0..wanted {
        let number = 1 + edit % 10;
        browser.goto(format!("{}{number}", house.url)).await.expect("the page opens");
        let text = farm().replace("\nparallel = 6 ", &format!("\nparallel = {} ", 2 + edit % 9));
        let text = text.replace("tilt = \"48°\"", &format!("tilt = \"{}°\"", 20 + edit % 50));
        fs::write(&house.file, &text).expect("written by hand");
        until_file(&house.file, "what was written", |now| now == text).await;
        browser.goto(format!("{}5?batteries={}", house.url, 3 + edit % 8)).await.expect("the page opens");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    println!(
        "memory: {before:.0} MB before, {:.0} MB after {wanted} edits of the file and {} page loads in {:.0} s (with the driver's own part of the bench)",
        resident(),
        2 * wanted,
        begun.elapsed().as_secs_f64()
    );
}

/// Memory that this process holds, in MB (proc(5), VmRSS in kB).
fn resident() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    line.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok()).unwrap_or(f64::NAN) / 1e3
}
