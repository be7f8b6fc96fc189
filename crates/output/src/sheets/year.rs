//! Months, losses, strings and loads.

use super::{left, right, row, toned, unknown};
use crate::say::{NOT_KNOWN, Reader, fixed, words};
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Fact, FigureName, units};
use study::{Study, YearStudy};

/// Month names for heads and rows.
pub const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Month names as figures have them.
pub use quantity::MONTH_KEYS as LONG_MONTHS;

/// Months of the middling year in kWh.
pub fn months(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let mut rows: Vec<Row> = year
        .months
        .iter()
        .enumerate()
        .map(|(i, month)| {
            let name = |what: &'static str| ["year", LONG_MONTHS[i], what];
            row(vec![
                words(MONTHS[i]),
                reader.number(&month.load, kwh, 0, &name("load")),
                reader.number(&month.pv, kwh, 0, &name("pv")),
                reader.number(&month.from_sun, kwh, 0, &name("from-sun")),
                reader.number(&month.from_battery, kwh, 0, &name("from-battery")),
                toned(reader.number(&month.backup, kwh, 0, &name("backup")), Tone::Backup),
                toned(reader.number(&month.missing, kwh, 0, &name("missing")), Tone::Danger),
                reader.number(&month.unused, kwh, 0, &name("unused")),
                words(fixed(kwh.of_si(month.exported.si()), 0)),
                reader.number(&month.lowest, &units::PERCENT, 0, &name("lowest-charge")),
            ])
        })
        .collect();
    let sum = |take: fn(&study::MonthStudy) -> f64| kwh.of_si(year.months.iter().map(take).sum());
    let lowest = year.months.iter().map(|m| m.lowest.si()).fold(f64::INFINITY, f64::min);
    rows.push(Row {
        cells: vec![
            words("year"),
            reader.number(&year.load, kwh, 0, &["year", "load"]),
            reader.number(&year.pv, kwh, 0, &["year", "pv"]),
            words(fixed(sum(|m| m.from_sun.si()), 0)),
            words(fixed(sum(|m| m.from_battery.si()), 0)),
            reader.number(&year.backup, kwh, 0, &["year", "backup"]),
            reader.number(&year.missing, kwh, 0, &["year", "missing"]),
            reader.number(&year.unused, kwh, 0, &["year", "unused"]),
            reader.number(&year.exported, kwh, 0, &["year", "exported"]),
            words(fixed(lowest * 100.0, 0)),
        ],
        total: true,
    });
    let mut table = Table {
        id: "months".into(),
        caption: "The middling year, month by month".into(),
        columns: vec![
            left("month"),
            right("asked", "kWh"),
            right("offered by sun", "kWh"),
            right("from sun", "kWh"),
            right("from battery", "kWh"),
            right("from backup", "kWh"),
            right("missing", "kWh"),
            right("unused", "kWh"),
            right("sold", "kWh"),
            right("lowest charge", "%"),
        ],
        rows,
        note: "Asked = from sun + from battery + backup to loads + missing. Backup may also charge the battery. Unused is what the sun offered and nothing took.".into(),
    };
    // Columns in which nothing can happen say nothing.
    let (no_battery, no_sale) = (!year.has_battery(), year.exported.si() == 0.0);
    for (column, silent) in [(9, no_battery), (8, no_sale), (4, no_battery)] {
        if silent {
            table.columns.remove(column);
            table.rows.iter_mut().for_each(|row| drop(row.cells.remove(column)));
        }
    }
    if no_battery {
        table.note = "Asked = from sun + from backup to loads + missing. Unused is what the sun offered and nothing took.".into();
    }
    table
}

/// Where the energy went, each loss by its own formula.
pub fn losses(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let mut rows: Vec<Row> = year
        .losses
        .iter()
        .map(|(cause, loss)| {
            row(vec![words(*cause), reader.number(loss, kwh, 1, &["year", "losses", cause])])
        })
        .collect();
    let total = year.losses.iter().map(|(_, loss)| kwh.of_si(loss.si())).sum::<f64>();
    rows.push(Row { cells: vec![words("together"), words(fixed(total, 1))], total: true });
    Table {
        id: "losses".into(),
        caption: "Where energy was lost in the middling year".into(),
        columns: vec![left("cause"), right("lost", "kWh")],
        rows,
        note: closing(year),
    }
}

