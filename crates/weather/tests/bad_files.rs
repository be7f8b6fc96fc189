//! Files as they come: small deviations are named with their line, gaps are filled only by name, nothing is guessed.

use sun::{Observer, YearSky, month_of_day, month_start_day};
use weather::{
    FileYear, Fill, Observation, Place, Plausibility, Quantity, ReadError, read_epw, read_table, read_tmy3,
};

const NEEDED: &str =
    "# place: A hill\n# latitude_deg: 45\n# longitude_deg: 9\n# elevation_m: 100\n# utc_offset_h: 1\n";

/// One data line per hour: month, day, hour ending, and a light that follows the sun of 45° north, 9° east.
fn hours() -> Vec<(usize, usize, usize, usize)> {
    (0..8760)
        .map(|h| {
            let day = h / 24;
            let month = month_of_day(day);
            (month + 1, day - month_start_day(month) + 1, h % 24 + 1, h)
        })
        .collect()
}

fn sky() -> YearSky {
    YearSky::new(Observer::new(45.0, 9.0, 100.0).expect("a place"), 1.0)
}

fn light(sky: &YearSky, hour: usize) -> (f64, f64, f64) {
    let dni = 500.0 * sky.sunlit_fraction[hour];
    let dhi = 0.2 * sky.extraterrestrial_horizontal_w_m2[hour];
    (dhi + dni * sky.cos_zenith[hour], dni, dhi)
}

fn epw(edit: impl Fn(usize, &mut Vec<String>)) -> String {
    let sky = sky();
    let mut text = String::from(
        "LOCATION,A hill,-,-,made,0,45.0,9.0,1.0,100.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n",
    );
    text += "GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,made\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n";
    for (month, day, hour, index) in hours() {
        let (g, b, d) = light(&sky, index);
        let mut cells: Vec<String> = vec!["0".into(); 35];
        for (at, value) in [
            (0, 2001.0),
            (1, month as f64),
            (2, day as f64),
            (3, hour as f64),
            (6, 10.0),
            (13, g),
            (14, b),
            (15, d),
            (21, 3.0),
        ] {
            cells[at] = format!("{value}");
        }
        cells[30] = "999".into();
        cells[32] = "999".into();
        edit(index, &mut cells);
        if !cells.is_empty() {
            text += &cells.join(",");
            text.push('\n');
        }
    }
    text
}

fn table(stamp: &str, year: i32, edit: impl Fn(usize, String) -> String) -> String {
    let sky = sky();
    let mut text = format!(
        "{NEEDED}# stamp: {stamp}\n# missing: -999\ntime,ghi_w_m2,dni_w_m2,dhi_w_m2,air_c,wind_m_s\n"
    );
    for (month, day, hour, index) in hours() {
        let hour = if stamp == "hour ending" { hour } else { hour - 1 };
        let (g, b, d) = light(&sky, index);
        text += &edit(index, format!("{year}-{month:02}-{day:02} {hour:02}:00,{g:.3},{b:.3},{d:.3},10,3\n"));
    }
    text
}

fn refused(result: Result<FileYear, ReadError>) -> ReadError {
    result.expect_err("the file is refused")
}

#[test]
fn a_whole_epw_file_is_read_and_looks_plausible() {
    let file = read_epw(epw(|_, _| ()).as_bytes()).expect("a good file");
    let (place, sky) = (file.place.clone(), sky());
    let year = file.into_year(&sky, &[]).expect("no gaps").year;
    assert_eq!((year.ghi_w_m2.len(), &year.snow_cm), (8760, &None));
    let look = Plausibility::of(&year, &place, &sky);
    assert!(look.observations.is_empty(), "{:?}", look.observations);
}

