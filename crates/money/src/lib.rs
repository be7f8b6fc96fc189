//! Money over the life of a system: utility bills from hours, cash flow, discounting, payback.
//!
//! Numbers in, numbers out. Amounts are in currency units as `f64` because they are discounted; what a person pays at a till or
//! on a bill is rounded to hundredths where it is made. Rates are shares a year (0.05 is 5 %). Flows fall at the ends of years,
//! what is bought to begin with at the end of year 0.

mod discount;
mod explained;
mod life;
mod tariff;
mod worth;

pub use discount::{
    CapitalRecovery, RealRate, capital_recovery, discounted, loan_payment, present_worth, real_rate,
};
pub use explained::{
    EvenShare, FuelCost, GeneratorOnly, IncentiveToday, LaterToday, Less, LevelSeriesToday, Levelised,
    RunningLife, SeriesToday, WholeYears, WornAway,
};
pub use life::{Life, LifeCost, Outlay, Replacement, YearRow};
pub use tariff::{Credit, Metered, MonthBill, Rate, Step, Tariff, TariffError, YearBill};
pub use worth::{internal_rate, levelised_cost, net_present_value, payback};
