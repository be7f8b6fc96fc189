//! Tables of question 2.

use crate::say::{NOT_KNOWN, Reader, fixed, words};
use crate::sheets::{LONG_MONTHS, MONTHS};
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use loads::{Agreement, FollowedYear, Reconciled};
use quantity::{Energy, Fact, FigureName, Money, units};
use study::{FollowedLoad, Study};

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

/// Loads whose power stands in from the published list, with its range; `None` where there is none.
pub fn typical(study: &Study) -> Option<Table> {
    let system = &study.design.system;
    let rows: Vec<Row> = system
        .loads
        .iter()
        .filter_map(|load| {
            let like = load.like.as_ref()?;
            let power = load.usage.running_power().and_then(Fact::known);
            let tabled = power.and_then(|power| match &power.origin {
                quantity::Origin::Tabled(row) => Some(row.row.to_string()),
                _ => None,
            });
            Some(Row {
                cells: vec![
                    words(load.name.to_string()),
                    words(like.to_string()),
                    words(power.map_or_else(|| NOT_KNOWN.into(), |power| fixed(power.si(), 0))),
                    words(tabled.unwrap_or_else(|| "its power is your own".into())),
                ],
                total: false,
            })
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "typical-loads".into(),
        caption: "Loads by typical figures".into(),
        columns: vec![left("load"), left("like"), right("running", "W"), left("what the list says")],
        rows,
        note: "Published lists are old and cautious, and appliances differ by more than their range: a label, a plug-in meter or \
               the plate beats every row."
            .into(),
    })
}

/// Energy of every load in every month, kWh; where loads follow the weather the mean of the weather years.
pub fn by_month(study: &Study) -> Option<Table> {
    let demand = &study.demand;
    let totals = demand.months.as_ref()?;
    let reader = Reader::of(study);
    let kwh = |wh: f64| words(fixed(wh / 1000.0, 0));
    let mut rows: Vec<Row> = Vec::new();
    for load in &demand.loads {
        let months = load.months_wh?;
        let mut cells = vec![words(load.name.to_string())];
        cells.extend(months.map(kwh));
        cells.push(match load.yearly.known() {
            Some(year) => reader.number(year, &units::KILOWATT_HOUR, 0, &["loads", &load.name, "yearly"]),
            None => kwh(months.iter().sum()),
        });
        rows.push(Row { cells, total: false });
    }
    if let Ok(years) = &demand.years {
        let less = years.reserve_wh.iter().any(|wh| *wh < 0.0);
        let reserve = if less { "taken off by promise.growth" } else { "reserve for growth" };
        let more = [("not listed, by your bills", years.unlisted_wh), (reserve, years.reserve_wh)];
        for (name, months) in more.into_iter().filter(|(_, months)| months.iter().any(|wh| *wh != 0.0)) {
            let mut cells = vec![words(name)];
            cells.extend(months.map(kwh));
            cells.push(kwh(months.iter().sum()));
            rows.push(Row { cells, total: false });
        }
    }
    let mut cells = vec![words("all")];
    cells.extend(
        totals
            .iter()
            .zip(LONG_MONTHS)
            .map(|(month, name)| reader.number(month, &units::KILOWATT_HOUR, 0, &["loads-total", name])),
    );
    let year = demand.yearly.known()?;
    cells.push(reader.number(year, &units::KILOWATT_HOUR, 0, &["loads-total", "yearly"]));
    rows.push(Row { cells, total: true });
    let mut columns = vec![left("load")];
    columns.extend(MONTHS.iter().map(|name| right(name, "")));
    columns.push(right("year", "kWh"));
    let years = demand.years.as_ref().ok().filter(|years| !years.followed.is_empty());
    let note = match years.map(|years| years.years.len()) {
        Some(1) => "kWh of the weather year.".to_string(),
        Some(count) => format!("kWh; loads that follow the weather show the mean of {count} weather years."),
        None => "kWh; every year is alike.".to_string(),
    };
    Some(Table {
        id: "loads-by-month".into(),
        caption: "What each load takes by month".into(),
        columns,
        rows,
        note,
    })
}

