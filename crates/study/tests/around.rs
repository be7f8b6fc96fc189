//! What stands around a plane moves its hours, not a percentage; snow belongs to the weather years; backs add light.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::Measure;
use std::sync::Arc;
use study::{Depth, Memo, PlaneStudy, Study};

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

fn study(text: &str) -> Study {
    let design = Design::of_text(text);
    assert!(design.is_sound(), "{:?}", design.problems);
    Study::of(Arc::new(design), None, Depth::Whole, &mut Memo::default())
}

/// The farm with more lines in its plane, and as few weather years as show the point.
fn farm(more: &str) -> String {
    let rows = "rows = { modules_high = 2, modules_wide = 9 }\n";
    let uncleared: String = FARM
        .lines()
        .filter(|line| !line.starts_with("cleared_after"))
        .map(|line| format!("{line}\n"))
        .collect();
    let text = uncleared.replacen("years = 20", "years = 2", 1);
    let text = if more.contains("rows =") { text.replacen(rows, "", 1) } else { text };
    text.replacen("bearing = \"178°\"\n", &format!("bearing = \"178°\"\n{more}\n"), 1)
}

fn plane(study: &Study) -> &PlaneStudy {
    study.planes[0].as_ref().unwrap()
}

fn offered(study: &Study) -> f64 {
    study.year.as_ref().unwrap().pv.si()
}

/// Hours of the year in which near things shade the plane.
fn hours_of_loss(study: &Study) -> Vec<usize> {
    let near = plane(study).years.near.as_ref().unwrap();
    (0..near.during.len()).filter(|hour| near.during[*hour] * near.shaded[*hour] > 0.0).collect()
}

#[test]
fn a_tree_moved_ten_degrees_changes_the_hours_of_loss() {
    let tree = |from: u32| {
        farm(&format!(
            "obstacles = [{{ name = \"ash\", from = \"{from}°\", to = \"{}°\", distance = \"12 m\", height = \"9 m\" }}]",
            from + 25
        ))
    };
    let (open, here, there) = (study(&farm("")), study(&tree(120)), study(&tree(130)));
    let (first, second) = (hours_of_loss(&here), hours_of_loss(&there));
    assert!(!first.is_empty() && first != second);
    // The sun comes by 10° in some 40 minutes: the mean hour of the shade is later.
    let mean = |hours: &[usize]| hours.iter().map(|h| (h % 24) as f64).sum::<f64>() / hours.len() as f64;
    assert!(mean(&second) > mean(&first) + 0.2, "{} {}", mean(&first), mean(&second));
    assert!(offered(&here) < offered(&open) && offered(&there) < offered(&open));
    let share = plane(&here).shade.as_ref().unwrap().si();
    assert!(share > 0.0 && share < 0.5, "{share}");
}

#[test]
fn shade_costs_sections_and_so_more_than_its_area() {
    let open = study(&farm("rows = { modules_high = 2 }"));
    let rows = study(&farm("rows = { modules_high = 2, ground_gap = \"1.5 m\" }"));
    let by_area = plane(&rows).shade.as_ref().unwrap().si();
    let by_sections = 1.0 - offered(&rows) / offered(&open);
    assert!(by_area > 0.0 && by_sections > by_area, "{by_area} {by_sections}");
}

/// What shaded and snowed-in sections cost at each input in the middling year, J.
fn lost_at_inputs(study: &Study) -> Vec<f64> {
    let shade = |at: &study::InputHours| {
        at.lost.iter().find(|(cause, _)| *cause == "shaded sections").map(|(_, lost)| lost.si()).unwrap()
    };
    study.year.as_ref().unwrap().inputs.iter().map(shade).collect()
}

