//! Cash flow of a life against sums made by hand, and its properties.
#![allow(clippy::unwrap_used)]

use money::{Life, Outlay, Replacement, internal_rate, payback, present_worth};
use proptest::prelude::*;

fn cabin() -> Life {
    Life {
        years: 10,
        discount: 0.0,
        purchase: 5000.0,
        incentive: None,
        maintenance: 40.0,
        fuel: 60.0,
        fuel_rises: 0.0,
        utility: 0.0,
        utility_rises: 0.0,
        replacements: vec![],
        served: 500.0,
        served_changes: 0.0,
        otherwise: None,
    }
}

/// By hand: 5000 + 10 · (40 + 60) = 6000; a battery of 900 at years 4 and 8 adds 1800; a fan of 30 each 5 years adds 30,
/// for nobody buys one at the end of year 10.
#[test]
fn parts_are_bought_again_but_not_in_the_last_year() {
    assert_eq!(cabin().cost().total, 6000.0);
    let part = |every, price| Replacement {
        what: "part".into(),
        first: every,
        every: Some(every),
        price,
        rises: 0.0,
    };
    let with = Life { replacements: vec![part(4, 900.0), part(5, 30.0)], ..cabin() };
    assert_eq!(with.cost().total, 6000.0 + 1800.0 + 30.0);
    assert_eq!(with.cost().rows[8].parts, 900.0);
    assert_eq!(with.cost().per_kwh, Some(7830.0 / 5000.0));
}

/// A part that must not be bought (no years stated) never is, and nothing is divided by it.
#[test]
fn a_renewal_after_no_years_is_none() {
    let part = |first, every| Replacement { what: "part".into(), first, every, price: 900.0, rises: 0.0 };
    let total = |part| Life { replacements: vec![part], ..cabin() }.cost().total;
    assert_eq!(total(part(0, Some(0))), 6000.0);
    assert_eq!(total(part(0, None)), 6000.0);
    assert_eq!(total(part(6, Some(0))), 6900.0);
    assert_eq!(part(3, None).due(10), [3]);
    assert_eq!(part(3, Some(2)).due(10), [3, 5, 7, 9]);
}

/// Without anything to compare with there is neither gain nor payback.
#[test]
fn nothing_to_compare_with_is_no_gain() {
    let cost = cabin().cost();
    assert_eq!((cost.gain, cost.payback, cost.rate), (None, None, None));
    assert_eq!(Life { served: 0.0, ..cabin() }.cost().per_kwh, None);
}

/// A second battery may put the owner behind again: the last crossing counts. By hand: −10, then 6 a year, a battery of 15 in
/// year 3: sums −10, −4, 2, −7, −1, 5; it crosses for good in year 5 after 1/6 of it.
#[test]
fn the_last_crossing_is_the_payback() {
    let flows = [-10.0, 6.0, 6.0, 6.0 - 15.0, 6.0, 6.0];
    assert!((payback(&flows, 0.0).unwrap() - (4.0 + 1.0 / 6.0)).abs() < 1e-12);
    assert_eq!(payback(&flows[..5], 0.0), None);
    assert_eq!(internal_rate(&flows, 1e-9), None, "three changes of sign have no single rate");
}

proptest! {
    /// The table of years and the published closed form agree for a cost that rises.
    #[test]
    fn the_table_agrees_with_the_closed_form(
        first in 1.0..5000.0f64, rises in -0.05..0.10f64, d in -0.02..0.15f64, years in 1u32..40,
    ) {
        let life = Life {
            years, discount: d, purchase: 0.0, maintenance: 0.0, fuel: first, fuel_rises: rises, ..cabin()
        };
        let closed = first * present_worth(f64::from(years), rises, d);
        prop_assert!((life.cost().total - closed).abs() <= 1e-9 * closed.abs().max(1.0));
    }

    /// At its own rate the gain is nothing; a rate of none means that no change of sign, or several, was there.
    #[test]
    fn at_the_rate_found_the_gain_is_nothing(
        purchase in 100.0..20000.0f64, first in 10.0..4000.0f64, rises in -0.03..0.08f64, years in 2u32..40,
    ) {
        let otherwise = Some(Outlay { first, rises, purchase: 0.0 });
        let life = Life { years, purchase, maintenance: 0.0, fuel: 0.0, otherwise, ..cabin() };
        if let Some(rate) = life.cost().rate {
            let gain = Life { discount: rate, ..life }.cost().gain.unwrap();
            prop_assert!(gain.abs() <= 1e-4 * purchase.max(first * f64::from(years)), "{gain} at {rate}");
        }
    }

    /// A dearer purchase never costs less and never pays back sooner.
    #[test]
    fn a_dearer_purchase_is_never_paid_back_sooner(
        purchase in 100.0..20000.0f64, more in 1.0..5000.0f64, first in 100.0..4000.0f64,
    ) {
        let otherwise = Some(Outlay { first, rises: 0.01, purchase: 0.0 });
        let cheap = Life { years: 25, discount: 0.04, purchase, otherwise, ..cabin() };
        let dear = Life { purchase: purchase + more, ..cheap.clone() }.cost();
        let cheap = cheap.cost();
        prop_assert!(dear.total > cheap.total);
        match (cheap.payback, dear.payback) {
            (Some(a), Some(b)) => prop_assert!(b >= a),
            (None, Some(_)) => prop_assert!(false, "the dearer alone pays back"),
            _ => {}
        }
    }
}
