//! The years of the system and of doing without it.

use super::course::{Course, Yearly};
use super::{BillStudy, CASH_FLOW, Own, has_utility, mean_energy, mean_hours};
use crate::Study;
use crate::uses::Unanswered;
use crate::year::YearStudy;
use design::system::{Lasts, System};
use money::{FuelCost, GeneratorOnly, Less, LifeCost, RealRate, RunningLife, WholeYears, WornAway, payback};
use quantity::{Count, Fact, Gap, Measure, Money, Number, PricePerEnergy, Ratio, Time, Traced, units};
use std::sync::Arc;

/// All costs of the years.
#[derive(Clone, Debug)]
pub struct LifeMoney {
    /// Years looked at.
    pub years: Traced<Count>,
    /// Real discount rate a year.
    pub discount: Traced<Ratio>,
    /// All costs in today's money.
    pub total: Traced<Money>,
    /// What they consist of, in today's money.
    pub parts: Vec<(Arc<str>, Traced<Money>)>,
    /// The same if the battery lasts twice and half as long as computed; equal where its life is stated or there is none.
    pub between: [Money; 2],
    /// Cost of a kWh served.
    pub per_kwh: Option<Traced<PricePerEnergy>>,
    /// What is bought again: what, first at the end of which year, at what price of today.
    pub again: Vec<(Arc<str>, Traced<Count>, Traced<Money>)>,
    /// Year by year.
    pub table: LifeCost,
    /// The ways of doing without it.
    pub against: Vec<Result<Against, (&'static str, Unanswered)>>,
}

/// One way of doing without the system.
#[derive(Clone, Debug)]
pub struct Against {
    /// In words: "staying on the utility".
    pub name: &'static str,
    /// All its costs in today's money.
    pub total: Traced<Money>,
    /// What it costs more than the system; below zero where it costs less.
    pub gain: Traced<Money>,
    /// Years until the system has paid for itself beside it, not discounted; `None` when it does not within the years.
    pub payback: Option<Traced<Number>>,
    /// The same in today's money.
    pub payback_discounted: Option<Traced<Number>>,
    /// Year by year.
    pub table: LifeCost,
}

/// How the life of a battery differs from what was computed.
#[derive(Clone, Copy)]
enum Battery {
    AsComputed,
    /// So many times as long.
    Times(f64),
}

/// The costs of the system.
pub(super) fn own_course(study: &Study, year: &YearStudy, own: &Own) -> Result<Course, Unanswered> {
    course(study, year, own, Battery::AsComputed).map(|(course, _)| course)
}

type Again = Vec<(Arc<str>, Traced<Count>, Traced<Money>)>;

fn course(
    study: &Study,
    year: &YearStudy,
    own: &Own,
    battery: Battery,
) -> Result<(Course, Again), Unanswered> {
    let system = &study.design.system;
    let given = &system.money;
    let known = |fact: &Fact<Money>| fact.need().cloned().map_err(Unanswered::Missing);
    let rate = |fact: &Fact<Ratio>| fact.need().cloned().map_err(Unanswered::Missing);
    // Everything that is missing is said at once.
    let mut gap: Option<Gap> = None;
    let mut miss = |more: Option<&Gap>| {
        if let Some(more) = more {
            gap = Some(gap.take().map_or_else(|| more.clone(), |all| all.and(more)));
        }
    };
    miss(own.purchase.gap());
    miss(given.upkeep.gap());
    miss(own.fuel.as_ref().and_then(Fact::gap));
    if let Some(Err(Unanswered::Missing(more))) = &own.bills {
        miss(Some(more));
    }
    let again = bought_again(study, year, battery);
    if let Err(Unanswered::Missing(more)) = &again {
        miss(Some(more));
    }
    if let Some(gap) = gap {
        return Err(Unanswered::Missing(gap));
    }
    let (years, discount) = horizon(system)?;
    let mut course = Course::new(&years, &discount);
    course.now("purchase", &known(&own.purchase)?);
    if let Some(bills) = &own.bills {
        let bills = bills.as_ref().map_err(Clone::clone)?;
        course.yearly(Yearly::Utility, "bills of the utility", &bills.a_year, &rate(&given.utility_rises)?);
    }
    if let Some(fuel) = &own.fuel {
        course.yearly(Yearly::Fuel, "fuel", &known(fuel)?, &rate(&given.fuel_rises)?);
    }
    let level = level();
    course.yearly(Yearly::Upkeep, "upkeep", &known(&given.upkeep)?, &level);
    for work in &given.works {
        let first = work.first.need().map_err(Unanswered::Missing)?;
        let every = work.every.as_ref().and_then(Fact::known);
        course.again(&work.what, &known(&work.price)?, &level, first, every);
    }
    let again = again?;
    let rises = rate(&given.parts_rise)?;
    for (what, lasts, price) in &again {
        course.again(what, price, &rises, lasts, Some(lasts));
    }
    if let Some((amount, when)) = &given.incentive {
        let when = when.need().map_err(Unanswered::Missing)?;
        course.given_back(&known(amount)?, when);
    }
    Ok((course, again))
}

/// The rise of what rises as all prices do.
fn level() -> Traced<Ratio> {
    let origin = quantity::Origin::Assumed(quantity::Reason {
        field: quantity::FieldPath::new("money.upkeep"),
        because: "upkeep rises as all other prices do".into(),
        moves: "upkeep of later years".into(),
        clause: quantity::practice("assumption"),
    });
    Traced { value: Ratio::from_si(0.0), origin }
}

/// Years looked at and the real rate.
pub(crate) fn horizon(system: &System) -> Result<(Traced<Count>, Traced<Ratio>), Unanswered> {
    let years = system.money.years.need().cloned().map_err(Unanswered::Missing)?;
    let discount = match &system.money.nominal {
        Some((interest, inflation)) => RealRate::of_facts(interest, inflation),
        None => system.money.discount.clone(),
    };
    Ok((years, discount.need().cloned().map_err(Unanswered::Missing)?))
}

/// Parts that do not last as long as the years looked at, with their prices on the purchase list.
fn bought_again(study: &Study, year: &YearStudy, battery: Battery) -> Result<Again, Unanswered> {
    let system = &study.design.system;
    let horizon = system.money.years.value().map_or(0, |years| years.0);
    let mut again: Again = Vec::new();
    let mut gap: Option<Gap> = None;
    for life in &system.lives {
        let kind = match life.table {
            "controller" => "charge controller",
            other => other,
        };
        let item = format!("{kind} \"{}\"", life.name);
        // A part that stands nowhere is on no line.
        let Some(line) = study.bill.lines.iter().find(|line| *line.item == *item) else { continue };
        let lasts = match &life.lasts {
            Lasts::Years(Some(stated)) => stated.and_then(|lasts| Fact::Known(WholeYears::of(lasts))),
            Lasts::Years(None) => match year.battery_life(&study.design) {
                Some(aged) => {
                    let times = match battery {
                        Battery::AsComputed => 1.0,
                        Battery::Times(times) => times,
                    };
                    let lasts = Time::from_si(units::YEAR.to_si(aged.years.si() * times));
                    Fact::Known(WholeYears::of(&aged.years.with(lasts)))
                }
                None => {
                    Fact::unknown(format!("{}.{}.lasts", life.table, life.name), quantity::WhoKnows::Maker)
                }
            },
            Lasts::Running(stated) => {
                let hours = mean_hours(year, "hours it runs in a year, mean of all weather years", |r| {
                    r.year.backup_h
                });
                if year.backup_name != "the generator" || hours.si() <= 0.0 {
                    continue;
                }
                RunningLife::of_facts(stated, &Fact::Known(hours))
            }
        };
        let found = lasts.need().cloned().and_then(|lasts| Ok((lasts, line.total.need()?.clone())));
        match found {
            // Worn within its first year, it is bought every year.
            Ok((lasts, price)) if lasts.value.0 < horizon => {
                let lasts = if lasts.value.0 == 0 { lasts.with(Count(1)) } else { lasts };
                again.push((item.into(), lasts, price));
            }
            Ok(_) => {}
            Err(more) => gap = Some(gap.take().map_or_else(|| more.clone(), |all| all.and(&more))),
        }
    }
    match gap {
        Some(gap) => Err(Unanswered::Missing(gap)),
        None => Ok(again),
    }
}

pub(super) fn life(
    study: &Study,
    year: &YearStudy,
    own: &Own,
    bills_without: Option<&Result<BillStudy, Unanswered>>,
) -> Result<LifeMoney, Unanswered> {
    let system = &study.design.system;
    let (course, again) = course(study, year, own, Battery::AsComputed)?;
    let total = course.worth();
    let (years, discount) = horizon(system)?;
    let with_battery = |times| course_total(study, year, own, Battery::Times(times)).unwrap_or(total.value);
    let served =
        mean_energy(year, "load served in a year, mean of all weather years", |r| r.year.served_wh());
    let table = course.table();
    let mut against = Vec::new();
    if let Some(bills) = bills_without {
        let name =
            if has_utility(system) { "staying on the utility" } else { "being connected to the utility" };
        against.push(
            on_utility(system, bills)
                .map(|other| beside(name, &other, &total, &table))
                .map_err(|why| (name, why)),
        );
    }
    if let Some(other) = on_generator(study, year) {
        let name = "running a generator alone";
        against.push(other.map(|other| beside(name, &other, &total, &table)).map_err(|why| (name, why)));
    }
    Ok(LifeMoney {
        years,
        discount,
        between: [with_battery(2.0), with_battery(0.5)],
        per_kwh: course.per_kwh(&served),
        parts: course.parts().to_vec(),
        total,
        again,
        table,
        against,
    })
}

fn course_total(study: &Study, year: &YearStudy, own: &Own, battery: Battery) -> Option<Money> {
    self::course(study, year, own, battery).ok().map(|(course, _)| course.worth().value)
}

/// Everything bought from the utility.
fn on_utility(system: &System, bills: &Result<BillStudy, Unanswered>) -> Result<Course, Unanswered> {
    let bills = bills.as_ref().map_err(Clone::clone)?;
    let (years, discount) = horizon(system)?;
    let mut course = Course::new(&years, &discount);
    if let Some(connection) = &system.utility.connection {
        course.now("connection", connection.need().map_err(Unanswered::Missing)?);
    }
    let rises = system.money.utility_rises.need().map_err(Unanswered::Missing)?;
    course.yearly(Yearly::Utility, "bills of the utility", &bills.a_year, rises);
    Ok(course)
}

/// Everything from the generator of the design, which runs in every hour in which something is wanted.
fn on_generator(study: &Study, year: &YearStudy) -> Option<Result<Course, Unanswered>> {
    let system = &study.design.system;
    let engine = system.engines.first()?;
    let part = system.generator(&engine.generator)?;
    let found = || -> Result<Course, Unanswered> {
        let fact = |gap: Gap| Unanswered::Missing(gap);
        let (years, discount) = horizon(system)?;
        let wanted = mean_energy(year, "wanted in a year, mean of all weather years", |r| r.year.load_wh);
        let litres = GeneratorOnly::of_facts(&Fact::Known(wanted), &part.fuel_per_kwh);
        let fuel = FuelCost::of_facts(&litres, &engine.fuel_price).need().cloned().map_err(fact)?;
        let hours = hours_wanted(year);
        let runs_for = system.lives.iter().find_map(|life| match &life.lasts {
            Lasts::Running(hours) if life.name == engine.generator => Some(hours.clone()),
            _ => None,
        });
        let runs_for = runs_for
            .unwrap_or_else(|| Fact::unknown("generator", quantity::WhoKnows::Maker))
            .need()
            .cloned()
            .map_err(fact)?;
        let price = part.price.need().cloned().map_err(fact)?;
        let worn = WornAway::of(&price, &hours, &runs_for);
        let rises = system.money.fuel_rises.need().map_err(Unanswered::Missing)?;
        let mut course = Course::new(&years, &discount);
        course.yearly(Yearly::Fuel, "fuel", &fuel, rises);
        let level = level();
        course.yearly(Yearly::Upkeep, "generators worn out", &worn, &level);
        Ok(course)
    };
    Some(found())
}

/// Hours of a mean year in which anything is wanted.
fn hours_wanted(year: &YearStudy) -> Traced<Time> {
    let years = &year.brought.years;
    let hours = |of: &crate::BroughtYear| {
        let tiers = of.listed.load_w();
        (0..energy::HOURS)
            .filter(|hour| tiers.iter().any(|tier| tier.get(*hour).is_some_and(|w| *w > 0.0)))
            .count()
    };
    let mean = years.iter().map(|of| hours(of) as f64).sum::<f64>() / years.len().max(1) as f64;
    let says = "hours in which anything is wanted, mean of all weather years";
    Traced::series(Time::from_si(mean * 3600.0), says, super::MEAN, year.terms.clone())
}

fn beside(name: &'static str, other: &Course, own: &Traced<Money>, table: &LifeCost) -> Against {
    let total = other.worth();
    let others = other.table();
    let gains: Vec<f64> =
        others.rows.iter().zip(&table.rows).map(|(other, own)| other.cost - own.cost).collect();
    let today: Vec<f64> =
        others.rows.iter().zip(&table.rows).map(|(other, own)| other.today - own.today).collect();
    let terms = vec![
        own.term("costs of the system", &units::COIN),
        total.term("costs of doing without", &units::COIN),
    ];
    let years = |found: Option<f64>, says: &str| {
        found.map(|years| Traced::series(Number(years), says, CASH_FLOW, terms.clone()))
    };
    let says = "years until what it costs less has paid for what it cost more, for good, straight between ends of years";
    Against {
        name,
        gain: Less::of(&total, own),
        payback: years(payback(&gains, 0.0), &format!("{says}; not discounted")),
        payback_discounted: years(payback(&today, 0.0), &format!("{says}; in today's money")),
        total,
        table: others,
    }
}
