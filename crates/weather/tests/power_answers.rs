//! Answers of the hourly service in both of its forms, whole, partial, cut and wrong. The values are made up here; the form
//! is the documented one.

use std::fmt::Write;

use sun::{HOURS, is_leap_year, month_start_day};
use weather::{Fill, PowerYears, Quantity, read_power};

/// Days of a calendar in order, with their month and day.
fn days(years: std::ops::RangeInclusive<i32>) -> Vec<(i32, usize, usize)> {
    years
        .flat_map(|year| {
            (1..=12).flat_map(move |month| {
                let length = sun::MONTH_DAYS[month - 1] + usize::from(month == 2 && is_leap_year(year));
                (1..=length).map(move |day| (year, month, day))
            })
        })
        .collect()
}

/// A value that tells its own stamp: hours of the day in tenths, months in hundreds.
fn told(month: usize, day: usize, hour: usize) -> f64 {
    month as f64 * 10.0 + day as f64 * 0.1 + hour as f64 * 0.001
}

fn json(
    years: std::ops::RangeInclusive<i32>,
    standard: &str,
    units: &str,
    edit: impl Fn(&str) -> Option<f64>,
) -> String {
    let of = |name: &str| {
        let mut text = String::new();
        for (year, month, day) in days(years.clone()) {
            for hour in 0..24 {
                let stamp = format!("{year}{month:02}{day:02}{hour:02}");
                let value = edit(&stamp).unwrap_or_else(|| told(month, day, hour));
                let value = if name == "T2M" { value / 10.0 } else { value };
                write!(text, "{}\"{stamp}\":{value}", if text.is_empty() { "" } else { "," })
                    .expect("a string");
            }
        }
        format!("\"{name}\":{{{text}}}")
    };
    format!(
        "{{\"type\":\"Feature\",\"geometry\":{{\"type\":\"Point\",\"coordinates\":[-105.2,40.0,1655.02]}},\
         \"properties\":{{\"parameter\":{{{},{},\"QV2M\":{{}}}}}},\
         \"header\":{{\"title\":\"Hourly Data\",\"fill_value\":-999.0,\"time_standard\":\"{standard}\",\
         \"start\":\"{}0101\",\"end\":\"{}1231\"}},\"messages\":[],\
         \"parameters\":{{\"ALLSKY_SFC_SW_DWN\":{{\"units\":\"{units}\",\"longname\":\"\"}},\"T2M\":{{\"units\":\"C\",\"longname\":\"\"}}}}}}",
        of("ALLSKY_SFC_SW_DWN"),
        of("T2M"),
        years.start(),
        years.end()
    )
}

fn csv(year: i32, standard: &str, change: impl Fn(&str) -> String) -> String {
    let mut text = format!(
        "-BEGIN HEADER-\nHourly Data \nDates (month/day/year): 01/01/{year} through 12/31/{year} in {standard}\n\
         Location: latitude  40.0   longitude -105.2 \n\
         elevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 1655.02 meters\n\
         The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \n\
         parameter(s): \n\
         ALLSKY_SFC_SW_DWN     CERES SYN1deg All Sky Surface Shortwave Downward Irradiance (Wh/m^2) \n\
         T2M                   MERRA-2 Temperature at 2 Meters (C) \n\
         WS10M                 MERRA-2 Wind Speed at 10 Meters (m/s) \n\
         -END HEADER-\nYEAR,MO,DY,HR,ALLSKY_SFC_SW_DWN,T2M,WS10M\n"
    );
    for (year, month, day) in days(year..=year) {
        for hour in 0..24 {
            let v = told(month, day, hour);
            text += &change(&format!("{year},{month},{day},{hour},{v},{},3.5", v / 10.0));
            text.push('\n');
        }
    }
    text
}

