//! Tables of what it costs to own.

use super::{each_kwh, whole};
use crate::say::{Reader, fixed, words};
use crate::sheets::{left, right, row, unknown};
use crate::table::{Cell, Row, Table};
use quantity::{Fact, Money, units};
use study::{BillStudy, Study, Unanswered};

/// Bills, fuel and upkeep of a mean weather year, with the system and with all of it bought.
pub fn a_year(study: &Study) -> Option<Table> {
    let money = study.money.as_ref()?;
    let reader = Reader::of(study);
    let coin = study.design.system.currency.code();
    let bills = |bills: &Option<Result<BillStudy, Unanswered>>, key: &str| match bills {
        Some(Ok(bills)) => {
            let [low, high] = bills.between;
            let cell = reader.number(&bills.a_year, &units::COIN, 2, &["money", key, "a-year"]);
            (cell, format!("{} to {}", fixed(low.units(), 0), fixed(high.units(), 0)))
        }
        Some(Err(_)) => (unknown(), String::new()),
        None => (words(""), String::new()),
    };
    let (with, with_between) = bills(&money.bills, "bills");
    let (without, without_between) = bills(&money.bills_without, "all-bought");
    let fact = |fact: &Fact<Money>, figure: &[&str]| match fact {
        Fact::Known(amount) => reader.number(amount, &units::COIN, 2, figure),
        Fact::Unknown(_) => unknown(),
    };
    let mut rows = Vec::new();
    if money.bills.is_some() || money.bills_without.is_some() {
        rows.push(row(vec![
            words("bills of the utility"),
            with,
            words(with_between),
            without.clone(),
            words(without_between),
        ]));
    }
    if let Some(fuel) = &money.fuel {
        rows.push(row(vec![words("fuel"), fact(fuel, &["money", "fuel"]), words(""), words(""), words("")]));
    }
    rows.push(row(vec![
        words("upkeep"),
        fact(&money.upkeep, &["money", "upkeep"]),
        words(""),
        words(""),
        words(""),
    ]));
    let together = match &money.a_year {
        Ok(sum) => reader.number(sum, &units::COIN, 2, &["money", "a-year"]),
        Err(_) => unknown(),
    };
    rows.push(Row { cells: vec![words("together"), together, words(""), without, words("")], total: true });
    let tiered = "Means of all weather years; the range is the smallest to the largest year.";
    Some(Table {
        id: "costs-of-a-year".into(),
        caption: "What a year costs".into(),
        columns: vec![
            left("for"),
            right("with the system", coin),
            right("weather years", coin),
            right("all of it bought", coin),
            right("weather years", coin),
        ],
        rows,
        note: tiered.into(),
    })
}

/// What all costs of the years consist of, in today's money.
pub fn parts(study: &Study) -> Option<Table> {
    let life = study.money.as_ref()?.life.as_ref().ok()?;
    let reader = Reader::of(study);
    let mut rows: Vec<Row> = life
        .parts
        .iter()
        .map(|(what, worth)| {
            let cell = reader.number(worth, &units::COIN, 0, &["money", "over-the-years", what]);
            row(vec![words(what.to_string()), cell])
        })
        .collect();
    let total = reader.number(&life.total, &units::COIN, 0, &["money", "over-the-years"]);
    rows.push(Row { cells: vec![words("together"), total], total: true });
    let each = life.per_kwh.as_ref().map(|each| {
        format!(
            " Spread over what is served it is {} a kWh, the levelised cost.",
            each_kwh(&reader, each.value)
        )
    });
    Some(Table {
        id: "costs-of-the-years".into(),
        caption: format!("All costs of {} years in today's money", life.years.value.0),
        columns: vec![left("for"), right("worth today", study.design.system.currency.code())],
        rows,
        note: format!(
            "Later sums are discounted by {} % a year above the general rise of prices.{} Every year is taken as one of \
             the weather years with today's modules and battery; nothing is counted for what still works at the end.",
            quantity::significant(life.discount.si() * 100.0, 3),
            each.unwrap_or_default()
        ),
    })
}