#[test]
fn broken_epw_files_are_refused_with_their_line() {
    assert_eq!(refused(read_epw(b"")).line, 1);
    assert_eq!(refused(read_epw(b"\n\n")).line, 1);
    assert_eq!(refused(read_epw(b"time,ghi\n1,2\n")).line, 1);
    assert_eq!(refused(read_epw(b"LOCATION,x\n\xff\xfe\n")).line, 2);
    // Cut in the middle of a line, and at the end of one.
    let whole = epw(|_, _| ());
    let cut = &whole.as_bytes()[..whole.len() / 2];
    let line = whole[..whole.len() / 2].lines().count();
    assert_eq!(refused(read_epw(cut)).line, line);
    let half: String = whole.lines().take(4008).map(|l| format!("{l}\n")).collect();
    let error = refused(read_epw(half.as_bytes()));
    assert!(error.line == 4008 && error.what.contains("4000 of 8760"), "{error}");
    // An hour too few, one twice, one out of order, a date that is none.
    let missing = epw(|h, cells| {
        if h == 100 {
            cells.clear()
        }
    });
    assert_eq!(refused(read_epw(missing.as_bytes())).line, 9 + 100);
    let twice = epw(|h, cells| {
        if h == 100 {
            cells[3] = "4".into()
        }
    });
    assert_eq!(refused(read_epw(twice.as_bytes())).line, 9 + 100);
    let bad_day = epw(|h, cells| {
        if h == 24 * 58 {
            cells[2] = "31".into()
        }
    });
    assert_eq!(refused(read_epw(bad_day.as_bytes())).line, 9 + 24 * 58);
    // Values: words, out of range, an odd code for missing.
    for (at, value) in [(6, "cold"), (6, "400"), (13, "-999"), (13, "NaN"), (13, "inf"), (21, "-1")] {
        let text = epw(|h, cells| {
            if h == 50 {
                cells[at] = value.into()
            }
        });
        let error = refused(read_epw(text.as_bytes()));
        assert_eq!(error.line, 59, "{value}: {error}");
        assert!(!error.allowed.is_empty());
    }
    // A place off the globe; two records per hour.
    let off = epw(|_, _| ()).replacen("45.0,9.0", "95.0,9.0", 1);
    assert_eq!(refused(read_epw(off.as_bytes())).line, 1);
    let quarter = epw(|_, _| ()).replacen("DATA PERIODS,1,1", "DATA PERIODS,1,2", 1);
    assert_eq!(refused(read_epw(quarter.as_bytes())).line, 8);
}

#[test]
fn missing_codes_become_gaps_that_only_a_named_method_fills() {
    let text = epw(|h, cells| {
        if (100..103).contains(&h) {
            cells[6] = "99.9".into();
        }
        if h == 3000 {
            cells[13] = "9999".into();
        }
        if h == 200 {
            cells[21] = "999".into();
        }
    });
    let (file, sky) = (read_epw(text.as_bytes()).expect("codes are accepted"), sky());
    let gaps = file.gaps();
    assert_eq!(gaps.len(), 3);
    assert_eq!((gaps[1].quantity, gaps[1].first_hour, gaps[1].hours), (Quantity::Air, 100, 3));
    let left = file.clone().into_year(&sky, &[]).expect_err("nothing is filled unasked");
    assert_eq!(left.gaps, gaps);
    // A line for air and wind does not touch light.
    let left =
        file.clone().into_year(&sky, &[Fill::StraightLine { longest_hours: 3 }]).expect_err("light is left");
    assert_eq!((left.gaps.len(), left.gaps[0].quantity), (1, Quantity::Global));
    // A gap longer than asked for stays.
    assert_eq!(
        file.clone()
            .into_year(&sky, &[Fill::StraightLine { longest_hours: 2 }])
            .expect_err("left")
            .gaps
            .len(),
        2
    );
    let methods = [Fill::StraightLine { longest_hours: 6 }, Fill::NearestDay { farthest_days: 2 }];
    let whole = file.into_year(&sky, &methods).expect("filled");
    assert_eq!(whole.filled.len(), 3);
    assert_eq!((whole.year.air_c[101], whole.year.wind_m_s[200]), (10.0, 3.0));
    assert_eq!(whole.year.ghi_w_m2[3000], whole.year.ghi_w_m2[3000 - 24]);
}

#[test]
fn swapped_columns_do_not_close() {
    let text = epw(|_, cells| cells.swap(14, 15));
    let (file, sky) = (read_epw(text.as_bytes()).expect("the numbers are in range"), sky());
    let place = file.place.clone();
    let year = file.into_year(&sky, &[]).expect("no gaps").year;
    let look = Plausibility::of(&year, &place, &sky);
    assert!(look.observations.iter().any(|o| matches!(o, Observation::DoesNotClose { .. })), "{look:?}");
}

#[test]
fn a_lost_sign_of_the_longitude_and_a_shifted_clock_are_seen() {
    let file = read_epw(epw(|_, _| ()).as_bytes()).expect("a good file");
    let place = Place { longitude_deg: -80.0, ..file.place.clone() };
    let wrong = YearSky::new(Observer::new(45.0, -80.0, 100.0).expect("a place"), 1.0);
    let year = file.clone().into_year(&sky(), &[]).expect("no gaps").year;
    let look = Plausibility::of(&year, &place, &wrong);
    assert!(look.observations.iter().any(|o| matches!(o, Observation::ZoneFarFromLongitude { .. })));
    assert!(look.observations.iter().any(|o| matches!(o, Observation::LightAtNight { .. })));
    let mut shifted = year;
    shifted.ghi_w_m2.rotate_right(1);
    let look = Plausibility::of(&shifted, &file.place, &sky());
    assert!((look.noon_shift_h - 1.0).abs() < 0.1, "{}", look.noon_shift_h);
    assert!(look.observations.iter().any(|o| matches!(o, Observation::NoonIsShifted { .. })));
}

