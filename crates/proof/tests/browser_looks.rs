//! Every page looked at: drawn in light, dark and at phone width, checked for accessibility and for anything that sticks
//! out of a narrow sheet. The pictures are written to `target/looks`.
#![cfg(feature = "browser")]
#![allow(clippy::print_stdout)] // What is skipped is said.

mod browser_house;

use browser_house::{Driver, House, calm, click, farm, wait_for};
use serde_json::json;
use std::path::{Path, PathBuf};
use thirtyfour::prelude::*;

/// Widths at which a page is looked at: a desk, and the narrowest phone that is promised.
const DESK: u32 = 1440;
const PHONE: u32 = 360;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The pages of a workbook by what they are called in the pictures.
const PAGES: [(&str, &str); 22] = [
    ("1-may-i", "/1"),
    ("2-use", "/2"),
    ("3-sky", "/3"),
    ("4-size", "/4"),
    ("5-year", "/5"),
    ("6-fit", "/6"),
    ("7-wired", "/7"),
    ("8-buy", "/8"),
    ("9-build", "/9"),
    ("10-doing", "/10"),
    ("form", "/edit/load.well%20pump?from=2"),
    ("form-of-new", "/add/run?from=7"),
    ("working", "/why/year/load"),
    ("begin", "/begin"),
    ("begin-from-a-place", "/begin?place=44.05,-121.3"),
    ("files", "/files"),
    ("devices", "/devices"),
    ("pairing-refused", "/pair/0000"),
    ("compare", "/compare?with=other.toml"),
    ("5-a-day", "/5?day=21&batteries=7"),
    ("7-on-paper", "/7?at=inverter-a"),
    ("dialog", "/2"),
];

async fn emulate(browser: &WebDriver, width: u32, scheme: &str) {
    let screen = json!({ "width": width, "height": 1000, "deviceScaleFactor": 1, "mobile": width < 700 });
    browser.cdp().send_raw("Emulation.setDeviceMetricsOverride", screen).await.expect("a width");
    let media = json!({ "features": [
        { "name": "prefers-color-scheme", "value": scheme },
        { "name": "prefers-reduced-motion", "value": "reduce" },
    ] });
    browser.cdp().send_raw("Emulation.setEmulatedMedia", media).await.expect("a scheme");
}

/// Draws the whole page, however long.
async fn draw(browser: &WebDriver, file: &Path) {
    let wish = json!({ "captureBeyondViewport": true, "format": "png" });
    let drawn = browser.cdp().send_raw("Page.captureScreenshot", wish).await.expect("a picture");
    let text = drawn["data"].as_str().expect("its bytes");
    std::fs::write(file, decoded(text)).expect("written");
}

/// Bytes of a text in base 64 (RFC 4648).
fn decoded(text: &str) -> Vec<u8> {
    let digit = |byte: u8| match byte {
        b'A'..=b'Z' => Some(byte - b'A'),
        b'a'..=b'z' => Some(byte - b'a' + 26),
        b'0'..=b'9' => Some(byte - b'0' + 52),
        b'+' => Some(62),
        b'/' => Some(63),
        _ => None,
    };
    let (mut bytes, mut held, mut bits) = (Vec::with_capacity(text.len() * 3 / 4), 0_u32, 0);
    for value in text.bytes().filter_map(digit) {
        (held, bits) = ((held << 6) | u32::from(value), bits + 6);
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
        }
    }
    bytes
}

#[test]
fn base_64_is_that_of_the_standard() {
    // RFC 4648, section 10.
    assert_eq!(decoded("Zm9vYmE="), b"fooba");
    assert_eq!(decoded("Zm9vYmFy"), b"foobar");
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_every_page_in_light_and_dark_and_on_a_phone() {
    let house = House::open("looks", &farm());
    std::fs::write(house.folder.join("other.toml"), farm().replace("\nparallel = 6 ", "\nparallel = 8 "))
        .expect("another design");
    let driver = Driver::start();
    let browser = driver.browser().await;
    let looked = tokio::spawn(look(browser.clone(), house.url.clone())).await;
    browser.quit().await.ok();
    match looked {
        Ok(faults) => assert!(faults.is_empty(), "{}", faults.join("\n")),
        Err(failed) => std::panic::resume_unwind(failed.into_panic()),
    }
}

/// The rules of accessibility, where the package that holds them was brought; the test command brings it.
fn axe() -> Option<String> {
    std::fs::read_to_string(root().join("target/axe/package/axe.min.js")).ok()
}

async fn look(browser: WebDriver, url: String) -> Vec<String> {
    let folder = root().join("target/looks");
    std::fs::create_dir_all(&folder).expect("a folder for the pictures");
    let axe = axe();
    if axe.is_none() {
        println!("skipped: the rules of accessibility are not at target/axe; the test command brings them");
    }
    let mut faults = Vec::new();
    for (look, width, scheme) in [("light", DESK, "light"), ("dark", DESK, "dark"), ("phone", PHONE, "light")]
    {
        emulate(&browser, width, scheme).await;
        for (name, path) in PAGES {
            browser.goto(format!("{url}{}", &path[1..])).await.expect("the page opens");
            if name == "dialog" {
                click(&browser, "a.edit[href^='/edit/load.']").await;
                wait_for(&browser, "#desk[open] .thing").await;
            }
            calm(&browser).await;
            draw(&browser, &folder.join(format!("{name}-{look}.png"))).await;
            let wide = browser
                .execute(
                    "return document.documentElement.scrollWidth - document.documentElement.clientWidth",
                    vec![],
                )
                .await
                .expect("a width");
            let over: f64 = wide.convert().expect("a number");
            if over > 0.0 {
                faults.push(format!("{name} {look}: {over} px stick out of the page"));
            }
            let Some(axe) = &axe else { continue };
            browser.execute(axe.as_str(), vec![]).await.expect("the rules load");
            let found = browser
                .execute_async(
                    "const done = arguments[0]; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }) \
                     .then((r) => done(r.violations.map((v) => `${v.id} (${v.impact}): ${v.nodes.slice(0, 3).map((n) => n.target + ' ' + (n.any[0]?.message ?? '')).join(' | ')}`)))",
                    vec![],
                )
                .await
                .expect("the rules run");
            let found: Vec<String> = found.convert().expect("a list");
            faults.extend(found.into_iter().map(|fault| format!("{name} {look}: {fault}")));
        }
    }
    faults
}
