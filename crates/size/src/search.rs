//! The search: every system is tried against the rules; those that can be built are walked by rising cost.
//!
//! The first system on that walk that keeps the promise is the cheapest one exactly, because every cheaper one was
//! looked at. That needs no monotonicity, which is false where a backup source switches at thresholds. The front of cost
//! against hours asks for all of them up to the ceiling of the bill, and so that is where the walk ends; a system that is proven
//! to be neither the answer nor on the front is left alone on the way ([`crate::proof`]).

use crate::choice::{Refusal, Space};
use crate::examine::{View, Walked, with_life};
use crate::margin::{Step, neighbours, steps};
use crate::outcome::{Outcome, over_budget, promised};
use crate::proof::Proof;
use crate::stages::{Growth, stages};
use crate::suppose::{PriceShift, price_shifts};
use crate::trial::{Bulk, Candidate, Fate, Open, Years, bulk, open_questions, try_text, unanswered};
use crate::walk::{Walk, walk, walk_after_all};
use bill::Group;
use design::Design;
use quantity::{Gap, Money};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::hash::{DefaultHasher, Hash, Hasher};
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

/// Systems rejected for one reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Rejected {
    /// Code of the rule; empty where the text is not understood.
    pub code: &'static str,
    /// Name of the situation.
    pub name: &'static str,
    /// The finding of the first of them.
    pub says: String,
    /// How many.
    pub systems: usize,
    /// Whether the rule lacks a fact.
    pub undecided: bool,
}

/// How many systems met which fate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Counts {
    /// In the space.
    pub systems: usize,
    /// The same as another one.
    pub repeated: usize,
    /// Cannot be built, by reason, most first.
    pub rejected: Vec<Rejected>,
    /// Can be built.
    pub buildable: usize,
    /// Walked through every weather year.
    pub examined: usize,
    /// Proven to be neither the answer nor on the front before any of their years was walked.
    pub skipped_unwalked: usize,
    /// The same after the hardest of their years.
    pub skipped_after_hardest: usize,
    /// Weather years that these proofs spared.
    pub years_spared: usize,
    /// Dearer than the ceiling of the bill and left alone for that.
    pub over_budget: usize,
    /// Can be built but have no year.
    pub without_year: usize,
    /// Not reached because the search was stopped.
    pub not_reached: usize,
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

