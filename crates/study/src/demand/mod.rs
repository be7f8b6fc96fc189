//! What the house uses.

mod follow;
mod years;

pub use years::{DemandYears, FollowedLoad, WantedYear};
pub(crate) use years::{Listed, ListedYear};

use crate::memo::Memo;
use crate::meter::MeterStudy;
use crate::sky::SkyStudy;
use crate::uses::{Unanswered, Uses};
use design::system::System;
use loads::{
    EnergyPerDay, Following, HourlyProfile, LabelEnergyPerDay, Leg, Load, LoadInput, MONTH_DAYS,
    Reconciliation, StartVa, Tier, Unlisted, Use, YearOfUse, reconcile,
};
use quantity::{
    ApparentPower, Clause, Count, Energy, Fact, Gap, Measure, Ratio, Standing, Term, Time, Traced, sum, units,
};
use std::sync::Arc;
use years::{More, Weather};

/// One load.
#[derive(Clone, Debug)]
pub struct LoadStudy {
    /// Its name.
    pub name: Arc<str>,
    /// How much it matters.
    pub tier: Fact<Tier>,
    /// Where it hangs.
    pub leg: Fact<Leg>,
    /// Energy of a day of use.
    pub daily: Fact<Energy>,
    /// Energy of a year.
    pub yearly: Fact<Energy>,
    /// Apparent power while starting, for motors.
    pub start: Option<Fact<ApparentPower>>,
    /// Running power, all of them.
    pub running_w: Option<f64>,
    /// Energy of each month, Wh; over weather years their mean.
    pub months_wh: Option<[f64; 12]>,
}

/// Everything the house uses.
#[derive(Clone, Debug)]
pub struct DemandStudy {
    /// Each load.
    pub loads: Vec<LoadStudy>,
    /// Energy of a year.
    pub yearly: Fact<Energy>,
    /// Mean energy of a day.
    pub daily: Fact<Energy>,
    /// Energy of each month, all loads; over weather years their mean.
    pub months: Option<[Traced<Energy>; 12]>,
    /// Hour by hour, in the middling weather year where loads follow the weather; `None` while a fact is missing.
    pub profile: Result<Arc<HourlyProfile>, Unanswered>,
    /// What is wanted in each weather year.
    pub years: Result<Arc<DemandYears>, Unanswered>,
    /// What the profile rests on.
    pub terms: Vec<Term>,
    /// The interval meter, where one is named.
    pub meter: Option<Result<MeterStudy, Unanswered>>,
    /// List against bills, where there are bills.
    pub reconciled: Option<Reconciliation>,
    /// Difference over the year as a share of the bills.
    pub difference: Option<Traced<Ratio>>,
}

const EVENLY: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "mean over 365 days",
    standing: Standing::Computed,
};

pub(crate) const BY_HOURS: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "sum of hourly means",
    standing: Standing::Computed,
};

/// Whether the demand needs the weather years.
pub(crate) fn follows_weather(system: &System) -> bool {
    system.loads.iter().any(|load| matches!(load.usage, Use::Weather { .. }))
}

