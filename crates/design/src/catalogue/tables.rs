//! The tables of the design file.

use super::{Field, Form, Shape, Table, field};
use quantity::{Kind, WhoKnows};

/// Every table, in the order the guide shows them.
pub static TABLES: &[Table] = &[Table {
    key: "place",
    form: Form::One,
    doc: "Where the house stands.",
    question: 3,
    fields: PLACE,
    shelf: None,
}];

static PLACE: &[Field] = &[field(
    "latitude",
    Shape::Bare { kind: Kind::Angle, factor: std::f64::consts::PI / 180.0 },
    "Degrees north.",
)
.needed()
.ask(WhoKnows::Owner)];