#[test]
fn a_pole_shades_its_width_and_the_string_before_which_it_stands() {
    // Nine columns of 1.134 m: a pole of 0.28 m, two metres before the left end, as one looks at the glass; that is the west.
    let plane_study = plane;
    let plane = |more: &str| farm(&format!("rows = {{ modules_high = 2, modules_wide = 9 }}\n{more}"));
    let pole = |from: &str, to: &str| {
        plane(&format!(
            "obstacles = [{{ name = \"pole\", from = \"{from}\", to = \"{to}\", distance = \"5.4 m\", height = \"9 m\" }}]"
        ))
    };
    let free = |text: String| {
        text.lines()
            .filter(|line| !line.starts_with("row ="))
            .map(|line| format!("{line}\n"))
            .collect::<String>()
    };
    let (open, thin, wide) =
        (study(&free(plane(""))), study(&free(pole("245°", "248°"))), study(&free(pole("220°", "272°"))));
    let lost = |study: &Study| 1.0 - offered(study) / offered(&open);
    assert!(lost(&thin) > 0.002 && lost(&thin) < 0.25 * lost(&wide), "{} {}", lost(&thin), lost(&wide));
    // What it takes alone is said: a few hundredths of the plane at a time, and less light than the wide one.
    let alone = |study: &Study| plane_study(study).years.taken[0].clone();
    let (narrow, broad) = (alone(&thin), alone(&wide));
    assert!(narrow.hours > 100.0 && narrow.of_plane < 0.08, "{narrow:?}");
    assert!(narrow.of_light > 0.0 && narrow.of_light < 0.25 * broad.of_light, "{narrow:?} {broad:?}");
    // The first string lies at the left, the second at the right: the pole costs the left one more.
    let (before, after) = (lost_at_inputs(&open), lost_at_inputs(&thin));
    let more: Vec<f64> = after.iter().zip(&before).map(|(after, before)| after - before).collect();
    assert!(more[0] > 2.0 * more[1] && more[1] > 0.0, "{more:?}");
    // Which string lies where is said, as long as the owner did not state it.
    let asks = |study: &Study, field: &str| {
        study.year.as_ref().unwrap().pv.origin.fields().iter().any(|f| f.as_str() == field)
    };
    assert!(asks(&thin, "string.north row.first_column") && !asks(&open, "string.north row.first_column"));
    let stated = free(pole("245°", "248°"))
        .replacen("name = \"north row\"\n", "name = \"north row\"\nrow = 2\nfirst_column = 1\n", 1)
        .replacen("name = \"south row\"\n", "name = \"south row\"\nrow = 1\nfirst_column = 1\n", 1);
    let rows = study(&stated);
    // A row each: both strings pass by the pole, and it costs each about as much.
    let bare = study(&stated.replacen("height = \"9 m\"", "height = \"0.1 m\"", 1));
    let more: Vec<f64> = lost_at_inputs(&rows)
        .iter()
        .zip(&lost_at_inputs(&bare))
        .map(|(after, before)| after - before)
        .collect();
    assert!(more[1] > 0.0 && more[0] < 2.0 * more[1] && more[1] < 2.0 * more[0], "{more:?}");
    // A row the plane has not is refused with its place.
    let third = study(&stated.replacen("row = 2", "row = 3", 1));
    assert!(matches!(
        third.year.as_ref().unwrap_err(),
        study::Unanswered::Refused { field: Some(field), .. } if field.as_str() == "string.north row.row"
    ));
}

#[test]
fn hills_in_the_east_take_mornings_and_no_evenings() {
    let open = study(&farm(""));
    let hills = study(&farm(
        "horizon = [{ bearing = \"10°\", up = \"0°\" }, { bearing = \"60°\", up = \"25°\" }, { bearing = \"120°\", up = \"25°\" }, { bearing = \"150°\", up = \"0°\" }]",
    ));
    let sum = |study: &Study, hours: std::ops::Range<usize>| -> f64 {
        let light = &plane(study).years.light[0].plane_w_m2;
        (0..light.len()).filter(|h| hours.contains(&(h % 24))).map(|h| light[h]).sum()
    };
    let near = plane(&hills).years.near.as_ref().unwrap();
    let sky = &hills.sky.as_ref().unwrap().sun;
    let mut hidden = 0;
    for hour in 0..near.shown.len() {
        let (up, bearing) = (90.0 - sky.zenith_deg[hour], sky.azimuth_deg[hour]);
        // Half an hour before and after a middle the sun stands some 6° lower and higher.
        if (1.0..17.0).contains(&up) && (75.0..105.0).contains(&bearing) {
            assert_eq!(near.shown[hour], 0.0, "hour {hour}");
            hidden += 1;
        } else if up > 1.0 && bearing > 170.0 {
            assert_eq!(near.shown[hour], 1.0, "hour {hour}");
        }
    }
    assert!(hidden > 100, "{hidden}");
    assert!(sum(&hills, 0..12) < 0.97 * sum(&open, 0..12));
    // The hills still hide a little of the sky: evenings keep all of the sun and nearly all of the rest.
    assert!(sum(&hills, 14..24) > 0.97 * sum(&open, 14..24));
}

