//! Three tasks done by keyboard alone and by what a screen reader is told: the accessibility tree of the browser, with roles,
//! names, values, descriptions and live regions (WAI-ARIA 1.2; read by the DevTools protocol).
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{Driver, House, calm, farm, until_file, walked};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

/// What is said of one element.
#[derive(Clone, Debug, Default)]
struct Heard {
    role: String,
    name: String,
    description: String,
    value: String,
    states: Vec<(String, String)>,
}

impl Heard {
    fn of(node: &Value) -> Heard {
        let text = |key: &str| node[key]["value"].as_str().map(str::to_string).unwrap_or_default();
        let plain = |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_string);
        let states = node["properties"].as_array().into_iter().flatten();
        Heard {
            role: text("role"),
            name: text("name"),
            description: text("description"),
            value: plain(&node["value"]["value"]),
            states: states
                .map(|p| (p["name"].as_str().unwrap_or_default().to_string(), plain(&p["value"]["value"])))
                .collect(),
        }
    }

    fn is(&self, state: &str, value: &str) -> bool {
        self.states.iter().any(|(name, now)| name == state && now == value)
    }
}

async fn tree(browser: &WebDriver) -> Vec<Heard> {
    calm(browser).await;
    let tree = browser.cdp().send_raw("Accessibility.getFullAXTree", json!({})).await.expect("a tree");
    let nodes = tree["nodes"].as_array().expect("a list");
    nodes.iter().filter(|node| node["ignored"] != json!(true)).map(Heard::of).collect()
}

/// The element that has the keyboard.
async fn here(browser: &WebDriver) -> Heard {
    calm(browser).await;
    let wish = json!({ "expression": "document.activeElement" });
    let element = browser.cdp().send_raw("Runtime.evaluate", wish).await.expect("an element");
    let wish = json!({ "objectId": element["result"]["objectId"], "fetchRelatives": false });
    let node = browser.cdp().send_raw("Accessibility.getPartialAXTree", wish).await.expect("its node");
    Heard::of(&node["nodes"][0])
}

async fn press(browser: &WebDriver, key: impl Into<TypingData>) {
    let at = browser.active_element().await.expect("the keyboard is somewhere");
    at.send_keys(key).await.expect("it takes keys");
}

/// Goes on by the tabulator until what is heard is what is wanted.
async fn tab_to(browser: &WebDriver, what: &str, wanted: impl Fn(&Heard) -> bool) -> Heard {
    let mut passed = Vec::new();
    for _ in 0..120 {
        let heard = here(browser).await;
        if wanted(&heard) {
            assert!(!heard.name.trim().is_empty(), "{what} has no name");
            return heard;
        }
        passed.push(format!("{} \"{}\"", heard.role, heard.name));
        press(browser, Key::Tab + "").await;
    }
    panic!("{what} was not met; passed {passed:#?}");
}

