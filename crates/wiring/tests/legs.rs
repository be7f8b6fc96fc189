//! Legs, neutrals and units in parallel against hand calculations.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use std::sync::Arc;
use wiring::*;

fn near(value: f64, wanted: f64) {
    // Hand calculations below are exact in a few digits; only rounding of doubles may differ.
    assert!((value - wanted).abs() < 1e-9, "{value} is not {wanted}");
}

#[test]
fn stacked_units_in_step_by_mistake_read_nothing_between_the_legs() {
    near(between_legs(120.0, Phase::Opposed), 240.0);
    near(between_legs(120.0, Phase::InStep), 0.0);
    // Two phases of 120/208 V.
    assert!((between_legs(120.0, Phase::Third) - 207.846).abs() < 1e-3);
}

#[test]
fn the_neutral_carries_the_difference_or_the_sum() {
    near(shared_neutral(16.0, 12.0, Phase::Opposed), 4.0);
    near(shared_neutral(16.0, 12.0, Phase::InStep), 28.0);
    near(shared_neutral(15.0, 15.0, Phase::Third), 15.0);
    near(neutral_in_step(16.0, 12.0), 28.0);
}

/// Story S5: legs of 5200 W and 1100 W carry 34.2 A in the neutral; with the kettle moved 3700 W and 2600 W, 9.2 A.
#[test]
fn the_neutral_of_the_tripping_inverter_is_34_amperes() {
    assert!((neutral_of_loads(5200.0, 1100.0, 120.0) - 34.2).abs() < 0.05);
    assert!((neutral_of_loads(3700.0, 2600.0, 120.0) - 9.2).abs() < 0.05);
}

fn feed(graph: &mut Graph, from: NodeId, to: NodeId, v: f64, conductors: u32) -> CircuitId {
    let name = Arc::from(format!("{}-{}", from.0, to.0));
    graph.join(Circuit { name, from, to, demand: ac(20.0, v), run: None, conductors, carrying: 2, poles: 1 })
}

#[test]
fn a_multiwire_circuit_on_one_120_v_source_is_found() {
    let mut graph = Graph::default();
    let inverter = graph.add(node("inverter", NodeKind::Inverter));
    let panel = graph.add(node("panel", NodeKind::Panel));
    let kitchen = graph.add(node("kitchen", NodeKind::Load));
    let pump = graph.add(node("pump", NodeKind::Load));
    feed(&mut graph, inverter, panel, 120.0, 2);
    let multiwire = feed(&mut graph, panel, kitchen, 120.0, 3);
    let high = feed(&mut graph, panel, pump, 240.0, 2);
    assert_eq!(
        leg_problems(&graph),
        [
            LegProblem::MultiwireOnOneLeg { panel, circuit: multiwire },
            LegProblem::TwoLegVoltageOnOneLeg { panel, circuit: high },
        ]
    );
    // Fed with two legs the same circuits are right.
    let mut graph = graph.clone();
    graph.circuits[0].demand = ac(20.0, 240.0);
    graph.circuits[0].conductors = 3;
    assert_eq!(leg_problems(&graph), []);
}

#[test]
fn two_stacked_120_v_units_are_named_with_both_readings() {
    let mut graph = Graph::default();
    let units: Vec<NodeId> = ["a", "b"]
        .iter()
        .map(|name| {
            graph.add(Node {
                stack: Some(Stack { group: Arc::from("stack"), keeps_step: known(true) }),
                ..node(name, NodeKind::Inverter)
            })
        })
        .collect();
    let panel = graph.add(node("panel", NodeKind::Panel));
    for unit in &units {
        feed(&mut graph, *unit, panel, 120.0, 2);
    }
    let problems = leg_problems(&graph);
    let [LegProblem::StackPhase { units: found, opposed, in_step, .. }] = &problems[..] else {
        panic!("{problems:?}")
    };
    use quantity::Measure;
    assert_eq!((found, opposed.si(), in_step.si()), (&units, 240.0, 0.0));
}

fn row(n: usize, unit: f64, link: f64, plus_at: usize, minus_at: usize) -> Row {
    Row { units: vec![unit; n], positive: vec![link; n - 1], negative: vec![link; n - 1], plus_at, minus_at }
}

/// Two units of 1 Ω and links of 1 Ω tapped at one end: 1 Ω beside 1 + 2 Ω, so 3/4 and 1/4. At opposite ends: 1 + 1 Ω
/// each, so half and half.
#[test]
fn two_units_share_by_the_resistance_of_their_loops() {
    let end = shares(&row(2, 1.0, 1.0, 0, 0)).unwrap();
    near(end[0], 0.75);
    near(end[1], 0.25);
    let diagonal = shares(&row(2, 1.0, 1.0, 0, 1)).unwrap();
    near(diagonal[0], 0.5);
}

/// Three units of 1 Ω and links of 1 Ω at one end, from the far end by hand: unit 3 with its links 3 Ω; beside unit 2,
/// 3·1/4 = 0.75 Ω; with links 2.75 Ω beside unit 1. Unit 1 carries 2.75/3.75 = 11/15, unit 2 three quarters and unit 3
/// one quarter of the rest: 3/15 and 1/15.
#[test]
fn three_units_at_one_end_share_eleven_to_three_to_one() {
    let found = shares(&row(3, 1.0, 1.0, 0, 0)).unwrap();
    for (share, wanted) in found.iter().zip([11.0, 3.0, 1.0]) {
        near(*share, wanted / 15.0);
    }
}

#[test]
fn opposite_ends_are_symmetric_and_fairer_than_one_end_and_a_bar_is_fairest() {
    for n in 2..17 {
        for link in [1e-5, 1e-4, 1e-3] {
            let spread = |found: &[f64]| {
                found.iter().copied().fold(0.0, f64::max) - found.iter().copied().fold(1.0, f64::min)
            };
            let end = shares(&row(n, 3e-3, link, 0, 0)).unwrap();
            let diagonal = shares(&row(n, 3e-3, link, 0, n - 1)).unwrap();
            let bar = shares(&row(n, 3e-3, 0.0, 0, 0)).unwrap();
            for found in [&end, &diagonal, &bar] {
                assert!((found.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            }
            for (a, b) in diagonal.iter().zip(diagonal.iter().rev()) {
                assert!((a - b).abs() < 1e-9);
            }
            assert!(spread(&bar) < 1e-12 && spread(&diagonal) <= spread(&end) && spread(&end) > 0.0);
            // Farther from the tap never carries more.
            assert!(end.windows(2).all(|pair| pair[0] >= pair[1]));
        }
    }
}

#[test]
fn a_row_that_is_none_has_no_shares() {
    assert_eq!(
        shares(&Row { units: vec![], positive: vec![], negative: vec![], plus_at: 0, minus_at: 0 }),
        None
    );
    assert_eq!(shares(&Row { plus_at: 2, ..row(2, 1.0, 1.0, 0, 0) }), None);
    assert_eq!(shares(&row(2, 0.0, 1.0, 0, 0)), None);
    assert_eq!(shares(&row(2, f64::NAN, 1.0, 0, 0)), None);
    assert_eq!(shares(&row(2, 1.0, -1.0, 0, 0)), None);
}
