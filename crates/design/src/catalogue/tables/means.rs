//! What lets a person work on it: ties to ground, electrodes.

use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, quantity_of};

/// Free space in front of equipment.
pub(super) const WORKING_SPACE: Field = field(
    "working_space",
    Shape::Record(&[
        field("depth", quantity_of(Kind::Length), "From its front to what stands opposite.")
            .within(0.0, 100.0)
            .ask(WhoKnows::Measurement),
        field("width", quantity_of(Kind::Length), "Free width in front of it.")
            .within(0.0, 100.0)
            .ask(WhoKnows::Measurement),
        field("height", quantity_of(Kind::Length), "Free height from the floor.")
            .within(0.0, 100.0)
            .ask(WhoKnows::Measurement),
        field("door_opens", Shape::YesNo, "Does its door or cover open by 90 degrees there?")
            .ask(WhoKnows::Measurement),
        field(
            "opposite",
            Shape::Choice(&[
                "nothing live or grounded",
                "concrete, brick or something grounded",
                "live parts",
            ]),
            "What stands opposite; asked where more than 150 V to ground are in it.",
        )
        .optional()
        .ask(WhoKnows::Measurement),
        field(
            "own_width",
            quantity_of(Kind::Length),
            "Width of the equipment, where it is wider than 30 in.",
        )
        .within(0.0, 20.0)
        .optional(),
        field(
            "free_of_pipes",
            Shape::YesNo,
            "Panels: is the space above it, 6 ft or to the ceiling, and below it free of pipes and ducts?",
        )
        .optional()
        .ask(WhoKnows::Measurement),
    ]),
    "Free space in front of it, in which a person works on it.",
)
.optional();

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

