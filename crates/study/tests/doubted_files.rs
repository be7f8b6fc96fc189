//! Weather files that cannot be true as they stand: what real years pass, and what the same years spoiled do not.
#![allow(clippy::print_stderr)] // Why a test has no files is printed.

use std::fmt::Write as _;
use std::path::Path;

/// Name and contents of the hourly years named by the environment; prints why there are none.
fn files() -> Vec<(String, Vec<u8>)> {
    let Ok(root) = std::env::var("WATTWRIGHT_DATA") else {
        eprintln!("skipped: WATTWRIGHT_DATA is not set");
        return Vec::new();
    };
    let entries =
        std::fs::read_dir(Path::new(&root).join("weather")).expect("WATTWRIGHT_DATA has a folder weather");
    let mut found: Vec<_> = entries
        .map(|entry| {
            let path = entry.expect("a folder entry").path();
            let name = path.file_name().expect("a name").to_string_lossy().to_string();
            (name, std::fs::read(&path).expect("a readable file"))
        })
        .collect();
    found.sort();
    assert!(found.len() >= 7, "{}", found.len());
    found
}

fn look(name: &str, bytes: &[u8]) -> study::Look {
    study::look_at_file(name, bytes).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A table of columns of a year, with the latitude as stated.
fn table(of: &study::Look, latitude: f64, columns: &[(&str, &[f64])]) -> String {
    let [_, longitude, elevation, offset] = of.place;
    let names: String = columns.iter().flat_map(|(name, _)| [",", name]).collect();
    let mut text = format!(
        "# place: Upper Field\n# latitude_deg: {latitude}\n# longitude_deg: {longitude}\n# elevation_m: {elevation}\n# utc_offset_h: {offset}\n# stamp: hour ending\ntime{names}\n"
    );
    for hour in 0..sun::HOURS {
        let day = hour / 24;
        let month = sun::month_of_day(day);
        let date = day - sun::month_start_day(month) + 1;
        write!(text, "2025-{:02}-{date:02} {:02}:00", month + 1, hour % 24 + 1).expect("a string takes it");
        for (_, values) in columns {
            write!(text, ",{:.2}", values[hour]).expect("a string takes it");
        }
        text.push('\n');
    }
    text
}

const LIGHT: &str = "ghi_w_m2";

#[test]
fn real_years_are_not_doubted_and_their_global_light_under_the_other_sky_is() {
    for (name, bytes) in files() {
        let own = look(&name, &bytes);
        assert_eq!(own.weather.doubtful, Vec::<String>::new(), "{name}");
        let year = &own.weather.years[0];
        let columns: [(&str, &[f64]); 2] = [(LIGHT, &year.ghi_w_m2), ("air_c", &year.air_c)];
        let right = look("alone.csv", table(&own, own.place[0], &columns).as_bytes());
        assert_eq!(right.weather.doubtful, Vec::<String>::new(), "{name}");
        assert!(right.report.iter().any(|line| line.ends_with("nothing to compare it with")), "{name}");
        let lost = look("alone.csv", table(&own, -own.place[0], &columns).as_bytes());
        eprintln!("{name}: {:?}", lost.weather.doubtful);
        assert!(
            lost.weather.doubtful.iter().any(|said| said.starts_with("alone.csv, line 2: ")
                && said.contains("light at night")
                && said.contains("sign of the latitude")),
            "{name}: {:?}",
            lost.weather.doubtful
        );
    }
}

#[test]
fn air_and_wind_of_a_warm_place_the_wrong_way_round_are_doubted() {
    for (name, bytes) in files().into_iter().filter(|(name, _)| name.contains("SanJuan")) {
        let own = look(&name, &bytes);
        let year = &own.weather.years[0];
        let columns: [(&str, &[f64]); 3] =
            [(LIGHT, &year.ghi_w_m2), ("air_c", &year.wind_m_s), ("wind_m_s", &year.air_c)];
        let swapped = look("swapped.csv", table(&own, own.place[0], &columns).as_bytes());
        let told = &swapped.weather.doubtful;
        eprintln!("{name}: {told:?}");
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(
            told[0].starts_with("swapped.csv, line 7: the wind blows at ") && told[0].contains("swapped")
        );
    }
}
