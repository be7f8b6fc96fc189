//! Discounting, cost of a kWh, payback.

use money::{
    Credit, LevelSeriesToday, Life, Metered, Outlay, Rate, SeriesToday, Step, Tariff, capital_recovery,
    internal_rate, levelised_cost, loan_payment, net_present_value, payback, present_worth, real_rate,
};

use quantity::{Count, Measure, Money, Ratio, Traced};

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
    explained(&mut section, &of("present"), table);
    bills(&mut section);
    vec![section]
}

/// The formulas an owner is shown: a yearly cost of a million over the years of each row, rounded to hundredths.
fn explained(section: &mut Section, rows: &[Row], table: &'static str) {
    let rate = |x: f64| Traced::stated(Ratio::from_si(x), "money.rate");
    let million = Traced::stated(Money::from_units(1e6), "money.upkeep");
    let digits = rows.iter().fold(Digits::new(), |digits, row| {
        let input = |name: &str| row.input("inputs", name);
        let (n, i, d) =
            (Traced::stated(Count(input("N") as u32), "money.years"), rate(input("i")), rate(input("d")));
        let worth = if input("i") == input("d") {
            LevelSeriesToday::of(&million, &n, &d)
        } else {
            SeriesToday::of(&million, &n, &i, &d)
        };
        digits.is(worth.value.units() / 1e6, row.text("value"))
    });
    section.example(
        "Present worth of a rising series as the working that is shown, a million a year",
        table,
        &digits,
        Standing::Derived,
    );
}

/// Bills worked by hand: energy of January and July at two rates.
fn bills(section: &mut Section) {
    let flat = |name: &str, price| Rate { name: name.into(), steps: vec![Step { up_to_kwh: None, price }] };
    let tiers = Rate {
        name: "household".into(),
        steps: vec![
            Step { up_to_kwh: Some(100.0), price: 0.10 },
            Step { up_to_kwh: Some(300.0), price: 0.20 },
            Step { up_to_kwh: None, price: 0.30 },
        ],
    };
    let metered = |january: [f64; 2], july: [f64; 2]| {
        let mut months = [Metered::default(); 12];
        months[0] = Metered { bought_kwh: january[0], fed_kwh: january[1] };
        months[6] = Metered { bought_kwh: july[0], fed_kwh: july[1] };
        months
    };
    let two = || vec![flat("night", 0.10), flat("evening", 0.40)];
    let meters = |fed: [f64; 2]| [metered([10.0, 0.0], [2.0, fed[0]]), metered([20.0, 0.0], [5.0, fed[1]])];
    let credit = Credit::PerKwh { price: vec![0.05, 0.08], paid_out: 0.5 };
    let year = |tariff: Result<Tariff, money::TariffError>, meter: &[[Metered; 12]]| {
        tariff.and_then(|tariff| tariff.bills(meter)).map_or(f64::NAN, |bill| bill.total)
    };
    let digits = [
        // 100 · 0.10 + 200 · 0.20 + 50 · 0.30 = 65 in January, 10 in July, 8 a month.
        (
            year(Tariff::new(vec![tiers], 8.0, 0.0, Credit::None), &[metered([350.0, 0.0], [100.0, 0.0])]),
            "171.00",
        ),
        // January 1 + 8 = 9 and 5 standing; all other months are lifted to the least bill of 12.
        (
            year(
                Tariff::new(two(), 5.0, 12.0, Credit::None),
                &[metered([10.0, 0.0], [0.0; 2]), metered([20.0, 0.0], [0.0; 2])],
            ),
            "146.00",
        ),
        // January 9; July buys 2.20 and earns 30 · 0.05 + 40 · 0.08 = 4.70; half of the 2.50 that is left is paid out.
        (year(Tariff::new(two(), 0.0, 0.0, credit), &meters([30.0, 40.0])), "7.75"),
        // January feeds 50 and buys 20, July buys 45: 30 are carried on and 15 are paid at 0.20.
        (
            year(
                Tariff::new(vec![flat("all", 0.20)], 0.0, 0.0, Credit::Netted { leftover: 0.03 }),
                &[metered([20.0, 50.0], [45.0, 0.0])],
            ),
            "3.00",
        ),
    ];
    let digits = digits.iter().fold(Digits::new(), |digits, (value, printed)| digits.is(*value, printed));
    section.example(
        "Bills of a year: tiers, least bill, credit carried on and paid out, netting",
        "worked by hand beside the row (`crates/proof/tests/validation/money_rows.rs`)",
        &digits,
        Standing::Derived,
    );
}
