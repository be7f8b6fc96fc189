//! Weather files that hold less than the study needs.

use std::fmt::Write as _;
use std::sync::Arc;

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

/// A farm's first weather year with other words in the place of its weather, and what is said of it.
fn made_of(weather: &str) -> (weather::Year, String, Vec<String>) {
    const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
    let lines = FARM.lines().map(|line| if line.starts_with("weather = ") { weather } else { line });
    let text: String = lines.flat_map(|line| [line, "\n"]).collect();
    let design = design::Design::of_text(&text);
    assert!(design.is_sound(), "{:?}", design.problems);
    let memo = &mut study::Memo::default();
    let study = study::Study::of(std::sync::Arc::new(design), None, study::Depth::Whole, memo);
    let sky = study.sky.expect("a place with a climate");
    (sky.weather.years[0].clone(), sky.says.clone(), sky.weather.remarks.clone())
}

#[test]
fn an_owners_air_moves_means_lows_and_highs_and_is_said() {
    let (tabled, says, _) = made_of("weather = { normals = \"nearest\", years = 1, seed = 5 }");
    assert!(!says.contains("your own"), "{says}");
    // Five kelvin warmer than the row's means, as they stand in the climate table.
    let (row, _) = tables::nearest(42.87, -118.21).expect("a place");
    let warmer: Vec<String> = row.mean_c.iter().map(|mean| format!("{:.1}", mean + 5.0)).collect();
    let stated = |numbers: &[String]| {
        format!("weather = {{ normals = \"nearest\", years = 1, seed = 5, air = [{}] }}", numbers.join(", "))
    };
    let (own, says, remarks) = made_of(&stated(&warmer));
    assert!(says.contains("with your own air"), "{says}");
    assert!(!remarks.iter().any(|line| line.contains("degrees Celsius")), "{remarks:?}");
    // The same draws: every hour is five kelvin warmer than the row's air, which is carried to the height of the farm, 4150 ft,
    // where none is stated (6.5 K a kilometre).
    let carried = 0.0065 * (4150.0 * 0.3048 - row.elevation_m.expect("a height on record"));
    for hour in (0..sun::HOURS).step_by(97) {
        let by = own.air_c[hour] - tabled.air_c[hour];
        assert!((by - 5.0 - carried).abs() < 1e-6, "hour {hour}: {by}");
    }
    assert_eq!(own.ghi_w_m2, tabled.ghi_w_m2);
    // Fahrenheit by mistake, as far as no month is hotter than any air: asked about, with the month and both numbers.
    let wrong: Vec<String> =
        row.mean_c.iter().map(|mean| format!("{:.1}", (mean * 1.8 + 32.0).min(44.0))).collect();
    let (_, _, remarks) = made_of(&stated(&wrong));
    assert!(
        remarks.iter().any(|line| line.contains("place.weather.air is in degrees Celsius")),
        "{remarks:?}"
    );
    // Beyond any month on Earth it is refused at its place.
    let hot = design::Design::of_text(
        "wattwright = 1\n[place]\nweather = { air = [70, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1] }\n",
    );
    assert!(!hot.is_sound());
}

/// Month, day and hour (1 to 24) of an hour of the year.
fn date(hour: usize) -> (usize, usize, usize) {
    let day = hour / 24;
    let month = sun::month_of_day(day);
    (month + 1, day - sun::month_start_day(month) + 1, hour % 24 + 1)
}

fn made() -> weather::Year {
    let normals = normals();
    weather::synthesise(&normals, &normals.sky().expect("a place"), 3, 0).expect("normals")
}

/// A whole table of 2024, with 29 February, of `[global, beam, diffuse, air, wind]` as changed; an hour changed to nothing is
/// left out. Its first hour stands on line 8.
fn whole_table(year: &weather::Year, change: impl Fn(usize, &mut [String; 5]) -> bool) -> String {
    let mut text = "# place: Upper Field\n# latitude_deg: 48\n# longitude_deg: 11\n# elevation_m: 500\n# utc_offset_h: 1\n# stamp: hour ending\ntime,ghi_w_m2,dni_w_m2,dhi_w_m2,air_c,wind_m_s\n".to_string();
    for hour in 0..sun::HOURS {
        let (month, day, at) = date(hour);
        let values = [&year.ghi_w_m2, &year.dni_w_m2, &year.dhi_w_m2, &year.air_c]
            .map(|list| format!("{:.3}", list[hour]));
        let [global, beam, diffuse, air] = values;
        let mut cells = [global, beam, diffuse, air, "3".to_string()];
        if change(hour, &mut cells) {
            writeln!(text, "2024-{month:02}-{day:02} {at:02}:00,{}", cells.join(","))
                .expect("a string takes it");
        }
        if hour + 1 == 24 * 59 {
            for at in 1..=24 {
                writeln!(text, "2024-02-29 {at:02}:00,{}", cells.join(",")).expect("a string takes it");
            }
        }
    }
    text
}

