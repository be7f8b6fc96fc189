//! Pictures and tables of question 3, each picture with the table behind it.

use crate::drawing::{self, Drawing, DullStretch, Form, PlaneGrid, SkyPoint, SunPath};
use crate::say::{Reader, day, fixed, words};
use crate::sheets::MONTHS;
use crate::table::{Align, Column, Row, Table};
use quantity::{Measure, Temperature, units};
use study::{FinderStudy, Look, PlaneStudy, Study};

/// A picture with its table.
#[derive(Clone, Debug)]
pub struct SkyPicture {
    /// Identifier, of letters, digits and hyphens.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it shows, for those who cannot see it.
    pub describes: String,
    /// The picture.
    pub drawing: Drawing,
    /// The numbers behind it.
    pub table: Table,
}

/// Days whose way of the sun is drawn: name, day of the year from 0.
const PATH_DAYS: [(&str, usize); 5] = [
    ("21 Jun", 171),
    ("20 Apr, 22 Aug", 109),
    ("20 Mar, 23 Sep", 79),
    ("20 Feb, 22 Oct", 50),
    ("21 Dec", 354),
];

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

fn row(cells: Vec<crate::table::Cell>) -> Row {
    Row { cells, total: false }
}

/// All pictures of question 3: first those of each plane, then those of the sky.
pub fn pictures(study: &Study, form: Form) -> Vec<SkyPicture> {
    let mut all: Vec<SkyPicture> = Vec::new();
    for plane in study.planes.iter().flatten() {
        all.extend(sun_path_of(study, plane, form));
        all.push(plane_months(plane, form));
        all.extend(plane_hours(study, plane, form));
    }
    all.extend(plane_map(study, form));
    if let Ok(look) = study::look_at_study(study) {
        all.extend(dullest(&look, form));
    }
    // A page holds both, and several planes: every table is called after its picture.
    for picture in &mut all {
        picture.table.id = format!("{}-table", picture.id);
    }
    all
}

/// Sun at a clock hour (0 to 24, standard time) of a day from 0: bearing and height without air, degrees.
fn sun_at(sky: &sun::YearSky, day: usize, hour: f64) -> SkyPoint {
    let start = sun::julian_day(sun::NOMINAL_YEAR, 1, 1, -sky.utc_offset_h);
    let at = start + day as f64 + hour / 24.0;
    let found = sun::SunPosition::at(at, sun::delta_t_s(f64::from(sun::NOMINAL_YEAR) + 0.5), &sky.observer);
    (found.azimuth_deg, 90.0 - found.zenith_airless_deg)
}

/// Where the noon sun of most of the year stands.
fn middle_of(latitude_deg: f64) -> f64 {
    if latitude_deg >= 0.0 { 180.0 } else { 0.0 }
}

/// The way of the sun over a place, with what stands around a plane.
pub fn sun_path(sky: &sun::YearSky, around: Option<&study::Around>, form: Form) -> Drawing {
    let days = PATH_DAYS
        .iter()
        .map(|(name, day)| {
            // Every five minutes, from the midnight of the sun on, so that no line is cut at its middle.
            let noon = 12.0 + sky.utc_offset_h - sky.observer.longitude_deg / 15.0;
            let points =
                (0..=288).map(|step| sun_at(sky, *day, noon - 12.0 + f64::from(step) / 12.0)).collect();
            ((*name).to_string(), points)
        })
        .collect();
    let hours = (0..24)
        .map(|hour| {
            let points: Vec<SkyPoint> =
                (0..=26).map(|step| sun_at(sky, (354 + 7 * step) % 365, f64::from(hour))).collect();
            (format!("{hour}"), points)
        })
        .filter(|(_, points): &(String, Vec<SkyPoint>)| points.iter().any(|p| p.1 > 0.0))
        .map(|(hour, points)| (format!("{hour} h"), points))
        .collect();
    let obstacles = around
        .map(|around| {
            around
                .named
                .iter()
                .map(|(name, obstacle)| {
                    let (low, high) = (-obstacle.half_span_deg, obstacle.half_span_deg);
                    let points = (0..=24)
                        .map(|step| {
                            let off = low + (high - low) * (0.001 + 0.998 * f64::from(step) / 24.0);
                            let bearing = (obstacle.bearing_deg + off).rem_euclid(360.0);
                            (bearing, obstacle.elevation_deg(&around.stand, 0.5, bearing))
                        })
                        .collect();
                    (name.clone(), points)
                })
                .collect()
        })
        .unwrap_or_default();
    drawing::sun_path(
        &SunPath {
            days,
            hours,
            horizon: around.map(|a| a.horizon.clone()).unwrap_or_default(),
            obstacles,
            middle: middle_of(sky.observer.latitude_deg),
        },
        form,
    )
}

