//! Pictures and tables of question 3, each picture with the table behind it.

mod filled;
mod finder;
mod near;
mod planes;
mod sun_path;
mod years;

pub use filled::{filled_table, weather_remarks};
pub use finder::{best_months, best_planes};
pub use near::{cold_table, near_words};
pub use planes::{bearings, obstacles, rows};
pub use sun_path::{sun_path, sun_path_picture, sun_path_table};
pub use years::{dullest, dullest_table, spread_words, weather_picture, weather_table};
pub(crate) use years::{dullest_of, spread_of};

use crate::drawing::{Drawing, Form, SkyFrame};
use crate::table::{Align, Column, Row, Table};
use study::Study;

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
    /// Where on the drawing the sky lies, where it shows the way of the sun.
    pub frame: Option<SkyFrame>,
    /// The numbers behind it.
    pub table: Table,
}

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
        all.extend(sun_path::sun_path_of(study, plane, form));
        all.push(planes::plane_months(plane, form));
        all.extend(planes::plane_hours(study, plane, form));
    }
    all.extend(finder::plane_map(study, form));
    if let Ok(look) = study::look_at_study(study) {
        all.extend(dullest(&look, form));
    }
    // A page holds both, and several planes: every table is called after its picture.
    for picture in &mut all {
        picture.table.id = format!("{}-table", picture.id);
    }
    all
}
