//! Bills of hours against sums made by hand, and their properties.
#![allow(clippy::unwrap_used)]

use money::{Credit, Rate, Step, Tariff, TariffError};
use proptest::prelude::*;

/// Two hours in January, two in July; the second of each belongs to rate 1.
const MONTHS: [u8; 4] = [0, 0, 6, 6];
const RATES: [u8; 4] = [0, 1, 0, 1];

fn flat(name: &str, price: f64) -> Rate {
    Rate { name: name.into(), steps: vec![Step { up_to_kwh: None, price }] }
}

fn stepped() -> Rate {
    let steps = vec![
        Step { up_to_kwh: Some(100.0), price: 0.10 },
        Step { up_to_kwh: Some(300.0), price: 0.20 },
        Step { up_to_kwh: None, price: 0.30 },
    ];
    Rate { name: "household".into(), steps }
}

/// By hand: 350 kWh cost 100 · 0.10 + 200 · 0.20 + 50 · 0.30 = 65.
#[test]
fn steps_are_climbed_within_the_month() {
    let tariff = Tariff::new(vec![stepped()], 8.0, 0.0, Credit::None).unwrap();
    let bill = tariff.year(&[200.0, 150.0, 100.0, 0.0], &[0.0; 4], &[0; 4], &MONTHS).unwrap();
    assert_eq!(bill.months[0].energy, 65.0);
    assert_eq!(bill.months[6].energy, 10.0);
    assert_eq!(bill.total, 65.0 + 10.0 + 12.0 * 8.0);
}

/// By hand: January 10 · 0.10 + 20 · 0.40 = 9; the least bill of 12 lifts it, and lifts every empty month to 12.
#[test]
fn the_least_bill_lifts_small_months() {
    let rates = vec![flat("night", 0.10), flat("evening", 0.40)];
    let tariff = Tariff::new(rates, 5.0, 12.0, Credit::None).unwrap();
    let bill = tariff.year(&[10.0, 20.0, 0.0, 0.0], &[0.0; 4], &RATES, &MONTHS).unwrap();
    assert_eq!((bill.months[0].energy, bill.months[0].to_pay), (9.0, 14.0));
    assert_eq!(bill.months[1].to_pay, 12.0);
    assert_eq!(bill.total, 14.0 + 11.0 * 12.0);
}

/// By hand: July earns 30 · 0.05 + 40 · 0.08 = 4.70 and buys 2 · 0.10 + 5 · 0.40 = 2.20. What is left, 2.50, is paid out by half.
/// January earned nothing and pays 9. Nothing flows backwards in the year.
#[test]
fn credit_is_carried_on_but_not_back() {
    let rates = vec![flat("night", 0.10), flat("evening", 0.40)];
    let credit = Credit::PerKwh { price: vec![0.05, 0.08], paid_out: 0.5 };
    let tariff = Tariff::new(rates, 0.0, 0.0, credit).unwrap();
    let bill = tariff.year(&[10.0, 20.0, 2.0, 5.0], &[0.0, 0.0, 30.0, 40.0], &RATES, &MONTHS).unwrap();
    assert_eq!(bill.months[0].to_pay, 9.0);
    assert_eq!((bill.months[6].energy, bill.months[6].credit), (2.2, 2.2));
    assert_eq!(bill.paid_out, 1.25);
    assert_eq!(bill.total, 7.75);
}

