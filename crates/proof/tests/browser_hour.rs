//! The first hour: from an empty folder to a house with a book, by clicking and typing only. Every field and every click is
//! counted, and docs/first-hour.md tells them; it is made anew with `UPDATE=1`.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{
    Driver, House, PATIENCE, click, fill, sentence, text_of, until, until_file, wait_for, walked,
};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;

/// A walk that counts.
struct Walk {
    browser: WebDriver,
    steps: Vec<(String, usize, usize)>,
}

impl Walk {
    fn step(&mut self, says: &str) {
        self.steps.push((says.to_string(), 0, 0));
    }

    async fn fill(&mut self, css: &str, text: &str) {
        fill(&self.browser, css, text).await;
        self.steps.last_mut().expect("a step").1 += 1;
    }

    async fn click(&mut self, css: &str) {
        click(&self.browser, css).await;
        self.steps.last_mut().expect("a step").2 += 1;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn browser_the_first_hour_from_an_empty_folder_to_a_book() {
    let house = House::empty("hour");
    let driver = Driver::start();
    let browser = driver.browser().await;
    let steps = walked(&browser, hour(browser.clone(), house.url.clone(), house.file.clone())).await;
    let told = told(&steps);
    let doc = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/first-hour.md");
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&doc, &told).expect("written");
    }
    assert_eq!(fs::read_to_string(&doc).unwrap_or_default(), told, "run with UPDATE=1 and read what changed");
}

async fn hour(browser: WebDriver, url: String, file: PathBuf) -> Vec<(String, usize, usize)> {
    let mut walk = Walk { browser: browser.clone(), steps: Vec::new() };
    browser.goto(&url).await.expect("the page opens");

    walk.step("Say where the house stands: a town, or latitude and longitude.");
    walk.fill("#place", "44.05, -121.3").await;
    walk.click("form[method=get] button").await;

    walk.step("Name it and let the file be written. Height, time zone and supply are proposed.");
    walk.fill("#title", "Juniper House").await;
    walk.click("form[method=post] button.main").await;
    let text = until_file(&file, "the new design", |text| text.contains("Juniper House")).await;
    assert!(text.contains("zone = \"America/Los_Angeles\""));
    until(&browser, "answer", "how much is used", |text| text.contains("kWh")).await;
    let before = sentence(&browser).await;

    walk.step("Add what the house uses: here a well pump. A value that cannot be is refused at its field.");
    walk.click("a.add[href^='/add/load']").await;
    walk.fill("#desk input[name='f.name']", "well pump").await;
    wait_for(&browser, "#desk [name='f.watts']").await;
    walk.fill("#desk [name='f.watts']", "900").await;
    walk.fill("#desk [name='f.volts']", "240").await;
    walk.fill("#desk [name='f.hours']", "1.5").await;
    walk.click("#desk button.main").await;
    until_file(&file, "the pump", |text| text.contains("name = \"well pump\"")).await;
    until(&browser, "answer", "more is used", |text| text.lines().next() != Some(before.as_str())).await;

    walk.step("Say how cold it gets, from the building office: no string can be judged without it.");
    walk.click("#spine a[href='/3']").await;
    walk.click("a.edit[href^='/edit/place?']").await;
    walk.fill("#desk [name='f.coldest.value']", "-25 °C").await;
    walk.fill("#desk [name='f.coldest.basis']", "mean of yearly extremes").await;
    walk.click("#desk button.main").await;
    until_file(&file, "the cold", |text| text.contains("-25 °C")).await;

    walk.step("See whether it carries the year; try more batteries, and keep them.");
    walk.click("#spine a[href='/5']").await;
    until(&browser, "answer", "the answer of the year", |text| text.contains("kWh")).await;
    let stored = sentence(&browser).await;
    let slider = wait_for(&browser, "#batteries").await;
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    walk.steps.last_mut().expect("a step").1 += 1;
    until(&browser, "change", "what changes", |text| text.contains("4 → 6")).await;
    walk.click("form[data-keep] button").await;
    until_file(&file, "two more", |text| text.contains("parallel = 6")).await;
    assert!(!stored.is_empty());

    walk.step("Ask what should be built: the search begins at a press, says how far it is, and what it found is taken.");
    let before_search = fs::read_to_string(&file).expect("readable");
    walk.click("#spine a[href='/4']").await;
    walk.click("#found form[action='/search'] button.main").await;
    // An unoptimised program on a busy machine walks some thousand years here.
    let begun = Instant::now();
    while !text_of(&browser, "found").await.contains("Take one of them") {
        let found = text_of(&browser, "found").await;
        assert!(begun.elapsed() < 8 * PATIENCE, "the search says: {found}");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    assert!(sentence(&browser).await.contains("batteries"), "{}", sentence(&browser).await);
    walk.click("#take button.main").await;
    until_file(&file, "what was found", |now| now.contains("Juniper House") && now != before_search).await;

    walk.step("Ask a number where it comes from.");
    walk.click("#spine a[href='/5']").await;
    walk.click("#answer a.n").await;
    until(&browser, "answer", "its working", |text| text.contains("design line")).await;

    walk.step("Read what is still open and whom to ask.");
    walk.click("#spine a[href='/1']").await;
    until(&browser, "tables", "the open questions", |text| text.contains("Open questions")).await;

    walk.step("Take the book away.");
    walk.click(".tools a[href='/files']").await;
    let taken = file.with_file_name("taken");
    let where_to = serde_json::json!({ "behavior": "allow", "downloadPath": taken.display().to_string() });
    browser.cdp().send_raw("Browser.setDownloadBehavior", where_to).await.expect("a place for what is taken");
    walk.click("a[href='/export/book.html']").await;
    let whole = |text: &str| text.contains("Juniper House") && text.trim_end().ends_with("</html>");
    until_file(&taken.join("house-book.html"), "the book", whole).await;
    walk.steps
}

fn told(steps: &[(String, usize, usize)]) -> String {
    let mut text = String::from(
        "# The first hour\n\nFrom an empty folder to a house with answers and a book, by clicking and typing only. A test walks this way in a real\n\
         browser and counts; this page is made by it.\n\n| Step | Fields | Clicks |\n|---|---|---|\n",
    );
    for (says, fields, clicks) in steps {
        let _ = writeln!(text, "| {says} | {fields} | {clicks} |");
    }
    let sum = |of: fn(&(String, usize, usize)) -> usize| steps.iter().map(of).sum::<usize>();
    let _ = writeln!(text, "| **Together** | **{}** | **{}** |", sum(|step| step.1), sum(|step| step.2));
    text.push_str(
        "\nWhat was in the way when this walk was first made, and is not any more:\n\n\
         - A new design had to be begun at the command line, and its time zone known by name. A town is enough now.\n\
         - A new thing had to be begun in the file before it could be filled in. The form takes all of it at once, and says at the\n\
           field what is still needed.\n\
         - The form was a page of its own, and the answer it moved was out of sight. It lies over the page now, which follows.\n\
         - What a new load draws was folded away among the fields that may stay blank. A new thing shows all its fields.\n",
    );
    text
}
