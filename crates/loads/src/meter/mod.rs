//! Readings of an interval meter: what was taken and fed back, by month of the standard clock, and every place where the
//! record is not whole. Nothing is filled in.

mod csv_file;
mod espi;
mod stamp;

pub use csv_file::{Columns, read_csv};
pub use espi::read_espi;
pub use stamp::{Clock, DateOrder, SummerTime};

use stamp::{month_begins_s, month_of_s};

/// One interval of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Begin, seconds since the first of January 1970, universal time.
    pub start_s: i64,
    /// Length, seconds; 0 where a clock was set back.
    pub seconds: i64,
    /// Energy, Wh; at least 0.
    pub wh: f64,
    /// Line of the file.
    pub line: usize,
}

/// All readings of a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// Taken from the utility.
    pub taken: Vec<Interval>,
    /// Fed back.
    pub fed: Vec<Interval>,
    /// Standard time less universal time as the file says it, seconds.
    pub offset_s: Option<i64>,
}

/// Why a file gives no readings.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterError {
    /// Nothing stands in it.
    Empty,
    /// Not text in UTF-8.
    NotText,
    /// No well-formed XML.
    NotXml {
        /// Where and what.
        says: String,
    },
    /// No reading of energy at all; units that were found instead.
    NoEnergy {
        /// Codes of units of measure found.
        found: Vec<String>,
    },
    /// Readings that belong to none of several reading types.
    Unlinked {
        /// Line of the block.
        line: usize,
    },
    /// A number is missing or cannot be read.
    Unreadable {
        /// Line.
        line: usize,
        /// What was looked for.
        what: String,
        /// What stands there.
        found: String,
    },
    /// A declared column is not there.
    NoColumn {
        /// Its declared name.
        wanted: String,
        /// The columns there are.
        there: Vec<String>,
    },
}

impl std::fmt::Display for MeterError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            MeterError::Empty => f.write_str("it is empty; save the readings anew"),
            MeterError::NotText => f.write_str("it is not text in UTF-8"),
            MeterError::NotXml { says } => write!(f, "it is no well-formed XML: {says}"),
            MeterError::NoEnergy { found } if found.is_empty() => f.write_str("it holds no reading"),
            MeterError::NoEnergy { found } => write!(
                f,
                "it holds no energy in watt-hours (unit of measure 72), only units {}",
                found.join(", ")
            ),
            MeterError::Unlinked { line } => {
                write!(f, "line {line}: these readings belong to none of its reading types")
            }
            MeterError::Unreadable { line, what, found } => {
                write!(f, "line {line}: {what} expected, \"{found}\" found")
            }
            MeterError::NoColumn { wanted, there } => {
                write!(
                    f,
                    "line 1 has no column \"{wanted}\"; its columns are {}: write one of them in bills.columns",
                    there.join(", ")
                )
            }
        }
    }
}

/// Something the owner should know of a record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Oddity {
    /// Nothing was recorded for a while.
    Gap {
        /// Line of the reading after it.
        line: usize,
        /// Its first second, standard time.
        from_s: i64,
        /// How long.
        seconds: i64,
    },
    /// Two readings cover the same time.
    Overlap {
        /// Line of the later one.
        line: usize,
        /// Line of the earlier one.
        with_line: usize,
        /// First second covered twice, standard time.
        from_s: i64,
        /// How long.
        seconds: i64,
    },
    /// A reading without length, as when a clock is set back; its energy is counted.
    WithoutLength {
        /// Line.
        line: usize,
        /// When, standard time.
        at_s: i64,
        /// Its energy, Wh.
        wh: f64,
    },
    /// A reading longer than most, as when a clock is set forward.
    Long {
        /// Line.
        line: usize,
        /// When, standard time.
        at_s: i64,
        /// How long.
        seconds: i64,
    },
}

/// Files of the trade leave an hour out or write it twice on the days when clocks change; an hour is 0.15 % of a month.
const CLOCK_CHANGE_S: i64 = 3600;

/// One month of one year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeterMonth {
    /// Year.
    pub year: i64,
    /// Month, 0 for January.
    pub month: usize,
    /// Taken, Wh.
    pub taken_wh: f64,
    /// Fed back, Wh.
    pub fed_wh: f64,
    /// Seconds without a reading.
    pub missing_s: i64,
    /// Seconds covered twice.
    pub twice_s: i64,
}

impl MeterMonth {
    /// Every second is covered once, but for the hour that a change of the clock may leave out or count twice.
    pub fn is_whole(&self) -> bool {
        self.missing_s <= CLOCK_CHANGE_S && self.twice_s <= CLOCK_CHANGE_S
    }
}

/// What a record holds.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterAccount {
    /// Months in order of time, from the first to the last with a reading.
    pub months: Vec<MeterMonth>,
    /// Where it is not whole or odd, in order of time.
    pub odd: Vec<Oddity>,
    /// Readings of energy taken.
    pub count: usize,
    /// Length of most readings, seconds.
    pub usual_s: i64,
    /// All energy taken, Wh.
    pub taken_wh: f64,
    /// All energy fed back, Wh.
    pub fed_wh: f64,
}