pub(super) const CABLE: Table = Table {
    key: "cable",
    form: Form::List,
    doc: "A cable for signals: battery data, meter clamp, start of a generator, network.",
    question: 7,
    fields: &[
        field(
            "between",
            Shape::References(&["unit", "bank", "panel", "engine", "transfer", "utility", "combiner"]),
            "The two things it joins.",
        )
        .needed(),
        field("carries", Shape::Text, "What it carries, such as \"battery data\".").optional(),
        field("way", Shape::Text, "Its way in words, such as \"along the wall above the raceways\".")
            .optional(),
        field("length", quantity_of(Kind::Length), "Length along its way.")
            .within(0.01, 20_000.0)
            .ask(WhoKnows::Measurement),
        field("longest", quantity_of(Kind::Length), "Greatest length its maker allows.")
            .within(0.01, 20_000.0)
            .ask(WhoKnows::Maker),
        field(
            "lies",
            Shape::Choice(&[
                "2 in from power conductors",
                "in a raceway of its own",
                "behind a barrier",
                "with power conductors",
            ]),
            "How it is kept from power conductors.",
        )
        .ask(WhoKnows::Electrician),
        field("ends", Shape::Text, "How its ends are made, such as \"plug, terminator in the last unit\".")
            .ask(WhoKnows::Maker),
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
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
        "at_array",
        Shape::YesNo,
        "Does it stand at the array, besides those of the building? Left out means no.",
    )
    .optional(),
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

pub(super) const HOUSEHOLD: Table = Table {
    key: "household",
    form: Form::One,
    doc: "The dwelling as its service or feeder sees it, for the load calculation.",
    question: 7,
    fields: &[
        field("panel", Shape::Reference(&["panel"]), "Panel that carries the whole dwelling.").needed(),
        field("floor_area", quantity_of(Kind::Area), "Floor area from outside wall to outside wall.")
            .within(1.0, 10_000.0)
            .ask(WhoKnows::Measurement),
        field(
            "circuits",
            Shape::Count,
            "Small-appliance circuits of the kitchen and laundry circuits together; at least 3 are asked.",
        )
        .within(1.0, 40.0)
        .ask(WhoKnows::Electrician),
        field(
            "counted_as",
            Shape::Choice(&["new dwelling", "existing dwelling"]),
            "Which of the two optional calculations is asked for.",
        )
        .ask(WhoKnows::BuildingOffice),
    ],
    shelf: None,
};

pub(super) const APPLIANCE: Table = Table {
    key: "appliance",
    form: Form::List,
    doc: "Equipment fastened in place or on a circuit of its own, by its nameplate, for the load calculation.",
    question: 7,
    fields: &[
        field(
            "kind",
            Shape::Choice(&[
                "cooking, drying, water heating or other",
                "cooling",
                "heat pump",
                "heat beside the heat pump",
                "space heating",
                "vehicle charger",
            ]),
            "What it is.",
        )
        .ask(WhoKnows::Owner),
        field("rated", quantity_of(Kind::ApparentPower), "Nameplate rating.")
            .within(0.0, 1e6)
            .ask(WhoKnows::DataSheet),
        field(
            "controlled_apart",
            Shape::Count,
            "Space heating: how many heaters have a thermostat of their own; left out counts as one.",
        )
        .within(1.0, 100.0)
        .optional(),
        field(
            "added",
            Shape::YesNo,
            "Existing dwelling: does it come with this design? Left out means it is there already.",
        )
        .optional(),
    ],
    shelf: None,
};

/// What a disconnect may stand at or between.
const THINGS: &[&str] = &["unit", "bank", "panel", "transfer", "utility", "engine", "combiner", "string"];

pub(super) const DISCONNECT: Table = Table {
    key: "disconnect",
    form: Form::List,
    doc: "A switch that opens one circuit by hand, apart from its breaker or fuse.",
    question: 7,
    fields: &[
        field("between", Shape::References(THINGS), "The two ends of the circuit it opens.").needed(),
        field("at", Shape::Reference(THINGS), "The end it stands at.").needed(),
        field(
            "kind",
            Shape::Choice(&["load-break switch", "breaker", "isolating switch", "connector"]),
            "What it is; an isolating switch and a connector are opened without load only.",
        )
        .ask(WhoKnows::DataSheet),
        field("rating", quantity_of(Kind::Current), "Current it is rated for.")
            .within(0.0, 10_000.0)
            .ask(WhoKnows::DataSheet),
        field("volts", quantity_of(Kind::Voltage), "Voltage it is rated for on this kind of current.")
            .within(0.0, 3000.0)
            .ask(WhoKnows::DataSheet),
        field(
            "stands",
            Shape::Choice(&["at the equipment", "in sight within 10 ft", "farther away"]),
            "How far from the equipment it serves.",
        )
        .ask(WhoKnows::Measurement),
        field("lockable", Shape::YesNo, "Can it be locked open?").ask(WhoKnows::DataSheet),
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
    ],
    shelf: None,
};

pub(super) const SURGE: Table = Table {
    key: "surge",
    form: Form::List,
    doc: "A surge protective device. It takes what lightning near by drives into long conductors; none stops a direct stroke.",
    question: 7,
    fields: &[
        field(
            "at",
            Shape::Reference(&["panel", "transfer", "unit", "combiner", "string"]),
            "Where it is connected; a string means the place where its conductors leave the modules.",
        )
        .needed(),
        field(
            "protects",
            Shape::Choice(&["alternating current", "module circuits"]),
            "Which conductors it is connected to.",
        )
        .needed(),
        field("type", Shape::Choice(&["type 1", "type 2", "type 1 and 2", "type 3"]), "Type on its label.")
            .ask(WhoKnows::DataSheet),
        field(
            "volts",
            quantity_of(Kind::Voltage),
            "Highest voltage at which it may lie for good, by its label: of a conductor to ground on alternating current, between poles on direct.",
        )
        .within(30.0, 3000.0)
        .ask(WhoKnows::DataSheet),
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
    ],
    shelf: None,
};
