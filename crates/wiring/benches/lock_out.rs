//! Time of the lock-out map with forty switches: one house, and meshes joined at random.
#![allow(clippy::print_stdout, clippy::unwrap_used, missing_docs)]

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../tests/common/switches.rs"]
mod switches;

use std::time::{Duration, Instant};
use switches::{Dice, forty_switches, random_mesh};
use wiring::{Graph, StateFacts, lock_out};

fn once(graph: &Graph, facts: &StateFacts) -> Duration {
    let start = Instant::now();
    let map = lock_out(graph, facts, 8);
    let took = start.elapsed();
    assert_eq!(map.conductors.len(), graph.circuits.len());
    took
}

fn show(name: &str, mut times: Vec<Duration>) {
    times.sort();
    println!(
        "{name}: median {:?}, slowest {:?} of {}",
        times[times.len() / 2],
        times[times.len() - 1],
        times.len()
    );
}

fn main() {
    let (graph, facts) = forty_switches();
    show("a house", (0..101).map(|_| once(&graph, &facts)).collect());
    let mut dice = Dice(3);
    let meshes = (0..60).map(|_| {
        let (graph, facts) = random_mesh(&mut dice);
        once(&graph, &facts)
    });
    show("meshes", meshes.collect());
}
