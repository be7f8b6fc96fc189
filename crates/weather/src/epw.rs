//! Hourly files in the EPW form.

use sun::HOURS;

use crate::fields::{HourWalk, cells, lines, number, reading, whole};
use crate::file_year::FileYear;
use crate::read_error::ReadError;
use crate::year::Place;

/// Fewest fields of a data line: up to wind and the fields after it that every version has.
const FIELDS: (usize, usize) = (32, 35);

/// Reads an EPW file: eight heading lines, then one line per hour.
///
/// Used, counting fields from 1: 2 month, 3 day, 4 hour (1 to 24, hour ending), 7 dry-bulb °C, 14 global, 15 direct
/// normal, 16 diffuse Wh/m², 22 wind m/s, 31 snow depth cm, 33 albedo. Missing codes: 99.9 (temperature), 9999
/// (irradiance), 999 (wind, snow, albedo). The year of the lines is not used: typical years mix years.
/// Source of the form: EnergyPlus weather file data dictionary (from memory, checked on three files).
///
/// # Errors
/// Anything that is not this form, with its line.
pub fn read_epw(bytes: &[u8]) -> Result<FileYear, ReadError> {
    let lines = lines(bytes)?;
    let heading = |index: usize, word: &str| -> Result<Vec<std::borrow::Cow<'_, str>>, ReadError> {
        let (line, text) = lines.get(index).copied().unwrap_or((index + 1, ""));
        let found = cells(text);
        if found[0].eq_ignore_ascii_case(word) {
            return Ok(found);
        }
        Err(ReadError::new(
            line,
            format!("the line starts with \"{}\"", shortened(&found[0])),
            format!("{word}, ..."),
        ))
    };
    let location = heading(0, "LOCATION")?;
    if location.len() < 10 {
        return Err(ReadError::new(1, format!("LOCATION has {} fields", location.len()), "10 fields"));
    }
    let within = |index: usize, name: &str, low: f64, high: f64| {
        let value = number(1, name, &location[index])?;
        if value < low || value > high {
            return Err(ReadError::new(1, format!("{name} is {value}"), format!("{low} to {high}")));
        }
        Ok(value)
    };
    let place = Place {
        name: location[1].to_string(),
        latitude_deg: within(6, "latitude", -90.0, 90.0)?,
        longitude_deg: within(7, "longitude", -180.0, 180.0)?,
        utc_offset_h: within(8, "time zone", -12.0, 14.0)?,
        elevation_m: within(9, "elevation", -500.0, 9000.0)?,
    };
    let periods = heading(7, "DATA PERIODS")?;
    let per_hour = periods.get(2).map_or("", |c| c.as_ref());
    if periods.get(1).map(|c| c.as_ref()) != Some("1") || per_hour != "1" {
        return Err(ReadError::new(
            8,
            format!("{} records per hour", shortened(per_hour)),
            "one period of one record per hour",
        ));
    }

    let mut year = FileYear::empty(place, "EPW");
    let mut walk = HourWalk::default();
    for (line, text) in lines.iter().skip(8).copied() {
        let found = cells(text);
        if found.len() < FIELDS.0 || found.len() > FIELDS.1 {
            return Err(ReadError::new(
                line,
                format!("{} fields", found.len()),
                format!("{} to {} fields", FIELDS.0, FIELDS.1),
            ));
        }
        let month = whole(line, "the month", &found[1], 1, 12)?;
        let day = whole(line, "the day", &found[2], 1, 31)?;
        let hour = whole(line, "the hour", &found[3], 1, 24)?;
        let Some(index) = walk.step(line, (month, day, hour), false)? else { continue };
        year.lines.note(index, line);
        let light = |cell: usize, name: &str, high: f64| {
            reading(line, name, &found[cell], (0.0, high), |v| v == 9999.0)
        };
        year.air_c[index] = reading(line, "dry-bulb temperature", &found[6], (-90.0, 60.0), |v| v == 99.9)?;
        year.ghi_w_m2[index] = light(13, "global irradiance", 1500.0)?;
        year.dni_w_m2[index] = light(14, "direct normal irradiance", 1400.0)?;
        year.dhi_w_m2[index] = light(15, "diffuse irradiance", 1200.0)?;
        year.wind_m_s[index] = reading(line, "wind speed", &found[21], (0.0, 75.0), |v| v == 999.0)?;
        year.snow_cm[index] = reading(line, "snow depth", &found[30], (0.0, 900.0), |v| v == 999.0)?;
        if let Some(cell) = found.get(32).filter(|cell| !cell.is_empty()) {
            // Files write 999, 99 or 9.99 for an unknown albedo: anything above 1 is none.
            year.albedo[index] = reading(line, "albedo", cell, (0.0, 1.0), |v| v > 1.0)?;
        }
    }
    walk.end(lines.last().map_or(1, |(line, _)| *line))?;
    year.remarks.extend(walk.remark());
    debug_assert_eq!(year.ghi_w_m2.len(), HOURS);
    Ok(year)
}

/// At most forty characters of something that may be anything.
pub(crate) fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}