/// Layers kept while searching: arrangements of strings take turns on the walk.
const ROOM: usize = 64;
/// Nearest misses shown.
const MISSES: usize = 3;

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
    let mut memo = Memo::with_room(ROOM);
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
    // Memos are lent to whoever is free: each holds what it was warmed with and what it met.
    let memos: Mutex<Vec<Memo>> = Mutex::new(Vec::new());
    let done = std::sync::atomic::AtomicUsize::new(0);
    let candidate = |system: usize| {
        let fate = if watch.stop.load(Ordering::Relaxed) {
            Fate::NotTried
        } else if same[system] != system {
            Fate::Same(same[system])
        } else {
            match space.text(design, system) {
                Err(says) => Fate::Rejected(crate::Rejection {
                    code: "",
                    name: "not-understood",
                    says,
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
        Candidate { picks: space.picks(system), fate }
    };
    (0..systems).into_par_iter().map(candidate).collect()
}

/// For each system the first one with the same text. Texts are many and long, so that only a number made of each is kept;
/// where two are equal the texts themselves decide.
fn repeated(space: &Space, design: &Design) -> Vec<usize> {
    let text = |system| space.text(design, system).ok();
    let number = |system| {
        text(system).map(|text| {
            let mut hasher = DefaultHasher::new();
            text.hash(&mut hasher);
            hasher.finish()
        })
    };
    let numbers: Vec<Option<u64>> = (0..space.systems() as usize).into_par_iter().map(number).collect();
    let mut first: HashMap<u64, Vec<usize>> = HashMap::new();
    let mut same: Vec<usize> = (0..numbers.len()).collect();
    for (at, number) in numbers.into_iter().enumerate() {
        let Some(number) = number else { continue };
        let before = first.entry(number).or_default();
        match before.iter().find(|before| text(**before) == text(at)) {
            Some(equal) => same[at] = *equal,
            None => before.push(at),
        }
    }
    same
}

/// Items without a price whose amount differs between systems.
fn differing(candidates: &[Candidate], of: impl Fn(Group) -> bool) -> Vec<Arc<str>> {
    let all: Vec<&Bulk> = candidates.iter().filter_map(Candidate::bulk).collect();
    let Some(first) = all.first() else { return Vec::new() };
    let mut items = BTreeSet::new();
    for other in &all {
        for (group, item, _) in first.unpriced.symmetric_difference(&other.unpriced) {
            if of(*group) {
                items.insert(item.clone());
            }
        }
    }
    items.into_iter().collect()
}

fn alike(candidates: &[Candidate]) -> usize {
    let mut all = candidates.iter().filter_map(Candidate::bulk);
    let Some(first) = all.next() else { return 0 };
    let mut common = first.unpriced.clone();
    for other in all {
        common.retain(|line| other.unpriced.contains(line));
    }
    common.len()
}

/// The large parts decide: while one of them has no price, cost says nothing.
fn ranking(candidates: &[Candidate]) -> Ranking {
    let large = differing(candidates, |group| group < Group::Panels);
    if large.is_empty() { Ranking::Cost } else { Ranking::Size(large) }
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

/// Positions of the systems that can be built, in order.
fn order(candidates: &[Candidate], ranking: &Ranking) -> Vec<usize> {
    let mut order: Vec<(usize, &Bulk)> =
        candidates.iter().enumerate().filter_map(|(at, c)| c.bulk().map(|bulk| (at, bulk))).collect();
    order.sort_by(|(a, one), (b, other)| {
        let by_size = || {
            one.battery_wh
                .total_cmp(&other.battery_wh)
                .then(one.module_w.total_cmp(&other.module_w))
                .then(one.inverter_w.total_cmp(&other.inverter_w))
        };
        match ranking {
            Ranking::Cost | Ranking::AllYears => one.cost.cmp(&other.cost).then_with(by_size),
            Ranking::Size(_) => by_size().then(one.cost.cmp(&other.cost)),
        }
        .then(a.cmp(b))
    });
    order.into_iter().map(|(at, _)| at).collect()
}

/// Hours on backup where there is one, else dark hours, else energy missing.
fn scale(now: &Outcome, candidates: &[Candidate]) -> Scale {
    let any = |of: fn(&Outcome) -> f64| {
        of(now) > 0.0 || candidates.iter().filter_map(Candidate::outcome).any(|outcome| of(outcome) > 0.0)
    };
    if any(|o| o.backup_h) {
        Scale::BackupHours
    } else if any(|o| o.dark_h) {
        Scale::DarkHours
    } else {
        Scale::MissingEnergy
    }
}

/// Systems that no other beats in both; of equals the first in order.
fn front(candidates: &[Candidate], order: &[usize], scale: Scale, ranking: &Ranking) -> Vec<usize> {
    let mut least = f64::INFINITY;
    let mut front: Vec<usize> = Vec::new();
    for &at in order {
        let Some(outcome) = candidates[at].outcome() else { continue };
        let hardship = scale.of(outcome);
        if hardship < least {
            // Of systems that cost the same the one with the least hardship stands.
            let same_cost = |other: usize| ranking.cost(&candidates[other]) == ranking.cost(&candidates[at]);
            if front.last().is_some_and(|last| same_cost(*last)) {
                front.pop();
            }
            front.push(at);
            least = hardship;
        }
    }
    front
}

/// The systems that break the fewest limits, then in the fewest years, then least on the worst scale.
fn misses(design: &Design, candidates: &[Candidate], order: &[usize]) -> Vec<usize> {
    if !promised(design) {
        return Vec::new();
    }
    let mut all: Vec<(usize, &Outcome)> =
        order.iter().filter_map(|&at| candidates[at].outcome().map(|outcome| (at, outcome))).collect();
    // The order is one of rising cost already, and the sort keeps it among equals.
    all.sort_by_key(|(_, outcome)| {
        let drill = outcome.drill.map_or(0, |(carried, of)| of - carried);
        (outcome.breaks.len(), outcome.broken.saturating_sub(outcome.allowed), drill)
    });
    all.into_iter().take(MISSES).map(|(at, _)| at).collect()
}

fn counts(candidates: &[Candidate], design: &Design) -> Counts {
    let mut counts = Counts { systems: candidates.len(), ..Counts::default() };
    let mut reasons: BTreeMap<(&'static str, bool), Rejected> = BTreeMap::new();
    for candidate in candidates {
        match &candidate.fate {
            Fate::NotTried => counts.not_reached += 1,
            Fate::Same(_) => counts.repeated += 1,
            Fate::Rejected(why) => {
                reasons
                    .entry((why.code, why.undecided))
                    .or_insert_with(|| Rejected {
                        code: why.code,
                        name: why.name,
                        says: why.says.clone(),
                        systems: 0,
                        undecided: why.undecided,
                    })
                    .systems += 1;
            }
            Fate::Buildable { bulk, years } => {
                counts.buildable += 1;
                match years {
                    Years::Walked(_) => counts.examined += 1,
                    Years::None(_) => counts.without_year += 1,
                    Years::Skipped(skipped) => {
                        counts.years_spared += skipped.spared;
                        match skipped.proof {
                            Proof::Unwalked => counts.skipped_unwalked += 1,
                            Proof::HardestYears => counts.skipped_after_hardest += 1,
                        }
                    }
                    Years::NotLookedAt if over_budget(design, bulk.cost) => counts.over_budget += 1,
                    Years::NotLookedAt => counts.not_reached += 1,
                }
            }
        }
    }
    counts.rejected = reasons.into_values().collect();
    counts.rejected.sort_by(|a, b| b.systems.cmp(&a.systems).then(a.code.cmp(b.code)));
    counts
}
