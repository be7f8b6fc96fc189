//! Stretches of hours that a weather file lacked: when, on which line, and what stands there now.

use crate::file::Hours;
use design::system::Gaps;
use weather::{FileYear, Fill, Gap, Lines, Quantity, hour_in_words};

/// Methods by which gaps are filled, in this order; a gap that none reaches is an error. Light is split before days are
/// borrowed, so that an hour with its own global light keeps it, and once more for the light that was borrowed.
const FILLS: [Fill; 5] = [
    Fill::AssumedWind,
    Fill::StraightLine { longest_hours: 6 },
    Fill::SplitGlobal,
    Fill::NearestDay { farthest_days: 7 },
    Fill::SplitGlobal,
];

/// Says of a file's own snow and ground that they are not used, and what is; `None` where it has neither.
pub(crate) fn columns_not_used(year: &FileYear) -> Option<String> {
    let has = |values: &[Option<f64>]| values.iter().any(Option::is_some);
    let (columns, what) = match (has(&year.snow_cm), has(&year.albedo)) {
        (true, true) => ("columns of snow depth and of albedo are", "snow and the ground's light come"),
        (true, false) => ("column of snow depth is", "snow comes"),
        (false, true) => ("column of albedo is", "the ground's light comes"),
        (false, false) => return None,
    };
    Some(format!(
        "the file's own {columns} not used: {what} from the design, falls of snow from the days of place.snow or, without \
         them, from the cold dull days of these years, and the light of bare ground from each plane's reflectance"
    ))
}

/// The methods of a choice.
pub(crate) fn methods(gaps: Gaps) -> &'static [Fill] {
    match gaps {
        Gaps::Bridge => &FILLS[..3],
        // What must not be filled was refused before; columns that a file never has are no gaps.
        Gaps::Fill | Gaps::Refuse => &FILLS,
    }
}

/// A choice in words.
pub(crate) fn choice_said(gaps: &Gaps) -> String {
    match gaps {
        Gaps::Fill => {
            "filled: short ones between their neighbours, light from light, the rest from a near day"
        }
        Gaps::Bridge => "bridged where they are short, light made from light",
        Gaps::Refuse => "refused",
    }
    .to_string()
}

/// Gaps of quantities that the file gives for other hours.
pub(crate) fn not_to_be_filled(year: &FileYear) -> Vec<Gap> {
    let mut gaps = year.gaps();
    gaps.retain(|gap| gap.hours < sun::HOURS);
    gaps
}

/// Whether any year of a file lacks single hours.
pub(crate) fn lacks_hours(hours: &Hours) -> bool {
    hours.years.iter().any(|(_, year)| !not_to_be_filled(year).is_empty())
}

/// What stands in the way of a year: "3 gaps that …: air temperature from …; …".
pub(crate) fn gaps_said(missing: &[Gap], lines: &Lines, gaps: Gaps) -> String {
    let because = match gaps {
        Gaps::Fill => "that no named method fills",
        Gaps::Bridge => "that gaps = \"bridge\" does not fill",
        Gaps::Refuse => "that gaps = \"refuse\" leaves unknown",
    };
    let count = if missing.len() == 1 { "1 gap".to_string() } else { format!("{} gaps", missing.len()) };
    let said = missing.iter().map(|gap| gap_in_words(gap, lines)).collect();
    format!("{count} {because}: {}", first_of(said, "gaps").join("; "))
}

/// How many lines of one kind a report shows.
const SHOWN: usize = 12;

/// Hours in a row that were filled by one method.
#[derive(Clone, Debug, PartialEq)]
pub struct FilledStretch {
    /// Calendar year, where the file holds many.
    pub year: Option<i32>,
    /// What was missing.
    pub quantity: Quantity,
    /// First hour of the year without a value, 0 to 8759.
    pub first_hour: usize,
    /// How many hours.
    pub hours: usize,
    /// First and last line of the file they stand on, where the file has lines for them.
    pub lines: Option<(usize, usize)>,
    /// The line before, where the file left the hours out.
    pub after_line: Option<usize>,
    /// What was done: "run straight between their neighbours".
    pub method: String,
    /// The file has not one value of the quantity.
    pub never_given: bool,
}

