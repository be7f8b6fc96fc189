//! What is bought for a route follows from its parts.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::units;
use std::sync::Arc;
use study::{Depth, Memo, Study};

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

/// The farm with the parts of the route from its field changed.
fn with_route(route: &str) -> Study {
    let path = "run.field to workshop.route";
    let text = design::edit::set(FARM, path, route, design::catalogue::TABLES).unwrap();
    let design = Arc::new(Design::of_text(&text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Study::of(design, None, Depth::WithoutYear, &mut Memo::default())
}

/// Feet to buy on the line whose item holds all the words and that serves the circuit.
fn feet(study: &Study, words: &[&str], serves: &str) -> f64 {
    let line = study
        .bill
        .lines
        .iter()
        .find(|line| {
            words.iter().all(|word| line.item.contains(word)) && line.serves.iter().any(|s| &**s == serves)
        })
        .unwrap_or_else(|| {
            panic!(
                "no line {words:?}: {:#?}",
                study.bill.lines.iter().map(|l| (&l.item, &l.serves)).collect::<Vec<_>>()
            )
        });
    units::FOOT_UNIT.of_si(line.length.as_ref().unwrap().si().unwrap())
}

/// 1e-6 ft: feet are printed whole.
#[track_caller]
fn close(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 1e-6, "{found} ft against {by_hand} ft by hand");
}

/// By hand: two strings of two conductors, a fifth more; 2 · 2 · 50 · 1.2 = 240 ft of PV wire in the open, 2 · 2 · 100 · 1.2
/// = 480 ft of THWN-2 in pipe, 2 · 10 · 1.2 = 24 ft of cable, which brings its conductors and its ground.
#[test]
fn each_part_is_bought_as_what_it_is() {
    let study = with_route(
        r#"[
  { length = "50 ft", where = "in sun", raceway = "open" },
  { length = "100 ft", where = "underground", depth = "20 in", under = "open ground", raceway = "pvc-40", insulation = "thwn-2" },
  { length = "10 ft", where = "indoors", room = "equipment corner", raceway = "mc cable", insulation = "thwn-2" },
]"#,
    );
    let circuit = "north row to inverter A";
    close(feet(&study, &["AWG", "PV wire"], circuit), 240.0);
    close(feet(&study, &["AWG", "THHN"], circuit), 480.0);
    close(feet(&study, &["AWG", "2 conductors and ground, MC cable"], circuit), 24.0);
    let grounds = study.bill.lines.iter().filter(|line| line.item.contains("equipment ground"));
    let own = grounds.flat_map(|line| line.serves.iter()).filter(|s| s.contains(circuit)).count();
    assert_eq!(own, 1, "one ground lies in the run, whatever its circuits");
}

/// All in cable there is neither pipe nor a single conductor to buy for it.
#[test]
fn cable_all_the_way_brings_everything() {
    let study = with_route(
        r#"[{ length = "160 ft", where = "outdoors", raceway = "mc cable for wet places", insulation = "thwn-2" }]"#,
    );
    let circuit = "north row to inverter A";
    close(feet(&study, &["MC cable for wet places"], circuit), 384.0);
    let own: Vec<_> = study
        .bill
        .lines
        .iter()
        .filter(|line| line.length.is_some() && line.serves.iter().any(|s| s.contains(circuit)))
        .map(|line| line.item.to_string())
        .collect();
    assert_eq!(own.len(), 1, "{own:?}");
}
