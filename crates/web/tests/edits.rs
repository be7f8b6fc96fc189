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
    assert!(house.book().study_remedies());
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

/// Addresses of a kind on a page, in order and once each.
fn addresses(page: &str, start: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for rest in page.split("href=\"").skip(1) {
        let address = rest.split(['"', '#']).next().unwrap().replace("&amp;", "&");
        if address.starts_with(start) && !found.contains(&address) {
            found.push(address);
        }
    }
    found
}

/// The fields of the form of a thing as the page shows them, as a browser would send them.
fn fields(page: &str) -> Vec<(String, String)> {
    let form = page.split("<form class=\"fields\"").nth(1).expect("a form").split("</form>").next().unwrap();
    let plain = |text: &str| {
        text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
    };
    let value = |tag: &str, name: &str| {
        tag.split(&format!(" {name}=\"")).nth(1).map(|rest| plain(rest.split('"').next().unwrap()))
    };
    let mut found = Vec::new();
    for tag in form.split("<input").skip(1) {
        let tag = tag.split('>').next().unwrap();
        let name = value(tag, "name").expect("every field has a name");
        if name != "token" {
            found.push((name, value(tag, "value").unwrap_or_default()));
        }
    }
    for select in form.split("<select").skip(1) {
        let select = select.split("</select>").next().unwrap();
        let chosen = select.split("<option").find(|option| option.contains(" selected"));
        found.push((
            value(select, "name").unwrap(),
            chosen.and_then(|o| value(o, "value")).unwrap_or_default(),
        ));
    }
    found
}

fn pairs<'a>(fields: &'a [(String, String)], changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let changed = |name: &str| changes.iter().find(|(key, _)| *key == name).map(|(_, value)| *value);
    let mut pairs: Vec<(&str, &str)> =
        fields.iter().map(|(name, value)| (name.as_str(), changed(name).unwrap_or(value))).collect();
    for (name, value) in changes {
        if !pairs.iter().any(|(known, _)| known == name) {
            pairs.push((name, value));
        }
    }
    pairs
}

