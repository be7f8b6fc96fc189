//! What the page does for print and for readers who asked for less motion.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{Driver, House, calm, click, farm, wait_for, walked};
use serde_json::json;
use thirtyfour::prelude::*;

async fn as_if(browser: &WebDriver, media: &str, motion: &str) {
    let asked =
        json!({ "media": media, "features": [{ "name": "prefers-reduced-motion", "value": motion }] });
    browser.cdp().send_raw("Emulation.setEmulatedMedia", asked).await.expect("taken");
}

async fn style(browser: &WebDriver, css: &str, what: &str) -> String {
    let script =
        format!("return getComputedStyle(document.querySelector({css:?})).getPropertyValue({what:?})");
    let found = browser.execute(script, vec![]).await.expect("the script runs");
    found.json().as_str().unwrap_or_default().to_string()
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_working_unfolds_without_motion_where_that_was_asked_for() {
    let house = House::open("motion", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, walk) = (house.url.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}5")).await.expect("the page opens");
        click(&browser, "#answer a.n").await;
        wait_for(&browser, "#answer .work").await;
        for (motion, name) in [("no-preference", "unfold"), ("reduce", "none")] {
            as_if(&browser, "screen", motion).await;
            assert_eq!(style(&browser, "#answer .work", "animation-name").await, name, "{motion}");
        }
        // Nothing else on the page moves by itself, whatever was asked for.
        as_if(&browser, "screen", "no-preference").await;
        let moving = "return [...document.querySelectorAll('*')].filter((one) => { const s = getComputedStyle(one); \
                      return s.animationName !== 'none' && !one.matches('.work') || s.transitionDuration.split(',').some((t) => parseFloat(t) > 0); }).length";
        assert_eq!(browser.execute(moving, vec![]).await.expect("the script runs").json().as_u64(), Some(0));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_print_keeps_what_is_read_and_leaves_out_what_is_pressed() {
    let house = House::open("print", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, walk) = (house.url.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        for page in [3, 5, 7] {
            browser.goto(format!("{url}{page}")).await.expect("the page opens");
            calm(&browser).await;
            as_if(&browser, "print", "no-preference").await;
            for pressed in ["nav", ".skip"] {
                assert_eq!(style(&browser, pressed, "display").await, "none", "{pressed} on page {page}");
            }
            // Nothing of what prints is a control, and nothing sticks out of the sheet.
            let shown = "return [...document.querySelectorAll('button, input, select, textarea')] \
                         .filter((one) => one.checkVisibility()).map((one) => one.outerHTML.slice(0, 80))";
            let controls = browser.execute(shown, vec![]).await.expect("the script runs").json().clone();
            assert_eq!(controls, json!([]), "page {page}");
            for read in ["#answer", "main svg", "table", "aside"] {
                assert_ne!(style(&browser, read, "display").await, "none", "{read} on page {page}");
            }
            assert_eq!(style(&browser, "body", "background-color").await, "rgb(255, 255, 255)");
            as_if(&browser, "", "no-preference").await;
        }
    })
    .await;
}
