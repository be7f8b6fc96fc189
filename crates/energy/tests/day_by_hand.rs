//! A day worked by hand for each system type.
//!
//! The house of round numbers: a load of P watts takes 100 + 1.25·P from the bus; modules give 0.8 of what they offer;
//! 0.8 of what enters the bank is stored, and 1 Wh at the bus costs 1.25 Wh of store; the AC charger gives 0.8. The bank
//! holds 10 000 Wh, 2000 of them untouchable. So 400 W of load cost 600 Wh at the bus and 750 Wh of store in an hour.
#![allow(clippy::unwrap_used)]

mod common;

use common::day::{M400, NONE, live, row};
use common::plain;
use energy::{Generator, Given, Hour, House, System, Transfer};

/// Generator of 3000 W that charges with 2000 W at the bus, called at 3000 Wh, stopped at 6000 Wh, never for less than
/// three hours. While it runs it carries the load and the inverters' 100 W of idle.
#[test]
fn stand_alone_with_a_generator() {
    let generator = Generator {
        output_w: 3000.0,
        charge_w: 2000.0,
        start_below: 0.3,
        stop_above: 0.6,
        shortest_run_h: 3.0,
        acts_within_h: 0.0,
        fuel_per_kwh: 0.5,
    };
    let inputs = plain(System::StandAlone { generator: Some(generator) });
    let rows = [
        row(0.0, M400, 4500.0),
        row(0.0, M400, 3750.0),
        row(0.0, M400, 3000.0),
        // Called: 100 + 400 + 2500 for the charger, of which 2000 reach the bus and 1600 the store.
        row(0.0, M400, 4600.0).backup(1.0, 3000.0),
        row(0.0, M400, 6200.0).backup(1.0, 3000.0),
        // Above its stop, but this is the third hour of the shortest run.
        row(0.0, M400, 7800.0).backup(1.0, 3000.0),
        // 800 at the bus, 600 used, 200 in: 160 stored.
        row(1000.0, M400, 7960.0),
        // 1600 at the bus, 100 + 1.25·800 = 1100 used, 500 in.
        row(2000.0, [800.0, 0.0, 0.0], 8360.0),
        // 3200 at the bus, 600 used; 2050 fill the bank; 2650 taken of 3200, that is 3312.5 of 4000.
        row(4000.0, M400, 10_000.0).unused(687.5),
        row(4000.0, [400.0, 400.0, 0.0], 10_000.0).unused(2625.0),
        // 1900 W wanted, 1500 W possible: luxury gets 200. The bus gives 1975, the modules 2468.75.
        row(4000.0, [800.0, 500.0, 600.0], 10_000.0).missing([0.0, 0.0, 400.0]).unused(1531.25),
        // The same from the bank: 1975 · 1.25 = 2468.75.
        row(0.0, [800.0, 500.0, 600.0], 7531.25).missing([0.0, 0.0, 400.0]),
        // 1200 W: 1600 at the bus, 2000 of store.
        row(0.0, [1200.0, 0.0, 0.0], 5531.25),
        row(0.0, [1200.0, 0.0, 0.0], 3531.25),
        // 1531.25 above the floor give 1225 at the bus: 900 of 1200 W, so the store lasts three quarters of the hour.
        // Then a quarter of an hour of generator: 25 idle, 300 load, 425 charger = 340 at the bus = 272 stored. The own
        // part took 75 idle + 1125 = 1200 at the bus, 1500 of store: 3531.25 − 1500 + 272.
        row(0.0, [1200.0, 0.0, 0.0], 2303.25).backup(0.25, 750.0),
        row(0.0, NONE, 3903.25).backup(1.0, 2600.0),
        row(0.0, NONE, 5503.25).backup(1.0, 2600.0),
        // Two and a quarter hours had run: on to three and a quarter.
        row(0.0, NONE, 7103.25).backup(1.0, 2600.0),
        row(0.0, M400, 6353.25),
        // Idle alone: 100 at the bus, 125 of store.
        row(0.0, NONE, 6228.25),
        row(0.0, NONE, 6103.25),
        row(0.0, NONE, 5978.25),
        row(0.0, NONE, 5853.25),
        row(0.0, NONE, 5728.25),
    ];
    let hours = live(&inputs, 5250.0, &rows);
    assert_eq!(hours.iter().filter(|hour| hour.started).count(), 2);
    // 3 · 3000 + 750 + 3 · 2600 = 17 550 Wh at half a litre.
    assert!((hours.iter().map(|hour| hour.fuel_l).sum::<f64>() - 8.775).abs() < 1e-12);
    // Charger loss of the first hour: 2500 − 2000.
    assert!((hours[3].flows.losses.charger_wh - 500.0).abs() < 1e-9);
    assert!((hours[3].flows.losses.idle_wh - 100.0).abs() < 1e-9);
}