/// Rise, noon and set of the drawn days.
pub fn sun_path_table(sky: &sun::YearSky, around: Option<&study::Around>) -> Table {
    let rows = PATH_DAYS
        .iter()
        .map(|(name, day)| {
            let lit: Vec<(f64, SkyPoint)> = (0..=288)
                .map(|step| f64::from(step) / 12.0)
                .map(|hour| (hour, sun_at(sky, *day, hour)))
                .filter(|(_, point)| point.1 > 0.0)
                .collect();
            let highest = lit.iter().map(|(_, p)| p.1).fold(0.0, f64::max);
            let hidden = around.map(|around| {
                let behind = |p: &SkyPoint| {
                    around.surroundings.solid_elevation_deg(&around.stand, sun::month_of_day(*day), p.0) > p.1
                };
                lit.iter().filter(|(_, p)| behind(p)).count() as f64 / 12.0
            });
            row(vec![
                words(*name),
                words(fixed(lit.len() as f64 / 12.0, 1)),
                words(fixed(highest, 0)),
                words(hidden.map_or("0.0".into(), |hours| fixed(hours, 1))),
            ])
        })
        .collect();
    Table {
        id: "sun-path".into(),
        caption: "The way of the sun".into(),
        columns: vec![left("day"), right("up", "h"), right("highest", "°"), right("hidden", "h")],
        rows,
        note: "Hidden: behind the horizon or what lets no light through, seen from the middle of the plane."
            .into(),
    }
}

/// The way of the sun of a file's place, with nothing around.
pub fn sun_path_picture(look: &Look, form: Form) -> SkyPicture {
    SkyPicture {
        id: "sun-path".into(),
        title: "The way of the sun".into(),
        describes: "Bearing runs across and height up; lines of five days of the year and of clock hours."
            .into(),
        drawing: sun_path(&look.sun, None, form),
        table: sun_path_table(&look.sun, None),
    }
}

fn sun_path_of(study: &Study, plane: &PlaneStudy, form: Form) -> Option<SkyPicture> {
    let sky = study.sky.as_ref().ok()?;
    let around = plane.around.as_ref();
    Some(SkyPicture {
        id: format!("sun-path-{}", quantity::slug(&plane.name)),
        title: format!("The sun over the {}", plane.name),
        describes: "Bearing runs across and height up; lines of five days of the year and of clock hours, with the horizon and what stands near.".into(),
        drawing: sun_path(&sky.sun, around, form),
        table: sun_path_table(&sky.sun, around),
    })
}

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

fn months_table(id: &str, caption: String, spread: &[[f64; 3]; 12], note: &str) -> Table {
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
            right("dullest year", "kWh/m²"),
            right("brightest year", "kWh/m²"),
        ],
        rows,
        note: note.into(),
    }
}

fn plane_months(plane: &PlaneStudy, form: Form) -> SkyPicture {
    let spread = spread_of(plane.years.light.iter().map(|year| {
        let mut sums = [0.0; 12];
        for (hour, light) in year.plane_w_m2.iter().enumerate() {
            sums[sun::month_of_hour(hour)] += light;
        }
        std::array::from_fn(|month| sums[month] / 1000.0 / sun::MONTH_DAYS[month] as f64)
    }));
    let id = format!("sun-{}", quantity::slug(&plane.name));
    SkyPicture {
        title: format!("Sun hours a day on the {}", plane.name),
        describes: format!(
            "Twelve bars, the mean day of each month, with the lowest and highest year; least in {}.",
            MONTHS[plane.least_month.min(11)]
        ),
        drawing: drawing::months_spread(&spread, "kWh/m² a day", form),
        table: months_table(
            &id,
            format!("Light on the {}, after shade, before snow, glass and dirt", plane.name),
            &spread,
            "One kWh/m² is one sun hour.",
        ),
        id,
    }
}

