//! Moments as meters write them. Days are counted by the proleptic Gregorian calendar.

/// Which clock the stamps of a file follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// Universal time.
    Universal,
    /// Standard time of the place all year, so many seconds ahead of universal time.
    Standard(i64),
    /// The clock on the wall: standard time so many seconds ahead of universal time, an hour more in summer.
    Wall(i64, SummerTime),
}

/// Where a clock goes an hour forward in spring and back in autumn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SummerTime {
    /// At two o'clock, since 2007 from the second Sunday of March to the first of November, before from the first Sunday of
    /// April to the last of October (Energy Policy Act of 2005, section 110; Public Law 99-359 of 1986; from memory).
    NorthAmerica,
    /// At one o'clock universal time, from the last Sunday of March to the last of October (Directive 2000/84/EC; from memory).
    Europe,
}

impl SummerTime {
    /// Begin and end in a year, seconds of universal time; `None` before the rules known here.
    fn of_year(self, year: i64, standard_s: i64) -> Option<[i64; 2]> {
        // Day 0 was a Thursday; 0 is Sunday.
        let weekday = |days: i64| (days + 4).rem_euclid(7);
        let first_sunday = |month: i64| {
            let first = days_of(year, month, 1);
            first + (7 - weekday(first)) % 7
        };
        let last_sunday = |month: i64| {
            let last = days_of(year, month, 31);
            last - weekday(last)
        };
        match self {
            SummerTime::NorthAmerica => {
                let (begin, end) = match year {
                    2007.. => (first_sunday(3) + 7, first_sunday(11)),
                    1987..=2006 => (first_sunday(4), last_sunday(10)),
                    _ => return None,
                };
                let two = 2 * 3600 - standard_s;
                Some([begin * DAY + two, end * DAY + two - 3600])
            }
            SummerTime::Europe if year >= 1996 => Some([3, 10].map(|month| last_sunday(month) * DAY + 3600)),
            SummerTime::Europe => None,
        }
    }
}

/// Universal time of a clock on the wall. The hour that comes twice in autumn is the first of the two until a stamp would fall
/// behind the one before it; `None` for the hour that is left out in spring.
fn universal(wall_s: i64, year: i64, standard_s: i64, rule: SummerTime, before: Option<i64>) -> Option<i64> {
    let [begin, end] = rule.of_year(year, standard_s)?;
    let summer = wall_s - standard_s - 3600;
    let standard = wall_s - standard_s;
    let in_summer = (begin..end).contains(&summer);
    let in_standard = !(begin..end).contains(&standard);
    match (in_summer, in_standard) {
        (true, true) if before.is_some_and(|before| before >= summer) => Some(standard),
        (true, _) => Some(summer),
        (false, true) => Some(standard),
        (false, false) => None,
    }
}

/// Order of the numbers of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// 2026-11-29.
    YearFirst,
    /// 11/29/2026.
    MonthFirst,
    /// 29/11/2026.
    DayFirst,
}

const DAY: i64 = 86_400;

