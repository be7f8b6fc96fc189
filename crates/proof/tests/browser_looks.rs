//! Every page of every demo, and every state a page can be in, looked at: drawn in light, dark, at phone width in both and as it
//! prints, checked for accessibility and for anything that sticks out of the sheet. The pictures are written to `target/looks`.
#![cfg(feature = "browser")]
#![allow(clippy::print_stdout)] // What is skipped is said.

mod browser_house;

use browser_house::eyes::{LOOKS, axe, decoded, emulate, looked};
use browser_house::{
    House, Visit, calm, click, click_now, demo, farm, fill, until, until_file, visit, wait_for,
};
use std::time::Duration;

/// What is done on a page before it is looked at.
#[derive(Clone, Copy)]
enum First {
    Nothing,
    /// A thing of the design is laid over the page.
    Dialog,
    /// A number of the answer is asked where it comes from.
    Working,
    /// A control is moved.
    Moved,
    /// The field of a thing is changed in the file while it is being changed here.
    Clash,
}

type Scene = (&'static str, &'static str, First);

/// The ten questions.
const QUESTIONS: [Scene; 10] = [
    ("1-may-i", "1", First::Nothing),
    ("2-use", "2", First::Nothing),
    ("3-sky", "3", First::Nothing),
    ("4-size", "4", First::Nothing),
    ("5-year", "5", First::Nothing),
    ("6-fit", "6", First::Nothing),
    ("7-wired", "7", First::Nothing),
    ("8-buy", "8", First::Nothing),
    ("9-build", "9", First::Nothing),
    ("10-doing", "10", First::Nothing),
];

/// Pages around the questions.
const AROUND: [Scene; 13] = [
    ("form", "edit/load.well%20pump?from=2", First::Nothing),
    ("form-of-new", "add/run?from=7", First::Nothing),
    ("working", "why/year/load", First::Nothing),
    ("begin", "begin", First::Nothing),
    ("begin-from-a-place", "begin?place=44.05,-121.3", First::Nothing),
    ("files", "files", First::Nothing),
    ("devices", "devices", First::Nothing),
    ("pairing-refused", "pair/0000", First::Nothing),
    ("compare", "compare?with=other.toml", First::Nothing),
    ("5-a-day", "5?day=21&batteries=7", First::Moved),
    ("5-working", "5", First::Working),
    ("7-on-paper", "7?at=inverter-a", First::Nothing),
    ("dialog", "2", First::Dialog),
];

#[test]
fn base_64_is_that_of_the_standard() {
    // RFC 4648, section 10.
    assert_eq!(decoded("Zm9vYmE="), b"fooba");
    assert_eq!(decoded("Zm9vYmFy"), b"foobar");
}

async fn first(at: &Visit, first: First) {
    let browser = &at.browser;
    match first {
        First::Nothing => {}
        First::Dialog => {
            click(browser, "a.edit[href^='/edit/load.']").await;
            wait_for(browser, "#desk[open] .thing").await;
        }
        First::Working => {
            click(browser, "#answer a.n").await;
            wait_for(browser, "#answer .work").await;
        }
        First::Moved => {
            until(browser, "step-batteries", "what one more brings", |text| !text.contains('…')).await;
        }
        First::Clash => {
            at.put(&farm());
            until(browser, "things", "the file as it was", |text| text.contains("140")).await;
            click(browser, "a.edit[href^='/edit/load.lights?']").await;
            fill(browser, "#desk input[name='f.watts']", "145").await;
            at.put(&farm().replace("watts = 140\n", "watts = 150\n"));
            until(browser, "things", "what was written by hand", |text| text.contains("150")).await;
            click_now(browser, "#desk button.main").await;
            wait_for(browser, "#desk .both").await;
        }
    }
}

/// Looks at the scenes in every look; `print` leaves out what nobody prints.
async fn look(at: &Visit, name: &str, scenes: &[Scene], print: bool) -> Vec<String> {
    let axe = axe();
    if axe.is_none() {
        println!("skipped: the rules of accessibility are not at target/axe; the test command brings them");
    }
    let mut faults = Vec::new();
    for way in LOOKS.iter().filter(|way| print || way.name != "print") {
        emulate(&at.browser, way).await;
        for (scene, path, before) in scenes {
            at.page(path).await;
            calm(&at.browser).await;
            first(at, *before).await;
            faults.extend(looked(at, &format!("{name}{scene}"), way, axe.as_deref()).await);
        }
    }
    faults
}

