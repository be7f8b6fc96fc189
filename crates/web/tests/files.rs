//! Beginning, opening, copying, comparing and taking away designs.
#![allow(clippy::unwrap_used)]

mod house;

use axum::http::StatusCode;
use door::{Files, InMemory};
use house::{FARM, House, Shared, bench_over, part_of, same};
use std::path::Path;
use std::sync::Arc;
use web::app;

/// A bench with nothing on it.
fn empty() -> House {
    let files = Shared(Arc::new(InMemory::default()));
    let bench = bench_over(Arc::new(files.clone()), None);
    House { files, app: app(bench.clone()), bench, book: None }
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_design_every_page_leads_to_the_choice_of_one() {
    let house = empty();
    for path in ["/", "/5", "/why/year/load", "/edit/place", "/files"] {
        let (status, _) = house.get(path).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}");
    }
    let (status, page) = house.get("/begin").await;
    assert_eq!(status, StatusCode::OK);
    for wanted in ["Hollow Farm", "Pine Cabin", "Harbour House", "Where is it?"] {
        assert!(page.contains(wanted), "{wanted}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_design_is_begun_from_a_town_and_opened() {
    let house = empty();
    let (_, page) = house.get("/begin?place=nosuchtownanywhere").await;
    assert!(page.contains("aria-invalid=\"true\""));
    let (_, page) = house.get("/begin?place=Reykjav").await;
    assert!(page.contains("Atlantic/Reykjavik") && page.contains("write it and open it"));
    let good = [
        ("place", "Reykjav"),
        ("pick", "0"),
        ("title", "North \"House\""),
        ("elevation", "40 m"),
        ("supply", "230"),
        ("file", "north.toml"),
    ];
    let with = |name: &str, value: &'static str| {
        let mut fields = good.to_vec();
        fields.iter_mut().filter(|(key, _)| *key == name).for_each(|field| field.1 = value);
        fields
    };
    for (field, wrong) in [("elevation", "high"), ("file", "../north.toml"), ("title", " "), ("pick", "999")]
    {
        let (status, page) = house.send("/begin", &with(field, wrong)).await;
        assert_eq!(status, StatusCode::CONFLICT, "{field}");
        assert!(page.contains("aria-invalid=\"true\"") || page.contains("Nothing was written"), "{field}");
        assert!(house.files.read_design(Path::new("north.toml")).is_err());
    }
    let (status, page) = house.send("/begin", &good).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", part_of(&page, "content"));
    let text = String::from_utf8(house.files.read_design(Path::new("north.toml")).unwrap()).unwrap();
    assert!(text.contains("zone = \"Atlantic/Reykjavik\"") && text.contains("title = \"North House\""));
    assert!(design::Design::of_text(&text).is_sound());
    let (status, _) = house.get("/2").await;
    assert_eq!(status, StatusCode::OK);
    // Never over a file that is there.
    let (status, page) = house.send("/begin", &good).await;
    assert!(status == StatusCode::CONFLICT && page.contains("already"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_demo_is_opened_as_a_copy_under_a_free_name() {
    let house = empty();
    for name in ["pine-cabin.toml", "pine-cabin-2.toml"] {
        let (status, _) = house.send("/begin", &[("demo", "pine-cabin")]).await;
        assert_eq!(status, StatusCode::SEE_OTHER);
        let text = String::from_utf8(house.files.read_design(Path::new(name)).unwrap()).unwrap();
        same(&text, house::CABIN);
    }
    let (_, page) = house.get("/5").await;
    assert!(page.contains("pine-cabin-2.toml"));
}

#[tokio::test(flavor = "multi_thread")]
async fn names_that_lead_elsewhere_open_and_write_nothing() {
    let house = House::of(FARM);
    for name in ["../x.toml", "/etc/passwd", "a/b.toml", "", "x", "C:\\x.toml", ".hidden.toml"] {
        let (status, _) = house.send("/open", &[("file", name)]).await;
        assert_eq!(status, StatusCode::CONFLICT, "{name}");
        let (status, _) = house.send("/copy", &[("name", name)]).await;
        assert_eq!(status, StatusCode::CONFLICT, "{name}");
        let (status, _) = house.get(&format!("/compare?with={}", house::encoded(name))).await;
        assert_eq!(status, StatusCode::CONFLICT, "{name}");
    }
    let (status, _) = house.send("/open", &[("recent", "00112233")]).await;
    assert_eq!(status, StatusCode::CONFLICT);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_copy_is_the_very_bytes_and_two_designs_are_compared() {
    let house = House::of(FARM);
    let (status, page) = house.send("/copy", &[("name", "two.toml")]).await;
    assert!(status == StatusCode::OK && page.contains("Written: two.toml"), "{}", part_of(&page, "content"));
    assert_eq!(house.files.read_design(Path::new("two.toml")).unwrap(), FARM.as_bytes());
    let (status, _) = house.send("/copy", &[("name", "two.toml")]).await;
    assert_eq!(status, StatusCode::CONFLICT, "never over a file that is there");
    let (_, page) = house.get("/compare?with=two.toml").await;
    assert!(part_of(&page, "beside").contains("both say the same"));
    let two = FARM.replace("\nparallel = 6\n", "\nparallel = 9\n");
    house.files.write(Path::new("two.toml"), two.as_bytes()).unwrap();
    let (_, page) = house.get("/compare?with=two.toml").await;
    let beside = page.split("id=\"beside\"").nth(1).unwrap();
    assert!(
        beside.contains("bank rack") && beside.contains("<td>parallel</td><td>6</td><td>9</td>"),
        "{beside}"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn book_bill_and_schedules_are_taken_away() {
    let house = House::of(FARM);
    for (name, wanted) in [
        ("book.html", "Hollow Farm"),
        ("bill.csv", "group,item,for,amount,sold in,sum (USD)"),
        ("circuits.csv", ","),
        ("loads.csv", "well pump,must,both"),
    ] {
        let (status, text) = house.get(&format!("/export/{name}")).await;
        assert_eq!(status, StatusCode::OK);
        assert!(text.contains(wanted), "{name}: {}", &text[..200]);
    }
    assert_eq!(house.get("/export/passwd").await.0, StatusCode::NOT_FOUND);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_pinned_state_stays_while_the_design_goes_on() {
    let house = House::of(FARM);
    let (status, _) = house.send("/pin", &[("what", "in")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    house.edited_elsewhere(&FARM.replace("\nparallel = 6\n", "\nparallel = 8\n"));
    let (_, page) = house.get("/5").await;
    let pinned = part_of(&page, "pinned");
    assert!(pinned.contains("bank rack: parallel 6 → 8") && pinned.contains("+$2,502.44"), "{pinned}");
    // Every page that follows what is bought shows it, with its own answer before and after.
    for (number, says) in [(4, "6 batteries"), (6, "This question"), (7, "This question"), (8, "$17,208.54")]
    {
        let (_, page) = house.get(&format!("/{number}?batteries=8")).await;
        let pinned = part_of(&page, "pinned");
        assert!(pinned.contains("parallel 6 → 8") && pinned.contains(says), "page {number}: {pinned}");
    }
    house.send("/pin", &[("what", "out")]).await;
    let (_, page) = house.get("/5").await;
    assert!(part_of(&page, "pinned").starts_with("pin this state"));
}
