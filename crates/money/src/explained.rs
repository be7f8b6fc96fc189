//! The sums an owner is shown, each as a formula that recomputes: what a cost of later years is worth today, what fuel costs,
//! how long parts last.
//!
//! Sums of money are rounded to hundredths where they are made, as a till does.

use crate::discount::present_worth;
use quantity::{
    Clause, Count, Energy, Money, PricePerEnergy, PricePerVolume, Ratio, Standing, Time, Volume, formula,
    practice,
};

const MANUAL: Clause = Clause {
    document: "NREL/TP-462-5173",
    edition: "1995",
    clause: "present value; levelised cost of energy",
    standing: Standing::Remembered,
};

fn hundredths(amount: f64) -> f64 {
    (amount * 100.0 + 0.5).floor() / 100.0
}

/// What `n` yearly costs are worth today of which the first, at the end of year 1, is `first`; each is `i` more than the last.
///
/// Both rates above −1 and apart; see [`level_series_today`] for equal ones.
fn series_today(first: f64, n: f64, i: f64, d: f64) -> f64 {
    hundredths(first * present_worth(n, i, d))
}

formula! {
    /// Explained twin of [`series_today`].
    pub SeriesToday = series_today(
        first: Money as COIN = "cost of the first year",
        n: Count as COUNT = "years",
        i: Ratio as RATIO = "rise a year above other prices",
        d: Ratio as RATIO = "discount rate a year",
    ) -> Money as COIN,
    text: "floor(first · (1 − ((1 + i) / (1 + d))^n) / (d − i) · 100 + 0.5) / 100",
    clause: Clause {
        document: "Duffie and Beckman, Solar Engineering of Thermal Processes",
        edition: "chapter 11",
        clause: "present worth of an inflating series",
        standing: Standing::Remembered,
    },
}

/// As [`series_today`] where the costs rise as fast as they are discounted, its limit.
fn level_series_today(first: f64, n: f64, d: f64) -> f64 {
    hundredths(first * n / (1.0 + d))
}

formula! {
    /// Explained twin of [`level_series_today`].
    pub LevelSeriesToday = level_series_today(
        first: Money as COIN = "cost of the first year",
        n: Count as COUNT = "years",
        d: Ratio as RATIO = "discount rate a year, and rise of this cost",
    ) -> Money as COIN,
    text: "floor(first · n / (1 + d) · 100 + 0.5) / 100",
    clause: MANUAL,
}

/// What something bought at the end of year `year` costs in today's money; its price of today rises by `i` a year.
fn later_today(price: f64, i: f64, d: f64, year: f64) -> f64 {
    hundredths(price * libm::pow((1.0 + i) / (1.0 + d), year))
}

formula! {
    /// Explained twin of [`later_today`].
    pub LaterToday = later_today(
        price: Money as COIN = "price of today",
        i: Ratio as RATIO = "rise a year above other prices",
        d: Ratio as RATIO = "discount rate a year",
        year: Count as COUNT = "at the end of year",
    ) -> Money as COIN,
    text: "floor(price · ((1 + i) / (1 + d))^year · 100 + 0.5) / 100",
    clause: MANUAL,
}

/// What is given back at the end of year `year`, as a cost of today: below zero.
fn incentive_today(amount: f64, d: f64, year: f64) -> f64 {
    -hundredths(amount / libm::pow(1.0 + d, year))
}

formula! {
    /// Explained twin of [`incentive_today`].
    pub IncentiveToday = incentive_today(
        amount: Money as COIN = "given back",
        d: Ratio as RATIO = "discount rate a year",
        year: Count as COUNT = "at the end of year",
    ) -> Money as COIN,
    text: "0 − floor(amount / (1 + d)^year · 100 + 0.5) / 100",
    clause: MANUAL,
}

/// Cost of a kWh over the life: the total of today spread evenly over the years by the capital recovery factor, over the
/// energy of a year. It is what discounted costs over discounted energy give where every year serves the same.
fn levelised(total: f64, recovery: f64, kwh: f64) -> f64 {
    total * recovery / kwh
}

