//! The bond table: acceptance story S6, its repaired form, and what must hold in any house.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use quantity::Fact;
use std::sync::Arc;
use wiring::*;

fn wire(graph: &mut Graph, from: NodeId, to: NodeId) -> CircuitId {
    let name = Arc::from(format!("{}-{}", from.0, to.0));
    let demand = ac(30.0, 240.0);
    graph.join(Circuit { name, from, to, demand, run: None, conductors: 3, carrying: 2, poles: 2 })
}

fn bonded(graph: &mut Graph, name: &str, kind: NodeKind, bond: NeutralBond) -> NodeId {
    let id = graph.add(node(name, kind));
    graph.nodes[id.0].bond = Some(known(bond));
    id
}

/// Utility service with its main bonding jumper; an inverter that passes neutral through, its relay closed while it
/// inverts; a portable generator with a bond, through a switch of the hot conductors only; the house panel.
struct House {
    graph: Graph,
    facts: StateFacts,
    inverter: NodeId,
    generator: NodeId,
    panel: NodeId,
}

fn story(inverter: NeutralBond, generator: NeutralBond, screw: NeutralBond) -> House {
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let service = bonded(&mut graph, "service", NodeKind::Panel, NeutralBond::Fitted);
    let generator = bonded(&mut graph, "generator", NodeKind::Generator, generator);
    let switch = graph.add(node("switch", NodeKind::Transfer));
    let inverter = bonded(&mut graph, "inverter", NodeKind::Inverter, inverter);
    let panel = bonded(&mut graph, "house", NodeKind::Panel, screw);
    wire(&mut graph, utility, service);
    wire(&mut graph, service, switch);
    wire(&mut graph, generator, switch);
    wire(&mut graph, switch, inverter);
    wire(&mut graph, inverter, panel);
    let facts = StateFacts {
        transfers: vec![TransferFact { node: switch, switches_neutral: known(false) }],
        plugged_in: vec![generator],
        ..StateFacts::default()
    };
    House { graph, facts, inverter, generator, panel }
}

/// Ties of the steady states, in which a source stands where its transfer device stands.
fn counts(house: &House) -> Vec<(String, usize, BondVerdict)> {
    let mut counts: Vec<(String, usize, BondVerdict)> = Vec::new();
    for state in bond_table(&house.graph, &house.facts, Arrangement::Nec) {
        if state.moment == Moment::Steady {
            counts.push((
                house.graph.nodes[state.source.0].name.to_string(),
                state.bonds.len(),
                state.verdict,
            ));
        }
    }
    counts
}

fn most(house: &House, source: &str) -> usize {
    counts(house).iter().filter(|(name, ..)| name == source).map(|(_, n, _)| *n).max().unwrap()
}

/// Story S6: a) utility, service bond and panel screw, 2; b) inverting, relay, screw and service bond, 3; c) generator,
/// generator bond, screw and service bond, 3.
#[test]
fn three_sources_with_four_bonds_count_two_three_and_three() {
    use NeutralBond::{Fitted, Fixed, RelayWhenInverting};
    let house = story(RelayWhenInverting, Fixed, Fitted);
    let stands_right = |source: &str| {
        let table = bond_table(&house.graph, &house.facts, Arrangement::Nec);
        let wanted = house.graph.find(source).unwrap();
        // The source reaches the inverter only where the switch stands at its side.
        let side = |state: &BondState| {
            state.stands.is_empty()
                || state.stands.iter().all(|(_, at)| {
                    let from = house.graph.circuits[at.0].from;
                    from == wanted || (source == "utility" && &*house.graph.nodes[from.0].name == "service")
                })
        };
        let found: Vec<BondState> = table
            .into_iter()
            .filter(|s| s.source == wanted && s.moment == Moment::Steady && side(s))
            .collect();
        assert_eq!(found.len(), 1, "{source}");
        found[0].clone()
    };
    let found = ["utility", "generator"].map(|source| stands_right(source).bonds.len());
    assert_eq!(found, [2, 3]);
    assert_eq!(most(&house, "inverter"), 3);
    assert!(counts(&house).iter().all(|(.., verdict)| *verdict == BondVerdict::TooMany));
}