/// A generator of 4000 W that loses a tenth for each 1000 m, at 2500 m: 3000 W. Someone starts it within an hour and a half of the
/// call and stops it as late, and never for less than two hours. The units give up 2 % of their output for each kelvin above
/// 25 °C: 900 W at 45 °C, 1200 W at 35 °C.
#[test]
fn a_generator_started_by_hand_high_up_and_a_hot_room() {
    let generator = Generator {
        output_w: conversion::output_at_altitude(4000.0, 0.1, 2500.0),
        charge_w: 2000.0,
        start_below: 0.3,
        stop_above: 0.6,
        shortest_run_h: 2.0,
        acts_within_h: 1.5,
        fuel_per_kwh: 0.5,
    };
    let mut inputs = plain(System::StandAlone { generator: Some(generator) });
    inputs.fleet.derate = Some(energy::Derate { above_c: 25.0, per_kelvin: 0.02 });
    let all = [400.0, 400.0, 400.0];
    let rows = [
        row(0.0, M400, 3750.0),
        row(0.0, M400, 3000.0),
        // Called; an hour and a half to go.
        row(0.0, M400, 2250.0),
        // Half an hour on 200 at the bus: 50 idle, 120 W of the 200 asked. Then 50 + 200 + 1250 for the charger, 800 stored.
        row(0.0, M400, 2800.0).backup(0.5, 1500.0).missing([80.0, 0.0, 0.0]),
        row(0.0, M400, 4400.0).backup(1.0, 3000.0),
        // Two and a half hours have run and it is six tenths full: someone is asked to stop it.
        row(0.0, M400, 6000.0).backup(1.0, 3000.0),
        // It runs on for the loads and the idle draw, and charges no further.
        row(0.0, M400, 6000.0).backup(1.0, 500.0),
        // Half of this hour; the other half takes 300 at the bus, 375 of store.
        row(0.0, M400, 5625.0).backup(0.5, 250.0),
        // 900 W: luxury gets 100. 1225 at the bus, 1531.25.
        row(0.0, all, 4093.75).air(45.0).missing([0.0, 0.0, 300.0]),
        row(0.0, [800.0, 300.0, 300.0], 2093.75).air(35.0).missing([0.0, 0.0, 200.0]),
        // Called. 75 at the bus do not meet the idle draw.
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, M400, 2800.0).backup(0.5, 1500.0).missing([200.0, 0.0, 0.0]),
        // The generator carries the loads past the units, hot or not: 100 + 1200, 1700 for the charger, 1360 in, 1088 stored.
        row(0.0, all, 3888.0).air(45.0).backup(1.0, 3000.0),
        // 3400 W asked of 2900: luxury goes, and nothing is left to charge with.
        row(0.0, [2000.0, 800.0, 600.0], 3888.0).backup(1.0, 3000.0).missing([0.0, 0.0, 500.0]),
        row(0.0, M400, 5488.0).backup(1.0, 3000.0),
        // 640 at the bus fill it to six tenths: 800 for the charger.
        row(0.0, M400, 6000.0).backup(1.0, 1300.0),
        // Still running: the sun's 800 go in beside it.
        row(1000.0, M400, 6640.0).backup(1.0, 500.0),
        row(0.0, M400, 6265.0).backup(0.5, 250.0),
        row(0.0, M400, 5515.0),
        row(0.0, M400, 4765.0),
        row(0.0, M400, 4015.0),
        row(0.0, M400, 3265.0),
        row(0.0, M400, 2515.0),
        // Called. 412 at the bus: 249.6 W of 400.
        row(0.0, M400, 2000.0).missing([150.4, 0.0, 0.0]),
    ];
    let hours = live(&inputs, 4500.0, &rows);
    assert_eq!(hours.iter().filter(|hour| hour.started).count(), 2);
    // 20 800 Wh at half a litre.
    assert!((hours.iter().map(|hour| hour.fuel_l).sum::<f64>() - 10.4).abs() < 1e-12);
    assert!((hours[8].output_limit_w - 900.0).abs() < 1e-9);
    assert_eq!(hours.iter().filter(|hour| hour.mode == 2).count(), 4);
}

