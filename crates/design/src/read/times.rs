//! Dates and months as people write them.

use quantity::MONTH_KEYS as FULL;
use toml::value::Datetime;

/// Reads `2026-05-02` or `2026-08`; a month gives its first day.
pub(super) fn date_of_text(text: &str) -> Option<(i16, i8, i8)> {
    let mut parts = text.trim().split('-');
    let year = parts.next().filter(|year| year.len() == 4)?.parse().ok()?;
    let month = parts.next().filter(|month| month.len() == 2)?.parse().ok()?;
    let day = match parts.next() {
        Some(day) if day.len() == 2 => day.parse().ok()?,
        Some(_) => return None,
        None => 1,
    };
    if parts.next().is_some() { None } else { real(year, month, day) }
}

/// A TOML date without a time.
pub(super) fn date_of_toml(date: &Datetime) -> Option<(i16, i8, i8)> {
    match (date.date, date.time) {
        (Some(date), None) => {
            real(i16::try_from(date.year).ok()?, i8::try_from(date.month).ok()?, i8::try_from(date.day).ok()?)
        }
        _ => None,
    }
}

fn real(year: i16, month: i8, day: i8) -> Option<(i16, i8, i8)> {
    jiff::civil::Date::new(year, month, day).ok().map(|_| (year, month, day))
}

/// The month a word names, 0 for January: at least its first three letters.
pub(super) fn month_of(word: &str) -> Option<usize> {
    let word = word.trim().to_lowercase();
    (word.len() >= 3).then(|| FULL.iter().position(|month| month.starts_with(&word)))?
}

/// `Nov..Apr`, both ends included and over the turn of the year, or one month.
pub(super) fn months_of(text: &str) -> Option<[bool; 12]> {
    let (first, last) = match text.split_once("..") {
        Some((first, last)) => (month_of(first)?, month_of(last)?),
        None => (month_of(text)?, month_of(text)?),
    };
    let mut set = [false; 12];
    let mut month = first;
    loop {
        set[month] = true;
        if month == last {
            return Some(set);
        }
        month = (month + 1) % 12;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

    #[test]
    fn months_run_over_the_turn_of_the_year() {
        let set = months_of("Nov..Apr").expect("a range of months");
        let named: Vec<&str> = MONTHS.iter().zip(set).filter(|(_, on)| *on).map(|(m, _)| *m).collect();
        assert_eq!(named, ["Jan", "Feb", "Mar", "Apr", "Nov", "Dec"]);
        assert_eq!(months_of("sept"), months_of("Sep..September"));
        assert_eq!(months_of("Smarch"), None);
        assert_eq!(months_of("J..F"), None);
    }

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        assert_eq!(date_of_text("2026-08"), Some((2026, 8, 1)));
        assert_eq!(date_of_text("2028-02-29"), Some((2028, 2, 29)));
        for text in ["2026-02-29", "2026-13", "26-08", "2026-8-1", "2026", "August", "2026-08-01-02"] {
            assert_eq!(date_of_text(text), None, "{text}");
        }
    }
}
