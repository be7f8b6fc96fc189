//! What a system costs over its life, year by year, beside doing without it.

use crate::discount::discounted;
use crate::worth::{internal_rate, levelised_cost, net_present_value, payback};

/// A part that is bought again.
#[derive(Clone, Debug, PartialEq)]
pub struct Replacement {
    /// What it is, by the owner's name.
    pub what: String,
    /// At the end of which year it is bought first after the beginning; at least 1.
    pub first: u32,
    /// Whole years from one renewal to the next, at least 1; `None` where there is but one.
    pub every: Option<u32>,
    /// Price of today.
    pub price: f64,
    /// Yearly change of that price above the general rise of prices (negative where parts grow cheaper).
    pub rises: f64,
}

impl Replacement {
    /// The years at whose ends it is bought, of so many looked at. None is bought in the last: it would serve nobody within
    /// them.
    pub fn due(&self, years: u32) -> Vec<u32> {
        let again = |year: u32| {
            self.every.is_some_and(|every| {
                every > 0 && year > self.first && (year - self.first).is_multiple_of(every)
            })
        };
        (1..years).filter(|year| self.first > 0 && (*year == self.first || again(*year))).collect()
    }
}

/// Everything that the cost of a life rests on. Money of today; rates above the general rise of prices.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Years looked at, at least 1.
    pub years: u32,
    /// Discount rate a year.
    pub discount: f64,
    /// What is bought to begin with.
    pub purchase: f64,
    /// What an office gives back, with the year in which it comes; entered by the owner.
    pub incentive: Option<(u32, f64)>,
    /// Maintenance of a year.
    pub maintenance: f64,
    /// Fuel of a year at today's price.
    pub fuel: f64,
    /// Yearly rise of the price of fuel.
    pub fuel_rises: f64,
    /// The utility's bill of a year at today's tariff.
    pub utility: f64,
    /// Yearly rise of the utility's prices.
    pub utility_rises: f64,
    /// Parts bought again.
    pub replacements: Vec<Replacement>,
    /// Energy served in year 1, kWh.
    pub served: f64,
    /// Yearly change of what is served (−0.005 for half a percent less each year).
    pub served_changes: f64,
    /// What the house would pay in year 1 without the system, and how it rises; `None` when there is nothing to compare with.
    pub otherwise: Option<Outlay>,
}

/// A yearly cost that rises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlay {
    /// Cost of year 1.
    pub first: f64,
    /// Rise a year.
    pub rises: f64,
    /// What must be bought to begin with, such as a service line or a generator.
    pub purchase: f64,
}

/// One year of the table. Costs are positive.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YearRow {
    /// 0 is the purchase.
    pub year: u32,
    /// Bought: the system in year 0, replacements later, less an incentive.
    pub parts: f64,
    /// Maintenance.
    pub maintenance: f64,
    /// Fuel.
    pub fuel: f64,
    /// Utility.
    pub utility: f64,
    /// Together.
    pub cost: f64,
    /// The same, worth today.
    pub today: f64,
    /// What doing without would cost this year.
    pub otherwise: f64,
    /// Running sum of `otherwise − cost`, not discounted.
    pub ahead: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct LifeCost {
    /// Year 0 to the last.
    pub rows: Vec<YearRow>,
    /// All costs, worth today.
    pub total: f64,
    /// Cost of a kWh served over the life, or `None` when nothing is served.
    pub per_kwh: Option<f64>,
    /// What doing without costs, worth today.
    pub otherwise: Option<f64>,
    /// What the system gains over doing without, worth today.
    pub gain: Option<f64>,
    /// Years until it has paid for itself, not discounted; `None` when it never does or there is nothing to compare with.
    pub payback: Option<f64>,
    /// The same, discounted.
    pub payback_discounted: Option<f64>,
    /// Rate at which the gain is nothing.
    pub rate: Option<f64>,
}

impl Life {
    /// The cash flow and what follows from it.
    pub fn cost(&self) -> LifeCost {
        let mut rows = Vec::new();
        let mut ahead = 0.0;
        for year in 0..=self.years {
            let mut row = YearRow { year, ..YearRow::default() };
            if year == 0 {
                row.parts = self.purchase;
                row.otherwise = self.otherwise.map_or(0.0, |other| other.purchase);
            } else {
                row.maintenance = self.maintenance;
                row.fuel = rising(self.fuel, self.fuel_rises, year);
                row.utility = rising(self.utility, self.utility_rises, year);
                row.parts = self.bought_again(year);
                row.otherwise = self.otherwise.map_or(0.0, |other| rising(other.first, other.rises, year));
            }
            if let Some((when, amount)) = self.incentive
                && when == year
            {
                row.parts -= amount;
            }
            row.cost = row.parts + row.maintenance + row.fuel + row.utility;
            row.today = discounted(row.cost, self.discount, year);
            ahead += row.otherwise - row.cost;
            row.ahead = ahead;
            rows.push(row);
        }
        let costs: Vec<f64> = rows.iter().map(|row| row.cost).collect();
        let energy: Vec<f64> =
            (1..=self.years).map(|year| rising(self.served, self.served_changes, year)).collect();
        let others: Vec<f64> = rows.iter().map(|row| row.otherwise).collect();
        let gains: Vec<f64> = rows.iter().map(|row| row.otherwise - row.cost).collect();
        let compare = self.otherwise.is_some();
        LifeCost {
            total: net_present_value(&costs, self.discount),
            per_kwh: levelised_cost(&costs, &energy, self.discount),
            otherwise: compare.then(|| net_present_value(&others, self.discount)),
            gain: compare.then(|| net_present_value(&gains, self.discount)),
            payback: compare.then(|| payback(&gains, 0.0)).flatten(),
            payback_discounted: compare.then(|| payback(&gains, self.discount)).flatten(),
            rate: compare.then(|| internal_rate(&gains, 1e-9)).flatten(),
            rows,
        }
    }

    fn bought_again(&self, year: u32) -> f64 {
        let due = |part: &&Replacement| part.due(self.years).contains(&year);
        let price = |part: &Replacement| part.price * growth(part.rises, year);
        self.replacements.iter().filter(due).map(price).sum()
    }
}

/// A cost of year 1 in `year`.
fn rising(first: f64, rises: f64, year: u32) -> f64 {
    first * growth(rises, year.saturating_sub(1))
}

fn growth(rate: f64, years: u32) -> f64 {
    libm::pow(1.0 + rate, f64::from(years))
}
