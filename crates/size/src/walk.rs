//! The walk through the years of all systems that can be built, by rising cost.

use crate::examine::{Asked, View, Walked, examine, examine_costs};
use crate::outcome::{Outcome, over_budget, promised};
use crate::proof::Incumbent;
use crate::search::{Ranking, Stage, Watch};
use crate::trial::{Candidate, Fate, Years};
use quantity::Money;
use std::sync::atomic::Ordering;
use study::Memo;

/// Fewest and most systems walked between two looks at the clock; fixed numbers, so that the walk is the same on any machine.
/// The first are few, so that one who waits soon sees how it goes; many are quicker, because more of them go side by side.
const STRIDES: (usize, usize) = (8, 32);

/// What a walk found.
pub(crate) struct Walk {
    /// The first system in order that keeps everything promised.
    pub(crate) best: Option<usize>,
    /// Whether it came to its end.
    pub(crate) reached: bool,
}

/// Walks the order until the ceiling of the bill, beyond it only until the first system that keeps everything else. By cost, what
/// is ruled out by the systems before it is left alone. By the cost of all years the cheapest is known only when all are walked,
/// since that cost is not monotone in anything.
pub(crate) fn walk(
    view: &View<'_>,
    candidates: &mut [Candidate],
    (order, ranking): (&[usize], &Ranking),
    now: &Outcome,
    (memo, walked): (&mut Memo, &mut Walked),
    watch: &Watch<'_>,
) -> Walk {
    let asked = promised(view.design);
    let with_cost = |at: &usize| asked_of(candidates, *at);
    let (inside, beyond): (Vec<Asked>, Vec<Asked>) =
        order.iter().map(with_cost).partition(|(_, cost)| !over_budget(view.design, *cost));
    let mut incumbent = Incumbent::of(now, asked);
    let mut years_of = |stride: &[Asked], incumbent: Option<&Incumbent>| match ranking {
        Ranking::AllYears => examine_costs(view, stride, memo, walked),
        Ranking::Cost | Ranking::Size(_) => examine(view, stride, incumbent, memo, walked),
    };
    let mut best: Option<(Option<Money>, usize)> = None;
    let mut stopped = false;
    let mut done = 0;
    for stride in strides(&inside) {
        stopped = watch.stop.load(Ordering::Relaxed);
        if stopped {
            break;
        }
        for ((at, _), years) in stride.iter().zip(years_of(stride, Some(&incumbent))) {
            if let Years::Walked(outcome) = &years {
                incumbent.saw(outcome);
                if asked && outcome.keeps() && best.is_none_or(|(least, _)| outcome.life < least) {
                    best = Some((outcome.life, *at));
                }
            }
            keep(&mut candidates[*at], years);
            done += 1;
            (watch.progress)(Stage::Years, done, inside.len());
        }
    }
    if !stopped && best.is_none() && asked {
        // Nothing keeps the promise: the nearest misses are looked for among all, also those that were left alone.
        let left_alone: Vec<Asked> =
            inside.into_iter().filter(|(at, _)| candidates[*at].skipped().is_some()).collect();
        for stride in strides(&left_alone) {
            stopped = watch.stop.load(Ordering::Relaxed);
            if stopped {
                break;
            }
            for ((at, _), years) in stride.iter().zip(years_of(stride, None)) {
                keep(&mut candidates[*at], years);
            }
            (watch.progress)(Stage::Years, done, order.len());
        }
        for stride in strides(&beyond) {
            stopped |= watch.stop.load(Ordering::Relaxed);
            if stopped {
                break;
            }
            let mut only_the_bill = false;
            for ((at, _), years) in stride.iter().zip(years_of(stride, None)) {
                only_the_bill |=
                    matches!(&years, Years::Walked(outcome) if outcome.breaks == [crate::Limit::Budget]);
                keep(&mut candidates[*at], years);
                done += 1;
                (watch.progress)(Stage::Years, done, order.len());
            }
            if only_the_bill {
                break;
            }
        }
    }
    Walk { best: best.map(|(_, at)| at), reached: !stopped }
}

/// Walks all years of systems that were left alone and are asked for after all.
pub(crate) fn walk_after_all(
    view: &View<'_>,
    candidates: &mut [Candidate],
    systems: &[usize],
    memo: &mut Memo,
    walked: &mut Walked,
) {
    let left_alone = systems.iter().filter(|at| candidates[**at].skipped().is_some());
    let asked: Vec<Asked> = left_alone.map(|at| asked_of(candidates, *at)).collect();
    for ((at, _), years) in asked.iter().zip(examine(view, &asked, None, memo, walked)) {
        keep(&mut candidates[*at], years);
    }
}

fn asked_of(candidates: &[Candidate], at: usize) -> Asked {
    (at, candidates[at].bulk().map_or(Money::ZERO, |bulk| bulk.cost))
}

fn keep(candidate: &mut Candidate, found: Years) {
    if let Fate::Buildable { years, .. } = &mut candidate.fate {
        *years = found;
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
