//! Weather years month by month, and their dullest stretches.

use super::{SkyPicture, left, right, row};
use crate::drawing::{self, Around, Drawing, DullStretch, Form};
use crate::say::{day, fixed, words};
use crate::sheets::MONTHS;
use crate::table::{Row, Table};
use study::Look;

/// Lowest, mean and highest daily mean of each month over the years.
pub(crate) fn spread_of(years: impl Iterator<Item = [f64; 12]>) -> [[f64; 3]; 12] {
    let mut found = [[f64::INFINITY, 0.0, 0.0]; 12];
    let mut count = 0.0;
    for year in years {
        count += 1.0;
        for (month, value) in year.into_iter().enumerate() {
            found[month][0] = found[month][0].min(value);
            found[month][1] += value;
            found[month][2] = found[month][2].max(value);
        }
    }
    for month in &mut found {
        month[1] /= f64::max(count, 1.0);
    }
    found
}

pub(super) fn months_table(
    id: &str,
    caption: String,
    spread: &[[f64; 3]; 12],
    around: Around,
    note: &str,
) -> Table {
    let over = if around == Around::Years { "year" } else { "day" };
    let rows = spread
        .iter()
        .zip(MONTHS)
        .map(|([low, mean, high], name)| {
            row(vec![words(name), words(fixed(*mean, 2)), words(fixed(*low, 2)), words(fixed(*high, 2))])
        })
        .collect();
    Table {
        id: id.into(),
        caption,
        columns: vec![
            left("month"),
            right("mean day", "kWh/m²"),
            right(&format!("dullest {over}"), "kWh/m²"),
            right(&format!("brightest {over}"), "kWh/m²"),
        ],
        rows,
        note: note.into(),
    }
}

/// The five dullest stretches of five days over all years.
pub fn dullest(look: &Look, form: Form) -> Option<SkyPicture> {
    let found = dullest_of(look, study::STRETCH_DAYS, 5);
    let usual = usual_around(look);
    if found.is_empty() {
        return None;
    }
    let many = look.weather.years.len() > 1;
    let stretches: Vec<DullStretch> = found
        .iter()
        .map(|(year, first, _)| {
            let daily = look.weather.years[*year].daily_ghi_wh_m2();
            let name = stretch_name(*first, study::STRETCH_DAYS, many.then_some(*year));
            DullStretch {
                name,
                days: daily.iter().skip(*first).take(study::STRETCH_DAYS).map(|wh| wh / 1000.0).collect(),
                usual: middle(&usual, *first, study::STRETCH_DAYS),
            }
        })
        .collect();
    Some(SkyPicture {
        frame: None,
        id: "dullest".into(),
        title: "The five dullest stretches of five days".into(),
        describes: "Five rows of five bars, light of each day on the level, with the usual day of that time of year as a line.".into(),
        drawing: drawing::dull_stretches(&stretches, "kWh/m² a day on the level", form),
        table: dullest_table(look),
    })
}

fn stretch_name(first: usize, days: usize, year: Option<usize>) -> String {
    let year = year.map(|year| format!(", year {}", year + 1)).unwrap_or_default();
    format!("{} to {}{year}", day(first), day(first + days - 1))
}

/// Days before and after a day that make its usual light: a month in all.
const AROUND_DAYS: usize = 15;

/// Mean of the month around each day over all years, kWh/m² a day. Of the calendar month, the first of February would be
/// duller than usual in any weather.
fn usual_around(look: &Look) -> Vec<f64> {
    let mut mean = vec![0.0; sun::DAYS];
    let share = 1.0 / look.weather.years.len().max(1) as f64;
    for year in &look.weather.years {
        year.daily_ghi_wh_m2().iter().zip(&mut mean).for_each(|(wh, mean)| *mean += wh / 1000.0 * share);
    }
    let around =
        |day: usize| (0..=2 * AROUND_DAYS).map(move |off| (day + sun::DAYS - AROUND_DAYS + off) % sun::DAYS);
    (0..sun::DAYS)
        .map(|day| around(day).map(|day| mean[day]).sum::<f64>() / (2 * AROUND_DAYS + 1) as f64)
        .collect()
}