/// What is bought again.
pub fn again(study: &Study) -> Option<Table> {
    let life = study.money.as_ref()?.life.as_ref().ok()?;
    if life.again.is_empty() {
        return None;
    }
    let reader = Reader::of(study);
    let horizon = life.years.value.0;
    let rows = life
        .again
        .iter()
        .map(|(what, lasts, price)| {
            let step = lasts.value.0.max(1) as usize;
            let when: Vec<String> =
                (step as u32..horizon).step_by(step).map(|year| year.to_string()).collect();
            row(vec![
                words(what.to_string()),
                reader.number(lasts, &units::COUNT, 0, &["money", "again", what, "years"]),
                words(when.join(", ")),
                reader.number(price, &units::COIN, 0, &["money", "again", what, "price"]),
            ])
        })
        .collect();
    Some(Table {
        id: "bought-again".into(),
        caption: "What is bought again".into(),
        columns: vec![
            left("what"),
            right("lasts", "years"),
            right("at the end of year", ""),
            right("today", study.design.system.currency.code()),
        ],
        rows,
        note: "Nothing is bought again at the end of the last year.".into(),
    })
}

/// The ways of doing without the system.
pub fn beside(study: &Study) -> Option<Table> {
    let life = study.money.as_ref()?.life.as_ref().ok()?;
    let reader = Reader::of(study);
    let coin = study.design.system.currency.code();
    let never = || words("not within them");
    let mut rows: Vec<Row> = life
        .against
        .iter()
        .map(|other| match other {
            Ok(other) => {
                let figure = |what: &'static str| ["money", "beside", other.name, what];
                let after = |years: &Option<quantity::Traced<quantity::Number>>, what| match years {
                    Some(years) => reader.number(years, &units::NUMBER, 1, &figure(what)),
                    None => never(),
                };
                row(vec![
                    words(other.name),
                    reader.number(&other.total, &units::COIN, 0, &figure("total")),
                    reader.number(&other.gain, &units::COIN, 0, &figure("more")),
                    after(&other.payback, "payback"),
                    after(&other.payback_discounted, "payback-discounted"),
                ])
            }
            Err((name, _)) => row(vec![words(*name), unknown(), unknown(), unknown(), unknown()]),
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    let own = Cell { text: whole(&reader, life.total.value), ..words("") };
    rows.insert(
        0,
        row(vec![
            words("the system"),
            Cell { text: fixed(life.total.value.units(), 0), ..own },
            words(""),
            words(""),
            words(""),
        ]),
    );
    Some(Table {
        id: "beside".into(),
        caption: format!("Beside doing without it, {} years in today's money", life.years.value.0),
        columns: vec![
            left("way"),
            right("all costs", coin),
            right("more than the system", coin),
            right("paid back after", "years"),
            right("in today's money", "years"),
        ],
        rows,
        note: format!(
            "The same hours of the same weather years, with all that is wanted served. It does not count what a dark hour costs, \
             nor what the house is worth with either.{}",
            if study.design.system.engines.is_empty() {
                ""
            } else {
                " A generator that carries the house in every hour runs at little load most of them, and then takes more fuel for a \
                 kilowatt-hour than is stated: that is not counted, so what it costs alone is the least it can be."
            }
        ),
    })
}

/// The cash flow.
pub fn year_by_year(study: &Study) -> Option<Table> {
    let life = study.money.as_ref()?.life.as_ref().ok()?;
    let coin = study.design.system.currency.code();
    let others: Vec<_> = life.against.iter().flatten().collect();
    let mut columns = vec![
        right("end of year", ""),
        right("bought", coin),
        right("upkeep", coin),
        right("fuel", coin),
        right("bills", coin),
        right("together", coin),
        right("worth today", coin),
        right("spent so far", coin),
    ];
    columns.extend(others.iter().map(|other| right(&format!("spent so far {}", other.name), coin)));
    let mut spent = 0.0;
    let mut spent_elsewhere = vec![0.0; others.len()];
    let number = |amount: f64| words(fixed(amount, 0));
    let rows = life
        .table
        .rows
        .iter()
        .enumerate()
        .map(|(i, year)| {
            spent += year.cost;
            let mut cells = vec![
                words(year.year.to_string()),
                number(year.parts),
                number(year.maintenance),
                number(year.fuel),
                number(year.utility),
                number(year.cost),
                number(year.today),
                number(spent),
            ];
            for (sum, other) in spent_elsewhere.iter_mut().zip(&others) {
                *sum += other.table.rows.get(i).map_or(0.0, |year| year.cost);
                cells.push(number(*sum));
            }
            row(cells)
        })
        .collect();
    Some(Table {
        id: "year-by-year".into(),
        caption: "Year by year".into(),
        columns,
        rows,
        note:
            "Prices of the year in money that buys what it buys today; not discounted but where it says so."
                .into(),
    })
}