fn plane_hours(study: &Study, plane: &PlaneStudy, form: Form) -> Option<SkyPicture> {
    let shown = study.year.as_ref().map_or(0, |year| year.middling);
    let light = &plane.years.light.get(shown)?.plane_w_m2;
    let covered: Vec<bool> = plane
        .years
        .covered
        .get(shown)
        .map(|year| year.iter().map(|share| *share > 0.0).collect())
        .unwrap_or_default();
    // The table behind: mean light of every second hour in each month.
    let mut sums = [[0.0; 12]; 12];
    for (hour, value) in light.iter().enumerate() {
        sums[sun::month_of_hour(hour)][hour % 24 / 2] +=
            value / (2.0 * sun::MONTH_DAYS[sun::month_of_hour(hour)] as f64);
    }
    let rows = sums
        .iter()
        .zip(MONTHS)
        .map(|(of_month, name)| {
            let mut cells = vec![words(name)];
            cells.extend(of_month[2..11].iter().map(|mean| words(fixed(*mean, 0))));
            row(cells)
        })
        .collect();
    let mut columns = vec![left("month")];
    columns.extend((2..11).map(|pair| right(&format!("{}–{}", 2 * pair, 2 * pair + 2), "W/m²")));
    Some(SkyPicture {
        id: format!("light-{}", quantity::slug(&plane.name)),
        title: format!("Light on the {}, every hour of one year", plane.name),
        describes: "Days run across, hours of the day down; darker ochre is brighter, a white line is snow on the plane.".into(),
        drawing: drawing::light_map(light, &covered, form),
        table: Table {
            id: format!("light-{}", quantity::slug(&plane.name)),
            caption: format!("Mean light on the {} by month and hour", plane.name),
            columns,
            rows,
            note: "Standard time; the middling year of the energy answer.".into(),
        },
    })
}

/// Which way each plane faces, and how that is known: a compass needs the declination and its uncertainty.
pub fn bearings(study: &Study) -> Table {
    let reader = Reader::of(study);
    let rows = study
        .design
        .system
        .planes
        .iter()
        .map(|plane| {
            let (faces, known) = match &plane.bearing {
                quantity::Fact::Known(bearing) => {
                    let mut said = Vec::new();
                    bearing.origin.walk(&mut |origin| {
                        if let quantity::Origin::Series(series) = origin
                            && series.says.contains("declination of")
                        {
                            said.push(series.says.to_string());
                        }
                    });
                    let degrees = fixed(bearing.value.degrees(), 1);
                    let words = format!("{degrees}°, {}", quantity::bearing_in_words(bearing.value));
                    (words, if said.is_empty() { "as written".into() } else { said.join("; ") })
                }
                quantity::Fact::Unknown(gap) => {
                    (crate::say::NOT_KNOWN.to_string(), crate::say::listed(&crate::say::missing(gap)))
                }
            };
            row(vec![words(&*plane.name), words(reader.fact(&plane.tilt)), words(faces), words(known)])
        })
        .collect();
    Table {
        id: "bearings".into(),
        caption: "Which way the planes face".into(),
        columns: vec![left("plane"), left("tilt"), left("faces, from true north"), left("known by")],
        rows,
        note: String::new(),
    }
}

/// Rows one behind the other: as drawn, and as far apart as keeps them clear of each other at the winter solstice.
pub fn rows(study: &Study) -> Option<Table> {
    let metres = |m: f64| quantity::print(m, quantity::Kind::Length, study.design.system.units);
    let rows: Vec<Row> = study
        .planes
        .iter()
        .flatten()
        .filter_map(|plane| {
            let around = plane.around.as_ref()?;
            let rows = around.rows.as_ref()?;
            Some(row(vec![
                words(&*plane.name),
                words(metres(rows.slant_m)),
                words(metres(rows.pitch_m)),
                words(format!("{}°", fixed(rows.masking_angle_deg(), 0))),
                words(around.solstice_pitch_m.map_or("the sun is down then".into(), metres)),
            ]))
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "rows".into(),
        caption: "Rows one behind the other".into(),
        columns: vec![
            left("plane"),
            left("row up the slope"),
            left("pitch as drawn"),
            left("top of the next row"),
            left("pitch without shade, 9 to 15 h at the solstice"),
        ],
        rows,
        note: "Pitch: from one lower edge to the next, level ground, rows facing the equator; solar time. The solstice rule is common practice; what the drawn pitch costs is in the year.".into(),
    })
}

