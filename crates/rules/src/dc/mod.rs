//! Strings and module inputs.

pub(crate) mod array_above_maker_limit;
pub(crate) mod array_arcs_not_watched;
pub(crate) mod array_conductors_not_in_metal;
pub(crate) mod array_ground_fault_not_watched;
pub(crate) mod array_without_surge_device;
pub(crate) mod cold_voltage_above_tracker;
pub(crate) mod cold_working_voltage_above_tracker;
pub(crate) mod combiner_fuse_unfit;
pub(crate) mod hot_string_under_tracker;
pub(crate) mod input_current_clipped;
pub(crate) mod input_current_over_limit;
pub(crate) mod module_sheet_contradicts_itself;
pub(crate) mod rapid_shutdown_not_decided;
pub(crate) mod string_voltage_over_limit;
pub(crate) mod string_without_fuse;
pub(crate) mod unequal_strings_on_one_input;
