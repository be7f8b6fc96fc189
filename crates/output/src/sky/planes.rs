//! The planes as they stand: where they face, what they get, how their rows lie.

use super::years::{days_around, months_table, spread_of};
use super::{SkyPicture, left, right, row};
use crate::drawing::{self, Around, Form};
use crate::say::{Reader, fixed, words};
use crate::sheets::MONTHS;
use crate::table::{Row, Table};
use study::{PlaneStudy, Study};

pub(super) fn plane_months(plane: &PlaneStudy, form: Form) -> SkyPicture {
    let days = |year: &[f64]| -> Vec<f64> {
        year.chunks_exact(24).map(|day| day.iter().sum::<f64>() / 1000.0).collect()
    };
    let mean_of = |year: &[f64]| -> [f64; 12] {
        let mut sums = [0.0; 12];
        days(year).into_iter().enumerate().for_each(|(day, kwh)| sums[sun::month_of_day(day)] += kwh);
        std::array::from_fn(|month| sums[month] / sun::MONTH_DAYS[month] as f64)
    };
    // One year tells nothing of other years, but something of its days.
    let (spread, around) = match &plane.years.light[..] {
        [year] => (days_around(&days(&year.plane_w_m2), mean_of(&year.plane_w_m2)), Around::Days),
        years => (spread_of(years.iter().map(|year| mean_of(&year.plane_w_m2))), Around::Years),
    };
    let over = if around == Around::Years { "year" } else { "day" };
    let id = format!("sun-{}", quantity::slug(&plane.name));
    SkyPicture {
        frame: None,
        title: format!("Sun hours a day on the {}", plane.name),
        describes: format!(
            "Twelve bars, the mean day of each month, with the lowest and highest {over}; least in {}.",
            MONTHS[plane.least_month.min(11)]
        ),
        drawing: drawing::months_spread(&spread, "kWh/m² a day", around, form),
        table: months_table(
            &id,
            format!("Light on the {}, after shade, before snow, glass and dirt", plane.name),
            &spread,
            around,
            "One kWh/m² is one sun hour.",
        ),
        id,
    }
}

pub(super) fn plane_hours(study: &Study, plane: &PlaneStudy, form: Form) -> Option<SkyPicture> {
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
        frame: None,
        id: format!("light-{}", quantity::slug(&plane.name)),
        title: format!("Light on the {}, every hour of one year", plane.name),
        describes: "Days run across, hours of the day down; the stronger the colour, the more light; lines across are snow on the plane.".into(),
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

fn in_degrees(bearing: quantity::TrueBearing) -> String {
    format!("{}°, {}", fixed(bearing.degrees(), 1), quantity::bearing_in_words(bearing))
}

/// How a bearing without a model's declination was written.
fn as_stated(study: &Study, field: &str) -> String {
    let reading = study.design.system.compass.iter().find(|reading| reading.field.as_str() == field);
    match reading.and_then(|reading| reading.declination.as_ref()) {
        Some(stated) => {
            let side = if stated.value.0 < 0.0 { "west" } else { "east" };
            format!("compass, declination {}° {side} as stated", fixed(stated.value.0.abs(), 1))
        }
        None => "as written".into(),
    }
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
                    if said.is_empty() {
                        said.push(as_stated(study, &format!("plane.{}.bearing", plane.name)));
                    }
                    (in_degrees(bearing.value), said.join("; "))
                }
                quantity::Fact::Unknown(gap) => {
                    (crate::say::NOT_KNOWN.to_string(), crate::say::listed(&crate::say::missing(gap)))
                }
            };
            let second = study.design.system.site(&plane.name).and_then(|site| site.second_bearing.as_ref());
            let known = match second.map(|second| &second.bearing) {
                Some(quantity::Fact::Known(again)) => {
                    let by = second.and_then(|second| second.basis.as_deref()).unwrap_or("the second source");
                    format!("{known}; by {by} {}", in_degrees(again.value))
                }
                Some(quantity::Fact::Unknown(_)) => format!("{known}; the second source is not known yet"),
                None => known,
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

/// What each house and tree near a plane takes by itself, and how wide the plane was taken to be.
pub fn obstacles(study: &Study) -> Option<Table> {
    let metres = |m: f64| quantity::print(m, quantity::Kind::Length, study.design.system.units);
    let (mut rows, mut notes) = (Vec::new(), Vec::new());
    for plane in study.planes.iter().flatten().filter(|plane| !plane.years.taken.is_empty()) {
        let Some(around) = &plane.around else { continue };
        for (taken, (_, obstacle)) in plane.years.taken.iter().zip(&around.named) {
            let (bearing, up) = taken.seen_deg;
            rows.push(row(vec![
                words(&*plane.name),
                words(&*taken.name),
                words(format!("{}°, {}° wide", fixed(bearing, 0), fixed(2.0 * obstacle.half_span_deg, 0))),
                words(metres(obstacle.distance_m)),
                words(fixed(up, 0)),
                words(fixed(taken.hours, 0)),
                words(fixed(100.0 * taken.of_plane, 0)),
                words(fixed(100.0 * taken.of_light, 1)),
            ]));
        }
        notes.push(width_said(study, plane, around));
        notes.extend(order_said(study, plane));
    }
    notes.push(
        "Each as if it stood there alone; a shadow costs strings whole bypass sections, which the year counts.".into(),
    );
    (!rows.is_empty()).then(|| Table {
        id: "obstacles".into(),
        caption: "What stands before the planes".into(),
        columns: vec![
            left("plane"),
            left("what"),
            left("bearing"),
            right("distance", ""),
            right("stands up", "°"),
            right("shades it", "h a year"),
            right("of the plane then", "%"),
            right("takes of the light", "%"),
        ],
        rows,
        note: notes.join(" "),
    })
}

fn width_said(study: &Study, plane: &PlaneStudy, around: &study::Around) -> String {
    let stated = study.design.system.site(&plane.name).is_some_and(|site| site.modules_wide.is_some());
    let how = match stated {
        true => "as written",
        false => "so that its strings fill it; rows.modules_wide says otherwise",
    };
    format!(
        "The {} is {} wide, {} modules side by side ({how}).",
        plane.name,
        quantity::print(around.stand.width_m, quantity::Kind::Length, study.design.system.units),
        around.lie.modules_wide
    )
}

/// In which order strings were taken to lie, where several do not say.
fn order_said(study: &Study, plane: &PlaneStudy) -> Option<String> {
    let strings = &study.design.system.strings;
    let silent = strings.iter().filter(|s| s.string.plane == plane.name && s.first_column.is_none());
    let names: Vec<String> = silent.map(|s| s.string.name.to_string()).collect();
    (names.len() > 1).then(|| {
        format!(
            "Where {} lie was not written (row, first_column): from the left as one looks at the glass, in that order.",
            crate::say::listed(&names)
        )
    })
}
