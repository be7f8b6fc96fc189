//! What the house uses.

mod calendar;
mod facts;
mod figures;
mod follows;
mod legs;
pub mod meter;
mod minutes;
mod place;
mod points;
mod profile;
mod reconcile;
mod saving;
pub mod space;
mod start;
pub mod vehicle;
pub mod water;

pub use calendar::{HOURS, MONTH_DAYS, days_on, month_of_day, month_sums, weekday_of_day};
pub use facts::*;
pub use figures::{
    EnergyPerDay, EnergyPerYear, LabelEnergyPerDay, PumpHours, PumpPower, RunningPower, YearOfUse,
    energy_per_day, energy_per_year, label_energy_per_day, pump_hours, pump_power, running_power,
    year_of_use,
};
pub use follows::{Climate, FollowedYear, Following};
pub use legs::{
    Move, NeutralCurrent, Running, WorstHour, leg_watts, neutral_current, smallest_move, worst_together,
};
pub use minutes::{MinutesOfDay, MotorStart, Switching};
pub use place::Stream;
pub use points::Points;
pub use profile::{HourlyProfile, LoadInput, leg_shares, tier_index};
pub use reconcile::{Agreement, Reconciled, Reconciliation, reconcile};
pub use saving::{BatterySpared, battery_spared};
pub use start::{StartVa, legs_while_starting, start_va};
