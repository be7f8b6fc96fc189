//! What each saving spares of array, battery and money, in the month that decides.

use crate::demand::{self, DemandStudy};
use crate::fit::{BankStudy, StackStudy};
use crate::light::PlaneStudy;
use crate::uses::Unanswered;
use design::system::System;
use energy::ArrayNeeded;
use loads::{BatterySpared, Load, MONTH_DAYS, Saving, Then, Use};
use quantity::{
    Clause, Energy, Fact, Gap, Measure, Money, Power, Ratio, Standing, Term, Time, Traced, sum, units,
};
use std::sync::Arc;

/// The month in which what is used is most for the light there is.
#[derive(Clone, Debug)]
pub struct CriticalMonth {
    /// 0 for January.
    pub month: usize,
    /// Full-sun hours of its mean day in the planes, weighted by their modules.
    pub sun: Traced<Time>,
    /// Energy of its mean day with the idle draw.
    pub daily: Fact<Energy>,
    factor: Traced<Ratio>,
}

/// One saving.
#[derive(Clone, Debug)]
pub struct SavingStudy {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// The load it is about.
    pub load: Arc<str>,
    /// Saved in a year.
    pub yearly: Fact<Energy>,
    /// Saved on a day of the critical month.
    pub daily: Fact<Energy>,
    /// Array that need not be bought for it.
    pub array: Fact<Power>,
    /// Battery that need not be bought for it.
    pub battery: Fact<Energy>,
    /// Money for both at the prices of the design.
    pub spared: Fact<Money>,
    /// What the saving costs.
    pub price: Fact<Money>,
}

const LEAST_LIGHT: Clause =
    Clause { document: "IEEE 1562", edition: "2007", clause: "worst month", standing: Standing::Remembered };

/// The critical month of a design whose planes have light.
pub(crate) fn critical(
    system: &System,
    demand: &DemandStudy,
    planes: &[Result<PlaneStudy, Unanswered>],
    stack: &StackStudy,
) -> Option<CriticalMonth> {
    let months = demand.months.as_ref()?;
    let (mut sun, mut weight, mut terms) = ([0.0; 12], 0.0, Vec::new());
    for plane in planes.iter().flatten() {
        let share: f64 = system
            .strings
            .iter()
            .filter(|string| string.string.plane == plane.name)
            .filter_map(|string| string.string.count.value().map(|count| f64::from(count.0)))
            .sum();
        weight += share;
        sun.iter_mut().zip(plane.months_kwh_m2_day).for_each(|(sum, hours)| *sum += share * hours);
        terms.push(plane.daily.term(format!("{}: sun hours of the year", plane.name), &units::NUMBER));
    }
    if weight <= 0.0 {
        return None;
    }
    let sun = sun.map(|sum| sum / weight);
    let a_day = |month: usize| months[month].si() / MONTH_DAYS[month] as f64;
    let month = (0..12)
        .filter(|month| sun[*month] > 0.0)
        .max_by(|a, b| (a_day(*a) / sun[*a]).total_cmp(&(a_day(*b) / sun[*b])))?;
    let term = months[month].term("energy of the month", &units::KILOWATT_HOUR);
    let used = Traced::series(
        Energy::from_si(a_day(month)),
        format!("a day of {}", quantity::MONTHS[month]),
        demand::BY_HOURS,
        vec![term],
    );
    let daily = energy::IdlePerDay::of_facts(&stack.idle).and_then(|idle| {
        let parts = vec![("loads".into(), used.clone()), ("idle draw".into(), idle.clone())];
        Fact::Known(sum(parts, &units::KILOWATT_HOUR))
    });
    let because = "common of a system with a battery, 0.65 to 0.75; common practice, no source";
    let factor = Traced {
        value: Ratio::from_si(0.70),
        origin: crate::house::assumption("saving", because, "array spared by a saving"),
    };
    let says =
        format!("full-sun hours of a mean day in {}, by modules of each plane", quantity::MONTHS[month]);
    let sun = Traced::series(Time::from_si(sun[month] * 3600.0), says, LEAST_LIGHT, terms);
    Some(CriticalMonth { month, sun, daily, factor })
}

/// Every saving of the design.
pub(crate) fn savings(
    system: &System,
    demand: &DemandStudy,
    critical: Option<&CriticalMonth>,
    banks: &[BankStudy],
) -> Vec<SavingStudy> {
    let capacity = banks.iter().try_fold(Vec::new(), |mut all, bank| {
        all.push((bank.name.clone(), bank.capacity.known()?.clone()));
        Some(all)
    });
    let capacity = capacity.filter(|all| !all.is_empty()).map(|all| sum(all, &units::KILOWATT_HOUR));
    let study = |saving: &Saving| {
        let saved = saved(system, demand, saving);
        let series = |wh: f64, says: String, terms: &[Term]| {
            Traced::series(Energy::from_si(wh * 3600.0), says, demand::BY_HOURS, terms.to_vec())
        };
        let yearly = match &saved {
            Ok((months, terms)) => {
                Fact::Known(series(months.iter().sum(), format!("{} in a year", saving.name), terms))
            }
            Err(gap) => Fact::Unknown(gap.clone()),
        };
        let (mut daily, mut array, mut battery) = (nothing(), nothing(), nothing());
        if let (Ok((months, terms)), Some(critical)) = (&saved, critical) {
            let month = critical.month;
            let says = format!("{}, on a day of {}", saving.name, quantity::MONTHS[month]);
            let day = series(months[month] / MONTH_DAYS[month] as f64, says, terms);
            array = Fact::Known(ArrayNeeded::of(&day, &critical.sun, &critical.factor));
            if let (Some(capacity), Fact::Known(used)) = (&capacity, &critical.daily)
                && used.si() > 0.0
            {
                battery = Fact::Known(BatterySpared::of(capacity, &day, used));
            }
            daily = Fact::Known(day);
        }
        SavingStudy {
            name: saving.name.clone(),
            load: saving.load.clone(),
            yearly,
            daily,
            spared: spared(system, &array, &battery, capacity.as_ref()),
            array,
            battery,
            price: saving.price.clone(),
        }
    };
    system.savings.iter().map(study).collect()
}

