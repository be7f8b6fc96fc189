//! Bearings by compass, horizons, obstacles, rows and snow: read, resolved, and refused where they contradict themselves.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

/// The farm with its plane's bearing replaced and more lines in its plane.
fn farm(bearing: &str, more: &str) -> Design {
    let plain: String = FARM
        .lines()
        .filter(|line| !line.starts_with("rows = ") && !line.starts_with("cleared_after = "))
        .map(|line| format!("{line}\n"))
        .collect();
    let text = plain.replacen("bearing = \"178°\"", &format!("bearing = {bearing}\n{more}"), 1);
    assert_ne!(text, FARM);
    Design::of_text(&text)
}

fn only_problem(design: &Design) -> (String, usize) {
    let [problem] = &design.problems[..] else { panic!("{:?}", design.problems) };
    let line = design.text[..problem.labels[0].span.start].lines().count();
    (problem.says.clone(), line)
}

fn is_asked(design: &Design, field: &str) -> bool {
    design.questions().iter().any(|q| q.field.as_str() == field)
}

#[test]
fn a_compass_bearing_with_its_day_becomes_true_by_the_magnetic_model() {
    let design = farm("{ compass = \"170°\", taken = 2026-03-20 }", "");
    assert!(design.is_sound(), "{:?}", design.problems);
    let plane = &design.system.planes[0];
    let found = plane.bearing.known().unwrap();
    let degrees = |si: Option<f64>| si.unwrap().to_degrees();
    let place = &design.system.place;
    let model = sun::magnetic_declination(
        degrees(place.latitude.si()),
        degrees(place.longitude.si()),
        place.elevation.si().unwrap(),
        sun::decimal_year(2026, 3, 20),
    )
    .unwrap();
    assert!((found.value.degrees() - (170.0 + model.declination_deg)).abs() < 1e-9);
    assert!(!is_asked(&design, "plane.east field rack.bearing.declination"));
    let mut said = String::new();
    found.origin.walk(&mut |origin| {
        if let quantity::Origin::Series(series) = origin {
            said.push_str(&format!("{} {}; ", series.says, series.clause.document));
        }
    });
    assert!(said.contains("± 0.") && said.contains("World Magnetic Model 2025"), "{said}");
    // The reading, the day and the place stand beneath it.
    assert!(found.origin.fields().iter().any(|f| f.as_str() == "place.latitude"));
}

#[test]
fn without_a_day_or_outside_the_model_the_declination_stays_a_question() {
    for bearing in ["{ compass = \"170°\" }", "{ compass = \"170°\", taken = 2019-03-20 }"] {
        let design = farm(bearing, "");
        assert!(!design.system.planes[0].bearing.is_known(), "{bearing}");
        assert!(is_asked(&design, "plane.east field rack.bearing.declination"), "{bearing}");
    }
    // Near the magnetic pole no needle is believed, whatever its day.
    let text = FARM.replacen("bearing = \"178°\"", "bearing = { compass = \"170°\", taken = 2026-03-20 }", 1);
    let text = text
        .lines()
        .map(|line| match line.split('=').next().unwrap_or("").trim() {
            "latitude" => "latitude = 86.0".to_string(),
            "longitude" => "longitude = 140.0".to_string(),
            "zone" => "zone = \"Asia/Tokyo\"".to_string(),
            _ => line.to_string(),
        })
        .collect::<Vec<_>>()
        .join("\n");
    assert!(!Design::of_text(&text).system.planes[0].bearing.is_known());
}

#[test]
fn a_bearing_may_be_said_in_words() {
    let design = farm("\"7° east of south\"", "");
    assert!(design.is_sound(), "{:?}", design.problems);
    let bearing = design.system.planes[0].bearing.value().unwrap().degrees();
    assert!((bearing - 173.0).abs() < 1e-9);
    assert!(!farm("\"7° south of east\"", "").is_sound());
}