#[test]
fn snow_comes_with_cold_years_and_a_broom_brings_the_light_back() {
    let asis = study(&farm(""));
    let none = study(&farm("").replacen(
        "weather = {",
        "snow = { days = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0] }\nweather = {",
        1,
    ));
    let cleared = study(&farm("cleared_after = 0"));
    assert!(plane(&asis).snow_days.as_ref().unwrap().value.0 > 1.0);
    assert!(plane(&none).snow_days.is_none());
    // Without snow the ground throws back less, but nothing covers the modules.
    assert!(offered(&asis) < offered(&cleared), "{} {}", offered(&asis), offered(&cleared));
    let said = |study: &Study| {
        plane(study).terms.iter().any(|t| {
            matches!(&t.origin, quantity::Origin::Assumed(reason) if reason.field.as_str() == "place.snow")
        })
    };
    assert!(said(&asis) && !said(&none), "an assumption only where nothing was stated");
    let stated = study(&farm("").replacen(
        "weather = {",
        "snow = { days = [10, 8, 5, 0, 0, 0, 0, 0, 0, 0, 4, 9], depth_cm = [12, 12, 9, 0, 0, 0, 0, 0, 0, 0, 6, 10] }\nweather = {",
        1,
    ));
    let year = &stated.sky.as_ref().unwrap().weather;
    assert!(year.falls.iter().all(|falls| falls.len() == 36));
}

#[test]
fn a_working_back_adds_light_on_a_rack_and_none_on_a_roof() {
    let with_back =
        |text: String| text.replacen("[module.field]\n", "[module.field]\nbifaciality = \"70 %\"\n", 1);
    let rack = with_back(farm(""));
    assert!(rack.contains("bifaciality"));
    let (closed, open) = (study(&farm("")), study(&rack));
    // Grass throws back 20 %: racks of this kind gain some 5 to 20 per cent.
    let gain = offered(&open) / offered(&closed) - 1.0;
    assert!((0.02..0.25).contains(&gain), "{gain}");
    assert!(plane(&open).rear.is_some() && plane(&closed).rear.is_none());
    let roof = study(&rack.replacen("mount = \"ground rack\"", "mount = \"roof\"", 1));
    assert!(plane(&roof).rear.is_none());
}

#[test]
fn dirt_by_month_takes_the_place_of_dirt_of_the_year() {
    let even = study(&farm(""));
    let summer = study(&farm("soiling_by_month = [0, 0, 0, 0, 0, 20, 20, 20, 0, 0, 0, 0]"));
    let month = |study: &Study, month: usize| -> f64 {
        let light = &plane(study).years.light[0].cell_w_m2;
        (0..light.len()).filter(|h| sun::month_of_hour(*h) == month).map(|h| light[h]).sum()
    };
    assert!((month(&summer, 6) / month(&even, 6) - 0.80 / 0.97).abs() < 1e-9);
    assert!((month(&summer, 0) / month(&even, 0) - 1.0 / 0.97).abs() < 1e-9);
}

