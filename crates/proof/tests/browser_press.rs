//! A hurried hand on a slow computer: no click and no step of a control is lost while answers come in.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{
    Driver, House, PATIENCE, calm, click, click_now, farm, fill, slowed, text_of, until, until_file,
    wait_for, walked,
};
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;

#[tokio::test(flavor = "multi_thread")]
async fn browser_what_the_controls_show_is_kept_however_late_the_answers_are() {
    let house = House::open("hurry", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, walk) = (house.url.clone(), house.file.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        for factor in [1, 6, 20] {
            browser.goto(format!("{url}5")).await.expect("the page opens");
            slowed(&browser, factor).await;
            calm(&browser).await;
            let slider = wait_for(&browser, "#batteries").await;
            let more = if factor == 6 { Key::Left } else { Key::Right };
            for _ in 0..3 {
                slider.send_keys(more.clone() + "").await.expect("a slider takes arrows");
            }
            let shown = text_of(&browser, "out-batteries").await;
            // Whichever of the three answers brought the button: what the owner sees beside the slider is what is meant.
            let line = format!("\nparallel = {shown} ");
            kept(&browser, &file, &line).await;
            calm(&browser).await;
            assert_eq!(slider.prop("value").await.expect("a value"), Some(shown), "slowed by {factor}");
            assert_eq!(browser.current_url().await.expect("an address").query(), None);
        }
        // Moved on while the former is being written: neither is lost.
        let slider = wait_for(&browser, "#batteries").await;
        slider.send_keys(Key::Left + "").await.expect("a slider takes arrows");
        click_now(&browser, "form[data-keep] button").await;
        slider.send_keys(Key::Left + "").await.expect("a slider takes arrows");
        until_file(&file, "the first step", |text| text.contains("\nparallel = 8 ")).await;
        calm(&browser).await;
        until(&browser, "change", "the second step", |text| text.contains("batteries 8 → 7")).await;
    })
    .await;
}

