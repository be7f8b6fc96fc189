use super::*;

/// A feed of one hour a reading: start after 2011-01-01 00:00 at UTC−8 in hours, length in seconds, value.
fn feed(readings: &[(i64, i64, i64)], direction: u8, multiplier: i8) -> String {
    let list: String = readings
        .iter()
        .map(|(hour, seconds, value)| {
            let start = 1_293_868_800 + hour * 3600;
            format!("<IntervalReading><timePeriod><duration>{seconds}</duration><start>{start}</start></timePeriod><value>{value}</value></IntervalReading>\n")
        })
        .collect();
    format!(
        "<feed xmlns=\"http://www.w3.org/2005/Atom\"><entry><link rel=\"self\" href=\"T/1\"/><content><ReadingType xmlns=\"http://naesb.org/espi\">\
         <flowDirection>{direction}</flowDirection><powerOfTenMultiplier>{multiplier}</powerOfTenMultiplier><uom>72</uom></ReadingType></content></entry>\n\
         <entry><content><LocalTimeParameters xmlns=\"http://naesb.org/espi\"><tzOffset>-28800</tzOffset></LocalTimeParameters></content></entry>\n\
         <entry><content><IntervalBlock xmlns=\"http://naesb.org/espi\">\n{list}</IntervalBlock></content></entry></feed>"
    )
}

fn of(text: &str) -> MeterAccount {
    let readings = read_espi(text.as_bytes()).unwrap();
    account(&readings, readings.offset_s.unwrap()).unwrap()
}

#[test]
fn a_whole_january_is_whole_and_sums_to_its_readings() {
    let hours: Vec<_> = (0..744).map(|h| (h, 3600, 1000)).collect();
    let done = of(&feed(&hours, 1, 0));
    assert_eq!((done.months.len(), done.months[0].month, done.months[0].year), (1, 0, 2011));
    assert!(done.months[0].is_whole() && done.odd.is_empty());
    assert!((done.months[0].taken_wh - 744_000.0).abs() < 1e-6);
    // The same in quarter-hours of a tenth.
    let quarters: String = feed(&hours, 1, -1);
    assert!((of(&quarters).taken_wh - 74_400.0).abs() < 1e-6);
}

#[test]
fn gaps_and_overlaps_are_named_and_make_a_month_not_whole() {
    let done = of(&feed(&[(0, 3600, 500), (3, 3600, 500), (3, 7200, 700)], 1, 0));
    assert_eq!(
        done.odd,
        [
            Oddity::Gap { line: 5, from_s: 1_293_840_000 + 3600, seconds: 7200 },
            Oddity::Overlap { line: 6, with_line: 5, from_s: 1_293_840_000 + 3 * 3600, seconds: 3600 },
            Oddity::Long { line: 6, at_s: 1_293_840_000 + 3 * 3600, seconds: 7200 },
        ]
    );
    assert_eq!(moment(1_293_840_000 + 3600), "2011-01-01 01:00");
    let month = done.months[0];
    assert_eq!((month.twice_s, month.missing_s), (3600, (744 - 3) * 3600));
    assert_eq!(done.whole_months_wh(), [None; 12]);
}

#[test]
fn clock_changes_leave_a_month_whole() {
    let mut hours: Vec<_> = (0..744).map(|h| (h, 3600, 1000)).collect();
    // Two hours in one reading, and one without length, as files write the turns of the clock.
    hours[100].1 = 7200;
    hours.remove(101);
    hours.push((200, 0, 300));
    let done = of(&feed(&hours, 1, 0));
    assert!(done.months[0].is_whole(), "{:?}", done.odd);
    assert_eq!(done.odd.len(), 2);
    assert!((done.taken_wh - 743_300.0).abs() < 1e-6);
}

#[test]
fn what_is_fed_back_is_kept_apart() {
    let readings = read_espi(feed(&[(0, 3600, 500)], 19, 0).as_bytes()).unwrap();
    assert_eq!((readings.taken.len(), readings.fed.len()), (0, 1));
    let net = read_espi(feed(&[(0, 3600, 500), (1, 3600, -200)], 4, 0).as_bytes()).unwrap();
    assert_eq!((net.taken[1].wh, net.fed.len(), net.fed[0].wh), (0.0, 1, 200.0));
    // An hour in which a net meter fed back is an hour in which nothing was taken: the month is whole.
    let mut hours: Vec<_> = (0..744).map(|hour| (hour, 3600, 1000)).collect();
    hours[12].2 = -500;
    let month = of(&feed(&hours, 4, 0));
    assert!(month.months[0].is_whole() && month.odd.is_empty(), "{:?}", month.odd);
    assert!((month.taken_wh - 743_000.0).abs() < 1e-6 && (month.fed_wh - 500.0).abs() < 1e-6);
}