#[test]
fn filled_hours_are_listed_with_date_line_length_and_method() {
    // 4 January 03:00 to 05:00 without air; 1 April 01:00 left out, which is behind 29 February.
    let april = 24 * 90;
    let text = whole_table(&made(), |hour, cells| {
        if (74..77).contains(&hour) {
            cells[3].clear();
        }
        hour != april
    });
    let look = study::look_at_file("field.csv", text.as_bytes()).expect("it can be used");
    for said in [
        "air temperature from 4 January, 03:00, 3 hours (lines 82 to 84), run straight between their neighbours",
        // Lines 8 and on hold 2160 hours and the 24 of 29 February before it.
        "wind speed from 1 April, 01:00, 1 hour (left out after line 2191), run straight between their neighbours",
        "global irradiance from 1 April, 01:00, 1 hour (left out after line 2191), taken from the same hour",
    ] {
        assert!(look.report.iter().any(|line| line.starts_with(said)), "{said}: {:#?}", look.report);
    }
    assert_eq!(look.weather.filled.len(), 6);
    let air = look.weather.filled.iter().find(|stretch| stretch.hours == 3).expect("the air");
    assert_eq!((air.from(), air.lines), ("4 January, 03:00".to_string(), Some((82, 84))));
}

#[test]
fn of_many_filled_stretches_the_rest_is_counted_and_an_unfillable_one_has_date_and_line() {
    let text = whole_table(&made(), |hour, cells| {
        if hour % 240 == 100 {
            cells[4].clear();
        }
        true
    });
    let look = study::look_at_file("field.csv", text.as_bytes()).expect("it can be used");
    let stretches = (0..sun::HOURS).filter(|hour| hour % 240 == 100).count();
    assert_eq!(look.weather.filled.len(), stretches);
    let shown = look.report.iter().filter(|line| line.starts_with("wind speed from")).count();
    assert_eq!(shown, 12);
    assert_eq!(look.report.last(), Some(&format!("and {} more stretches", stretches - 12)));

    let refused = study::look_at_file(
        "field.csv",
        whole_table(&made(), |hour, cells| {
            if (24 * 100..24 * 130).contains(&hour) {
                cells[3].clear();
            }
            true
        })
        .as_bytes(),
    )
    .expect_err("a month of air is not made up");
    // Seven days on either side are borrowed: from 18 April to 3 May nothing is near; 108 days and 24 leap hours behind line 7.
    let first = 24 * 107;
    assert!(
        refused.contains(&format!(
            "1 gap that no named method fills: air temperature from 18 April, 01:00, 384 hours (lines {} to",
            first + 24 + 8
        )),
        "{refused}"
    );
}

/// The farm with a weather file, as the owner wants its gaps.
fn farm_with(gaps: &str, text: &str) -> study::Study {
    const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
    let weather =
        FARM.lines().find(|line| line.starts_with("weather = {")).expect("the farm names its weather");
    let own = format!("weather = {{ file = \"field.csv\"{gaps} }}");
    let design = design::Design::of_text(&FARM.replacen(weather, &own, 1));
    assert!(design.is_sound(), "{:?}", design.problems);
    let file = study::WeatherFile { name: "field.csv".into(), bytes: Ok(text.as_bytes().into()) };
    study::Study::of(Arc::new(design), Some(&file), study::Depth::Whole, &mut study::Memo::default())
}

