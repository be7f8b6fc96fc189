//! Many real years in the hourly form of NASA's service of meteorological data for renewable energy.

use sun::{HOURS, is_leap_year};

use crate::epw::shortened;
use crate::fields::{cells, days_in, lines, number, whole};
use crate::file_year::FileYear;
use crate::json::{Json, Value};
use crate::read_error::ReadError;
use crate::year::Place;

/// The parameters that are used, with the range of their values in W/m², °C and m/s.
const PARAMETERS: [(&str, f64, f64); 5] = [
    ("ALLSKY_SFC_SW_DWN", 0.0, 1500.0),
    ("ALLSKY_SFC_SW_DNI", 0.0, 1400.0),
    ("ALLSKY_SFC_SW_DIFF", 0.0, 1200.0),
    ("T2M", -90.0, 60.0),
    ("WS10M", 0.0, 75.0),
];
/// The ones without which no year can be made.
const NEEDED: [usize; 2] = [0, 3];

/// The years of one answer.
#[derive(Clone, Debug, PartialEq)]
pub struct PowerYears {
    /// Calendar years of which every day is there, oldest first; their gaps still stand.
    pub years: Vec<(i32, FileYear)>,
    /// Years that the answer holds only in part, with the hours it holds.
    pub left_out: Vec<(i32, usize)>,
}

/// Reads an answer of the service's hourly interface, JSON or CSV, for one point.
///
/// - Parameters used: `ALLSKY_SFC_SW_DWN`, `ALLSKY_SFC_SW_DNI`, `ALLSKY_SFC_SW_DIFF` (Wh/m² in the hour, or MJ/hr),
///   `T2M` °C and `WS10M` m/s; the first and `T2M` are needed, others in the answer are named in a remark.
/// - The fill value of the header (−999) is a missing value. Stamps are the start of the hour, in local solar time
///   (universal time plus longitude/15 rounded to hours) or universal time, as the header says.
/// - Hours are moved to whole hours of the standard time `utc_offset_h` (−12 to 14; a half-hour zone to the nearest
///   hour, with a remark), across the ends of years where the neighbouring hours are there; otherwise they are gaps.
/// - A 29 February is left out of its year with a remark.
///
/// Source: NASA POWER hourly API documentation (from memory).
///
/// # Errors
/// Anything else, with its line.
pub fn read_power(bytes: &[u8], place_name: &str, utc_offset_h: f64) -> Result<PowerYears, ReadError> {
    if !(-12.0..=14.0).contains(&utc_offset_h) {
        return Err(ReadError::new(1, format!("a standard time of {utc_offset_h} h"), "-12 to 14 h"));
    }
    let first = bytes.iter().find(|byte| !byte.is_ascii_whitespace());
    let answer = if first == Some(&b'{') { from_json(bytes)? } else { from_csv(bytes)? };
    answer.into_years(place_name, utc_offset_h)
}

/// Hours of one parameter in order: days from 1 January 1970 × 24 + hour, line, value.
type Series = Vec<(i64, usize, Option<f64>)>;

/// What both forms say.
struct Answer {
    latitude_deg: f64,
    longitude_deg: f64,
    elevation_m: f64,
    local_solar: bool,
    /// One for each known parameter.
    series: [Option<Series>; 5],
    unused: Vec<String>,
}

