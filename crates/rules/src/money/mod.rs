//! Prices and the budget.

pub(crate) mod over_budget;
pub(crate) mod prices_missing;