/// What the house uses; `sky` is needed where loads follow the weather.
pub(crate) fn demand(
    system: &System,
    sky: &Result<Arc<SkyStudy>, Unanswered>,
    meter: Option<Result<MeterStudy, Unanswered>>,
    memo: &mut Memo,
) -> DemandStudy {
    let billed = billed(system, meter.as_ref());
    let (more, more_terms) = more(system, billed.as_ref());
    let mut uses = Uses::default();
    let listed: Vec<Listed> = system.loads.iter().map(|load| listed_of(load, &mut uses)).collect();
    let weather = if follows_weather(system) {
        Weather::of(sky, &mut uses, &system.place.latitude)
    } else {
        Ok(Weather::none(sky.as_ref().map_or(0, |sky| sky.weather.years.len())))
    };
    let (wanted, terms) = match (uses.done(), weather) {
        (Ok(mut terms), Ok(weather)) => {
            terms.extend(more_terms.iter().cloned());
            (Ok(years::years(&listed, &weather, &more, memo)), terms)
        }
        (Err(missing), _) => (Err(missing), Vec::new()),
        (Ok(_), Err(why)) => (Err(why), Vec::new()),
    };
    let profile =
        wanted.as_ref().map_err(Clone::clone).map(|wanted| Arc::new(wanted.middling.profile.clone()));
    let studied: Vec<LoadStudy> =
        system.loads.iter().enumerate().map(|(at, load)| load_of(load, at, &wanted)).collect();
    let yearly = total(&studied, wanted.as_ref().ok(), &more_terms);
    let daily = yearly.and_then(|year| Fact::Known(over_days(year)));
    let months = wanted.as_ref().ok().map(|wanted| months_of(wanted, &terms));
    let reconciled = match (wanted.as_ref().ok(), &billed) {
        (Some(wanted), Some(billed)) => {
            let list = std::array::from_fn(|m| wanted.months_wh.iter().map(|months| months[m]).sum());
            Some(reconcile(list, billed.months_wh))
        }
        _ => None,
    };
    let difference = reconciled.as_ref().and_then(|r| {
        let mut all = terms.clone();
        all.extend(billed.iter().map(|billed| billed.term.clone()));
        let clause = Clause {
            document: "definition",
            edition: "",
            clause: "(bills − list) / bills",
            standing: Standing::Computed,
        };
        r.year
            .difference
            .map(|d| Traced::series(Ratio::from_si(d), "bills less list over bills", clause, all))
    });
    DemandStudy {
        loads: studied,
        yearly,
        daily,
        months,
        profile,
        years: wanted,
        meter,
        terms,
        reconciled,
        difference,
    }
}

/// What the utility counted, month by month.
struct Billed {
    /// Wh; 0 where nothing is known of a month.
    months_wh: [f64; 12],
    term: Term,
}

/// Stated bills; without them the whole months of the meter.
fn billed(system: &System, meter: Option<&Result<MeterStudy, Unanswered>>) -> Option<Billed> {
    if let Some(bills) = system.bills.energy.known() {
        let term = Term::words("twelve bills", "kWh by month", bills.origin.clone());
        return Some(Billed { months_wh: bills.value.map(|kwh| kwh * 1000.0), term });
    }
    let meter = meter?.as_ref().ok()?;
    let months_wh = meter.account.whole_months_wh().map(|month| month.unwrap_or(0.0));
    let term = Term::words("interval meter", meter.name.value.to_string(), meter.name.origin.clone());
    months_wh.iter().any(|wh| *wh > 0.0).then_some(Billed { months_wh, term })
}

/// What is laid over the list, and what that rests on.
fn more(system: &System, billed: Option<&Billed>) -> (More, Vec<Term>) {
    let mut terms = Vec::new();
    let mut unlisted = Unlisted::Left;
    if let (Some(chosen), Some(billed)) = (system.bills.unlisted.known(), billed)
        && chosen.value != Unlisted::Left
    {
        unlisted = chosen.value;
        let words = if unlisted == Unlisted::Scaled { "scaled to the bills" } else { "added to the list" };
        terms.push(Term::words("energy nobody listed", words, chosen.origin.clone()));
        terms.push(billed.term.clone());
    }
    let growth = system.promise.growth.as_ref().and_then(Fact::known);
    terms.extend(growth.map(|growth| growth.term("reserve for loads to come", &units::PERCENT)));
    let more = More {
        unlisted,
        bills_wh: billed.map_or([0.0; 12], |billed| billed.months_wh),
        growth: growth.map_or(0.0, |growth| growth.si()),
    };
    (more, terms)
}

fn total(loads: &[LoadStudy], wanted: Option<&Arc<DemandYears>>, more: &[Term]) -> Fact<Energy> {
    let mut parts = Vec::new();
    for load in loads {
        match &load.yearly {
            Fact::Known(yearly) => parts.push((load.name.clone(), yearly.clone())),
            Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
        }
    }
    if let Some(wanted) = wanted {
        for (name, months) in [("not listed", wanted.unlisted_wh), ("reserve for growth", wanted.reserve_wh)]
        {
            let wh: f64 = months.iter().sum();
            if wh != 0.0 {
                let energy = Energy::from_si(wh * 3600.0);
                parts.push((name.into(), Traced::series(energy, name, BY_HOURS, more.to_vec())));
            }
        }
    }
    Fact::Known(sum(parts, &units::KILOWATT_HOUR))
}