/// The year as a sum that a reader can check: what came in, and where it went.
fn closing(year: &YearStudy) -> String {
    let own = "Every loss comes from its own formula; none is a remainder.";
    let Some(result) = year.result() else { return own.into() };
    let kwh = |wh: f64| fixed(wh / 1000.0, 1);
    let flows = &result.year;
    let gained = result.end.wells.total() - result.start.wells.total();
    let mut came = format!("{} from the sun", kwh(flows.pv_offered_wh));
    if flows.backup_wh() > 0.0 {
        came = format!("{came} + {} from backup", kwh(flows.backup_wh()));
    }
    let sold =
        if flows.export_wh > 0.0 { format!(" + {} sold", kwh(flows.export_wh)) } else { String::new() };
    let kept = if gained < 0.0 { "− " } else { "+ " };
    format!(
        "{own} {came} = {} served{sold} + {} unused + {} lost {kept}{} {} the battery, kWh.",
        kwh(flows.served_wh()),
        kwh(flows.unused_wh),
        kwh(flows.losses.total_wh()),
        kwh(gained.abs()),
        if gained < 0.0 { "out of" } else { "more in" }
    )
}

/// Strings cold and hot.
pub fn strings(study: &Study) -> Table {
    let reader = Reader::of(study);
    let volt = &units::VOLT;
    let cell = |fact: &Fact<quantity::Voltage>, name: &[&str]| match fact {
        Fact::Known(traced) => reader.number(traced, volt, 1, name),
        Fact::Unknown(_) => unknown(),
    };
    let rows = study
        .strings
        .iter()
        .map(|s| {
            let name = |what: &'static str| ["strings", &s.name, what].map(str::to_string);
            let named = |fact: &Fact<quantity::Voltage>, what: &'static str| {
                let path = name(what);
                cell(fact, &path.each_ref().map(String::as_str))
            };
            row(vec![
                words(s.name.to_string()),
                words(s.module.to_string()),
                words(s.count.value().map_or_else(|| NOT_KNOWN.to_string(), |n| n.0.to_string())),
                words(format!("{} input {}", s.unit, s.input)),
                named(&s.cold_voc, "cold-voc"),
                named(&s.limit, "limit"),
                named(&s.hot_vmp, "hot-vmp"),
                named(&s.cold_vmp, "cold-vmp"),
                match (s.track_low.si(), s.track_high.si()) {
                    (Some(low), Some(high)) => words(format!("{}–{}", fixed(low, 0), fixed(high, 0))),
                    _ => unknown(),
                },
                match (s.shortest.value(), s.longest.value()) {
                    (Some(a), Some(b)) => Cell {
                        text: format!("{}–{}", a.0, b.0),
                        figure: Some(FigureName::new(&name("longest").each_ref().map(String::as_str))),
                        tone: Tone::Plain,
                    },
                    _ => unknown(),
                },
            ])
        })
        .collect();
    Table {
        id: "strings".into(),
        caption: "Strings, cold and hot".into(),
        columns: vec![
            left("string"),
            left("module"),
            right("in series", ""),
            left("into"),
            right("cold open circuit", "V"),
            right("limit", "V"),
            right("hot working", "V"),
            right("cold working", "V"),
            right("tracks", "V"),
            right("count allowed", ""),
        ],
        rows,
        note: "Cold open circuit is the voltage that can destroy an input on the coldest bright morning; it must stay at or under the limit.".into(),
    }
}

/// What the house uses.
pub fn loads(study: &Study) -> Table {
    let reader = Reader::of(study);
    let rows = study
        .demand
        .loads
        .iter()
        .map(|load| {
            let wh = |fact: &Fact<quantity::Energy>, what: &str| match fact {
                Fact::Known(traced) => {
                    reader.number(traced, &units::KILOWATT_HOUR, 2, &["loads", &load.name, what])
                }
                Fact::Unknown(_) => unknown(),
            };
            row(vec![
                words(load.name.to_string()),
                words(
                    load.tier
                        .value()
                        .map_or_else(|| NOT_KNOWN.to_string(), |t| format!("{t:?}").to_lowercase()),
                ),
                words(
                    load.leg
                        .value()
                        .map_or_else(|| NOT_KNOWN.to_string(), |l| format!("{l:?}").to_lowercase()),
                ),
                words(load.running_w.map_or_else(|| NOT_KNOWN.to_string(), |w| fixed(w, 0))),
                wh(&load.daily, "daily"),
                wh(&load.yearly, "yearly"),
                match &load.start {
                    Some(Fact::Known(start)) => {
                        reader.number(start, &units::VOLT_AMPERE, 0, &["loads", &load.name, "start"])
                    }
                    Some(Fact::Unknown(_)) => unknown(),
                    None => words(""),
                },
            ])
        })
        .collect();
    Table {
        id: "load-list".into(),
        caption: "What the house uses".into(),
        columns: vec![
            left("load"),
            left("tier"),
            left("leg"),
            right("running", "W"),
            right("day of use", "kWh"),
            right("year", "kWh"),
            right("start", "VA"),
        ],
        rows,
        note: "A load given by its yearly label shows its mean power; one that follows the weather shows the most it can draw.".into(),
    }
}