/// A person turns the switch within two hours of the bank being empty, and again within two hours of its being half
/// full. The utility does not charge.
#[test]
fn backup_by_a_transfer_turned_by_hand() {
    let transfer = Transfer {
        acts_within_h: 2.0,
        start_below: 0.2,
        stop_above: 0.5,
        charge_w: 0.0,
        limit_w: f64::INFINITY,
    };
    let inputs = plain(System::BackupByTransfer(transfer));
    let all = [400.0, 400.0, 400.0];
    let rows = [
        row(0.0, M400, 2750.0),
        row(0.0, M400, 2000.0),
        // Empty: called, and dark for the two hours it takes.
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
        // 400 at the bus, 100 idle, 300 in, 240 stored; the load stays on the utility.
        row(500.0, M400, 2240.0).backup(1.0, 400.0),
        // 2000 at the bus, 1900 in, 1520 stored.
        row(2500.0, M400, 3760.0).backup(1.0, 400.0),
        // Half full at the end of this hour; someone is called.
        row(2500.0, M400, 5280.0).backup(1.0, 400.0),
        row(2500.0, M400, 6800.0).backup(1.0, 400.0),
        row(2500.0, M400, 8320.0).backup(1.0, 400.0),
        // Back on its own: 2000 − 600 = 1400 in.
        row(2500.0, M400, 9440.0),
        // Room for 700: 1300 taken of 2000, 1625 of 2500.
        row(2500.0, M400, 10_000.0).unused(875.0),
        // 1200 W: 1600 at the bus, 2000 of store.
        row(0.0, all, 8000.0),
        row(0.0, all, 6000.0),
        row(0.0, all, 4000.0),
        row(0.0, all, 2000.0),
        // Called. 800 at the bus: 100 idle, 700/1.25 = 560 W: must whole, want 160, luxury none. Not dark.
        row(1000.0, all, 2000.0).missing([0.0, 240.0, 400.0]),
        row(0.0, all, 2000.0).missing(all),
        row(0.0, all, 2000.0).backup(1.0, 1200.0),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
        row(0.0, M400, 2000.0).backup(1.0, 400.0),
    ];
    let hours = live(&inputs, 3500.0, &rows);
    assert_eq!(hours.iter().filter(|hour| hour.started).count(), 2);
    let sum = |part: fn(&Hour) -> f64| hours.iter().map(part).sum::<f64>();
    assert!((sum(|hour| hour.flows.backup_h) - 12.0).abs() < 1e-12);
    assert!((sum(|hour| hour.flows.dark_h) - 3.0).abs() < 1e-12);
}