/// Not asked of anybody: it follows from what is.
fn nothing<T>() -> Fact<T> {
    Fact::Unknown(Gap { missing: Vec::new() })
}

/// Saved by month, Wh, and what that rests on.
fn saved(system: &System, demand: &DemandStudy, saving: &Saving) -> Result<([f64; 12], Vec<Term>), Gap> {
    let unknown = || Gap { missing: Vec::new() };
    let at = system.loads.iter().position(|load| load.name == saving.load).ok_or_else(unknown)?;
    let now = demand.loads.get(at).and_then(|load| load.months_wh).ok_or_else(unknown)?;
    let mut terms = Vec::new();
    if let Some(year) = demand.loads[at].yearly.known() {
        terms.push(year.term("what it takes now, a year", &units::KILOWATT_HOUR));
    }
    let load = &system.loads[at];
    let changed = match &saving.then {
        Then::Share(share) => {
            let share = share.known().ok_or_else(|| share.gap().cloned().unwrap_or_else(unknown))?;
            terms.push(share.term("so much of it then", &units::PERCENT));
            return Ok((now.map(|wh| wh * (1.0 - share.si())), terms));
        }
        Then::Power(power) => {
            let known = power.known().ok_or_else(|| power.gap().cloned().unwrap_or_else(unknown))?;
            terms.push(known.term("power then", &units::WATT));
            let Use::Hours { hours, .. } = &load.usage else { return Err(unknown()) };
            Load { usage: Use::Hours { power: power.clone(), hours: hours.clone() }, ..load.clone() }
        }
        Then::Label(energy) => {
            let known = energy.known().ok_or_else(|| energy.gap().cloned().unwrap_or_else(unknown))?;
            terms.push(known.term("label then", &units::KILOWATT_HOUR));
            Load { usage: Use::Label { energy: energy.clone() }, ..load.clone() }
        }
    };
    let then = demand::months_of_steady(&changed).ok_or_else(unknown)?;
    Ok((std::array::from_fn(|month| now[month] - then[month]), terms))
}

/// Array and battery at what the design pays for each watt and watt-hour of its own.
fn spared(
    system: &System,
    array: &Fact<Power>,
    battery: &Fact<Energy>,
    capacity: Option<&Traced<Energy>>,
) -> Fact<Money> {
    let unknown = nothing;
    let (Fact::Known(array), Fact::Known(battery), Some(capacity)) = (array, battery, capacity) else {
        return unknown();
    };
    let (mut watts, mut modules, mut cells) = (0.0, 0.0, 0.0);
    let mut terms = vec![
        array.term("array spared", &units::WATT),
        battery.term("battery spared", &units::KILOWATT_HOUR),
        capacity.term("all banks", &units::KILOWATT_HOUR),
    ];
    for string in &system.strings {
        let Some(module) = system.modules.iter().find(|module| module.name == string.string.module) else {
            return unknown();
        };
        let (Some(count), Some(power), Some(price)) =
            (string.string.count.value(), module.power.si(), module.price.known())
        else {
            return unknown();
        };
        watts += f64::from(count.0) * power;
        modules += f64::from(count.0) * price.value.units();
        terms.push(Term::words(
            format!("price of {}", module.name),
            format!("{}", price.value.units()),
            price.origin.clone(),
        ));
    }
    for bank in &system.banks {
        let Some(part) = system.batteries.iter().find(|part| part.name == bank.bank.battery) else {
            return unknown();
        };
        let (Some(parallel), Some(series), Some(price)) =
            (bank.bank.parallel.value(), bank.bank.series.value(), part.price.known())
        else {
            return unknown();
        };
        cells += f64::from(parallel.0) * f64::from(series.0) * price.value.units();
        terms.push(Term::words(
            format!("price of {}", part.name),
            format!("{}", price.value.units()),
            price.origin.clone(),
        ));
    }
    if watts <= 0.0 || capacity.si() <= 0.0 {
        return unknown();
    }
    let money = array.si() * modules / watts + battery.si() * cells / capacity.si();
    let clause = Clause {
        document: "definition",
        edition: "",
        clause: "array and battery spared, each at the price of the design's own",
        standing: Standing::Computed,
    };
    Fact::Known(Traced::series(Money::from_units(money), "array and battery spared", clause, terms))
}