/// Waits until the tree holds what is wanted.
async fn hears(browser: &WebDriver, what: &str, wanted: impl Fn(&Heard) -> bool) -> Heard {
    for _ in 0..600 {
        if let Some(heard) = tree(browser).await.into_iter().find(|heard| wanted(heard)) {
            return heard;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("{what} is not in the tree: {:#?}", tree(browser).await);
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_three_tasks_by_what_a_screen_reader_is_told() {
    let house = House::open("reader", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, walk) = (house.url.clone(), house.file.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        // The first: read the answer, and ask a number of it where it comes from.
        browser.goto(format!("{url}5")).await.expect("the page opens");
        let all = tree(&browser).await;
        for (role, name) in [
            ("navigation", "The ten questions"),
            ("main", ""),
            ("complementary", "Findings and assumptions"),
            ("form", "Try other sizes"),
        ] {
            assert!(all.iter().any(|h| h.role == role && h.name == name), "no {role} \"{name}\"");
        }
        let head: Vec<&Heard> = all.iter().filter(|h| h.role == "heading" && h.is("level", "1")).collect();
        assert_eq!(head.len(), 1, "one heading of the page");
        assert!(head[0].name.contains("carry us through the year"));
        assert!(
            all.iter().filter(|h| h.role == "image").all(|h| !h.name.is_empty() && !h.description.is_empty()),
            "every picture is named and told"
        );
        let skip = tab_to(&browser, "the way past the questions", |h| h.role == "link").await;
        assert!(skip.name.starts_with("Skip to"), "it is the first thing met: {skip:?}");
        press(&browser, Key::Enter + "").await;
        let number = tab_to(&browser, "a number of the answer", |h| {
            h.role == "link" && h.name.chars().any(|c| c.is_ascii_digit())
        })
        .await;
        press(&browser, Key::Enter + "").await;
        hears(&browser, "the number, unfolded", |h| h.name == number.name && h.is("expanded", "true")).await;
        hears(&browser, "where it comes from", |h| h.name.contains("design line")).await;

        // The second: try one battery more, hear what it brings, keep it, hear that it was written.
        let slider = tab_to(&browser, "the slider", |h| h.role == "slider" && h.name == "Batteries").await;
        assert_eq!(slider.value, "6");
        let told = hears(&browser, "what one more brings", |h| {
            h.role == "slider" && h.name == "Batteries" && h.description.contains("+$1,251.22")
        })
        .await;
        assert!(told.description.contains("one more"), "{told:?}");
        press(&browser, Key::Right + "").await;
        let moved = here(&browser).await;
        assert_eq!((moved.role.as_str(), moved.value.as_str()), ("slider", "7"), "the keyboard stays on it");
        tab_to(&browser, "the button that keeps it", |h| h.role == "button" && h.name == "keep it").await;
        press(&browser, Key::Enter + "").await;
        until_file(&file, "one more battery", |text| text.contains("\nparallel = 7 ")).await;
        hears(&browser, "that it was written", |h| h.name.contains("Batteries 6 → 7")).await;
        let live = browser.find(By::Id("notice")).await.expect("the place where it is said");
        assert_eq!(live.attr("aria-live").await.expect("readable").as_deref(), Some("polite"));

        // The third: change a load; a value that cannot be is refused at its field, in words that belong to the field.
        browser.goto(format!("{url}2")).await.expect("the page opens");
        tab_to(&browser, "the lights", |h| h.role == "link" && h.name.contains("lights")).await;
        press(&browser, Key::Enter + "").await;
        hears(&browser, "a dialog with a name", |h| h.role == "dialog" && h.name.contains("lights")).await;
        let inside = here(&browser).await;
        assert_eq!(inside.role, "textbox", "the keyboard is in the form: {inside:?}");
        let watts = tab_to(&browser, "the watts", |h| h.role == "textbox" && h.name == "Watts").await;
        assert!(!watts.description.is_empty(), "what may be written is told");
        press(&browser, Key::Control + "a").await;
        press(&browser, "many").await;
        press(&browser, Key::Tab + "").await;
        let bad = hears(&browser, "the refusal", |h| h.name == "Watts" && h.is("invalid", "true")).await;
        assert!(bad.description.len() > watts.description.len(), "the reason belongs to the field: {bad:?}");
        press(&browser, Key::Shift + Key::Tab).await;
        let again = here(&browser).await;
        assert_eq!(again.name, "Watts");
        press(&browser, Key::Control + "a").await;
        press(&browser, "150").await;
        press(&browser, Key::Enter + "").await;
        until_file(&file, "the lights", |text| text.contains("watts = 150")).await;
        hears(&browser, "that it was written", |h| h.name.contains("150")).await;
        assert!(!tree(&browser).await.iter().any(|h| h.role == "dialog"), "the form is put away");
        let back = here(&browser).await;
        assert!(back.name.contains("lights"), "the keyboard is where it was: {back:?}");
    })
    .await;
}
