//! Hourly tables of any origin, with a heading that declares what they are.

use crate::epw::shortened;
use crate::fields::{HourWalk, cells, day_before, days_in, lines, number, reading, whole};
use crate::file_year::FileYear;
use crate::read_error::ReadError;
use crate::year::Place;

/// The declarations of the heading; all but `missing` are needed.
const KEYS: [&str; 7] =
    ["place", "latitude_deg", "longitude_deg", "elevation_m", "utc_offset_h", "stamp", "missing"];
/// How far below zero a measured irradiance may lie, W/m²: a thermopile under a cold sky reads a few W/m² low.
const NIGHT_OFFSET_W_M2: f64 = 20.0;
/// The columns that are known, with their ranges. `time`, `ghi_w_m2` and `air_c` are needed.
const COLUMNS: [(&str, f64, f64); 7] = [
    ("ghi_w_m2", -NIGHT_OFFSET_W_M2, 1500.0),
    ("dni_w_m2", -NIGHT_OFFSET_W_M2, 1400.0),
    ("dhi_w_m2", -NIGHT_OFFSET_W_M2, 1200.0),
    ("air_c", -90.0, 60.0),
    ("wind_m_s", 0.0, 75.0),
    ("snow_cm", 0.0, 900.0),
    ("albedo", 0.0, 1.0),
];

/// Reads a table of one calendar year with a declared heading.
///
/// ```text
/// # place: Windward shed
/// # latitude_deg: 52.1
/// # longitude_deg: 5.18
/// # elevation_m: 2
/// # utc_offset_h: 1
/// # stamp: hour ending
/// # missing: -999
/// time,ghi_w_m2,air_c
/// 2019-01-01 01:00,0,3.2
/// ```
///
/// - `stamp` is `hour ending` or `hour starting`; nothing is guessed from the numbers.
/// - `time` is `YYYY-MM-DD HH:MM` (or with a `T`) in the declared standard time, full hours; 24:00 and the 00:00 of the
///   next day are the same hour ending. No daylight saving.
/// - Columns are known by name: `ghi_w_m2 dni_w_m2 dhi_w_m2 air_c wind_m_s snow_cm albedo`; another name is an error.
///   `ghi_w_m2` and `air_c` are needed; an empty cell or the declared `missing` number is a missing value.
/// - Irradiance down to −20 W/m², which instruments read at night, is taken as 0, with a remark of how many hours.
/// - Hours may be left out; they become gaps. A 29 February is left out with a remark.
///
/// # Errors
/// Anything else, with its line.
pub fn read_table(bytes: &[u8]) -> Result<FileYear, ReadError> {
    let lines = lines(bytes)?;
    let body = lines.iter().position(|(_, text)| !text.trim_start().starts_with('#')).unwrap_or(lines.len());
    let heading = Heading::read(&lines[..body])?;
    let last_line = lines.last().map_or(1, |(line, _)| *line);
    let Some((names_line, names_text)) = lines.get(body).copied() else {
        return Err(ReadError::new(last_line, "the file ends after its heading", "a line of column names"));
    };
    let names = cells(names_text);
    if names.first().map(|n| n.as_ref()) != Some("time") {
        return Err(ReadError::new(
            names_line,
            format!("the first column is \"{}\"", shortened(&names[0])),
            "time",
        ));
    }
    let mut columns = Vec::new();
    for name in &names[1..] {
        let known = COLUMNS.iter().position(|(known, ..)| known == name).ok_or_else(|| {
            let all = COLUMNS.map(|(n, ..)| n).join(", ");
            ReadError::new(names_line, format!("the column \"{}\" is not known", shortened(name)), all)
        })?;
        if columns.contains(&known) {
            return Err(ReadError::new(
                names_line,
                format!("the column {name} comes twice"),
                "each column once",
            ));
        }
        columns.push(known);
    }
    for needed in [0, 3] {
        if !columns.contains(&needed) {
            return Err(ReadError::new(
                names_line,
                format!("no column {}", COLUMNS[needed].0),
                "time, ghi_w_m2 and air_c at least",
            ));
        }
    }

    let mut year = FileYear::empty(heading.place, "table");
    let mut walk = HourWalk::default();
    let mut calendar_year = None;
    let mut rows = 0;
    for (line, text) in lines.iter().skip(body + 1).copied() {
        let found = cells(text);
        if found.len() != names.len() {
            return Err(ReadError::new(
                line,
                format!("{} fields", found.len()),
                format!("{} fields, as many as column names", names.len()),
            ));
        }
        let (in_year, stamp) = hour_of(line, &found[0], heading.ends)?;
        if *calendar_year.get_or_insert(in_year) != in_year {
            return Err(ReadError::new(line, format!("an hour of {in_year}"), "hours of one calendar year"));
        }
        rows += 1;
        let Some(index) = walk.step(line, stamp, true)? else { continue };
        year.lines.note(index, line);
        for (cell, column) in found[1..].iter().zip(&columns) {
            let (name, low, high) = COLUMNS[*column];
            let value = if cell.is_empty() {
                None
            } else {
                reading(line, name, cell, (low, high), |v| heading.missing == Some(v))?
            };
            let list = match column {
                0 => &mut year.ghi_w_m2,
                1 => &mut year.dni_w_m2,
                2 => &mut year.dhi_w_m2,
                3 => &mut year.air_c,
                4 => &mut year.wind_m_s,
                5 => &mut year.snow_cm,
                _ => &mut year.albedo,
            };
            list[index] = value;
        }
    }
    if rows == 0 {
        return Err(ReadError::new(last_line, "no hours", "one line per hour of a year"));
    }
    year.remarks.extend(walk.remark());
    for (name, list) in
        [("global", &mut year.ghi_w_m2), ("beam", &mut year.dni_w_m2), ("diffuse", &mut year.dhi_w_m2)]
    {
        let (mut count, mut lowest) = (0, 0.0);
        for value in list.iter_mut().flatten().filter(|v| **v < 0.0) {
            count += 1;
            lowest = f64::min(lowest, *value);
            *value = 0.0;
        }
        if count > 0 {
            year.remarks.push(format!(
                "{count} hours of {name} irradiance below zero (lowest {lowest} W/m²) are taken as 0"
            ));
        }
    }
    Ok(year)
}

