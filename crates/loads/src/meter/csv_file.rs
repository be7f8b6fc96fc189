//! Interval readings as comma-separated values with declared columns: a file of this kind does not say what its columns
//! mean, so the owner does.

use super::stamp::read;
use super::{Clock, DateOrder, Interval, MeterError, Readings};

/// What the columns of a file mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Columns {
    /// Column of the stamp.
    pub stamp: String,
    /// The stamp is the end of its interval, not its beginning.
    pub stamped_at_end: bool,
    /// Order of the numbers of a date.
    pub order: DateOrder,
    /// Clock of the stamps.
    pub clock: Clock,
    /// Column of the energy taken.
    pub taken: String,
    /// Column of the energy fed back, where there is one.
    pub fed: Option<String>,
    /// Watt-hours of one in these columns: 1000 for kWh.
    pub wh: f64,
    /// Column of the length in seconds; without one every interval has `seconds`.
    pub length: Option<String>,
    /// Length where no column has it, seconds.
    pub seconds: i64,
}

/// Reads a file with a line of heads, parted by commas or semicolons.
///
/// # Errors
/// Where a declared column is missing or a cell cannot be read; see [`MeterError`].
pub fn read_csv(bytes: &[u8], columns: &Columns) -> Result<Readings, MeterError> {
    let text = std::str::from_utf8(bytes).map_err(|_| MeterError::NotText)?.trim_start_matches('\u{feff}');
    if text.trim().is_empty() {
        return Err(MeterError::Empty);
    }
    let heads = text.lines().next().unwrap_or("");
    let semicolons = heads.matches(';').count() > heads.matches(',').count();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(if semicolons { b';' } else { b',' })
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let there: Vec<String> = match reader.headers() {
        Ok(heads) => heads.iter().map(str::to_string).collect(),
        Err(_) => Vec::new(),
    };
    let at = |name: &str| {
        there
            .iter()
            .position(|head| head.eq_ignore_ascii_case(name.trim()))
            .ok_or_else(|| MeterError::NoColumn { wanted: name.to_string(), there: there.clone() })
    };
    let (stamp, taken) = (at(&columns.stamp)?, at(&columns.taken)?);
    let fed = columns.fed.as_deref().map(at).transpose()?;
    let length = columns.length.as_deref().map(at).transpose()?;
    let mut readings = Readings::default();
    let mut before = None;
    for (row, record) in reader.records().enumerate() {
        let record = record.map_err(|error| MeterError::Unreadable {
            line: error.position().map_or(row + 2, |at| at.line() as usize),
            what: "a row of values".into(),
            found: String::new(),
        })?;
        let line = record.position().map_or(row + 2, |at| at.line() as usize);
        let cell = |at: usize| record.get(at).unwrap_or("");
        let bad = |what: &str, at: usize| MeterError::Unreadable {
            line,
            what: format!("{what} in column \"{}\"", there[at]),
            found: cell(at).to_string(),
        };
        let energy = |at: usize| {
            // Where semicolons part columns a comma may stand for the decimal point.
            let text = if semicolons { cell(at).replace(',', ".") } else { cell(at).to_string() };
            text.parse::<f64>().ok().filter(|e| e.is_finite()).ok_or_else(|| bad("a number", at))
        };
        let seconds = match length {
            Some(at) => cell(at).parse().ok().filter(|s| *s >= 0).ok_or_else(|| bad("seconds", at))?,
            None => columns.seconds,
        };
        let stamped = read(cell(stamp), columns.order, columns.clock, before).ok_or_else(|| {
            // The same words are a time by any other clock.
            match read(cell(stamp), columns.order, Clock::Universal, None) {
                Some(_) => bad("a time that a clock with summer time has, or standard time declared,", stamp),
                None => bad("a date and time", stamp),
            }
        })?;
        before = Some(stamped);
        let start_s = if columns.stamped_at_end { stamped - seconds } else { stamped };
        let wh = energy(taken)? * columns.wh;
        let one = Interval { start_s, seconds, wh: wh.abs(), line };
        // A net meter writes what is fed back as a negative number: nothing was taken then, which is no gap.
        readings.taken.push(Interval { wh: wh.max(0.0), ..one });
        if wh < 0.0 {
            readings.fed.push(one);
        }
        if let Some(fed) = fed {
            let wh = energy(fed)?.abs() * columns.wh;
            readings.fed.push(Interval { wh, ..one });
        }
    }
    if readings.taken.is_empty() {
        return Err(MeterError::NoEnergy { found: Vec::new() });
    }
    Ok(readings)
}