/// The bank gives out in the middle of an hour and the switch is turned half an hour later.
#[test]
fn a_transfer_within_the_hour_leaves_a_gap_of_its_own_length() {
    let transfer = Transfer {
        acts_within_h: 0.5,
        start_below: 0.2,
        stop_above: 0.5,
        charge_w: 0.0,
        limit_w: f64::INFINITY,
    };
    let house = House::of(&plain(System::BackupByTransfer(transfer))).unwrap();
    let given = |load| Given {
        pv_dc_w: 0.0,
        pv_cable_loss_w: 0.0,
        by_controller: Default::default(),
        coupled: Default::default(),
        load_w: [load, 0.0, 0.0],
        first_leg_w: [0.0; 3],
        air_c: 20.0,
        rate: 0,
    };
    // 281.25 above the floor give 225 at the bus: 100 idle and 100 W of the 400 wanted, a quarter of the hour. Half an
    // hour of gap, then the last quarter on the utility: 100 Wh.
    let (hour, _) = house.hour(&house.at_rest(0.228_125), &given(400.0));
    assert!((hour.flows.from_bank_wh - 100.0).abs() < 1e-8);
    assert!((hour.flows.backup_to_load_wh - 100.0).abs() < 1e-8);
    assert!((hour.flows.missing_wh[0] - 200.0).abs() < 1e-8);
    assert!((hour.flows.backup_h - 0.25).abs() < 1e-9);
    assert_eq!(hour.mode, 2);
    // A device that acts at once leaves no gap.
    let at_once = Transfer { acts_within_h: 0.0, ..transfer };
    let house = House::of(&plain(System::BackupByTransfer(at_once))).unwrap();
    let (hour, _) = house.hour(&house.at_rest(0.228_125), &given(400.0));
    assert!((hour.flows.backup_to_load_wh - 300.0).abs() < 1e-8);
    assert_eq!((hour.flows.dark_h, hour.mode), (0.0, 1));
}

/// The utility at an input of the inverters charges with 1000 W at the bus between 3000 and 5000 Wh.
#[test]
fn backup_through_an_input_of_the_inverters() {
    let transfer = Transfer {
        acts_within_h: 0.0,
        start_below: 0.3,
        stop_above: 0.5,
        charge_w: 1000.0,
        limit_w: f64::INFINITY,
    };
    let inputs = plain(System::BackupThroughInput(transfer));
    let rows = [
        row(0.0, M400, 3250.0),
        row(0.0, M400, 2500.0),
        // 100 idle, 400 load, 1250 for the charger; 800 stored.
        row(0.0, M400, 3300.0).backup(1.0, 1750.0),
        row(0.0, M400, 4100.0).backup(1.0, 1750.0),
        row(0.0, M400, 4900.0).backup(1.0, 1750.0),
        // Up to the stop only: 125 at the bus, 156.25 from the utility.
        row(0.0, M400, 5000.0).backup(1.0, 656.25),
        row(0.0, M400, 4250.0),
        row(0.0, M400, 3500.0),
        row(0.0, M400, 2750.0),
        // 800 from the sun and 1000 from the utility go in: 1440 stored.
        row(1000.0, M400, 4190.0).backup(1.0, 1750.0),
        // The sun alone reaches the bank's 3000 W; 250 of the modules find no taker.
        row(4000.0, M400, 6590.0).backup(1.0, 500.0).unused(250.0),
        row(4000.0, M400, 8670.0),
        // Room for 1662.5: 2262.5 taken, 2828.125 of 4000.
        row(4000.0, M400, 10_000.0).unused(1171.875),
        row(0.0, M400, 9250.0),
        row(0.0, M400, 8500.0),
        row(0.0, M400, 7750.0),
        row(0.0, M400, 7000.0),
        row(0.0, M400, 6250.0),
        row(0.0, M400, 5500.0),
        row(0.0, M400, 4750.0),
        row(0.0, M400, 4000.0),
        row(0.0, M400, 3250.0),
        row(0.0, M400, 2500.0),
        row(0.0, M400, 3300.0).backup(1.0, 1750.0),
    ];
    let hours = live(&inputs, 4000.0, &rows);
    assert_eq!(hours.iter().filter(|hour| hour.started).count(), 3);
}