#[test]
fn the_owner_chooses_what_becomes_of_hours_that_a_file_lacks() {
    // Three hours of air, and a day of global light.
    let text = whole_table(&made(), |hour, cells| {
        if (74..77).contains(&hour) {
            cells[3].clear();
        }
        if (24 * 40..24 * 41).contains(&hour) {
            cells[0].clear();
        }
        true
    });
    let assumed = |study: &study::Study| {
        study.sky.as_ref().expect("it can be used").terms.iter().any(|term| {
            matches!(&term.origin, quantity::Origin::Assumed(reason) if reason.field.as_str() == "place.weather.gaps")
        })
    };
    let refused = |study: study::Study| match study.sky.expect_err("it is refused") {
        study::Unanswered::Refused { because, field } => {
            assert_eq!(field.expect("a field").as_str(), "place.weather.file");
            because
        }
        other => panic!("{other:?}"),
    };
    // Nothing chosen: filled, and that is an assumption; chosen: none.
    let (blank, chosen) = (farm_with("", &text), farm_with(", gaps = \"fill\"", &text));
    assert!(assumed(&blank) && !assumed(&chosen));
    assert_eq!(blank.sky.expect("it can be used").weather.filled.len(), 2);
    // Short gaps alone: the day of light stands in the way, by date and line.
    let because = refused(farm_with(", gaps = \"bridge\"", &text));
    assert!(because.contains("1 gap that gaps = \"bridge\" does not fill: global irradiance from 10 February, 01:00, 24 hours (lines 968 to 991)"), "{because}");
    // None: both.
    let because = refused(farm_with(", gaps = \"refuse\"", &text));
    assert!(because.contains("2 gaps that gaps = \"refuse\" leaves unknown: "), "{because}");
    assert!(because.contains("air temperature from 4 January, 03:00, 3 hours (lines 82 to 84)"), "{because}");
    // A whole file is whole whatever was chosen, and a column that it has not at all is no gap.
    let whole = whole_table(&made(), |_, _| true);
    let study = farm_with(", gaps = \"refuse\"", &whole);
    assert!(study.sky.is_ok() && !assumed(&farm_with("", &whole)));
    let lightless = table(&made(), usize::MAX);
    assert!(farm_with(", gaps = \"refuse\"", &lightless).sky.is_ok());
}

#[test]
fn every_year_of_a_file_is_examined() {
    let year = made();
    let mut text = "-BEGIN HEADER-\nHourly Data\nDates (month/day/year): 01/01/2018 through 12/31/2019 in LST\n\
         Location: latitude  48.0   longitude 11.0\n\
         elevation from a grid: Average = 500 meters\n\
         The value for missing source data is: -999\n\
         ALLSKY_SFC_SW_DWN global (Wh/m^2)\nALLSKY_SFC_SW_DNI beam (Wh/m^2)\nALLSKY_SFC_SW_DIFF diffuse (Wh/m^2)\n\
         T2M air (C)\nWS10M wind (m/s)\n-END HEADER-\n\
         YEAR,MO,DY,HR,ALLSKY_SFC_SW_DWN,ALLSKY_SFC_SW_DNI,ALLSKY_SFC_SW_DIFF,T2M,WS10M\n"
        .to_string();
    for number in [2018, 2019] {
        for hour in 0..sun::HOURS {
            let (month, day, at) = date(hour);
            let (mut beam, mut diffuse) = (year.dni_w_m2[hour], year.dhi_w_m2[hour]);
            if number == 2019 {
                std::mem::swap(&mut beam, &mut diffuse);
            }
            writeln!(
                text,
                "{number},{month},{day},{},{:.2},{beam:.2},{diffuse:.2},{:.2},3",
                at - 1,
                year.ghi_w_m2[hour],
                year.air_c[hour]
            )
            .expect("a string takes it");
        }
    }
    let look = study::look_at_file("answer.csv", text.as_bytes()).expect("two years");
    assert_eq!(look.weather.numbers, [Some(2018), Some(2019)]);
    let told = &look.weather.doubtful;
    assert!(!told.is_empty() && told.iter().all(|said| said.starts_with("answer.csv, 2019")), "{told:?}");
    let line: usize = told
        .iter()
        .find_map(|said| said.split("line ").nth(1)?.split(':').next()?.parse().ok())
        .expect("a line of the second year");
    assert!(line > 13 + sun::HOURS, "{told:?}");
    assert!(look.report.iter().any(|said| said.starts_with("2019: global differs")), "{:?}", look.report);
    assert!(!look.report.iter().any(|said| said.starts_with("2018: global differs")), "{:?}", look.report);
}

/// Diffuse light too large by 60 W/m² all year, and by far the most at one hour.
const WORST: usize = 24 * 181 + 11;

fn spoiled(hour: usize, diffuse: f64) -> f64 {
    diffuse + if hour == WORST { 500.0 } else { 60.0 }
}

