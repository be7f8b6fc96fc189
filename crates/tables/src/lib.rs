//! Published tables as data files with a source header, and typed look-ups that name the row that answered.
//!
//! A look-up reads a row and never interpolates or extrapolates: what a table does not hold is a [`TableError`].
//! Every row carries its own standing, which travels with the value to the page where it is shown.

mod sheet;

mod error;
mod file;

mod insulation;

mod adjustment;
mod ambient;
mod ampacity;
mod grounding;
mod overcurrent;
mod service;

mod boxes;
mod conductor_area;
mod conductor_properties;
mod expansion;
mod fill;
mod raceway;
mod reactance;
mod supports;

mod voltage_factor;

mod conduit;
mod iec;

mod appliance;
mod climate;
mod hardiness;
mod shelf_parts;
mod towns;

pub use adjustment::bundling_factor;
pub use ambient::{ambient_factor, rooftop_adder};
pub use ampacity::{TerminalColumn, ampacity, sizes};
pub use appliance::{Appliance, Motor, appliance, appliances};
pub use boxes::{MetalBox, bending_space, box_volume, smallest_metal_box};
pub use climate::{
    ClimateRow, ExtremeMinimumBasis, HighBasis, by_id, climate_rows, great_circle_km, nearest, nearest_of,
};
pub use conductor_area::{conductor_area, conductor_diameter, insulated_sizes};
pub use conductor_properties::{circular_mils, dc_resistance, smallest_size_of_area};
pub use conduit::{CircleArea, circle_area, conduit_inside, conduit_sizes, metric_diameter, space_factor};
pub use error::TableError;
pub use expansion::{pvc_expansion_coefficient, pvc_length_change};
pub use file::{TableFile, files};
pub use fill::fill_limit;
pub use grounding::{
    Electrode, electrode_conductor, electrode_conductor_of_area, electrode_limit, equipment_ground,
};
pub use hardiness::{HardinessCell, hardiness};
pub use iec::{
    Grouping, Medium, Method, MetricInsulation, iec_ambient_factor, iec_ampacity, iec_grouping_factor,
    iec_protective_conductor, iec_resistance, iec_resistance_at, iec_sizes, iec_soil_factor,
    iec_standard_rating,
};
pub use insulation::Insulation;
pub use overcurrent::{
    Protection, largest_standard_rating_not_above, next_standard_rating, small_conductor_limit,
    standard_ratings,
};
pub use raceway::{
    RacewayKind, TradeSize, raceway_area, raceway_fill_area, raceway_internal_diameter, trade_sizes,
};
pub use reactance::{iec_reactance, reactance};
pub use service::dwelling_service_conductor;
pub use supports::{Supports, raceway_supports};
pub use towns::{Town, nearest_of_zone, nearest_towns, towns};
pub use voltage_factor::voltage_factor;

/// Generic parts in typical sizes, to be replaced by a data sheet.
pub mod shelf {
    pub use crate::shelf_parts::{ShelfPart, part, parts};
}
