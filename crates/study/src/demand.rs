//! What the house uses.

use crate::memo::{Key, Memo};
use crate::uses::{Unanswered, Uses};
use design::system::System;
use loads::{
    EnergyPerDay, HourlyProfile, LabelEnergyPerDay, Leg, Load, LoadInput, MONTH_DAYS, Reconciliation,
    StartVa, Tier, Use, YearOfUse, reconcile,
};
use quantity::{
    ApparentPower, Clause, Count, Energy, Fact, Measure, Ratio, Standing, Term, Time, Traced, sum, units,
};
use std::sync::Arc;

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
}

/// What is wanted in one weather year.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedYear {
    /// Hour by hour, by tier and leg.
    pub profile: HourlyProfile,
    /// Both legs of each tier together: must, want, luxury; 8760 hourly means each, W.
    pub tiers: [Vec<f64>; 3],
}

impl WantedYear {
    fn new(profile: HourlyProfile) -> Self {
        let tiers = [Tier::Must, Tier::Want, Tier::Luxury].map(|tier| profile.tier(tier));
        WantedYear { profile, tiers }
    }

    /// The tiers as the balance takes them.
    pub fn load_w(&self) -> [&[f64]; 3] {
        [&self.tiers[0], &self.tiers[1], &self.tiers[2]]
    }
}

/// What is wanted in every weather year, in their order.
#[derive(Clone, Debug)]
pub struct DemandYears {
    /// Each year; all of them one and the same where nothing follows the weather.
    pub years: Vec<Arc<WantedYear>>,
    /// Key of the layer: equal keys mean equal years.
    pub key: u64,
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
    /// Hour by hour; `None` while a fact is missing.
    pub profile: Result<Arc<HourlyProfile>, Unanswered>,
    /// What is wanted in each weather year.
    pub years: Result<Arc<DemandYears>, Unanswered>,
    /// What the profile rests on.
    pub terms: Vec<Term>,
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

pub(crate) fn demand(system: &System, years: usize, memo: &mut Memo) -> DemandStudy {
    let studied: Vec<LoadStudy> = system.loads.iter().map(load_of).collect();
    let yearly = total(&studied);
    let daily = yearly.and_then(|year| {
        let term = year.term("energy of a year", &units::KILOWATT_HOUR);
        Fact::Known(Traced::series(
            Energy::from_si(year.si() / 365.0),
            "energy of a year over 365 days",
            EVENLY,
            vec![term],
        ))
    });
    let mut uses = Uses::default();
    let inputs: Vec<LoadInput> = system.loads.iter().map(|load| input_of(load, &mut uses)).collect();
    let (profile, terms) = match uses.done() {
        Ok(terms) => (Ok(Arc::new(HourlyProfile::of(&inputs))), terms),
        Err(missing) => (Err(missing), Vec::new()),
    };
    let wanted = profile.as_ref().map_err(Clone::clone).map(|profile| {
        let key = inputs.iter().fold(Key::new("demand").count(years as u64), key_of).done();
        memo.demand.get(key, || {
            let same = Arc::new(WantedYear::new(HourlyProfile::clone(profile)));
            DemandYears { years: vec![same; years], key }
        })
    });
    let bills = system.bills.energy.known();
    let reconciled = match (&profile, bills) {
        (Ok(profile), Some(bills)) => {
            let list = profile.month_wh();
            Some(reconcile(list, bills.value.map(|kwh| kwh * 1000.0)))
        }
        _ => None,
    };
    let difference = reconciled.as_ref().and_then(|r| {
        let mut all = terms.clone();
        if let Some(bills) = bills {
            all.push(Term::words("twelve bills", "kWh by month", bills.origin.clone()));
        }
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
    DemandStudy { loads: studied, yearly, daily, profile, years: wanted, terms, reconciled, difference }
}

fn total(loads: &[LoadStudy]) -> Fact<Energy> {
    let mut parts = Vec::new();
    for load in loads {
        match &load.yearly {
            Fact::Known(yearly) => parts.push((load.name.clone(), yearly.clone())),
            Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
        }
    }
    Fact::Known(sum(parts, &units::KILOWATT_HOUR))
}

fn load_of(load: &Load) -> LoadStudy {
    let daily = match &load.usage {
        Use::Hours { power, hours } => {
            let whole =
                hours.and_then(|h| Fact::Known(h.with(Time::from_si(h.value.iter().sum::<f64>() * 3600.0))));
            EnergyPerDay::of_facts(&load.count, power, &whole)
        }
        Use::Label { energy } => LabelEnergyPerDay::of_facts(&load.count, energy),
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
        yearly: YearOfUse::of_facts(&daily, &days, &load.days_per_week),
        daily,
        start,
        running_w: match &load.usage {
            Use::Hours { power, .. } => power.si().zip(load.count.value()).map(|(w, n)| w * f64::from(n.0)),
            Use::Label { energy } => energy.si().map(|j| j / units::YEAR.factor),
        },
    }
}

fn input_of(load: &Load, uses: &mut Uses) -> LoadInput {
    let of = |what: &str| format!("{}: {what}", load.name);
    let (mut power_w, mut hours, mut label_wh) = (0.0, [0.0; 4], 0.0);
    // A load used on some days of the week is spread over all of them, which moves no energy between months.
    let share = uses.number(&of("days of use a week"), &load.days_per_week, &units::NUMBER) / 7.0;
    match &load.usage {
        Use::Hours { power, hours: stated } => {
            power_w = uses.number(&of("power"), power, &units::WATT);
            let parts = uses.words(&of("hours a day"), stated, |h| {
                format!("{} h", quantity::significant(h.iter().sum::<f64>(), 4))
            });
            hours = parts.unwrap_or_default().map(|h| h * share);
        }
        Use::Label { energy } => {
            label_wh = uses.number(&of("energy a year"), energy, &units::WATT_HOUR) * share
        }
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
        tier: tier.unwrap_or(Tier::Must),
        leg: leg.unwrap_or(Leg::Only),
        shift_into_sun: load.shift_into_sun,
    }
}

/// The key of the layer so far with one more load.
fn key_of(key: Key, load: &LoadInput) -> Key {
    let months = load.months.iter().fold(0, |bits, used| bits << 1 | u64::from(*used));
    key.numbers(&[load.power_w, load.label_wh_per_year, load.count])
        .numbers(&load.hours)
        .count(months)
        .count(loads::tier_index(load.tier) as u64)
        .numbers(&load.leg_shares())
        .count(u64::from(load.shift_into_sun))
}
