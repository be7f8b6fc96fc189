//! A design that grows: every stage is a design of its own, and what is bought stays in use.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use size::{Growth, Watch, search};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use study::{Depth, Memo, Study};

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

fn set(text: &str, path: &str, value: &str) -> String {
    design::edit::set(text, path, value, design::catalogue::TABLES).unwrap()
}

/// The shipped farmhouse with one year, nothing to choose from and these stages.
fn grown(stages: &str) -> (Arc<Design>, Growth) {
    let mut text = set(FARM, "place.weather.years", "1");
    for (path, value) in [
        ("choice.batteries.from", "6"),
        ("choice.batteries.to", "6"),
        ("choice.modules in each row.from", "10"),
        ("choice.modules in each row.to", "10"),
    ] {
        text = set(&text, path, value);
    }
    let cut = text.find("[[stage]]").unwrap_or(text.len());
    let design = Design::of_text(&format!("{}\n{stages}\n", &text[..cut]));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    let design = Arc::new(design);
    let stop = AtomicBool::new(false);
    let found = search(&design, None, &Watch { stop: &stop, progress: &|_, _, _| {} }).unwrap();
    (design, found.growth)
}

const TWO: &str = r#"
[[stage]]
name = "both rows"
when = 2029-05-01

[[stage]]
name = "one row"
when = 2027-05-01
not_yet = ["string.south row"]
with = [{ sets = "bank.rack.parallel", to = "4" }]
budget = 100
"#;

#[test]
fn stages_follow_their_dates_and_what_is_bought_is_the_difference_of_the_lists() {
    let (design, growth) = grown(TWO);
    let names: Vec<&str> = growth.stages.iter().map(|stage| &*stage.name).collect();
    assert_eq!(names, ["one row", "both rows"]);
    let [first, last] = [0, 1].map(|at| growth.stages[at].stands.as_ref().unwrap());
    // The last one is the design as drawn, and its figures are those of its own study.
    let whole = Study::of(design.clone(), None, Depth::Whole, &mut Memo::default());
    assert_eq!(last.cost, whole.bill.total.value);
    let year = whole.year.as_ref().unwrap();
    let outcome = last.outcome.as_ref().unwrap();
    assert_eq!(outcome.backup_h * 3600.0, year.backup_hours.value.value);
    // Everything of the first stage is bought for it, and it is over its budget of 100.
    assert_eq!(first.bought, first.cost);
    assert!(first.over_budget.is_some() && last.over_budget.is_none());
    assert!(first.cost < last.cost && first.outcome.as_ref().unwrap().backup_h > outcome.backup_h);
    // What is bought for both is the last list and what was given up on the way; a hundredth of a coin a line of rounding.
    let lost: f64 = last.given_up.iter().filter_map(|gone| gone.worth).map(|worth| worth.units()).sum();
    let together = first.bought.units() + last.bought.units();
    assert!((together - last.cost.units() - lost).abs() < 1.0, "{together} {} {lost}", last.cost.units());
    // Two batteries more, ten modules more, and an input of an inverter to keep for the second row.
    assert!(growth.ahead.iter().any(|ahead| ahead.last.contains("an input for")), "{:#?}", growth.ahead);
}

#[test]
fn what_is_thrown_away_is_listed_unless_it_is_said() {
    let shrinking = |said: &str| {
        format!(
            "[[stage]]\nname = \"many\"\nwhen = 2027-01-01\n[[stage]]\nname = \"few\"\nwhen = 2028-01-01\n\
             with = [{{ sets = \"bank.rack.parallel\", to = \"4\" }}]\n{said}\n"
        )
    };
    let (_, growth) = grown(&shrinking(""));
    let gone = &growth.stages[1].stands.as_ref().unwrap().given_up;
    let batteries = gone.iter().find(|gone| !gone.by_length && gone.amount == 2.0).expect("two batteries");
    assert!(!batteries.said && batteries.worth.is_some());
    let (_, growth) = grown(&shrinking("gives_up = [\"rack_unit\"]"));
    let gone = &growth.stages[1].stands.as_ref().unwrap().given_up;
    assert!(gone.iter().find(|gone| gone.item == batteries.item).unwrap().said);
}

#[test]
fn a_stage_that_cannot_be_built_says_why() {
    let stage = |with: &str| {
        let stage = format!("[[stage]]\nname = \"too long\"\nwith = [{with}]\n");
        grown(&stage).1.stages[0].stands.as_ref().err().cloned()
    };
    let long = stage("{ sets = \"string.north row.count\", to = \"40\" }").unwrap();
    assert!(!long.code.is_empty() && long.says.contains("north row"), "{long:?}");
    let nothing = stage("{ sets = \"string.nobody.count\", to = \"4\" }").unwrap();
    assert!(nothing.code.is_empty() && nothing.says.contains("nobody"), "{nothing:?}");
}

/// Every number of the table of stages explains itself: the name a person follows leads to the same number.
#[test]
fn the_figures_of_a_stage_explain_themselves() {
    let (design, growth) = grown(TWO);
    let figure = |name: &str| size::explain(&design, None, name).map(|figure| figure.value.number().unwrap());
    for (at, stage) in ["one-row", "both-rows"].into_iter().enumerate() {
        let stands = growth.stages[at].stands.as_ref().unwrap();
        let outcome = stands.outcome.as_ref().unwrap();
        assert_eq!(figure(&format!("size/stage-{stage}/bought")), Some(stands.bought.units()));
        assert_eq!(figure(&format!("size/stage-{stage}/bill/total")), Some(stands.cost.units()));
        assert_eq!(figure(&format!("size/stage-{stage}/year/backup-hours")), Some(outcome.backup_h * 3600.0));
    }
    assert_eq!(figure("size/stage-never/bought"), None);
}

/// Racks with a price are on the list, one piece for each module, and so in the cost of every system.
#[test]
fn racks_with_a_price_are_in_the_cost() {
    let cost = |text: &str| {
        let design = Arc::new(Design::of_text(text));
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let study = Study::of(design, None, Depth::WithoutYear, &mut Memo::default());
        study.bill.total.value.units()
    };
    // Two rows of nine modules at 45 each.
    let more = cost(&set(FARM, "plane.east field rack.structure_price", "45")) - cost(FARM);
    assert!((more - 810.0).abs() < 1e-6, "{more}");
}