impl FilledStretch {
    /// Its first hour by the stamp that closes it: "5 January, 04:00".
    pub fn from(&self) -> String {
        hour_in_words(self.first_hour)
    }

    /// "2007: air temperature from 5 January, 04:00, 3 hours (lines 108 to 110), run straight between their neighbours".
    pub fn says(&self) -> String {
        let year = self.year.map(|year| format!("{year}: ")).unwrap_or_default();
        let gap = Gap { quantity: self.quantity, first_hour: self.first_hour, hours: self.hours };
        format!("{year}{}, {}", gap_said(&gap, self.lines, self.after_line), self.method)
    }
}

fn gap_said(gap: &Gap, lines: Option<(usize, usize)>, after: Option<usize>) -> String {
    let at = match (lines, after) {
        (Some((first, last)), _) if first == last => format!(" (line {first})"),
        (Some((first, last)), _) => format!(" (lines {first} to {last})"),
        (None, Some(line)) => format!(" (left out after line {line})"),
        (None, None) => String::new(),
    };
    let hours = if gap.hours == 1 { "1 hour".to_string() } else { format!("{} hours", gap.hours) };
    format!("{} from {}, {hours}{at}", gap.quantity.name(), hour_in_words(gap.first_hour))
}

/// First and last line of a gap, or else the line it was left out after.
fn where_it_is(gap: &Gap, lines: &Lines) -> (Option<(usize, usize)>, Option<usize>) {
    let first = lines.of(gap.quantity, gap.first_hour);
    let last = lines.of(gap.quantity, gap.first_hour + gap.hours - 1);
    match first {
        Some(first) => (Some((first, last.unwrap_or(first))), None),
        // A form with all of it in one line has no line to name.
        None => {
            let before = lines.before(gap.quantity, gap.first_hour);
            let known = before.filter(|_| lines.has(gap.quantity));
            (None, known)
        }
    }
}

/// A gap in words with its line.
fn gap_in_words(gap: &Gap, lines: &Lines) -> String {
    let (at, after) = where_it_is(gap, lines);
    gap_said(gap, at, after)
}

/// What was filled in a year, by quantity and time, hours in a row by one method together.
pub(crate) fn stretches(year: Option<i32>, lines: &Lines, filled: &[(Gap, Fill)]) -> Vec<FilledStretch> {
    let mut sorted = filled.to_vec();
    sorted.sort_by_key(|(gap, _)| (gap.quantity, gap.first_hour));
    let mut joined: Vec<(Gap, Fill)> = Vec::with_capacity(sorted.len());
    for (gap, fill) in sorted {
        match joined.last_mut() {
            Some((last, by))
                if last.quantity == gap.quantity
                    && *by == fill
                    && last.first_hour + last.hours == gap.first_hour =>
            {
                last.hours += gap.hours;
            }
            _ => joined.push((gap, fill)),
        }
    }
    let given = Quantity::ALL.map(|quantity| {
        let filled: usize =
            joined.iter().filter(|(gap, _)| gap.quantity == quantity).map(|(gap, _)| gap.hours).sum();
        filled < sun::HOURS
    });
    joined
        .iter()
        .map(|(gap, fill)| {
            let (at, after_line) = where_it_is(gap, lines);
            FilledStretch {
                year,
                quantity: gap.quantity,
                first_hour: gap.first_hour,
                hours: gap.hours,
                lines: at,
                after_line,
                method: fill.says(),
                never_given: !given[gap.quantity as usize],
            }
        })
        .collect()
}

/// The stretches in words. Of a quantity that the file never gives the sums say all there is.
pub(crate) fn stretches_said(filled: &[FilledStretch]) -> Vec<String> {
    let said = filled.iter().filter(|stretch| !stretch.never_given).map(FilledStretch::says);
    first_of(said.collect(), "stretches")
}

/// The first lines of a list, and how many more there are.
pub(crate) fn first_of(mut lines: Vec<String>, kind: &str) -> Vec<String> {
    let more = lines.len().saturating_sub(SHOWN);
    // A line that only says "1 more" takes the place of that one.
    if more > 1 {
        lines.truncate(SHOWN);
        lines.push(format!("and {more} more {kind}"));
    }
    lines
}
