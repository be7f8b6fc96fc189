//! Lines, cells and hours of a file, each error with its line.

use std::borrow::Cow;

use sun::{HOURS, MONTH_DAYS, is_leap_year, month_start_day};

use crate::read_error::ReadError;

/// The lines of a text file with their numbers; a byte-order mark and carriage returns are taken off.
pub(crate) fn lines(bytes: &[u8]) -> Result<Vec<(usize, &str)>, ReadError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut found = Vec::with_capacity(HOURS + 32);
    for (index, raw) in bytes.split(|b| *b == b'\n').enumerate() {
        let text = std::str::from_utf8(raw).map_err(|e| {
            ReadError::new(
                index + 1,
                format!("byte {} is not UTF-8 text", e.valid_up_to() + 1),
                "a text file in UTF-8",
            )
        })?;
        if text.contains('\0') {
            return Err(ReadError::new(
                index + 1,
                "a zero byte: this is not a text file",
                "a text file in UTF-8",
            ));
        }
        found.push((index + 1, text.strip_suffix('\r').unwrap_or(text)));
    }
    while found.last().is_some_and(|(_, text)| text.trim().is_empty()) {
        found.pop();
    }
    if found.is_empty() {
        return Err(ReadError::new(1, "the file is empty", "a weather file"));
    }
    Ok(found)
}

/// The cells of a line, split at commas outside double quotes; quotes are taken off, spaces at the ends too.
pub(crate) fn cells(line: &str) -> Vec<Cow<'_, str>> {
    if !line.contains('"') {
        return line.split(',').map(|cell| Cow::Borrowed(cell.trim())).collect();
    }
    let mut found = Vec::new();
    let (mut cell, mut quoted) = (String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => found.push(Cow::Owned(std::mem::take(&mut cell).trim().to_string())),
            _ => cell.push(c),
        }
    }
    found.push(Cow::Owned(cell.trim().to_string()));
    found
}

/// A finite number in a cell.
pub(crate) fn number(line: usize, name: &str, cell: &str) -> Result<f64, ReadError> {
    match cell.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(ReadError::new(line, format!("{name} is \"{cell}\""), "a number")),
    }
}

/// A number within its range, or none for the format's missing codes.
pub(crate) fn reading(
    line: usize,
    name: &str,
    cell: &str,
    range: (f64, f64),
    missing: impl Fn(f64) -> bool,
) -> Result<Option<f64>, ReadError> {
    let value = number(line, name, cell)?;
    if missing(value) {
        return Ok(None);
    }
    if value < range.0 || value > range.1 {
        return Err(ReadError::new(
            line,
            format!("{name} is {value}"),
            format!("{} to {}, or the format's code for a missing value", range.0, range.1),
        ));
    }
    Ok(Some(value))
}

/// A whole number within its range.
pub(crate) fn whole(line: usize, name: &str, cell: &str, low: u32, high: u32) -> Result<u32, ReadError> {
    match cell.parse::<u32>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(ReadError::new(
            line,
            format!("{name} is \"{cell}\""),
            format!("a whole number from {low} to {high}"),
        )),
    }
}

/// Days of a month (1 to 12), 29 February counted when wanted.
pub(crate) fn days_in(month: u32, leap: bool) -> u32 {
    let days = MONTH_DAYS[(month as usize).clamp(1, 12) - 1] as u32;
    if month == 2 && leap { days + 1 } else { days }
}

/// Follows the hours of a year row by row.
#[derive(Debug, Default)]
pub(crate) struct HourWalk {
    next: usize,
    /// Rows of a 29 February that were left out.
    pub(crate) leap_rows: usize,
}

impl HourWalk {
    /// Index in the year of the hour ending at `hour` (1 to 24) of a date, or none on a 29 February.
    ///
    /// Time may jump forward only when `gaps` says so; it never repeats or runs back.
    pub(crate) fn step(
        &mut self,
        line: usize,
        (month, day, hour): (u32, u32, u32),
        gaps: bool,
    ) -> Result<Option<usize>, ReadError> {
        if month == 2 && day == 29 {
            let after_february = 24 * month_start_day(2);
            if self.next != after_february && !gaps {
                return Err(ReadError::new(line, "29 February is out of order", "hours in order of time"));
            }
            self.leap_rows += 1;
            return Ok(None);
        }
        if day > days_in(month, false) {
            return Err(ReadError::new(
                line,
                format!("{day} {}", MONTH_NAMES[(month as usize).clamp(1, 12) - 1]),
                "a date of the calendar",
            ));
        }
        let index = 24 * (month_start_day(month as usize - 1) + day as usize - 1) + hour as usize - 1;
        if index < self.next {
            return Err(ReadError::new(
                line,
                format!("{} comes after a later or equal hour", hour_in_words(index)),
                "hours in order of time, each once",
            ));
        }
        if index > self.next && !gaps {
            return Err(ReadError::new(
                line,
                format!("{} where {} should follow", hour_in_words(index), hour_in_words(self.next)),
                "every hour of the year in order",
            ));
        }
        self.next = index + 1;
        Ok(Some(index))
    }

    /// Refuses a file that ends early.
    pub(crate) fn end(&self, last_line: usize) -> Result<(), ReadError> {
        if self.next == HOURS {
            return Ok(());
        }
        Err(ReadError::new(
            last_line,
            format!("the file ends after {} of {HOURS} hours", self.next),
            "a whole year: 8760 hours, or 8784 with a 29 February",
        ))
    }

    /// What was done about a 29 February, for the reader.
    pub(crate) fn remark(&self) -> Option<String> {
        (self.leap_rows > 0).then(|| {
            format!("{} hours of 29 February were left out: all years here have 365 days", self.leap_rows)
        })
    }
}

/// The months by name.
pub const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// An hour of the year, 0 to 8759, in words by the stamp that closes it, 01:00 to 24:00: "26 February, 19:00".
pub fn hour_in_words(hour: usize) -> String {
    let (month, day, hour) = date_of(hour.min(HOURS - 1));
    format!("{day} {}, {hour:02}:00", MONTH_NAMES[month - 1])
}

/// Month, day and hour (1 to 24) of an hour of the year.
pub(crate) fn date_of(hour: usize) -> (usize, usize, usize) {
    let day = hour / 24;
    let month = sun::month_of_day(day);
    (month + 1, day - month_start_day(month) + 1, hour % 24 + 1)
}

/// The date before, so that 00:00 can be read as 24:00.
pub(crate) fn day_before(year: i32, month: u32, day: u32) -> (i32, u32, u32) {
    match (month, day) {
        (1, 1) => (year - 1, 12, 31),
        (_, 1) => (year, month - 1, days_in(month - 1, is_leap_year(year))),
        _ => (year, month, day - 1),
    }
}
