//! Editing in a real browser: forms over the page, both sides of a field, undo by keyboard, a string broken and mended, two
//! tabs, a server that goes and comes back, and everything without scripts.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{
    Driver, House, click, click_now, farm, fill, options, sentence, text_of, until, until_file, wait_for,
    walked,
};
use std::fs;
use std::path::PathBuf;
use thirtyfour::prelude::*;
use web::Server;

const WATTS: &str = "#desk input[name='f.watts']";

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_thing_is_edited_over_the_page_and_taken_back_by_keyboard() {
    let house = House::open("edits", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    walked(&browser, edits(browser.clone(), house.url.clone(), house.file.clone())).await;
}

async fn edits(browser: WebDriver, url: String, file: PathBuf) {
    let before = farm();
    browser.goto(format!("{url}2")).await.expect("the page opens");
    let lights = "a.edit[href^='/edit/load.lights?']";
    click(&browser, lights).await;
    // Refused beside the field as soon as it is left, and nothing is written.
    fill(&browser, WATTS, "many").await;
    browser.active_element().await.expect("the field").send_keys(Key::Tab + "").await.expect("tab");
    until(&browser, "ef-watts", "what is wrong", |text| !text.is_empty()).await;
    assert_eq!(fs::read_to_string(&file).expect("readable"), before);
    // The file is edited by hand meanwhile: what was typed stays, and both sides are shown.
    let by_hand = before.replace("watts = 140\n", "watts = 150\n");
    assert_ne!(by_hand, before, "the demo has lights of 140 W");
    fs::write(&file, &by_hand).expect("written by hand");
    fill(&browser, WATTS, "160").await;
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    let field = wait_for(&browser, WATTS).await;
    assert_eq!(field.prop("value").await.expect("a value").as_deref(), Some("160"));
    click(&browser, "#desk button.main").await;
    let both = wait_for(&browser, "#desk table.both").await.text().await.expect("both sides");
    assert!(both.contains("140") && both.contains("150") && both.contains("160"), "{both}");
    assert_eq!(fs::read_to_string(&file).expect("readable"), by_hand, "nothing was written");
    click(&browser, "#desk button.main").await;
    let kept = until_file(&file, "ours, knowingly", |text| text.contains("watts = 160")).await;
    assert_eq!(kept, by_hand.replace("watts = 150\n", "watts = 160\n"));
    // Taken back and done again without the mouse.
    until(&browser, "turns", "something to take back", |text| text.contains("take back")).await;
    let page = browser.find(By::Tag("body")).await.expect("the page");
    page.send_keys(Key::Control + "z").await.expect("keys");
    until_file(&file, "taken back", |text| text == by_hand).await;
    until(&browser, "turns", "something to do again", |text| text.contains("do again")).await;
    let page = browser.find(By::Tag("body")).await.expect("the page");
    page.send_keys(Key::Control + "y").await.expect("keys");
    until_file(&file, "done again", |text| text == kept).await;
    // A second tab sees what the first wrote; back and reload show what they showed.
    let first = browser.window().await.expect("a window");
    let second = browser.new_tab().await.expect("a tab");
    browser.switch_to_window(second).await.expect("it is there");
    browser.goto(format!("{url}5?batteries=8")).await.expect("the page opens");
    let tried = sentence(&browser).await;
    browser.goto(format!("{url}2")).await.expect("the page opens");
    browser.back().await.expect("back");
    assert_eq!(sentence(&browser).await, tried);
    browser.refresh().await.expect("reload");
    assert_eq!(sentence(&browser).await, tried);
    browser.goto(format!("{url}2")).await.expect("the page opens");
    browser.switch_to_window(first).await.expect("it is there");
    click(&browser, lights).await;
    fill(&browser, WATTS, "170").await;
    click(&browser, "#desk button.main").await;
    until_file(&file, "written by the first", |text| text.contains("watts = 170")).await;
    let second = browser.windows().await.expect("both").pop().expect("two");
    browser.switch_to_window(second).await.expect("it is there");
    until(&browser, "things", "what the first wrote", |text| text.contains("170")).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_string_is_broken_and_mended_by_its_remedy() {
    let house = House::open("mend", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file) = (house.url.clone(), house.file.clone());
    let walk = browser.clone();
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}6")).await.expect("the page opens");
        click(&browser, "a.edit[href^='/edit/string.north%20row?']").await;
        fill(&browser, "#desk input[name='f.count']", "14").await;
        click(&browser, "#desk button.main").await;
        let broken = until_file(&file, "the longer string", |text| text.contains("count = 14")).await;
        until(&browser, "margin", "the danger", |text| text.contains("Danger")).await;
        // The button comes by itself, once its remedy was studied.
        click(&browser, "#margin details.diff summary").await;
        wait_for(&browser, "#margin details.diff .plus").await;
        click(&browser, "#margin details.diff button").await;
        let mended = until_file(&file, "the remedy", |text| text != broken).await;
        assert!(!mended.contains("count = 14"), "the string is shorter again");
        until(&browser, "margin", "no danger", |text| !text.contains("Danger")).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_page_outlives_the_server_and_recovers_by_itself() {
    let house = House::open("restart", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (folder, file) = (house.folder.clone(), house.file.clone());
    let walk = browser.clone();
    walked(&browser, async move {
        let browser = walk;
        let start = |port: u16| {
            let server = Server::bind(&options(Some(&file), &folder, port)).expect("the port is free");
            let url = server.url();
            let (end, ended) = tokio::sync::oneshot::channel::<()>();
            let thread = std::thread::spawn(move || server.run_until(async { drop(ended.await) }));
            (url, end, thread)
        };
        let (url, end, thread) = start(0);
        browser.goto(&url).await.expect("the page opens");
        until(&browser, "answer", "the answer", |text| text.contains("hours")).await;
        end.send(()).expect("it runs");
        thread.join().expect("it ends").expect("without trouble");
        until(&browser, "gone", "that the program has stopped", |text| text.contains("has stopped")).await;
        let changed = farm().replace("tilt = \"48°\"", "tilt = \"41°\"");
        fs::write(&file, changed).expect("written while nobody watched");
        let port =
            url.rsplit(':').next().and_then(|port| port.trim_matches('/').parse().ok()).expect("a port");
        let (_, _end, _thread) = start(port);
        until(&browser, "out-tilt", "what was written meanwhile", |text| text == "41°").await;
        until(&browser, "gone", "nothing to say", str::is_empty).await;
        // A form of the page as it is now carries the new program's token.
        let slider = browser.find(By::Id("batteries")).await.expect("the control");
        slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
        click(&browser, "form[data-keep] button").await;
        until_file(&file, "kept after the restart", |text| text.contains("\nparallel = 7 ")).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_everything_works_without_scripts() {
    let house = House::open("plain", &farm());
    let driver = Driver::start();
    let browser = driver.browser_with(&["--blink-settings=scriptEnabled=false"]).await;
    let (url, file) = (house.url.clone(), house.file.clone());
    let walk = browser.clone();
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}2")).await.expect("the page opens");
        click_now(&browser, "a.edit[href^='/edit/load.lights?']").await;
        fill(&browser, "input[name='f.watts']", "lots").await;
        click_now(&browser, "button.main").await;
        let said = wait_for(&browser, ".field.bad .fault").await.text().await.expect("words");
        assert!(!said.is_empty());
        fill(&browser, "input[name='f.watts']", "145").await;
        click_now(&browser, "button.main").await;
        until_file(&file, "written by a plain form", |text| text.contains("watts = 145")).await;
        click_now(&browser, "#turns button").await;
        until_file(&file, "taken back by a plain form", |text| text == farm()).await;
        browser.goto(format!("{url}5?batteries=8")).await.expect("the page opens");
        assert!(text_of(&browser, "change").await.contains("batteries 6 → 8"));
        click_now(&browser, "form[data-keep] button").await;
        until_file(&file, "kept by a plain form", |text| text.contains("\nparallel = 8 ")).await;
        click_now(&browser, "#answer a.n").await;
        wait_for(&browser, "main .work").await;
    })
    .await;
}