impl Answer {
    fn into_years(self, place_name: &str, utc_offset_h: f64) -> Result<PowerYears, ReadError> {
        for needed in NEEDED {
            if self.series[needed].is_none() {
                let name = PARAMETERS[needed].0;
                return Err(ReadError::new(
                    1,
                    format!("the answer has no {name}"),
                    PARAMETERS.map(|p| p.0).join(", "),
                ));
            }
        }
        let within = |what: &str, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                Ok(value)
            } else {
                Err(ReadError::new(1, format!("{what} is {value}"), format!("{low} to {high}")))
            }
        };
        let longitude_deg = within("longitude", self.longitude_deg, -180.0, 180.0)?;
        let own_offset_h = if self.local_solar { libm::round(longitude_deg / 15.0) } else { 0.0 };
        let offset_h = libm::round(utc_offset_h);
        let place = Place {
            name: place_name.to_string(),
            latitude_deg: within("latitude", self.latitude_deg, -90.0, 90.0)?,
            longitude_deg,
            elevation_m: within("elevation", self.elevation_m, -500.0, 9000.0)?,
            utc_offset_h: offset_h,
        };
        let shift = (offset_h - own_offset_h) as i64;
        let mut remarks = vec![format!(
            "hours in {} were moved by {shift} h to standard time {offset_h:+} h",
            if self.local_solar { "local solar time" } else { "universal time" }
        )];
        if offset_h != utc_offset_h {
            remarks.push(format!(
                "the standard time {utc_offset_h:+} h was taken as {offset_h:+} h: hours are whole"
            ));
        }
        if !self.unused.is_empty() {
            remarks.push(format!("not used: {}", self.unused.join(", ")));
        }

        let mut years: Vec<(i32, FileYear, usize, usize)> = Vec::new();
        for (parameter, series) in self.series.iter().enumerate() {
            let Some(series) = series else { continue };
            let mut before = i64::MIN;
            for (stamp, line, value) in series {
                if *stamp <= before {
                    return Err(ReadError::new(
                        *line,
                        format!("{}: an hour comes after a later or equal hour", PARAMETERS[parameter].0),
                        "hours in order of time, each once",
                    ));
                }
                before = *stamp;
                let (year, month, day, hour) = date_of_stamp(stamp + shift);
                let leap = month == 2 && day == 29;
                let at = match years.binary_search_by_key(&year, |entry| entry.0) {
                    Ok(at) => at,
                    Err(at) => {
                        years.insert(at, (year, FileYear::empty(place.clone(), "NASA POWER hourly"), 0, 0));
                        at
                    }
                };
                let (_, file, hours, leap_hours) = &mut years[at];
                if parameter == 0 {
                    *hours += 1;
                    *leap_hours += usize::from(leap);
                }
                if leap {
                    continue;
                }
                let index = 24 * (sun::month_start_day(month as usize - 1) + day as usize - 1) + hour;
                let list = match parameter {
                    0 => &mut file.ghi_w_m2,
                    1 => &mut file.dni_w_m2,
                    2 => &mut file.dhi_w_m2,
                    3 => &mut file.air_c,
                    _ => &mut file.wind_m_s,
                };
                list[index] = *value;
                file.lines.note_one(parameter, index, *line);
            }
        }
        let mut found = PowerYears { years: Vec::new(), left_out: Vec::new() };
        for (year, mut file, hours, leap_hours) in years {
            let whole = HOURS + if is_leap_year(year) { 24 } else { 0 };
            // A year at the end of an answer lacks the hours that the move of the clock took from it.
            if hours + shift.unsigned_abs() as usize >= whole {
                file.remarks.clone_from(&remarks);
                if leap_hours > 0 {
                    file.remarks.push(format!(
                        "{leap_hours} hours of 29 February were left out: all years here have 365 days"
                    ));
                }
                found.years.push((year, file));
            } else {
                found.left_out.push((year, hours));
            }
        }
        if found.years.is_empty() {
            return Err(ReadError::new(
                1,
                "the answer holds no whole calendar year",
                "at least one whole year",
            ));
        }
        Ok(found)
    }
}

fn from_json(bytes: &[u8]) -> Result<Answer, ReadError> {
    let root = Json::read(bytes)?;
    let need = |path: &[&str], allowed: &str| {
        root.under(path).ok_or_else(|| {
            let said = root
                .under(&["messages"])
                .or_else(|| root.under(&["detail"]))
                .map(said_by)
                .unwrap_or_default();
            let says = if said.is_empty() { String::new() } else { format!("; the service says: {said}") };
            ReadError::new(root.line, format!("the answer has no {}{says}", path.join(".")), allowed)
        })
    };
    let parameters = need(&["properties", "parameter"], "hours of parameters")?;
    let point = need(&["geometry", "coordinates"], "longitude, latitude, elevation")?;
    let numbers: Vec<f64> = point.list().unwrap_or_default().iter().filter_map(Json::number).collect();
    let [longitude_deg, latitude_deg, elevation_m] = numbers[..] else {
        return Err(ReadError::new(
            point.line,
            "geometry.coordinates is not a point",
            "longitude, latitude, elevation",
        ));
    };
    let fill = need(&["header", "fill_value"], "the number that stands for a missing value")?;
    let Some(fill) = fill.number() else {
        return Err(ReadError::new(fill.line, "header.fill_value is not a number", "a number"));
    };
    let standard = need(&["header", "time_standard"], "LST or UTC")?;
    let mut answer = Answer {
        latitude_deg,
        longitude_deg,
        elevation_m,
        local_solar: time_standard(standard.line, standard.text().unwrap_or(""))?,
        series: [const { None }; 5],
        unused: Vec::new(),
    };
    for (name, hours) in parameters.object().unwrap_or_default() {
        let Some(known) = PARAMETERS.iter().position(|(parameter, ..)| parameter == name) else {
            answer.unused.push(shortened(name));
            continue;
        };
        if answer.series[known].is_some() {
            return Err(ReadError::new(hours.line, format!("{name} comes twice"), "each parameter once"));
        }
        let units = need(&["parameters", name, "units"], "the unit of each parameter")?;
        let factor = factor_of(units.line, known, units.text().unwrap_or(""))?;
        let Some(members) = hours.object() else {
            return Err(ReadError::new(
                hours.line,
                format!("{name} is not a list of hours"),
                "hours with values",
            ));
        };
        let mut series = Vec::with_capacity(members.len());
        for (stamp, value) in members {
            let line = value.line;
            let place = format!("{name} at {}", shortened(stamp));
            if stamp.len() != 10 || !stamp.bytes().all(|b| b.is_ascii_digit()) {
                return Err(ReadError::new(line, format!("{place}: not an hour"), "YYYYMMDDHH"));
            }
            let at = stamp_of(line, [&stamp[..4], &stamp[4..6], &stamp[6..8], &stamp[8..]])?;
            let Some(value) = value.number() else {
                return Err(ReadError::new(line, format!("{place} is not a number"), "a number"));
            };
            series.push((at, line, in_range(line, &place, known, value, fill, factor)?));
        }
        answer.series[known] = Some(series);
    }
    Ok(answer)
}

