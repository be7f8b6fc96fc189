//! The way of the sun over a place, with what stands around a plane.

use super::{SkyPicture, left, right, row};
use crate::drawing::{self, Drawing, Form, SkyFrame, SkyPoint, SunPath};
use crate::say::{fixed, words};
use crate::table::Table;
use study::{Look, PlaneStudy, Study};

/// Days whose way of the sun is drawn: name, day of the year from 0.
const PATH_DAYS: [(&str, usize); 5] = [
    ("21 Jun", 171),
    ("20 Apr, 22 Aug", 109),
    ("20 Mar, 23 Sep", 79),
    ("20 Feb, 22 Oct", 50),
    ("21 Dec", 354),
];

/// Sun at a clock hour (0 to 24, standard time) of a day from 0: bearing and height without air, degrees.
fn sun_at(sky: &sun::YearSky, day: usize, hour: f64) -> SkyPoint {
    let start = sun::julian_day(sun::NOMINAL_YEAR, 1, 1, -sky.utc_offset_h);
    let at = start + day as f64 + hour / 24.0;
    let found = sun::SunPosition::at(at, sun::delta_t_s(f64::from(sun::NOMINAL_YEAR) + 0.5), &sky.observer);
    (found.azimuth_deg, 90.0 - found.zenith_airless_deg)
}

/// Where the noon sun of most of the year stands.
pub(super) fn middle_of(latitude_deg: f64) -> f64 {
    if latitude_deg >= 0.0 { 180.0 } else { 0.0 }
}

/// The way of the sun over a place, with what stands around a plane, and where on the drawing it lies.
pub fn sun_path(sky: &sun::YearSky, around: Option<&study::Around>, form: Form) -> (Drawing, SkyFrame) {
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
            let lit: Vec<(f64, SkyPoint)> = (0..288)
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
    let (drawing, frame) = sun_path(&look.sun, None, form);
    SkyPicture {
        id: "sun-path".into(),
        title: "The way of the sun".into(),
        describes: "Bearing runs across and height up; lines of five days of the year and of clock hours."
            .into(),
        drawing,
        frame: Some(frame),
        table: sun_path_table(&look.sun, None),
    }
}

pub(super) fn sun_path_of(study: &Study, plane: &PlaneStudy, form: Form) -> Option<SkyPicture> {
    let sky = study.sky.as_ref().ok()?;
    let around = plane.around.as_ref();
    let (drawing, frame) = sun_path(&sky.sun, around, form);
    Some(SkyPicture {
        id: format!("sun-path-{}", quantity::slug(&plane.name)),
        title: format!("The sun over the {}", plane.name),
        describes: "Bearing runs across and height up; lines of five days of the year and of clock hours, with the horizon and what stands near.".into(),
        drawing,
        frame: Some(frame),
        table: sun_path_table(&sky.sun, around),
    })
}
