//! Pages of the workbook, and everything that is only looked at.
#![allow(clippy::unwrap_used)]

mod house;

use axum::body::{Body, to_bytes};
use axum::http::{StatusCode, header};
use door::InMemory;
use futures_core::Stream;
use house::{CABIN, FARM, FILE, HARBOUR, House, WRONG, bench_over, here, part_of, request, same};
use std::pin::pin;
use std::sync::Arc;
use tower::ServiceExt;
use web::app;

#[tokio::test(flavor = "multi_thread")]
async fn every_page_of_every_demo_is_whole() {
    for design in [FARM, CABIN, HARBOUR] {
        let house = House::of(design);
        for question in 1..=10 {
            let (status, page) = house.get(&format!("/{question}")).await;
            assert_eq!(status, StatusCode::OK);
            assert!(page.contains("class=\"answer\"") && page.contains("</html>"), "page {question}");
            assert_eq!(page.matches("aria-current=\"page\"").count(), 2, "the spine, wide and folded");
            // Nothing inline and nothing from elsewhere, or the policy would be a lie.
            for outside in [" style=\"", "<style", "onclick", "src=\"http", "href=\"http"] {
                assert!(!page.contains(outside), "page {question} has {outside}");
            }
            assert_eq!(page.matches("<script").count(), 1);
            let lower = page.to_lowercase();
            for word in ["not a number", "nan ", " safe ", "legal", "approved"] {
                assert!(!lower.contains(word), "page {question} says {word}");
            }
        }
        let (_, page) = house.get("/5").await;
        let mut ids: Vec<&str> =
            page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let before = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), before, "an id stands twice");
        assert!(page.contains("id=\"charge-wide\"") && page.contains("id=\"charge-phone\""));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_door_leads_to_the_year_and_unknown_doors_lead_nowhere() {
    let house = House::of(FARM);
    let (status, _) = house.get("/").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    for path in ["/0", "/11", "/5x", "/x/y", "/why/nothing", "/../etc/passwd", "/assets/../Cargo.toml"] {
        assert_eq!(house.get(path).await.0, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn trying_changes_the_answer_and_not_the_file() {
    let house = House::of(FARM);
    let (_, stored) = house.get("/5").await;
    let (status, tried) = house.part("/5?batteries=8", "answer").await;
    assert_eq!(status, StatusCode::OK);
    assert_ne!(part_of(&stored, "answer")[..200], part_of(&tried, "answer")[..200]);
    assert!(part_of(&tried, "change").contains("batteries 6 → 8"));
    // Two more batteries at the 1,240 each that the design states, and their links: both poles, 22 in, a fifth to
    // spare, at 2.55 a foot.
    assert!(part_of(&tried, "change").contains("+$2,502.44"), "{}", &part_of(&tried, "change")[..200]);
    assert!(tried.contains("/why/year/load?batteries=8"), "workings are of what is tried");
    same(&house.text(), FARM);
}

#[tokio::test(flavor = "multi_thread")]
async fn each_control_says_what_one_more_step_brings() {
    let house = House::of(FARM);
    let (_, steps) = house.part("/5", "steps").await;
    // One more battery of 1,240 with its links of 11.22; one more module of 118 in each of two strings.
    assert!(part_of(&steps, "step-batteries").contains("+$1,251.22"), "{steps}");
    assert!(part_of(&steps, "step-modules").contains("+$236"), "{steps}");
    assert!(part_of(&steps, "step-tilt").starts_with("5° steeper:"), "{steps}");
    let (_, whole) = house.get("/5?steps=1").await;
    assert!(whole.contains("+$1,251.22") && whole.contains("</html>"), "also without scripts");
    let (_, first) = house.get("/5").await;
    assert!(first.contains("one more: …"), "the first page does not wait for it");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_takes_its_time_is_walked_for_who_unfolds_it_and_for_nobody_else() {
    let house = House::of(FARM);
    for (page, name, caption, row) in [
        (5, "minutes", "What the hours hide", "loads ask more than the inverters give"),
        (5, "without-a-unit", "while one unit is out of order", "its strings are gone"),
        (6, "minutes", "Busiest minutes", "busiest minute"),
    ] {
        let (_, whole) = house.get(&format!("/{page}?batteries=8")).await;
        assert!(whole.contains(caption) && !whole.contains(row), "page {page} names it and leaves it out");
        let link = format!("/{page}?batteries=8&amp;later={name}#{name}");
        assert!(whole.contains(&format!("href=\"{link}\"")), "without scripts a link shows it");
        let address = format!("/{page}?batteries=8&later={name}");
        let (_, shown) = house.get(&address).await;
        assert!(
            shown.contains(row)
                && shown.contains(&format!("<details class=\"days\" id=\"{name}-fold\" open>"))
        );
        let rest = shown.split(&format!("id=\"{name}\"")).nth(1).unwrap().split("/why/").nth(1).unwrap();
        let working = format!("/why/{}", rest.split('"').next().unwrap());
        assert_eq!(house.get(&working).await.0, StatusCode::OK, "{working}");
        let (_, moved) = house.part(&address, "answer").await;
        assert!(!moved.contains(row), "a slider in motion does not wait for it");
        let (status, alone) = house.part(&format!("/{page}?batteries=8"), name).await;
        assert_eq!(status, StatusCode::OK);
        assert!(alone.contains(row) && !alone.contains("class=\"answer\""), "the part alone");
    }
    let unknown = House::of(&FARM.replace("tilt = \"48°\"", "tilt = \"\""));
    assert!(!unknown.get("/5").await.1.contains("-fold"), "where there is no year there is nothing to walk");
}

#[tokio::test(flavor = "multi_thread")]
async fn values_that_cannot_be_are_told_and_change_nothing() {
    let house = House::of(FARM);
    let (_, stored) = house.get("/5").await;
    let long = "9".repeat(3000);
    for value in
        ["abc", "-1", "0", "7.5", "1e99", "NaN", "inf", "", "%00", "%F0%9F%A6%89", "%FF", long.as_str()]
    {
        let (status, page) = house.get(&format!("/5?batteries={value}")).await;
        assert_eq!(status, StatusCode::OK, "{value}");
        assert!(page.contains("is not a whole number from 1 to 12"), "{value}");
        assert_eq!(part_of(&page, "answer")[..200], part_of(&stored, "answer")[..200]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_text_that_breaks_leaves_the_last_answer_and_refuses_edits() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    let (_, before) = house.get("/5").await;
    let broken = FARM.replace("\nparallel = 6", "\nparallel = = 6");
    house.edited_elsewhere(&broken);
    let (status, page) = house.get("/5").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(part_of(&page, "answer")[..200], part_of(&before, "answer")[..200]);
    let line = broken.lines().position(|line| line.contains("= =")).unwrap() + 1;
    let notice = part_of(&page, "notice");
    assert!(notice.contains(&format!("Line {line}:")) && notice.contains("parallel = = 6"), "{notice}");
    assert!(page.contains("aria-describedby=\"step-batteries\" disabled"));
    let (status, page) = house.post(&form).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(part_of(&page, "notice").contains("Not written"));
    same(&house.text(), &broken);
    // Mended by hand it goes on by itself.
    house.edited_elsewhere(&FARM.replace("\nparallel = 6", "\nparallel = 7"));
    let (_, page) = house.get("/5").await;
    assert!(!part_of(&page, "notice").contains("cannot be read") && page.contains("data-stored=\"7\""));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_text_that_is_broken_from_the_start_is_never_answered_from_its_readable_part() {
    // The load that cannot be read would otherwise be left out and the answer be better for it.
    let house = House::of(&FARM.replace("watts = 140", "watts = = 140"));
    let (status, page) = house.get("/5").await;
    assert_eq!(status, StatusCode::OK);
    assert!(part_of(&page, "answer").starts_with("Cannot be said until the design file can be read."));
    for bytes in [&b""[..], b"\xff\xfe\x00", b"[[", b"wattwright = 1"] {
        let bench = bench_over(Arc::new(InMemory::with(FILE, bytes)), None);
        bench.open(FILE.into()).unwrap();
        let reply = app(bench).oneshot(here(request("/5").body(Body::empty()).unwrap())).await.unwrap();
        assert_eq!(reply.status(), StatusCode::OK, "{bytes:?}");
        let body = to_bytes(reply.into_body(), 10_000_000).await.unwrap();
        assert!(String::from_utf8_lossy(&body).contains("Cannot be said"), "{bytes:?}");
    }
    let bench = bench_over(Arc::new(InMemory::default()), None);
    assert!(bench.open("nothing.toml".into()).is_err());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_missing_fact_is_named_with_whom_to_ask() {
    let house = House::of(&FARM.replace("voc = \"38.9 V\"\n", ""));
    let (_, page) = house.get("/5").await;
    let answer = part_of(&page, "answer");
    assert!(answer.starts_with("Cannot be said until"), "{}", &answer[..200]);
    assert!(
        answer[..400].contains("module.field.voc") && answer[..400].contains("the data sheet"),
        "{}",
        &answer[..400]
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn every_figure_on_the_page_opens_its_working() {
    let house = House::of(FARM);
    let (_, page) = house.get("/5?batteries=7").await;
    let mut links: Vec<&str> =
        page.split("href=\"/why/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    links.sort_unstable();
    links.dedup();
    assert!(links.len() > 90, "the sentence and twelve months: {}", links.len());
    for link in links.iter().step_by(9) {
        let (status, working) = house.part(&format!("/why/{link}"), "working").await;
        assert_eq!(status, StatusCode::OK, "{link}");
        assert!(working.contains("design line"), "{link} does not lead to the design");
    }
    let (_, working) = house.part("/why/strings/north-row/cold-voc", "working").await;
    // Ends in the very lines that state count, voltage, coefficient and coldest day.
    let line = |needle: &str| FARM.lines().position(|line| line.starts_with(needle)).unwrap() + 1;
    for needle in ["voc = ", "voc_per_kelvin", "coldest = "] {
        assert!(working.contains(&line(needle).to_string()), "{needle}");
    }
    assert!(working.contains("690.7"), "the clause");
    let (status, whole) = house.get("/why/strings/north-row/cold-voc").await;
    assert!(status == StatusCode::OK && whole.contains("<nav"), "a page of its own without scripts");
}

/// How many numbers stand in the tables of a page, and how many of them open no working.
fn numbers(page: &str) -> (usize, usize) {
    let cells = page.split("<td class=\"number").skip(1).filter_map(|rest| rest.split("</td>").next());
    let says_a_number = |cell: &&str| {
        let texts = cell.split('>').skip(1).filter_map(|text| text.split('<').next());
        texts.into_iter().any(|text| text.contains(|c: char| c.is_ascii_digit()))
    };
    let all: Vec<&str> = cells.filter(says_a_number).collect();
    (all.len(), all.iter().filter(|cell| !cell.contains("href=\"/why/")).count())
}

#[tokio::test(flavor = "multi_thread")]
async fn numbers_of_the_tables_open_their_working() {
    let house = House::of(FARM);
    // Without a figure of their own are what is read off a grid that was chosen for a picture, places and counts of things, years
    // of weather, and what is stated just above. No more than these may be mute.
    let most = [(2, 300), (3, 400), (4, 20), (5, 860), (6, 45), (7, 45), (8, 230)];
    let mut counted = Vec::new();
    for (page, most) in most {
        let (_, text) = house.get(&format!("/{page}")).await;
        let (all, mute) = numbers(&text);
        counted.push((page, all, mute, mute <= most));
    }
    assert!(counted.iter().all(|page| page.3), "page, numbers, those that open no working: {counted:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn open_pages_hear_of_every_change_of_the_file() {
    let house = House::of(FARM);
    let reply =
        house.app.clone().oneshot(here(request("/events").body(Body::empty()).unwrap())).await.unwrap();
    assert_eq!(reply.headers()[header::CONTENT_TYPE], "text/event-stream");
    let mut stream = pin!(reply.into_body().into_data_stream());
    let mut next = async || {
        let frame =
            std::future::poll_fn(|context| stream.as_mut().poll_next(context)).await.unwrap().unwrap();
        String::from_utf8(frame.to_vec()).unwrap()
    };
    // The stream begins with the turn at which the workbook is, which a page made before it can be older than.
    let text = next().await;
    assert!(text.contains("event: changed") && text.contains("data: 1"), "{text}");
    let (_, page) = house.get("/2").await;
    assert!(page.contains("data-turn=\"1\""));
    house.book().look_again();
    house.edited_elsewhere(&FARM.replace("\nparallel = 6", "\nparallel = 7"));
    // The look without a change told nothing, so the next word is of turn 2.
    let text = next().await;
    assert!(text.contains("event: changed") && text.contains("data: 2"), "{text}");
}

/// Page 4 as soon as it says what is wanted.
async fn searched(house: &House, wanted: impl Fn(&str) -> bool) -> String {
    for _ in 0..6000 {
        let (_, page) = house.get("/4").await;
        if wanted(&page) {
            return page;
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    panic!("page 4 never said what was waited for");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_search_is_stopped_and_any_of_what_it_found_is_taken() {
    let house = House::of(FARM);
    let (status, _) = house.send("/search", &[("from", "4")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "the page does not wait for the search");
    let (_, page) = house.get("/4").await;
    assert!(page.contains("id=\"search-state\""), "it is at work");
    house.send("/search", &[("from", "4"), ("what", "stop")]).await;
    searched(&house, |page| !page.contains("id=\"search-state\"")).await;
    // Begun again it goes to its end, or to the end of a few systems: here to whatever it has when it is stopped late.
    house.send("/search", &[("from", "4")]).await;
    let page =
        searched(&house, |page| page.contains("id=\"pick-1\"") || page.contains("systems walked")).await;
    if !page.contains("id=\"pick-1\"") {
        tokio::time::sleep(std::time::Duration::from_secs(2)).await;
        house.send("/search", &[("from", "4"), ("what", "stop")]).await;
    }
    let page = searched(&house, |page| page.contains("id=\"pick-1\"")).await;
    let system = |page: &str| {
        let last = page.split("name=\"system\"").last().unwrap().to_string();
        last.split("value=\"").nth(1).unwrap().split('"').next().unwrap().to_string()
    };
    let last = system(&page);
    let (status, _) = house.send("/take", &[("from", "4"), ("system", "999999999")]).await;
    assert_eq!(
        (status, house.text().as_str()),
        (StatusCode::CONFLICT, FARM),
        "what was not listed is not taken"
    );
    let (status, _) = house.send("/take", &[("from", "4"), ("system", last.as_str())]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = house.get("/4").await;
    assert!(house.text() != FARM || page.contains("as drawn"), "the system is in the file");
    // The search was of the text before: another number of it is not taken any more.
    if house.text() != FARM {
        let (status, _) = house.send("/take", &[("from", "4"), ("system", last.as_str())]).await;
        assert_eq!(status, StatusCode::CONFLICT);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_to_build_is_searched_for_when_it_is_asked_for() {
    let house = House::of(FARM);
    let (_, page) = house.get("/4").await;
    assert!(part_of(&page, "found").contains("search for the first that keeps the promise"));
    // A design without anything to vary says what to do.
    let house = House::of("wattwright = 1\ntitle = \"x\"\ncurrency = \"USD\"\n");
    let (status, _) = house.send("/search", &[("from", "4")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let page = searched(&house, |page| page.contains("nothing to vary")).await;
    assert!(!part_of(&page, "found").contains("search for the first"));
    let (status, page) = house.send("/take", &[("from", "4")]).await;
    assert!(status == StatusCode::CONFLICT && part_of(&page, "notice").contains("search again"));
}

/// Keys of the switches on page 7 that break load, in order.
fn keys(page: &str) -> Vec<String> {
    let boxes = page.split("type=\"checkbox\" id=\"open-").skip(1);
    boxes.map(|rest| rest.split('"').next().unwrap().to_string()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn switches_are_opened_on_paper_and_the_file_stays_as_it_is() {
    let house = House::of(FARM);
    let (_, page) = house.get("/7").await;
    let before = page.clone();
    assert!(before.contains("With every switch closed") && before.contains("On paper only"));
    let all = keys(&page);
    assert!(all.len() > 5, "{all:?}");
    let query: Vec<String> = all.iter().map(|key| format!("open={key}")).collect();
    let (_, page) = house.get(&format!("/7?{}&open=nothing-of-that-name", query.join("&"))).await;
    let opened = page;
    // What no switch parts is still there, whatever is opened.
    assert!(
        opened.contains(&format!("With {} switches open on paper", all.len())),
        "the stranger is passed over"
    );
    assert!(opened.contains("are still reached by") && opened.contains("utility"));
    let bands = |page: &str| page.matches("class=\"reached\"").count();
    assert!(bands(&opened) < bands(&before), "{} of {}", bands(&opened), bands(&before));
    assert!(opened.contains("class=\"flag-open\"") && opened.contains("no source of this design"));
    // Standing at each place: its steps, and the set that parts it is a link that opens it.
    let places: Vec<String> = before
        .split("href=\"/7?at=")
        .skip(1)
        .map(|rest| rest.split(['#', '"']).next().unwrap().to_string())
        .collect();
    assert!(places.len() > 5);
    for place in places {
        let (_, page) = house.get(&format!("/7?at={place}")).await;
        assert!(page.contains("Before it is opened:") && page.contains("class=\"symbol-here\""), "{place}");
    }
    assert_eq!(house.text(), FARM);
}

#[tokio::test(flavor = "multi_thread")]
async fn no_page_calls_anything_dead_safe_legal_or_approved() {
    for demo in [FARM, CABIN, HARBOUR] {
        let house = House::of(demo);
        for number in 1..=10 {
            let (_, page) = house.get(&format!("/{number}")).await;
            let body = page.split("<body").nth(1).unwrap();
            // Text between tags, without attributes and without the owner's own words for things.
            let text: String =
                body.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text).collect();
            let lower = text.to_lowercase();
            for word in ["dead", "safe", "legal", "approved"] {
                let found = lower.split(|c: char| !c.is_alphanumeric()).position(|one| one == word);
                let around = found.map(|at| {
                    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).collect();
                    words[at.saturating_sub(8)..(at + 8).min(words.len())].join(" ")
                });
                assert_eq!(around, None, "{word} on page {number}");
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn lengths_sizes_and_bearing_are_tried_and_kept_like_batteries() {
    let house = House::of(FARM);
    let (_, page) = house.get("/7?length-workshop-to-house=120").await;
    let change = part_of(&page, "change");
    assert!(change.contains("longest stretch, workshop to house 96 ft → 120 ft"), "{change}");
    assert!(change.contains("drop ") && change.contains('%'), "{change}");
    assert_eq!(house.text(), FARM, "trying writes nothing");
    // The owner's own size, one further in the table of trade sizes: 4/0 AWG is followed by 250 kcmil.
    let knob = page.split("id=\"size-bus-to-inverter-a\"").nth(1).unwrap();
    let of =
        |name: &str| knob.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().to_string();
    let stored: usize = of("data-stored").parse().unwrap();
    assert_eq!(of("data-words").split('|').nth(stored), Some("4/0 AWG"));
    assert_eq!(of("data-words").split('|').nth(stored + 1), Some("250 kcmil"));
    let next = (stored + 1).to_string();
    let keep = |fields: &[(&str, &str)]| {
        let fields: Vec<(String, String)> =
            fields.iter().map(|(name, value)| (name.to_string(), value.to_string())).collect();
        fields
    };
    for (fields, from, to) in [
        (keep(&[("size-bus-to-inverter-a", &next)]), "conductor = \"4/0 AWG\"", "conductor = \"250 kcmil\""),
        (keep(&[("length-workshop-to-house", "120")]), "length = \"96 ft\"", "length = \"120 ft\""),
        (keep(&[("bearing", "183")]), "bearing = \"178°\"", "bearing = \"183°\""),
    ] {
        let before = house.text();
        let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        let (status, _) = house.send("/keep", &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER);
        assert_eq!(house.text(), before.replacen(from, to, 1));
    }
    let (_, page) = house.part("/5", "steps").await;
    assert!(page.contains("5° further clockwise: ") && !page.contains("length-"));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_sky_is_shown_again_as_it_was_and_anew_when_the_design_is_another() {
    let house = House::of(FARM);
    let tables = |page: &str| page.split("id=\"tables\"").nth(1).unwrap().to_string();
    let (_, first) = house.get("/3").await;
    let (_, again) = house.get("/3").await;
    assert_eq!(tables(&first), tables(&again));
    assert!(tables(&first).contains("48°") && !tables(&first).contains("21°"), "the tilt of the farm");
    house.edited_elsewhere(&FARM.replace("tilt = \"48°\"", "tilt = \"21°\""));
    let (_, flatter) = house.get("/3").await;
    assert!(tables(&flatter).contains("21°"), "the tilt as it was edited");
    house.edited_elsewhere(FARM);
    let (_, back) = house.get("/3").await;
    assert_eq!(tables(&first), tables(&back));
}

#[tokio::test(flavor = "multi_thread")]
async fn every_open_question_leads_to_the_form_on_which_it_is_answered() {
    for text in [FARM, CABIN, HARBOUR] {
        let house = House::of(text);
        let (_, page) = house.get("/1").await;
        let table = page.split("id=\"questions\"").nth(1).unwrap().split("</figure>").next().unwrap();
        let rows: Vec<&str> = table.split("<tr").skip(2).collect();
        assert!(!rows.is_empty(), "no question is open");
        for row in rows {
            let form = row.split("href=\"").nth(1).unwrap_or_else(|| panic!("no way to a form: {row}"));
            let (form, mark) = form.split('"').next().unwrap().split_once('#').unwrap();
            let (status, sheet) = house.get(form).await;
            assert_eq!(status, StatusCode::OK, "{form}");
            // A field of a record may stand under its record.
            let mark = mark.split('"').next().unwrap();
            assert!(sheet.contains(&format!("id=\"{mark}")), "{form} has no {mark}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_mark_at_a_thing_leads_to_its_finding() {
    for design in [FARM, CABIN, HARBOUR, WRONG] {
        let house = House::of(design);
        let mut pages = Vec::new();
        for question in 1..=10 {
            pages.push(house.get(&format!("/{question}")).await.1);
        }
        let links = pages.iter().flat_map(|page| page.split("href=\"/").skip(1));
        let marks: Vec<(usize, &str)> = links
            .filter_map(|rest| rest.split('"').next()?.split_once("#at-"))
            .filter_map(|(page, id)| Some((page.parse().ok()?, id)))
            .collect();
        assert!(!marks.is_empty());
        for (page, id) in marks {
            assert!(pages[page - 1].contains(&format!("id=\"at-{id}\"")), "/{page}#at-{id} is not there");
        }
    }
}