#[test]
fn bright_ground_in_one_month_adds_the_published_share_of_its_global_light() {
    let even = study(&farm(""));
    let base = even.design.system.planes[0].ground_reflectance.si().unwrap() * 100.0;
    let months: Vec<String> =
        (0..12).map(|m| if m == 6 { base + 20.0 } else { base }).map(|percent| percent.to_string()).collect();
    let bright = study(&farm(&format!("reflectance_by_month = [{}]", months.join(", "))));
    let month = |values: &[f64], month: usize| -> f64 {
        (0..values.len()).filter(|h| sun::month_of_hour(*h) == month).map(|h| values[h]).sum()
    };
    let light = |study: &Study, of: usize| month(&plane(study).years.light[0].plane_w_m2, of);
    let global = month(&even.sky.as_ref().unwrap().weather.years[0].ghi_w_m2, 6);
    let tilt = even.design.system.planes[0].tilt.si().unwrap();
    // Duffie and Beckman 2.15: the ground gives global light times reflectance times (1 - cos tilt) / 2.
    let gain = 0.2 * global * (1.0 - tilt.cos()) / 2.0;
    assert!(gain > 0.0);
    assert!((light(&bright, 6) - light(&even, 6) - gain).abs() < 1e-6 * gain);
    assert!((light(&bright, 0) - light(&even, 0)).abs() < 1e-9);
}

#[test]
fn a_house_far_south_and_one_beyond_the_polar_circle_get_sensible_light() {
    let at = |latitude: &str, longitude: &str, zone: &str, bearing: &str| {
        let text: Vec<String> = farm("")
            .lines()
            .map(|line| match line.split('=').next().unwrap_or("").trim() {
                "latitude" => format!("latitude = {latitude}"),
                "longitude" => format!("longitude = {longitude}"),
                "zone" => format!("zone = \"{zone}\""),
                "elevation" => "elevation = \"40 m\"".to_string(),
                "bearing" => format!("bearing = \"{bearing}\""),
                _ => line.to_string(),
            })
            .collect();
        study(&text.join("\n"))
    };
    let south = at("-34.9", "138.6", "Australia/Adelaide", "due north");
    let months = plane(&south).months_kwh_m2_day;
    // Winter lies in June; a steep plane that faces the noon sun gets 3.5 to 7 sun hours the year round there.
    assert!([4, 5, 6].contains(&plane(&south).least_month), "{months:?}");
    assert!(months.iter().all(|m| (2.5..8.0).contains(m)), "{months:?}");
    assert!(plane(&south).snow_days.is_none());
    let north = at("69.65", "18.96", "Europe/Oslo", "due south");
    let months = plane(&north).months_kwh_m2_day;
    // The nearest row of the climate table may be another climate: that is said aloud.
    assert!(north.sky.as_ref().unwrap().says.contains("other weather"));
    // The least month is that of the months with sun; for the dullest days no plane is best, and that is said.
    let found = north.finders[0].as_ref().unwrap();
    let wanted: Vec<study::Purpose> = found.best.iter().map(|best| best.purpose).collect();
    assert!(!wanted.contains(&study::Purpose::DullestDays), "{wanted:?}");
    let why = found.without.iter().find(|none| none.purpose == study::Purpose::DullestDays).unwrap();
    assert!(why.because.contains("the sun stays down"), "{}", why.because);
    let least = found.best.iter().find(|best| best.purpose == study::Purpose::WorstMonth).unwrap();
    assert!(least.left_out.contains(&11) && !least.left_out.contains(&5), "{:?}", least.left_out);
    // A low sun in February and November wants a steep plane.
    assert!(least.tilt.value.si().to_degrees() > 60.0);
    let best = &found.best[0];
    assert!((45.0..80.0).contains(&best.tilt.value.si().to_degrees()));
    assert!((170.0..190.0).contains(&best.bearing.value.degrees()));
    let found = south.finders[0].as_ref().unwrap();
    let best = &found.best[0];
    // Tilt near the latitude or flatter, towards north.
    assert!((20.0..38.0).contains(&best.tilt.value.si().to_degrees()));
    assert!((best.bearing.value.degrees() + 15.0).rem_euclid(360.0) < 30.0);
    // No sun from the end of November to mid-January.
    assert!(months[11] < 0.2 && months[5] > 3.0, "{months:?}");
    assert!(months.iter().all(|m| m.is_finite() && *m >= 0.0));
    let snow = plane(&north).snow_days.as_ref().unwrap().value.0;
    // A coast: falls are many, and a steep rack sheds them within days.
    assert!((3.0..150.0).contains(&snow), "{snow}");
}
