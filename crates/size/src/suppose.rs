//! What if: the same system under other circumstances, and other prices.

use crate::outcome::Outcome;
use crate::trial::{Bulk, Candidate, bulk, lived, whole};
use bill::Group;
use design::catalogue::TABLES;
use quantity::{Money, units};
use study::{Memo, Study, WeatherFile};

/// A system under other circumstances.
#[derive(Clone, Debug, PartialEq)]
pub struct Supposed {
    /// Its part in the names of figures.
    pub key: &'static str,
    /// What was supposed, as it follows "if".
    pub says: String,
    /// Its years then, or why there are none.
    pub outcome: Result<Outcome, String>,
}

/// What is supposed of a design text: other figures in some of its fields.
pub(crate) struct Supposing {
    pub(crate) key: &'static str,
    pub(crate) says: &'static str,
    pub(crate) edits: Vec<(String, String)>,
    pub(crate) text: Result<String, String>,
}

/// So much more or less load is supposed.
const OTHER_LOAD: f64 = 0.2;
/// So many years of age are supposed.
const AGE: f64 = 10.0;

/// A fifth more load in every hour, a fifth less, modules ten years old, and batteries ten years old too where a published
/// law of ageing says what is left of them.
pub(crate) fn supposings(text: &str, now: &Study) -> Vec<Supposing> {
    let growth = now.design.system.promise.growth.as_ref().and_then(|fact| fact.si()).unwrap_or(0.0);
    let loads = |share: f64| {
        let percent = ((1.0 + growth) * (1.0 + share) - 1.0) * 100.0;
        vec![("promise.growth".to_string(), format!("\"{percent:.4} %\""))]
    };
    let mut all = vec![
        ("loads-a-fifth-more", "the house used a fifth more in every hour", loads(OTHER_LOAD)),
        ("loads-a-fifth-less", "the house used a fifth less in every hour", loads(-OTHER_LOAD)),
        ("modules-ten-years-old", "the modules were ten years old", older_modules(now)),
    ];
    if let Some(batteries) = older_batteries(now) {
        let mut edits = older_modules(now);
        edits.extend(batteries);
        all.push(("all-ten-years-old", "modules and batteries were ten years old", edits));
    }
    let supposing =
        |(key, says, edits): (_, _, Vec<_>)| Supposing { key, says, text: set(text, &edits), edits };
    all.into_iter().map(supposing).collect()
}

/// A design text under each of the suppositions, studied like any other text.
pub fn suppose(text: &str, file: Option<&WeatherFile>) -> Vec<Supposed> {
    let mut memo = Memo::default();
    let now = whole(text, file, &mut memo);
    let cost = bulk(&now).cost;
    let mut supposed = |supposing: Supposing| {
        let outcome = supposing.text.and_then(|text| {
            let study = lived(&text, file, &mut memo);
            let year = study.year.as_ref().map_err(|_| "a fact for it is not known".to_string())?;
            Outcome::of(&study.design, year, cost).ok_or_else(|| "its years have no result".to_string())
        });
        Supposed { key: supposing.key, says: supposing.says.to_string(), outcome }
    };
    supposings(text, &now).into_iter().map(&mut supposed).collect()
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

/// What ten years leave of the batteries of every bank, as a capacity; `None` where no law says. Banks whose year was walked
/// are of one chemistry and filled and emptied together, so that one law and one pace hold for all of them.
fn older_batteries(study: &Study) -> Option<Vec<(String, String)>> {
    let lost = study.year.as_ref().ok()?.life.as_ref()?.lost_in_ten.si();
    let system = &study.design.system;
    let mut older: Vec<(String, String)> = Vec::new();
    for bank in &system.banks {
        let battery = system.battery(&bank.bank.battery)?;
        let path = format!("battery.{}.capacity", battery.name);
        // Two banks of one part age it once.
        if older.iter().all(|(known, _)| *known != path) {
            let ah = units::AMPERE_HOUR.of_si(battery.capacity.si()?) * (1.0 - lost);
            older.push((path, format!("\"{ah:.4} Ah\"")));
        }
    }
    (!older.is_empty()).then_some(older)
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
/// keeps the promise. Exact among all that the budget allows: whether a system that was left alone keeps the promise is asked of
/// `walk` where nothing proves that it does not.
pub(crate) fn price_shifts(
    candidates: &mut [Candidate],
    walk: &mut dyn FnMut(&mut [Candidate], usize),
) -> Vec<PriceShift> {
    let mut shifts = Vec::new();
    for group in [Group::Modules, Group::Storage] {
        let part = |bulk: &Bulk| if group == Group::Modules { bulk.modules } else { bulk.batteries };
        for factor in [0.75, 1.25] {
            let cost = |candidate: &Candidate| {
                let bulk = candidate.bulk()?;
                let part = part(bulk);
                Some(Money(bulk.cost.0 + ((factor - 1.0) * part.0 as f64).round() as i64))
            };
            let may_keep = |candidate: &Candidate| {
                candidate.outcome().is_some_and(Outcome::keeps)
                    || candidate.skipped().is_some_and(|skipped| !skipped.breaks)
            };
            let mut order: Vec<(Money, usize)> = candidates
                .iter()
                .enumerate()
                .filter(|(_, candidate)| may_keep(candidate))
                .filter_map(|(at, candidate)| Some((cost(candidate)?, at)))
                .collect();
            order.sort_unstable();
            for (cost, best) in order {
                if candidates[best].skipped().is_some() {
                    walk(candidates, best);
                }
                if candidates[best].outcome().is_some_and(Outcome::keeps) {
                    shifts.push(PriceShift { group, factor, best, cost });
                    break;
                }
            }
        }
    }
    shifts
}