/// Joined to the utility, 3000 W of output, 1000 W of export, 3000 Wh held back.
#[test]
fn interactive_with_own_use_first() {
    let mut inputs = plain(System::Interactive { export_limit_w: 1000.0, charge_w: 0.0, charge_to: 1.0 });
    inputs.fleet.output_limit_w = 3000.0;
    inputs.held_back = 0.3;
    let rows = [
        row(0.0, M400, 4250.0),
        row(0.0, M400, 3500.0),
        // 500 above what is held back: 400 at the bus, 240 W of output, 160 from the utility.
        row(0.0, M400, 3000.0).backup(1.0, 160.0),
        // Load and idle draw from the utility.
        row(0.0, M400, 3000.0).backup(1.0, 500.0),
        // 80 at the bus for the idle draw, 20 more from the utility.
        row(100.0, M400, 3000.0).backup(1.0, 420.0),
        row(1000.0, M400, 3160.0),
        // 128 at the bus: 100 idle, 22.4 W of output.
        row(0.0, M400, 3000.0).backup(1.0, 377.6),
        // 3500 W of load above the 3000 W of output: 500 from the utility; 4000 − 3850 = 150 go in.
        row(5000.0, [3500.0, 0.0, 0.0], 3120.0).backup(1.0, 500.0),
        // 8000 at the bus: 600 used, 3000 in, 1000 W out for 1250; 4850 taken, 6062.5 of 10 000.
        row(10_000.0, M400, 5520.0).export(1000.0).unused(3937.5),
        row(10_000.0, M400, 7920.0).export(1000.0).unused(3937.5),
        // Room for 2600: 4450 taken, 5562.5.
        row(10_000.0, M400, 10_000.0).export(1000.0).unused(4437.5),
        row(10_000.0, M400, 10_000.0).export(1000.0).unused(7687.5),
        row(0.0, M400, 9250.0),
        row(0.0, M400, 8500.0),
        row(0.0, M400, 7750.0),
        row(0.0, M400, 7000.0),
        row(0.0, M400, 6250.0),
        row(0.0, M400, 5500.0),
        row(0.0, M400, 4750.0),
        row(0.0, M400, 4000.0),
        row(0.0, M400, 3250.0),
        // 200 at the bus: 80 W of output.
        row(0.0, M400, 3000.0).backup(1.0, 320.0),
        row(0.0, M400, 3000.0).backup(1.0, 500.0),
        row(0.0, M400, 3000.0).backup(1.0, 500.0),
    ];
    live(&inputs, 5000.0, &rows);
}