/// What the service says of an answer without values, shortened.
fn said_by(json: &Json) -> String {
    match &json.value {
        Value::Text(text) => shortened(text),
        Value::List(items) => items.iter().map(said_by).collect::<Vec<_>>().join("; "),
        _ => String::new(),
    }
}

fn from_csv(bytes: &[u8]) -> Result<Answer, ReadError> {
    let lines = lines(bytes)?;
    let place_of = |word: &str| lines.iter().position(|(_, text)| text.trim() == word);
    let (Some(0), Some(end)) = (place_of("-BEGIN HEADER-"), place_of("-END HEADER-")) else {
        return Err(ReadError::new(
            1,
            format!("the answer starts with \"{}\"", shortened(lines[0].1)),
            "-BEGIN HEADER- … -END HEADER-, or JSON",
        ));
    };
    let heading = &lines[1..end];
    let last = lines.last().map_or(1, |(line, _)| *line);
    let number_after = |word: &str, line: usize, text: &str| -> Result<f64, ReadError> {
        let lower = text.to_ascii_lowercase();
        let rest = lower.find(word).map_or("", |at| &text[at + word.len()..]);
        let cell = rest.trim_start_matches([' ', ':', '=']).split_whitespace().next().unwrap_or("");
        number(line, word, cell)
    };
    let line_with = |words: &[&str]| {
        heading
            .iter()
            .find(|(_, text)| words.iter().all(|word| text.to_ascii_lowercase().contains(word)))
            .copied()
            .ok_or_else(|| {
                ReadError::new(
                    lines[end].0,
                    format!("the heading has no line with \"{}\"", words.join("\" and \"")),
                    "the heading of the service",
                )
            })
    };
    let (dates_line, dates) = line_with(&["dates", "through"])?;
    let standard = dates.trim().rsplit(' ').next().unwrap_or("");
    let local_solar = time_standard(dates_line, standard)?;
    let (line, text) = line_with(&["location", "latitude", "longitude"])?;
    let (latitude_deg, longitude_deg) =
        (number_after("latitude", line, text)?, number_after("longitude", line, text)?);
    let (line, text) = line_with(&["elevation", "="])?;
    let elevation_m = number_after("=", line, text)?;
    let (line, text) = line_with(&["value", "missing"])?;
    let fill = number(line, "the value for missing data", text.trim().rsplit(' ').next().unwrap_or(""))?;

    let Some((names_line, names)) = lines.get(end + 1).copied() else {
        return Err(ReadError::new(last, "the answer ends after its heading", "a line of column names"));
    };
    let names = cells(names);
    if names.len() < 5 || names[..4] != ["YEAR", "MO", "DY", "HR"] {
        return Err(ReadError::new(
            names_line,
            "the columns do not start with YEAR,MO,DY,HR",
            "YEAR,MO,DY,HR and parameters",
        ));
    }
    let mut answer = Answer {
        latitude_deg,
        longitude_deg,
        elevation_m,
        local_solar,
        series: [const { None }; 5],
        unused: Vec::new(),
    };
    let mut columns = Vec::new();
    for (column, name) in names.iter().enumerate().skip(4) {
        let Some(known) = PARAMETERS.iter().position(|(parameter, ..)| parameter == name) else {
            answer.unused.push(shortened(name));
            continue;
        };
        if answer.series[known].is_some() {
            return Err(ReadError::new(
                names_line,
                format!("the column {name} comes twice"),
                "each column once",
            ));
        }
        // The heading says each parameter's unit in the last brackets of its line.
        let (line, text) = heading
            .iter()
            .find(|(_, text)| text.split_whitespace().next() == Some(name.as_ref()))
            .copied()
            .ok_or_else(|| {
                ReadError::new(
                    names_line,
                    format!("the heading does not explain {name}"),
                    "a line with its unit",
                )
            })?;
        let units = text.rsplit_once('(').and_then(|(_, rest)| rest.split(')').next()).unwrap_or("");
        columns.push((column, known, factor_of(line, known, units)?));
        answer.series[known] = Some(Vec::with_capacity(HOURS));
    }
    for (line, text) in lines.iter().skip(end + 2).copied() {
        let found = cells(text);
        if found.len() != names.len() {
            return Err(ReadError::new(
                line,
                format!("{} fields", found.len()),
                format!("{} fields, as many as column names", names.len()),
            ));
        }
        let at = stamp_of(line, [&found[0], &found[1], &found[2], &found[3]])?;
        for (column, known, factor) in &columns {
            let value = number(line, &names[*column], &found[*column])?;
            let value = in_range(line, &names[*column], *known, value, fill, *factor)?;
            if let Some(series) = &mut answer.series[*known] {
                series.push((at, line, value));
            }
        }
    }
    Ok(answer)
}

