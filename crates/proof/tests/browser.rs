//! The workbook in a real browser: Chromium driven through its WebDriver, as a person would with the keyboard.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{Driver, House, calm, farm, sentence, text_of, until};
use std::fs;
use std::path::PathBuf;
use thirtyfour::prelude::*;

/// One walk: read the answer, open a working, move a control with the keyboard, keep it, edit by hand, break and mend.
#[tokio::test(flavor = "multi_thread")]
async fn browser_a_slider_moved_by_keyboard_is_kept_in_the_file_and_the_page_follows_the_file() {
    let before = farm();
    let house = House::open("walk", &before);
    let driver = Driver::start();
    let browser = driver.browser().await;
    // Ends the browser also when an assertion below fails: the walk is a task of its own.
    let walked = tokio::spawn(walk(browser.clone(), house.url.clone(), house.file.clone(), before)).await;
    browser.quit().await.ok();
    if let Err(failed) = walked {
        std::panic::resume_unwind(failed.into_panic());
    }
    assert!(house.text().contains("tilt = \"40°\""), "the last text is the one written by hand");
}

async fn walk(browser: WebDriver, url: String, file: PathBuf, before: String) {
    browser.goto(&url).await.expect("the page opens");
    assert!(browser.current_url().await.expect("an address").path() == "/5", "the door leads to the year");
    until(&browser, "answer", "the answer", |text| text.contains("hours")).await;
    let stored = sentence(&browser).await;

    // A number opens its working in place.
    let number = browser.find(By::Css("#answer a.n")).await.expect("a figure in the sentence");
    number.send_keys(Key::Enter + "").await.expect("a link takes Enter");
    until(&browser, "answer", "its working", |text| text.contains("design lines")).await;

    // Two steps to the right: the sentence changes, the file does not.
    let slider = browser.find(By::Id("batteries")).await.expect("the control");
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    until(&browser, "change", "the change", |text| text.contains("batteries 6 → 8")).await;
    let tried = sentence(&browser).await;
    assert_ne!(tried, stored, "the answer came with the change");
    assert_eq!(text_of(&browser, "out-batteries").await, "8");
    until(&browser, "step-batteries", "what one more brings", |text| text.contains("+$1,251.22")).await;
    assert_eq!(fs::read_to_string(&file).expect("readable"), before, "trying writes nothing");
    let address = browser.current_url().await.expect("an address");
    assert_eq!(address.query(), Some("batteries=8"), "a reload shows the same");

    // What the minutes bring comes when it is unfolded, and anew when the house is another.
    let fold = browser.find(By::Css("#minutes-fold summary")).await.expect("it is named");
    assert!(!text_of(&browser, "minutes").await.contains("by minutes"), "and not walked yet");
    fold.send_keys(Key::Enter + "").await.expect("a summary takes Enter");
    let of_eight = until(&browser, "minutes", "the minutes", |text| text.contains("out of the cells")).await;
    slider.send_keys(Key::Left + "").await.expect("a slider takes arrows");
    let another = |text: &str| text.contains("out of the cells") && text != of_eight;
    until(&browser, "minutes", "the minutes of seven", another).await;
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    until(&browser, "minutes", "the minutes of eight again", |text| text == of_eight).await;
    fold.send_keys(Key::Enter + "").await.expect("a summary takes Enter");

    // Kept: one value changed, its comment stays.
    calm(&browser).await;
    let keep = browser.find(By::Css("form[data-keep] button")).await.expect("the button");
    keep.send_keys(Key::Enter + "").await.expect("a button takes Enter");
    until(&browser, "notice", "the word that it was written", |text| text.contains("Batteries 6 → 8")).await;
    let kept = fs::read_to_string(&file).expect("readable");
    assert_eq!(kept, before.replace("\nparallel = 6   # four", "\nparallel = 8   # four"));
    assert_eq!(sentence(&browser).await, tried);

    // Edited by hand: the page follows, the control too.
    let by_hand =
        kept.replace("\nparallel = 8 ", "\nparallel = 7 ").replace("tilt = \"48°\"", "tilt = \"40°\"");
    fs::write(&file, &by_hand).expect("written by hand");
    until(&browser, "out-batteries", "the file's number", |text| text == "7").await;
    until(&browser, "out-tilt", "the file's tilt", |text| text == "40°").await;
    let slider = browser.find(By::Id("batteries")).await.expect("the control");
    assert_eq!(slider.prop("value").await.expect("a value").as_deref(), Some("7"));
    let followed = sentence(&browser).await;

    // Broken by hand: the last answer stays, the place is shown, the controls are off; mended, they are on again.
    fs::write(&file, by_hand.replace("\nparallel = 7", "\nparallel = = 7")).expect("written by hand");
    until(&browser, "notice", "the broken place", |text| text.contains("parallel = = 7")).await;
    assert_eq!(sentence(&browser).await, followed);
    assert!(!slider.is_enabled().await.expect("a state"));
    fs::write(&file, &by_hand).expect("written by hand");
    until(&browser, "notice", "nothing to say", str::is_empty).await;
    assert!(slider.is_enabled().await.expect("a state"));
}
