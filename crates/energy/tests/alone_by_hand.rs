//! Days worked by hand for a house with nothing behind its bank: tiers given up, a room warmed by its own losses, a drill.
//!
//! The house of round numbers of `day_by_hand.rs`: a load of P watts takes 100 + 1.25·P from the bus; modules give 0.8 of what they
//! offer; 0.8 of what enters the bank is stored, and 1 Wh at the bus costs 1.25 Wh of store. The bank holds 10 000 Wh, 2000 of them
//! untouchable.
#![allow(clippy::unwrap_used)]

mod common;

use common::day::{M400, live, row};
use common::plain;
use energy::{Given, House, System, drill_from_held_back};

/// Nothing behind the bank. Luxury goes below six tenths of charge and comes back at seven, want below four and comes back at five;
/// what stands at the beginning of the hour decides. The room, 20 °C outside and 25 W/K, follows the losses of an hour at once: P
/// watts from the bank lose 125 + 0.5625·P, 350 of 400 W (34 °C), 575 of 800 W (43 °C), 687.5 of 1000 W (47.5 °C); the next hour's
/// output is 1500 W less 2 % for each kelvin above 30 °C: 1380, 1110, 975 W.
#[test]
fn alone_with_thresholds_in_a_room_warmed_by_its_own_losses() {
    let mut inputs = plain(System::StandAlone { generator: None });
    inputs.shed_below = energy::Shed { want: 0.4, luxury: 0.6, comes_back_above: 0.1 };
    inputs.fleet.derate = Some(energy::Derate { above_c: 30.0, per_kelvin: 0.02 });
    let node = storage::ThermalNode { capacity_wh_per_k: 1e-3, conductance_w_per_k: 25.0 };
    inputs.room = Some(energy::Room { node, held_c: None });
    let (all, large) = ([400.0, 400.0, 200.0], [800.0, 400.0, 200.0]);
    let (must_only, no_luxury) = ([0.0, 400.0, 200.0], [0.0, 0.0, 200.0]);
    let rows = [
        row(0.0, M400, 8250.0),
        row(0.0, M400, 7500.0),
        // 1350 at the bus, 1687.5 of store.
        row(0.0, all, 5812.5),
        // Luxury has gone; 1100 at the bus, 1375.
        row(0.0, all, 4437.5).missing(no_luxury),
        row(0.0, all, 3062.5).missing(no_luxury),
        // Want too.
        row(0.0, all, 2312.5).missing(must_only),
        // 800 at the bus, 200 in, 160 stored; 440 W lost: 37.6 °C.
        row(1000.0, all, 2472.5).missing(must_only),
        row(1500.0, all, 2952.5).missing(must_only),
        row(2000.0, M400, 3752.5),
        row(2000.0, M400, 4552.5),
        // Above the threshold and not yet a tenth above it.
        row(2000.0, all, 5352.5).missing(must_only),
        // Want is back: 1300 in, 1040 stored; 1160 W lost: 66.4 °C.
        row(3000.0, all, 6392.5).missing(no_luxury),
        // 408 W just carry the must-loads.
        row(3000.0, M400, 7832.5),
        row(3000.0, M400, 9272.5),
        // 909.375 fill it; 1509.375 at the bus are 1886.71875 of modules; 759.21875 W lost: 50.36875 °C.
        row(2000.0, M400, 10_000.0).unused(113.281_25),
        // 888.9375 W: luxury gets 88.9375; 1211.171875 at the bus, 1513.96484375 of modules; 625.02734375 W lost.
        row(2000.0, all, 10_000.0).missing([0.0, 0.0, 111.062_5]).unused(486.035_156_25),
        row(1000.0, M400, 10_000.0).unused(250.0),
        // 1380 W: 1825 at the bus, 400 of them from modules; 901.25 W lost: 56.05 °C.
        row(500.0, large, 8218.75).missing([0.0, 0.0, 20.0]),
        // 718.5 W do not carry the must-loads: dark for want of power, with the bank well filled.
        row(0.0, large, 6_971.093_75).missing([81.5, 400.0, 200.0]),
        row(0.0, all, 5_283.593_75),
        row(0.0, M400, 4_533.593_75),
        row(0.0, M400, 3_783.593_75),
        row(0.0, M400, 3_033.593_75),
        row(0.0, M400, 2_283.593_75),
    ];
    let hours = live(&inputs, 9000.0, &rows);
    for (hour, room_c, limit_w) in [
        (0, 34.0, 1500.0),
        (2, 47.5, 1380.0),
        (3, 43.0, 975.0),
        (11, 66.4, 840.0),
        (12, 66.4, 408.0),
        (17, 56.05, 1380.0),
    ] {
        assert!((hours[hour].room_c - room_c).abs() < 1e-9, "hour {hour}: {}", hours[hour].room_c);
        assert!(
            (hours[hour].output_limit_w - limit_w).abs() < 1e-8,
            "hour {hour}: {}",
            hours[hour].output_limit_w
        );
    }
}

/// No utility, no generator: at a fifth of charge the store ends, and luxury goes before want before must.
#[test]
fn shedding_follows_the_order_of_the_tiers() {
    let mut inputs = plain(System::StandAlone { generator: None });
    let house = House::of(&inputs).unwrap();
    let given = |load_w| Given {
        pv_dc_w: 0.0,
        pv_cable_loss_w: 0.0,
        by_controller: Default::default(),
        coupled: Default::default(),
        load_w,
        first_leg_w: [0.0; 3],
        air_c: 20.0,
        rate: 0,
    };
    // 1000 above the floor: 800 at the bus, 560 W of 1200.
    let (hour, _) = house.hour(&house.at_rest(0.3), &given([400.0; 3]));
    for (found, expected) in hour.flows.missing_wh.into_iter().zip([0.0, 240.0, 400.0]) {
        assert!((found - expected).abs() < 1e-9);
    }
    // Given up in good time: luxury below six tenths, want below four.
    inputs.shed_below = energy::Shed { want: 0.4, luxury: 0.6, comes_back_above: 0.0 };
    let house = House::of(&inputs).unwrap();
    let missing = |at| house.hour(&house.at_rest(at), &given([300.0; 3])).0.flows.missing_wh;
    assert_eq!(missing(0.7), [0.0, 0.0, 0.0]);
    assert_eq!(missing(0.5), [0.0, 0.0, 300.0]);
    assert_eq!(missing(0.39), [0.0, 300.0, 300.0]);
}

/// Half the bank held back, no sun, 400 W: 5000 Wh last (5000 − 2000)/750 = 4 hours, then 20 dark ones.
#[test]
fn a_drill_by_hand() {
    let mut inputs = plain(System::Interactive { export_limit_w: 0.0, charge_w: 0.0, charge_to: 1.0 });
    inputs.held_back = 0.5;
    let (dark, load) = (vec![0.0; 8760], vec![400.0; 8760]);
    let year = energy::YearInput {
        pv_dc_w: &dark,
        pv_cable_loss_w: &[],
        by_controller: Default::default(),
        coupled: Default::default(),
        load_w: [&load, &dark, &dark],
        first_leg_w: None,
        air_c: &[],
        rate: &[],
    };
    let drill = drill_from_held_back(&inputs, &year, 216, 1).unwrap();
    assert_eq!((drill.dark_h, drill.first_dark_after_h), (20.0, Some(4)));
    assert!((drill.missing_wh[0] - 8000.0).abs() < 1e-6);
    assert!((drill.start_state_of_charge - 0.5).abs() < 1e-12);
    assert!((drill.end_state_of_charge - 0.2).abs() < 1e-9);
}
