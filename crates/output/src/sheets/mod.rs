//! The tables of the answers, as values: terminal, page and book lay out the same ones.

mod carried;
mod charge;
mod conductors;
mod legs;
mod lists;
mod modules;
mod pieces;
mod schedules;
mod within;
mod worst_month;
mod year;

pub use carried::{
    WITHOUT_A_UNIT, at_inputs, by_rate, every_year, near_limits, rehearsal, seasons, waited, without_a_unit,
};
pub use charge::charge_hours;
pub(crate) use conductors::cables_as_json;
pub use conductors::{cables, colours};
pub use legs::{LEGS, legs, legs_picture};
pub use lists::{QUESTIONS, assumptions, bill, findings, kept_open, questions, recorded};
pub use modules::module_curves;
pub(crate) use pieces::as_json as boxes_as_json;
pub use pieces::{boxes, raceway_pieces};
pub use schedules::{circuits, equipment, identifier, raceways};
pub use within::{BUSIEST_MINUTES, WITHIN_HOUR, busiest_minutes, within_hour};
pub use worst_month::worst_month;
pub use year::{LONG_MONTHS, MONTHS, loads, losses, months, strings};

use crate::say::NOT_KNOWN;
use crate::table::{Align, Cell, Column, Row, Tone};
use quantity::{Fact, Measure, Units, units};
use study::Study;

pub(crate) fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

pub(crate) fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

pub(crate) fn row(cells: Vec<Cell>) -> Row {
    Row { cells, total: false }
}

pub(crate) fn unknown() -> Cell {
    Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown }
}

pub(crate) fn toned(mut cell: Cell, tone: Tone) -> Cell {
    if cell.text.trim_matches(['0', '.', ' ']).is_empty() {
        return cell;
    }
    cell.tone = tone;
    cell
}

fn short(study: &Study) -> (&'static quantity::Unit, &'static str) {
    match study.design.system.units {
        Units::Us => (&units::FOOT_UNIT, "ft"),
        Units::Metric => (&units::METER, "m"),
    }
}

/// Value of a quantity in a unit, for JSON and CSV.
pub fn in_unit<T: Measure>(fact: &Fact<T>, unit: &quantity::Unit) -> Option<f64> {
    fact.si().map(|si| unit.of_si(si))
}