fn time_standard(line: usize, text: &str) -> Result<bool, ReadError> {
    match text {
        "LST" => Ok(true),
        "UTC" => Ok(false),
        other => {
            Err(ReadError::new(line, format!("the time standard is \"{}\"", shortened(other)), "LST or UTC"))
        }
    }
}

/// What a unit of the answer is in ours.
fn factor_of(line: usize, parameter: usize, units: &str) -> Result<f64, ReadError> {
    match (parameter, units) {
        (0..=2, "Wh/m^2" | "W/m^2" | "Wh/m^2/hr") | (3, "C") | (4, "m/s") => Ok(1.0),
        (0..=2, "MJ/hr" | "MJ/m^2/hr" | "MJ/m^2") => Ok(1e6 / 3600.0),
        _ => Err(ReadError::new(
            line,
            format!("{} is in \"{}\"", PARAMETERS[parameter].0, shortened(units)),
            "Wh/m^2 or MJ/hr for irradiance, C for temperature, m/s for wind",
        )),
    }
}

fn in_range(
    line: usize,
    what: &str,
    parameter: usize,
    value: f64,
    fill: f64,
    factor: f64,
) -> Result<Option<f64>, ReadError> {
    if value == fill {
        return Ok(None);
    }
    let (_, low, high) = PARAMETERS[parameter];
    let converted = value * factor;
    if !(low..=high).contains(&converted) {
        return Err(ReadError::new(
            line,
            format!("{what} is {value}"),
            format!("{low} to {high} (after units), or the fill value {fill}"),
        ));
    }
    Ok(Some(converted))
}

/// Hours from 1 January 1970, 0 h, of the start of an hour.
fn stamp_of(line: usize, [year, month, day, hour]: [&str; 4]) -> Result<i64, ReadError> {
    let year = whole(line, "the year", year, 1970, 2200)? as i32;
    let month = whole(line, "the month", month, 1, 12)?;
    let day = whole(line, "the day", day, 1, days_in(month, is_leap_year(year)))?;
    let hour = whole(line, "the hour", hour, 0, 23)?;
    let days = sun::julian_day(year, month, day, 0.0) - sun::julian_day(1970, 1, 1, 0.0);
    Ok(24 * days as i64 + i64::from(hour))
}

/// Year, month, day and hour (0 to 23) of a stamp.
fn date_of_stamp(stamp: i64) -> (i32, u32, u32, usize) {
    let (days, hour) = (stamp.div_euclid(24), stamp.rem_euclid(24) as usize);
    let mut year = 1970 + (days as f64 / 365.2425) as i32;
    let start_of = |year: i32| (sun::julian_day(year, 1, 1, 0.0) - sun::julian_day(1970, 1, 1, 0.0)) as i64;
    while start_of(year) > days {
        year -= 1;
    }
    while start_of(year + 1) <= days {
        year += 1;
    }
    let mut left = (days - start_of(year)) as u32;
    for month in 1..=12 {
        let length = days_in(month, is_leap_year(year));
        if left < length {
            return (year, month, left + 1, hour);
        }
        left -= length;
    }
    // Not reached: the months of a year are all its days.
    (year, 12, 31, hour)
}
