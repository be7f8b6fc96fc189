//! Planes, shade, modules and strings: from the sky of a weather year to the direct-current power at an input.
//!
//! Numbers are plain `f64` whose names carry the unit (`_w_m2`, `_c`, `_v`, `_a`, `_deg`). Nothing here knows a file,
//! a clock or a design; a whole year is a set of slices of one length.

pub mod plane;
pub mod transposition;

pub mod perez;

pub mod horizon;

pub mod rows;

pub mod obstacle;
pub mod shadow;

pub mod near_shade;

pub mod incidence;
pub mod plane_year;

pub mod rear;

pub mod finder;
pub mod worth;

pub mod cell_temperature;
pub mod within_hour;

pub mod single_diode;

pub mod data_sheet_fit;

pub mod module_year;
pub mod string_year;

pub mod bypass_sections;
pub mod reached;
pub mod section_shade;

pub mod facts;
pub mod strings_design;

mod root;
pub mod series;
mod shared_input;
