//! What conductors lose in a year, through whole designs.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::{Measure, units};
use std::path::PathBuf;
use std::sync::Arc;
use study::{ConductorLoss, Depth, Memo, Study};

fn text(name: &str) -> String {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("../../designs/{name}/{name}.toml"));
    std::fs::read_to_string(file).unwrap().replace("years = 20", "years = 2")
}

fn study(text: &str) -> Study {
    let design = Arc::new(Design::of_text(text));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    Study::of(design, None, Depth::Whole, &mut Memo::default())
}

fn of<'s>(study: &'s Study, name: &str) -> &'s ConductorLoss {
    study.conductor_losses.iter().find(|loss| &*loss.name == name).expect("the year says what it carries")
}

fn kwh(energy: &quantity::Traced<quantity::Energy>) -> f64 {
    units::KILOWATT_HOUR.of_si(energy.si())
}

/// Turned back to 75 °C the strings lose together what the hourly balance took for array cables, by another way through
/// the hours; the mean temperature stands for all hours, which costs less than one in a hundred.
#[test]
fn strings_lose_what_the_balance_took_for_array_cables() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house"] {
        let study = study(&text(name));
        let year = study.year.as_ref().unwrap();
        let balance =
            year.losses.iter().find(|(cause, _)| *cause == "array cables").map(|(_, e)| kwh(e)).unwrap();
        let schedule = study.wiring.as_ref().unwrap();
        let strings = study.conductor_losses.iter().filter(|loss| {
            let id = schedule.circuits[loss.circuit].circuit;
            study.design.graph.circuits[id.0].demand.is_pv()
        });
        let a =
            wiring::per_kelvin(study::rule_set(&study.design.system).unwrap(), quantity::Material::Copper);
        let at_75 = |loss: &ConductorLoss| {
            kwh(&loss.lost) / (1.0 + a * (units::CELSIUS.of_si(loss.mean.si()) - 75.0))
        };
        let together: f64 = strings.map(at_75).sum();
        assert!((together / balance - 1.0).abs() < 0.01, "{name}: {together} against {balance} kWh");
    }
}

/// 10 AWG of 1.24 Ω and 8 AWG of 0.778 Ω a thousand feet: 37.3 % of the loss is spared, and a little more, for the thicker one
/// stays cooler.
#[test]
fn the_next_size_spares_by_its_resistance() {
    let study = study(&text("hollow-farm"));
    let row = of(&study, "north row to inverter A");
    let next = row.next.as_ref().unwrap();
    assert_eq!(next.gauge.to_string(), "8 AWG");
    let share = kwh(&next.spares) / kwh(&row.lost);
    assert!((0.372..0.385).contains(&share), "{share}");
}

/// Without a price of the larger wire nothing is said of its cost, with one the difference of two purchase lists is.
#[test]
fn the_cost_is_that_of_the_purchase_list_or_nothing() {
    let plain = text("hollow-farm");
    let name = "rack to inverter B";
    let run = |text: &str| {
        let study = study(text);
        let next = of(&study, name).next.clone().unwrap();
        (
            next.gauge.to_string(),
            next.costs.value().map(|money| units::COIN.of_si(money.si())),
            next.worth.si().is_some(),
        )
    };
    let (size, costs, worth) = run(&plain);
    assert!(worth, "the utility's price is stated");
    // Two conductors of 4 ft with 20 % to spare, 9.6 ft at 5.60 − 4.55: 10.08. Its ground goes from 6 to 4 AWG, 4.8 ft at
    // 1.60 − 1.45: 0.72. The tubing from 1-1/4 to 1-1/2: 4 ft at 3.90 − 3.10, two connectors at 3.20 − 2.60, a strap at
    // 1.30 − 1.10: 4.60.
    assert_eq!(size, "4/0 AWG");
    assert!((costs.unwrap() - 15.40).abs() < 1e-9, "{costs:?}");
    let block = "[[stock]]\nconductor = \"3/0 AWG\"\nprice = \"4.55 USD/ft\"\n";
    assert!(plain.contains(block));
    let unpriced = plain.replace(block, "");
    assert_eq!(run(&unpriced).1, None);
    let missing = of(&study(&unpriced), name).next.clone().unwrap().unpriced;
    assert!(missing.iter().any(|item| item.starts_with("3/0 AWG")), "{missing:?}");
    let no_price = plain.replace("price = \"0.14 USD/kWh\"\n", "");
    assert!(!run(&no_price).2);
}