#[test]
fn the_line_of_a_doubt_is_that_of_the_reader_behind_a_leap_day() {
    let year = made();
    let mut epw = "LOCATION,Upper Field,-,-,made,0,48,11,1,500\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,Yes,0,0,0\nCOMMENTS 1,made\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n".to_string();
    let mut row = |month: usize, day: usize, at: usize, hour: usize| {
        let mut cells: Vec<String> = vec!["0".into(); 35];
        for (cell, value) in [
            (0, 2024.0),
            (1, month as f64),
            (2, day as f64),
            (3, at as f64),
            (6, year.air_c[hour]),
            (13, year.ghi_w_m2[hour]),
            (14, year.dni_w_m2[hour]),
            (15, spoiled(hour, year.dhi_w_m2[hour])),
            (21, 3.0),
        ] {
            cells[cell] = value.to_string();
        }
        cells[30] = "999".into();
        cells[32] = "999".into();
        epw += &cells.join(",");
        epw.push('\n');
    };
    for hour in 0..sun::HOURS {
        let (month, day, at) = date(hour);
        row(month, day, at, hour);
        if hour + 1 == 24 * 59 {
            (1..=24).for_each(|at| row(2, 29, at, hour));
        }
    }
    let look = study::look_at_file("field.epw", epw.as_bytes()).expect("a year");
    let told = &look.weather.doubtful;
    let line = epw.lines().position(|text| text.starts_with("2024,7,1,12,")).expect("1 July, 12:00") + 1;
    assert_eq!(line, 9 + WORST + 24);
    assert!(
        told.iter().any(|said| said.starts_with(&format!("field.epw, line {line}: global differs"))),
        "{told:?}"
    );
    assert!(look.report.iter().any(|said| said.ends_with("on 1 July, 12:00")), "{:?}", look.report);

    // The same of a table that leaves an hour out as well.
    let table = whole_table(&year, |hour, cells| {
        cells[2] = format!("{:.3}", spoiled(hour, year.dhi_w_m2[hour]));
        hour != 30
    });
    let line =
        table.lines().position(|text| text.starts_with("2024-07-01 12:00")).expect("1 July, 12:00") + 1;
    let look = study::look_at_file("field.csv", table.as_bytes()).expect("a year");
    let told = &look.weather.doubtful;
    assert!(
        told.iter().any(|said| said.starts_with(&format!("field.csv, line {line}: global differs"))),
        "{told:?}"
    );
}

/// Snow and albedo that a file states move nothing, and it is said; of a file without them nothing is said.
#[test]
fn a_files_own_snow_and_albedo_are_said_to_move_nothing() {
    let plain = whole_table(&made(), |_, _| true);
    let with = |names: &str, cells: &dyn Fn(usize) -> &'static str| {
        let lines = plain.lines().enumerate().map(|(at, line)| match at {
            0..6 => format!("{line}\n"),
            6 => format!("{line},{names}\n"),
            _ => format!("{line},{}\n", cells(at)),
        });
        lines.collect::<String>()
    };
    let both = with("snow_cm,albedo", &|_| "40,0.8");
    let without = farm_with("", &plain);
    let study = farm_with("", &both);
    let light = |study: &study::Study| -> Vec<Vec<f64>> {
        study.planes.iter().flatten().map(|plane| plane.months_kwh_m2_day.to_vec()).collect()
    };
    assert!(!light(&study).is_empty());
    assert_eq!(light(&study), light(&without), "deep snow of the file lies on no plane");
    let remarks = |text: &str| {
        study::look_at_file("field.csv", text.as_bytes()).expect("it can be used").weather.remarks.clone()
    };
    let about = |remarks: &[String]| -> Vec<String> {
        remarks.iter().filter(|said| said.starts_with("the file's own ")).cloned().collect()
    };
    assert!(about(&without.sky.expect("a year").weather.remarks).is_empty());
    let told = about(&study.sky.expect("a year").weather.remarks);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].starts_with("the file's own columns of snow depth and of albedo are not used: "),
        "{told:?}"
    );
    assert_eq!(about(&remarks(&both)), told);
    let told = about(&remarks(&with("snow_cm", &|_| "0")));
    assert!(told[0].starts_with("the file's own column of snow depth is not used: snow comes "), "{told:?}");
    // Nor is a column with holes used, and the one remark does not say that the other would be.
    let holed = remarks(&with("albedo", &|at| if at == 100 { "" } else { "0.2" }));
    assert!(
        holed.iter().any(|said| said == "albedo lacks 1 of 8760 hours: the column is left out"),
        "{holed:?}"
    );
    assert!(about(&holed)[0].starts_with("the file's own column of albedo is not used: "), "{holed:?}");
}
