//! The wires: routes are given, circuits follow from the system, sizes are found.

use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, quantity_of};

/// Insulation types by the words of the trade.
const INSULATION: Shape =
    Shape::Choice(&["thwn-2", "xhhw-2", "rhw-2 use-2", "pv wire", "pvc", "xlpe", "array cable"]);

const ROUTE: &[Field] = &[
    field("length", quantity_of(Kind::Length), "Length along the route, one way.")
        .ask(WhoKnows::Measurement)
        .within(0.01, 20_000.0),
    field(
        "where",
        Shape::Choice(&[
            "indoors",
            "damp indoors",
            "outdoors",
            "in sun",
            "underground",
            "on a roof",
            "hazardous",
        ]),
        "Where this part lies. Hazardous is where gas, vapour or dust can burn.",
    )
    .ask(WhoKnows::Measurement),
    field(
        "raceway",
        Shape::Choice(&[
            "open",
            "mc cable",
            "mc cable for wet places",
            "emt",
            "fmc",
            "lfmc",
            "lfnc-b",
            "rmc",
            "pvc-40",
            "pvc-80",
            "sheathed cable",
            "steel conduit",
            "plastic conduit",
            "pliable conduit",
            "buried conduit",
            "trunking",
            "cable tray",
        ]),
        "What it runs in. MC cable and sheathed cable are raceway and conductors in one. From \"sheathed cable\" on the words are those of IEC 60364, before it those of the NEC.",
    ),
    field(
        "trade_size",
        Shape::Choice(&[
            "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6", "16 mm",
            "20 mm", "25 mm", "32 mm", "40 mm", "50 mm", "63 mm", "75 mm", "90 mm", "110 mm",
        ]),
        "Size of its raceway fixed by you: the trade size in inches, or the outside diameter of conduit under IEC 60364; left out, it is found.",
    )
    .optional(),
    field(
        "inside",
        quantity_of(Kind::Length),
        "Inside diameter of its conduit, or width inside its trunking, under IEC 60364, where the maker states it.",
    )
    .within(0.001, 1.0)
    .optional()
    .ask(WhoKnows::DataSheet),
    field("inside_height", quantity_of(Kind::Length), "Height inside its trunking.")
        .within(0.001, 1.0)
        .optional()
        .ask(WhoKnows::DataSheet),
    field("bends", quantity_of(Kind::Angle), "All bends of its raceway together, such as \"180°\" for two quarter turns.")
        .within(0.0, 62.8)
        .assume("90°", "a part of a route usually turns once", "bends to buy and how far conductors can be pulled"),
    field("pull_points", Shape::Count, "Boxes and conduit bodies between its ends through which conductors are pulled.")
        .within(0.0, 100.0)
        .assume("0", "none is stated", "boxes to buy and how far conductors can be pulled"),
    field(
        "insulation",
        INSULATION,
        "Insulation of this part where it differs from that of the run; conductors are joined in a box where it changes.",
    )
    .optional()
    .ask(WhoKnows::Measurement),
    field(
        "barrier",
        Shape::YesNo,
        "Does a fixed barrier keep module circuits from the others in its raceway and boxes? Left out means no.",
    )
    .optional(),
    field("depth", quantity_of(Kind::Length), "Cover over it, underground.").within(0.0, 10.0).optional(),
    field(
        "under",
        Shape::Choice(&["open ground", "dwelling driveway", "road", "concrete", "a building"]),
        "What is above it, underground.",
    )
    .optional(),
    field("above_roof", quantity_of(Kind::Length), "Height of the raceway above the roof.")
        .within(0.0, 10.0)
        .optional(),
    field(
        "swing",
        quantity_of(Kind::Interval),
        "Coldest to hottest of this part over the year, for PVC that lengthens.",
    )
    .within(0.0, 150.0)
    .optional(),
    field("room", Shape::Reference(&["room"]), "Room it runs in.").optional(),
    field("hottest", quantity_of(Kind::Temperature), "Hottest air around this part.")
        .within(183.0, 373.0)
        .optional(),
];

/// A residual-current device.
pub(super) const RESIDUAL: Field = field(
    "residual",
    Shape::Record(&[
        field("trips", quantity_of(Kind::Current), "Residual current at which it trips, such as \"30 mA\".")
            .within(0.001, 30.0)
            .ask(WhoKnows::DataSheet),
        field("type", Shape::Choice(&["AC", "A", "F", "B"]), "Residual currents it sees, by the letters on it.")
            .ask(WhoKnows::DataSheet),
        field("delayed", Shape::YesNo, "Is it marked S, so that it waits for devices further down?")
            .ask(WhoKnows::DataSheet),
    ]),
    "Residual-current device, under IEC 60364: of a run where it begins, of a panel for the circuits that leave it.",
)
.optional();