#[test]
fn horizon_obstacles_rows_and_snow_are_understood() {
    let design = farm(
        "\"178°\"",
        "horizon = [{ bearing = \"90°\", up = \"12°\" }, { bearing = \"due south\", up = \"3°\" }]\n\
         obstacles = [{ name = \"barn\", from = \"200°\", to = \"230°\", distance = \"20 m\", height = \"7 m\", leafless = \"Nov..Apr\", depth = \"9 m\" }]\n\
         rows = { modules_high = 2, ground_gap = \"12 ft\" }\n\
         soiling_by_month = [1, 1, 2, 3, 4, 5, 6, 6, 5, 3, 2, 1]\n\
         cleared_after = 2",
    );
    assert!(design.is_sound(), "{:?}", design.problems);
    let site = design.system.site("east field rack").unwrap();
    assert_eq!((site.horizon.len(), site.obstacles.len()), (2, 1));
    assert!(site.obstacles[0].leafless.as_ref().unwrap().value[0]);
    assert!(!site.obstacles[0].leafless.as_ref().unwrap().value[6]);
    assert!((site.obstacles[0].depth.as_ref().unwrap().si().unwrap() - 9.0).abs() < 1e-12);
    assert_eq!(site.modules_high.value().unwrap().0, 2);
    assert!((site.soiling_by_month.as_ref().unwrap().value[6] - 0.06).abs() < 1e-12);
    // A rack on the ground may be assumed to stand clear of grass; the height of a roof may not.
    assert!(site.lower_edge.is_known());
    let roof = Design::of_text(&design.text.replacen("mount = \"ground rack\"", "mount = \"roof\"", 1));
    assert!(!roof.system.site("east field rack").unwrap().lower_edge.is_known());
}

#[test]
fn what_goes_backwards_or_lacks_a_distance_is_a_problem_at_its_place() {
    let (says, line) = only_problem(&farm(
        "\"178°\"",
        "horizon = [\n  { bearing = \"90°\", up = \"12°\" },\n  { bearing = \"80°\", up = \"3°\" },\n]",
    ));
    assert!(says.contains("goes backwards: 80.0° after 90.0°"), "{says}");
    let bearing_line = FARM[..FARM.find("bearing = \"178°\"").unwrap()].lines().count();
    // The second point stands three lines below the bearing.
    assert_eq!(line, bearing_line + 4, "{says}");

    let without = "obstacles = [{ name = \"barn\", from = \"200°\", to = \"230°\", height = \"7 m\" }]";
    let (says, line) = only_problem(&farm("\"178°\"", without));
    assert!(says.contains("distance"), "{says}");
    assert_eq!(line, bearing_line + 2, "{says}");

    let round = "obstacles = [{ name = \"barn\", from = \"230°\", to = \"200°\", distance = \"9 m\", height = \"7 m\" }]";
    assert!(only_problem(&farm("\"178°\"", round)).0.contains("reaches over 330°"));
    let both = "rows = { ground_gap = \"3 m\", pitch = \"6 m\" }";
    assert!(only_problem(&farm("\"178°\"", both)).0.contains("both the gap and the pitch"));
    let steep = "horizon = [{ bearing = \"90°\", up = \"95°\" }]";
    assert!(only_problem(&farm("\"178°\"", steep)).0.contains("it lies between"));
}

#[test]
fn more_days_with_snowfall_than_a_month_has_are_a_problem() {
    let snow = "snow = { days = [10, 30, 5, 0, 0, 0, 0, 0, 0, 0, 4, 9] }\nweather = {";
    let (says, _) = only_problem(&Design::of_text(&FARM.replacen("weather = {", snow, 1)));
    assert!(says.contains("30 days with snowfall in February"), "{says}");
    let short = "snow = { days = [10, 8, 5] }\nweather = {";
    let (says, _) = only_problem(&Design::of_text(&FARM.replacen("weather = {", short, 1)));
    assert!(says.contains("twelve months"), "{says}");
}
