//! Looking at a page: drawn whole in several looks, held against the rules of accessibility, nothing out of its sheet.

use super::{Visit, calm};
use serde_json::json;
use std::path::{Path, PathBuf};
use thirtyfour::prelude::*;

/// A way of looking: its name, the width in CSS pixels, and light or dark.
pub(crate) struct Look {
    pub(crate) name: &'static str,
    width: u32,
    scheme: &'static str,
    print: bool,
}

/// A desk, and the narrowest phone that is promised.
const DESK: u32 = 1440;
const PHONE: u32 = 360;
/// A sheet of A4 less the margins of a printer, at 96 pixels to the inch.
const PAPER: u32 = 718;

pub(crate) const LOOKS: [Look; 5] = [
    Look { name: "light", width: DESK, scheme: "light", print: false },
    Look { name: "dark", width: DESK, scheme: "dark", print: false },
    Look { name: "phone", width: PHONE, scheme: "light", print: false },
    Look { name: "phone-dark", width: PHONE, scheme: "dark", print: false },
    Look { name: "print", width: PAPER, scheme: "dark", print: true },
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub(crate) async fn emulate(browser: &WebDriver, look: &Look) {
    let screen =
        json!({ "width": look.width, "height": 1000, "deviceScaleFactor": 1, "mobile": look.width < 700 });
    browser.cdp().send_raw("Emulation.setDeviceMetricsOverride", screen).await.expect("a width");
    // They are no part of the sheet, and none is printed.
    browser.cdp().send_raw("Emulation.setScrollbarsHidden", json!({ "hidden": true })).await.expect("hidden");
    let media = json!({ "media": if look.print { "print" } else { "" }, "features": [
        { "name": "prefers-color-scheme", "value": look.scheme },
        { "name": "prefers-reduced-motion", "value": "reduce" },
    ] });
    browser.cdp().send_raw("Emulation.setEmulatedMedia", media).await.expect("a scheme");
}

/// Draws the whole page, however long, to `target/looks`; of a page with a sheet laid over it what is in sight.
async fn draw(browser: &WebDriver, name: &str) {
    let folder = root().join("target/looks");
    std::fs::create_dir_all(&folder).expect("a folder for the pictures");
    let laid = browser.find(By::Css("#desk[open]")).await.is_ok();
    let wish = json!({ "captureBeyondViewport": !laid, "format": "png" });
    let drawn = browser.cdp().send_raw("Page.captureScreenshot", wish).await.expect("a picture");
    let text = drawn["data"].as_str().expect("its bytes");
    std::fs::write(folder.join(format!("{name}.png")), decoded(text)).expect("written");
}

/// Bytes of a text in base 64 (RFC 4648).
pub(crate) fn decoded(text: &str) -> Vec<u8> {
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

/// The rules of accessibility, where the package that holds them was brought; the test command brings it.
pub(crate) fn axe() -> Option<String> {
    std::fs::read_to_string(root().join("target/axe/package/axe.min.js")).ok()
}

/// Draws the page that is open and gives what is wrong with it.
pub(crate) async fn looked(visit: &Visit, name: &str, look: &Look, axe: Option<&str>) -> Vec<String> {
    let browser = &visit.browser;
    calm(browser).await;
    draw(browser, &format!("{name}-{}", look.name)).await;
    let mut faults = Vec::new();
    let wide = "return document.documentElement.scrollWidth - document.documentElement.clientWidth";
    let over = browser.execute(wide, vec![]).await.expect("a width").convert::<f64>().expect("a number");
    if over > 0.0 {
        faults.push(format!("{name} {}: {over} px stick out of the page", look.name));
    }
    let Some(axe) = axe.filter(|_| !look.print) else { return faults };
    browser.execute(axe, vec![]).await.expect("the rules load");
    let found = browser
        .execute_async(
            "const done = arguments[0]; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }) \
             .then((r) => done(r.violations.map((v) => `${v.id} (${v.impact}): ${v.nodes.slice(0, 3).map((n) => n.target + ' ' + (n.any[0]?.message ?? '')).join(' | ')}`)))",
            vec![],
        )
        .await
        .expect("the rules run");
    let found: Vec<String> = found.convert().expect("a list");
    faults.extend(found.into_iter().map(|fault| format!("{name} {}: {fault}", look.name)));
    faults
}