/// Two legs of 800 W, 1500 W together, and nothing behind the bank. A leg that is asked for more gives up luxury before want
/// before must, on that leg only; what both legs allow is then held to what all give together.
#[test]
fn two_legs_with_limits_of_their_own() {
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.fleet.leg_limit_w = Some([800.0; 2]);
    let all_on_a = [800.0, 200.0, 200.0];
    let rows = [
        row(0.0, M400, 9250.0).first_leg(M400),
        // Leg a is asked for 1000 W: must 600 and 200 of want. 1100 W: 1475 at the bus, 1843.75 of store.
        row(0.0, [600.0, 400.0, 300.0], 7406.25).first_leg([600.0, 400.0, 0.0]).missing([0.0, 200.0, 0.0]),
        // A must-load alone is too much for its leg, though both together could: 1100 at the bus, 1375.
        row(0.0, [1000.0, 0.0, 0.0], 6031.25).first_leg([1000.0, 0.0, 0.0]).missing([200.0, 0.0, 0.0]),
        // Each leg carries its 800 W, both together 1500: 1975 at the bus, 2468.75.
        row(0.0, [800.0, 800.0, 0.0], 3562.5).first_leg([800.0, 0.0, 0.0]).missing([0.0, 100.0, 0.0]),
        // 500 W on each leg: 1350 of 3200 at the bus, 1850 in.
        row(4000.0, [1000.0, 0.0, 0.0], 5042.5).first_leg([500.0, 0.0, 0.0]),
        row(4000.0, [0.0, 0.0, 1000.0], 6722.5).first_leg([0.0, 0.0, 1000.0]).missing([0.0, 0.0, 200.0]),
        // 3100 to spare, 3000 go in: 3875 of 4000 taken.
        row(4000.0, NONE, 9122.5).unused(125.0),
        // 1100 used, room for 1096.875: 2746.093 75 of 4000.
        row(4000.0, all_on_a, 10_000.0).first_leg(all_on_a).missing([0.0, 200.0, 200.0]).unused(1_253.906_25),
        row(0.0, all_on_a, 8625.0).first_leg(all_on_a).missing([0.0, 200.0, 200.0]),
        // Leg a: 350 of must and 600 of want, so 450 of them. 1150 W: 1537.5 at the bus, 1921.875.
        row(0.0, [700.0, 600.0, 0.0], 6703.125).first_leg([350.0, 600.0, 0.0]).missing([0.0, 150.0, 0.0]),
        // 850 W on each leg: 800 allowed on each, 1500 together.
        row(0.0, [1700.0, 0.0, 0.0], 4234.375).first_leg([850.0, 0.0, 0.0]).missing([200.0, 0.0, 0.0]),
        row(0.0, NONE, 4109.375),
        row(0.0, NONE, 3984.375),
        row(0.0, NONE, 3859.375),
        row(0.0, NONE, 3734.375),
        row(0.0, M400, 2984.375),
        row(0.0, NONE, 2859.375),
        row(0.0, NONE, 2734.375),
        row(0.0, NONE, 2609.375),
        row(0.0, NONE, 2484.375),
        row(0.0, NONE, 2359.375),
        row(0.0, NONE, 2234.375),
        row(0.0, NONE, 2109.375),
        // 109.375 of store are left for the idle draw's 125.
        row(0.0, NONE, 2000.0),
    ];
    let hours = live(&inputs, 10_000.0, &rows);
    assert_eq!((hours[1].leg_w, hours[1].leg_share), ([1000.0, 300.0], 1.25));
    assert_eq!((hours[4].leg_w, hours[4].leg_share), ([500.0, 500.0], 0.625));
    assert!((hours.iter().map(|hour| hour.flows.dark_h).sum::<f64>() - 2.0).abs() < 1e-12);
}

/// Three rates: in the first neither charges nor serves the bank, in the second the utility charges it with 1000 W at the bus up
/// to 8000 Wh, in the third it serves. Sun charges at any rate.
#[test]
fn rates_decide_when_the_bank_charges_and_serves() {
    let mut inputs = plain(System::Interactive { export_limit_w: 0.0, charge_w: 1000.0, charge_to: 0.8 });
    let rate = |charges, discharges| energy::Rate { charges, discharges };
    inputs.rates[..3].copy_from_slice(&[rate(false, false), rate(true, false), rate(false, true)]);
    // 100 idle, 400 of load, 1250 for the charger; 800 stored.
    let night = |store| row(0.0, M400, store).rate(1).backup(1.0, 1750.0);
    let day = |store| row(0.0, M400, store).backup(1.0, 500.0);
    let evening = |store| row(0.0, M400, store).rate(2);
    let rows = [
        night(3800.0),
        night(4600.0),
        night(5400.0),
        night(6200.0),
        night(7000.0),
        night(7800.0),
        // 250 at the bus fill the last 200: 312.5 from the utility.
        row(0.0, M400, 8000.0).rate(1).backup(1.0, 812.5),
        row(0.0, M400, 8000.0).rate(1).backup(1.0, 500.0),
        day(8000.0),
        day(8000.0),
        // 400 at the bus: 100 idle, 240 W of output.
        row(500.0, M400, 8000.0).backup(1.0, 160.0),
        // 1600 at the bus, 600 used, 1000 in.
        row(2000.0, M400, 8800.0),
        // Room for 1500: 2100 of 3200 at the bus, 2625 of 4000.
        row(4000.0, M400, 10_000.0).unused(1375.0),
        row(4000.0, M400, 10_000.0).unused(3250.0),
        day(10_000.0),
        day(10_000.0),
        day(10_000.0),
        evening(9250.0),
        evening(8500.0),
        evening(7750.0),
        evening(7000.0),
        day(7000.0),
        day(7000.0),
        night(7800.0),
    ];
    live(&inputs, 3000.0, &rows);
}
