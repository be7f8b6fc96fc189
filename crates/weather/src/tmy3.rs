//! Hourly files in the TMY3 form.

use crate::epw::shortened;
use crate::fields::{HourWalk, cells, lines, number, reading, whole};
use crate::file_year::FileYear;
use crate::read_error::ReadError;
use crate::year::Place;

/// Columns by the names of the form's second line; the last two may be absent.
const GLOBAL: &str = "GHI (W/m^2)";
const BEAM: &str = "DNI (W/m^2)";
const DIFFUSE: &str = "DHI (W/m^2)";
const AIR: &str = "Dry-bulb (C)";
const WIND: &str = "Wspd (m/s)";
const ALBEDO: &str = "Alb (unitless)";

/// Reads a TMY3 file: a station line, a line of column names, then one line per hour.
///
/// Station line: number, name, state, time zone, latitude, longitude, elevation. Columns are found by name, so their
/// order does not matter. Dates are month/day/year, times 01:00 to 24:00, hour ending, local standard time; the
/// year jumps, because months come from different years. Missing code −9900.
/// Source of the form: Wilcox & Marion 2008, Users manual for TMY3 data sets, NREL/TP-581-43156.
///
/// # Errors
/// Anything that is not this form, with its line.
pub fn read_tmy3(bytes: &[u8]) -> Result<FileYear, ReadError> {
    let lines = lines(bytes)?;
    let station = cells(lines[0].1);
    if station.len() != 7 {
        return Err(ReadError::new(
            1,
            format!("the station line has {} fields", station.len()),
            "7: number, name, state, zone, latitude, longitude, elevation",
        ));
    }
    let within = |index: usize, name: &str, low: f64, high: f64| {
        let value = number(1, name, &station[index])?;
        if value < low || value > high {
            return Err(ReadError::new(1, format!("{name} is {value}"), format!("{low} to {high}")));
        }
        Ok(value)
    };
    let place = Place {
        name: station[1].to_string(),
        utc_offset_h: within(3, "time zone", -12.0, 14.0)?,
        latitude_deg: within(4, "latitude", -90.0, 90.0)?,
        longitude_deg: within(5, "longitude", -180.0, 180.0)?,
        elevation_m: within(6, "elevation", -500.0, 9000.0)?,
    };
    let names = cells(lines.get(1).map_or("", |(_, text)| text));
    let column = |name: &str| names.iter().position(|n| n == name);
    let needed = |name: &str| {
        column(name)
            .ok_or_else(|| ReadError::new(2, format!("no column \"{name}\""), "the column names of TMY3"))
    };
    let (date, time) = (needed("Date (MM/DD/YYYY)")?, needed("Time (HH:MM)")?);
    let (global, beam, diffuse) = (needed(GLOBAL)?, needed(BEAM)?, needed(DIFFUSE)?);
    let (air, wind, albedo) = (needed(AIR)?, needed(WIND)?, column(ALBEDO));

    let mut year = FileYear::empty(place, "TMY3");
    let mut walk = HourWalk::default();
    for (line, text) in lines.iter().skip(2).copied() {
        let found = cells(text);
        if found.len() != names.len() {
            return Err(ReadError::new(
                line,
                format!("{} fields", found.len()),
                format!("{} fields, as many as names in line 2", names.len()),
            ));
        }
        let parts: Vec<&str> = found[date].split('/').collect();
        let [month, day, _year] = parts[..] else {
            return Err(ReadError::new(
                line,
                format!("the date is \"{}\"", shortened(&found[date])),
                "month/day/year",
            ));
        };
        let hour = found[time].strip_suffix(":00").ok_or_else(|| {
            ReadError::new(
                line,
                format!("the time is \"{}\"", shortened(&found[time])),
                "01:00 to 24:00, full hours",
            )
        })?;
        let stamp = (
            whole(line, "the month", month, 1, 12)?,
            whole(line, "the day", day, 1, 31)?,
            whole(line, "the hour", hour, 1, 24)?,
        );
        let Some(index) = walk.step(line, stamp, false)? else { continue };
        year.lines.note(index, line);
        let value = |cell: usize, name: &str, low: f64, high: f64| {
            reading(line, name, &found[cell], (low, high), |v| v <= -9900.0)
        };
        year.ghi_w_m2[index] = value(global, GLOBAL, 0.0, 1500.0)?;
        year.dni_w_m2[index] = value(beam, BEAM, 0.0, 1400.0)?;
        year.dhi_w_m2[index] = value(diffuse, DIFFUSE, 0.0, 1200.0)?;
        year.air_c[index] = value(air, AIR, -90.0, 60.0)?;
        year.wind_m_s[index] = value(wind, WIND, 0.0, 75.0)?;
        if let Some(cell) = albedo {
            // The form allows 0 to 1; an albedo of 0 or less is how files write "not known".
            year.albedo[index] = reading(line, ALBEDO, &found[cell], (0.0, 1.0), |v| v <= 0.0)?;
        }
    }
    walk.end(lines.last().map_or(1, |(line, _)| *line))?;
    year.remarks.extend(walk.remark());
    Ok(year)
}