/// The usual day in the middle of a stretch.
fn middle(usual: &[f64], first: usize, days: usize) -> f64 {
    usual[(first + days / 2).min(sun::DAYS - 1)].max(1e-9)
}

/// Days on which the sun stays down, by the middle of each hour.
fn sunless(look: &Look) -> Vec<bool> {
    look.sun.zenith_deg.chunks(24).map(|day| day.iter().all(|zenith| *zenith >= 90.0)).collect()
}

/// When the sun stays down, in words: "from 27 November to 15 January, 50 days"; `None` where it rises every day.
fn polar_night(look: &Look) -> Option<String> {
    let down = sunless(look);
    let count = down.iter().filter(|down| **down).count();
    if count == 0 || count == down.len() {
        return None;
    }
    // One night a year: it begins after a lit day.
    let begins = (0..down.len()).find(|day| down[*day] && !down[(day + down.len() - 1) % down.len()])?;
    let ends = (begins + count - 1) % down.len();
    Some(format!("from {} to {}, {count} days", day(begins), day(ends)))
}

/// Dullest stretches of all years: year, first day, mean day in kWh/m²; of each year its dullest. Stretches with a day on
/// which the sun stays down are left out: the polar night is no weather.
pub(crate) fn dullest_of(look: &Look, days: usize, count: usize) -> Vec<(usize, usize, f64)> {
    let down = &sunless(look);
    let polar = down.iter().filter(|down| **down).count();
    let more = if polar > 0 { polar / days.max(1) + 2 } else { 0 };
    let mut all: Vec<(usize, usize, f64)> = look
        .weather
        .years
        .iter()
        .enumerate()
        .flat_map(|(index, year)| {
            year.dullest_stretches(days, count + more)
                .into_iter()
                .map(move |s| (index, s.first_day, s.sum / 1000.0 / s.days.max(1) as f64))
        })
        .filter(|(_, first, _)| first + days <= 365 && !down.iter().skip(*first).take(days).any(|down| *down))
        .collect();
    all.sort_by(|a, b| a.2.total_cmp(&b.2).then(a.0.cmp(&b.0)).then(a.1.cmp(&b.1)));
    all.truncate(count);
    all
}

/// Days with snowfall in a stretch: what falls on modules makes it darker than the light on the level says.
fn snowfalls(look: &Look, year: usize, first: usize, days: usize) -> usize {
    let falls = look.weather.falls.get(year).into_iter().flatten();
    falls.filter(|fall| (first..first + days).contains(&fall.day)).count()
}

/// Dullest stretches of 3, 5 and 10 days.
pub fn dullest_table(look: &Look) -> Table {
    let usual = usual_around(look);
    let many = look.weather.years.len() > 1;
    let over = if many { "over all years" } else { "of this year" };
    let polar = match polar_night(look) {
        None => String::new(),
        Some(when) => format!(
            " The sun stays down {when}: no sun in any year, whatever the weather. Stretches with such a day are left out here."
        ),
    };
    let mut rows = Vec::new();
    for days in [3, 5, 10] {
        for (year, first, mean) in dullest_of(look, days, 5) {
            rows.push(row(vec![
                words(days.to_string()),
                words(stretch_name(first, days, many.then_some(year))),
                words(fixed(mean, 2)),
                words(fixed(mean / middle(&usual, first, days) * 100.0, 0)),
                words(snowfalls(look, year, first, days).to_string()),
            ]));
        }
    }
    Table {
        id: "dullest".into(),
        caption: "The dullest stretches".into(),
        columns: vec![
            right("days", ""),
            left("when"),
            right("mean day", "kWh/m²"),
            right("of a usual day", "%"),
            right("snowfall", "days"),
        ],
        rows,
        note: format!("Light on the level; a usual day is the mean of the month around it {over}.{polar}"),
    }
}

