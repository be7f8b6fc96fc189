//! A house at 35° south and a hut at 69° north get answers that their owners would find sensible.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use output::sky;
use output::table::Table;
use std::sync::Arc;
use study::{Depth, Memo, Study};

const PAMPA: &str = include_str!("far/pampa.toml");
const TUNDRA: &str = include_str!("far/tundra.toml");

fn study(text: &str) -> Study {
    let design = design::Design::of_text(text);
    assert!(design.is_sound(), "{:?}", design.problems);
    Study::of(Arc::new(design), None, Depth::Whole, &mut Memo::default())
}

fn lines(table: &Table) -> Vec<String> {
    let cells =
        |row: &output::table::Row| row.cells.iter().map(|c| c.text.clone()).collect::<Vec<_>>().join(" | ");
    table.rows.iter().map(cells).chain([table.note.clone()]).collect()
}

fn sentence(study: &Study, question: usize) -> String {
    output::answers::answers(study, &rules::inspect(study)).swap_remove(question - 1).text()
}

#[test]
fn the_south_has_its_winter_in_june_and_faces_north() {
    let study = study(PAMPA);
    let sky = sentence(&study, 3);
    assert!(sky.contains("in June") || sky.contains("in July"), "{sky}");
    assert!(sky.contains("km away") && !sky.contains("other weather"), "{sky}");
    assert!(sky.contains("(record ") && !sky.contains("climate;"), "where the means come from: {sky}");
    let best = lines(&sky::best_planes(&study).unwrap());
    // North is both 0 and 359.
    let year: Vec<&str> = best[0].split(" | ").collect();
    let (tilt, bearing): (f64, f64) = (year[2].parse().unwrap(), year[3].parse().unwrap());
    assert!((22.0..38.0).contains(&tilt) && (bearing + 20.0) % 360.0 < 40.0, "{}", best[0]);
    let look = study::look_at_study(&study).unwrap();
    // The dullest stretches lie between the equinoxes of March and September.
    let dull = lines(&sky::dullest_table(&look));
    for line in dull.iter().filter(|line| line.starts_with("5 |")) {
        assert!(
            ["April", "May", "June", "July", "August"].iter().any(|month| line.contains(month)),
            "{line}"
        );
    }
    assert!(!dull.last().unwrap().contains("stays down"));
    let spread = sky::spread_words(&look.weather).unwrap();
    assert!(spread.contains("dullest month with sun, June") || spread.contains("July"), "{spread}");
    let found = rules::inspect(&study);
    assert!(found.iter().all(|finding| finding.code != "P01"), "{found:#?}");
}

#[test]
fn beyond_the_polar_circle_the_night_is_named_and_no_plane_is_best_for_it() {
    let study = study(TUNDRA);
    let best = lines(&sky::best_planes(&study).unwrap());
    assert!(best.iter().any(|line| line.contains("none; the sun stays down")), "{best:#?}");
    assert!(best.iter().any(|line| line.contains("rule of thumb: tilt = latitude |")), "{best:#?}");
    let look = study::look_at_study(&study).unwrap();
    let dull = lines(&sky::dullest_table(&look));
    let note = dull.last().unwrap();
    // At 69.1° north the middle of the sun stays below the horizon from about 29 November to 13 January: by declination,
    // cos H = -tan(69.1°) tan(d) reaches -1 at d = -20.9°; an hour's middle sees a day or two less of its edges.
    assert!(note.contains("from 2") && note.contains("November to 1") && note.contains("January"), "{note}");
    // The midnight sun is up for the 24 hours that a day has.
    let path = lines(&sky::sun_path_table(&look.sun, None));
    assert!(path[0].starts_with("21 Jun | 24.0 |") && path[4].starts_with("21 Dec | 0.0 |"), "{path:?}");
    let spread = sky::spread_words(&look.weather).unwrap();
    assert!(!spread.contains("December") && spread.contains("kWh/m²"), "{spread}");
    let year = sentence(&study, 5);
    assert!(year.contains("From 1 to 10 January the battery is empty on ten days"), "{year}");
    // What is usual late in January is not what is usual in its first week: a stretch may be no brighter than twice it.
    let shares: Vec<f64> =
        dull.iter().filter_map(|line| line.split(" | ").nth(3)).map(|s| s.parse().unwrap()).collect();
    assert!(shares.len() == 15 && shares.iter().all(|share| (0.0..200.0).contains(share)), "{shares:?}");
}

#[test]
fn rules_of_thumb_are_told_once_for_several_planes() {
    let second = PAMPA.replacen(
        "[[string]]",
        "[[plane]]\nname = \"wall\"\nmount = \"ground rack\"\ntilt = \"80°\"\nbearing = \"due north\"\n\n[[string]]\nname = \"wall row\"\nplane = \"wall\"\nmodule = \"plain\"\ncount = 4\ninto = { unit = \"charger\", input = 1 }\n\n[[string]]",
        1,
    );
    let best = lines(&sky::best_planes(&study(&second)).unwrap());
    let thumbs: Vec<&String> = best.iter().filter(|line| line.contains("rule of thumb:")).collect();
    assert!(thumbs.len() == 3 && thumbs.iter().all(|line| line.starts_with("– |")), "{thumbs:?}");
}

#[test]
fn a_far_row_of_one_measured_year_is_said_to_be_no_climate() {
    let fjord = TUNDRA
        .replace("latitude = 69.1", "latitude = 69.6")
        .replace("longitude = -150.6", "longitude = 18.9")
        .replace("America/Anchorage", "Europe/Oslo");
    let sky = sentence(&study(&fjord), 3);
    assert!(sky.contains("1 year, 2016)") && sky.contains("one year is no climate"), "{sky}");
    assert!(sky.contains("its air is taken as it is there"), "{sky}");
}