/// Best tilt and bearing of each month, for one who turns a rack by hand or asks after one season.
pub fn best_months(study: &Study) -> Option<Table> {
    let found = study.finders.iter().flatten().next()?;
    let rows: Vec<Row> = found
        .months()?
        .iter()
        .enumerate()
        .map(|(month, (best, own))| {
            let kwh = best.month_day_wh_m2[month] / 1000.0;
            row(vec![
                words(MONTHS[month]),
                words(fixed(best.tilt_deg, 0)),
                words(fixed(best.azimuth_deg.round().rem_euclid(360.0), 0)),
                words(fixed(kwh, 2)),
                words(fixed(own / 1000.0, 2)),
            ])
        })
        .collect();
    Some(Table {
        id: "best-months".into(),
        caption: format!("The best plane of each month, beside the {}", found.plane),
        columns: vec![
            left("month"),
            right("tilt", "°"),
            right("bearing", "°"),
            right("best", "kWh/m² a day"),
            right("yours", "kWh/m² a day"),
        ],
        rows,
        note: "Light behind the glass, mean day of the month; from five of the weather years. Where no sun rises, any plane is as good.".into(),
    })
}

/// Map of all tilts and bearings; the planes of the owner are crosses on it.
fn plane_map(study: &Study, form: Form) -> Option<SkyPicture> {
    let first = study.finders.iter().flatten().next()?;
    let sky = study.sky.as_ref().ok()?;
    Some(SkyPicture {
        id: "plane-map".into(),
        title: "What each tilt and bearing would get in a year".into(),
        describes: "Bearing runs across and tilt up; lines join planes that get the same share of the best."
            .into(),
        drawing: drawing::plane_map(&grid_of(first, study, sky.sun.observer.latitude_deg)?, form),
        table: best_planes(study)?,
    })
}

fn grid_of(first: &FinderStudy, study: &Study, latitude_deg: f64) -> Option<PlaneGrid> {
    let map = first.map()?;
    let best = first.best.iter().find(|best| best.purpose == study::Purpose::Year)?;
    let most = best.year_kwh_m2.max(1e-9);
    Some(PlaneGrid {
        tilts_deg: map.tilts_deg.clone(),
        bearings_deg: map.azimuths_deg.clone(),
        share: map.planes.iter().map(|plane| plane.year_wh_m2 / 1000.0 / most).collect(),
        best: Some((best.bearing.value.degrees(), units::DEGREE_UNIT.of_si(best.tilt.si()))),
        own: study
            .finders
            .iter()
            .flatten()
            .map(|own| (own.plane.to_string(), own.own_deg.1, own.own_deg.0))
            .collect(),
        middle: middle_of(latitude_deg),
    })
}

/// Best plane for each purpose and what the owner's gives up, seasonal settings, rules of thumb.
pub fn best_planes(study: &Study) -> Option<Table> {
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    for found in study.finders.iter().flatten() {
        let name = &*found.plane;
        for best in &found.best {
            let key = best.purpose.key();
            rows.push(row(vec![
                words(name),
                words(best.purpose.in_words()),
                reader.number(&best.tilt, &units::DEGREE_UNIT, 0, &["planes", name, key, "best-tilt"]),
                reader.number(&best.bearing, &units::TRUE_DEGREE, 0, &["planes", name, key, "best-bearing"]),
                reader.number(&best.given_up, &units::PERCENT, 1, &["planes", name, key, "given-up"]),
            ]));
        }
        for each in &found.seasonal {
            let tilts: Vec<String> = each.tilts_deg.iter().map(|tilt| fixed(*tilt, 0)).collect();
            let mut gain = reader.number(
                &each.gain,
                &units::PERCENT,
                1,
                &["planes", name, &format!("gain of {}", each.says)],
            );
            gain.text = format!("gains {}", gain.text);
            rows.push(row(vec![
                words(name),
                words(each.says),
                words(tilts.join(", ")),
                words(fixed(found.own_deg.1, 0)),
                gain,
            ]));
        }
        for thumb in &found.thumbs {
            rows.push(row(vec![
                words(name),
                words(format!("rule of thumb: {}", thumb.says)),
                words(fixed(thumb.tilt_deg, 0)),
                words(fixed(thumb.azimuth_deg, 0)),
                words(fixed(thumb.gives_up[0] * 100.0, 1)),
            ]));
        }
    }
    (!rows.is_empty()).then(|| Table {
        id: "best-planes".into(),
        caption: "Best tilt and bearing for each purpose".into(),
        columns: vec![
            left("plane"),
            left("wanted"),
            right("tilt", "°"),
            right("bearing", "°"),
            right("given up", "%"),
        ],
        rows,
        note: "Given up: by your plane against the best for that purpose; by a rule of thumb against the best year. Settings are for the seasons beginning in October or, of four, in November; from five of the weather years; rules of thumb are common practice.".into(),
    })
}

