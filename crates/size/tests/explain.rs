//! Every number of the answer explains itself.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::{Figure, Origin, Value, units};
use size::{AS_DRAWN, SizeStudy, Watch, explain, search};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

fn house() -> Arc<Design> {
    let text = include_str!("../../rules/src/trial_house.toml");
    let set = |text: &str, path: &str, value: &str| {
        design::edit::set(text, path, value, design::catalogue::TABLES).unwrap()
    };
    let text = set(text, "place.weather.years", "2");
    let text = set(&text, "load.lights.watts", "700");
    let text = set(&text, "load.lights.tier", "\"must\"");
    let choices = "[promise]\nmust_loads_dark = \"400 h\"\n\
        [[choice]]\nname = \"batteries\"\nsets = [\"bank.bank.parallel\"]\nfrom = 2\nto = 6\nstep = 2\n\
        [[choice]]\nname = \"modules\"\nsets = [\"string.row.count\"]\nfrom = 6\nto = 8\n";
    let design = Design::of_text(&format!("{text}\n{choices}"));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Arc::new(design)
}

fn searched(design: &Arc<Design>) -> SizeStudy {
    let stop = AtomicBool::new(false);
    search(design, None, &Watch { stop: &stop, progress: &|_, _, _| {} }).unwrap()
}

fn number(figure: &Figure) -> f64 {
    match &figure.value {
        Value::Money(money) => money.units(),
        value => value.number().unwrap(),
    }
}

/// Every working on the way down gives its value again when its printed text is evaluated on its printed terms.
fn recomputes(origin: &Origin) -> usize {
    let mut workings = 0;
    origin.walk(&mut |origin| {
        for term in origin.terms() {
            if let Origin::Computed(working) = &term.origin
                && let (Ok(again), Some(value)) = (working.recompute(), term.value.number())
            {
                assert!((again - value).abs() <= 1e-6 * value.abs().max(1.0), "{term:?}: {again}");
                workings += 1;
            }
        }
    });
    workings
}

#[test]
fn the_figures_of_every_system_are_those_of_the_search() {
    let design = house();
    let found = searched(&design);
    for at in [found.front[0], found.best.unwrap()] {
        let candidate = &found.candidates[at];
        let (bulk, outcome) = (candidate.bulk().unwrap(), candidate.outcome().unwrap());
        let of = |figure: &str| {
            let name = format!("size/{}/{figure}", found.space.name(at));
            let figure = explain(&design, None, &name).unwrap_or_else(|| panic!("{name}"));
            assert_eq!(figure.name.as_str(), name);
            figure
        };
        assert_eq!(number(&of("bill/total")), bulk.cost.units());
        assert_eq!(number(&of("year/dark-hours")), outcome.dark_h * 3600.0);
        assert_eq!(number(&of("year/missing")), units::WATT_HOUR.to_si(outcome.missing_wh));
        assert_eq!(number(&of("promise/years-broken")), outcome.broken as f64);
        assert_eq!(number(&of("leanest/dark-hours")), outcome.leanest.dark_h * 3600.0);
        assert!(recomputes(&of("bill/total").origin) > 0);
    }
}

/// A line of the design that says two batteries cannot be why a system with six has its price.
#[test]
fn what_a_choice_decided_is_told_as_such() {
    let design = house();
    let origin = |name: &str| explain(&design, None, name).unwrap().origin;
    let decided = |origin: &Origin| {
        let mut found = Vec::new();
        origin.walk(&mut |origin| {
            if let Origin::Found(choice) = origin
                && choice.because.contains("in the system asked about")
            {
                found.push(choice.because.to_string());
            }
        });
        found
    };
    let six = decided(&origin("size/batteries-6-modules-8/bill/total"));
    assert!(six.iter().any(|because| because.starts_with("batteries 6")), "{six:?}");
    assert!(decided(&origin(&format!("size/{AS_DRAWN}/bill/total"))).is_empty());
    let supposed = origin("size/batteries-6-modules-8/if/loads-a-fifth-less/year/missing");
    let mut words = String::new();
    supposed.walk(&mut |origin| {
        if let Origin::Found(choice) = origin {
            words.push_str(&choice.because);
        }
    });
    assert!(words.contains("supposed: the house used a fifth less"), "{words}");
    let load =
        |name: &str| number(&explain(&design, None, &format!("size/as-drawn/{name}year/load")).unwrap());
    for (key, factor) in [("less", 0.8), ("more", 1.2)] {
        let supposed = load(&format!("if/loads-a-fifth-{key}/"));
        // The share is written with four decimals of a per cent.
        assert!((supposed / load("") - factor).abs() < 1e-6, "{key}");
    }
}

#[test]
fn a_step_is_the_difference_of_two_systems() {
    let design = house();
    let found = searched(&design);
    let step = found.steps.iter().find(|step| found.candidates[step.to].outcome().is_some()).unwrap();
    let (from, to) = (found.space.name(step.from), found.space.name(step.to));
    for figure in ["bill/total", "year/dark-hours", "year/missing"] {
        let more = explain(&design, None, &format!("size/{from}/step-to/{to}/{figure}")).unwrap();
        let of = |system: &str| number(&explain(&design, None, &format!("size/{system}/{figure}")).unwrap());
        let by_hand = of(&to) - of(&from);
        assert!((number(&more) - by_hand).abs() <= 1e-9 * by_hand.abs().max(1.0), "{figure}");
        let Origin::Computed(working) = &more.origin else { panic!("no working") };
        let again = working.recompute().unwrap();
        assert!((again - by_hand).abs() <= 1e-6 * by_hand.abs().max(1.0), "{figure}: {again} {by_hand}");
    }
}

#[test]
fn another_price_is_the_list_and_a_part_of_it() {
    let design = house();
    let at = |figure: &str| {
        explain(&design, None, &format!("size/batteries-6-modules-8/{figure}")).map(|f| number(&f))
    };
    let group = quantity::slug(bill::Group::Storage.in_words());
    let now = at("bill/total").unwrap();
    let dearer = at(&format!("price/{group}/125-percent/bill")).unwrap();
    let cheaper = at(&format!("price/{group}/75-percent/bill")).unwrap();
    // A quarter more and a quarter less of the same part lie alike above and below; to a ten-thousandth of a coin each.
    assert!(dearer > now && (dearer - now - (now - cheaper)).abs() <= 2e-4, "{cheaper} {now} {dearer}");
    assert_eq!(at("price/nothing-sold/125-percent/bill"), None);
}

#[test]
fn names_of_nothing_have_no_figure() {
    let design = house();
    for name in [
        "size",
        "size/",
        "size/as-drawn",
        "size/nobody/bill/total",
        "size/as-drawn/bill/nothing",
        "bill/total",
    ] {
        assert!(explain(&design, None, name).is_none(), "{name}");
    }
}