/// Presses "keep" until the file has a line. The driver aims first and presses then: where an answer moved the button in
/// between, nothing was pressed, and a hand would press again.
async fn kept(browser: &WebDriver, file: &Path, line: &str) {
    let begun = Instant::now();
    wait_for(browser, "form[data-keep] button").await;
    while begun.elapsed() < PATIENCE {
        if let Ok(button) = browser.find(By::Css("form[data-keep] button")).await {
            button.scroll_into_view().await.ok();
            button.click().await.ok();
        }
        for _ in 0..75 {
            if fs::read_to_string(file).unwrap_or_default().contains(line) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(40)).await;
        }
    }
    panic!("waiting for the file: {line}");
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_what_is_pressed_stays_under_the_finger_while_the_file_changes() {
    let house = House::open("press", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, walk) = (house.url.clone(), house.file.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}2")).await.expect("the page opens");
        calm(&browser).await;
        // The file changes while the button of the mouse is down: the row that is pressed says something else by then.
        let link = wait_for(&browser, "a.edit[href^='/edit/load.lights?']").await;
        link.scroll_into_view().await.expect("it is there");
        browser.action_chain().click_and_hold_element(&link).perform().await.expect("pressed");
        let by_hand = farm().replace("watts = 140\n", "watts = 150\n");
        fs::write(&file, &by_hand).expect("written by hand");
        tokio::time::sleep(Duration::from_millis(900)).await;
        assert!(text_of(&browser, "things").await.contains("140"), "nothing moves under the finger");
        browser.action_chain().release().perform().await.expect("let go");
        let field = wait_for(&browser, "#desk input[name='f.watts']").await;
        assert_eq!(field.prop("value").await.expect("a value").as_deref(), Some("150"));
        until(&browser, "things", "what was written by hand", |text| text.contains("150")).await;

        // A complaint that goes leaves its room: what stands below is where the hand expects it.
        let below = "return document.querySelector('#desk button.main').getBoundingClientRect().top";
        let top = || async { browser.execute(below, vec![]).await.expect("a place").json().as_f64() };
        let field = "#desk input[name='f.watts']";
        let unmoved = top().await;
        fill(&browser, field, "many").await;
        browser.active_element().await.expect("the field").send_keys(Key::Tab + "").await.expect("tab");
        until(&browser, "ef-watts", "what is wrong", |text| !text.is_empty()).await;
        let with_complaint = top().await;
        assert!(with_complaint > unmoved, "{with_complaint:?} is not below {unmoved:?}");
        fill(&browser, field, "154").await;
        browser.active_element().await.expect("the field").send_keys(Key::Tab + "").await.expect("tab");
        until(&browser, "ef-watts", "nothing any more", str::is_empty).await;
        let moved = top().await.zip(with_complaint).map(|(now, then)| (now - then).abs());
        assert!(moved.is_some_and(|by| by < 0.5), "the button moved by {moved:?} px");

        // A field that was wrong and is right again gives up its line of complaint at the very press on the button.
        fill(&browser, "#desk input[name='f.watts']", "many").await;
        browser.active_element().await.expect("the field").send_keys(Key::Tab + "").await.expect("tab");
        until(&browser, "ef-watts", "what is wrong", |text| !text.is_empty()).await;
        fill(&browser, "#desk input[name='f.watts']", "155").await;
        click_now(&browser, "#desk button.main").await;
        until_file(&file, "the press", |text| text.contains("watts = 155")).await;

        // Pressed twice, meant twice.
        click(&browser, "a.edit[href^='/edit/load.lights?']").await;
        fill(&browser, "#desk input[name='f.watts']", "165").await;
        click(&browser, "#desk button.main").await;
        until_file(&file, "a second edit", |text| text.contains("watts = 165")).await;
        calm(&browser).await;
        let page = browser.find(By::Tag("body")).await.expect("the page");
        page.send_keys(Key::Control + "zz").await.expect("keys");
        until_file(&file, "both taken back", |text| text == by_hand).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_what_is_unfolded_stays_so_when_an_answer_comes() {
    let house = House::open("unfold", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, walk) = (house.url.clone(), house.file.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}5")).await.expect("the page opens");
        click(&browser, "#worst details.days summary").await;
        wait_for(&browser, "#worst details.days[open] table").await;
        click(&browser, "#answer a.n").await;
        wait_for(&browser, "#answer .work").await;
        let by_hand = farm().replace("\nparallel = 6 ", "\nparallel = 9 ");
        fs::write(&file, by_hand).expect("written by hand");
        until(&browser, "out-batteries", "the file's number", |text| text == "9").await;
        calm(&browser).await;
        wait_for(&browser, "#worst details.days[open] table").await;
        wait_for(&browser, "#answer .work").await;
        assert_eq!(browser.find_all(By::Css("#answer .work")).await.expect("a list").len(), 1);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_the_diagram_is_walked_through_on_paper() {
    let house = House::open("paper", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, walk) = (house.url.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}7")).await.expect("the page opens");
        let bands = || async { browser.find_all(By::Css("#one-line .reached")).await.expect("a list").len() };
        let all = bands().await;
        assert!(all > 5, "with everything closed everything is reached");
        // A flag of the diagram opens its switch; the box beside it follows, and so does the address.
        let main = wait_for(&browser, "#paper input[data-circuit*='utility']").await;
        let circuit = main.attr("data-circuit").await.expect("a name").expect("a name");
        let script = format!(
            "[...document.querySelectorAll('#one-line .flag')].find((flag) => flag.dataset.of === {circuit:?}).dispatchEvent(new MouseEvent('click', {{ bubbles: true }}))"
        );
        browser.execute(script, vec![]).await.expect("clicked");
        until(&browser, "reached-words", "one open", |text| text.contains("With 1 switch open on paper")).await;
        assert!(main.is_selected().await.expect("a state"));
        assert!(browser.current_url().await.expect("an address").query().is_some_and(|q| q.contains("open=")));
        wait_for(&browser, "#one-line .flag-open").await;
        // Stood at a piece of equipment, its set opened, gone back step by step.
        click(&browser, ".places a").await;
        wait_for(&browser, "#here .steps").await;
        click(&browser, ".places a:nth-of-type(2)").await;
        calm(&browser).await;
        browser.back().await.expect("back");
        calm(&browser).await;
        let first = wait_for(&browser, ".places a").await;
        until(&browser, "here", "the first place again", |_| true).await;
        assert_eq!(first.attr("aria-current").await.expect("readable").as_deref(), Some("true"));
        click(&browser, "#paper a.button").await;
        until(&browser, "reached-words", "all closed again", |text| text.contains("every switch closed")).await;
        assert!(!main.is_selected().await.expect("a state"));
        assert_eq!(bands().await, all);
        assert_eq!(house.text(), farm(), "nothing was written");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_day_is_looked_at_and_a_system_of_the_front_is_taken() {
    let house = House::open("zoom", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, walk) = (house.url.clone(), house.file.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}5")).await.expect("the page opens");
        // A touch in the middle of the map leads to the middle of the year.
        click(&browser, "#charge-map .wide svg").await;
        until(&browser, "day-words", "a day of summer", |text| text.contains(" July:") || text.contains(" June:")).await;
        let day = text_of(&browser, "out-day").await;
        let slider = wait_for(&browser, "#day").await;
        slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
        until(&browser, "out-day", "the next day", |text| !text.is_empty() && text != day).await;
        let next = text_of(&browser, "out-day").await;
        // It stays while something is tried, and over a reload.
        let batteries = wait_for(&browser, "#batteries").await;
        batteries.send_keys(Key::Right + "").await.expect("a slider takes arrows");
        until(&browser, "change", "the change", |text| text.contains("batteries 6 → 7")).await;
        browser.refresh().await.expect("reload");
        calm(&browser).await;
        assert_eq!(text_of(&browser, "out-day").await, next);
        assert!(text_of(&browser, "change").await.contains("batteries 6 → 7"));

        // The search goes on beside the page, is stopped, and any system that has a number is taken by its square.
        browser.goto(format!("{url}4")).await.expect("the page opens");
        click(&browser, "#found form button").await;
        wait_for(&browser, "#search-state").await;
        until(&browser, "search-state", "how far it is", |text| text.contains("walked through their years")).await;
        tokio::time::sleep(Duration::from_secs(3)).await;
        // It may be over by now.
        if browser.find(By::Id("search-state")).await.is_ok() {
            click_now(&browser, "#found form button").await;
        }
        wait_for(&browser, "#take #pick-1").await;
        calm(&browser).await;
        let script = "const drawn = (one) => document.getElementById(`pick-${one.dataset.of}`).closest('label').textContent.includes('as drawn'); \
             const square = [...document.querySelectorAll('.picks .wide [data-of]')].find((one) => !drawn(one)); \
             square.dispatchEvent(new MouseEvent('click', { bubbles: true })); return square.dataset.of";
        let picked = browser.execute(script, vec![]).await.expect("clicked").convert::<String>().expect("a number");
        let radio = wait_for(&browser, &format!("#pick-{picked}")).await;
        assert!(radio.is_selected().await.expect("a state"));
        let system = radio.attr("value").await.expect("readable");
        click(&browser, "#take button").await;
        until(&browser, "notice", "what was written, or why it was not", |text| !text.is_empty()).await;
        assert!(system.is_some());
        until_file(&file, "the system", |text| text != farm()).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_control_is_stepped_by_a_thumb() {
    let house = House::open("nudge", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, walk) = (house.url.clone(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}5")).await.expect("the page opens");
        let more = "[data-knob='batteries'][data-nudge='1']";
        click(&browser, more).await;
        click_now(&browser, more).await;
        until(&browser, "change", "two more", |text| text.contains("batteries 6 → 8")).await;
        click(&browser, "[data-knob='batteries'][data-nudge='-1']").await;
        until(&browser, "change", "one less again", |text| text.contains("batteries 6 → 7")).await;
        assert_eq!(text_of(&browser, "out-batteries").await, "7");
        let (wide, tall) =
            wait_for(&browser, more).await.rect().await.map(|r| (r.width, r.height)).expect("a size");
        assert!(wide >= 44.0 && tall >= 36.0, "{wide} × {tall}");
    })
    .await;
}
