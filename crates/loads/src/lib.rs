//! What the house uses.

mod facts;
mod figures;
mod legs;
mod profile;
mod reconcile;
mod start;

pub use facts::*;
pub use figures::{
    EnergyPerDay, EnergyPerYear, LabelEnergyPerDay, RunningPower, YearOfUse, energy_per_day, energy_per_year,
    label_energy_per_day, running_power, year_of_use,
};
pub use legs::{
    Move, NeutralCurrent, Running, WorstHour, leg_watts, neutral_current, smallest_move, worst_together,
};
pub use profile::{HOURS, HourlyProfile, LoadInput, MONTH_DAYS, tier_index};
pub use reconcile::{Agreement, Reconciled, Reconciliation, reconcile};
pub use start::{StartVa, legs_while_starting, start_va};
