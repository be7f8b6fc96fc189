//! The one calendar of all years: 365 days that begin on a Wednesday, as 2025 does, in local standard time.

/// Hours of a year.
pub const HOURS: usize = 8760;

/// Days of each month.
pub const MONTH_DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Month of a day counted from 0, 0 for January; December beyond the year.
pub fn month_of_day(day: usize) -> usize {
    let mut rest = day;
    for (month, days) in MONTH_DAYS.into_iter().enumerate() {
        if rest < days {
            return month;
        }
        rest -= days;
    }
    11
}

/// Day of the week of a day counted from 0, 0 for Monday.
pub fn weekday_of_day(day: usize) -> usize {
    (day + 2) % 7
}

/// Days of each month that fall on these days of the week, Monday first.
pub fn days_on(weekdays: [bool; 7]) -> [usize; 12] {
    let mut months = [0; 12];
    for day in (0..365).filter(|day| weekdays[weekday_of_day(*day)]) {
        months[month_of_day(day)] += 1;
    }
    months
}

/// Sum of each month over 8760 hourly values.
pub fn month_sums(hours: &[f64]) -> [f64; 12] {
    let mut rest = hours;
    MONTH_DAYS.map(|days| {
        let (month, after) = rest.split_at((days * 24).min(rest.len()));
        rest = after;
        month.iter().sum()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_year_begins_on_a_wednesday_and_ends_on_one() {
        assert_eq!(
            (weekday_of_day(0), weekday_of_day(364), month_of_day(364), month_of_day(59)),
            (2, 2, 11, 2)
        );
        let weekdays = days_on([true, true, true, true, true, false, false]);
        // 365 days are 52 weeks and one Wednesday.
        assert_eq!(weekdays.iter().sum::<usize>(), 261);
        assert_eq!(days_on([true; 7]), MONTH_DAYS);
    }
}