/// The list against twelve bills.
pub fn against_bills(study: &Study) -> Option<Table> {
    let reconciled = study.demand.reconciled.as_ref()?;
    let figure = Some(FigureName::new(&["loads-total", "against-bills"]));
    let line = |name: &str, line: &Reconciled, key: &str, figure: Option<FigureName>| {
        let share = line.difference.map_or_else(|| "no bill".into(), |d| signed(d * 100.0));
        let mut share = words(share);
        share.figure = figure;
        let tone = match line.agreement {
            Some(Agreement::FindTheRest) => Tone::Backup,
            Some(Agreement::DoNotSizeYet) => Tone::Danger,
            _ => Tone::Plain,
        };
        let verdict = line.agreement.map_or("", Agreement::in_words);
        vec![
            words(name),
            Cell {
                text: fixed(line.list_wh / 1000.0, 0),
                figure: Some(FigureName::new(&["loads-total", key])),
                tone: Tone::Plain,
            },
            words(fixed(line.bill_wh / 1000.0, 0)),
            words(signed(line.unexplained_wh / 1000.0)),
            share,
            Cell { text: verdict.into(), figure: None, tone },
        ]
    };
    let mut rows: Vec<Row> = reconciled
        .months
        .iter()
        .zip(MONTHS)
        .zip(LONG_MONTHS)
        .map(|((month, name), key)| Row { cells: line(name, month, key, None), total: false })
        .collect();
    rows.push(Row { cells: line("year", &reconciled.year, "yearly", figure), total: true });
    Some(Table {
        id: "list-against-bills".into(),
        caption: "The list against your bills".into(),
        columns: vec![
            left("month"),
            right("list", "kWh"),
            right("bills", "kWh"),
            right("not listed", "kWh"),
            right("of the bill", "%"),
            left("so"),
        ],
        rows,
        note: "Within 10 % is good; up to 25 % look for the missing load; beyond, do not size yet (common practice, no source).".into(),
    })
}

fn signed(value: f64) -> String {
    let text = fixed(value, 0);
    if value > 0.0 && text != "0" { format!("+{text}") } else { text.replace('-', "−") }
}

/// What each saving spares, in the month that decides.
pub fn savings(study: &Study) -> Option<Table> {
    let critical = study.critical.as_ref()?;
    if study.savings.is_empty() {
        return None;
    }
    let reader = Reader::of(study);
    let rows = study.savings.iter().map(|saving| {
        let name = |what: &'static str| ["savings", &*saving.name, what];
        let money = |fact: &Fact<Money>, figure: Option<FigureName>| match fact.value() {
            Some(money) => Cell { text: fixed(money.units(), 0), figure, tone: Tone::Plain },
            None => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
        };
        let number = |fact: &Fact<Energy>, decimals, what| match fact {
            Fact::Known(known) => reader.number(known, &units::KILOWATT_HOUR, decimals, &name(what)),
            Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
        };
        let array = match &saving.array {
            Fact::Known(known) => reader.number(known, &units::WATT, 0, &name("array")),
            Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
        };
        let so = match (saving.spared.value(), saving.price.value()) {
            (Some(spared), Some(price)) if spared.units() > price.units() => {
                "cheaper than the parts it spares"
            }
            (Some(_), Some(_)) => "dearer than the parts it spares",
            _ => "",
        };
        let cells = vec![
            words(saving.name.to_string()),
            number(&saving.daily, 2, "daily"),
            number(&saving.yearly, 0, "yearly"),
            array,
            number(&saving.battery, 2, "battery"),
            money(&saving.spared, Some(FigureName::new(&name("spared")))),
            money(&saving.price, None),
            words(so),
        ];
        Row { cells, total: false }
    });
    let coin = study.design.system.currency.code();
    Some(Table {
        id: "savings".into(),
        caption: format!("Use less first: what each saving spares, by {}", quantity::MONTHS[critical.month]),
        columns: vec![
            left("saving"),
            right("a day", "kWh"),
            right("year", "kWh"),
            right("array", "W"),
            right("battery", "kWh"),
            right("spares", coin),
            right("costs", coin),
            left("so"),
        ],
        rows: rows.collect(),
        note: format!(
            "{} asks most of the light there is. Array by its {} full-sun hours a day and 70 % from array to outlet (common practice, no source); battery for as many days as now; money at the prices of your own modules and batteries.",
            quantity::MONTHS[critical.month],
            fixed(units::HOUR.of_si(critical.sun.si()), 1)
        ),
    })
}

