//! The horizon is drawn over the way of the sun, by hand and by keyboard, and stands in the file when it is kept.
#![cfg(feature = "browser")]

mod browser_house;

use browser_house::{Driver, House, calm, click, farm, text_of, until, until_file, wait_for, walked};
use thirtyfour::prelude::*;

const FIELD: &str = "#horizon-east-field-rack";
const CHANGE: &str = "change-horizon-east-field-rack";
const OVER: &str = "[data-line='horizon-east-field-rack'] .wide .over";

#[tokio::test(flavor = "multi_thread")]
async fn browser_a_hill_is_drawn_moved_kept_and_taken_back() {
    let house = House::open("horizon", &farm());
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, before, walk) = (house.url.clone(), house.file.clone(), house.text(), browser.clone());
    walked(&browser, async move {
        let browser = walk;
        browser.goto(format!("{url}3")).await.expect("the page opens");
        calm(&browser).await;
        click(&browser, "#draw-horizon-east-field-rack summary").await;
        let over = wait_for(&browser, OVER).await;
        over.scroll_into_view().await.expect("it is there");
        // Pressed in the middle of the picture: a hill before the noon sun, level on both sides of it.
        browser.action_chain().move_to_element_center(&over).click().perform().await.expect("pressed");
        let typed = || async {
            let field = wait_for(&browser, FIELD).await;
            field.prop("value").await.expect("a value").unwrap_or_default()
        };
        let hill = typed().await;
        let points: Vec<&str> = hill.split(", ").collect();
        assert_eq!(points.len(), 3, "{hill}");
        assert_eq!((points[0], points[2]), ("165 0", "195 0"));
        assert!(points[1].starts_with("180 "), "{hill}");
        until(&browser, CHANGE, "what it brings", |text| text.contains("none → 3 points")).await;
        calm(&browser).await;

        // Dragged aside and down.
        let top = wait_for(&browser, &format!("{OVER} [data-at='180']")).await;
        let drag = browser.action_chain().click_and_hold_element(&top).move_by_offset(40, 60).release();
        drag.perform().await.expect("dragged");
        let moved = typed().await;
        assert!(!moved.contains("180 ") && moved.split(", ").count() == 3, "{hill} became {moved}");
        calm(&browser).await;

        // By keyboard: one step up, and the left foot taken out.
        let foot = wait_for(&browser, &format!("{OVER} [data-at='165']")).await;
        foot.send_keys(Key::Up + "").await.expect("keys");
        assert!(typed().await.starts_with("165 0.5, "));
        wait_for(&browser, &format!("{OVER} [data-at='165']"))
            .await
            .send_keys(Key::Delete + "")
            .await
            .expect("keys");
        assert_eq!(typed().await.split(", ").count(), 2);
        until(&browser, CHANGE, "what is left", |text| text.contains("none → 2 points")).await;
        calm(&browser).await;
        let wanted = typed().await;
        click(&browser, "form[data-keep] button").await;
        let text = until_file(&file, "the horizon", |text| text.contains("horizon = [")).await;
        for point in wanted.split(", ") {
            let (bearing, up) = point.split_once(' ').expect("two numbers");
            assert!(text.contains(&format!("{{ bearing = \"{bearing}°\", up = \"{up}°\" }}")), "{point}");
        }
        until(&browser, "notice", "what was kept", |text| text.contains("Kept in")).await;
        calm(&browser).await;
        assert_eq!(text_of(&browser, CHANGE).await, "");

        // Taken back, the field and the picture are level again.
        click(&browser, "#turns button[value=back]").await;
        until_file(&file, "the file as it was", |text| text == before).await;
        calm(&browser).await;
        assert_eq!(typed().await, "");
    })
    .await;
}
