//! Colours by which conductors are told apart, against their clauses.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod common;
use common::*;
use quantity::{Gauge, units};
use wiring::*;

fn marks(demand: Demand, conductors: u32, rules: RuleSet) -> Vec<(&'static str, &'static str)> {
    let mut graph = graph(vec![demand]);
    graph.circuits[0].conductors = conductors;
    let sized = size_all(&graph, &[run(vec![segment(Where::Indoors, emt(), 10.0, 30.0)])], rules).unwrap();
    let sized = &sized.circuits[0];
    let all = colours(&graph.circuits[0], sized.protection.supply, &sized.currents.volts, rules).unwrap();
    all.iter().map(|each| (each.conductor, each.colour)).collect()
}

/// 200.6 and 250.119: white and green are kept for the neutral and the ground; 690.31(B): poles of module circuits are red
/// or + and black or −, never white, gray or green.
#[test]
fn no_pole_is_marked_like_a_neutral_or_a_ground() {
    for rules in [RuleSet::Nec2020, RuleSet::Nec2023, RuleSet::Nec2026] {
        let leg = marks(ac(20.0, 120.0), 2, rules);
        assert_eq!(leg, [("line", "black"), ("neutral", "white"), ("ground", "green or bare")]);
        let both = marks(ac(20.0, 240.0), 2, rules);
        assert_eq!(both, [("L1", "black"), ("L2", "red"), ("ground", "green or bare")]);
        let three = marks(ac(20.0, 240.0), 3, rules);
        assert_eq!(three[2], ("neutral", "white"));
        for (conductor, colour) in marks(Demand::PvStrings(string(1)), 2, rules) {
            let kept = ["white", "gray", "green"].iter().any(|kept| colour.contains(kept));
            assert_eq!(kept, conductor == "ground", "{conductor} {colour}");
        }
    }
}

/// 690.31(B)(3), from memory: the poles of module circuits may be marked instead of coloured.
#[test]
fn poles_of_modules_may_be_marked_and_those_of_a_battery_are_coloured() {
    let poles = |demand| marks(demand, 2, RuleSet::Nec2023)[..2].to_vec();
    let modules = poles(Demand::PvStrings(string(1)));
    assert_eq!(modules, [("positive", "red or marked +"), ("negative", "black or marked −")]);
    let bus = BusToInverters {
        inverters: vec![inverter("a")],
        volts: bank(),
        short_circuit: unknown("battery.short_circuit"),
        units_on_the_bus: count(2),
        beside: None,
    };
    assert_eq!(poles(Demand::BusToInverters(bus)), [("positive", "red"), ("negative", "black")]);
}

/// IEC 60445: brown line, blue neutral, green and yellow protective conductor.
#[test]
fn by_iec_the_neutral_is_blue() {
    let found = marks(ac(20.0, 230.0), 2, RuleSet::Iec60364);
    assert_eq!(found, [("line", "brown"), ("neutral", "blue"), ("protective", "green and yellow")]);
}

/// 200.6(B), 250.119(B): from 4 AWG marks at the ends suffice. Table 312.6(A): 4 in for 4/0, none asked for 10 AWG.
#[test]
fn size_decides_where_it_is_marked_and_how_much_room_it_needs() {
    for (text, at_ends) in [("6 AWG", false), ("4 AWG", true), ("4/0 AWG", true), ("250 kcmil", true)] {
        assert_eq!(marked_at_ends(size(text)), at_ends, "{text}");
    }
    assert!(!marked_at_ends(Gauge::HundredthsMm2(7000)));
    let inches = |text: &str| bending_space(size(text)).map(|space| units::INCH_UNIT.of_si(space.si()));
    assert!((inches("4/0 AWG").unwrap() - 4.0).abs() < 1e-9);
    assert_eq!(inches("10 AWG"), None);
}