fn read(text: &str, offset: f64) -> PowerYears {
    read_power(text.as_bytes(), "Test field", offset).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn years_are_assembled_and_leap_days_left_out_openly() {
    // Longitude −105.2: local solar time is −7 h, the standard time asked for, so nothing moves.
    let found = read(&json(2019..=2020, "LST", "Wh/m^2", |_| None), -7.0);
    assert_eq!(found.years.iter().map(|year| year.0).collect::<Vec<_>>(), [2019, 2020]);
    assert!(found.left_out.is_empty());
    for (year, file) in &found.years {
        assert_eq!(file.ghi_w_m2.len(), HOURS);
        // The hour that starts at 14:00 on 1 March is index 14 of that day, leap year or not.
        let index = 24 * month_start_day(2) + 14;
        assert_eq!(file.ghi_w_m2[index], Some(told(3, 1, 14)), "{year}");
        assert!(file.ghi_w_m2.iter().all(Option::is_some) && file.wind_m_s.iter().all(Option::is_none));
        assert_eq!(file.remarks.iter().any(|r| r.contains("24 hours of 29 February")), *year == 2020);
        assert!(file.remarks.iter().any(|r| r.contains("QV2M")));
    }
    let place = &found.years[0].1.place;
    assert_eq!(
        (place.latitude_deg, place.longitude_deg, place.elevation_m, place.utc_offset_h),
        (40.0, -105.2, 1655.02, -7.0)
    );
}

#[test]
fn universal_time_is_moved_to_standard_time_and_the_ends_are_gaps() {
    let found = read(&json(2019..=2020, "UTC", "Wh/m^2", |_| None), -7.0);
    assert_eq!(found.years.len(), 2);
    let first = &found.years[0].1;
    // 00:00 local on 2 January is 07:00 universal time of that day.
    assert_eq!(first.ghi_w_m2[24], Some(told(1, 2, 7)));
    // 20:00 local on 31 December 2019 is 03:00 universal time of 1 January 2020, which the answer holds.
    assert_eq!(first.ghi_w_m2[HOURS - 4], Some(told(1, 1, 3)));
    // Of the last evening of 2020 seven hours are in 2021.
    let gaps = found.years[1].1.gaps();
    let own: Vec<_> = gaps.iter().filter(|gap| gap.quantity == Quantity::Global).collect();
    assert_eq!((own.len(), own[0].first_hour, own[0].hours), (1, HOURS - 7, 7));
    // The seven hours of 2018 that belong to 31 December local time are no year.
    assert_eq!(found.left_out, [(2018, 7)]);
}

#[test]
fn fill_values_become_gaps_and_never_light() {
    let text = json(2019..=2019, "LST", "Wh/m^2", |stamp| stamp.starts_with("20190704").then_some(-999.0));
    // T2M is a tenth of the told value here, so that −999 stands for light alone.
    let error = read_power(text.as_bytes(), "x", -7.0).expect_err("-99.9 °C is out of range");
    assert!(error.what.contains("T2M"), "{error}");
    let text = text.replace(":-99.9", ":-999");
    let found = read(&text, -7.0);
    let gaps = found.years[0].1.gaps();
    let light: Vec<_> = gaps.iter().filter(|gap| gap.quantity == Quantity::Global).collect();
    assert_eq!((light.len(), light[0].hours, light[0].first_hour), (1, 24, 24 * (181 + 3)));
    let sky = sun::YearSky::new(sun::Observer::new(40.0, -105.2, 1655.0).expect("a place"), -7.0);
    let refused = found.years[0].1.clone().into_year(&sky, &[]).expect_err("gaps stand");
    assert!(refused.gaps.len() >= 2);
    let methods = [Fill::NearestDay { farthest_days: 3 }, Fill::SplitGlobal];
    let rest = found.years[0].1.clone().into_year(&sky, &methods).expect_err("no wind in the answer");
    assert!(rest.gaps.iter().all(|gap| gap.quantity == Quantity::Wind));
}

#[test]
fn megajoules_are_converted_and_unknown_units_refused() {
    // 3.6 MJ/hr are 1000 W/m².
    let text = json(2019..=2019, "LST", "MJ/hr", |_| Some(3.6));
    assert!((read(&text, -7.0).years[0].1.ghi_w_m2[5].expect("a value") - 1000.0).abs() < 1e-9);
    let error = read_power(json(2019..=2019, "LST", "kW-hr/m^2/day", |_| None).as_bytes(), "x", -7.0);
    assert!(error.expect_err("daily sums").what.contains("kW-hr"));
}

#[test]
fn the_csv_form_says_the_same_as_the_json_form() {
    let of_csv = read(&csv(2019, "LST", str::to_string), -7.0);
    let of_json = read(&json(2019..=2019, "LST", "Wh/m^2", |_| None), -7.0);
    let (a, b) = (&of_csv.years[0].1, &of_json.years[0].1);
    assert_eq!((&a.ghi_w_m2, &a.air_c, &a.place), (&b.ghi_w_m2, &b.air_c, &b.place));
    assert_eq!(a.wind_m_s[17], Some(3.5));
}

#[test]
fn wrong_rows_are_named_by_their_line() {
    // Heading of eleven lines, names in line 12: row 1 is line 13.
    let cut =
        csv(
            2019,
            "LST",
            |row| if row.starts_with("2019,1,1,3,") { "2019,1,1,3,0.0".into() } else { row.into() },
        );
    assert_eq!(read_power(cut.as_bytes(), "x", -7.0).expect_err("a short row").line, 16);
    let word = csv(2019, "LST", |row| {
        if row.starts_with("2019,1,1,3,") { "2019,1,1,3,none,0,0".into() } else { row.into() }
    });
    assert_eq!(read_power(word.as_bytes(), "x", -7.0).expect_err("a word").line, 16);
    let twice = csv(2019, "LST", |row| {
        if row.starts_with("2019,1,1,3,") { row.replace("1,1,3,", "1,1,2,") } else { row.into() }
    });
    assert_eq!(read_power(twice.as_bytes(), "x", -7.0).expect_err("an hour twice").line, 16);
    let bright = csv(2019, "LST", |row| {
        if row.starts_with("2019,1,1,3,") { "2019,1,1,3,1600,0,0".into() } else { row.into() }
    });
    assert_eq!(read_power(bright.as_bytes(), "x", -7.0).expect_err("too bright").line, 16);
    let zone = csv(2019, "EST", str::to_string);
    assert!(read_power(zone.as_bytes(), "x", -7.0).expect_err("a zone").what.contains("EST"));
}

#[test]
fn cut_empty_and_refusing_answers_are_errors_and_never_panics() {
    let whole = json(2019..=2019, "LST", "Wh/m^2", |_| None);
    for cut in [1, 100, whole.len() / 2, whole.len() - 1] {
        assert!(read_power(&whole.as_bytes()[..cut], "x", -7.0).is_err());
    }
    let text = csv(2019, "LST", str::to_string);
    for cut in [1, 100, 900, text.len() / 2] {
        assert!(read_power(&text.as_bytes()[..cut], "x", -7.0).is_err(), "{cut}");
    }
    for text in ["", "{}", "[1,2]", "<html>busy</html>", "{\"properties\":{\"parameter\":{}}}"] {
        assert!(read_power(text.as_bytes(), "x", -7.0).is_err());
    }
    let busy = "{\"messages\":[\"The service is busy\"],\"header\":\"none\"}";
    let error = read_power(busy.as_bytes(), "x", -7.0).expect_err("no values");
    assert!(error.what.contains("busy"), "{error}");
    assert!(read_power(whole.as_bytes(), "x", f64::NAN).is_err());
}

#[test]
fn a_part_of_a_year_is_left_out_and_named() {
    let text = csv(2019, "LST", str::to_string);
    let until_june: String = text.lines().take(12 + 24 * 181).map(|line| format!("{line}\n")).collect();
    let error = read_power(until_june.as_bytes(), "x", -7.0).expect_err("half a year");
    assert!(error.what.contains("no whole calendar year"));
}

#[test]
fn answers_with_any_one_byte_changed_are_read_or_refused_but_never_panic() {
    // Fixed places and bytes: the heads of both forms, where every word decides, and some of the hours.
    for text in [json(2019..=2019, "LST", "Wh/m^2", |_| None), csv(2019, "LST", str::to_string)] {
        let bytes = text.as_bytes();
        let tail = bytes.len() - 500..bytes.len();
        for at in (0..700).step_by(13).chain(tail.step_by(11)) {
            for byte in [b'"', b'9', 0xff] {
                let mut changed = bytes.to_vec();
                changed[at] = byte;
                if let Err(error) = read_power(&changed, "x", -7.0) {
                    assert!(error.line >= 1 && !error.what.is_empty() && !error.allowed.is_empty());
                }
            }
        }
    }
}