pub(super) const RUN: Table = Table {
    key: "run",
    form: Form::List,
    doc: "A route that circuits take. Name the two ends, or the strings it carries.",
    question: 7,
    fields: &[
        field(
            "between",
            Shape::References(&[
                "unit", "bank", "panel", "transfer", "utility", "engine", "combiner", "string",
            ]),
            "The two things it joins.",
        )
        .optional(),
        field("carries", Shape::References(&["string", "combiner"]), "Strings or combiners it carries.")
            .optional(),
        field("route", Shape::Records(ROUTE), "Its parts, in order.").needed(),
        field("conductor", Shape::Gauge, "Size fixed by you; left out, it is found.").optional(),
        field("material", Shape::Choice(&["copper", "aluminum"]), "Conductor metal.").assume(
            "copper",
            "copper is what shops sell for these sizes",
            "size and price of the conductor",
        ),
        field(
            "insulation",
            INSULATION,
            "Insulation type: of the NEC, or from \"pvc\" on of IEC 60364. Left out, what the trade runs there; \"unknown\" sizes nothing.",
        )
        .optional()
        .ask(WhoKnows::Measurement),
        field(
            "strands",
            Shape::Choice(&["building wire", "fine"]),
            "Stranding of its conductors; fine is that of flexible battery and welding cable.",
        )
        .assume(
            "building wire",
            "conductors are bought stranded as building wire is",
            "which terminals take them",
        ),
        field(
            "terminals",
            Shape::Choice(&["60 °C", "75 °C", "90 °C"]),
            "Temperature marked on both terminals.",
        )
        .ask(WhoKnows::DataSheet),
        field(
            "cable_volts",
            quantity_of(Kind::Voltage),
            "Voltage printed on its cable, where it is more than 600 V.",
        )
        .within(30.0, 5000.0)
        .optional(),
        field("drop_target", quantity_of(Kind::Ratio), "Largest voltage drop you accept.")
            .within(0.0, 0.5)
            .optional(),
        field(
            "device",
            Shape::Record(&[
                field("rating", quantity_of(Kind::Current), "Rating.")
                    .within(0.0, 10_000.0)
                    .ask(WhoKnows::DataSheet),
                field(
                    "kind",
                    Shape::Choice(&["dc breaker", "dc fuse", "ac breaker", "ac fuse"]),
                    "What it is.",
                )
                .ask(WhoKnows::DataSheet),
                field("volts", quantity_of(Kind::Voltage), "Highest voltage it is rated for.")
                    .within(0.0, 3000.0)
                    .ask(WhoKnows::DataSheet),
                field(
                    "polarised",
                    Shape::YesNo,
                    "Is it marked for one direction of current: a plus and a minus, or line and load?",
                )
                .ask(WhoKnows::DataSheet),
                field("interrupts", quantity_of(Kind::Current), "Interrupting rating.")
                    .within(0.0, 1e6)
                    .ask(WhoKnows::DataSheet),
                field(
                    "curve",
                    Shape::Choice(&["B", "C", "D"]),
                    "Letter before the rating of a breaker to IEC 60898-1.",
                )
                .optional()
                .ask(WhoKnows::DataSheet),
                field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
            ]),
            "Breaker or fuse fixed by you; left out, it is found.",
        )
        .optional(),
        RESIDUAL,
    ],
    shelf: None,
};

pub(super) const PIECE: Table = Table {
    key: "piece",
    form: Form::List,
    doc: "What your shop asks for a thing bought by the piece. Its name is that on the purchase list, such as \"EMT 1 strap\".",
    question: 8,
    fields: &[field("price", Shape::Money, "Price of one.").within(0.0, 1e7).needed()],
    shelf: None,
};

pub(super) const STOCK: Table = Table {
    key: "stock",
    form: Form::Unnamed,
    doc: "What your shop asks for wire and raceway.",
    question: 8,
    fields: &[
        field("conductor", Shape::Gauge, "Conductor size.").optional(),
        field("raceway", Shape::Text, "Raceway kind and trade size, such as \"pvc-40 3/4\".").optional(),
        field("price", Shape::Price(Kind::MoneyPerLength), "Price per length.")
            .within(0.0, 10_000.0)
            .needed(),
        field("sold_by", quantity_of(Kind::Length), "Length it is sold in; left out, it is cut to order.")
            .within(0.01, 10_000.0)
            .optional(),
    ],
    shelf: None,
};