/// Days since 1 January 1970 of a date; month from 1. After Hinnant, "chrono-compatible low-level date algorithms".
fn days_of(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// Year, month from 1 and day of days since 1 January 1970.
fn date_of(days: i64) -> (i64, i64, i64) {
    let days = days + 719_468;
    let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    (year + era * 400 + i64::from(month <= 2), month, of_year - (153 * shifted + 2) / 5 + 1)
}

/// Year and month, 0 for January, of a local second.
pub(super) fn month_of_s(local_s: i64) -> (i64, usize) {
    let (year, month, _) = date_of(local_s.div_euclid(DAY));
    (year, (month - 1) as usize)
}

/// First second of a month, 0 for January; 12 is the next January.
pub(super) fn month_begins_s(year: i64, month: usize) -> i64 {
    let (year, month) = if month > 11 { (year + 1, month - 12) } else { (year, month) };
    days_of(year, month as i64 + 1, 1) * DAY
}

pub(super) fn in_words(local_s: i64) -> String {
    let (year, month, day) = date_of(local_s.div_euclid(DAY));
    let rest = local_s.rem_euclid(DAY);
    format!("{year:04}-{month:02}-{day:02} {:02}:{:02}", rest / 3600, rest % 3600 / 60)
}

/// Seconds of universal time of a stamp such as `2011-01-01T08:00Z`, `2011-01-01 08:00:00` or `11/25/2011 01:00`, after the
/// stamp `before` of its file.
pub(super) fn read(text: &str, order: DateOrder, clock: Clock, before: Option<i64>) -> Option<i64> {
    let text = text.trim();
    let (date, time) = match text.split_once(['T', ' ']) {
        Some((date, time)) => (date, time.trim()),
        None => (text, "00:00"),
    };
    let numbers: Vec<i64> =
        date.split(['-', '/', '.']).map(|part| part.parse().ok()).collect::<Option<_>>()?;
    let [a, b, c] = numbers[..] else { return None };
    let (year, month, day) = match order {
        DateOrder::YearFirst => (a, b, c),
        DateOrder::MonthFirst => (c, a, b),
        DateOrder::DayFirst => (c, b, a),
    };
    let days = (1900..=2200).contains(&year).then(|| days_of(year, month, day))?;
    // A date that does not exist comes back as another one.
    if date_of(days) != (year, month, day) {
        return None;
    }
    let (time, ahead) = match time.strip_suffix(['Z', 'z']) {
        Some(time) => (time, Some(0)),
        None => match time.rfind(['+', '-']) {
            Some(at) => {
                let sign = if time.as_bytes()[at] == b'-' { -1 } else { 1 };
                (&time[..at], Some(sign * seconds_of(&time[at + 1..])?))
            }
            None => (time, None),
        },
    };
    let wall_s = days * DAY + seconds_of(time.trim())?;
    match (ahead, clock) {
        (Some(ahead), _) => Some(wall_s - ahead),
        (None, Clock::Universal) => Some(wall_s),
        (None, Clock::Standard(offset_s)) => Some(wall_s - offset_s),
        (None, Clock::Wall(standard_s, rule)) => universal(wall_s, year, standard_s, rule, before),
    }
}

/// Seconds of `08`, `08:00`, `0800` or `08:00:00`; 24:00 is the end of the day.
fn seconds_of(time: &str) -> Option<i64> {
    let parts: Vec<&str> = match time.split(':').collect::<Vec<_>>()[..] {
        [one] if one.len() == 4 => vec![one.get(..2)?, one.get(2..)?],
        _ => time.split(':').collect(),
    };
    if parts.is_empty() || parts.len() > 3 {
        return None;
    }
    let mut seconds = 0;
    for (part, unit) in parts.iter().zip([3600, 60, 1]) {
        let whole = part.split('.').next()?;
        seconds += whole.parse::<i64>().ok().filter(|n| (0..=60).contains(n))? * unit;
    }
    (seconds <= DAY).then_some(seconds)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn dates_run_through_leap_years_and_back() {
        // Known moments of Unix time: 2000-03-01 is day 11017, 2011-01-01T08:00Z is 1293868800.
        assert_eq!(days_of(2000, 3, 1), 11_017);
        assert_eq!(
            read("2011-01-01T08:00Z", DateOrder::YearFirst, Clock::Universal, None),
            Some(1_293_868_800)
        );
        assert!((-200_000..200_000).step_by(37).all(|day| {
            let (y, m, d) = date_of(day);
            days_of(y, m, d) == day
        }));
    }

    #[test]
    fn stamps_are_read_as_declared() {
        let standard = Clock::Standard(-8 * 3600);
        let noon = Some(1_293_868_800 + 4 * 3600);
        assert_eq!(read("01/01/2011 04:00:00", DateOrder::MonthFirst, standard, None), noon);
        assert_eq!(read("1.1.2011 4:00", DateOrder::DayFirst, standard, None), noon);
        assert_eq!(read("2011-01-01T05:00-07:00", DateOrder::YearFirst, standard, None), noon);
        assert_eq!(
            read("2010-12-31 24:00", DateOrder::YearFirst, Clock::Universal, None),
            Some(1_293_840_000)
        );
        for bad in
            ["2011-02-29 00:00", "2011-13-01", "yesterday", "2011-01-01 25:00", "", "2011-01-01 08:00é"]
        {
            assert_eq!(read(bad, DateOrder::YearFirst, standard, None), None, "{bad}");
        }
        assert_eq!(in_words(1_293_868_800 - 8 * 3600), "2011-01-01 00:00");
    }

    /// North America 2011: 13 March and 6 November. Five hours behind universal time, summer ends at 06:00 of it. Europe 2018, an
    /// hour ahead: 25 March and 28 October at 01:00.
    #[test]
    fn a_clock_on_the_wall_skips_an_hour_and_repeats_one() {
        let hours = |texts: &[&str], clock| -> Vec<Option<i64>> {
            let mut before = None;
            let midnight = read(&texts[0][..10], DateOrder::YearFirst, Clock::Universal, None).unwrap();
            texts
                .iter()
                .map(|text| {
                    let at = read(text, DateOrder::YearFirst, clock, before);
                    before = at.or(before);
                    at.map(|at| (at - midnight) / 3600)
                })
                .collect()
        };
        let wall = Clock::Wall(-5 * 3600, SummerTime::NorthAmerica);
        let autumn = ["2011-11-06 00:00", "2011-11-06 01:00", "2011-11-06 01:00", "2011-11-06 02:00"];
        assert_eq!(hours(&autumn, wall), [Some(4), Some(5), Some(6), Some(7)]);
        let spring = ["2011-03-13 01:00", "2011-03-13 02:30", "2011-03-13 03:00"];
        assert_eq!(hours(&spring, wall), [Some(6), None, Some(7)]);
        let before_2007 = ["2006-04-02 01:00", "2006-04-02 03:00", "2006-10-29 00:00"];
        assert_eq!(hours(&before_2007[..2], wall), [Some(6), Some(7)]);
        assert_eq!(hours(&["2006-10-29 00:00", "2006-10-29 02:00"], wall), [Some(4), Some(7)]);
        let europe = Clock::Wall(3600, SummerTime::Europe);
        let autumn = ["2018-10-28 01:00", "2018-10-28 02:00", "2018-10-28 02:00", "2018-10-28 03:00"];
        assert_eq!(hours(&autumn, europe), [Some(-1), Some(0), Some(1), Some(2)]);
        assert_eq!(
            hours(&["2018-03-25 01:30", "2018-03-25 02:00", "2018-03-25 03:00"], europe),
            [Some(0), None, Some(1)]
        );
        // What says its offset itself needs no rule.
        assert_eq!(hours(&["2011-03-13 02:30-05:00"], wall), [Some(7)]);
        assert_eq!(hours(&["1950-07-01 00:00"], wall), [None]);
    }
}
