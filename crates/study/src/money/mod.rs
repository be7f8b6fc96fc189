//! What the system costs to own: bills of the utility, fuel, upkeep and what is bought again, and all of it over the years
//! beside doing without it. Sums rest on the mean of all weather years, since later years will be any of them.

mod bills;
mod course;
mod life;
pub(crate) use life::horizon;

pub use bills::BillStudy;
pub use life::{Against, LifeMoney};

use crate::Study;
use crate::uses::Unanswered;
use crate::year::YearStudy;
use design::system::{System, UtilityRole};
use money::FuelCost;
use quantity::{Clause, Energy, Fact, Measure, Money, Standing, Time, Traced, Volume, sum, units};
use std::sync::Arc;

const TARIFF: Clause = Clause {
    document: "the utility's tariff as stated",
    edition: "",
    clause: "hours of each rate, month by month",
    standing: Standing::Computed,
};
const CASH_FLOW: Clause = Clause {
    document: "NREL/TP-462-5173",
    edition: "1995",
    clause: "costs and their present value year by year",
    standing: Standing::Remembered,
};
const MEAN: Clause = Clause {
    document: "hourly balance of this project",
    edition: "",
    clause: "mean of all weather years",
    standing: Standing::Computed,
};

/// What the system costs to own.
#[derive(Clone, Debug)]
pub struct MoneyStudy {
    /// Bills of the utility with the system; `None` where there is no utility.
    pub bills: Option<Result<BillStudy, Unanswered>>,
    /// Bills of the same hours if all of it were bought; `None` where no line is there or asked about.
    pub bills_without: Option<Result<BillStudy, Unanswered>>,
    /// Fuel of a mean weather year; `None` where no generator runs.
    pub fuel: Option<Fact<Money>>,
    /// Upkeep of every year.
    pub upkeep: Fact<Money>,
    /// Bills, fuel and upkeep of a mean weather year.
    pub a_year: Result<Traced<Money>, Unanswered>,
    /// What the system costs to begin with.
    pub purchase: Fact<Money>,
    /// Lines of the purchase list without a price for which nothing was set aside.
    pub unpriced: usize,
    /// All of it over the years.
    pub life: Result<LifeMoney, Unanswered>,
}

/// What a system of the search costs over its years in today's money: the figure of [`Study::money`], for a study of any depth
/// that has its years.
///
/// It is not monotone in size: a larger battery buys less energy and is bought again itself.
///
/// # Errors
/// What is missing, or why there is no year.
pub fn lifetime_cost(study: &Study) -> Result<Traced<Money>, Unanswered> {
    let year = study.year.as_ref().map_err(Clone::clone)?;
    let own = own(study, year);
    life::own_course(study, year, &own).map(|course| course.worth())
}

/// The costs of living with the system.
struct Own {
    bills: Option<Result<BillStudy, Unanswered>>,
    fuel: Option<Fact<Money>>,
    purchase: Fact<Money>,
    unpriced: usize,
}

pub(crate) fn money(study: &Study) -> Option<MoneyStudy> {
    let year = study.year.as_ref().ok()?;
    let system = &study.design.system;
    let own = own(study, year);
    let bills_without = without(study, year);
    let a_year = a_year(&own, &system.money.upkeep);
    let life = life::life(study, year, &own, bills_without.as_ref());
    let Own { bills, fuel, purchase, unpriced } = own;
    let upkeep = system.money.upkeep.clone();
    Some(MoneyStudy { bills, bills_without, fuel, upkeep, a_year, purchase, unpriced, life })
}

fn own(study: &Study, year: &YearStudy) -> Own {
    let system = &study.design.system;
    let results = year.results.as_ref().as_ref().map_or(&[][..], Vec::as_slice);
    let bills = has_utility(system).then(|| {
        let names = &year.house.rate_names;
        let meters: Vec<bills::Meter> =
            results.iter().map(|result| bills::with_system(result, names.len())).collect();
        bills::bills(system, names, &meters, "with the system", &year.terms)
    });
    let runs = year.backup_name == "the generator";
    let fuel = system.engines.first().filter(|_| runs).map(|engine| {
        let litres = mean(year, |result| result.fuel_l);
        let litres = Traced::series(
            Volume::from_si(units::LITER.to_si(litres)),
            "fuel of a year, mean of all weather years",
            MEAN,
            year.terms.clone(),
        );
        FuelCost::of_facts(&Fact::Known(litres), &engine.fuel_price)
    });
    let (purchase, unpriced) = purchase(study);
    Own { bills, fuel, purchase, unpriced }
}

fn has_utility(system: &System) -> bool {
    system.utility.role.value().is_some_and(|role| *role != UtilityRole::None)
}

/// Bills of the same hours without the system, where a line is there or its price and connection are stated.
fn without(study: &Study, year: &YearStudy) -> Option<Result<BillStudy, Unanswered>> {
    let system = &study.design.system;
    if !has_utility(system) && system.utility.connection.is_none() {
        return None;
    }
    let names = &year.house.rate_names;
    let meters: Vec<bills::Meter> = year
        .brought
        .years
        .iter()
        .map(|of| bills::all_bought(of.listed.load_w(), &year.house.rate_of_hour, names.len()))
        .collect();
    Some(bills::bills(system, names, &meters, "all of it bought", &study.demand.terms))
}

fn a_year(own: &Own, upkeep: &Fact<Money>) -> Result<Traced<Money>, Unanswered> {
    let mut parts: Vec<(Arc<str>, Traced<Money>)> = Vec::new();
    if let Some(bills) = &own.bills {
        parts.push(("bills of the utility".into(), bills.as_ref().map_err(Clone::clone)?.a_year.clone()));
    }
    if let Some(fuel) = &own.fuel {
        parts.push(("fuel".into(), fuel.need().map_err(Unanswered::Missing)?.clone()));
    }
    parts.push(("upkeep".into(), upkeep.need().map_err(Unanswered::Missing)?.clone()));
    Ok(sum(parts, &units::COIN))
}

/// The purchase list with what was set aside, and how many lines have neither.
fn purchase(study: &Study) -> (Fact<Money>, usize) {
    let bill = &study.bill;
    match &study.design.system.money.set_aside {
        Some(aside) => {
            let both = aside.and_then(|aside| {
                let parts = vec![
                    (Arc::from("purchase list"), bill.total.clone()),
                    (Arc::from("set aside"), aside.clone()),
                ];
                Fact::Known(sum(parts, &units::COIN))
            });
            (both, 0)
        }
        None if bill.without_price == 0 => (Fact::Known(bill.total.clone()), 0),
        None => {
            // A line without a price is not free: money for it is set aside or the list is priced.
            let gap = Fact::unknown("money.set_aside", quantity::WhoKnows::Owner);
            (gap, bill.without_price)
        }
    }
}

/// Mean over all weather years.
fn mean(year: &YearStudy, of: impl Fn(&energy::YearResult) -> f64) -> f64 {
    let results = year.results.as_ref().as_ref().map_or(&[][..], Vec::as_slice);
    results.iter().map(of).sum::<f64>() / results.len().max(1) as f64
}

fn mean_energy(year: &YearStudy, says: &str, wh: impl Fn(&energy::YearResult) -> f64) -> Traced<Energy> {
    let value = Energy::from_si(units::WATT_HOUR.to_si(mean(year, wh)));
    Traced::series(value, says, MEAN, year.terms.clone())
}

fn mean_hours(year: &YearStudy, says: &str, hours: impl Fn(&energy::YearResult) -> f64) -> Traced<Time> {
    Traced::series(Time::from_si(mean(year, hours) * 3600.0), says, MEAN, year.terms.clone())
}
