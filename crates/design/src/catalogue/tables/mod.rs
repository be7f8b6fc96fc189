//! The tables of the design file, one file per subject.

mod choices;
mod follows;
mod house;
mod means;
mod money;
mod parts;
mod place;
mod system;
mod terminals;
mod wires;

use super::{Blank, Field, Form, Shape, Table, field};
use quantity::{Kind, WhoKnows};

/// Every table, in the order the guide shows them.
pub static TABLES: &[Table] = &[
    place::HEADER,
    place::PLACE,
    place::PROMISE,
    choices::CHOICE,
    place::PERMITS,
    house::BILLS,
    house::LOAD,
    house::SAVING,
    parts::MODULE,
    parts::INVERTER,
    parts::CONTROLLER,
    parts::BATTERY,
    parts::GENERATOR,
    system::BUILDING,
    system::ROOM,
    system::PLANE,
    system::STRING,
    system::COMBINER,
    system::UNIT,
    system::BANK,
    system::ENGINE,
    system::UTILITY,
    system::TRANSFER,
    system::PANEL,
    wires::RUN,
    means::DISCONNECT,
    means::SURGE,
    means::BOND,
    means::ELECTRODE,
    means::CABLE,
    means::HOUSEHOLD,
    means::APPLIANCE,
    wires::STOCK,
    wires::PIECE,
    system::STAGE,
    money::MONEY,
    place::WAIVER,
];

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// A fact of a data sheet.
const fn sheet(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    field(key, shape, doc).ask(WhoKnows::DataSheet)
}

/// A fact only the maker's manual or support gives.
const fn maker(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    field(key, shape, doc).ask(WhoKnows::Maker)
}

const fn quantity_of(kind: Kind) -> Shape {
    Shape::Quantity(kind)
}

/// A field kept for the owner and for later answers.
const fn kept(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    let field = field(key, shape, doc).recorded();
    Field { blank: Blank::None, ..field }
}
