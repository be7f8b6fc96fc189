//! The search: every system is tried against the rules; those that can be built are walked by rising cost.
//!
//! The first system on that walk that keeps the promise is the cheapest one exactly, because every cheaper one was
//! looked at. That needs no monotonicity, which is false where a backup source switches at thresholds. The front of cost
//! against hours asks for all of them up to the ceiling of the bill, and so that is where the walk ends; a system that is proven
//! to be neither the answer nor on the front is left alone on the way ([`crate::proof`]).

use crate::choice::{Refusal, Space};
use crate::examine::{View, Walked, with_life};
use crate::margin::{Step, neighbours, steps};
use crate::outcome::{Outcome, promised};
use crate::repeated::repeated;
use crate::stages::{Growth, stages};
use crate::suppose::{PriceShift, price_shifts};
use crate::tally::{Counts, alike, counts, differing, front, misses, order, ranking, scale};
use crate::trial::{Bulk, Candidate, Fate, Open, Shared, bulk, open_questions, try_text, unanswered};
use crate::walk::{Walk, walk, walk_after_all};
use bill::Group;
use design::Design;
use quantity::{Gap, Money};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use study::{Depth, Memo, Study, WeatherFile};

/// What a search is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // The names say it.
pub enum Stage {
    Rules,
    Years,
}

/// How a search is looked after.
pub struct Watch<'a> {
    /// Set by whoever wants it to end.
    pub stop: &'a AtomicBool,
    /// Told what it does, how far it is, and of how many.
    pub progress: &'a (dyn Fn(Stage, usize, usize) + Sync),
}

/// By what systems are put in order.
#[derive(Clone, Debug, PartialEq)]
pub enum Ranking {
    /// By the sum of the purchase list.
    Cost,
    /// By all costs of the years in today's money, where the design asks for it and they are known.
    AllYears,
    /// By size, smallest first, because these items differ between systems and have no price.
    Size(Vec<Arc<str>>),
}

impl Ranking {
    /// What a system costs by this; the part with a price where systems are put in order of size.
    pub fn cost(&self, candidate: &Candidate) -> Option<Money> {
        match self {
            Ranking::AllYears => candidate.outcome()?.life,
            Ranking::Cost | Ranking::Size(_) => Some(candidate.bulk()?.cost),
        }
    }
}

/// The measure of hardship on the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // The names say it.
pub enum Scale {
    BackupHours,
    DarkHours,
    MissingEnergy,
}

impl Scale {
    /// The measure of an outcome: hours, or watt-hours missing.
    pub fn of(self, outcome: &Outcome) -> f64 {
        match self {
            Scale::BackupHours => outcome.backup_h,
            Scale::DarkHours => outcome.dark_h,
            Scale::MissingEnergy => outcome.missing_wh,
        }
    }
}

/// How far the search came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finished {
    /// Everything it set out for.
    Whole,
    /// It was stopped, but every system cheaper than the cheapest found was looked at.
    CheapestProven,
    /// It was stopped; what it found is the best so far and not proven.
    Stopped,
}

/// Question 4 answered.
#[derive(Clone, Debug)]
pub struct SizeStudy {
    /// What varied.
    pub space: Space,
    /// Every system, by its position in the space.
    pub candidates: Vec<Candidate>,
    /// By what they were put in order.
    pub ranking: Ranking,
    /// The design as it stands: what it is and its years.
    pub present: (Bulk, Outcome),
    /// Its position in the space, where it has one.
    pub present_at: Option<usize>,
    /// Whether anything is promised.
    pub promised: bool,
    /// Measure of the front.
    pub scale: Scale,
    /// The first system in order that keeps the promise.
    pub best: Option<usize>,
    /// Systems that no other one beats in both cost and hardship, by rising cost.
    pub front: Vec<usize>,
    /// What one step of each knob brings, from the best system, or from the present one where none keeps the promise.
    pub steps: Vec<Step>,
    /// What would be chosen at other prices.
    pub price_shifts: Vec<PriceShift>,
    /// The nearest misses where nothing keeps the promise, nearest first.
    pub misses: Vec<usize>,
    /// How far it came.
    pub finished: Finished,
    /// Counts.
    pub counts: Counts,
    /// Weather years walked, by how.
    pub walked: Walked,
    /// Why the costs of all years are not what systems are put in order by, although the design asks for it.
    pub costs_unknown: Option<String>,
    /// Codes of rules that lack a fact for the present design and every system alike.
    pub open: Vec<&'static str>,
    /// The facts that these rules lack.
    pub unanswered: Option<Gap>,
    /// Items without a price that are the same in every system that can be built.
    pub unpriced_alike: usize,
    /// Items of wire, raceway and protection without a price that differ between systems.
    pub unpriced_small: Vec<Arc<str>>,
    /// The stages in which the design grows.
    pub growth: Growth,
}

