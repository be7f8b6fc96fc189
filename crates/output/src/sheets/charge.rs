//! The numbers behind the map of the battery's charge.

use super::{MONTHS, left, right, toned};
use crate::drawing::month_starts;
use crate::say::{fixed, words};
use crate::table::{Cell, Row, Table, Tone};
use study::YearStudy;

/// Mean charge of each hour of the day in each month of the middling year, per cent, and below it how the month's hours went.
/// Empty where there is no battery.
pub fn charge_hours(year: &YearStudy) -> Table {
    let Some(result) = year.result().filter(|result| result.state_of_charge.len() == 8760) else {
        return Table::default();
    };
    let starts = month_starts();
    let hours_of = |month: usize| starts[month] * 24..starts.get(month + 1).copied().unwrap_or(365) * 24;
    let charge =
        |month: usize| hours_of(month).map(|hour| (hour % 24, f64::from(result.state_of_charge[hour])));
    let line = |name: String, of: &dyn Fn(usize) -> Cell, total| Row {
        cells: std::iter::once(words(name)).chain((0..12).map(of)).collect(),
        total,
    };
    let share = |value: f64| words(fixed(value * 100.0, 0));
    let mut rows: Vec<Row> = (0..24)
        .map(|hour| {
            let mean = |month: usize| {
                let at = charge(month).filter(|(at, _)| *at == hour).map(|(_, charge)| charge);
                let all: Vec<f64> = at.collect();
                share(all.iter().sum::<f64>() / all.len().max(1) as f64)
            };
            line(format!("{hour} to {}", hour + 1), &mean, false)
        })
        .collect();
    rows.push(line(
        "lowest".into(),
        &|month| share(charge(month).map(|(_, charge)| charge).fold(f64::INFINITY, f64::min)),
        true,
    ));
    let counted = |mode: u8, tone: Tone| {
        move |month: usize| {
            let count = hours_of(month).filter(|hour| result.mode.get(*hour) == Some(&mode)).count();
            toned(words(count.to_string()), tone)
        }
    };
    if result.mode.contains(&1) {
        rows.push(line(format!("hours on {}", year.backup_name), &counted(1, Tone::Backup), false));
    }
    rows.push(line("dark hours".into(), &counted(2, Tone::Danger), false));
    let mut columns = vec![left("hour of the day")];
    columns.extend(MONTHS.iter().map(|month| right(month, "%")));
    Table {
        id: "charge-hours".into(),
        caption: "Mean charge of each hour of the day, by months".into(),
        columns,
        rows,
        note: "In the middling year, at the end of each hour, per cent; hours on backup and dark hours are counted.".into(),
    }
}