/// By hand: January feeds 50 and buys 20, July buys 45: 30 are carried on, 15 are paid at 0.20.
#[test]
fn energy_against_energy_carries_energy_on() {
    let tariff = Tariff::new(vec![flat("all", 0.20)], 0.0, 0.0, Credit::Netted { leftover: 0.03 }).unwrap();
    let bill = tariff.year(&[20.0, 0.0, 45.0, 0.0], &[0.0, 50.0, 0.0, 0.0], &[0; 4], &MONTHS).unwrap();
    assert_eq!((bill.months[0].to_pay, bill.months[6].to_pay), (0.0, 3.0));
    assert_eq!(bill.total, 3.0);
    let only_fed = tariff.year(&[0.0; 4], &[0.0, 50.0, 0.0, 0.0], &[0; 4], &MONTHS).unwrap();
    assert_eq!(only_fed.total, -1.5);
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let flat_one = || vec![flat("all", 0.2)];
    assert_eq!(Tariff::new(vec![], 0.0, 0.0, Credit::None), Err(TariffError::NoRate));
    let steps = |steps| Tariff::new(vec![Rate { name: "r".into(), steps }], 0.0, 0.0, Credit::None);
    let bad = Err(TariffError::Steps { rate: "r".into() });
    let step = |up_to_kwh| Step { up_to_kwh, price: 0.1 };
    assert_eq!(steps(vec![]), bad);
    assert_eq!(steps(vec![step(Some(100.0))]), bad, "the last step has no end");
    assert_eq!(steps(vec![step(Some(100.0)), step(Some(100.0)), step(None)]), bad, "steps rise");
    assert_eq!(steps(vec![step(None), step(None)]), bad, "only the last has no end");
    assert!(matches!(Tariff::flat(f64::NAN), Err(TariffError::Number { .. })));
    assert!(matches!(Tariff::new(flat_one(), -1.0, 0.0, Credit::None), Err(TariffError::Number { .. })));
    let credit = Credit::PerKwh { price: vec![], paid_out: 0.0 };
    assert_eq!(Tariff::new(flat_one(), 0.0, 0.0, credit), Err(TariffError::Credits { rates: 1, credits: 0 }));
    let tariff = Tariff::flat(0.2).unwrap();
    assert_eq!(tariff.year(&[1.0], &[], &[0], &[0]), Err(TariffError::Hours));
    assert_eq!(tariff.year(&[1.0], &[0.0], &[1], &[0]), Err(TariffError::Hours));
    assert_eq!(tariff.year(&[1.0], &[0.0], &[0], &[12]), Err(TariffError::Hours));
    assert!(matches!(tariff.year(&[-1.0], &[0.0], &[0], &[0]), Err(TariffError::Number { .. })));
}

proptest! {
    /// With non-negative prices more bought never costs less, and more fed back never costs more; no month is below what stands.
    #[test]
    fn bills_rise_with_what_is_bought_and_fall_with_what_is_fed(
        bought in proptest::collection::vec(0.0..50.0f64, 48),
        fed in proptest::collection::vec(0.0..50.0f64, 48),
        at in 0usize..48, more in 0.0..20.0f64, netted: bool,
    ) {
        let credit = if netted { Credit::Netted { leftover: 0.02 } }
            else { Credit::PerKwh { price: vec![0.04, 0.05], paid_out: 1.0 } };
        let tariff = Tariff::new(vec![stepped(), flat("evening", 0.4)], 3.0, 5.0, credit).unwrap();
        let month: Vec<u8> = (0..48).map(|h| h / 4).collect();
        let rate: Vec<u8> = (0..48).map(|h| h % 2).collect();
        let base = tariff.year(&bought, &fed, &rate, &month).unwrap();
        let mut dearer = bought.clone();
        dearer[at] += more;
        let mut sunnier = fed.clone();
        sunnier[at] += more;
        // Each month is rounded to a hundredth.
        prop_assert!(tariff.year(&dearer, &fed, &rate, &month).unwrap().total >= base.total - 0.13);
        prop_assert!(tariff.year(&bought, &sunnier, &rate, &month).unwrap().total <= base.total + 0.13);
        prop_assert!(base.months.iter().all(|m| m.to_pay >= 5.0 - 1e-9));
        let sum: f64 = base.months.iter().map(|m| m.to_pay).sum();
        prop_assert!((base.total - (sum - base.paid_out)).abs() < 0.006);
    }
}