/// The text of a design with the settings of a system.
///
/// # Errors
/// In words, where an edit does not apply.
pub fn changed_text(space: &Space, design: &Design, system: usize) -> Result<String, String> {
    space.text(design, system)
}

/// Layers of a kind kept while searching: arrangements of strings take turns on the walk. A layer of an array is some megabytes for
/// each ten years, so that of many years fewer are kept; and fewer yet where systems are so many that they need the room.
const MOST_LAYERS: usize = 64;
/// Years of layers kept, and fewest layers, for so many systems and for more.
const FEW_SYSTEMS: (u64, usize, usize) = (1000, 320, 12);
const MANY_SYSTEMS: (usize, usize) = (100, 5);

/// Searches the space of a design's choices.
///
/// # Errors
/// [`Refusal`] when there is nothing to search, or too much.
pub fn search(
    design: &Arc<Design>,
    file: Option<&WeatherFile>,
    watch: &Watch<'_>,
) -> Result<SizeStudy, Refusal> {
    let space = Space::of(design)?;
    let mut memo = Memo::with_room(room(design, space.systems()));
    let now = Study::of(design.clone(), file, Depth::Years, &mut memo);
    let year = now.year.as_ref().map_err(|why| Refusal::NoYear(why.clone()))?;
    let now_bulk = bulk(&now);
    let now_years =
        Outcome::of(design, year, now_bulk.cost).ok_or(Refusal::NoYear(study::Unanswered::NotAsked))?;
    // Asked of the present design at the depth at which the others are judged.
    let judged_now = Study::of(design.clone(), file, Depth::WithoutYear, &mut memo);
    let open = open_questions(&judged_now);
    let mut candidates = by_rules(&space, design, file, &open, &memo, watch);
    let mut ranking = ranking(&candidates);
    let (now_years, costs_unknown) = match with_costs(&now, &now_bulk, &ranking) {
        Some(Ok(outcome)) => {
            ranking = Ranking::AllYears;
            (outcome, None)
        }
        Some(Err(why)) => (now_years, Some(why)),
        None => (now_years, None),
    };
    let mut order = order(&candidates, &ranking);
    let hardest = hardest(year);
    let view = View { space: &space, design, file, hardest: &hardest };
    let mut walked = Walked::default();
    let Walk { best, reached } =
        walk(&view, &mut candidates, (&order, &ranking), &now_years, (&mut memo, &mut walked), watch);
    if ranking == Ranking::AllYears {
        order.sort_by_key(|at| ranking.cost(&candidates[*at]).unwrap_or(Money(i64::MAX)));
    }
    let all_tried = !candidates.iter().any(|candidate| matches!(candidate.fate, Fate::NotTried));
    let finished = match (reached, best) {
        (true, _) if all_tried => Finished::Whole,
        (false, Some(_)) if all_tried && ranking != Ranking::AllYears => Finished::CheapestProven,
        _ => Finished::Stopped,
    };
    let scale = scale(&now_years, &candidates);
    let present_at = space.present();
    let front = front(&candidates, &order, scale, &ranking);
    let from = best.or(present_at);
    let stopped = watch.stop.load(Ordering::Relaxed);
    let mut after_all = |candidates: &mut [Candidate], systems: &[usize]| {
        if !stopped {
            walk_after_all(&view, candidates, systems, &mut memo, &mut walked);
        }
    };
    if let Some(from) = from {
        let beside: Vec<usize> =
            neighbours(&space, &candidates, from).into_iter().map(|(_, to)| to).collect();
        after_all(&mut candidates, &beside);
    }
    let price_shifts = match ranking {
        Ranking::Cost if best.is_some() => {
            price_shifts(&mut candidates, &mut |candidates, at| after_all(candidates, &[at]))
        }
        _ => Vec::new(),
    };
    let growth = if stopped { Growth::default() } else { stages(design, file, &open, &mut memo) };
    Ok(SizeStudy {
        growth,
        price_shifts,
        steps: from.map_or_else(Vec::new, |from| steps(&space, &candidates, from)),
        misses: if best.is_none() { misses(design, &candidates, &order) } else { Vec::new() },
        counts: counts(&candidates, design),
        unpriced_alike: alike(&candidates),
        unpriced_small: differing(&candidates, |group| group >= Group::Panels),
        open: open.iter().map(|(code, _)| *code).collect::<BTreeSet<_>>().into_iter().collect(),
        unanswered: unanswered(&judged_now),
        walked,
        costs_unknown,
        promised: promised(design),
        present: (now_bulk, now_years),
        present_at,
        space,
        candidates,
        ranking,
        scale,
        best,
        front,
        finished,
    })
}