/// Lowest and highest day of each month around its mean day; days of one year, January first.
pub(super) fn days_around(days_kwh: &[f64], mean: [f64; 12]) -> [[f64; 3]; 12] {
    let mut found = mean.map(|mean| [f64::INFINITY, mean, 0.0]);
    for (day, kwh) in days_kwh.iter().enumerate().take(sun::DAYS) {
        let month = &mut found[sun::month_of_day(day)];
        month[0] = month[0].min(*kwh);
        month[2] = month[2].max(*kwh);
    }
    found
}

/// What lies around the mean day of a month: other years where there are several, the days of the month where there is one.
fn around_the_mean(look: &Look) -> ([[f64; 3]; 12], Around) {
    match &look.weather.years[..] {
        [year] => {
            let days: Vec<f64> = year.daily_ghi_wh_m2().iter().map(|wh| wh / 1000.0).collect();
            (days_around(&days, year.monthly_ghi_kwh_m2_day()), Around::Days)
        }
        years => (spread_of(years.iter().map(|year| year.monthly_ghi_kwh_m2_day())), Around::Years),
    }
}

/// Coldest and hottest hour of each month over all years, °C.
fn air_extremes(look: &Look) -> [[f64; 2]; 12] {
    let mut found = [[f64::INFINITY, f64::NEG_INFINITY]; 12];
    for year in &look.weather.years {
        for (day, hours) in year.air_c.chunks(24).enumerate() {
            let [coldest, hottest] = &mut found[sun::month_of_day(day)];
            for celsius in hours {
                *coldest = coldest.min(*celsius);
                *hottest = hottest.max(*celsius);
            }
        }
    }
    found
}

/// Weather month by month: light with its spread, air, days of snowfall.
pub fn weather_table(look: &Look, units_of: quantity::Units) -> Table {
    let (light, around) = around_the_mean(look);
    let air = spread_of(look.weather.years.iter().map(|year| year.monthly_air_c()));
    let mut snow = [0.0; 12];
    let count = look.weather.years.len().max(1) as f64;
    for fall in look.weather.falls.iter().flatten() {
        snow[sun::month_of_day(fall.day)] += 1.0 / count;
    }
    let us = units_of == quantity::Units::Us;
    let shown = |celsius: f64| if us { celsius * 1.8 + 32.0 } else { celsius };
    let air_hours = air_extremes(look);
    let line = |name: &str, light: [f64; 3], air: [f64; 3], snow: f64, total: bool| Row {
        cells: vec![
            words(name),
            words(fixed(light[1], 2)),
            words(fixed(light[0], 2)),
            words(fixed(light[2], 2)),
            words(fixed(shown(air[1]), 1)),
            words(fixed(shown(air[0]), 1)),
            words(fixed(shown(air[2]), 1)),
            words(fixed(snow, 1)),
        ],
        total,
    };
    let mut rows: Vec<Row> = (0..12)
        .map(|m| line(MONTHS[m], light[m], [air_hours[m][0], air[m][1], air_hours[m][1]], snow[m], false))
        .collect();
    let yearly: Vec<f64> =
        look.weather.years.iter().map(|y| y.ghi_w_m2.iter().sum::<f64>() / 365_000.0).collect();
    // The lowest and highest of whole years, or of all days of the one.
    let ends: [f64; 2] = match around {
        Around::Years => {
            [yearly.iter().copied().fold(f64::INFINITY, f64::min), yearly.iter().copied().fold(0.0, f64::max)]
        }
        Around::Days => [
            light.iter().map(|month| month[0]).fold(f64::INFINITY, f64::min),
            light.iter().map(|month| month[2]).fold(0.0, f64::max),
        ],
    };
    let mean_air = (0..12).map(|m| air[m][1] * sun::MONTH_DAYS[m] as f64).sum::<f64>() / 365.0;
    rows.push(line(
        "year",
        [ends[0], yearly.iter().sum::<f64>() / count, ends[1]],
        [
            air_hours.iter().map(|month| month[0]).fold(f64::INFINITY, f64::min),
            mean_air,
            air_hours.iter().map(|month| month[1]).fold(f64::NEG_INFINITY, f64::max),
        ],
        snow.iter().sum(),
        true,
    ));
    let snowfall = match look.snow_modelled && snow.iter().sum::<f64>() > 0.0 {
        true => " Nobody stated snowfall: cold dull days of these years bring it.",
        false => "",
    };
    let degree = if us { "°F" } else { "°C" };
    let (low, high, note) = match around {
        Around::Years => {
            ("dullest year", "brightest year", "The coldest hour of these years is no design temperature.")
        }
        Around::Days => (
            "dullest day",
            "brightest day",
            "One year: how far years differ it cannot say, and its coldest hour is no design temperature.",
        ),
    };
    Table {
        id: "weather".into(),
        caption: "The weather, month by month".into(),
        columns: vec![
            left("month"),
            right("light a day", "kWh/m²"),
            right(low, "kWh/m²"),
            right(high, "kWh/m²"),
            right("mean air", degree),
            right("coldest hour", degree),
            right("hottest hour", degree),
            right("snowfall", "days"),
        ],
        rows,
        note: format!("Light on the level. {note}{snowfall}"),
    }
}

