//! Sample feeds and home-years, where `WATTWRIGHT_DATA` says they are: counts and sums as stated with the files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stderr)]

use loads::meter::{Clock, Columns, DateOrder, MeterAccount, Oddity, account, read_csv, read_espi};
use std::path::PathBuf;

fn folder() -> Option<PathBuf> {
    let root = std::env::var("WATTWRIGHT_DATA").ok().filter(|root| !root.is_empty());
    if root.is_none() {
        eprintln!("skipped: WATTWRIGHT_DATA is not set");
    }
    root.map(|root| PathBuf::from(root).join("load"))
}

fn feed(name: &str) -> Option<MeterAccount> {
    let bytes = std::fs::read(folder()?.join("green_button").join(name)).expect("the sample feed");
    let readings = read_espi(&bytes).unwrap();
    account(&readings, readings.offset_s.unwrap())
}

/// One interval of 7200 s on 13 March, one of 0 s on 6 November; 12 397 kWh in twelve months. On the same two days the feed
/// covers an hour twice and leaves one out.
#[test]
fn a_year_of_a_sample_feed_is_whole_and_sums_to_what_is_stated() {
    let Some(done) = feed("Desert_Single_Family_Jan_1_2011_to_Jan_1_2012.xml") else { return };
    assert_eq!((done.count, done.usual_s), (8760, 3600));
    // Stated to a whole kilowatt-hour.
    assert!((done.taken_wh / 1000.0 - 12_397.0).abs() <= 0.5, "{}", done.taken_wh);
    assert!(done.months.iter().all(|month| month.is_whole()), "{:?}", done.odd);
    assert_eq!(done.months.len(), 12);
    assert!(matches!(
        done.odd[..],
        [
            Oddity::Long { seconds: 7200, line: 12_090, .. },
            Oddity::Overlap { seconds: 3600, .. },
            Oddity::WithoutLength { line: 52_130, .. },
            Oddity::Gap { seconds: 3600, .. }
        ]
    ));
    let months: f64 = done.whole_months_wh().iter().map(|month| month.unwrap()).sum();
    assert!((months - done.taken_wh).abs() < 1e-6);
}

#[test]
fn shorter_sample_feeds_have_their_counts() {
    for (name, count, usual) in [
        ("1hrLP_32Days.xml", 768, 3600),
        ("1hrLP_32DaysNoCost.xml", 768, 3600),
        ("15minLP_15Days.xml", 1340, 900),
    ] {
        let Some(done) = feed(name) else { return };
        assert_eq!((done.count, done.usual_s), (count, usual), "{name}");
    }
}

#[test]
fn home_years_of_a_table_sum_to_what_is_stated() {
    let Some(folder) = folder() else { return };
    let bytes = std::fs::read(folder.join("us_california_single_family_hourly_2011.csv")).expect("the table");
    for (column, kwh) in
        [("coastal_wh", 6563.0), ("desert_wh", 12_397.0), ("inland_wh", 8343.0), ("mountain_wh", 8899.0)]
    {
        let columns = Columns {
            stamp: "start_utc".into(),
            stamped_at_end: false,
            order: DateOrder::YearFirst,
            clock: Clock::Universal,
            taken: column.into(),
            fed: None,
            wh: 1.0,
            length: Some("duration_s".into()),
            seconds: 3600,
        };
        let done = account(&read_csv(&bytes, &columns).unwrap(), -8 * 3600).unwrap();
        assert!((done.taken_wh / 1000.0 - kwh).abs() <= 0.5, "{column}: {}", done.taken_wh);
        assert_eq!(done.months.iter().filter(|month| month.is_whole()).count(), 12, "{column}");
    }
}

#[test]
fn a_season_of_one_home_has_every_hour_and_two_broken_months() {
    let Some(folder) = folder() else { return };
    let bytes = std::fs::read(folder.join("single_home_hourly_2011-11_2012-03.csv")).expect("the table");
    let columns = Columns {
        stamp: "DateTime".into(),
        stamped_at_end: true,
        order: DateOrder::MonthFirst,
        clock: Clock::Standard(-5 * 3600),
        taken: "Consumption kWh".into(),
        fed: None,
        wh: 1000.0,
        length: None,
        seconds: 3600,
    };
    let done = account(&read_csv(&bytes, &columns).unwrap(), -5 * 3600).unwrap();
    assert_eq!(done.count, 2712);
    // From late November to March: the first and the last month are not whole.
    let whole = done.whole_months_wh().map(|month| month.is_some());
    assert_eq!(whole.iter().filter(|whole| **whole).count(), 3, "{:?}", done.odd);
    assert!(whole[0] && whole[1] && whole[11]);
}