/// The repair of the story: panel screw removed, relay bond and generator bond lifted, neutral never switched.
#[test]
fn the_repaired_house_counts_one_in_every_state_and_moment() {
    use NeutralBond::{LeftOut, None};
    let house = story(None, None, LeftOut);
    let table = bond_table(&house.graph, &house.facts, Arrangement::Nec);
    assert!(table.iter().any(|state| state.moment == Moment::BetweenPositions));
    // What lasts stands before what passes.
    assert!(table.iter().is_sorted_by_key(|state| state.moment != Moment::Steady));
    for state in &table {
        assert_eq!((state.bonds.len(), state.verdict), (1, BondVerdict::Right), "{state:?}");
    }
    let mut sources: Vec<NodeId> = table.iter().map(|state| state.source).collect();
    sources.sort_unstable();
    sources.dedup();
    assert_eq!(sources.len(), 3);
}

/// The story's other repair: the neutral is switched and each source keeps its own bond. The moment in which the relay
/// has not closed yet has none, and the table says so.
#[test]
fn a_switched_neutral_keeps_the_bond_of_each_source() {
    use NeutralBond::{Fixed, LeftOut, RelayWhenInverting};
    let mut house = story(RelayWhenInverting, Fixed, LeftOut);
    house.facts.transfers[0].switches_neutral = known(true);
    let table = bond_table(&house.graph, &house.facts, Arrangement::Nec);
    // On the generator, with the switch at the generator: its own bond alone.
    let at_generator = |state: &&BondState| {
        state.moment == Moment::Steady
            && state.source == house.generator
            && state.neutral.contains(&house.panel)
    };
    assert_eq!(table.iter().find(at_generator).unwrap().bonds, [house.generator]);
    // Inverting between positions: the relay alone.
    let between =
        |state: &&BondState| state.moment == Moment::BetweenPositions && state.source == house.inverter;
    assert_eq!(table.iter().find(between).unwrap().bonds, [house.inverter]);
    // Inverting while the neutral of the service still hangs on it: the relay and the service, two.
    assert!(table.iter().any(|s| s.source == house.inverter && s.verdict == BondVerdict::TooMany));
}

#[test]
fn an_unknown_bond_or_an_unknown_switch_is_unknown_and_never_right() {
    use NeutralBond::{LeftOut, None};
    let mut house = story(None, None, LeftOut);
    house.graph.nodes[house.panel.0].bond = Some(unknown("panel.house.bond"));
    for state in bond_table(&house.graph, &house.facts, Arrangement::Nec) {
        assert_eq!(state.verdict, BondVerdict::Unknown);
        assert_eq!(state.possible, [house.panel]);
        assert!(state.gap.is_some());
    }
    let mut house = story(None, None, LeftOut);
    house.facts.transfers[0].switches_neutral = unknown("transfer.switch.switches_neutral");
    assert!(counts(&house).iter().any(|(.., verdict)| *verdict == BondVerdict::Unknown));
    // On the generator the service's tie is there if the switch leaves the neutral joined, and perhaps not.
    let perhaps_the_service = |house: &House| {
        let table = bond_table(&house.graph, &house.facts, Arrangement::Nec);
        let unknown = |state: &&BondState| {
            state.source == house.generator
                && state.moment == Moment::Steady
                && state.verdict == BondVerdict::Unknown
        };
        let state = table.iter().find(unknown).unwrap();
        state.bonds.is_empty() && state.possible == [house.graph.find("service").unwrap()]
    };
    assert!(perhaps_the_service(&house));
    // A device that nobody described is no better.
    house.facts.transfers.clear();
    assert!(counts(&house).iter().any(|(.., verdict)| *verdict == BondVerdict::Unknown));
    assert!(perhaps_the_service(&house));
    // Two certain ties are too many whatever the third is.
    let mut house = story(NeutralBond::Fixed, None, LeftOut);
    house.graph.nodes[house.panel.0].bond = Some(unknown("panel.house.bond"));
    let on_utility = counts(&house);
    assert!(on_utility.iter().all(|(_, n, verdict)| *n < 2 || *verdict == BondVerdict::TooMany));
}