/// Energy of each month, all with one origin.
fn months_of(wanted: &DemandYears, terms: &[Term]) -> [Traced<Energy>; 12] {
    let says = match (wanted.followed.is_empty(), wanted.years.len()) {
        (true, _) | (_, 1) => "hours of the month, all loads".to_string(),
        (false, years) => format!("hours of the month, all loads, the mean of {years} weather years"),
    };
    let first = Traced::series(Energy::from_si(0.0), says, BY_HOURS, terms.to_vec());
    std::array::from_fn(|month| {
        let list: f64 = wanted.months_wh.iter().map(|months| months[month]).sum();
        let wh = list + wanted.unlisted_wh[month] + wanted.reserve_wh[month];
        first.with(Energy::from_si(wh * 3600.0))
    })
}

/// Mean over 365 days of the energy of a year.
fn over_days(year: &Traced<Energy>) -> Traced<Energy> {
    let term = year.term("energy of a year", &units::KILOWATT_HOUR);
    Traced::series(Energy::from_si(year.si() / 365.0), "energy of a year over 365 days", EVENLY, vec![term])
}

fn load_of(load: &Load, at: usize, wanted: &Result<Arc<DemandYears>, Unanswered>) -> LoadStudy {
    let followed = wanted.as_ref().ok().and_then(|wanted| wanted.followed(at));
    let daily = match &load.usage {
        Use::Hours { power, hours } => {
            let whole =
                hours.and_then(|h| Fact::Known(h.with(Time::from_si(h.value.iter().sum::<f64>() * 3600.0))));
            EnergyPerDay::of_facts(&load.count, power, &whole)
        }
        Use::Label { energy } => LabelEnergyPerDay::of_facts(&load.count, energy),
        Use::Weather { .. } => match followed_yearly(load, followed, wanted) {
            Fact::Known(year) => Fact::Known(over_days(&year)),
            Fact::Unknown(gap) => Fact::Unknown(gap),
        },
    };
    let days: u32 =
        load.months.iter().zip(MONTH_DAYS).filter(|(used, _)| **used).map(|(_, days)| days as u32).sum();
    let days: Fact<Count> = Fact::Known(Traced::stated(Count(days), format!("load.{}.months", load.name)));
    let start = match (&load.start, &load.locked_rotor) {
        (Some(stated), _) => Some(stated.clone()),
        (None, Some(amps)) => Some(StartVa::of_facts(&load.volts, amps)),
        (None, None) => None,
    };
    LoadStudy {
        name: load.name.clone(),
        tier: load.tier.clone(),
        leg: load.leg.clone(),
        yearly: match &load.usage {
            Use::Weather { .. } => followed_yearly(load, followed, wanted),
            _ if load.standby.is_some() || load.weekdays != [true; 7] => by_days(load),
            _ => YearOfUse::of_facts(&daily, &days, &load.days_per_week),
        },
        daily,
        start,
        running_w: match (&load.usage, load.usage.running_power()) {
            (Use::Label { energy }, _) => energy.si().map(|j| j / units::YEAR.factor),
            (_, power) => power.and_then(Fact::si).zip(load.count.value()).map(|(w, n)| w * f64::from(n.0)),
        },
        months_wh: wanted.as_ref().ok().and_then(|wanted| wanted.months_wh.get(at).copied()),
    }
}

/// Energy of a year of a load that follows the weather: the mean over the weather years.
fn followed_yearly(
    load: &Load,
    followed: Option<&FollowedLoad>,
    wanted: &Result<Arc<DemandYears>, Unanswered>,
) -> Fact<Energy> {
    let Use::Weather { follows, .. } = &load.usage else { return Fact::Unknown(Gap { missing: Vec::new() }) };
    let Some(followed) = followed else {
        let gap = match wanted {
            Err(Unanswered::Missing(gap)) => gap.clone(),
            _ => Gap { missing: vec![] },
        };
        return Fact::Unknown(gap);
    };
    // A load's own terms: everything was known, or there would be no years.
    let mut uses = Uses::default();
    uses.number(&format!("{}: how many", load.name), &load.count, &units::COUNT);
    follow::following(load, follows, &mut uses);
    let terms = uses.done().unwrap_or_default();
    let says = match followed.yearly_wh.as_slice() {
        [_] => "hour by hour over one weather year".to_string(),
        years => format!("hour by hour, the mean of {} weather years", years.len()),
    };
    let mean = followed.yearly_wh.iter().sum::<f64>() / followed.yearly_wh.len().max(1) as f64;
    Fact::Known(Traced::series(Energy::from_si(mean * 3600.0), says, follow::clause(follows), terms))
}

