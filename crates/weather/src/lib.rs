//! Weather years: read from hourly files, or made from twelve monthly means.
//!
//! A [`Year`] is 8760 hours of the nominal calendar of the `sun` crate: index `h` is the hour that ends at stamp
//! `h + 1` of local standard time. [`synthesise`] makes one from [`Normals`]; [`read_epw`], [`read_tmy3`] and
//! [`read_table`] read files as bytes; [`Plausibility`] looks at any of them.

mod year;

mod erbs;
mod normals;
pub mod synthesis;

mod epw;
mod fields;
mod file_year;
mod read_error;
mod table_csv;
mod tmy3;

mod plausibility;

pub use epw::read_epw;
pub use erbs::{daily_diffuse_fraction, hourly_diffuse_fraction, monthly_diffuse_fraction, split_global};
pub use file_year::{FileYear, Fill, Filled, Gap, Quantity, StillMissing};
pub use normals::{BadNormals, Normals};
pub use plausibility::{Observation, Plausibility};
pub use read_error::ReadError;
pub use synthesis::{Generator, synthesise};
pub use table_csv::read_table;
pub use tmy3::read_tmy3;
pub use year::{Place, Stretch, Year, season_of_day};
