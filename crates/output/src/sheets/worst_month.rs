//! The year by hand: twelve mean days and the month that is covered least.

use super::year::MONTHS;
use super::{left, right, row, toned};
use crate::say::{Reader, fixed, words};
use crate::table::{Cell, Table, Tone};
use quantity::units;
use study::{Study, YearStudy};

/// A mean day of each month; empty where the utility carries the house from hour to hour.
pub fn worst_month(study: &Study, year: &YearStudy) -> Table {
    let Some(worst) = &year.worst_month else { return Table::default() };
    let reader = Reader::of(study);
    let kwh = |wh: f64| words(fixed(wh / 1000.0, 2));
    let (kwh_unit, named) = (&units::KILOWATT_HOUR, |what: &'static str| ["year", "worst-month", what]);
    let generator = worst.generator_hours.is_some();
    let rows = worst
        .sheet
        .months
        .iter()
        .enumerate()
        .map(|(i, month)| {
            let least = i == worst.month;
            let mut cells =
                vec![words(if least { format!("{} (least)", MONTHS[i]) } else { MONTHS[i].into() })];
            let covered = |cell: Cell| if month.covered < 1.0 { toned(cell, Tone::Backup) } else { cell };
            if least {
                cells.push(reader.number(&worst.sun, &units::HOUR, 2, &named("sun")));
                cells.push(reader.number(&worst.factor, &units::PERCENT, 0, &named("factor")));
                cells.push(reader.number(&worst.made, kwh_unit, 2, &named("made")));
                cells.push(reader.number(&worst.need, kwh_unit, 2, &named("need")));
                cells.push(covered(reader.number(&worst.covered, &units::PERCENT, 0, &named("covered"))));
                cells.push(match &worst.array_needed {
                    Some(array) => reader.number(array, &units::KILOWATT, 2, &named("array-needed")),
                    None => words("none would"),
                });
                if let Some(hours) = &worst.generator_hours {
                    cells.push(reader.number(hours, &units::HOUR, 0, &named("generator-hours")));
                }
            } else {
                cells.push(words(fixed(worst.given.sun_kwh_per_m2_day[i], 2)));
                cells.push(words(fixed(worst.given.factor[i] * 100.0, 0)));
                cells.push(kwh(month.made_wh));
                cells.push(kwh(month.need_wh));
                cells.push(covered(words(match month.covered.is_finite() {
                    true => fixed(month.covered * 100.0, 0),
                    false => "all".into(),
                })));
                cells.push(match month.array_needed_w.is_finite() {
                    true => kwh(month.array_needed_w),
                    false => words("none would"),
                });
                if generator {
                    cells.push(words(fixed(month.generator_h, 0)));
                }
            }
            row(cells)
        })
        .collect();
    let mut columns = vec![
        left("mean day of"),
        right("full sun", "h"),
        right("reaches the outlets", "%"),
        right("made", "kWh"),
        right("needed", "kWh"),
        right("covered", "%"),
        right("array that would do", "kW"),
    ];
    if generator {
        columns.push(right("generator in the month", "h"));
    }
    Table {
        id: "worst-month".into(),
        caption: "By hand: the mean day of each month".into(),
        columns,
        rows,
        note: note(study, worst),
    }
}

fn note(study: &Study, worst: &study::WorstMonth) -> String {
    let reader = Reader::of(study);
    let mut note = format!(
        "Made = array {} · full sun · what reaches the outlets. Needed = loads and {} a day that the equipment takes for being on ({} % of what {} needs).",
        reader.measure(worst.array.value),
        reader.measure(worst.own_draw.value),
        fixed(worst.sheet.idle_share * 100.0, 0),
        quantity::MONTHS[worst.month],
    );
    if let Some(charger) = &worst.charger {
        note.push_str(&format!(
            " Generator: what lacks, through the battery, at {} of charging.",
            reader.measure(charger.value)
        ));
    }
    note.push_str(" Means of all weather years: a month that is covered in the mean can still have a dark week, which the hours above know and this does not.");
    note
}
