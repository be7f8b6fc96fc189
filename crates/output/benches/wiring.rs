//! Time of the whole wiring study of each shipped design: sizes, lock-out map, bonds by state.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;
use study::{Depth, Memo, Study};

fn main() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house"] {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
        let text = std::fs::read_to_string(folder.join(name).join(format!("{name}.toml"))).unwrap();
        let design = Arc::new(design::Design::of_text(&text));
        let study = Study::of(design, None, Depth::WithoutYear, &mut Memo::default());
        let (graph, runs) = (&study.design.graph, &study.design.system.runs);
        let rules = study::rule_set(&study.design.system).unwrap();
        let mut times: Vec<_> = (0..51)
            .map(|_| {
                let start = Instant::now();
                let schedule = wiring::size_all(graph, runs, rules).unwrap();
                assert_eq!(schedule.circuits.len(), graph.circuits.len());
                assert!(study::lock_out_map(&study).is_some() && !study::bond_states(&study).is_empty());
                start.elapsed()
            })
            .collect();
        times.sort();
        println!("{name}: median {:?}, slowest {:?}", times[25], times[50]);
    }
}
