//! Discounting, cost of a kWh, payback.

use money::{
    Life, Outlay, capital_recovery, internal_rate, levelised_cost, loan_payment, net_present_value, payback,
    present_worth, real_rate,
};

use crate::cases::{Row, rows};
use crate::record::{Digits, Section, Standing};

pub(crate) fn sections() -> Vec<Section> {
    let mut section = Section::new(
        "Money over the life",
        "Short, Packey and Holt, NREL/TP-462-5173 (1995), definitions from memory; Duffie and Beckman, Solar Engineering of \
         Thermal Processes, chapter 11.",
    );
    let table = "the published definitions, apart from this program (`cases/money/economics_checks.csv`)";
    let of = |start: &str| -> Vec<Row> {
        let all = rows("../money/economics_checks.csv");
        let found: Vec<Row> = all.into_iter().filter(|row| row.text("quantity").starts_with(start)).collect();
        assert!(!found.is_empty(), "no row begins with {start}");
        found
    };
    let each = |start: &str, figure: &dyn Fn(&Row) -> f64| {
        of(start).iter().fold(Digits::new(), |digits, row| digits.is(figure(row), row.text("value")))
    };
    let factors =
        each("capital", &|row| capital_recovery(row.input("inputs", "i"), row.input("inputs", "n")));
    section.example("Capital recovery factor", table, &factors, Standing::Derived);
    let series = each("present", &|row| {
        present_worth(row.input("inputs", "N"), row.input("inputs", "i"), row.input("inputs", "d"))
    });
    section.example("Present worth of a rising series", table, &series, Standing::Derived);
    let real =
        each("real", &|row| real_rate(row.input("inputs", "nominal"), row.input("inputs", "inflation")));
    section.example("Rate above inflation", table, &real, Standing::Derived);
    let loans = [("loan_payment_annual", 0.06, 10.0), ("loan_payment_monthly", 0.06 / 12.0, 120.0)];
    let loans = loans.iter().fold(Digits::new(), |digits, (name, i, n)| {
        of(name)
            .iter()
            .fold(digits, |digits, row| digits.is(loan_payment(10_000.0, *i, *n), row.text("value")))
    });
    section.example("Payment of a loan", table, &loans, Standing::Derived);

    // 12,000 to begin with, 150 a year, 7,000 kWh falling by half a percent a year; a kWh saves 0.15, rising by 2 % a year.
    let life = Life {
        years: 25,
        discount: 0.05,
        purchase: 12_000.0,
        incentive: None,
        maintenance: 150.0,
        fuel: 0.0,
        fuel_rises: 0.0,
        utility: 0.0,
        utility_rises: 0.0,
        replacements: vec![],
        served: 7000.0,
        served_changes: -0.005,
        otherwise: Some(Outlay { first: 1050.0, rises: 1.02 * 0.995 - 1.0, purchase: 0.0 }),
    };
    let cost = life.cost();
    let costs: Vec<f64> = cost.rows.iter().map(|row| row.cost).collect();
    let gains: Vec<f64> = cost.rows.iter().map(|row| row.otherwise - row.cost).collect();
    let energy: Vec<f64> =
        (0..25).scan(7000.0, |kwh, _| Some(std::mem::replace(kwh, *kwh * 0.995))).collect();
    let nan = f64::NAN;
    let whole = [
        ("LCOE", levelised_cost(&costs, &energy, 0.05).unwrap_or(nan)),
        ("LCOE", cost.per_kwh.unwrap_or(nan)),
        ("NPV", net_present_value(&gains, 0.05)),
        ("NPV", cost.gain.unwrap_or(nan)),
        ("IRR", internal_rate(&gains, 1e-12).unwrap_or(nan)),
        ("simple", payback(&gains, 0.0).unwrap_or(nan)),
        ("discounted", cost.payback_discounted.unwrap_or(nan)),
    ];
    let whole = whole.iter().fold(Digits::new(), |digits, (name, value)| {
        of(name).iter().fold(digits, |digits, row| digits.is(*value, row.text("value")))
    });
    section.example(
        "Cost of a kWh, gain, rate of return, both paybacks of one system",
        table,
        &whole,
        Standing::Derived,
    );
    vec![section]
}
