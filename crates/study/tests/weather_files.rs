//! Weather files that hold less than the study needs.

use std::fmt::Write as _;

fn normals() -> weather::Normals {
    weather::Normals {
        latitude_deg: 48.0,
        longitude_deg: 11.0,
        elevation_m: 500.0,
        utc_offset_h: 1.0,
        ghi_kwh_m2_day: [1.0, 1.9, 3.1, 4.2, 5.0, 5.4, 5.5, 4.7, 3.5, 2.1, 1.2, 0.8],
        mean_c: [-1.0, 0.0, 4.0, 9.0, 13.0, 17.0, 19.0, 18.0, 14.0, 9.0, 4.0, 0.0],
        min_c: [-4.0, -4.0, -1.0, 3.0, 7.0, 11.0, 13.0, 12.0, 9.0, 5.0, 0.0, -3.0],
        max_c: [2.0, 4.0, 9.0, 15.0, 19.0, 23.0, 25.0, 24.0, 19.0, 13.0, 7.0, 3.0],
        wind_m_s: [weather::ASSUMED_WIND_M_S; 12],
    }
}

/// Global light and air alone, with one hour of light left out.
fn table(year: &weather::Year, left_out: usize) -> String {
    let mut text = "# place: Upper Field\n# latitude_deg: 48\n# longitude_deg: 11\n# elevation_m: 500\n# utc_offset_h: 1\n# stamp: hour ending\ntime,ghi_w_m2,air_c\n".to_string();
    for hour in 0..sun::HOURS {
        let day = hour / 24;
        let month = sun::month_of_day(day);
        let stamp = format!(
            "2025-{:02}-{:02} {:02}:00",
            month + 1,
            day - sun::month_start_day(month) + 1,
            hour % 24 + 1
        );
        let light = if hour == left_out { String::new() } else { format!("{:.3}", year.ghi_w_m2[hour]) };
        writeln!(text, "{stamp},{light},{:.2}", year.air_c[hour]).expect("a string takes it");
    }
    text
}

#[test]
fn global_light_alone_is_split_and_every_filling_is_named() {
    let normals = normals();
    let sky = normals.sky().expect("a place");
    let made = weather::synthesise(&normals, &sky, 3, 0).expect("normals");
    let noon = 24 * 200 + 12;
    let look = study::look_at_file("field.csv", table(&made, noon).as_bytes()).expect("it can be used");
    let year = &look.weather.years[0];
    let (beam, diffuse) = weather::split_global(&year.ghi_w_m2, &look.sun);
    for hour in (0..sun::HOURS).filter(|hour| *hour != noon) {
        assert!((year.ghi_w_m2[hour] - made.ghi_w_m2[hour]).abs() < 1e-3);
        assert!((year.dni_w_m2[hour] - beam[hour]).abs() < 1e-9, "hour {hour}");
        assert!((year.dhi_w_m2[hour] - diffuse[hour]).abs() < 1e-9, "hour {hour}");
    }
    // The missing hour is the day before's, all three of it.
    assert_eq!(year.ghi_w_m2[noon], year.ghi_w_m2[noon - 24]);
    assert_eq!(year.dni_w_m2[noon], year.dni_w_m2[noon - 24]);
    assert!(year.wind_m_s.iter().all(|wind| *wind == weather::ASSUMED_WIND_M_S));
    for said in [
        "beam irradiance of 8759 hours made from the global light",
        "global irradiance of 1 hour taken from the same hour of the nearest day",
        "wind speed of every hour assumed at 3.5 m/s",
    ] {
        assert!(look.report.iter().any(|line| line.contains(said)), "{said}: {:?}", look.report);
    }
}

#[test]
fn an_owners_wind_is_used_and_a_climate_is_prepared_once() {
    const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
    let mut memo = study::Memo::default();
    let mut mean_wind = |weather: &str| {
        let text: String = FARM
            .lines()
            .map(|line| if line.starts_with("weather = ") { weather } else { line })
            .flat_map(|line| [line, "\n"])
            .collect();
        let design = design::Design::of_text(&text);
        assert!(design.is_sound(), "{:?}", design.problems);
        let study = study::Study::of(std::sync::Arc::new(design), None, study::Depth::Whole, &mut memo);
        let sky = study.sky.expect("a place with a climate");
        let wind = &sky.weather.years[0].wind_m_s;
        (wind.iter().sum::<f64>() / wind.len() as f64, memo.generator.computed)
    };
    let (assumed, first) = mean_wind("weather = { normals = \"nearest\", years = 1, seed = 5 }");
    let (_, again) = mean_wind("weather = { normals = \"nearest\", years = 1, seed = 6 }");
    assert_eq!((first, again), (1, 1), "another seed is the same climate");
    let (own, other) = mean_wind(
        "weather = { normals = \"nearest\", years = 1, seed = 5, wind = [7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7] }",
    );
    assert_eq!(other, 2);
    // The same draws, twice as windy; 8760 hours of which one in nine is fresh know their mean to 2 %.
    assert!((own / assumed - 2.0).abs() < 1e-9 && (assumed - 3.5).abs() < 0.25, "{own} {assumed}");
}
