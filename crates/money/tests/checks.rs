//! Every row of `cases/money/economics_checks.csv`, to the digits it is printed with.
#![allow(clippy::unwrap_used)]

use money::{
    Life, Outlay, capital_recovery, internal_rate, levelised_cost, loan_payment, net_present_value, payback,
    present_worth, real_rate,
};
use std::collections::BTreeMap;

const TABLE: &str = include_str!("../../../cases/money/economics_checks.csv");

/// `i=0.06/12;n=120` as numbers by name.
fn named(inputs: &str) -> BTreeMap<&str, f64> {
    let number = |text: &str| match text.split_once('/') {
        Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
        None => text.parse().unwrap(),
    };
    inputs.split(';').map(|pair| pair.split_once('=').unwrap()).map(|(k, v)| (k, number(v))).collect()
}

/// The system of the last rows: 12,000 to begin with, 150 a year, 7,000 kWh falling by half a percent a year, 25 years, 5 %;
/// a kWh saved is worth 0.15, rising by 2 % a year from the second.
fn system() -> Life {
    Life {
        years: 25,
        discount: 0.05,
        purchase: 12000.0,
        incentive: None,
        maintenance: 150.0,
        fuel: 0.0,
        fuel_rises: 0.0,
        utility: 0.0,
        utility_rises: 0.0,
        replacements: vec![],
        served: 7000.0,
        served_changes: -0.005,
        otherwise: Some(Outlay { first: 0.15 * 7000.0, rises: 1.02 * 0.995 - 1.0, purchase: 0.0 }),
    }
}

#[test]
fn every_row_is_met_to_its_printed_digits() {
    let life = system().cost();
    let costs: Vec<f64> = life.rows.iter().map(|row| row.cost).collect();
    let gains: Vec<f64> = life.rows.iter().map(|row| row.otherwise - row.cost).collect();
    let energy: Vec<f64> = (0..25).map(|year| 7000.0 * 0.995f64.powi(year)).collect();
    let mut rows = 0;
    for line in TABLE.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [what, inputs, printed, _] = cells[..] else { panic!("four columns: {line}") };
        let computed = match what.split('_').next().unwrap() {
            "capital" => {
                let v = named(inputs);
                capital_recovery(v["i"], v["n"])
            }
            "present" => {
                let v = named(inputs);
                present_worth(v["N"], v["i"], v["d"])
            }
            "real" => {
                let v = named(inputs);
                real_rate(v["nominal"], v["inflation"])
            }
            "loan" => {
                let v = named(inputs);
                loan_payment(v["P"], v["i"], v["n"])
            }
            "LCOE" => levelised_cost(&costs, &energy, 0.05).unwrap(),
            "NPV" => net_present_value(&gains, 0.05),
            "IRR" => internal_rate(&gains, 1e-12).unwrap(),
            "simple" => payback(&gains, 0.0).unwrap(),
            "discounted" => payback(&gains, 0.05).unwrap(),
            _ => panic!("a row that no check knows: {line}"),
        };
        let digits = printed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let tolerance = 0.5000001 * 10f64.powi(-i32::try_from(digits).unwrap());
        let printed: f64 = printed.parse().unwrap();
        assert!((computed - printed).abs() <= tolerance, "{line}: {computed}");
        rows += 1;
    }
    assert_eq!(rows, 21);
    assert!((life.per_kwh.unwrap() - levelised_cost(&costs, &energy, 0.05).unwrap()).abs() < 1e-15);
    assert_eq!(life.rate.map(|r| (r * 1e6).round()), Some(71927.0));
}

/// The formulas an owner is shown give the rows of the table of factors, to the hundredth they are rounded to: 10,000 a year
/// for N years is 10,000 times the printed factor.
#[test]
fn explained_sums_are_the_published_factors() {
    use quantity::{Count, Energy, Measure, Money, Ratio, Traced, units};
    let ratio = |x: f64| Traced::stated(Ratio::from_si(x), "money.rate");
    let coins = Traced::stated(Money::from_units(10_000.0), "money.upkeep");
    let mut rows = 0;
    for line in TABLE.lines().filter(|line| line.starts_with("present_worth")) {
        let cells: Vec<&str> = line.split(',').collect();
        let v = named(cells[1]);
        let n = Traced::stated(Count(v["N"] as u32), "money.years");
        let (i, d) = (ratio(v["i"]), ratio(v["d"]));
        let worth = if v["i"] == v["d"] {
            money::LevelSeriesToday::of(&coins, &n, &d)
        } else {
            money::SeriesToday::of(&coins, &n, &i, &d)
        };
        let printed: f64 = cells[2].parse().unwrap();
        // Half a unit of the sixth decimal of the factor, and half a hundredth.
        assert!((worth.si() - 10_000.0 * printed).abs() <= 0.005 + 0.005 + 1e-9, "{line}: {}", worth.si());
        rows += 1;
    }
    assert_eq!(rows, 5);
    // i=0.05;n=25 of the same table: 1000 spread over 25 years at 5 % on 100 kWh a year.
    let recovery = money::CapitalRecovery::of(&ratio(0.05), &Traced::stated(Count(25), "money.years"));
    let kwh = Traced::stated(Energy::from_si(100.0 * 3.6e6), "year.served");
    let total = Traced::stated(Money::from_units(1000.0), "money.total");
    let each = units::COIN_PER_KILOWATT_HOUR.of_si(money::Levelised::of(&total, &recovery, &kwh).si());
    assert!((each - 0.70952).abs() < 0.5e-5, "{each}");
}
