//! Bills of the utility: from what the balance bought and sold in each month at each rate, by the stated tariff.

use super::TARIFF;
use crate::uses::{Unanswered, Uses};
use design::system::{RatePrices, System};
use energy::YearResult;
use money::{Credit, Metered, Rate, Step, Tariff, YearBill};
use quantity::{Energy, Fact, FieldPath, Measure, Money, PricePerEnergy, Term, Traced, units};
use std::sync::Arc;

/// Bills of every weather year.
#[derive(Clone, Debug)]
pub struct BillStudy {
    /// The bill of a mean weather year.
    pub a_year: Traced<Money>,
    /// The smallest and the largest bill of a weather year.
    pub between: [Money; 2],
    /// The bill of each month, mean of all weather years.
    pub months: [Traced<Money>; 12],
    /// Bought in a mean weather year at each rate.
    pub bought: Vec<(Arc<str>, Traced<Energy>)>,
    /// Fed in.
    pub fed: Traced<Energy>,
    /// What the months do not ask: paid out when the year ends, mean of all weather years.
    pub paid_out: Money,
}

/// What the meter counted in one weather year, by rate and month.
pub(super) type Meter = Vec<[Metered; 12]>;

/// The meter of a balance.
pub(super) fn with_system(result: &YearResult, rates: usize) -> Meter {
    let kwh = |wh: f64| wh.max(0.0) / 1000.0;
    let months = |of: &[energy::RateFlows; 12]| {
        of.map(|sums| Metered { bought_kwh: kwh(sums.bought_wh), fed_kwh: kwh(sums.sold_wh) })
    };
    result.by_rate.iter().take(rates).map(months).collect()
}

/// The meter of a house that buys all it wants.
pub(super) fn all_bought(load_w: [&[f64]; 3], rate_of_hour: &[u8], rates: usize) -> Meter {
    let mut meter = vec![[Metered::default(); 12]; rates];
    let mut hour = 0;
    for (month, days) in loads::MONTH_DAYS.into_iter().enumerate() {
        for _ in 0..days * 24 {
            let rate = usize::from(rate_of_hour.get(hour).copied().unwrap_or(0));
            let watts: f64 = load_w.iter().filter_map(|tier| tier.get(hour)).sum();
            if let Some(cell) = meter.get_mut(rate) {
                cell[month].bought_kwh += watts / 1000.0;
            }
            hour += 1;
        }
    }
    meter
}

