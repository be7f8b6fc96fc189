//! What lets a person work on it: ties to ground, electrodes.

use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, quantity_of};

pub(super) const BOND: Table = Table {
    key: "bond",
    form: Form::List,
    doc: "A tie between neutral and ground: a screw or strap in a piece of equipment.",
    question: 7,
    fields: &[
        field("at", Shape::Reference(&["panel", "engine"]), "Panel or generator it is in.").needed(),
        field("fitted", Shape::YesNo, "Is it fitted as the house will run? Left out means yes.").optional(),
    ],
    shelf: None,
};

const FIELDS: &[Field] = &[
    field(
        "kind",
        Shape::Choice(&["rod", "plate", "ring", "concrete-encased", "water pipe", "building steel"]),
        "What it is.",
    )
    .ask(WhoKnows::Electrician),
    field("building", Shape::Reference(&["building"]), "Building it belongs to.").optional(),
    field("at", Shape::Reference(&["panel"]), "Panel at which its conductor ends.")
        .ask(WhoKnows::Electrician),
    field(
        "resistance",
        quantity_of(Kind::Resistance),
        "Its resistance to earth as measured; a rod or plate of 25 ohm or less needs no second one.",
    )
    .within(0.0, 1e6)
    .optional(),
    field("conductor", Shape::Gauge, "Size of its conductor fixed by you; left out, it is found.").optional(),
    field("material", Shape::Choice(&["copper", "aluminum"]), "Metal of its conductor.").assume(
        "copper",
        "electrode conductors are bought in copper",
        "size of this conductor",
    ),
];

pub(super) const ELECTRODE: Table = Table {
    key: "electrode",
    form: Form::List,
    doc: "A grounding electrode.",
    question: 7,
    fields: FIELDS,
    shelf: None,
};