#[test]
fn a_reading_over_the_turn_of_a_month_is_shared_by_time() {
    let done = of(&feed(&[(743, 7200, 1000)], 1, 0));
    assert_eq!(done.months.iter().map(|m| m.taken_wh).collect::<Vec<_>>(), [500.0, 500.0]);
}

#[test]
fn what_is_no_feed_of_energy_says_why_and_where() {
    assert_eq!(read_espi(&[0xff, 0xfe]), Err(MeterError::NotText));
    assert!(matches!(read_espi(b"<feed><entry>"), Err(MeterError::NotXml { .. })));
    assert_eq!(read_espi(b"<feed/>"), Err(MeterError::NoEnergy { found: vec![] }));
    let volts = feed(&[(0, 3600, 5)], 1, 0).replace("<uom>72", "<uom>29");
    assert_eq!(read_espi(volts.as_bytes()), Err(MeterError::NoEnergy { found: vec!["29".into()] }));
    let words = feed(&[(0, 3600, 5)], 1, 0).replace("<value>5", "<value>five");
    let Err(MeterError::Unreadable { line: 4, found, .. }) = read_espi(words.as_bytes()) else { panic!() };
    assert_eq!(found, "five");
}

fn columns() -> Columns {
    Columns {
        stamp: "when".into(),
        stamped_at_end: true,
        order: DateOrder::MonthFirst,
        clock: Clock::Standard(-5 * 3600),
        taken: "kWh".into(),
        fed: None,
        wh: 1000.0,
        length: None,
        seconds: 3600,
    }
}

#[test]
fn declared_columns_are_read_and_others_left_alone() {
    let text = "When,tariff,kWh\n11/25/2011 01:00:00,1,0.39\n11/25/2011 02:00,1,0.33\n";
    let readings = read_csv(text.as_bytes(), &columns()).unwrap();
    let done = account(&readings, -5 * 3600).unwrap();
    assert_eq!((done.count, done.odd.len()), (2, 0));
    assert!((done.taken_wh - 720.0).abs() < 1e-9);
    assert_eq!(moment(readings.taken[0].start_s - 5 * 3600), "2011-11-25 00:00");
    let semicolons = "when;kWh\n11/25/2011 01:00;0,39\n";
    assert!((read_csv(semicolons.as_bytes(), &columns()).unwrap().taken[0].wh - 390.0).abs() < 1e-9);
}

#[test]
fn a_cell_that_cannot_be_read_is_named_by_line_and_column() {
    let wrong = read_csv(b"when,kWh\n11/25/2011 01:00,0.3\n25/11/2011 02:00,0.4\n", &columns()).unwrap_err();
    assert_eq!(
        wrong.to_string(),
        "line 3: a date and time in column \"when\" expected, \"25/11/2011 02:00\" found"
    );
    let missing = read_csv(b"time,kWh\n", &columns()).unwrap_err();
    assert_eq!(
        missing.to_string(),
        "line 1 has no column \"when\"; its columns are time, kWh: write one of them in bills.columns"
    );
    assert_eq!(read_csv(b" \n", &columns()).unwrap_err(), MeterError::Empty);
}

/// A year of kilowatt-hours on a clock with summer time: no gap where an hour is left out, no overlap where one comes twice.
#[test]
fn a_record_by_the_clock_on_the_wall_is_whole() {
    use super::{Clock, SummerTime};
    let wall = Columns {
        stamped_at_end: false,
        clock: Clock::Wall(-5 * 3600, SummerTime::NorthAmerica),
        ..columns()
    };
    let mut text = String::from("when,kWh\n");
    for (day, hours) in [(12, 0..24), (13, 0..24), (14, 0..24)] {
        for hour in hours.filter(|hour| day != 13 || *hour != 2) {
            text.push_str(&format!("03/{day}/2011 {hour:02}:00,1\n"));
        }
    }
    let done = account(&read_csv(text.as_bytes(), &wall).unwrap(), -5 * 3600).unwrap();
    assert_eq!((done.count, done.odd.len()), (71, 0), "{:?}", done.odd);
    let mut text = String::from("when,kWh\n");
    for hour in [0, 1, 1, 2, 3] {
        for quarter in [0, 15, 30, 45] {
            text.push_str(&format!("11/06/2011 {hour:02}:{quarter:02},0.25\n"));
        }
    }
    let quarters = Columns { seconds: 900, ..wall.clone() };
    // The hour that comes twice is written quarter by quarter, then again.
    let done = account(&read_csv(text.as_bytes(), &quarters).unwrap(), -5 * 3600).unwrap();
    assert_eq!((done.count, done.odd.len()), (20, 0), "{:?}", done.odd);
    let skipped = read_csv(b"when,kWh\n03/13/2011 02:30,1\n", &wall).unwrap_err();
    assert_eq!(
        skipped.to_string(),
        "line 2: a time that a clock with summer time has, or standard time declared, in column \"when\" expected, \
         \"03/13/2011 02:30\" found"
    );
}