/// Bills of weather years that were metered; `says` is how the house lives in them, `rests` what that was computed from.
pub(super) fn bills(
    system: &System,
    names: &[Arc<str>],
    meters: &[Meter],
    says: &str,
    rests: &[Term],
) -> Result<BillStudy, Unanswered> {
    let mut uses = Uses::default();
    let sells = meters.iter().flatten().flatten().any(|cell| cell.fed_kwh > 0.0);
    let holds = |rate: usize| {
        meters
            .iter()
            .filter_map(|meter| meter.get(rate))
            .flatten()
            .any(|m| m.bought_kwh > 0.0 || m.fed_kwh > 0.0)
    };
    let used: Vec<bool> = (0..names.len()).map(holds).collect();
    let tariff = tariff(system, names, &used, sells, &mut uses)?;
    let terms = uses.done()?;
    let years: Result<Vec<YearBill>, Unanswered> = meters
        .iter()
        .map(|meter| tariff.bills(meter).map_err(|e| Unanswered::refused(format!("the tariff: {e:?}"), None)))
        .collect();
    let years = years?;
    let count = years.len().max(1) as f64;
    let mean = |of: &dyn Fn(&YearBill) -> f64| years.iter().map(of).sum::<f64>() / count;
    let energy = |kwh: f64, what: String| {
        Traced::series(Energy::from_si(units::KILOWATT_HOUR.to_si(kwh)), what, TARIFF, rests.to_vec())
    };
    let of_rate = |rate: usize| {
        meters.iter().filter_map(|m| m.get(rate)).flatten().map(|cell| cell.bought_kwh).sum::<f64>() / count
    };
    let bought: Vec<(Arc<str>, Traced<Energy>)> = (0..names.len())
        .filter(|rate| used[*rate])
        .map(|rate| {
            let name = if names.len() == 1 { "at its price".into() } else { names[rate].clone() };
            let what = format!("bought in a mean weather year, {name}, {says}");
            (name, energy(of_rate(rate), what))
        })
        .collect();
    let fed = meters.iter().flatten().flatten().map(|cell| cell.fed_kwh).sum::<f64>() / count;
    let fed = energy(fed, format!("fed in over a mean weather year, {says}"));
    let mut all: Vec<Term> =
        bought.iter().map(|(name, kwh)| kwh.term(format!("bought, {name}"), &units::KILOWATT_HOUR)).collect();
    if sells {
        all.push(fed.term("fed in", &units::KILOWATT_HOUR));
    }
    all.extend(terms);
    let coins =
        |units: f64, what: String| Traced::series(Money::from_units(units), what, TARIFF, all.clone());
    let totals = || years.iter().map(|bill| bill.total);
    Ok(BillStudy {
        a_year: coins(
            mean(&|bill| bill.total),
            format!("bills of the utility over a year, {says}, mean of {} weather years", years.len()),
        ),
        between: [
            Money::from_units(totals().fold(f64::INFINITY, f64::min)),
            Money::from_units(totals().fold(f64::NEG_INFINITY, f64::max)),
        ],
        months: std::array::from_fn(|month| {
            let name = quantity::MONTHS[month];
            coins(
                mean(&|bill| bill.months[month].to_pay),
                format!("bill of {name}, {says}, mean of all weather years"),
            )
        }),
        bought,
        fed,
        paid_out: Money::from_units(mean(&|bill| bill.paid_out)),
    })
}

/// The tariff as the utility states it. Prices are asked for where energy is bought or fed in at them.
fn tariff(
    system: &System,
    names: &[Arc<str>],
    used: &[bool],
    sells: bool,
    uses: &mut Uses,
) -> Result<Tariff, Unanswered> {
    let utility = &system.utility;
    let mut rates = Vec::new();
    let mut credits = Vec::new();
    for (rate, name) in names.iter().enumerate() {
        let prices: Vec<(String, &RatePrices)> = if rate == 0 {
            vec![("utility".into(), &utility.prices)]
        } else {
            let windows = utility.rates.iter().enumerate();
            windows
                .filter(|(_, window)| window.name.value() == Some(name))
                .map(|(i, window)| (format!("utility.rates.{}", i + 1), &window.prices))
                .collect()
        };
        if !used.get(rate).copied().unwrap_or(false) {
            // No hour asks for its price.
            rates.push(Rate { name: name.to_string(), steps: vec![Step { up_to_kwh: None, price: 0.0 }] });
            credits.push(0.0);
            continue;
        }
        let label = if names.len() == 1 { "price".to_string() } else { format!("{name}: price") };
        let price = one_of(&prices, |prices| &prices.price)?;
        let top = uses.number(&label, price, &units::COIN_PER_KILOWATT_HOUR);
        let mut steps = Vec::new();
        if let Some((path, tiered)) = prices.iter().find(|(_, prices)| !prices.tiers.is_empty()) {
            rising(name, path, tiered)?;
            for (i, (up_to, price)) in tiered.tiers.iter().enumerate() {
                let says = |what: &str| format!("{name}: tier {}, {what}", i + 1);
                steps.push(Step {
                    up_to_kwh: Some(uses.number(&says("up to"), up_to, &units::KILOWATT_HOUR)),
                    price: uses.number(&says("price"), price, &units::COIN_PER_KILOWATT_HOUR),
                });
            }
        }
        steps.push(Step { up_to_kwh: None, price: top });
        rates.push(Rate { name: name.to_string(), steps });
        credits.push(match sells {
            true => {
                let says = format!("{name}: price of energy fed in");
                let stated = one_of(&prices, |prices| &prices.export_price)?;
                // What is fed in is paid one price at all hours unless a rate has its own.
                let price = if stated.is_known() { stated } else { &utility.prices.export_price };
                uses.number(&says, price, &units::COIN_PER_KILOWATT_HOUR)
            }
            false => 0.0,
        });
    }
    let monthly = uses.number("on each monthly bill", &utility.monthly, &units::COIN);
    let least = match &utility.least_bill {
        Some(least) => uses.number("least monthly bill", least, &units::COIN),
        None => 0.0,
    };
    let credit = if sells {
        let yes = |yes: &bool| if *yes { "yes" } else { "no" }.to_string();
        let netted = uses.words("energy fed in is netted", &utility.netted, yes) == Some(true);
        if netted {
            let leftover = uses.number(
                "price of netted energy left when the year ends",
                &utility.prices.export_price,
                &units::COIN_PER_KILOWATT_HOUR,
            );
            Credit::Netted { leftover }
        } else {
            let paid = uses.words("credit left when the year ends is paid", &utility.pays_left_over, yes);
            Credit::PerKwh { price: credits, paid_out: if paid == Some(true) { 1.0 } else { 0.0 } }
        }
    } else {
        Credit::None
    };
    // What is missing is said before anything is said of numbers that are not there.
    uses.clone().done()?;
    Tariff::new(rates, monthly, least, credit).map_err(|problem| {
        Unanswered::refused(
            format!("the tariff cannot be used: {}", in_words(&problem)),
            Some(FieldPath::new("utility")),
        )
    })
}

