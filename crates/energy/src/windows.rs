//! Hours in which rates hold: months, days and hours turned into one rate an hour of the year.

use crate::{HOURS, RATES};
use loads::MONTH_DAYS;

/// Days of the week on which a window is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Days {
    /// All of them.
    Every,
    /// Monday to Friday.
    Weekdays,
    /// Saturday and Sunday.
    Weekend,
}

/// Hours of some days of some months.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// Months, January first.
    pub months: [bool; 12],
    /// Days of the week.
    pub days: Days,
    /// Hour of standard time at which it opens, 0 to 23.
    pub from: u8,
    /// Hour at which it closes, 0 to 24. Not above `from`: the next day; the day on which it opens decides.
    pub to: u8,
}

impl Window {
    /// Whether it is open in an hour of the day of a day of the week (0 is Monday), looking back to yesterday's.
    fn is_open(&self, month: usize, before: usize, weekday: usize, hour: u8) -> bool {
        let on = |month: usize, weekday: usize| {
            let day = match self.days {
                Days::Every => true,
                Days::Weekdays => weekday < 5,
                Days::Weekend => weekday >= 5,
            };
            day && self.months.get(month).copied().unwrap_or(false)
        };
        if self.from < self.to {
            return hour >= self.from && hour < self.to && on(month, weekday);
        }
        (hour >= self.from && on(month, weekday)) || (hour < self.to && on(before, (weekday + 6) % 7))
    }
}

/// Windows in the order of their importance, and the rate that holds in each; rate 0 holds outside all of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Windows {
    /// Window and rate, which is below [`RATES`].
    pub open: Vec<(Window, u8)>,
}

impl Windows {
    /// The rate of every hour of a year whose first day is `first_weekday` (0 is Monday); empty without windows.
    pub fn rates(&self, first_weekday: usize) -> Vec<u8> {
        if self.open.is_empty() {
            return Vec::new();
        }
        let mut rates = Vec::with_capacity(HOURS);
        let mut weekday = first_weekday % 7;
        // Of a year that follows itself.
        let mut before = 11;
        for (month, days) in MONTH_DAYS.into_iter().enumerate() {
            for _ in 0..days {
                for hour in 0..24 {
                    let open =
                        self.open.iter().find(|(window, _)| window.is_open(month, before, weekday, hour));
                    rates.push(open.map_or(0, |(_, rate)| (*rate).min(RATES as u8 - 1)));
                }
                before = month;
                weekday = (weekday + 1) % 7;
            }
        }
        rates
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, a year that begins on a Monday: nights of 23 to 6 h are 7 hours of every day; the evening of 17 to 20 h on
    /// weekdays of January (23 of its 31 days) is 69 hours.
    #[test]
    fn nights_and_winter_evenings_are_counted() {
        let night = Window { months: [true; 12], days: Days::Every, from: 23, to: 6 };
        let mut january = [false; 12];
        january[0] = true;
        let evening = Window { months: january, days: Days::Weekdays, from: 17, to: 20 };
        let rates = Windows { open: vec![(night, 1), (evening, 2)] }.rates(0);
        assert_eq!(rates.len(), HOURS);
        let count = |wanted: u8| rates.iter().filter(|rate| **rate == wanted).count();
        assert_eq!((count(1), count(2)), (7 * 365, 23 * 3));
        assert_eq!(&rates[..7], [1, 1, 1, 1, 1, 1, 0]);
        assert_eq!((rates[17], rates[5 * 24 + 17], rates[7 * 24 + 19], rates[7 * 24 + 20]), (2, 0, 2, 0));
    }

    /// A window over midnight belongs to the day on which it opens: Friday night is a weekday's until Saturday's morning.
    #[test]
    fn a_night_belongs_to_the_day_it_began_on() {
        let night = Window { months: [true; 12], days: Days::Weekdays, from: 22, to: 6 };
        let rates = Windows { open: vec![(night, 1)] }.rates(0);
        let (friday, saturday, sunday) = (4 * 24, 5 * 24, 6 * 24);
        assert_eq!(
            (rates[friday + 23], rates[saturday + 5], rates[saturday + 23], rates[sunday + 5]),
            (1, 1, 0, 0)
        );
        // The first hours of the year follow a Sunday, the first day of the year being a Monday.
        assert_eq!((rates[0], rates[24]), (0, 1));
        assert_eq!(Windows::default().rates(0), Vec::<u8>::new());
    }
}