/// The table of global light alone, whose beam and diffuse are made from it.
fn split_under(sky: &YearSky) -> weather::Year {
    let text = table("hour ending", 2019, |_, row| {
        let cells: Vec<&str> = row.trim_end().split(',').collect();
        format!("{},{},{},{}\n", cells[0], cells[1], cells[4], cells[5])
    })
    .replace(",dni_w_m2,dhi_w_m2", "");
    let file = read_table(text.as_bytes()).expect("global alone");
    file.into_year(sky, &[Fill::SplitGlobal]).expect("split").year
}

#[test]
fn a_lost_sign_of_the_latitude_closes_and_is_seen_at_night() {
    let place = |latitude_deg| Place {
        name: "A hill".into(),
        latitude_deg,
        longitude_deg: 9.0,
        elevation_m: 100.0,
        utc_offset_h: 1.0,
    };
    let look = Plausibility::of(&split_under(&sky()), &place(45.0), &sky());
    assert!(look.observations.is_empty(), "{:?}", look.observations);
    let wrong = YearSky::new(Observer::new(-45.0, 9.0, 100.0).expect("a place"), 1.0);
    let look = Plausibility::of(&split_under(&wrong), &place(-45.0), &wrong);
    assert!(look.closure_rms_w_m2 < 1.0 && look.noon_shift_h.abs() < 0.4, "{look:?}");
    let night = |o: &Observation| matches!(o, Observation::LightAtNight { worst, .. } if worst.1 > 50.0);
    let bright = |o: &Observation| matches!(o, Observation::BrighterThanSpace { hours, .. } if *hours > 50);
    assert!(look.observations.iter().any(night) && look.observations.iter().any(bright), "{look:?}");
}

#[test]
fn air_in_the_column_of_the_wind_and_kilometres_an_hour_are_seen() {
    let file = read_table(table("hour ending", 2019, |_, row| row).as_bytes()).expect("a good table");
    let place = file.place.clone();
    let calm = file.into_year(&sky(), &[]).expect("no gaps").year;
    let strong = |wind: &dyn Fn(usize) -> f64| {
        let year = weather::Year { wind_m_s: (0..8760).map(wind).collect(), ..calm.clone() };
        let look = Plausibility::of(&year, &place, &sky());
        look.observations.iter().any(|o| matches!(o, Observation::WindTooStrong { .. }))
    };
    // A stormy coast: 10 m/s on average, calm now and then.
    let coast = |hour: usize| (hour % 21) as f64;
    assert!(!strong(&coast));
    assert!(strong(&|hour| 3.6 * coast(hour)));
    // The air of a mild place: 10 °C on average, never under 6.
    assert!(strong(&|hour| 6.0 + (hour % 9) as f64));
}

#[test]
fn a_table_says_whether_its_stamps_open_or_close_the_hour() {
    let closing = read_table(table("hour ending", 2019, |_, row| row).as_bytes()).expect("a good table");
    let opening = read_table(table("hour starting", 2019, |_, row| row).as_bytes()).expect("a good table");
    assert_eq!(closing.ghi_w_m2, opening.ghi_w_m2);
    let unsaid = table("hour ending", 2019, |_, row| row).replace("# stamp: hour ending\n", "");
    let error = refused(read_table(unsaid.as_bytes()));
    assert!(error.what.contains("stamp"), "{error}");
    let vague = table("hour ending", 2019, |_, row| row).replace("hour ending", "middle");
    assert_eq!(refused(read_table(vague.as_bytes())).line, 6);
}

#[test]
fn midnight_may_be_written_as_the_next_day_or_as_24() {
    let next_day = table("hour ending", 2019, |h, row| {
        if h % 24 != 23 {
            return row;
        }
        let day = (h / 24 + 1) % 365;
        let month = month_of_day(day);
        let year = if h == 8759 { 2020 } else { 2019 };
        let date = format!("{year}-{:02}-{:02} 00:00", month + 1, day - month_start_day(month) + 1);
        format!("{date}{}", &row[16..])
    });
    let plain = read_table(table("hour ending", 2019, |_, row| row).as_bytes()).expect("a good table");
    assert_eq!(read_table(next_day.as_bytes()).expect("the same table").ghi_w_m2, plain.ghi_w_m2);
}

#[test]
fn a_29_february_is_left_out_openly_and_left_out_hours_are_gaps() {
    let leap = table("hour starting", 2020, |h, row| {
        if h == 24 * 59 {
            let extra: String =
                (0..24).map(|hour| format!("2020-02-29 {hour:02}:00,999,999,999,40,9\n")).collect();
            return extra + &row;
        }
        if h == 5000 { String::new() } else { row }
    });
    let file = read_table(leap.as_bytes()).expect("a leap year");
    assert_eq!(file.remarks.len(), 1, "{:?}", file.remarks);
    assert!(file.remarks[0].contains("29 February"));
    assert_eq!(file.gaps().len(), 5);
    assert!(file.ghi_w_m2.iter().flatten().all(|g| *g < 999.0));
}