fn none(faults: &[String]) {
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

async fn questions_of(name: &'static str) {
    let house = House::open(&format!("looks-{name}"), &demo(name));
    let prefix = format!("{name}-");
    none(&visit(house, |at| async move { look(&at, &prefix, &QUESTIONS, true).await }).await);
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_hollow_farm() {
    questions_of("hollow-farm").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_harbour_house() {
    questions_of("harbour-house").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_orchard_row() {
    questions_of("orchard-row").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_pine_cabin() {
    questions_of("pine-cabin").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_what_lies_around_the_questions() {
    let house = House::open("looks-around", &farm());
    let other = farm().replace("\nparallel = 6 ", "\nparallel = 8 ");
    std::fs::write(house.folder.join("other.toml"), other).expect("another design");
    none(&visit(house, |at| async move { look(&at, "", &AROUND, false).await }).await);
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_a_search_and_what_it_found() {
    let house = House::open("looks-search", &farm());
    let faults = visit(house, |at| async move {
        at.page("4").await;
        click(&at.browser, "#found form button").await;
        until(&at.browser, "search-state", "how far it is", |text| {
            text.contains("walked through their years")
        })
        .await;
        let mut faults = looked(&at, "4-search-goes-on", &LOOKS[0], axe().as_deref()).await;
        tokio::time::sleep(Duration::from_secs(3)).await;
        // It may be over by now.
        if at.browser.find(thirtyfour::By::Id("search-state")).await.is_ok() {
            click_now(&at.browser, "#found form button").await;
        }
        wait_for(&at.browser, "#take #pick-1").await;
        let scenes = [("4-search-found", "4", First::Nothing), ("8-after-search", "8", First::Nothing)];
        faults.extend(look(&at, "", &scenes, true).await);
        faults
    });
    none(&faults.await);
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_the_same_field_on_both_sides() {
    let house = House::open("looks-clash", &farm());
    none(
        &visit(house, |at| async move { look(&at, "", &[("clash", "2", First::Clash)], false).await }).await,
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_a_text_that_cannot_be_read() {
    let broken = farm().replace("\nparallel = 6 ", "\nparallel = = 6 ");
    let scenes = [("broken-5", "5", First::Nothing), ("broken-7", "7", First::Nothing)];
    let never = House::open("looks-broken", &broken);
    let mut faults = visit(never, move |at| async move { look(&at, "never-", &scenes, false).await }).await;
    let misread = farm()
        .replace("tilt = \"48°\"", "tilt = \"48 stone\"")
        .replace("\nparallel = 6 ", "\nparallell = 6 ");
    faults.extend(
        visit(House::open("looks-misread", &misread), move |at| async move {
            let mut faults = look(
                &at,
                "",
                &[("misread-5", "5", First::Nothing), ("misread-6", "6", First::Nothing)],
                false,
            )
            .await;
            at.page("5").await;
            at.put(&farm());
            until(&at.browser, "out-batteries", "that it was mended", |text| text == "6").await;
            at.put(&broken);
            until(&at.browser, "notice", "the broken place", |text| text.contains("= = 6")).await;
            faults.extend(look(&at, "since-", &scenes, false).await);
            faults
        })
        .await,
    );
    none(&faults);
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_looks_at_a_house_just_begun() {
    let faults = visit(House::empty("looks-fresh"), |at| async move {
        let mut faults = look(&at, "fresh-", &[("begin", "", First::Nothing)], false).await;
        at.page("begin?place=44.05,-121.3").await;
        fill(&at.browser, "#title", "Juniper House").await;
        click(&at.browser, "button.main").await;
        until_file(&at.file, "the new design", |text| text.contains("Juniper House")).await;
        until(&at.browser, "answer", "the first answer", |text| !text.is_empty()).await;
        faults.extend(look(&at, "fresh-", &QUESTIONS, false).await);
        faults
    });
    none(&faults.await);
}