/// A month with less than this share of a mean month's light is twilight; own judgement, no source.
const TWILIGHT: f64 = 0.01;
const DECEMBER: usize = 11;

/// How far years differ: sums of the year, of its dullest month and of December.
pub fn spread_words(weather: &study::Years) -> Option<String> {
    let years = &weather.years;
    if years.len() < 2 {
        return None;
    }
    let spread = |sums: Vec<f64>| {
        let mean = sums.iter().sum::<f64>() / sums.len() as f64;
        let variance = sums.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (sums.len() as f64 - 1.0);
        (mean, 100.0 * variance.max(0.0).sqrt() / mean.max(1e-9))
    };
    let (year, of_year) = spread(years.iter().map(|y| y.ghi_w_m2.iter().sum::<f64>() / 1000.0).collect());
    let months: Vec<[f64; 12]> = years.iter().map(|y| y.monthly_ghi_kwh_m2_day()).collect();
    let of_month = |month: usize| {
        let days = sun::MONTH_DAYS[month] as f64;
        spread(months.iter().map(|of_year| of_year[month] * days).collect())
    };
    // A month of twilight differs by nothing that anybody could use.
    let lit: Vec<usize> = (0..12).filter(|month| of_month(*month).0 > TWILIGHT * year / 12.0).collect();
    let dullest = lit.into_iter().min_by(|a, b| of_month(*a).0.total_cmp(&of_month(*b).0));
    let month = dullest.map(|month| {
        let (light, differs) = of_month(month);
        let (december, by) = of_month(DECEMBER);
        let december = match month == DECEMBER || december <= TWILIGHT * year / 12.0 {
            true => String::new(),
            false => format!(", those of December by {by:.1} %"),
        };
        format!(", of its dullest month with sun, {}, {light:.1}; from year to year they differ by {of_year:.1} % and {differs:.1} %{december}", quantity::MONTHS[month])
    });
    let month = month.unwrap_or_else(|| format!("; years differ by {of_year:.1} %"));
    Some(format!("Light of a year {year:.0} kWh/m²{month} (standard deviation over {} years).", years.len()))
}

/// Weather month by month as a picture.
pub fn weather_picture(look: &Look, form: Form) -> Drawing {
    let (light, around) = around_the_mean(look);
    drawing::months_spread(&light, "kWh/m² a day on the level", around, form)
}
