//! Batteries and banks.

mod facts;

mod ageing;
mod bank;
mod beside;
mod cold;
mod efficiency;
mod kinetic;
mod limits;
mod place;
mod thermal;
mod wear;

pub use ageing::{
    calendar_loss, calendar_loss_onward, calendar_resistance, capacity_left, cycle_loss, cycle_loss_onward,
};
pub use bank::{
    BankCapacity, BankCurrent, BankVoltage, DailyDraw, DaysOfAutonomy, LimitPower, UsableEnergy,
    bank_capacity, bank_current, bank_voltage, daily_draw, days_of_autonomy, limit_power, usable_energy,
};
pub use beside::{Carried, Ease, PartOfBus, bus_limit, carried, ease, first_and_lasting, part_of};
pub use cold::{
    HeatOfADay, HoldingHeat, HoldingHeatInTheOpen, OPEN_W_PER_KG_K, Rise, WarmingEnergy, heat_of_a_day,
    holding_heat, holding_heat_in_the_open, rise, warming_energy,
};
pub use efficiency::{hourly_self_discharge, one_way};
pub use facts::*;
pub use kinetic::{Kinetic, KineticStep, Wells};
pub use limits::{
    Taper, charge_blocked, cold_charge_share, link_loss_per_w, tapered_charge_limit, tapered_charge_over,
    window,
};
pub use place::{
    PlaceKind, STORAGE_PLACE, STORAGE_PLACE_BRITAIN, least_distance, least_distance_britain, place_most,
    rules_from, unit_most,
};
pub use thermal::{CELLS_WH_PER_KG_K, ThermalNode, ThermalPair, ThermalStep};
pub use wear::{Ageing, END_OF_LIFE, Wear};