formula! {
    /// Explained twin of [`levelised`].
    pub Levelised = levelised(
        total: Money as COIN = "all costs in today's money",
        recovery: Ratio as RATIO = "capital recovery factor",
        kwh: Energy as KILOWATT_HOUR = "energy served in a year",
    ) -> PricePerEnergy as COIN_PER_KILOWATT_HOUR,
    text: "total · recovery / kwh",
    clause: MANUAL,
}

/// Share of a sum that is paid each of `n` years where nothing is discounted.
fn even_share(n: f64) -> f64 {
    1.0 / n
}

formula! {
    /// Explained twin of [`even_share`], the limit of the capital recovery factor.
    pub EvenShare = even_share(
        n: Count as COUNT = "years",
    ) -> Ratio as RATIO,
    text: "1 / n",
    clause: MANUAL,
}

/// What one amount is more than another.
fn less(a: f64, b: f64) -> f64 {
    a - b
}

formula! {
    /// Explained twin of [`less`].
    pub Less = less(
        a: Money as COIN = "costs of doing without",
        b: Money as COIN = "costs of the system",
    ) -> Money as COIN,
    text: "a − b",
    clause: practice("arithmetic"),
}

/// Fuel of a year.
fn fuel_cost(litres: f64, price: f64) -> f64 {
    hundredths(litres * price)
}

formula! {
    /// Explained twin of [`fuel_cost`].
    pub FuelCost = fuel_cost(
        litres: Volume as LITER = "fuel of a mean weather year",
        price: PricePerVolume as COIN_PER_LITER = "price of fuel",
    ) -> Money as COIN,
    text: "floor(litres · price · 100 + 0.5) / 100",
    clause: practice("arithmetic"),
}

/// Fuel of a year in which a generator serves everything, litres.
fn generator_only(kwh: f64, litres_per_kwh: f64) -> f64 {
    kwh * litres_per_kwh
}

formula! {
    /// Explained twin of [`generator_only`].
    pub GeneratorOnly = generator_only(
        kwh: Energy as KILOWATT_HOUR = "wanted in a mean weather year",
        litres_per_kwh: quantity::Number as NUMBER = "litres a kWh",
    ) -> Volume as LITER,
    text: "kwh · litres_per_kwh",
    clause: practice("fuel in proportion to energy; more at low load is not counted"),
}

/// What a year of running takes from the life of a generator, in money.
fn worn_away(price: f64, hours: f64, runs_for: f64) -> f64 {
    hundredths(price * hours / runs_for)
}

formula! {
    /// Explained twin of [`worn_away`].
    pub WornAway = worn_away(
        price: Money as COIN = "price of the generator",
        hours: Time as HOUR = "hours it runs in a year",
        runs_for: Time as HOUR = "hours until it is bought again",
    ) -> Money as COIN,
    text: "floor(price · hours / runs_for · 100 + 0.5) / 100",
    clause: practice("money put by for the next one"),
}

/// Whole years that a part lasts.
fn whole_years(lasts: f64) -> f64 {
    lasts.floor()
}

formula! {
    /// Explained twin of [`whole_years`].
    pub WholeYears = whole_years(
        lasts: Time as YEAR = "until it is bought again",
    ) -> Count as COUNT,
    text: "floor(lasts)",
    clause: practice("bought at the end of its last whole year"),
}

/// Whole years that a generator lasts by its hours of running.
fn running_life(runs_for: f64, hours: f64) -> f64 {
    (runs_for / hours).floor()
}

formula! {
    /// Explained twin of [`running_life`].
    pub RunningLife = running_life(
        runs_for: Time as HOUR = "hours until it is bought again",
        hours: Time as HOUR = "hours it runs in a year",
    ) -> Count as COUNT,
    text: "floor(runs_for / hours)",
    clause: practice("bought at the end of its last whole year"),
}