/// Energy of a year, day by day: of a load with standby, or one that is used on some days of the week.
fn by_days(load: &Load) -> Fact<Energy> {
    let mut uses = Uses::default();
    let input = input_of(load, &mut uses);
    match uses.done() {
        Ok(terms) => {
            let wh: f64 = input.month_wh().iter().sum();
            Fact::Known(Traced::series(
                Energy::from_si(wh * 3600.0),
                "day by day, standby included",
                BY_HOURS,
                terms,
            ))
        }
        Err(Unanswered::Missing(gap)) => Fact::Unknown(gap),
        Err(_) => Fact::Unknown(Gap { missing: Vec::new() }),
    }
}

/// Energy of each month of a load that does not follow the weather, Wh; `None` while a fact of it is missing.
pub(crate) fn months_of_steady(load: &Load) -> Option<[f64; 12]> {
    let mut uses = Uses::default();
    let input = input_of(load, &mut uses);
    uses.done().ok().map(|_| input.month_wh())
}

fn listed_of(load: &Load, uses: &mut Uses) -> Listed {
    let steady = input_of(load, uses);
    match &load.usage {
        Use::Weather { follows, .. } => {
            let following = follow::following(load, follows, uses);
            // Hot water is moved as a whole into its hours; a vehicle runs in its window when the sun is there, unless the
            // window holds the night.
            let waits = match &following {
                Following::Vehicle(car) if load.sun_hours.is_some() => {
                    Some(car.charges).filter(|hours| !(hours[0] && hours[23]))
                }
                _ => None,
            };
            Listed::Following { following, count: steady.count, tier: steady.tier, leg: steady.leg, waits }
        }
        _ => Listed::Steady(steady),
    }
}

fn input_of(load: &Load, uses: &mut Uses) -> LoadInput {
    let of = |what: &str| format!("{}: {what}", load.name);
    let (mut power_w, mut hours, mut label_wh) = (0.0, [0.0; 4], 0.0);
    // A load used on some days of the week is spread over all of them, which moves no energy between months.
    let days_share = uses.number(&of("days of use a week"), &load.days_per_week, &units::NUMBER) / 7.0;
    match &load.usage {
        Use::Hours { power, hours: stated } => {
            power_w = uses.number(&of("power"), power, &units::WATT);
            let parts = uses.words(&of("hours a day"), stated, |h| {
                format!("{} h", quantity::significant(h.iter().sum::<f64>(), 4))
            });
            hours = parts.unwrap_or_default();
        }
        Use::Label { energy } => label_wh = uses.number(&of("energy a year"), energy, &units::WATT_HOUR),
        Use::Weather { .. } => {}
    }
    let tier = uses.words(&of("tier"), &load.tier, |tier| format!("{tier:?}").to_lowercase());
    let leg = uses.words(&of("leg"), &load.leg, |leg| {
        match leg {
            Leg::A => "A",
            Leg::B => "B",
            Leg::Both => "both",
            Leg::Only => "the only one",
        }
        .to_string()
    });
    LoadInput {
        power_w,
        hours,
        label_wh_per_year: label_wh,
        count: uses.number(&of("how many"), &load.count, &units::COUNT),
        months: load.months,
        days_share,
        tier: tier.unwrap_or(Tier::Must),
        leg: leg.unwrap_or(Leg::Only),
        sun_hours: follow::sun_hours(load, uses),
        standby_w: load.standby.as_ref().map_or(0.0, |w| uses.number(&of("standby"), w, &units::WATT)),
        shares: load.profile.as_ref().and_then(|day| {
            uses.words(&of("its day"), day, |day| {
                format!("{} h of full power", quantity::significant(day.iter().sum::<f64>(), 4))
            })
        }),
        weekdays: load.weekdays,
    }
}
