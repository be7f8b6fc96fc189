//! Hourly files by their contents: one year, or many from the service of meteorological data; and a look at any of them.

use crate::doubtful::{Looked, doubtful};
use crate::filled::{
    columns_not_used, first_of, gaps_said, methods, not_to_be_filled, stretches, stretches_said,
};
use crate::sky::{Years, falls_of};
use design::system::Gaps;
use std::sync::Arc;
use weather::{FileYear, Fill, Place};

/// What was filled and how, a sentence for each quantity and method.
fn fills_said(called: &str, filled: &[(weather::Gap, Fill)]) -> Vec<String> {
    let mut sums: Vec<(weather::Quantity, Fill, usize)> = Vec::new();
    for (gap, fill) in filled {
        match sums.iter_mut().find(|(quantity, by, _)| *quantity == gap.quantity && by == fill) {
            Some(sum) => sum.2 += gap.hours,
            None => sums.push((gap.quantity, *fill, gap.hours)),
        }
    }
    let hours = |count: usize| match count {
        1 => "1 hour".to_string(),
        sun::HOURS => "every hour".to_string(),
        _ => format!("{count} hours"),
    };
    sums.iter()
        .map(|(quantity, fill, count)| {
            format!("{called}: {} of {} {}", quantity.name(), hours(*count), fill.says())
        })
        .collect()
}

/// What a file holds.
#[derive(Clone, Debug)]
pub(crate) struct Hours {
    pub(crate) format: &'static str,
    pub(crate) place: Place,
    /// Calendar year, where there are many, and its hours.
    pub(crate) years: Vec<(Option<i32>, FileYear)>,
    pub(crate) remarks: Vec<String>,
}

/// Reads a file by its contents: `LOCATION,` begins an EPW, a JSON or `-BEGIN HEADER-` an answer of the service, `#` a table
/// with a declared heading, anything else is read as TMY3. `utc_offset_h` is the standard time for an answer of the
/// service; left out, the hour nearest to its longitude.
pub(crate) fn hours(name: &str, bytes: &[u8], utc_offset_h: Option<f64>) -> Result<Hours, String> {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
    let say = |e: weather::ReadError| format!("{name}, line {}: {}; allowed: {}", e.line, e.what, e.allowed);
    let one = |format, year: FileYear| Hours {
        format,
        place: year.place.clone(),
        remarks: Vec::new(),
        years: vec![(None, year)],
    };
    if text.starts_with(b"{") || text.starts_with(b"-BEGIN HEADER-") {
        let read = |offset| weather::read_power(bytes, name, offset).map_err(say);
        let offset = match utc_offset_h {
            Some(offset) => offset,
            None => {
                let first = read(0.0)?;
                first.years.first().map_or(0.0, |(_, year)| (year.place.longitude_deg / 15.0).round())
            }
        };
        let many = read(offset)?;
        let remarks = many
            .left_out
            .iter()
            .map(|(year, hours)| format!("{year} is left out: the file holds {hours} of its hours"))
            .collect();
        let place = match many.years.first() {
            Some((_, year)) => year.place.clone(),
            None => return Err(format!("{name} holds no whole year")),
        };
        let years = many.years.into_iter().map(|(year, hours)| (Some(year), hours)).collect();
        return Ok(Hours { format: "service of meteorological data, hourly", place, years, remarks });
    }
    if text.starts_with(b"LOCATION,") || name.to_ascii_lowercase().ends_with(".epw") {
        return weather::read_epw(bytes).map(|year| one("EPW", year)).map_err(say);
    }
    if text.starts_with(b"#") {
        return weather::read_table(bytes)
            .map(|year| one("table with a declared heading", year))
            .map_err(say);
    }
    weather::read_tmy3(bytes).map(|year| one("TMY3", year)).map_err(say)
}

/// Fills gaps and gives every year its snow; years of many that cannot be filled are left out with a remark.
pub(crate) fn whole(
    name: &str,
    bytes: &[u8],
    hours: Hours,
    sun: &sun::YearSky,
    snow: &weather::SnowSource,
    gaps: Gaps,
) -> Result<Years, String> {
    let mut remarks = hours.remarks;
    let many = hours.years.len() > 1;
    let mut years = Vec::with_capacity(hours.years.len());
    let (mut numbers, mut filled_in, mut looked) = (Vec::new(), Vec::new(), Vec::new());
    for (number, mut year) in hours.years {
        let lines = std::mem::take(&mut year.lines);
        remarks.extend(columns_not_used(&year).filter(|remark| !remarks.contains(remark)));
        let called = number.map_or_else(|| name.to_string(), |n| format!("{name}, {n}"));
        let refused = if gaps == Gaps::Refuse { not_to_be_filled(&year) } else { Vec::new() };
        let whole = match refused.is_empty() {
            true => year.into_year(sun, methods(gaps)).map_err(|missing| missing.gaps),
            false => Err(refused),
        };
        match whole {
            Ok(filled) => {
                for remark in fills_said(&called, &filled.filled).into_iter().chain(filled.remarks) {
                    if !remarks.contains(&remark) {
                        remarks.push(remark);
                    }
                }
                filled_in.extend(stretches(number, &lines, &filled.filled));
                looked.push(Looked {
                    number,
                    found: weather::Plausibility::of(&filled.year, &hours.place, sun),
                    lines,
                });
                numbers.push(number);
                years.push(filled.year);
            }
            Err(missing) => {
                let says = format!("{called} has {}", gaps_said(&missing, &lines, gaps));
                if !many {
                    return Err(says);
                }
                remarks.push(format!("{says}; the year is left out"));
            }
        }
    }
    if years.is_empty() {
        return Err(format!("{name} holds no year that can be used: {}", remarks.join("; ")));
    }
    let (falls, more) = falls_of(&years, sun, snow, 1);
    remarks.extend(more);
    let doubtful = doubtful(name, bytes, &looked);
    Ok(Years { years, remarks, spread: None, falls, doubtful, numbers, filled: filled_in })
}

