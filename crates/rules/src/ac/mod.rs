//! Alternating current: sources, legs, panels.

pub(crate) mod array_inverter_not_held;
pub(crate) mod busbar_too_small;
pub(crate) mod dwelling_load_over_feed;
pub(crate) mod leg_overloaded;
pub(crate) mod motor_start_over_surge;
pub(crate) mod one_leg_with_two_leg_loads;
pub(crate) mod panel_spaces_too_few;
pub(crate) mod shared_neutral_on_one_leg;
pub(crate) mod source_below_largest_load;
pub(crate) mod sources_can_meet;
pub(crate) mod sources_over_busbar;
pub(crate) mod supply_side_over_service;
pub(crate) mod three_phases;
pub(crate) mod voltages_apart;
