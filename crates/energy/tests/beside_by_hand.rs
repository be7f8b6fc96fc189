//! Days worked by hand for modules that reach the house beside the inputs of its inverters.
//!
//! The house of round numbers of `day_by_hand.rs`: a load of P watts takes 100 + 1.25·P from the bus; modules at the units' inputs
//! bring 0.8 of what they offer to the bus, controllers 0.8 too; 0.8 of what enters the bank is stored, and 1 Wh at the bus
//! costs 1.25 Wh of store; the AC charger gives 0.8. The bank holds 10 000 Wh, 2000 of them untouchable.
#![allow(clippy::unwrap_used)]

mod common;

use common::day::{M400, NONE, live, row};
use common::plain;
use conversion::LossCurve;
use energy::{ControllerHour, Coupled, CoupledHour, Generator, Given, House, Inputs, System, Transfer};

/// Units that send their modules straight to AC, 1.25 W of modules a watt, beside a controller of 800 W. The controller meets
/// the idle draw first, so that more of the units' modules goes the short way.
#[test]
fn a_controller_beside_units_with_inputs_of_their_own() {
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.fleet.direct = Some(LossCurve::quadratic(0.0, 0.25, 0.0));
    inputs.fleet.controller_limit_w = 800.0;
    let bright = |load, store| row(4000.0, load, store).controller(1000.0);
    let rows = [
        row(0.0, M400, 4250.0),
        // No controller power: 125 of the modules for the idle draw, 375 give 300 W; 100 W over the bus cost 156.25.
        row(500.0, M400, 4093.75),
        // 400 at the bus from the controller: 100 idle, 300 in, 240 stored. 500 of modules are the whole load.
        row(500.0, M400, 4333.75).controller(500.0),
        // 800 at the bus: 600 used, 200 in.
        row(0.0, M400, 4493.75).controller(1000.0),
        // 200 W straight; the other 200 W take 250 of the 300 left at the bus, 50 go in.
        row(250.0, M400, 4533.75).controller(500.0),
        // The controller meets the idle draw and no more: 250 from the bank.
        row(250.0, M400, 4221.25).controller(125.0),
        // Half the idle draw: 62.5 of the modules for the rest, 150 W straight, 250 W over the bus: 312.5, 390.625 of store.
        row(250.0, M400, 3830.625).controller(62.5),
        // The bank takes 3000: 700 of the controller, 2300 of the units, 2875 of the 3500 that are left there.
        bright(M400, 6230.625).unused(625.0),
        bright(M400, 8630.625).unused(625.0),
        // Room for 1711.718 75: 700 and 1011.718 75, which take 1264.648 437 5.
        bright(M400, 10_000.0).unused(2_235.351_562_5),
        // Full: 100 for the idle draw take 125 of the controller's 1000.
        bright(M400, 10_000.0).unused(4375.0),
        // 800 W straight, 700 W over the bus: 875, of which the controller has 700; 175 from the bank.
        row(1000.0, [1000.0, 500.0, 0.0], 9781.25).controller(1000.0),
        // 1500 W is all the units give: luxury goes. 125 for idle, 1875 straight, 500 left: room for 273.4375 takes 341.796 875.
        row(2500.0, [1000.0, 500.0, 600.0], 10_000.0).missing([0.0, 0.0, 600.0]).unused(158.203_125),
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
        // 500 above the floor: 400 at the bus, 240 W.
        row(0.0, M400, 2000.0).missing([160.0, 0.0, 0.0]),
    ];
    let hours = live(&inputs, 5000.0, &rows);
    // The controller loses a fifth of the 1000 it takes.
    assert!((hours[3].flows.losses.pv_conversion_wh - 200.0).abs() < 1e-9);
    // Its limit counts with the units' 3000 W and the bank's 3000 W: the bank's holds.
    assert!((hours[7].charge_limit_w - 3000.0).abs() < 1e-9 && (hours[7].charge_w - 3000.0).abs() < 1e-9);
}

/// An array inverter of 2000 W that asks 20 + 1.25·P of its modules; the units at the battery charge with 1500 W at the bus.
fn with_coupled(system: System) -> Inputs {
    let mut inputs = plain(system);
    inputs.fleet.coupled = Some(Coupled {
        curve: LossCurve::quadratic(20.0, 0.25, 0.0),
        output_limit_w: 2000.0,
        charge_w: 1500.0,
    });
    inputs
}

