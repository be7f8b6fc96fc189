//! Sources that can meet, against brute force: every position of every transfer device is gone through by flooding.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
#[path = "common/switches.rs"]
mod switches;
use common::*;
use std::collections::BTreeSet;
use switches::*;
use wiring::*;

/// A random house of utility, generators, inverters, panels and transfer devices.
fn random_house(dice: &mut Dice) -> Graph {
    use NodeKind::{Generator, Inverter, Load, Panel, Transfer, Utility};
    let kinds = [Generator, Inverter, Panel, Panel, Transfer, Transfer, Load];
    let mut graph = Graph::default();
    graph.add(node("n0", Utility));
    let n = 5 + dice.below(6);
    for k in 1..n {
        graph.add(node(&format!("n{k}"), kinds[dice.below(kinds.len())]));
    }
    for _ in 0..n + dice.below(4) {
        let (a, b) = (dice.below(n), dice.below(n));
        if a != b {
            wire(&mut graph, NodeId(a), NodeId(b), ac(20.0, 240.0));
        }
    }
    graph
}

/// Pairs of sources that a flood from one joins in some position of the devices. An inverter is joined at its output
/// alone; a flood ends at another source.
fn by_force(graph: &Graph) -> BTreeSet<(usize, usize)> {
    let kind = |k: usize| graph.nodes[k].kind;
    let is_source =
        |k: usize| matches!(kind(k), NodeKind::Utility | NodeKind::Generator | NodeKind::Inverter);
    let mut pairs = BTreeSet::new();
    for at in stands(graph) {
        for start in (0..graph.nodes.len()).filter(|k| is_source(*k)) {
            let mut on = vec![false; graph.nodes.len()];
            on[start] = true;
            loop {
                let before = on.clone();
                for (k, circuit) in graph.circuits.iter().enumerate() {
                    let (from, to) = (circuit.from.0, circuit.to.0);
                    let parted = kind(to) == NodeKind::Transfer && at[to] != Some(k);
                    if parted || kind(to) == NodeKind::Inverter {
                        continue;
                    }
                    for (a, b) in [(from, to), (to, from)] {
                        on[b] |= on[a] && (a == start || !is_source(a));
                    }
                }
                if before == on {
                    break;
                }
            }
            let met = (0..graph.nodes.len()).filter(|k| *k != start && on[*k] && is_source(*k));
            pairs.extend(met.map(|k| (start.min(k), start.max(k))));
        }
    }
    pairs
}

#[test]
fn sources_that_meet_equal_brute_force_on_random_houses() {
    let mut dice = Dice(23);
    let (mut meeting, mut parted, mut devices) = (0, 0, 0);
    for _ in 0..600 {
        let graph = random_house(&mut dice);
        let found: BTreeSet<(usize, usize)> = graph
            .problems()
            .iter()
            .filter_map(|problem| match problem {
                GraphProblem::SourcesMeet(a, b) => Some((a.0.min(b.0), a.0.max(b.0))),
                _ => None,
            })
            .collect();
        assert_eq!(found, by_force(&graph), "{graph:#?}");
        meeting += usize::from(!found.is_empty());
        parted += usize::from(found.is_empty());
        devices += usize::from(stands(&graph).len() > 2);
    }
    assert!(meeting > 100 && parted > 100 && devices > 100, "{meeting} {parted} {devices}");
}
