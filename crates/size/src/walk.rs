//! The walk through the years of all systems that can be built, by rising cost.

use crate::choice::Space;
use crate::examine::{Asked, Walked, examine, examine_costs};
use crate::outcome::{Outcome, over_budget, promised};
use crate::search::{Ranking, Stage, Watch};
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

/// Walks the order until the ceiling of the bill, beyond it only until the first system that keeps everything else. By the
/// cost of all years the cheapest is known only when all are walked, since that cost is not monotone in anything.
pub(crate) fn walk(
    space: &Space,
    design: &Design,
    candidates: &mut [Candidate],
    (order, ranking): (&[usize], &Ranking),
    file: Option<&WeatherFile>,
    memo: &mut Memo,
    watch: &Watch<'_>,
) -> Walk {
    let asked = promised(design);
    let with_cost =
        |at: &usize| -> Asked { (*at, candidates[*at].bulk().map_or(Money::ZERO, |bulk| bulk.cost)) };
    let (inside, beyond): (Vec<Asked>, Vec<Asked>) =
        order.iter().map(with_cost).partition(|(_, cost)| !over_budget(design, *cost));
    let mut walked = Walked::default();
    let mut outcomes_of = |stride: &[Asked]| match ranking {
        Ranking::AllYears => examine_costs(space, design, stride, file, memo, &mut walked),
        Ranking::Cost | Ranking::Size(_) => examine(space, design, stride, file, memo, &mut walked),
    };
    let mut best: Option<(Option<Money>, usize)> = None;
    let mut stopped = false;
    let mut done = 0;
    for stride in strides(&inside) {
        stopped = watch.stop.load(Ordering::Relaxed);
        if stopped {
            break;
        }
        for ((at, _), outcome) in stride.iter().zip(outcomes_of(stride)) {
            if let Ok(outcome) = &outcome
                && asked
                && outcome.keeps()
                && best.is_none_or(|(least, _)| outcome.life < least)
            {
                best = Some((outcome.life, *at));
            }
            keep(&mut candidates[*at], outcome);
            done += 1;
            (watch.progress)(Stage::Years, done, inside.len());
        }
    }
    if !stopped && best.is_none() && asked {
        for stride in strides(&beyond) {
            stopped = watch.stop.load(Ordering::Relaxed);
            if stopped {
                break;
            }
            let mut only_the_bill = false;
            for ((at, _), outcome) in stride.iter().zip(outcomes_of(stride)) {
                only_the_bill |= outcome.as_ref().is_ok_and(|o| o.breaks == [crate::Limit::Budget]);
                keep(&mut candidates[*at], outcome);
                done += 1;
                (watch.progress)(Stage::Years, done, order.len());
            }
            if only_the_bill {
                break;
            }
        }
    }
    Walk { best: best.map(|(_, at)| at), reached: !stopped, walked }
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
