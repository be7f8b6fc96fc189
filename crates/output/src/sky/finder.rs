//! Which way and how steep: every plane on a map, the best of them in tables.

use super::sun_path::middle_of;
use super::{SkyPicture, left, right, row};
use crate::drawing::{self, Form, PlaneGrid};
use crate::say::{Reader, fixed, words};
use crate::sheets::MONTHS;
use crate::table::{Row, Table};
use quantity::units;
use study::{FinderStudy, Study};

/// Best tilt and bearing of each month, for one who turns a rack by hand or asks after one season.
pub fn best_months(study: &Study) -> Option<Table> {
    let found = study.finders.iter().flatten().next()?;
    let months = found.months()?;
    let sunless = months.iter().enumerate().any(|(month, (best, _))| best.month_day_wh_m2[month] <= 0.0);
    let rows: Vec<Row> = months
        .iter()
        .enumerate()
        .map(|(month, (best, own))| {
            let kwh = best.month_day_wh_m2[month] / 1000.0;
            // Where no sun rises, any plane is as good.
            let [tilt, bearing] = match kwh > 0.0 {
                true => [best.tilt_deg, best.azimuth_deg.round().rem_euclid(360.0)].map(|deg| fixed(deg, 0)),
                false => ["–", "–"].map(String::from),
            };
            row(vec![
                words(MONTHS[month]),
                words(tilt),
                words(bearing),
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
            right("best", "kWh/kW a day"),
            right("yours", "kWh/kW a day"),
        ],
        rows,
        note: format!(
            "From each kW of modules, with heat, dirt and snow, before wires, electronics and a full battery: mean day of the month, from {} of the weather years, dull to bright.{}",
            found.years,
            if sunless { " Where no sun rises, any plane is as good." } else { "" }
        ),
    })
}

/// Map of all tilts and bearings; the planes of the owner are crosses on it.
pub(super) fn plane_map(study: &Study, form: Form) -> Option<SkyPicture> {
    let first = study.finders.iter().flatten().next()?;
    let sky = study.sky.as_ref().ok()?;
    Some(SkyPicture {
        frame: None,
        id: "plane-map".into(),
        title: "What each tilt and bearing would get in a year".into(),
        describes: "Bearing runs across and tilt up; lines join planes that get the same share of the best."
            .into(),
        drawing: drawing::plane_map(&grid_of(first, study, sky.sun.observer.latitude_deg)?, form),
        table: map_table(first)?,
    })
}

/// The map in numbers: every tenth degree of tilt, every 45 of bearing.
fn map_table(found: &FinderStudy) -> Option<Table> {
    let map = found.map()?;
    let best = found.best.iter().find(|best| best.purpose == study::Purpose::Year)?;
    let most = best.year_kwh_per_kw.max(1e-9);
    let near = |angles: &[f64], wanted: f64| {
        (0..angles.len()).min_by(|a, b| (angles[*a] - wanted).abs().total_cmp(&(angles[*b] - wanted).abs()))
    };
    let bearings: Vec<usize> =
        (0..8).filter_map(|at| near(&map.azimuths_deg, 45.0 * f64::from(at))).collect();
    let mut columns = vec![right("tilt", "°")];
    columns.extend(bearings.iter().map(|at| right(&format!("{}°", fixed(map.azimuths_deg[*at], 0)), "%")));
    let rows = (0..=9)
        .filter_map(|at| near(&map.tilts_deg, 10.0 * f64::from(at)))
        .map(|tilt| {
            let mut cells = vec![words(fixed(map.tilts_deg[tilt], 0))];
            cells.extend(bearings.iter().map(|bearing| {
                let plane = &map.planes[tilt * map.azimuths_deg.len() + bearing];
                words(fixed(100.0 * plane.year_wh_m2 / 1000.0 / most, 0))
            }));
            row(cells)
        })
        .collect();
    Some(Table {
        id: "plane-map".into(),
        caption: "What planes get of the best year, by tilt and bearing".into(),
        columns,
        rows,
        note: format!(
            "The best year gives {} kWh from each kW of modules, before wires, electronics and a full battery.",
            fixed(best.year_kwh_per_kw, 0)
        ),
    })
}

fn grid_of(first: &FinderStudy, study: &Study, latitude_deg: f64) -> Option<PlaneGrid> {
    let map = first.map()?;
    let best = first.best.iter().find(|best| best.purpose == study::Purpose::Year)?;
    let most = best.year_kwh_per_kw.max(1e-9);
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

/// "December and January".
fn months_named(months: &[usize]) -> String {
    let named: Vec<&str> = months.iter().filter_map(|month| MONTHS.get(*month).copied()).collect();
    crate::say::listed(&named.iter().map(ToString::to_string).collect::<Vec<_>>())
}

/// Best plane for each purpose and what the owner's gives up, seasonal settings, rules of thumb.
pub fn best_planes(study: &Study) -> Option<Table> {
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    let mut dark: Vec<usize> = Vec::new();
    let mut years = 0;
    let mut thumbs_told: Vec<Vec<study::Thumb>> = Vec::new();
    for found in study.finders.iter().flatten() {
        let name = &*found.plane;
        years = found.years;
        for best in &found.best {
            let key = best.purpose.key();
            let wanted = match best.left_out[..] {
                [] => best.purpose.in_words().to_string(),
                _ => format!("{}, of months with sun", best.purpose.in_words()),
            };
            if dark.is_empty() {
                dark.clone_from(&best.left_out);
            }
            let mut bearing =
                reader.number(&best.bearing, &units::TRUE_DEGREE, 0, &["planes", name, key, "best-bearing"]);
            if bearing.text == "360" {
                bearing.text = "0".into();
            }
            rows.push(row(vec![
                words(name),
                words(wanted),
                reader.number(&best.tilt, &units::DEGREE_UNIT, 0, &["planes", name, key, "best-tilt"]),
                bearing,
                reader.number(&best.given_up, &units::PERCENT, 1, &["planes", name, key, "given-up"]),
            ]));
        }
        for none in &found.without {
            rows.push(row(vec![
                words(name),
                words(format!("{}: none; {}", none.purpose.in_words(), none.because)),
                words("–"),
                words("–"),
                words("–"),
            ]));
        }
        for each in &found.seasonal {
            let settings: Vec<String> = each
                .starts
                .iter()
                .zip(&each.tilts_deg)
                .map(|(month, tilt)| format!("{} {}°", MONTHS[(*month).min(11)], fixed(*tilt, 0)))
                .collect();
            let mut gain = reader.number(
                &each.gain,
                &units::PERCENT,
                1,
                &["planes", name, &format!("gain of {}", each.says)],
            );
            gain.text = format!("gains {}", gain.text);
            rows.push(row(vec![
                words(name),
                words(format!("{}: {}", each.says, settings.join(", "))),
                words("–"),
                words(fixed(found.own_deg.1, 0)),
                gain,
            ]));
        }
        // Rules of thumb know no roof; what stands around a plane alone makes them give up otherwise.
        let told = thumbs_told.contains(&found.thumbs);
        thumbs_told.push(found.thumbs.clone());
        for thumb in found.thumbs.iter().filter(|_| !told) {
            rows.push(row(vec![
                words(if study.planes.len() > 1 { "–" } else { name }),
                words(format!("rule of thumb: {}", thumb.says)),
                words(fixed(thumb.tilt_deg, 0)),
                words(fixed(thumb.azimuth_deg, 0)),
                words(fixed(thumb.gives_up[0] * 100.0, 1)),
            ]));
        }
    }
    let mut note = format!(
        "Ranked by what modules give, with heat, weak light, dirt and snow, before wires, electronics and a full battery; snow lies and slides as your bearing has it. Given up: by your plane against the best for that purpose; by a rule of thumb, which is common practice, against the best year. Settings are made on the first of the month. From {} of the weather years, dull to bright.",
        years
    );
    let snowy = study.sky.as_ref().is_ok_and(|sky| sky.weather.falls.iter().any(|falls| !falls.is_empty()));
    if snowy {
        note.push_str(" From 60° on snow slides in any cold, below it waits for air and light: planes may differ much there.");
    }
    if !dark.is_empty() {
        note.push_str(&format!(
            " No sun worth the name reaches any plane in {}; those months are left out where the least month counts.",
            months_named(&dark)
        ));
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
        note,
    })
}
