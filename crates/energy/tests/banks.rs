//! Banks on one bus as one bank.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Draws, plain, random_inputs};
use energy::{Bank, Start, System, Thermal, run};
use storage::ThermalNode;

/// The part of a bank that has this share of its cells.
fn part(bank: &Bank, share: f64) -> Bank {
    Bank {
        capacity_wh: share * bank.capacity_wh,
        charge_w: share * bank.charge_w,
        discharge_w: share * bank.discharge_w,
        standby_w: share * bank.standby_w,
        // Links of fewer units have more resistance.
        link_loss_per_w: bank.link_loss_per_w / share,
        thermal: bank.thermal.map(|thermal| Thermal {
            node: ThermalNode {
                capacity_wh_per_k: share * thermal.node.capacity_wh_per_k,
                conductance_w_per_k: share * thermal.node.conductance_w_per_k,
            },
            heater_w: share * thermal.heater_w,
            ..thermal
        }),
        ..*bank
    }
}

fn numbers(bank: &Bank) -> Vec<f64> {
    let thermal = bank.thermal.map_or([0.0; 4], |thermal| {
        let node = thermal.node;
        [node.capacity_wh_per_k, node.conductance_w_per_k, thermal.heater_w, thermal.heater_holds_c]
    });
    let mut all = vec![
        bank.capacity_wh,
        bank.usable_low,
        bank.usable_high,
        bank.charge_w,
        bank.discharge_w,
        bank.charge_efficiency,
        bank.discharge_efficiency,
        bank.taper_from,
        bank.taper_share,
        bank.standby_w,
        bank.self_discharge_per_h,
        bank.link_loss_per_w,
        bank.charge_above_c.unwrap_or(-300.0),
        bank.full_charge_from_c.unwrap_or(-300.0),
    ];
    all.extend(thermal);
    all
}

/// A bank cut into two unequal parts and put together again is the bank, in every house.
#[test]
fn parts_of_one_bank_make_the_bank() {
    for seed in 0..60 {
        let mut draws = Draws(seed);
        let mut whole = random_inputs(&mut draws);
        if whole.bank.capacity_wh <= 0.0 {
            continue;
        }
        for share in [0.5, 0.2, 0.93] {
            let parts = [(part(&whole.bank, share), share), (part(&whole.bank, 1.0 - share), 1.0 - share)];
            let joined = Bank::side_by_side(&parts).unwrap();
            for (k, (a, b)) in numbers(&joined).into_iter().zip(numbers(&whole.bank)).enumerate() {
                // Rounding of a handful of operations.
                assert!(
                    (a - b).abs() <= 1e-12 * b.abs().max(1e-300),
                    "house {seed}, {share}, number {k}: {a} {b}"
                );
            }
            assert_eq!(joined.chemistry, whole.bank.chemistry);
            whole.bank = joined;
            assert_eq!(whole.check(), Ok(()));
        }
        let alone = Bank::side_by_side(&[(whole.bank, 1.0)]).unwrap();
        assert_eq!(alone, whole.bank);
    }
    assert_eq!(Bank::side_by_side(&[]), None);
}

/// 10 kWh of good cells beside 5 kWh of worn ones, each number by hand.
#[test]
fn unlike_banks_by_hand() {
    let good = Bank {
        capacity_wh: 10_000.0,
        usable_low: 0.1,
        usable_high: 1.0,
        charge_w: 5000.0,
        discharge_w: 9000.0,
        charge_efficiency: 0.98,
        discharge_efficiency: 0.98,
        taper_from: 0.95,
        taper_share: 0.3,
        standby_w: 10.0,
        self_discharge_per_h: 1e-4,
        link_loss_per_w: 2e-6,
        charge_above_c: Some(0.0),
        full_charge_from_c: Some(10.0),
        ..plain(System::StandAlone { generator: None }).bank
    };
    let worn = Bank {
        capacity_wh: 5000.0,
        usable_low: 0.2,
        usable_high: 0.9,
        charge_w: 2000.0,
        discharge_w: 2500.0,
        charge_efficiency: 0.9,
        discharge_efficiency: 0.9,
        standby_w: 8.0,
        self_discharge_per_h: 4e-4,
        link_loss_per_w: 8e-6,
        charge_above_c: Some(5.0),
        full_charge_from_c: None,
        ..good
    };
    let both = Bank::side_by_side(&[(good, 0.85), (worn, 1.0 / 3.0)]).unwrap();
    assert_eq!(both.capacity_wh, 15_000.0);
    assert_eq!((both.usable_low, both.usable_high), (0.2, 0.9));
    // 5000/0.85 before 2000/⅓; 2500/⅓ before 9000/0.85.
    assert!((both.charge_w - 5_882.353).abs() < 1e-3);
    assert!((both.discharge_w - 7500.0).abs() < 1e-9);
    // ⅔·0.98 + ⅓·0.9; 1/(⅔/0.98 + ⅓/0.9).
    assert!((both.charge_efficiency - 0.953_333_3).abs() < 1e-6);
    assert!((both.discharge_efficiency - 0.951_798_8).abs() < 1e-6, "{}", both.discharge_efficiency);
    assert_eq!(both.standby_w, 18.0);
    // ⅔·10⁻⁴ + ⅓·4·10⁻⁴; 4/9·2·10⁻⁶ + 1/9·8·10⁻⁶.
    assert!((both.self_discharge_per_h - 2e-4).abs() < 1e-15);
    assert!((both.link_loss_per_w - 1.777_778e-6).abs() < 1e-11);
    assert_eq!((both.charge_above_c, both.full_charge_from_c), (Some(5.0), Some(10.0)));
}

/// In no house does a second bank of the same kind beside the first leave more missing, where nothing of its own is drawn.
#[test]
fn a_second_bank_never_raises_what_is_missing() {
    let mut draws = Draws(7);
    let year = common::Year::random(&mut draws);
    let mut inputs = plain(System::StandAlone { generator: None });
    let missing = |inputs: &energy::Inputs| {
        run(inputs, &year.input(), Start::AfterDecember).unwrap().year.missing_total_wh()
    };
    let alone = missing(&inputs);
    let half = part(&inputs.bank, 0.5);
    inputs.bank = Bank::side_by_side(&[(inputs.bank, 2.0 / 3.0), (half, 1.0 / 3.0)]).unwrap();
    assert!(missing(&inputs) <= alone);
}