#[test]
fn broken_tables_are_refused_with_their_line() {
    let good = table("hour ending", 2019, |_, row| row);
    let first_row = 9;
    for (from, to, line) in [
        ("time,ghi_w_m2", "time,ghi", 8),
        ("time,ghi_w_m2", "when,ghi_w_m2", 8),
        ("dni_w_m2,dhi_w_m2", "dni_w_m2,dni_w_m2", 8),
        ("# latitude_deg: 45", "# latitude_deg: 145", 2),
        ("# latitude_deg: 45", "# latitude: 45", 2),
        ("# elevation_m: 100", "# elevation_m: high", 4),
        ("2019-01-01 03:00", "2019-01-01 02:00", first_row + 2),
        ("2019-01-01 03:00", "2019-01-01 03:30", first_row + 2),
        ("2019-01-01 03:00", "2019-13-01 03:00", first_row + 2),
        ("2019-01-01 03:00", "01.01.2019 03:00", first_row + 2),
        ("2019-01-01 03:00", "2018-01-01 03:00", first_row + 2),
        ("2019-01-01 03:00,", "2019-01-01 03:00,1,", first_row + 2),
        ("2019-02-28 05:00", "2019-02-30 05:00", first_row + 24 * 58 + 4),
    ] {
        let text = good.replacen(from, to, 1);
        assert_ne!(text, good, "{from}");
        let error = refused(read_table(text.as_bytes()));
        assert_eq!(error.line, line, "{to}: {error}");
    }
    assert!(read_table(b"").is_err() && read_table(NEEDED.as_bytes()).is_err());
    let only_names = format!("{NEEDED}# stamp: hour ending\ntime,ghi_w_m2,air_c\n");
    assert_eq!(refused(read_table(only_names.as_bytes())).line, 7);
}

#[test]
fn global_alone_is_split_only_when_asked() {
    let text = table("hour ending", 2019, |_, row| {
        let cells: Vec<&str> = row.trim_end().split(',').collect();
        format!("{},{},{},{}\n", cells[0], cells[1], cells[4], cells[5])
    })
    .replace(",dni_w_m2,dhi_w_m2", "");
    let (file, sky) = (read_table(text.as_bytes()).expect("global alone"), sky());
    assert_eq!(file.clone().into_year(&sky, &[]).expect_err("no beam").gaps.len(), 2);
    let whole = file.into_year(&sky, &[Fill::SplitGlobal]).expect("split");
    assert_eq!(whole.filled.len(), 2);
}

#[test]
fn broken_tmy3_files_are_refused_with_their_line() {
    let names = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Wspd (m/s)";
    let station = "1,\"A hill, upper\",XX,1.0,45.0,9.0,100\n";
    let rows: String = hours()
        .iter()
        .map(|(m, d, h, _)| format!("{m:02}/{d:02}/{},{h:02}:00,0,0,0,5,-9900\n", 1990 + m))
        .collect();
    let good = format!("{station}{names}\n{rows}");
    let file = read_tmy3(good.as_bytes()).expect("a good file");
    assert_eq!(file.place.name, "A hill, upper");
    assert_eq!((file.gaps().len(), file.gaps()[0].quantity), (1, Quantity::Wind));
    for (from, to, line) in [
        ("DNI (W/m^2)", "DNI", 2),
        ("1.0,45.0", "1.0,north", 1),
        ("01/01/1991,02:00,0", "01/01/1991,02:30,0", 4),
        ("01/01/1991,02:00,0", "01/01/1991,05:00,0", 4),
        ("01/01/1991,02:00,0", "01/01/1991,02:00,-5", 4),
        ("01/01/1991,02:00,0", "01-01-1991,02:00,0", 4),
    ] {
        let error = refused(read_tmy3(good.replacen(from, to, 1).as_bytes()));
        assert_eq!(error.line, line, "{to}: {error}");
    }
}

#[test]
fn small_negative_night_readings_are_zeroed_openly_and_large_ones_refused() {
    let night =
        table("hour ending", 2019, |h, row| if h < 3 { row.replacen(",0.000", ",-2.4", 1) } else { row });
    let file = read_table(night.as_bytes()).expect("an instrument's offset");
    assert_eq!(file.ghi_w_m2[0], Some(0.0));
    assert!(
        file.remarks.iter().any(|r| r.contains("3 hours of global") && r.contains("-2.4")),
        "{:?}",
        file.remarks
    );
    let wrong =
        table("hour ending", 2019, |h, row| if h == 2 { row.replacen(",0.000", ",-60", 1) } else { row });
    assert_eq!(refused(read_table(wrong.as_bytes())).line, 9 + 2);
}
