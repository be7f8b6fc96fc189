//! What the fates of all systems come to: the order they are walked in, the front, the nearest misses, the counts.

use crate::outcome::{Outcome, over_budget, promised};
use crate::proof::Proof;
use crate::search::{Ranking, Scale};
use crate::trial::{Bulk, Candidate, Fate, Unpriced, Years};
use bill::Group;
use design::Design;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Nearest misses shown.
const MISSES: usize = 3;

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

/// Items without a price whose amount differs between systems.
pub(crate) fn differing(candidates: &[Candidate], of: impl Fn(Group) -> bool) -> Vec<Arc<str>> {
    let all: Vec<&Bulk> = candidates.iter().filter_map(Candidate::bulk).collect();
    let Some(first) = all.first() else { return Vec::new() };
    let mut items = BTreeSet::new();
    for other in &all {
        if Arc::ptr_eq(&first.unpriced, &other.unpriced) {
            continue;
        }
        for (group, item, _) in first.unpriced.symmetric_difference(&other.unpriced) {
            if of(*group) {
                items.insert(item.clone());
            }
        }
    }
    items.into_iter().collect()
}

pub(crate) fn alike(candidates: &[Candidate]) -> usize {
    let mut all = candidates.iter().filter_map(Candidate::bulk);
    let Some(first) = all.next() else { return 0 };
    let mut common = Unpriced::clone(&first.unpriced);
    for other in all.filter(|other| !Arc::ptr_eq(&first.unpriced, &other.unpriced)) {
        common.retain(|line| other.unpriced.contains(line));
    }
    common.len()
}

/// The large parts decide: while one of them has no price, cost says nothing.
pub(crate) fn ranking(candidates: &[Candidate]) -> Ranking {
    let large = differing(candidates, |group| group < Group::Panels);
    if large.is_empty() { Ranking::Cost } else { Ranking::Size(large) }
}

/// Positions of the systems that can be built, in order.
pub(crate) fn order(candidates: &[Candidate], ranking: &Ranking) -> Vec<usize> {
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
pub(crate) fn scale(now: &Outcome, candidates: &[Candidate]) -> Scale {
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
pub(crate) fn front(
    candidates: &[Candidate],
    order: &[usize],
    scale: Scale,
    ranking: &Ranking,
) -> Vec<usize> {
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
pub(crate) fn misses(design: &Design, candidates: &[Candidate], order: &[usize]) -> Vec<usize> {
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

pub(crate) fn counts(candidates: &[Candidate], design: &Design) -> Counts {
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
                        says: why.says.to_string(),
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