#[test]
fn arrangements_of_230_v_want_their_own_numbers() {
    use Arrangement::{It, Nec, TnCS, TnS, Tt};
    assert_eq!(
        [Nec, TnCS, TnS, Tt, It].map(|a| (a.wanted(true), a.wanted(false))),
        [(1, 1), (1, 1), (0, 1), (0, 1), (0, 0)]
    );
    // An inverter with an island relay behind a supply that is earthed at the transformer.
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let board = bonded(&mut graph, "board", NodeKind::Panel, NeutralBond::LeftOut);
    let inverter = bonded(&mut graph, "inverter", NodeKind::Inverter, NeutralBond::RelayWhenInverting);
    let backed = bonded(&mut graph, "backed", NodeKind::Panel, NeutralBond::LeftOut);
    wire(&mut graph, utility, board);
    wire(&mut graph, board, inverter);
    wire(&mut graph, inverter, backed);
    let verdicts = |arrangement| -> Vec<(Moment, BondVerdict)> {
        bond_table(&graph, &StateFacts::default(), arrangement)
            .iter()
            .map(|s| (s.moment, s.verdict))
            .collect()
    };
    use BondVerdict::{Right, TooFew, TooMany};
    let steady = |arrangement| -> Vec<BondVerdict> {
        verdicts(arrangement).into_iter().filter(|(m, _)| *m == Moment::Steady).map(|(_, v)| v).collect()
    };
    assert_eq!(steady(Tt), [Right, Right]);
    assert_eq!(steady(TnS), [Right, Right]);
    // Without the tie at its origin a TN-C-S supply has none.
    assert_eq!(steady(TnCS), [TooFew, Right]);
    assert_eq!(steady(It), [Right, TooMany]);
    // Before the relay has closed the island has no tie.
    assert!(verdicts(Tt).contains(&(Moment::RelayMoves, TooFew)));
}

/// Counted another way: a bond counts when a walk over single edges from the source meets it.
#[test]
fn the_table_equals_a_walk_on_random_houses() {
    let mut seed = 11u64;
    let mut below = |n: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 33) % n as u64) as usize
    };
    let mut compared = 0;
    for _ in 0..80 {
        let mut graph = Graph::default();
        let utility = graph.add(node("utility", NodeKind::Utility));
        let generator = bonded(&mut graph, "generator", NodeKind::Generator, NeutralBond::Fixed);
        let transfer = graph.add(node("transfer", NodeKind::Transfer));
        let panels: Vec<NodeId> = (0..3)
            .map(|k| {
                let bond = if below(2) == 0 { NeutralBond::Fitted } else { NeutralBond::LeftOut };
                bonded(&mut graph, &format!("panel {k}"), NodeKind::Panel, bond)
            })
            .collect();
        wire(&mut graph, utility, panels[0]);
        let from_panel = wire(&mut graph, panels[0], transfer);
        let from_generator = wire(&mut graph, generator, transfer);
        wire(&mut graph, transfer, panels[1]);
        if below(2) == 0 {
            wire(&mut graph, panels[1], panels[2]);
        }
        let switches = below(2) == 0;
        let facts = StateFacts {
            transfers: vec![TransferFact { node: transfer, switches_neutral: known(switches) }],
            ..StateFacts::default()
        };
        let table = bond_table(&graph, &facts, Arrangement::Nec);
        for (source, closed, open) in [
            (utility, from_panel, from_generator),
            (utility, from_generator, from_panel),
            (generator, from_panel, from_generator),
            (generator, from_generator, from_panel),
        ] {
            let mut on = vec![source];
            loop {
                let more: Vec<NodeId> = graph
                    .circuits
                    .iter()
                    .enumerate()
                    .filter(|(k, _)| !(switches && *k == open.0))
                    .flat_map(|(_, c)| [(c.from, c.to), (c.to, c.from)])
                    .filter(|(a, b)| on.contains(a) && !on.contains(b))
                    .map(|(_, b)| b)
                    .collect();
                if more.is_empty() {
                    break;
                }
                on.extend(more);
                on.sort_unstable();
                on.dedup();
            }
            let tied = on
                .iter()
                .filter(|id| {
                    matches!(
                        graph.nodes[id.0].bond,
                        Some(Fact::Known(ref b)) if matches!(b.value, NeutralBond::Fixed | NeutralBond::Fitted)
                    )
                })
                .count();
            let found = table.iter().any(|state| {
                state.source == source
                    && state.bonds.len() == tied
                    && state.neutral == on
                    && (state.stands.is_empty() || state.stands.contains(&(transfer, closed)))
            });
            assert!(found, "{graph:#?} {table:#?}");
            compared += 1;
        }
    }
    assert_eq!(compared, 320);
}
