//! Pictures of question 2, each with its table.

use crate::drawing::{Form, Line, line_with_band, months_beside};
use crate::say::{fixed, words};
use crate::sheets::{LONG_MONTHS, MONTHS};
use crate::sky::SkyPicture;
use crate::table::{Align, Cell, Column, Row, Table};
use quantity::FigureName;
use study::Study;

/// Load by hour and season, and bills against the list where there are bills.
pub fn pictures(study: &Study, form: Form) -> Vec<SkyPicture> {
    let mut all: Vec<SkyPicture> = by_hour(study, form).into_iter().chain(bills(study, form)).collect();
    for picture in &mut all {
        picture.table.id = format!("{}-table", picture.id);
    }
    all
}

/// Three months each, from December; their names north of the equator.
const SEASONS: [(&str, [usize; 3], &str); 4] = [
    ("winter", [11, 0, 1], "curve"),
    ("spring", [2, 3, 4], "curve-battery"),
    ("summer", [5, 6, 7], "curve-sun"),
    ("autumn", [8, 9, 10], "curve-second"),
];

fn by_hour(study: &Study, form: Form) -> Option<SkyPicture> {
    let profile = study.demand.profile.as_ref().ok()?;
    let south = study.design.system.place.latitude.si().is_some_and(|latitude| latitude < 0.0);
    let turn = if south { 2 } else { 0 };
    let days: Vec<(&str, &'static str, [f64; 24])> = (0..4)
        .map(|k| {
            let (name, _, class) = SEASONS[k];
            let months = SEASONS[(k + turn) % 4].1;
            let day = profile.day_of(std::array::from_fn(|month| months.contains(&month)));
            (name, class, day.map(|watts| watts / 1000.0))
        })
        .collect();
    if days.iter().all(|(_, _, day)| day.iter().all(|kw| *kw == 0.0)) {
        return None;
    }
    let lines: Vec<Line> = days
        .iter()
        .map(|(name, class, day)| Line {
            name: (*name).to_string(),
            class,
            // An hour is a step, drawn from its beginning to its end.
            points: (0..24).flat_map(|h| [(h as f64, day[h]), (h as f64 + 1.0, day[h])]).collect(),
            marked: Vec::new(),
        })
        .collect();
    let mut columns = vec![Column { head: "hour".into(), unit: String::new(), align: Align::Left }];
    columns.extend(days.iter().map(|d| Column { head: d.0.into(), unit: "kW".into(), align: Align::Right }));
    let mut rows: Vec<Row> = (0..24)
        .map(|h| {
            let mut cells = vec![words(format!("{h}–{}", h + 1))];
            cells.extend(days.iter().map(|(_, _, day)| words(fixed(day[h], 2))));
            Row { cells, total: false }
        })
        .collect();
    let mut cells = vec![words("day, kWh")];
    cells.extend(days.iter().map(|(_, _, day)| words(fixed(day.iter().sum(), 2))));
    rows.push(Row { cells, total: true });
    Some(SkyPicture {
        frame: None,
        id: "load-by-hour".into(),
        title: "What is used hour by hour".into(),
        describes: "Mean power of each hour of the day in the four seasons, all loads together.".into(),
        drawing: line_with_band(&lines, None, &[], "hour of the day, standard time", "kW", form),
        table: Table {
            id: String::new(),
            caption: "What is used hour by hour".into(),
            columns,
            rows,
            note: "Means over the season; a kettle used for six minutes shows as a tenth of its watts."
                .into(),
        },
    })
}

fn bills(study: &Study, form: Form) -> Option<SkyPicture> {
    let reconciled = study.demand.reconciled.as_ref()?;
    let of = |take: fn(&loads::Reconciled) -> f64| -> [f64; 12] {
        std::array::from_fn(|month| take(&reconciled.months[month]) / 1000.0)
    };
    let (list, bills) = (of(|line| line.list_wh), of(|line| line.bill_wh));
    let series = [("the list", "sun", list), ("your bills", "backup", bills)];
    let right = |head: &str| Column { head: head.into(), unit: "kWh".into(), align: Align::Right };
    let rows = (0..12).map(|month| Row {
        cells: vec![
            words(MONTHS[month]),
            Cell {
                figure: Some(FigureName::new(&["loads-total", LONG_MONTHS[month]])),
                ..words(fixed(list[month], 0))
            },
            words(fixed(bills[month], 0)),
        ],
        total: false,
    });
    Some(SkyPicture {
        frame: None,
        id: "bills-and-list".into(),
        title: "The list beside your bills".into(),
        describes: "Two bars for each month: what the list of loads adds up to, and what was billed.".into(),
        drawing: months_beside(&series, "kWh", form),
        table: Table {
            id: String::new(),
            caption: "The list beside your bills".into(),
            columns: vec![
                Column { head: "month".into(), unit: String::new(), align: Align::Left },
                right("list"),
                right("bills"),
            ],
            rows: rows.collect(),
            note: String::new(),
        },
    })
}