struct Heading {
    place: Place,
    ends: bool,
    missing: Option<f64>,
}

impl Heading {
    fn read(lines: &[(usize, &str)]) -> Result<Self, ReadError> {
        let mut found: Vec<(usize, &str, &str)> = Vec::new();
        for (line, text) in lines {
            let text = text.trim_start().trim_start_matches('#').trim();
            let Some((key, value)) = text.split_once(':') else { continue };
            let (key, value) = (key.trim(), value.trim());
            if !KEYS.contains(&key) {
                // Other remarks may stand in the heading, as long as they do not look like a declaration.
                if !key.contains(' ') {
                    return Err(ReadError::new(
                        *line,
                        format!("the declaration \"{}\" is not known", shortened(key)),
                        KEYS.join(", "),
                    ));
                }
                continue;
            }
            if found.iter().any(|(_, k, _)| *k == key) {
                return Err(ReadError::new(
                    *line,
                    format!("{key} is declared twice"),
                    "each declaration once",
                ));
            }
            found.push((*line, key, value));
        }
        let last = lines.last().map_or(1, |(line, _)| *line);
        let get = |key: &str| {
            found.iter().find(|(_, k, _)| *k == key).map(|(line, _, value)| (*line, *value)).ok_or_else(
                || {
                    ReadError::new(
                        last,
                        format!("the heading does not declare {key}"),
                        format!("# {key}: ..."),
                    )
                },
            )
        };
        let within = |key: &str, low: f64, high: f64| {
            let (line, value) = get(key)?;
            let value = number(line, key, value)?;
            if value < low || value > high {
                return Err(ReadError::new(line, format!("{key} is {value}"), format!("{low} to {high}")));
            }
            Ok(value)
        };
        let (line, stamp) = get("stamp")?;
        let ends = match stamp {
            "hour ending" => true,
            "hour starting" => false,
            other => {
                return Err(ReadError::new(
                    line,
                    format!("stamp is \"{}\"", shortened(other)),
                    "hour ending, or hour starting",
                ));
            }
        };
        let missing = match found.iter().find(|(_, k, _)| *k == "missing") {
            Some((line, _, value)) => Some(number(*line, "missing", value)?),
            None => None,
        };
        Ok(Self {
            place: Place {
                name: get("place")?.1.to_string(),
                latitude_deg: within("latitude_deg", -90.0, 90.0)?,
                longitude_deg: within("longitude_deg", -180.0, 180.0)?,
                elevation_m: within("elevation_m", -500.0, 9000.0)?,
                utc_offset_h: within("utc_offset_h", -12.0, 14.0)?,
            },
            ends,
            missing,
        })
    }
}

/// Calendar year, and month, day and hour ending (1 to 24), of a stamp.
fn hour_of(line: usize, text: &str, ends: bool) -> Result<(i32, (u32, u32, u32)), ReadError> {
    let wrong = || ReadError::new(line, format!("the time is \"{}\"", shortened(text)), "YYYY-MM-DD HH:00");
    let (date, time) = text.split_once([' ', 'T']).ok_or_else(wrong)?;
    let parts: Vec<&str> = date.split('-').collect();
    let [year, month, day] = parts[..] else { return Err(wrong()) };
    let hour = time
        .strip_suffix(":00")
        .and_then(|t| t.get(..2))
        .filter(|_| time.len() == 5 || time.len() == 8)
        .ok_or_else(wrong)?;
    if time.get(2..5) != Some(":00") {
        return Err(ReadError::new(line, format!("the time is \"{}\"", shortened(text)), "full hours"));
    }
    let year = whole(line, "the year", year, 1800, 2200)? as i32;
    let month = whole(line, "the month", month, 1, 12)?;
    let day = whole(line, "the day", day, 1, days_in(month, sun::is_leap_year(year)))?;
    let hour = whole(line, "the hour", hour, 0, if ends { 24 } else { 23 })?;
    if !ends {
        return Ok((year, (month, day, hour + 1)));
    }
    if hour == 0 {
        // 00:00 ends the last hour of the day before.
        let (year, month, day) = day_before(year, month, day);
        return Ok((year, (month, day, 24)));
    }
    Ok((year, (month, day, hour)))
}
