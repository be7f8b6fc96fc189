//! Weather years: read from hourly files, or made from twelve monthly means.
//!
//! A [`Year`] is 8760 hours of the nominal calendar of the `sun` crate: index `h` is the hour that ends at stamp
//! `h + 1` of local standard time. [`synthesise`] makes one from [`Normals`]; [`read_epw`], [`read_tmy3`] and
//! [`read_table`] read files as bytes, [`read_power`] an answer that holds many years; [`snow_falls`] gives a year its
//! snow; [`Plausibility`] looks at any of them.

mod year;

mod carried;
mod erbs;
mod normals;
pub mod synthesis;

mod epw;
mod fields;
mod file_year;
mod read_error;
mod table_csv;
mod tmy3;

mod json;
mod lines;
mod power;

mod plausibility;

mod snow;

pub mod within_hour;

pub use carried::{COOLING_K_PER_KM, carried_to_latitude, colder_by_height_k};
pub use epw::read_epw;
pub use erbs::{daily_diffuse_fraction, hourly_diffuse_fraction, monthly_diffuse_fraction, split_global};
pub use fields::{MONTH_NAMES, hour_in_words};
pub use file_year::{FileYear, Fill, Filled, Gap, Quantity, StillMissing};
pub use lines::Lines;
pub use normals::{ASSUMED_WIND_M_S, BadNormals, Normals};
pub use plausibility::{Observation, Plausibility};
pub use power::{PowerYears, read_power};
pub use read_error::ReadError;
pub use snow::{
    ASSUMED_DEPTH_CM, BadSnow, SNOW_UP_TO_C, SnowFall, SnowMonth, SnowSource, chance_of_snow, snow_cover,
    snow_falls, snow_on_ground, snow_slides,
};
pub use synthesis::{Bias, BiasClass, Generator, synthesise};
pub use table_csv::read_table;
pub use tmy3::read_tmy3;
pub use year::{Place, Stretch, Year, season_of_day};