/// All modules behind an array inverter, on a supply that the units at the battery make. They must run first: 100 at the bus is
/// 125 W of AC.
#[test]
fn an_array_inverter_on_the_supply_of_the_others() {
    let inputs = with_coupled(System::StandAlone { generator: None });
    let noon = |store| row(0.0, NONE, store).coupled(5000.0).unused(2636.25);
    let rows = [
        // 125 above the floor are the idle draw's 100 at the bus: nothing is left for loads.
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, NONE, 2000.0),
        // 100 W of AC do not run the units: no supply to feed, all of it unused.
        row(0.0, M400, 2000.0).coupled(145.0).missing(M400).unused(145.0),
        // 250 W: 125 for the idle draw, 125 for the load.
        row(0.0, M400, 2000.0).coupled(332.5).missing([275.0, 0.0, 0.0]),
        // 1000 W: 400 for the load, 600 give 480 at the bus: 100 idle, 380 in, 304 stored.
        row(0.0, M400, 2304.0).coupled(1270.0),
        // 2000 W straight; 100 W and the idle draw from the bank: 225, 281.25 of store.
        row(0.0, [1000.0, 500.0, 600.0], 2022.75).coupled(2520.0),
        // 2000 of 3184 W: 400 for the load, 1600 give 1280 at the bus, 1180 in. 2520 of 4000 taken.
        row(0.0, M400, 2966.75).coupled(4000.0).unused(1480.0),
        // The charger's 1500: 1400 in, 1120 stored; 1875 W of AC, 2363.75 of 5000.
        noon(4086.75),
        noon(5206.75),
        noon(6326.75),
        noon(7446.75),
        noon(8566.75),
        noon(9686.75),
        // Room for 391.5625, with the idle draw 491.5625: 614.453 125 W of AC, 788.066 406 25 of 5000.
        row(0.0, NONE, 10_000.0).coupled(5000.0).unused(4_211.933_593_75),
        // Full: 525 W of AC, 676.25 of 5000; the frequency has shut the rest off.
        row(0.0, M400, 10_000.0).coupled(5000.0).unused(4323.75),
        // Both together carry 3500 W: 1500 from the bank, 1975 at the bus.
        row(0.0, [1500.0, 500.0, 1500.0], 7531.25).coupled(5000.0).unused(2480.0),
        row(0.0, [1500.0, 500.0, 2000.0], 5062.5).coupled(5000.0).missing([0.0, 0.0, 500.0]).unused(2480.0),
        row(0.0, M400, 4312.5),
        row(0.0, M400, 3562.5),
        row(0.0, M400, 2812.5),
        row(0.0, M400, 2062.5),
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, M400, 2000.0).missing(M400),
        row(0.0, M400, 2000.0).missing(M400),
    ];
    let hours = live(&inputs, 2125.0, &rows);
    // At noon: 20 W of its own, a quarter of 1875 W lost, and 375 W in the charger.
    let losses = &hours[7].flows.losses;
    assert!((losses.idle_wh - 120.0).abs() < 1e-9);
    assert!((losses.inverter_wh - 468.75).abs() < 1e-9);
    assert!((losses.charger_wh - 375.0).abs() < 1e-9);
}

fn noon_of(coupled_dc: f64) -> Given {
    Given {
        pv_dc_w: 0.0,
        pv_cable_loss_w: 0.0,
        by_controller: ControllerHour::default(),
        coupled: CoupledHour { dc_w: coupled_dc, cable_loss_w: 0.0 },
        load_w: M400,
        first_leg_w: [0.0; 3],
        air_c: 20.0,
        rate: 0,
    }
}

/// Joined to the utility it goes out there: of 2000 W 400 to the load, 125 for the idle draw, 1000 exported and 475 refused;
/// 1525 W take 1926.25 of 2520. At an empty bank it needs no battery to run.
#[test]
fn an_array_inverter_beside_the_utility() {
    let inputs = with_coupled(System::Interactive { export_limit_w: 1000.0, charge_w: 0.0, charge_to: 1.0 });
    let house = House::of(&inputs).unwrap();
    let (full, _) = house.hour(&house.at_rest(1.0), &noon_of(2520.0));
    assert!((full.flows.export_wh - 1000.0).abs() < 1e-9);
    assert!((full.flows.unused_wh - 593.75).abs() < 1e-9);
    assert!((full.flows.from_sun_wh - 400.0).abs() < 1e-9 && full.flows.backup_wh() == 0.0);
    // 100 W: all to the load, 300 and the idle draw's 100 from the utility.
    let (empty, _) = house.hour(&house.at_rest(0.2), &noon_of(145.0));
    assert!((empty.flows.from_sun_wh - 100.0).abs() < 1e-9);
    assert!((empty.flows.backup_wh() - 400.0).abs() < 1e-9);
}

/// While a generator or a utility feeds the units from outside, the array inverter is off; a bank with nothing at all in it does
/// not start the units, however bright it is.
#[test]
fn an_array_inverter_never_feeds_a_generator_nor_a_dead_supply() {
    let generator = Generator {
        output_w: 3000.0,
        charge_w: 0.0,
        start_below: 0.3,
        stop_above: 0.6,
        shortest_run_h: 1.0,
        acts_within_h: 0.0,
        fuel_per_kwh: 0.5,
    };
    let transfer = Transfer {
        acts_within_h: 0.0,
        start_below: 0.3,
        stop_above: 0.6,
        charge_w: 0.0,
        limit_w: f64::INFINITY,
    };
    for system in [System::StandAlone { generator: Some(generator) }, System::BackupThroughInput(transfer)] {
        let house = House::of(&with_coupled(system)).unwrap();
        let (hour, _) = house.hour(&house.at_rest(0.25), &noon_of(2520.0));
        assert!((hour.flows.unused_wh - 2520.0).abs() < 1e-9 && hour.flows.from_sun_wh == 0.0);
        assert!((hour.flows.backup_wh() - 500.0).abs() < 1e-9);
    }
    // By a transfer switch it stays on the units' side and charges: 2000 W give 1600, the limit 1500; 1400 beside the idle draw.
    let house = House::of(&with_coupled(System::BackupByTransfer(transfer))).unwrap();
    let (hour, next) = house.hour(&house.at_rest(0.25), &noon_of(2520.0));
    assert!(
        (next.wells.total() - 3620.0).abs() < 1e-9 && (hour.flows.backup_to_load_wh - 400.0).abs() < 1e-9
    );
    let house = House::of(&with_coupled(System::StandAlone { generator: None })).unwrap();
    let (hour, _) = house.hour(&house.at_rest(0.0), &noon_of(2520.0));
    assert!((hour.flows.unused_wh - 2520.0).abs() < 1e-9 && hour.mode == 2);
}
