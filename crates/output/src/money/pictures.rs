//! What has been spent year by year, and bills of each month, each with its table.

use super::tables::year_by_year;
use crate::drawing::{Form, Line, line_with_band, months_beside};
use crate::say::{Reader, words};
use crate::sheets::{LONG_MONTHS, left, right, row};
use crate::sky::SkyPicture;
use crate::table::{Row, Table};
use quantity::units;
use study::Study;

/// The pictures that can be drawn: the course of the years first, since it shows the answer.
pub fn pictures(study: &Study, form: Form) -> Vec<SkyPicture> {
    course(study, form).into_iter().chain(months(study, form)).collect()
}

/// Money spent by the end of each year.
fn course(study: &Study, form: Form) -> Option<SkyPicture> {
    let life = study.money.as_ref()?.life.as_ref().ok()?;
    let coin = study.design.system.currency.code();
    // A purchase is a step; what is paid over a year is drawn at its end.
    let line = |name: &str, class, costs: &mut dyn Iterator<Item = (u32, f64)>| {
        let mut sum = 0.0;
        let points = costs.map(|(year, cost)| {
            sum += cost;
            (f64::from(year), sum)
        });
        Line { name: name.to_string(), class, points: points.collect(), marked: Vec::new() }
    };
    let mut lines = vec![line(
        "with the system",
        "curve-sun",
        &mut life.table.rows.iter().map(|year| (year.year, year.cost)),
    )];
    for (other, class) in life.against.iter().flatten().zip(["curve", "curve-second"]) {
        lines.push(line(other.name, class, &mut other.table.rows.iter().map(|year| (year.year, year.cost))));
    }
    Some(SkyPicture {
        id: "money-course".into(),
        frame: None,
        title: "What has been spent by the end of each year".into(),
        describes: "Everything spent since the beginning, with the system and without it, not discounted; where the lines \
                    cross for good the system has paid for itself."
            .into(),
        drawing: line_with_band(&lines, None, &[], "end of year", coin, form),
        table: year_by_year(study)?,
    })
}

/// Bills of each month, all bought beside what is left with the system.
fn months(study: &Study, form: Form) -> Option<SkyPicture> {
    let money = study.money.as_ref()?;
    let Some(Ok(without)) = &money.bills_without else { return None };
    let Some(Ok(with)) = &money.bills else { return None };
    let reader = Reader::of(study);
    let coin = study.design.system.currency.code();
    let values = |bills: &study::BillStudy| bills.months.each_ref().map(|bill| bill.value.units());
    let series = [("all of it bought", "plain", values(without)), ("with the system", "sun", values(with))];
    let mut rows: Vec<Row> = (0..12)
        .map(|month| {
            let slug = LONG_MONTHS[month];
            row(vec![
                words(quantity::MONTHS[month]),
                reader.number(&without.months[month], &units::COIN, 2, &["money", "all-bought", slug]),
                reader.number(&with.months[month], &units::COIN, 2, &["money", "bills", slug]),
            ])
        })
        .collect();
    rows.push(Row {
        cells: vec![
            words("year"),
            reader.number(&without.a_year, &units::COIN, 2, &["money", "all-bought", "a-year"]),
            reader.number(&with.a_year, &units::COIN, 2, &["money", "bills", "a-year"]),
        ],
        total: true,
    });
    let paid_out = with.paid_out.units();
    let note = if paid_out > 0.0 {
        format!(
            "When the year ends {} is paid out for what was fed in; the year's sum is less by that.",
            with.paid_out.show(reader.currency)
        )
    } else {
        "Means of all weather years.".into()
    };
    Some(SkyPicture {
        id: "bills-by-month".into(),
        frame: None,
        title: "Bills of each month".into(),
        describes: "What the utility asks in each month of a mean weather year, if all were bought and with the system.".into(),
        drawing: months_beside(&series, coin, form),
        table: Table {
            id: "bills-by-month-table".into(),
            caption: "Bills of each month".into(),
            columns: vec![left("month"), right("all of it bought", coin), right("with the system", coin)],
            rows,
            note,
        },
    })
}