fn room(design: &Design, systems: u64) -> usize {
    let years = design.system.place.weather.years.value().map_or(1, |years| years.0.max(1) as usize);
    let (few, kept_of_few, fewest_of_few) = FEW_SYSTEMS;
    let (kept, fewest) = if systems <= few { (kept_of_few, fewest_of_few) } else { MANY_SYSTEMS };
    (kept / years).clamp(fewest, MOST_LAYERS)
}

/// Positions of the weather years, the hardest for the present design first.
fn hardest(year: &study::YearStudy) -> Vec<usize> {
    let Ok(results) = year.results.as_ref() else { return Vec::new() };
    let years: Vec<energy::YearInShort> = results.iter().map(energy::YearInShort::from).collect();
    let mut order: Vec<usize> = (0..years.len()).collect();
    let hardship = |at: usize| (years[at].backup_h, years[at].missing_total_wh());
    order.sort_by(|a, b| {
        let (one, other) = (hardship(*a), hardship(*b));
        other.0.total_cmp(&one.0).then(other.1.total_cmp(&one.1)).then(a.cmp(b))
    });
    order
}

/// Every system against the rules that do not need its year.
fn by_rules(
    space: &Space,
    design: &Design,
    file: Option<&WeatherFile>,
    open: &Open,
    memo: &Memo,
    watch: &Watch<'_>,
) -> Vec<Candidate> {
    let systems = space.systems() as usize;
    let same = repeated(space, design);
    let shared = Shared::default();
    // Memos are lent to whoever is free: each holds what it was warmed with and what it met.
    let memos: Mutex<Vec<Memo>> = Mutex::new(Vec::new());
    let done = std::sync::atomic::AtomicUsize::new(0);
    let candidate = |system: usize| {
        let fate = if watch.stop.load(Ordering::Relaxed) {
            Fate::NotTried
        } else if same[system] as usize != system {
            Fate::Same(same[system] as usize)
        } else {
            match space.text(design, system) {
                Err(says) => Fate::Rejected(crate::Rejection {
                    code: "",
                    name: "not-understood",
                    says: says.into(),
                    undecided: false,
                }),
                Ok(text) => {
                    let lent = memos.lock().ok().and_then(|mut free| free.pop());
                    let mut own = lent.unwrap_or_else(|| memo.clone());
                    let fate = try_text(&text, file, open, &mut own);
                    if let Ok(mut free) = memos.lock() {
                        free.push(own);
                    }
                    fate
                }
            }
        };
        (watch.progress)(Stage::Rules, done.fetch_add(1, Ordering::Relaxed) + 1, systems);
        Candidate { fate: shared.shared(fate) }
    };
    (0..systems).into_par_iter().map(candidate).collect()
}

/// The years of the present design with all their costs, where it asks for these; in words why they are not known.
fn with_costs(now: &Study, bulk: &Bulk, ranking: &Ranking) -> Option<Result<Outcome, String>> {
    if now.design.system.money.by_all_years.value() != Some(&true) {
        return None;
    }
    Some(match ranking {
        Ranking::Size(items) => Err(format!("without a price: {}", items.join(", "))),
        Ranking::Cost | Ranking::AllYears => with_life(now, bulk.cost),
    })
}