/// A look at weather, with or without a design.
#[derive(Clone, Debug)]
pub struct Look {
    /// What it is, in words.
    pub says: String,
    /// Latitude and longitude, degrees; elevation, m; standard time, hours ahead of UTC.
    pub place: [f64; 4],
    /// Sun of the nominal year there.
    pub sun: Arc<sun::YearSky>,
    /// The years.
    pub weather: Arc<Years>,
    /// Whether it can be true: figures, and what is odd.
    pub report: Vec<String>,
    /// All that is odd of any year; the report shows the first of it.
    pub odd: Vec<String>,
    /// Whether snowfall was made from the weather, and not stated by the owner.
    pub snow_modelled: bool,
}

/// Looks at an hourly file.
///
/// # Errors
/// What is wrong with it, with its line where the form has lines.
pub fn look_at_file(name: &str, bytes: &[u8]) -> Result<Look, String> {
    let hours = hours(name, bytes, None)?;
    let place = hours.place.clone();
    let observer =
        sun::Observer::new(place.latitude_deg, place.longitude_deg, place.elevation_m).map_err(|bad| {
            format!("{name}: {} {} is outside {} to {}", bad.what, bad.value, bad.allowed.0, bad.allowed.1)
        })?;
    let sun = Arc::new(sun::YearSky::new(observer, place.utc_offset_h));
    let gaps: usize =
        hours.years.iter().map(|(_, year)| year.gaps().iter().map(|gap| gap.hours).sum::<usize>()).sum();
    let count = hours.years.len();
    let format = hours.format;
    let years = whole(name, bytes, hours, &sun, &weather::SnowSource::Modelled, Gaps::Fill)?;
    let odd = odd(&years, &place, &sun);
    let mut report = report(&years, &place, &sun, &odd);
    let missing = if gaps == 0 {
        "no hour is missing".to_string()
    } else {
        format!("{gaps} missing values, filled as said below")
    };
    report.insert(0, missing);
    let many = if count > 1 { format!(", {} years", years.years.len()) } else { String::new() };
    Ok(Look {
        says: format!("{} ({format}{many}), {}", place.name, where_it_lies(&place)),
        place: [place.latitude_deg, place.longitude_deg, place.elevation_m, place.utc_offset_h],
        sun,
        weather: Arc::new(years),
        report,
        odd,
        snow_modelled: true,
    })
}

/// "43.67° N 79.63° W, 173 m, standard time UTC −5".
fn where_it_lies(place: &Place) -> String {
    let side = |degrees: f64, sides: [&str; 2]| {
        format!("{:.2}° {}", degrees.abs(), sides[usize::from(degrees < 0.0)])
    };
    let hours = place.utc_offset_h;
    let sign = if hours < 0.0 { "−" } else { "+" };
    format!(
        "{} {}, {:.0} m, standard time UTC {sign}{}",
        side(place.latitude_deg, ["N", "S"]),
        side(place.longitude_deg, ["E", "W"]),
        place.elevation_m,
        hours.abs()
    )
}

/// Looks at the weather years of a study: once, however often it is asked for.
///
/// # Errors
/// Why there are no weather years.
pub fn look_at_study(study: &crate::Study) -> Result<Arc<Look>, crate::Unanswered> {
    study.look.get_or_init(|| look_at_years_of(study).map(Arc::new)).clone()
}

fn look_at_years_of(study: &crate::Study) -> Result<Look, crate::Unanswered> {
    let sky = study.sky.as_ref().map_err(Clone::clone)?;
    let observer = sky.sun.observer;
    let place = Place {
        name: study.design.system.title.to_string(),
        latitude_deg: observer.latitude_deg,
        longitude_deg: observer.longitude_deg,
        elevation_m: observer.elevation_m,
        utc_offset_h: sky.sun.utc_offset_h,
    };
    let odd = odd(&sky.weather, &place, &sky.sun);
    let mut report = report(&sky.weather, &place, &sky.sun, &odd);
    report.extend(sky.elsewhere.clone());
    Ok(Look {
        says: sky.says.clone(),
        place: [place.latitude_deg, place.longitude_deg, place.elevation_m, place.utc_offset_h],
        report,
        odd,
        sun: sky.sun.clone(),
        weather: sky.weather.clone(),
        snow_modelled: study.design.system.place.snow.is_none(),
    })
}

