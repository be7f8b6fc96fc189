//! The cheapest over all years against brute force: every system studied for itself with all its costs.
#![allow(clippy::unwrap_used)]

use design::Design;
use quantity::Money;
use size::{Finished, Ranking, SizeStudy, Watch, search};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use study::{Depth, Memo, Study};

fn set(text: &str, path: &str, value: &str) -> String {
    design::edit::set(text, path, value, design::catalogue::TABLES).unwrap()
}

/// The shipped house on the coast with one weather year, twelve systems and the least cost of all years asked for.
fn harbour() -> String {
    let mut text = include_str!("../../../designs/harbour-house/harbour-house.toml").to_string();
    for (path, value) in [
        ("place.weather.years", "1"),
        ("money.cheapest_by", "\"all years\""),
        ("promise.missing_per_year", "\"900 kWh\""),
        ("promise.drill.may_fail", "\"in one year of ten\""),
        ("promise.budget", "40000"),
        ("choice.batteries.from", "2"),
        ("choice.batteries.to", "4"),
        ("choice.modules to the north.to", "8"),
        ("choice.modules to the west.to", "7"),
    ] {
        text = set(&text, path, value);
    }
    text
}

fn searched(
    text: &str,
    stop: &AtomicBool,
    progress: &(dyn Fn(size::Stage, usize, usize) + Sync),
) -> SizeStudy {
    let design = Arc::new(Design::of_text(text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    search(&design, None, &Watch { stop, progress }).unwrap()
}

#[test]
fn the_cheapest_over_all_years_is_that_of_the_money_of_every_system() {
    let text = harbour();
    let found = searched(&text, &AtomicBool::new(false), &|_, _, _| {});
    assert_eq!((&found.ranking, &found.costs_unknown), (&Ranking::AllYears, &None));
    assert_eq!(found.finished, Finished::Whole);
    let design = Arc::new(Design::of_text(&text));
    let mut cheapest: Option<(Money, usize)> = None;
    let mut looked_at = 0;
    for (at, candidate) in found.candidates.iter().enumerate() {
        let Some(outcome) = candidate.outcome() else { continue };
        let text = size::changed_text(&found.space, &design, at).unwrap();
        let study = Study::of(Arc::new(Design::of_text(&text)), None, Depth::Whole, &mut Memo::default());
        let total = study.money.as_ref().unwrap().life.as_ref().unwrap().total.value;
        assert_eq!(outcome.life, Some(total), "system {at}");
        looked_at += 1;
        if outcome.keeps() && cheapest.is_none_or(|(least, _)| total < least) {
            cheapest = Some((total, at));
        }
    }
    assert!(looked_at >= 8 && cheapest.is_some(), "{looked_at} {:?}", found.counts);
    assert_eq!(found.best, cheapest.map(|(_, at)| at));
    // The front is one of this cost, not of the purchase.
    let costs: Vec<Money> =
        found.front.iter().map(|at| found.candidates[*at].outcome().unwrap().life.unwrap()).collect();
    assert!(costs.windows(2).all(|pair| pair[0] < pair[1]), "{costs:?}");
}

/// Cheaper to buy is not cheaper to own, so what is found before all are costed is never called proven.
#[test]
fn a_search_by_all_years_that_is_stopped_is_not_proven() {
    let stop = AtomicBool::new(false);
    let found = searched(&harbour(), &stop, &|stage, done, _| {
        if stage == size::Stage::Years && done == 8 {
            stop.store(true, Ordering::Relaxed);
        }
    });
    assert!(found.counts.not_reached > 0, "{:?}", found.counts);
    assert_eq!(found.finished, Finished::Stopped);
}

#[test]
fn costs_that_cannot_be_said_leave_the_purchase_and_a_note() {
    let text = design::edit::remove(&harbour(), "money.upkeep").unwrap();
    let found = searched(&text, &AtomicBool::new(false), &|_, _, _| {});
    assert_eq!(found.ranking, Ranking::Cost);
    assert!(
        found.costs_unknown.as_ref().is_some_and(|why| why.contains("upkeep")),
        "{:?}",
        found.costs_unknown
    );
}