/// Tiers begin where the one before ends; the first that does not is pointed at.
fn rising(name: &str, path: &str, prices: &RatePrices) -> Result<(), Unanswered> {
    let mut floor = 0.0;
    for (i, (up_to, _)) in prices.tiers.iter().enumerate() {
        let Some(end) = up_to.si().map(|si| units::KILOWATT_HOUR.of_si(si)) else { continue };
        if end <= floor {
            return Err(Unanswered::refused(
                format!(
                    "the tiers of {name} do not rise: tier {} ends at {end} kWh, and the one before it at {floor} kWh",
                    i + 1
                ),
                Some(FieldPath::new(format!("{path}.tiers.{}.up_to", i + 1))),
            ));
        }
        floor = end;
    }
    Ok(())
}

/// The stated one of the prices of a rate that holds in several windows; those that differ are refused.
fn one_of<'a>(
    prices: &[(String, &'a RatePrices)],
    take: fn(&RatePrices) -> &Fact<PricePerEnergy>,
) -> Result<&'a Fact<PricePerEnergy>, Unanswered> {
    let mut stated = prices.iter().filter(|(_, prices)| take(prices).is_known());
    let Some((first_path, first)) = stated.next() else {
        let all = prices.first().map(|(_, prices)| take(prices));
        return all.ok_or_else(|| {
            Unanswered::refused("a rate has no window", Some(FieldPath::new("utility.rates")))
        });
    };
    match stated.find(|(_, other)| take(other).value() != take(first).value()) {
        Some((path, _)) => Err(Unanswered::refused(
            format!("{first_path} and {path} are one rate with two prices; give one of them another name"),
            Some(FieldPath::new(path.clone())),
        )),
        None => Ok(take(first)),
    }
}

fn in_words(problem: &money::TariffError) -> String {
    use money::TariffError::{Credits, Hours, NoRate, Number, Steps};
    match problem {
        NoRate => "it has no rate".into(),
        Steps { rate } => format!("the tiers of {rate} do not rise"),
        Number { what } => format!("{what} cannot be"),
        Credits { rates, credits } => format!("{credits} prices of energy fed in for {rates} rates"),
        Hours => "its hours do not fit the year".into(),
    }
}
