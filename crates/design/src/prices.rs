//! What the cost of the years rests on, as a design states it.

use quantity::{Count, Energy, Fact, Money, PricePerEnergy, Ratio, Time};
use std::sync::Arc;

/// What energy costs and brings in the hours of one rate.
#[derive(Clone, Debug, PartialEq)]
pub struct RatePrices {
    /// Price of energy bought, above the last tier where there are tiers.
    pub price: Fact<PricePerEnergy>,
    /// Price paid for energy fed in.
    pub export_price: Fact<PricePerEnergy>,
    /// Tiers of a month's energy in rising order: where each ends, and its price.
    pub tiers: Vec<(Fact<Energy>, Fact<PricePerEnergy>)>,
}

/// What is needed beside prices of energy and parts to say what a system costs over its years.
#[derive(Clone, Debug, PartialEq)]
pub struct MoneyIn {
    /// Years looked at.
    pub years: Fact<Count>,
    /// Real discount rate a year.
    pub discount: Fact<Ratio>,
    /// Rate as a bank states it, with the rise of prices that belongs to it, in place of the real rate.
    pub nominal: Option<(Fact<Ratio>, Fact<Ratio>)>,
    /// Real rise of the utility's prices a year.
    pub utility_rises: Fact<Ratio>,
    /// Real rise of the price of fuel a year.
    pub fuel_rises: Fact<Ratio>,
    /// Real rise of the prices of parts a year.
    pub parts_rise: Fact<Ratio>,
    /// Upkeep of every year.
    pub upkeep: Fact<Money>,
    /// Upkeep that does not come every year.
    pub works: Vec<WorkIn>,
    /// Money for what has no price on the purchase list; `None` where nothing was set aside.
    pub set_aside: Option<Fact<Money>>,
    /// Whether a search makes all costs of the years least, not those of the purchase.
    pub by_all_years: Fact<bool>,
    /// What is given back, and at the end of which year.
    pub incentive: Option<(Fact<Money>, Fact<Count>)>,
}

/// Upkeep that is due in some years.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkIn {
    /// What it is.
    pub what: Arc<str>,
    /// What it costs each time.
    pub price: Fact<Money>,
    /// The year in which it is due first.
    pub first: Fact<Count>,
    /// Years between; `None` where it is due once.
    pub every: Option<Fact<Count>>,
}

/// How long a part lasts.
#[derive(Clone, Debug, PartialEq)]
pub enum Lasts {
    /// By the calendar; `None` where nothing is stated and its own ageing decides.
    Years(Option<Fact<Time>>),
    /// Hours of running.
    Running(Fact<Time>),
}

/// A kind of part with its life.
#[derive(Clone, Debug, PartialEq)]
pub struct PartLife {
    /// Table of the part: `inverter`, `controller`, `battery` or `generator`.
    pub table: &'static str,
    /// Its name.
    pub name: Arc<str>,
    /// How long it lasts.
    pub lasts: Lasts,
}
