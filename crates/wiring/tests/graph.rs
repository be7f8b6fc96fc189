//! The circuit graph: reach, sharing and what is wrong with a shape.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use std::sync::Arc;
use wiring::*;

fn wire(graph: &mut Graph, from: NodeId, to: NodeId, demand: Demand) -> CircuitId {
    let name = Arc::from(format!("{}-{}", from.0, to.0));
    graph.join(Circuit { name, from, to, demand, run: None, conductors: 3, carrying: 2, poles: 2 })
}

/// Utility and generator feed a panel, each through whatever is between.
fn two_sources(between: NodeKind) -> (Graph, NodeId, NodeId) {
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let generator = graph.add(node("generator", NodeKind::Generator));
    let between = graph.add(node("between", between));
    let panel = graph.add(node("panel", NodeKind::Panel));
    wire(&mut graph, utility, between, ac(100.0, 240.0));
    wire(&mut graph, generator, between, ac(30.0, 240.0));
    wire(&mut graph, between, panel, ac(100.0, 240.0));
    (graph, utility, generator)
}

#[test]
fn sources_meet_in_a_panel_and_not_behind_a_transfer_device() {
    let (graph, utility, generator) = two_sources(NodeKind::Panel);
    assert_eq!(graph.problems(), [GraphProblem::SourcesMeet(utility, generator)]);
    let (graph, ..) = two_sources(NodeKind::Transfer);
    assert_eq!(graph.problems(), []);
}

#[test]
fn a_source_on_the_load_side_of_a_transfer_device_meets_what_the_device_chooses() {
    let (mut graph, utility, generator) = two_sources(NodeKind::Transfer);
    let panel = graph.find("panel").unwrap();
    // The utility also feeds the panel behind the switch: in the generator's position both are joined.
    wire(&mut graph, utility, panel, ac(100.0, 240.0));
    assert_eq!(graph.problems(), [GraphProblem::SourcesMeet(utility, generator)]);
}

#[test]
fn two_switches_in_a_row_part_three_sources() {
    let (mut graph, ..) = two_sources(NodeKind::Transfer);
    let panel = graph.find("panel").unwrap();
    let third = graph.add(node("third", NodeKind::Generator));
    let second = graph.add(node("second switch", NodeKind::Transfer));
    let house = graph.add(node("house", NodeKind::Panel));
    wire(&mut graph, panel, second, ac(100.0, 240.0));
    wire(&mut graph, third, second, ac(30.0, 240.0));
    wire(&mut graph, second, house, ac(100.0, 240.0));
    assert_eq!(graph.problems(), []);
}

#[test]
fn any_number_of_transfer_devices_is_gone_through_exactly() {
    // Twenty devices stand in 2^20 combinations of positions; each parts its own two supplies in all of them.
    let mut graph = Graph::default();
    let mut last = None;
    for k in 0..20 {
        let sources = [0, 1].map(|n| graph.add(node(&format!("source {k} {n}"), NodeKind::Generator)));
        let switch = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
        for source in sources {
            wire(&mut graph, source, switch, ac(30.0, 240.0));
        }
        last = Some((switch, sources));
    }
    assert_eq!(graph.problems(), []);
    // A line past the last device joins its first source to what the device feeds in its other position.
    let (switch, [first, second]) = last.unwrap();
    let panel = graph.add(node("panel", NodeKind::Panel));
    wire(&mut graph, switch, panel, ac(30.0, 240.0));
    wire(&mut graph, first, panel, ac(30.0, 240.0));
    assert_eq!(graph.problems(), [GraphProblem::SourcesMeet(first, second)]);
}

/// Devices one behind the other, each with a source of its own: every source meets no other, in whatever positions.
#[test]
fn a_chain_of_transfer_devices_parts_all_its_sources() {
    let mut graph = Graph::default();
    let mut behind = graph.add(node("source", NodeKind::Generator));
    for k in 0..14 {
        let own = graph.add(node(&format!("source {k}"), NodeKind::Generator));
        let switch = graph.add(node(&format!("switch {k}"), NodeKind::Transfer));
        wire(&mut graph, behind, switch, ac(30.0, 240.0));
        wire(&mut graph, own, switch, ac(30.0, 240.0));
        behind = switch;
    }
    assert_eq!(graph.problems(), []);
    let map = lock_out(&graph, &StateFacts::default(), 4);
    // The line to the last device is reached by every source ahead of it and not by the source beside it.
    let line = graph.circuits.len() - 2;
    assert_eq!(map.conductors[line].isolation.sources.len(), 14);
    assert_eq!(map.conductors[line + 1].isolation.sources.len(), 1);
    // Whether they switch the neutral nobody said: no count is called right.
    let table = bond_table(&graph, &StateFacts::default(), Arrangement::Nec);
    assert!(!table.is_empty() && table.iter().all(|state| state.verdict == BondVerdict::Unknown));
}

#[test]
fn an_inverter_parts_its_input_from_its_output() {
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let inverter = graph.add(node("inverter", NodeKind::Inverter));
    let panel = graph.add(node("panel", NodeKind::Panel));
    wire(&mut graph, utility, inverter, ac(40.0, 240.0));
    wire(&mut graph, inverter, panel, ac(27.0, 240.0));
    assert_eq!(graph.problems(), []);
    // A second path from the utility into the same panel lets both meet.
    wire(&mut graph, utility, panel, ac(100.0, 240.0));
    assert_eq!(graph.problems(), [GraphProblem::SourcesMeet(utility, inverter)]);
}