/// The five dullest stretches of five days over all years.
pub fn dullest(look: &Look, form: Form) -> Option<SkyPicture> {
    let found = dullest_of(look, study::STRETCH_DAYS, 5);
    let usual = usual_days(look);
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
                usual: usual[sun::month_of_day(*first)],
            }
        })
        .collect();
    Some(SkyPicture {
        id: "dullest".into(),
        title: "The five dullest stretches of five days".into(),
        describes: "Five rows of five bars, light of each day on the level, with the usual day of that month as a line.".into(),
        drawing: drawing::dull_stretches(&stretches, "kWh/m² a day on the level", form),
        table: dullest_table(look),
    })
}

fn stretch_name(first: usize, days: usize, year: Option<usize>) -> String {
    let year = year.map(|year| format!(", year {}", year + 1)).unwrap_or_default();
    format!("{} to {}{year}", day(first), day(first + days - 1))
}

/// Mean day of each month over all years, kWh/m².
fn usual_days(look: &Look) -> [f64; 12] {
    let spread = spread_of(look.weather.years.iter().map(|year| year.monthly_ghi_kwh_m2_day()));
    std::array::from_fn(|month| spread[month][1])
}

/// Dullest stretches of all years: year, first day, mean day in kWh/m²; of each year its dullest.
pub(crate) fn dullest_of(look: &Look, days: usize, count: usize) -> Vec<(usize, usize, f64)> {
    let mut all: Vec<(usize, usize, f64)> = look
        .weather
        .years
        .iter()
        .enumerate()
        .flat_map(|(index, year)| {
            year.dullest_stretches(days, count)
                .into_iter()
                .map(move |s| (index, s.first_day, s.sum / 1000.0 / s.days.max(1) as f64))
        })
        .filter(|(_, first, _)| first + days <= 365)
        .collect();
    all.sort_by(|a, b| a.2.total_cmp(&b.2).then(a.0.cmp(&b.0)).then(a.1.cmp(&b.1)));
    all.truncate(count);
    all
}

