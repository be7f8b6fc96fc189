//! What a person waits for: one house through one weather year.
//!
//! `cargo bench -p energy`. Prints the median time of a year and what it computed, which must be the same in every run.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

#[path = "../tests/common/mod.rs"]
mod common;

use common::{Draws, Year, plain};
use energy::{Chemistry, Generator, Start, System, Transfer, run};
use std::hint::black_box;
use std::time::Instant;

fn main() {
    let year = Year::random(&mut Draws(2));
    let transfer = Transfer {
        acts_within_h: 0.0,
        start_below: 0.25,
        stop_above: 0.6,
        charge_w: 2000.0,
        limit_w: f64::INFINITY,
    };
    let generator = Generator {
        output_w: 4000.0,
        charge_w: 2500.0,
        start_below: 0.25,
        stop_above: 0.7,
        shortest_run_h: 2.0,
        acts_within_h: 0.0,
        fuel_per_kwh: 0.4,
    };
    let mut lead_acid = plain(System::StandAlone { generator: Some(generator) });
    lead_acid.bank.chemistry = Chemistry::Kinetic(storage::Kinetic { share_at_hand: 0.3, rate_per_h: 1.2 });
    let houses = [
        ("no backup", plain(System::StandAlone { generator: None })),
        ("utility with start and stop", plain(System::BackupThroughInput(transfer))),
        ("interactive", plain(System::Interactive { export_limit_w: 3000.0, charge_w: 0.0, charge_to: 1.0 })),
        ("lead-acid with generator", lead_acid),
    ];
    for (name, inputs) in houses {
        let first = run(&inputs, &year.input(), Start::AfterDecember).unwrap();
        let mut times: Vec<f64> = (0..51)
            .map(|_| {
                let begun = Instant::now();
                let again = run(black_box(&inputs), &year.input(), Start::AfterDecember).unwrap();
                let took = begun.elapsed().as_secs_f64() * 1e6;
                assert_eq!(again, first);
                took
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!(
            "{name:28} {:7.0} µs a year   missing {:.3} kWh, backup {:.1} h",
            times[25],
            first.year.missing_total_wh() / 1000.0,
            first.year.backup_h
        );
    }
}