#[test]
fn listed_parallel_operation_is_a_fact_and_unknown_counts_as_meeting() {
    for (interactive, wanted) in [(known(true), 0), (known(false), 1), (unknown("inverter.x.interactive"), 1)]
    {
        let mut graph = Graph::default();
        let utility = graph.add(node("utility", NodeKind::Utility));
        let mut inverter = node("inverter", NodeKind::Inverter);
        inverter.interactive = Some(interactive.clone());
        let inverter = graph.add(inverter);
        let panel = graph.add(node("panel", NodeKind::Panel));
        wire(&mut graph, utility, panel, ac(100.0, 240.0));
        wire(&mut graph, inverter, panel, ac(27.0, 240.0));
        let problems = graph.problems();
        assert_eq!(problems.len(), wanted);
        if !interactive.is_known() {
            assert!(matches!(problems[0], GraphProblem::SourcesMayMeet(..)));
        }
    }
}

#[test]
fn stacked_inverters_may_share_a_panel_and_strangers_may_not() {
    let stack = |group: &str, keeps_step: &quantity::Fact<bool>| {
        Some(Stack { group: Arc::from(group), keeps_step: keeps_step.clone() })
    };
    let problems = |stacks: [Option<Stack>; 2]| {
        let mut graph = Graph::default();
        let panel = graph.add(node("panel", NodeKind::Panel));
        for (name, stack) in ["a", "b"].into_iter().zip(stacks) {
            let id = graph.add(Node { stack, ..node(name, NodeKind::Inverter) });
            wire(&mut graph, id, panel, ac(50.0, 120.0));
        }
        graph.problems()
    };
    let (yes, no, open) = (known(true), known(false), unknown("inverter.x.stackable"));
    assert_eq!(problems([stack("pair", &yes), stack("pair", &yes)]), []);
    let meet = [GraphProblem::SourcesMeet(NodeId(1), NodeId(2))];
    assert_eq!(problems([None, None]), meet);
    assert_eq!(problems([stack("pair", &no), stack("pair", &no)]), meet);
    // Two kinds that are both stackable still do not keep step with each other.
    assert_eq!(problems([stack("pair", &yes), stack("others", &yes)]), meet);
    assert!(matches!(
        problems([stack("pair", &open), stack("pair", &open)])[..],
        [GraphProblem::SourcesMayMeet(..)]
    ));
}

#[test]
fn dangling_circuits_loops_lone_nodes_and_equal_names_are_reported() {
    let mut graph = Graph::default();
    let a = graph.add(node("a", NodeKind::Panel));
    let lone = graph.add(node("a", NodeKind::Panel));
    let dangling = wire(&mut graph, a, NodeId(9), ac(1.0, 120.0));
    let turning = wire(&mut graph, a, a, ac(1.0, 120.0));
    let problems = graph.problems();
    for wanted in [
        GraphProblem::Dangling(dangling),
        GraphProblem::Loop(turning),
        GraphProblem::Unconnected(lone),
        GraphProblem::SameName(Arc::from("a")),
    ] {
        assert!(problems.contains(&wanted), "{wanted:?}");
    }
    // Sizing such a graph answers all the same.
    assert_eq!(size_all(&graph, &[], RuleSet::Nec2023).unwrap().circuits.len(), 2);
}

#[test]
fn reach_stops_at_open_circuits_and_where_it_is_told() {
    let mut graph = Graph::default();
    let ids: Vec<NodeId> = (0..5).map(|k| graph.add(node(&k.to_string(), NodeKind::Switch))).collect();
    for pair in ids.windows(2) {
        wire(&mut graph, pair[0], pair[1], ac(1.0, 120.0));
    }
    assert_eq!(graph.reach(ids[0], |_, _| true, |_, _| false), ids);
    assert_eq!(graph.reach(ids[0], |id, _| id != CircuitId(2), |_, _| false), ids[..3]);
    assert_eq!(graph.reach(ids[0], |_, _| true, |id, _| id == ids[3]), ids[..4]);
    assert_eq!(graph.reach(NodeId(99), |_, _| true, |_, _| false), []);
    assert_eq!(graph.degree(ids[1]), 2);
    assert_eq!(graph.find("3"), Some(ids[3]));
}

#[test]
fn a_circuit_is_fed_from_both_ends_where_sources_reach_both_at_once() {
    let fed = |graph: &Graph| -> Vec<bool> {
        (0..graph.circuits.len()).map(|k| graph.fed_from_both_ends(CircuitId(k))).collect()
    };
    // Joined in a panel each source reaches the circuit of the other; the panel beyond is only fed.
    assert_eq!(fed(&two_sources(NodeKind::Panel).0), [true, true, false]);
    assert_eq!(fed(&two_sources(NodeKind::Transfer).0), [false, false, false]);
    // Utility, panel, inverter input: the inverter feeds back where it may, or where nobody knows.
    for (may, both) in [(known(true), true), (known(false), false), (unknown("may"), true)] {
        let mut graph = Graph::default();
        let utility = graph.add(node("utility", NodeKind::Utility));
        let panel = graph.add(node("panel", NodeKind::Panel));
        let inverter = Node { interactive: Some(may), ..node("inverter", NodeKind::Inverter) };
        let inverter = graph.add(inverter);
        let house = graph.add(node("house", NodeKind::Panel));
        wire(&mut graph, utility, panel, ac(100.0, 240.0));
        wire(&mut graph, panel, inverter, ac(30.0, 240.0));
        wire(&mut graph, inverter, house, ac(30.0, 240.0));
        assert_eq!(fed(&graph), [both, both, false]);
    }
}