#[tokio::test(flavor = "multi_thread")]
async fn every_thing_of_every_demo_has_a_form_that_sent_back_unchanged_writes_nothing() {
    for design in [house::FARM, house::CABIN, house::HARBOUR] {
        let mut forms = 0;
        let house = House::of(design);
        for question in 1..=9 {
            let (_, page) = house.get(&format!("/{question}")).await;
            for address in addresses(&page, "/edit") {
                let (status, page) = house.get(&address).await;
                assert_eq!(status, StatusCode::OK, "{address}");
                assert!(page.contains("class=\"thing\""), "{address}");
                let fields = fields(&page);
                let (status, page) = house.send(&address, &pairs(&fields, &[("do", "save")])).await;
                assert_eq!(status, StatusCode::SEE_OTHER, "{address}: {}", part_of(&page, "content"));
                forms += 1;
            }
        }
        same(&house.text(), design);
        // Tables that are not there yet have their form too.
        let things = design::Design::of_text(design).items.len();
        assert!(forms >= things, "{forms} forms for {things} things");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_field_is_written_as_people_write_it_and_a_wrong_one_is_said_at_its_place() {
    let house = House::of(FARM);
    let address = "/edit/bank.rack?from=5";
    let (_, page) = house.get(address).await;
    let sent = fields(&page);
    let (status, page) = house.send(address, &pairs(&sent, &[("f.parallel", "many"), ("do", "save")])).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(page.contains("value=\"many\"") && page.contains("aria-invalid=\"true\""));
    assert!(part_of(&page, "ef-parallel").len() > 10);
    same(&house.text(), FARM);
    let (status, page) = house.send(address, &pairs(&sent, &[("f.parallel", "many"), ("do", "check")])).await;
    assert!(status == StatusCode::OK && page.contains("aria-invalid=\"true\""), "checked while typing");
    let (status, _) = house.send(address, &pairs(&sent, &[("f.parallel", " 7 "), ("do", "save")])).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), &FARM.replace("\nparallel = 6\n", "\nparallel = 7\n"));
    // The same form once more, from a page that had read 6: both sides are shown and nothing is lost.
    let (status, page) = house.send(address, &pairs(&sent, &[("f.parallel", "9"), ("do", "save")])).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(page.contains("Changed on both sides") && page.contains("value=\"9\""));
    let (status, _) = house.send(address, &pairs(&fields(&page), &[("do", "save")])).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "kept again knowingly");
    same(&house.text(), &FARM.replace("\nparallel = 6\n", "\nparallel = 9\n"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_thing_is_begun_doubled_renamed_moved_and_taken_out_and_all_of_it_taken_back() {
    let house = House::of(FARM);
    let (_, page) = house.get("/add/load?from=2").await;
    let new = [("f.name", "greenhouse fan"), ("f.watts", "45"), ("f.hours", "6"), ("do", "save")];
    let (status, page) = house.send("/add/load?from=2", &pairs(&fields(&page), &new)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", part_of(&page, "content"));
    assert!(house.text().contains("[[load]]\nname = \"greenhouse fan\"\n"));
    let thing = "/edit/load.greenhouse%20fan?from=2";
    let (_, page) = house.get(thing).await;
    let deed = |deed: &'static str| vec![("do", deed), ("copy", "second fan")];
    let (status, page) = house.send(thing, &pairs(&fields(&page), &deed("thing-double"))).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", part_of(&page, "content"));
    assert!(house.text().contains("name = \"second fan\"\nwatts = 45"));
    let second = "/edit/load.second%20fan?from=2";
    let (_, page) = house.get(second).await;
    let (status, _) = house.send(second, &pairs(&fields(&page), &deed("thing-up"))).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let text = house.text();
    assert!(text.find("second fan").unwrap() < text.find("greenhouse fan").unwrap());
    let (_, page) = house.get(second).await;
    let rename = [("f.name", "cold frame fan"), ("do", "save")];
    let (status, _) = house.send(second, &pairs(&fields(&page), &rename)).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let third = "/edit/load.cold%20frame%20fan?from=2";
    let (_, page) = house.get(third).await;
    let (status, _) = house.send(third, &pairs(&fields(&page), &deed("thing-out"))).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(!house.text().contains("cold frame fan"));
    for _ in 0..5 {
        let (status, _) = house.send("/turn", &[("what", "back")]).await;
        assert_eq!(status, StatusCode::SEE_OTHER);
    }
    same(&house.text(), FARM);
    assert_eq!(house.get("/edit/load.nothing").await.0, StatusCode::NOT_FOUND);
    assert_eq!(house.get("/add/nothing").await.0, StatusCode::NOT_FOUND);
}

#[tokio::test(flavor = "multi_thread")]
async fn any_value_in_any_field_of_any_form_leaves_a_design_that_reads_as_before_or_writes_nothing() {
    let house = House::of(FARM);
    let strange =
        ["\"", "]\n[x]", "= 3", "\u{0}", "# x", "{", "1e999", "NaN", "🌞", "-1", "../../etc/passwd"];
    let problems = design::Design::of_text(FARM).problems.len();
    let mut tried = 0;
    for address in
        ["/edit?from=1", "/edit/place?from=3", "/edit/bank.rack", "/edit/load.well%20pump", "/edit/promise"]
    {
        let (status, page) = house.get(address).await;
        if status != StatusCode::OK {
            continue;
        }
        let sent = fields(&page);
        let keys: Vec<&str> = sent.iter().filter_map(|(name, _)| name.strip_prefix("f.")).collect();
        for (at, key) in keys.iter().enumerate() {
            let name = format!("f.{key}");
            let value = strange[at % strange.len()];
            let (status, _) = house.send(address, &pairs(&sent, &[(&name, value), ("do", "save")])).await;
            assert!(
                status == StatusCode::CONFLICT || status == StatusCode::SEE_OTHER,
                "{address} {name} {value}"
            );
            let text = house.text();
            assert_eq!(design::Design::of_text(&text).problems.len(), problems, "{address} {name} {value:?}");
            house.edited_elsewhere(FARM);
            tried += 1;
        }
    }
    assert!(tried > 40, "{tried}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_horizon_is_tried_typed_and_kept_without_scripts() {
    let house = House::of(FARM);
    let (_, tried) = house.get("/3?horizon-east-field-rack=150+20,+210+25").await;
    assert!(tried.contains("horizon of the east field rack none → 2 points up to 25°"));
    assert_eq!(house.text(), FARM);
    // What cannot be taken is said beside the field, which keeps it.
    let (_, refused) = house.get("/3?horizon-east-field-rack=north+20").await;
    assert!(refused.contains("&quot;north 20&quot; is not a bearing and a height"));
    assert!(refused.contains("value=\"north 20\"") && refused.contains("aria-invalid=\"true\""));
    let form = house.keep_form("/3?horizon-east-field-rack=150+20,+210+25").await;
    let (status, _) = house.post(&form).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let kept = house.text();
    assert!(
        kept.contains("{ bearing = \"150°\", up = \"20°\" },\n  { bearing = \"210°\", up = \"25°\" },\n]"),
        "{kept}"
    );
    // From a page that knew of none: the other side is shown and nothing is lost.
    let (status, clash) = house.post(&form.replace("210", "220")).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(clash.contains("Changed on both sides") && clash.contains("150 20, 210 25"));
    assert_eq!(house.text(), kept);
    // An empty field is a level horizon again.
    let form = house.keep_form("/3?horizon-east-field-rack=").await;
    let (status, _) = house.post(&form).await;
    assert_eq!((status, house.text().as_str()), (StatusCode::SEE_OTHER, FARM));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_form_that_no_page_has_made_does_nothing_and_says_so() {
    let house = House::of(FARM);
    for (path, fields) in [
        ("/edit/load.lights?from=2", [("do", "explode")]),
        ("/pin", [("what", "zzz")]),
        ("/search", [("what", "zzz")]),
        ("/devices", [("away", "zz")]),
    ] {
        let (status, page) = house.send(path, &fields).await;
        assert_eq!(status, StatusCode::CONFLICT, "{path}");
        assert!(page.contains("no such"), "{path}");
    }
    assert_eq!(house.text(), FARM);
    // What is not there is a page with the way back.
    let (status, page) = house.get("/11").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    assert!(page.contains("</html>") && page.contains("to the workbook"));
}
