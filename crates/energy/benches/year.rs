//! What a person waits for: one house through one weather year.
//!
//! `cargo bench -p energy`. Prints the median time of a year and what it computed, which must be the same in every run.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

#[path = "../tests/common/mod.rs"]
mod common;

use common::{Draws, Year, plain};
use energy::{
    Bank, Chemistry, Generator, Inputs, LANES, Row, SideBySide, SizeCurve, Start, System, Transfer, run,
};
use std::hint::black_box;
use std::time::Instant;

fn main() {
    // Modules at the units' own inputs alone, as in most houses.
    let mut year = Year::random(&mut Draws(2));
    (year.controller, year.coupled) = ([vec![], vec![]], vec![]);
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
            "{name:30} {:7.0} µs a year   missing {:.3} kWh, backup {:.1} h",
            times[25],
            first.year.missing_total_wh() / 1000.0,
            first.year.backup_h
        );
    }
    faster_forms();
    side_by_side(transfer);
}

/// Many banks behind one array, against the reference in the same run.
fn faster_forms() {
    let mut year = Year { controller: [vec![], vec![]], coupled: vec![], ..Year::random(&mut Draws(2)) };
    year.pv.iter_mut().for_each(|watts| *watts *= 0.7);
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.fleet.discharge.idle_w = 0.0;
    inputs.fleet.output_limit_w = 1e5;
    inputs.fleet.charge_limit_w = 1e5;
    let bank = |k: usize| Bank {
        capacity_wh: 2000.0 + 250.0 * k as f64,
        charge_w: 1e5,
        discharge_w: 1e5,
        ..inputs.bank
    };
    let banks: Vec<Bank> = (0..LANES).map(bank).collect();
    // The fastest of many short goes: whatever else the machine does only adds.
    let timed = |work: &mut dyn FnMut()| {
        (0..80)
            .map(|_| {
                let begun = Instant::now();
                work();
                begun.elapsed().as_secs_f64() * 1e6
            })
            .fold(f64::INFINITY, f64::min)
    };
    let input = year.input();
    let mut one = inputs;
    one.bank = banks[0];
    let mut missing = 0.0;
    let reference = timed(&mut || {
        missing = run(&one, &input, Start::AfterDecember).unwrap().year.missing_total_wh();
    });
    let made = timed(&mut || {
        black_box(Row::of(&inputs, &input).unwrap());
    });
    let row = Row::of(&inputs, &input).unwrap();
    let mut by_row = 0.0;
    let lanes = timed(&mut || {
        by_row = row.run(black_box(&banks)).unwrap()[0].missing_wh.iter().sum::<f64>();
    }) / LANES as f64;
    assert!((by_row - missing).abs() <= 1e-9 * missing, "{by_row} {missing}");
    let mut smallest = 0.0;
    let pass = timed(&mut || {
        let curve = SizeCurve::of(&inputs, &input, &banks[0]).unwrap();
        smallest = curve.unserved_wh(0.8 * banks[0].capacity_wh);
    });
    let ideal = timed(&mut || {
        black_box(SizeCurve::ideal(&inputs, &input).unwrap());
    });
    println!("reference, one bank          {reference:7.1} µs a year");
    println!(
        "row form, {LANES} banks abreast    {lanes:7.1} µs a year each, {:.1} times the reference; the row itself {made:.1} µs",
        reference / lanes
    );
    println!("every size in one pass       {pass:7.1} µs with its checks, {ideal:.1} µs for the ideal alone");
    println!("                             missing {:.3} kWh with the smallest", smallest / 1000.0);
}

/// Houses with the utility behind them, a taper and cells of their own temperature, side by side against the reference in the
/// same run.
fn side_by_side(transfer: Transfer) {
    let mut year = Year { controller: [vec![], vec![]], coupled: vec![], ..Year::random(&mut Draws(2)) };
    // As much sun for the load as a house has that is seldom on its backup.
    year.load.iter_mut().flatten().for_each(|watts| *watts *= 0.3);
    let mut inputs = plain(System::BackupByTransfer(Transfer { charge_w: 0.0, ..transfer }));
    inputs.fleet.output_limit_w = 6000.0;
    (inputs.bank.taper_from, inputs.bank.taper_share, inputs.bank.standby_w) = (0.95, 0.3, 10.0);
    let houses: Vec<Inputs> = (0..LANES)
        .map(|k| inputs.with_bank(Bank { capacity_wh: 12_000.0 + 2500.0 * k as f64, ..inputs.bank }))
        .collect();
    let input = year.input();
    let timed = |work: &mut dyn FnMut()| {
        let goes = (0..80).map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed().as_secs_f64() * 1e6
        });
        goes.fold(f64::INFINITY, f64::min)
    };
    let reference = timed(&mut || {
        black_box(run(black_box(&houses[0]), &input, Start::AfterDecember)).unwrap();
    });
    let prepared = timed(&mut || {
        black_box(SideBySide::of(black_box(&inputs), &input)).unwrap();
    });
    let side = SideBySide::of(&inputs, &input).unwrap();
    let together = timed(&mut || {
        black_box(side.run(black_box(&houses), None)).unwrap();
    }) / LANES as f64;
    let passed = side.run(&houses, None).unwrap();
    let by_reference: u32 = passed.iter().map(|passed| passed.by_reference_h).sum();
    println!(
        "with backup, {LANES} side by side: reference {reference:.0} µs, prepared once {prepared:.0} µs, then {together:.0} µs a house \
         and year, {:.1} times; {:.1} % of the hours by the reference",
        reference / together,
        f64::from(by_reference) * 100.0 / (LANES as f64 * 9504.0),
    );
}