impl MeterAccount {
    /// The latest whole month of each name, January first, Wh taken; `None` where there is none.
    pub fn whole_months_wh(&self) -> [Option<f64>; 12] {
        let mut all = [None; 12];
        for month in self.months.iter().filter(|month| month.is_whole()) {
            all[month.month] = Some(month.taken_wh);
        }
        all
    }
}

/// Adds readings up by month of the standard clock, `offset_s` seconds ahead of universal time. `None` without readings.
pub fn account(readings: &Readings, offset_s: i64) -> Option<MeterAccount> {
    let local = |list: &[Interval]| -> Vec<Interval> {
        let mut list: Vec<Interval> =
            list.iter().map(|one| Interval { start_s: one.start_s + offset_s, ..*one }).collect();
        list.sort_by_key(|one| (one.start_s, one.seconds, one.line));
        list
    };
    let (taken, fed) = (local(&readings.taken), local(&readings.fed));
    let last_end = taken.iter().map(|one| one.start_s + one.seconds).max()?;
    let first = taken.first()?.start_s;
    let usual_s = most_common(taken.iter().map(|one| one.seconds));
    let mut months = Vec::new();
    let (mut year, mut month) = month_of_s(first);
    while months.is_empty() || month_begins_s(year, month) < last_end {
        let span = month_begins_s(year, month + 1) - month_begins_s(year, month);
        months.push(MeterMonth { year, month, taken_wh: 0.0, fed_wh: 0.0, missing_s: span, twice_s: 0 });
        (year, month) = if month == 11 { (year + 1, 0) } else { (year, month + 1) };
    }
    let begins: Vec<i64> = months.iter().map(|m| month_begins_s(m.year, m.month)).collect();
    let mut odd = Vec::new();
    // What is covered so far, to the second, and by which line.
    let (mut until, mut by) = (first, 0);
    for one in &taken {
        let end = one.start_s + one.seconds;
        if one.seconds == 0 {
            odd.push(Oddity::WithoutLength { line: one.line, at_s: one.start_s, wh: one.wh });
        } else {
            if one.start_s > until {
                odd.push(Oddity::Gap { line: one.line, from_s: until, seconds: one.start_s - until });
            }
            if one.start_s < until {
                let seconds = until.min(end) - one.start_s;
                odd.push(Oddity::Overlap { line: one.line, with_line: by, from_s: one.start_s, seconds });
                spread(&begins, one.start_s, seconds, |at, part| months[at].twice_s += part);
            }
            if one.seconds > usual_s {
                odd.push(Oddity::Long { line: one.line, at_s: one.start_s, seconds: one.seconds });
            }
            let fresh = one.start_s.max(until);
            spread(&begins, fresh, end - fresh, |at, part| months[at].missing_s -= part);
        }
        shares(&begins, one, |at, wh| months[at].taken_wh += wh);
        if end > until {
            (until, by) = (end, one.line);
        }
    }
    for one in fed.iter().filter(|one| (first..last_end).contains(&one.start_s)) {
        shares(&begins, one, |at, wh| months[at].fed_wh += wh);
    }
    let sum = |list: &[Interval]| list.iter().map(|one| one.wh).sum();
    Some(MeterAccount { months, odd, count: taken.len(), usual_s, taken_wh: sum(&taken), fed_wh: sum(&fed) })
}

fn most_common(lengths: impl Iterator<Item = i64>) -> i64 {
    let mut counts = std::collections::BTreeMap::new();
    for length in lengths {
        *counts.entry(length).or_insert(0_usize) += 1;
    }
    counts.into_iter().max_by_key(|(_, count)| *count).map_or(0, |(length, _)| length)
}

/// Month of a second: the last that begins at or before it.
fn month_at(begins: &[i64], second: i64) -> usize {
    begins.partition_point(|begin| *begin <= second).saturating_sub(1)
}

/// Parts of a span of time by month.
fn spread(begins: &[i64], from: i64, seconds: i64, mut add: impl FnMut(usize, i64)) {
    let (mut from, end) = (from, from + seconds);
    while from < end {
        let at = month_at(begins, from);
        let next = begins.get(at + 1).copied().unwrap_or(end).clamp(from + 1, end);
        add(at, next - from);
        from = next;
    }
}

/// Energy of a reading by month, in proportion to time.
fn shares(begins: &[i64], one: &Interval, mut add: impl FnMut(usize, f64)) {
    if one.seconds == 0 {
        return add(month_at(begins, one.start_s), one.wh);
    }
    spread(begins, one.start_s, one.seconds, |at, part| add(at, one.wh * part as f64 / one.seconds as f64));
}

/// A moment of the standard clock as people write it: "2011-03-13 01:00".
pub fn moment(local_s: i64) -> String {
    stamp::in_words(local_s)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
