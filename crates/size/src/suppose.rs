//! What if: the same system under other circumstances, and other prices.

use crate::outcome::Outcome;
use crate::search::{Ranking, SizeStudy};
use crate::trial::{Candidate, bulk, whole};
use bill::Group;
use design::catalogue::TABLES;
use quantity::{Money, units};
use study::{Memo, Study, WeatherFile};

/// A system under other circumstances.
#[derive(Clone, Debug, PartialEq)]
pub struct Supposed {
    /// What was supposed, as it follows "if".
    pub says: String,
    /// Its years then, or why there are none.
    pub outcome: Result<Outcome, String>,
}

/// So much more load is supposed.
const MORE: f64 = 0.2;
/// So many years of age are supposed.
const AGE: f64 = 10.0;

/// A design text with a fifth more load in every hour, with its modules ten years old, and with its batteries ten years
/// old too where a published law of ageing says what is left of them. Each is a text with other figures, studied like
/// any other.
pub fn suppose(text: &str, file: Option<&WeatherFile>) -> Vec<Supposed> {
    let mut memo = Memo::default();
    let now = whole(text, file, &mut memo);
    let mut all = Vec::new();
    let mut push = |says: String, edited: Result<String, String>| {
        let outcome = edited.and_then(|text| {
            let study = whole(&text, file, &mut memo);
            let year = study.year.as_ref().map_err(|_| "a fact for it is not known".to_string())?;
            Outcome::of(&study.design, year, bulk(&now).cost)
                .ok_or_else(|| "its years have no result".to_string())
        });
        all.push(Supposed { says, outcome });
    };
    let growth = now.design.system.promise.growth.as_ref().and_then(|fact| fact.si()).unwrap_or(0.0);
    let percent = ((1.0 + growth) * (1.0 + MORE) - 1.0) * 100.0;
    push(
        "the house used a fifth more in every hour".into(),
        set(text, &[("promise.growth".into(), format!("\"{percent:.4} %\""))]),
    );
    push("the modules were ten years old".into(), set(text, &older_modules(&now)));
    if let Some(batteries) = older_batteries(&now) {
        let mut edits = older_modules(&now);
        edits.extend(batteries);
        push("modules and batteries were ten years old".into(), set(text, &edits));
    }
    all
}

fn set(text: &str, edits: &[(String, String)]) -> Result<String, String> {
    edits
        .iter()
        .try_fold(text.to_string(), |text, (path, value)| design::edit::set(&text, path, value, TABLES))
        .map_err(|error| error.to_string())
}

fn older_modules(study: &Study) -> Vec<(String, String)> {
    let strings = study.design.system.strings.iter();
    strings
        .map(|s| {
            let age = s.string.age_years.si().unwrap_or(0.0) + AGE;
            (format!("string.{}.age", s.string.name), age.to_string())
        })
        .collect()
}

/// What ten years leave of the batteries of the first bank, as a capacity; `None` where no law says.
fn older_batteries(study: &Study) -> Option<Vec<(String, String)>> {
    let lost = study.year.as_ref().ok()?.life.as_ref()?.lost_in_ten.si();
    let bank = study.design.system.banks.first()?;
    let battery = study.design.system.battery(&bank.bank.battery)?;
    let ah = units::AMPERE_HOUR.of_si(battery.capacity.si()?) * (1.0 - lost);
    Some(vec![(format!("battery.{}.capacity", battery.name), format!("\"{ah:.4} Ah\""))])
}

/// What would be chosen at another price of one group of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct PriceShift {
    /// The parts.
    pub group: Group,
    /// Their price over the present one.
    pub factor: f64,
    /// The cheapest that keeps the promise then.
    pub best: usize,
    /// What it costs then.
    pub cost: Money,
}

/// The cheapest system when modules or batteries cost a quarter less or more; none where cost is not the order or nothing
/// keeps the promise. Exact among the systems whose years were looked at.
pub fn price_shifts(study: &SizeStudy) -> Vec<PriceShift> {
    if study.ranking != Ranking::Cost || study.best.is_none() {
        return Vec::new();
    }
    let mut shifts = Vec::new();
    for group in [Group::Modules, Group::Storage] {
        for factor in [0.75, 1.25] {
            let cost = |candidate: &Candidate| {
                let bulk = candidate.bulk()?;
                let part =
                    bulk.by_group.iter().find(|(g, _)| *g == group).map_or(Money::ZERO, |(_, sum)| *sum);
                Some(Money(bulk.cost.0 + ((factor - 1.0) * part.0 as f64).round() as i64))
            };
            let kept =
                study.candidates.iter().enumerate().filter(|(_, c)| c.outcome().is_some_and(Outcome::keeps));
            let best = kept.filter_map(|(at, c)| Some((cost(c)?, at))).min();
            shifts.extend(best.map(|(cost, best)| PriceShift { group, factor, best, cost }));
        }
    }
    shifts
}
