//! One house by each rule set it can name: what comes out differs between any two of them.
//!
//! A module of 13.9 A has 17.375 A at most; the edition of 2026 drops a fraction below half an ampere (690.4(G), read second
//! hand). An inverter of 1.9 kW asks for a device of at least 9.9 A: breakers of 10 A are standard since 2023 (240.6(A), from
//! memory) and were 15 A before. By IEC 60364 sizes are in square millimetres, and loads count without the 125 %.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use quantity::Value;
use std::sync::Arc;
use study::{Depth, Memo, Study};

const HOUSE: &str = include_str!("../../../designs/orchard-row/orchard-row.toml");

fn by(rules: &str) -> Study {
    let text = HOUSE
        .replace("rules = \"nec-2023\"", &format!("rules = \"{rules}\""))
        .replace("isc = \"14.0 A\"", "isc = \"13.9 A\"")
        .replace("output = \"7.6 kW\"", "output = \"1.9 kW\"");
    let design = Arc::new(design::Design::of_text(&text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Study::of(design, None, Depth::WithoutYear, &mut Memo::default())
}

fn number(study: &Study, name: &str) -> f64 {
    match &study.figure(name).unwrap_or_else(|| panic!("{name} is not there")).value {
        Value::Number { si, .. } => *si,
        other => panic!("{name}: {other:?}"),
    }
}

fn words(study: &Study, name: &str) -> String {
    match &study.figure(name).unwrap_or_else(|| panic!("{name} is not there")).value {
        Value::Gauge(gauge) => gauge.to_string(),
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn every_rule_set_has_a_result_of_its_own() {
    let of = |rules: &str| {
        let study = by(rules);
        let maximum = number(&study, "circuits/street-string-to-wall/maximum-current");
        let device = number(&study, "circuits/wall-to-main-panel/device");
        (maximum, device, words(&study, "circuits/wall-to-main-panel/conductor"))
    };
    let [old, now, new, metric] = ["nec-2020", "nec-2023", "nec-2026", "iec-60364"].map(of);
    assert_eq!((old.0, old.1), (17.375, 15.0));
    assert_eq!((now.0, now.1), (17.375, 10.0));
    assert_eq!((new.0, new.1), (17.0, 10.0));
    assert_eq!((metric.0, metric.1), (17.375, 10.0));
    assert!(metric.2.ends_with("mm²") && now.2.ends_with("AWG"), "{} {}", metric.2, now.2);
}

/// The sums of the busbar stand in every edition of the NEC under its own number, and in no IEC.
#[test]
fn the_busbar_is_cited_from_its_own_edition() {
    let clauses = |rules: &str| -> Vec<(&'static str, &'static str)> {
        let buses = study::busbars(&by(rules));
        buses.iter().flat_map(|bus| &bus.answers).map(|a| (a.clause.edition, a.clause.clause)).collect()
    };
    assert_eq!(clauses("nec-2020")[0], ("2020", "705.12(B)(3)(1)"));
    assert_eq!(clauses("nec-2023")[0], ("2023", "705.12(B)(1)"));
    assert_eq!(clauses("nec-2026")[0], ("2026", "705.12(B)(1)"));
    assert!(clauses("iec-60364").is_empty());
    // 1.25 · 7.92 A and the main of 200 A.
    let needs = number(&by("nec-2023"), "busbars/main-panel/plain-sum/needs");
    assert!((needs - (200.0 + 1.25 * 1900.0 / 240.0)).abs() < 1e-9, "{needs}");
}
