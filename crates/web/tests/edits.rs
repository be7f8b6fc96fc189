//! Edits from pages: what they write, and what they leave alone.
#![allow(clippy::unwrap_used)]

mod house;

use axum::http::StatusCode;
use door::Files;
use house::{FARM, FILE, House, part_of, same};
use std::path::Path;

#[tokio::test(flavor = "multi_thread")]
async fn keeping_changes_one_value_and_keeps_every_comment() {
    let text = FARM.replace("\nparallel = 6\n", "\nparallel = 6   # four now, two in spring\n");
    let house = House::of(&text);
    let (status, _) = house.post(&house.keep_form("/5?batteries=8").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), &text.replace("\nparallel = 6 ", "\nparallel = 8 "));
    let (_, page) = house.get("/5").await;
    assert!(page.contains("Batteries 6 → 8"), "the page says what it wrote");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_strings_moved_together_are_written_together() {
    let house = House::of(FARM);
    let (status, _) = house.post(&house.keep_form("/5?modules=10&tilt=52").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let expected = FARM.replace("count = 9\n", "count = 10\n").replace("tilt = \"48°\"", "tilt = \"52°\"");
    same(&house.text(), &expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_elsewhere_in_the_file_and_an_edit_here_are_both_kept() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    house
        .files
        .write(Path::new(FILE), FARM.replace("tilt = \"48°\"", "tilt = \"40°\" # by hand").as_bytes())
        .unwrap();
    let (status, _) = house.post(&form).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let expected = FARM
        .replace("tilt = \"48°\"", "tilt = \"40°\" # by hand")
        .replace("\nparallel = 6", "\nparallel = 8");
    same(&house.text(), &expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_field_on_both_sides_is_shown_with_both_and_nothing_is_lost() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    let theirs = FARM.replace("\nparallel = 6", "\nparallel = 7 # by hand");
    house.edited_elsewhere(&theirs);
    let (status, page) = house.post(&form).await;
    assert_eq!(status, StatusCode::CONFLICT);
    same(&house.text(), &theirs);
    let notice = part_of(&page, "notice");
    assert!(notice.contains("Changed on both sides") && notice.contains("Batteries678"), "{notice}");
    // What was asked for is still there, now against the file as it is, and can be kept.
    assert!(part_of(&page, "change").contains("batteries 7 → 8"));
    let (status, _) = house.post(&house.keep_form("/5?batteries=8").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), &theirs.replace("\nparallel = 7", "\nparallel = 8"));
}

#[tokio::test(flavor = "multi_thread")]
async fn edits_are_taken_back_to_the_very_bytes_and_done_again() {
    let house = House::of(FARM);
    assert!(!house.get("/5").await.1.contains("take back"), "nothing to take back yet");
    house.post(&house.keep_form("/5?batteries=8").await).await;
    let edited = house.text();
    let (_, page) = house.get("/5").await;
    assert!(page.contains("take back: Batteries 6 → 8"));
    let (status, _) = house.send("/turn", &[("what", "back")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), FARM);
    assert!(house.get("/5").await.1.contains("do again: Batteries 6 → 8"));
    house.send("/turn", &[("what", "again")]).await;
    same(&house.text(), &edited);
    // An edit by hand elsewhere does not keep it from being taken back; one in its line does.
    let by_hand = edited.replace("tilt = \"48°\"", "tilt = \"47°\"");
    house.edited_elsewhere(&by_hand);
    house.send("/turn", &[("what", "back")]).await;
    same(&house.text(), &FARM.replace("tilt = \"48°\"", "tilt = \"47°\""));
    house.send("/turn", &[("what", "again")]).await;
    let over_it = by_hand.replace("\nparallel = 8", "\nparallel = 9");
    house.edited_elsewhere(&over_it);
    let (status, page) = house.send("/turn", &[("what", "back")]).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(part_of(&page, "notice").contains("changed in the file since"));
    same(&house.text(), &over_it);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_remedy_becomes_a_button_once_it_was_studied_and_is_written_when_it_is_taken() {
    // Twelve modules in a row are more than the input takes on the coldest morning.
    let broken = FARM.replace("count = 9\n", "count = 14\n");
    let house = House::of(&broken);
    let (_, before) = house.get("/6").await;
    assert!(!before.contains("make this change"), "nothing is offered that was not studied");
    assert!(house.book.study_remedies());
    let (_, after) = house.get("/6").await;
    assert!(after.contains("make this change"), "{}", part_of(&after, "margin"));
    let form = after.split("action=\"/remedy\"").nth(1).unwrap().split("</form>").next().unwrap();
    let value = |name: &str| {
        let field = form.split(&format!("name=\"{name}\" value=\"")).nth(1).unwrap();
        field.split('"').next().unwrap().replace("&amp;", "&").replace("&quot;", "\"")
    };
    let fields = [("code", value("code")), ("place", value("place")), ("says", value("says"))];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let (status, _) = house.send("/remedy", &fields).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_ne!(house.text(), broken);
    // Gone with the finding: the same button of an older page writes nothing.
    let text = house.text();
    let (status, page) = house.send("/remedy", &fields).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(part_of(&page, "notice").contains("not there any more"));
    same(&house.text(), &text);
    // And it can be taken back.
    house.send("/turn", &[("what", "back")]).await;
    same(&house.text(), &broken);
}
