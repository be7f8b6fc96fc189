//! What hangs inside the door of each shipped design: everything once.
#![allow(missing_docs, clippy::unwrap_used)]

use output::sheets_wiring;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn study(name: &str) -> Study {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let text = std::fs::read_to_string(folder.join(name).join(format!("{name}.toml"))).unwrap();
    Study::of(Arc::new(design::Design::of_text(&text)), None, Depth::WithoutYear, &mut Memo::default())
}

const DESIGNS: [&str; 3] = ["hollow-farm", "pine-cabin", "harbour-house"];

#[test]
fn every_conductor_switch_and_enclosure_appears_exactly_once() {
    for name in DESIGNS {
        let study = study(name);
        let graph = &study.design.graph;
        let map = sheets_wiring::lock_out(&study).unwrap();
        let listed: Vec<&str> = map.rows.iter().map(|row| row.cells[1].text.as_str()).collect();
        let all: Vec<&str> = graph.circuits.iter().map(|circuit| &*circuit.name).collect();
        assert_eq!(listed, all, "{name}: conductors of the map");
        let schedule = output::sheets::circuits(&study).unwrap();
        let listed: Vec<&str> = schedule.rows.iter().map(|row| row.cells[1].text.as_str()).collect();
        assert_eq!(listed, all, "{name}: conductors of the schedule");
        // Both ends of every conductor.
        let terminals = output::sheets_terminals::terminals(&study).unwrap();
        assert_eq!(terminals.rows.len(), 2 * all.len());
        // A switch for each circuit that has a device, none twice.
        let (facts, pages) = study::lock_out_map(&study).unwrap();
        for (k, sized) in study.wiring.as_ref().unwrap().circuits.iter().enumerate() {
            let here = |point: &&wiring::SwitchPoint| point.circuit.0 == k;
            let by_hand = study
                .design
                .system
                .disconnects
                .iter()
                .filter(|each| study::circuit_of(&study, each).is_some_and(|(circuit, _)| circuit.0 == k))
                .count();
            let built_in = facts.switches.iter().filter(here).count() - by_hand;
            let device =
                sized.protection.needed.value() == Some(&true) && sized.protection.standard.is_known();
            // A switch of the inverter for its strings, or a breaker of each unit of the bank, comes on top.
            let own = match (name, &graph.circuits[k].demand) {
                (
                    "hollow-farm" | "harbour-house",
                    wiring::Demand::PvStrings(_) | wiring::Demand::BatteryUnit(_),
                ) => 1,
                _ => 0,
            };
            assert_eq!(built_in, usize::from(device) + own, "{name}: {}", sized.name);
        }
        // A page for every enclosure, each proving the absence of voltage at its end.
        assert_eq!(pages.enclosures.len(), graph.nodes.len());
        let pages = sheets_wiring::enclosures(&study);
        let captions: String = pages.iter().map(|page| page.caption.as_str()).collect::<Vec<_>>().join("\n");
        for node in graph.nodes.iter().filter(|node| node.kind != wiring::NodeKind::BatteryUnit) {
            assert!(captions.contains(&*node.name), "{name}: {}", node.name);
        }
        for page in &pages {
            let last = &page.rows.last().unwrap().cells[1].text;
            assert!(last.contains("meter proved before and after"), "{name}: {}", page.caption);
        }
    }
}

#[test]
fn what_is_never_dead_is_said_in_red() {
    for name in DESIGNS {
        let study = study(name);
        let graph = &study.design.graph;
        let (_, map) = study::lock_out_map(&study).unwrap();
        for (k, circuit) in graph.circuits.iter().enumerate() {
            let from = graph.node(circuit.from).unwrap();
            if matches!(from.kind, wiring::NodeKind::PvString | wiring::NodeKind::Utility) {
                assert!(
                    map.conductors[k].isolation.always.contains(&circuit.from),
                    "{name}: {}",
                    circuit.name
                );
            }
        }
        for page in map.enclosures.iter().filter(|page| graph.node(page.node).unwrap().kind.is_source()) {
            assert!(page.isolation.always.contains(&page.node), "{name}");
        }
    }
}

#[test]
fn the_ties_of_the_shipped_houses_are_one_in_every_lasting_state() {
    for name in DESIGNS {
        let states = study::bond_states(&study(name));
        assert!(!states.is_empty());
        for state in states.iter().filter(|state| state.moment == wiring::Moment::Steady) {
            assert_eq!(state.verdict, wiring::BondVerdict::Right, "{name}: {state:?}");
        }
    }
    // By IEC the earthing arrangement says how many are right.
    assert_eq!(study::arrangement(&study("harbour-house")), Some(wiring::Arrangement::TnCS));
}
