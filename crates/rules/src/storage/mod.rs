//! Banks of batteries.

pub(crate) mod bank_heater;
pub(crate) mod banks_on_one_bus;
pub(crate) mod charge_above_limit;
pub(crate) mod charging_in_the_cold;
pub(crate) mod days_of_autonomy;
pub(crate) mod discharge_below_asked;
pub(crate) mod inverters_not_filled;
pub(crate) mod one_unit_out;
pub(crate) mod too_many_in_parallel;
pub(crate) mod too_much_counted_usable;
pub(crate) mod voltage_outside_inverter;
