//! Steps shorter than an hour.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Draws, Year, plain, random_inputs};
use energy::{FinerHouse, FinerSums, Flows, Given, HOURS, House, Inputs, Start, System, run};

/// The hours of a year in so many equal steps each, from where the hourly year begins.
fn walked(inputs: &Inputs, year: &Year, steps: u32) -> FinerSums {
    let hourly = run(inputs, &year.input(), Start::AfterDecember).unwrap();
    let house = FinerHouse::of(inputs, steps).unwrap();
    let mut state = house.from_hourly(hourly.start);
    let mut sums = FinerSums::default();
    for hour in 0..HOURS {
        let given = Given::at(&year.input(), hour);
        (0..steps).for_each(|_| house.live(&mut state, &given, &mut sums));
    }
    sums
}

/// Every kind of house: in steps of an hour the finer walk is the hourly one, hour by hour, to the last bit.
#[test]
fn steps_of_an_hour_are_the_hourly_year() {
    for seed in 0..40 {
        let mut draws = Draws(seed);
        let inputs = random_inputs(&mut draws);
        let year = Year::random(&mut draws);
        let hourly = run(&inputs, &year.input(), Start::AfterDecember).unwrap();
        let mut flows = Flows::default();
        for hour in energy::trace(&inputs, &year.input(), Start::AfterDecember).unwrap() {
            flows += &hour.flows;
        }
        let sums = walked(&inputs, &year, 1);
        assert_eq!((sums.flows, sums.steps, sums.starts), (flows, HOURS, hourly.starts), "house {seed}");
        assert_eq!(sums.peak_output_w.0, hourly.peak_output_w, "house {seed}");
    }
}

/// The promise of the balance holds for every step of every kind of house.
#[test]
fn every_shorter_step_closes_and_the_outlets_add_up() {
    for seed in 0..24 {
        let mut draws = Draws(seed);
        let inputs = random_inputs(&mut draws);
        let year = Year::random(&mut draws);
        for steps in [4, 12] {
            let sums = walked(&inputs, &year, steps);
            assert!(sums.closing_error_wh <= 1e-6, "house {seed}: {} Wh", sums.closing_error_wh);
            let flows = sums.flows;
            let outlets = flows.served_wh() + flows.missing_total_wh();
            assert!((outlets - flows.load_wh).abs() <= 1e-11 * flows.load_wh.max(1.0), "house {seed}");
            assert!(flows.losses.by_cause().iter().all(|(_, loss)| *loss >= 0.0), "house {seed}");
            let hourly = run(&inputs, &year.input(), Start::AfterDecember).unwrap().year;
            let offered = hourly.pv_offered_wh;
            assert!((flows.pv_offered_wh - offered).abs() <= 1e-9 * offered.max(1.0), "house {seed}");
        }
    }
}

/// Where nothing within an hour depends on how full the bank is (no taper, no squares, no thresholds, no idle that goes
/// unmet), a year of even hours is the same at any step. Which tier goes without in the hour in which the bank runs empty
/// is not: in steps all are served first and then none.
#[test]
fn even_hours_of_a_linear_house_are_the_same_at_any_step() {
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.fleet.discharge.idle_w = 0.0;
    for seed in 0..6 {
        let mut year = Year::random(&mut Draws(seed));
        year.cable = vec![0.0; HOURS];
        year.controller = [vec![0.0; HOURS], vec![0.0; HOURS]];
        year.coupled = vec![0.0; HOURS];
        let hourly = run(&inputs, &year.input(), Start::AfterDecember).unwrap().year;
        assert!(hourly.unused_wh > 0.0 || hourly.missing_total_wh() > 0.0);
        for steps in [4, 60] {
            let finer = walked(&inputs, &year, steps).flows;
            for (what, a, b) in [
                ("unused", hourly.unused_wh, finer.unused_wh),
                ("stored", hourly.stored_wh, finer.stored_wh),
                ("removed", hourly.removed_wh, finer.removed_wh),
                ("from sun", hourly.from_sun_wh, finer.from_sun_wh),
                ("missing", hourly.missing_total_wh(), finer.missing_total_wh()),
            ] {
                assert!((a - b).abs() <= 1e-9 * hourly.load_wh, "{what}, {steps} steps: {a} {b}");
            }
        }
    }
}

/// By hand: 4000 W offered in one half of an hour and none in the other, against a limit of 1500 W at the bus. The mean of
/// 2000 W arrives at the bus with 1600 W, less 100 W idle: 1500 W fits, nothing is unused. In two steps the bright half
/// brings 3200 W, less 100 W: 1500 W of 3100 W are taken, so that (3200 − 1600)/0.8/2 = 1000 Wh are unused; in the dark half
/// the bank gives 50 Wh of idle.
#[test]
fn half_an_hour_of_sun_meets_the_limit_that_its_mean_does_not() {
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.fleet.charge_limit_w = 1500.0;
    let given = |pv_dc_w| Given {
        pv_dc_w,
        pv_cable_loss_w: 0.0,
        by_controller: energy::ControllerHour::default(),
        coupled: energy::CoupledHour::default(),
        load_w: [0.0; 3],
        first_leg_w: [0.0; 3],
        air_c: 25.0,
        rate: 0,
    };
    let house = House::of(&inputs).unwrap();
    let (hour, _) = house.hour(&house.at_rest(0.5), &given(2000.0));
    assert!(hour.flows.unused_wh.abs() < 1e-9 && (hour.charge_w - 1500.0).abs() < 1e-9);
    let finer = FinerHouse::of(&inputs, 2).unwrap();
    let (mut state, mut sums) = (house.at_rest(0.5), FinerSums::default());
    finer.live(&mut state, &given(4000.0), &mut sums);
    finer.live(&mut state, &given(0.0), &mut sums);
    assert!((sums.flows.unused_wh - 1000.0).abs() < 1e-9, "{}", sums.flows.unused_wh);
    assert!((sums.peak_charge_w - 1500.0).abs() < 1e-9 && (sums.peak_discharge_w - 100.0).abs() < 1e-9);
    assert!((sums.flows.losses.idle_wh - 100.0).abs() < 1e-9);
    assert!(FinerHouse::of(&inputs, 0).is_err() && FinerHouse::of(&inputs, 61).is_err());
}