/// What is odd of any year, each with its year where there are many.
pub(crate) fn odd(years: &Years, place: &Place, sun: &sun::YearSky) -> Vec<String> {
    let mut lines = Vec::new();
    for (index, year) in years.years.iter().enumerate() {
        for odd in &weather::Plausibility::of(year, place, sun).observations {
            let called = match years.numbers.get(index).copied().flatten() {
                // Zone and longitude are the same of every year.
                _ if matches!(odd, weather::Observation::ZoneFarFromLongitude { .. }) => String::new(),
                Some(number) => format!("{number}: "),
                None if years.years.len() > 1 => format!("year {}: ", index + 1),
                None => String::new(),
            };
            let line = format!("{called}{odd}");
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

/// Whether every hour of the first year has beam or diffuse made from its global light, so that the three agree by construction.
fn nothing_to_compare(years: &Years) -> bool {
    if years.spread.is_some() {
        return true;
    }
    let mut made = vec![false; sun::HOURS];
    let first = years.numbers.first().copied().flatten();
    for stretch in years.filled.iter().filter(|stretch| stretch.year == first) {
        if matches!(stretch.quantity, weather::Quantity::Beam | weather::Quantity::Diffuse) {
            made.iter_mut().skip(stretch.first_hour).take(stretch.hours).for_each(|hour| *hour = true);
        }
    }
    made.iter().all(|hour| *hour)
}

/// Figures of plausibility of the first year, what is odd in any, and what was filled.
fn report(years: &Years, place: &Place, sun: &sun::YearSky, odd: &[String]) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(year) = years.years.first() {
        let found = weather::Plausibility::of(year, place, sun);
        let (global, beam, diffuse) = found.yearly_kwh_m2;
        let which = if years.years.len() > 1 { "first year: " } else { "" };
        let degrees = |celsius: f64| format!("{celsius:.1}").replace('-', "−");
        lines.push(format!(
            "{which}global {global:.0}, beam {beam:.0}, diffuse {diffuse:.0} kWh/m²; air {} to {} °C, mean {}",
            degrees(found.air_c.0),
            degrees(found.air_c.2),
            degrees(found.air_c.1)
        ));
        lines.push(if nothing_to_compare(years) {
            format!("{which}beam and diffuse are made from the global light: nothing to compare it with")
        } else {
            format!(
            "{which}global against diffuse + beam × cosine: root mean square {:.1} W/m², on average {:+.1} %, worst {:.1} W/m² on {}",
            found.closure_rms_w_m2,
            // No minus before a zero.
            (found.closure_bias * 1000.0).round() / 10.0 + 0.0,
            found.closure_worst.1.abs(),
            weather::hour_in_words(found.closure_worst.0),
        )
        });
        lines.push(format!(
            "{which}middle of the light against noon: {:+.2} h",
            (found.noon_shift_h * 100.0).round() / 100.0 + 0.0
        ));
    }
    lines.extend(first_of(odd.to_vec(), "oddities"));
    for remark in &years.remarks {
        // What is odd of a design's file stands among its remarks too.
        if !lines.contains(remark) {
            lines.push(remark.clone());
        }
    }
    lines.extend(stretches_said(&years.filled));
    lines
}

/// One year in the table form with a declared heading, ready to be read again.
pub fn year_as_table(look: &Look, index: usize) -> Option<String> {
    use std::fmt::Write as _;
    let year = look.weather.years.get(index)?;
    let [latitude, longitude, elevation, offset] = look.place;
    let which = if look.weather.years.len() > 1 { format!("year {} of ", index + 1) } else { String::new() };
    let mut text = format!(
        "# place: {which}{}\n# latitude_deg: {latitude}\n# longitude_deg: {longitude}\n# elevation_m: {elevation}\n# utc_offset_h: {offset}\n# stamp: hour ending\ntime,ghi_w_m2,dni_w_m2,dhi_w_m2,air_c,wind_m_s\n",
        look.says.replace(['\n', '\r'], " ")
    );
    for hour in 0..sun::HOURS {
        let day = hour / 24;
        let month = sun::month_of_day(day);
        // The nominal year stands for any common year.
        let _ = writeln!(
            text,
            "2025-{:02}-{:02} {:02}:00,{:.1},{:.1},{:.1},{:.2},{:.2}",
            month + 1,
            day - sun::month_start_day(month) + 1,
            hour % 24 + 1,
            year.ghi_w_m2[hour],
            year.dni_w_m2[hour],
            year.dhi_w_m2[hour],
            year.air_c[hour],
            year.wind_m_s[hour],
        );
    }
    Some(text)
}
