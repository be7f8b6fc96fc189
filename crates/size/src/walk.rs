//! The walk through the years of all systems that can be built, by rising cost.

use crate::choice::Space;
use crate::examine::{Asked, Walked, examine};
use crate::outcome::{Outcome, over_budget, promised};
use crate::search::{Stage, Watch};
use crate::trial::{Candidate, Fate};
use design::Design;
use quantity::Money;
use std::sync::atomic::Ordering;
use study::{Memo, WeatherFile};

/// Fewest and most systems walked between two looks at the clock; fixed numbers, so that the walk is the same on any machine.
/// The first are few, so that one who waits soon sees how it goes; many are quicker, because more of them go side by side.
const STRIDES: (usize, usize) = (8, 32);

/// What a walk found.
pub(crate) struct Walk {
    /// The first system in order that keeps everything promised.
    pub(crate) best: Option<usize>,
    /// Whether it came to its end.
    pub(crate) reached: bool,
    /// Weather years walked, by how.
    pub(crate) walked: Walked,
}

/// Walks the order until the ceiling of the bill, beyond it only until the first system that keeps everything else.
pub(crate) fn walk(
    space: &Space,
    design: &Design,
    candidates: &mut [Candidate],
    order: &[usize],
    file: Option<&WeatherFile>,
    memo: &mut Memo,
    watch: &Watch<'_>,
) -> Walk {
    let asked = promised(design);
    let with_cost =
        |at: &usize| -> Asked { (*at, candidates[*at].bulk().map_or(Money::ZERO, |bulk| bulk.cost)) };
    let (inside, beyond): (Vec<Asked>, Vec<Asked>) =
        order.iter().map(with_cost).partition(|(_, cost)| !over_budget(design, *cost));
    let mut found = Walk { best: None, reached: false, walked: Walked::default() };
    let mut done = 0;
    for stride in strides(&inside) {
        if watch.stop.load(Ordering::Relaxed) {
            return found;
        }
        let outcomes = examine(space, design, stride, file, memo, &mut found.walked);
        for ((at, _), outcome) in stride.iter().zip(outcomes) {
            if asked && found.best.is_none() && outcome.as_ref().is_ok_and(Outcome::keeps) {
                found.best = Some(*at);
            }
            keep(&mut candidates[*at], outcome);
            done += 1;
            (watch.progress)(Stage::Years, done, inside.len());
        }
    }
    if found.best.is_some() || !asked {
        found.reached = true;
        return found;
    }
    for stride in strides(&beyond) {
        if watch.stop.load(Ordering::Relaxed) {
            return found;
        }
        let mut only_the_bill = false;
        let outcomes = examine(space, design, stride, file, memo, &mut found.walked);
        for ((at, _), outcome) in stride.iter().zip(outcomes) {
            only_the_bill |= outcome.as_ref().is_ok_and(|o| o.breaks == [crate::Limit::Budget]);
            keep(&mut candidates[*at], outcome);
            done += 1;
            (watch.progress)(Stage::Years, done, order.len());
        }
        if only_the_bill {
            break;
        }
    }
    found.reached = true;
    found
}

fn keep(candidate: &mut Candidate, outcome: Result<Outcome, String>) {
    if let Fate::Buildable { outcome: place, .. } = &mut candidate.fate {
        *place = Some(outcome.map(Box::new));
    }
}

fn strides(mut systems: &[Asked]) -> Vec<&[Asked]> {
    let (mut length, most) = STRIDES;
    let mut strides = Vec::new();
    while !systems.is_empty() {
        let (stride, rest) = systems.split_at(length.min(systems.len()));
        strides.push(stride);
        systems = rest;
        length = (length * 2).min(most);
    }
    strides
}