/// Dullest stretches of 3, 5 and 10 days.
pub fn dullest_table(look: &Look) -> Table {
    let usual = usual_days(look);
    let many = look.weather.years.len() > 1;
    let mut rows = Vec::new();
    for days in [3, 5, 10] {
        for (year, first, mean) in dullest_of(look, days, 5) {
            let normal = usual[sun::month_of_day(first)].max(1e-9);
            rows.push(row(vec![
                words(days.to_string()),
                words(stretch_name(first, days, many.then_some(year))),
                words(fixed(mean, 2)),
                words(fixed(mean / normal * 100.0, 0)),
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
        ],
        rows,
        note: "Light on the level; a usual day is the mean of that month over all years.".into(),
    }
}

/// Weather month by month: light with its spread, air, days of snowfall.
pub fn weather_table(look: &Look, units_of: quantity::Units) -> Table {
    let light = spread_of(look.weather.years.iter().map(|year| year.monthly_ghi_kwh_m2_day()));
    let air = spread_of(look.weather.years.iter().map(|year| year.monthly_air_c()));
    let mut snow = [0.0; 12];
    let count = look.weather.years.len().max(1) as f64;
    for fall in look.weather.falls.iter().flatten() {
        snow[sun::month_of_day(fall.day)] += 1.0 / count;
    }
    let us = units_of == quantity::Units::Us;
    let shown = |celsius: f64| if us { celsius * 1.8 + 32.0 } else { celsius };
    let coldest = |month: usize| {
        let hours = look.weather.years.iter().flat_map(|year| year.air_c.iter().enumerate());
        hours
            .filter(|(hour, _)| sun::month_of_hour(*hour) == month)
            .map(|(_, c)| *c)
            .fold(f64::INFINITY, f64::min)
    };
    let mut rows: Vec<Row> = (0..12)
        .map(|month| {
            row(vec![
                words(MONTHS[month]),
                words(fixed(light[month][1], 2)),
                words(fixed(light[month][0], 2)),
                words(fixed(light[month][2], 2)),
                words(fixed(shown(air[month][1]), 1)),
                words(fixed(shown(coldest(month)), 1)),
                words(fixed(snow[month], 1)),
            ])
        })
        .collect();
    let yearly: Vec<f64> =
        look.weather.years.iter().map(|y| y.ghi_w_m2.iter().sum::<f64>() / 365_000.0).collect();
    let of_year = |pick: fn(f64, f64) -> f64, from: f64| yearly.iter().copied().fold(from, pick);
    rows.push(Row {
        cells: vec![
            words("year"),
            words(fixed(yearly.iter().sum::<f64>() / count, 2)),
            words(fixed(of_year(f64::min, f64::INFINITY), 2)),
            words(fixed(of_year(f64::max, 0.0), 2)),
            words(fixed(
                shown((0..12).map(|m| air[m][1] * sun::MONTH_DAYS[m] as f64).sum::<f64>() / 365.0),
                1,
            )),
            words(fixed(shown((0..12).map(coldest).fold(f64::INFINITY, f64::min)), 1)),
            words(fixed(snow.iter().sum(), 1)),
        ],
        total: true,
    });
    let degree = if us { "°F" } else { "°C" };
    Table {
        id: "weather".into(),
        caption: "The weather, month by month".into(),
        columns: vec![
            left("month"),
            right("light a day", "kWh/m²"),
            right("dullest year", "kWh/m²"),
            right("brightest year", "kWh/m²"),
            right("mean air", degree),
            right("coldest hour", degree),
            right("snowfall", "days"),
        ],
        rows,
        note: "Light on the level. The coldest hour of these years is no design temperature.".into(),
    }
}

/// How far years differ: yearly and December sums.
pub fn spread_words(look: &Look) -> Option<String> {
    let years = &look.weather.years;
    if years.len() < 2 {
        return None;
    }
    let spread = |sums: Vec<f64>| {
        let mean = sums.iter().sum::<f64>() / sums.len() as f64;
        let variance = sums.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (sums.len() as f64 - 1.0);
        (mean, 100.0 * variance.max(0.0).sqrt() / mean.max(1e-9))
    };
    let (year, of_year) = spread(years.iter().map(|y| y.ghi_w_m2.iter().sum::<f64>() / 1000.0).collect());
    let december = |y: &Vec<f64>| y.iter().skip(334 * 24).sum::<f64>() / 1000.0;
    let (last, of_last) = spread(years.iter().map(|y| december(&y.ghi_w_m2)).collect());
    Some(format!(
        "Light of a year {year:.0} kWh/m², of December {last:.1}; from year to year they differ by {of_year:.1} % and {of_last:.1} % (standard deviation over {} years).",
        years.len()
    ))
}

/// Weather month by month as a picture.
pub fn weather_picture(look: &Look, form: Form) -> Drawing {
    let light = spread_of(look.weather.years.iter().map(|year| year.monthly_ghi_kwh_m2_day()));
    drawing::months_spread(&light, "kWh/m² a day on the level", form)
}

/// Cold temperatures near a place, side by side with their basis. None of them is taken for the design.
pub fn cold_table(place: &study::NearPlace, units_of: quantity::Units) -> Table {
    let rows = place
        .cold
        .iter()
        .map(|cold| {
            let shown = Temperature::from_si(units::CELSIUS.to_si(cold.celsius));
            row(vec![
                words(quantity::print(shown.si(), quantity::Kind::Temperature, units_of)),
                words(cold.basis.clone()),
                words(if cold.is_extreme { "an extreme" } else { "no extreme" }),
            ])
        })
        .collect();
    let away = place.distance_km.map(|km| format!(", {km:.0} km away")).unwrap_or_default();
    let height = place.row.elevation_m.map(|m| format!(", {m:.0} m high")).unwrap_or_default();
    Table {
        id: "cold-near-by".into(),
        caption: format!("Cold near by: {} ({}{away}{height})", place.row.in_words(), place.row.id),
        columns: vec![left("temperature"), left("basis"), left("is")],
        rows,
        note: format!(
            "Zone {}. A hollow may be colder and a hill milder; the building office knows the value it goes by. None of these is used until you write place.coldest.",
            place.row.zone
        ),
    }
}