/// Months of the interval meter.
pub fn meter(study: &Study) -> Option<Table> {
    let account = &study.demand.meter.as_ref()?.as_ref().ok()?.account;
    let fed = account.fed_wh > 0.0;
    let rows = account.months.iter().map(|month| {
        let hours =
            |seconds: i64| if seconds == 0 { String::new() } else { fixed(seconds as f64 / 3600.0, 2) };
        let mut cells = vec![
            words(format!("{} {}", MONTHS[month.month], month.year)),
            words(fixed(month.taken_wh / 1000.0, 1)),
        ];
        if fed {
            cells.push(words(fixed(month.fed_wh / 1000.0, 1)));
        }
        cells.push(words(hours(month.missing_s)));
        cells.push(words(hours(month.twice_s)));
        cells.push(words(if month.is_whole() { "whole" } else { "not whole: not compared" }));
        Row { cells, total: false }
    });
    let mut columns = vec![left("month"), right("taken", "kWh")];
    if fed {
        columns.push(right("fed back", "kWh"));
    }
    columns.extend([right("missing", "h"), right("twice", "h"), left("record")]);
    Some(Table {
        id: "meter-months".into(),
        caption: "What your meter recorded".into(),
        columns,
        rows: rows.collect(),
        note: format!(
            "{} readings, most of {} minutes; months of standard time. An hour missing or counted twice, as a change of clocks leaves it, does not break a month.",
            account.count,
            account.usual_s / 60
        ),
    })
}

/// What became of each load that follows the weather, over the weather years.
pub fn followed(study: &Study) -> Option<Table> {
    let years = study.demand.years.as_ref().ok()?;
    if years.followed.is_empty() {
        return None;
    }
    let rows = years.followed.iter().filter_map(|load| {
        let name = &study.demand.loads.get(load.load)?.name;
        let kwh: Vec<f64> = load.yearly_wh.iter().map(|wh| wh / 1000.0).collect();
        let low = kwh.iter().copied().fold(f64::INFINITY, f64::min);
        let high = kwh.iter().copied().fold(0.0, f64::max);
        let cells =
            vec![words(name.to_string()), words(fixed(low, 0)), words(fixed(high, 0)), words(account(load))];
        Some(Row { cells, total: false })
    });
    Some(Table {
        id: "loads-and-weather".into(),
        caption: "Loads that follow the weather".into(),
        columns: vec![
            left("load"),
            right("least year", "kWh"),
            right("most", "kWh"),
            left("what became of it"),
        ],
        rows: rows.collect(),
        note: "Of all weather years; hours and heat are those of one such load in its middle year.".into(),
    })
}

/// The account of the year in the middle by energy, in words.
fn account(load: &FollowedLoad) -> String {
    let mut order: Vec<usize> = (0..load.years.len().min(load.yearly_wh.len())).collect();
    order.sort_by(|a, b| load.yearly_wh[*a].total_cmp(&load.yearly_wh[*b]));
    let Some(year) = order.get(order.len() / 2).and_then(|at| load.years.get(*at)) else {
        return String::new();
    };
    let kwh = |wh: f64| format!("{} kWh", fixed(wh / 1000.0, 0));
    match year {
        FollowedYear::Water(water) => {
            let cold = match water.short_wh {
                short if short > 500.0 => format!(", {} came out cold", kwh(short)),
                _ => String::new(),
            };
            format!("{} of heat drawn, {} lost by the tank{cold}", kwh(water.drawn_wh), kwh(water.lost_wh))
        }
        FollowedYear::Space(space) => {
            let mut parts = Vec::new();
            if space.heat_wh > 0.0 {
                parts.push(format!("{} of heat given", kwh(space.heat_wh)));
            }
            if space.strip_wh > 0.0 {
                parts.push(format!("{} of it by resistance", kwh(space.strip_wh)));
            }
            if space.cold_wh > 0.0 {
                parts.push(format!("{} taken out", kwh(space.cold_wh)));
            }
            if space.too_cold_h > 0 {
                parts.push(format!("{} h too cold", space.too_cold_h));
            }
            if space.too_warm_h > 0 {
                parts.push(format!("{} h too warm", space.too_warm_h));
            }
            parts.join(", ")
        }
        FollowedYear::Vehicle(vehicle) => {
            let behind = match vehicle.most_behind_wh {
                wh if wh > 500.0 => format!(", up to {} still wanting at the next evening", kwh(wh)),
                _ => String::new(),
            };
            format!("{} asked for{behind}", kwh(vehicle.asked_wh))
        }
    }
}
