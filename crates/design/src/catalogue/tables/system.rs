//! The system: what stands where and what feeds what.

use super::means::WORKING_SPACE;
use super::money;
use super::terminals::TERMINALS;
use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, kept, quantity_of};

pub(super) const BUILDING: Table = Table {
    key: "building",
    form: Form::List,
    doc: "A building.",
    question: 1,
    fields: &[
        field("kind", Shape::Choice(&["dwelling", "workshop", "barn", "garage", "other"]), "What it is.")
            .optional(),
        field(
            "open",
            Shape::YesNo,
            "Is it an open structure apart from the house, such as a carport or a trellis without walls?",
        )
        .optional(),
        field("only_equipment", Shape::YesNo, "Does it house nothing but equipment of this system?")
            .optional(),
    ],
    shelf: None,
};

/// Surface and insulation of a room or of a battery's cabinet.
const ENVELOPE: &[Field] = &[
    field("surface", quantity_of(Kind::Area), "All its outer surfaces together.")
        .needed()
        .within(0.05, 5000.0),
    field(
        "insulation",
        Shape::Bare { kind: Kind::Number, factor: 1.0 },
        "Thermal resistance of them in m²·K/W; a US R-value over 5.68.",
    )
    .needed()
    .within(0.05, 30.0),
];

pub(super) const ROOM: Table = Table {
    key: "room",
    form: Form::List,
    doc: "A room in which equipment stands.",
    question: 6,
    fields: &[
        field("building", Shape::Reference(&["building"]), "Building it is in.").optional(),
        field("between", Shape::Range(Kind::Temperature), "Coldest and hottest air in it over the year.")
            .within(183.0, 373.0)
            .ask(WhoKnows::Measurement),
        field("conditioned", Shape::YesNo, "Is it heated or cooled, so that its air stays between these?")
            .assume("no", "nothing was said of heating it", "air around battery and inverters"),
        field(
            "envelope",
            Shape::Record(ENVELOPE),
            "Its walls, floor and ceiling, from which its air is computed with the heat of what hangs in it.",
        )
        .optional(),
        kept("wall", Shape::Texts, "Wall the equipment hangs on."),
        field(
            "kind",
            Shape::Choice(&[
                "bedroom",
                "living space",
                "utility or storage space",
                "attached garage",
                "outbuilding",
                "outside wall",
                "ground outdoors",
                "loft or roof space",
                "stairs, hall or corridor",
            ]),
            "What it is, or what it opens into; it decides whether and how much storage may stand in it.",
        )
        .optional(),
        field(
            "detector",
            Shape::YesNo,
            "Does a smoke or heat detector in it sound together with those of the house?",
        )
        .optional(),
    ],
    shelf: None,
};

const ROWS: &[Field] = &[
    field("modules_high", Shape::Count, "Modules above each other.")
        .assume("1", "one module high was meant", "shade of rows, obstacles and snow")
        .within(1.0, 20.0),
    field("modules_wide", Shape::Count, "Modules side by side.").optional().within(1.0, 400.0),
    field("modules", Shape::Choice(&["upright", "lying"]), "Long side up the slope, or level.").assume(
        "upright",
        "most racks and roofs carry modules upright",
        "how much of a string shade from below takes",
    ),
    field("ground_gap", quantity_of(Kind::Length), "Level gap between a row's top edge and the next row.")
        .optional()
        .within(0.0, 1000.0),
    field("pitch", quantity_of(Kind::Length), "Instead of the gap: from one lower edge to the next.")
        .optional()
        .within(0.1, 1000.0),
];

const HORIZON: &[Field] = &[
    field("bearing", Shape::Bearing, "Direction of the point, rising from one to the next.")
        .needed()
        .ask(WhoKnows::Measurement),
    field("up", quantity_of(Kind::Angle), "How far above level it stands.")
        .needed()
        .ask(WhoKnows::Measurement)
        .within(0.0, std::f64::consts::FRAC_PI_2),
];

const OBSTACLE: &[Field] = &[
    field("name", Shape::Text, "What you call it.").needed(),
    field(
        "from",
        Shape::Bearing,
        "Bearing of its one side, seen from the middle of the modules' lower edge.",
    )
    .needed()
    .ask(WhoKnows::Measurement),
    field("to", Shape::Bearing, "Bearing of its other side, clockwise from the first.")
        .needed()
        .ask(WhoKnows::Measurement),
    field("distance", quantity_of(Kind::Length), "Level distance to its near face.")
        .needed()
        .ask(WhoKnows::Measurement)
        .within(0.1, 2000.0),
    field("height", quantity_of(Kind::Length), "Its top above the ground.")
        .needed()
        .ask(WhoKnows::Measurement)
        .within(0.1, 500.0),
    field(
        "depth",
        quantity_of(Kind::Length),
        "How far it reaches back from its near face; blank: a wall's thickness for a house, its width for a tree.",
    )
    .optional()
    .within(0.0, 2000.0),
    field("leafless", Shape::MonthSet, "A tree that sheds its leaves: the months without them.").optional(),
];

const SECOND_BEARING: &[Field] = &[
    field("bearing", Shape::Bearing, "Where it faces by the other source.").needed(),
    field("within", quantity_of(Kind::Angle), "How far apart the two may lie before one must be wrong.")
        .assume(
            "5°",
            "a hand compass and a map are each read to two or three degrees; common practice, no source",
            "when two statements of a bearing count as different",
        )
        .within(0.0, std::f64::consts::FRAC_PI_4),
    field("basis", Shape::Text, "How it was taken, such as \"aerial photograph\".").optional(),
];

const GLASS: &[Field] = &[
    field(
        "model",
        Shape::Choice(&["refraction", "ashrae"]),
        "Refraction and absorption in a sheet (De Soto et al. 2006), or the fit of ASHRAE 93.",
    )
    .assume("refraction", "flat glass without a test report", "a few per cent of light at a slant"),
    field(
        "index",
        Shape::Bare { kind: Kind::Number, factor: 1.0 },
        "Refractive index of the cover, for `refraction`.",
    )
    .assume("1.526", "plain low-iron glass; De Soto et al. 2006", "light at a slant")
    .within(1.01, 2.5),
    field(
        "b0",
        Shape::Bare { kind: Kind::Number, factor: 1.0 },
        "Coefficient of the fit, from a test report, for `ashrae`.",
    )
    .assume("0.05", "one plain glass; from memory", "light at a slant")
    .within(0.0, 0.3),
];

pub(super) const PLANE: Table = Table {
    key: "plane",
    form: Form::List,
    doc: "A plane of modules.",
    question: 3,
    fields: &[
        field("mount", Shape::Choice(&["ground rack", "roof", "pole"]), "How it is held up."),
        field("building", Shape::Reference(&["building"]), "Building that carries it.").optional(),
        field("tilt", quantity_of(Kind::Angle), "Tilt above the level, in degrees or as rise:run.")
            .ask(WhoKnows::Measurement)
            .within(0.0, std::f64::consts::FRAC_PI_2),
        field(
            "bearing",
            Shape::Bearing,
            "Where it faces, clockwise from true north; or a compass bearing, said so.",
        )
        .ask(WhoKnows::Measurement),
        field(
            "second_bearing",
            Shape::Record(SECOND_BEARING),
            "The same told another way: by a map, in words, by another compass; the two are compared.",
        )
        .optional(),
        field("glass", Shape::Record(GLASS), "How the glass of its modules passes slanting light.").optional(),
        field("hot_rise", quantity_of(Kind::Interval), "Cells above air on the hottest bright afternoon.")
            .assume(
                "30 K",
                "open racks run 25 to 30 K, roofs 30 to 35 K above air; common practice",
                "hot string voltage",
            )
            .within(0.0, 60.0),
        field("reflectance", quantity_of(Kind::Ratio), "Light the ground in front throws back.")
            .assume("20 %", "grass; Duffie and Beckman", "a few per cent of steep planes")
            .within(0.0, 0.95),
        field(
            "reflectance_by_month",
            Shape::Months { kind: Kind::Ratio, factor: 0.01 },
            "Light the ground throws back in each month without snow, per cent; takes the place of `reflectance`.",
        )
        .optional()
        .within(0.0, 0.95),
        field("soiling", quantity_of(Kind::Ratio), "Light lost to dirt over the year.")
            .assume("3 %", "2 to 5 % is usual where it rains; from memory", "all energy from this plane")
            .within(0.0, 0.6),
        field(
            "structure_price",
            Shape::Money,
            "Price of rack or rails, feet and clamps for one module on it; left out, they are on no list and in no sum.",
        )
        .within(0.0, 1e5)
        .optional(),
        field(
            "soiling_by_month",
            Shape::Months { kind: Kind::Ratio, factor: 0.01 },
            "Light lost to dirt in each month, per cent; takes the place of `soiling`.",
        )
        .optional()
        .within(0.0, 0.9),
        field("rows", Shape::Record(ROWS), "How its modules lie, and how far the next row stands behind.")
            .optional(),
        field(
            "lower_edge",
            quantity_of(Kind::Length),
            "Height of the modules' lower edge above the ground that obstacles are measured from.",
        )
        .optional()
        .within(0.0, 100.0),
        field(
            "horizon",
            Shape::Records(HORIZON),
            "Hills and woods far away, point by point clockwise from north; straight between points.",
        )
        .optional(),
        field("obstacles", Shape::Records(OBSTACLE), "Houses and trees near by that stand in the light.")
            .optional(),
        field(
            "cleared_after",
            Shape::Count,
            "Days after the last snowfall on which you clear it; left out, it slides and melts by itself.",
        )
        .optional()
        .within(0.0, 120.0),
    ],
    shelf: None,
};

const HEATER: &[Field] = &[
    field("power", quantity_of(Kind::Power), "Its power.").needed().within(1.0, 20_000.0),
    field("holds", quantity_of(Kind::Temperature), "Cell temperature it holds.")
        .needed()
        .within(253.0, 313.0),
];

const PRE_CHARGE: &[Field] = &[
    field("ohms", Shape::Bare { kind: Kind::Resistance, factor: 1.0 }, "Its resistor, ohms.")
        .needed()
        .within(0.1, 1e5),
    field(
        "joules",
        Shape::Bare { kind: Kind::Energy, factor: 1.0 },
        "Energy the resistor bears in one pulse, joules.",
    )
    .within(0.0, 1e6)
    .ask(WhoKnows::DataSheet),
];

const SHED: &[Field] = &[
    field("luxury_below", quantity_of(Kind::Ratio), "State of charge below which luxury loads are given up.")
        .optional()
        .within(0.0, 1.0),
    field(
        "want_below",
        quantity_of(Kind::Ratio),
        "State of charge below which wanted loads are given up too.",
    )
    .optional()
    .within(0.0, 1.0),
    field("back_after", quantity_of(Kind::Ratio), "How far above that it must rise before they come back.")
        .assume("5 %", "loads that come and go every hour help nobody", "hours without them")
        .within(0.0, 1.0),
];

const RATE: &[Field] =
    &[
        field("name", Shape::Text, "What the utility calls it.").needed(),
        field("months", Shape::MonthSet, "Months in which it holds; left out, all.").optional(),
        field("days", Shape::Choice(&["every day", "weekdays", "weekend"]), "Days on which it holds.")
            .assume("every day", "every day was meant", "hours of this rate"),
        field("from", Shape::Count, "Hour of standard time at which it begins, 0 to 23.")
            .needed()
            .within(0.0, 23.0),
        field("to", Shape::Count, "Hour at which it ends, 1 to 24; an earlier one means the next day.")
            .needed()
            .within(0.0, 24.0),
        field("charges", Shape::YesNo, "May the utility charge the battery while it holds?").assume(
            "no",
            "charging was not asked for",
            "energy through the battery",
        ),
        field("discharges", Shape::YesNo, "May the battery serve loads that the utility could serve?")
            .assume("yes", "own energy is used first", "energy bought at this rate"),
        money::PRICE,
        money::EXPORT_PRICE,
        money::TIERS,
    ];

const INTO: Shape = Shape::Record(&[
    field("unit", Shape::Reference(&["unit"]), "Inverter or charge controller.").needed(),
    field("input", Shape::Count, "Which of its inputs, from 1.")
        .assume("1", "the first input was meant", "which input is checked")
        .within(1.0, 12.0),
]);

pub(super) const STRING: Table = Table {
    key: "string",
    form: Form::List,
    doc: "Modules in series on one plane.",
    question: 6,
    fields: &[
        field("plane", Shape::Reference(&["plane"]), "Plane they lie on.").needed(),
        field("module", Shape::Reference(&["module"]), "Module they are.").needed(),
        field("count", Shape::Count, "How many in series.").needed().within(1.0, 60.0),
        field("into", INTO, "Where it goes.").optional(),
        field("mismatch", quantity_of(Kind::Ratio), "Power lost because its modules are not quite alike.")
            .assume(
                "1.5 %",
                "modules of one kind differ by about 1.5 %; from memory",
                "all energy from this string",
            )
            .within(0.0, 0.5),
        field("age", Shape::Bare { kind: Kind::Number, factor: 1.0 }, "Years since its modules were new.")
            .assume("0", "new modules were meant", "all energy from this string")
            .within(0.0, 60.0),
        field(
            "row",
            Shape::Count,
            "The one module row it fills, counted up from the lower edge; blank: it lies over all rows.",
        )
        .optional()
        .within(1.0, 20.0),
        field(
            "first_column",
            Shape::Count,
            "Where it begins, modules from the left as you look at the glass; blank: after the strings before it.",
        )
        .optional()
        .within(1.0, 400.0),
        field("through", Shape::Reference(&["combiner"]), "Combiner it goes through instead.").optional(),
        field(
            "rapid_shutdown",
            Shape::Choice(&["module electronics", "device at the array", "none"]),
            "What brings its conductors on or in a building down to a low voltage when one switch is turned.",
        )
        .ask(WhoKnows::Maker),
    ],
    shelf: None,
};

pub(super) const COMBINER: Table = Table {
    key: "combiner",
    form: Form::List,
    doc: "A box that joins strings in parallel.",
    question: 7,
    fields: &[
        field("into", INTO, "Where it goes.").needed(),
        field("building", Shape::Reference(&["building"]), "Building it hangs on.").optional(),
        field("fuse", quantity_of(Kind::Current), "Fuse of each string.").within(0.0, 1000.0).optional(),
        field("volts", quantity_of(Kind::Voltage), "Voltage it is rated for with everything in it.")
            .within(0.0, 3000.0)
            .ask(WhoKnows::DataSheet),
        super::parts::ARCS,
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
        TERMINALS,
    ],
    shelf: None,
};

pub(super) const UNIT: Table = Table {
    key: "unit",
    form: Form::List,
    doc: "One inverter or one charge controller in its place.",
    question: 6,
    fields: &[
        field("inverter", Shape::Reference(&["inverter"]), "Which inverter it is.").optional(),
        field("controller", Shape::Reference(&["controller"]), "Which charge controller it is.").optional(),
        field("bank", Shape::Reference(&["bank"]), "Bank it hangs on.").optional(),
        field(
            "leg",
            Shape::Choice(&["A", "B", "both"]),
            "Leg it feeds when two are stacked for split phase.",
        )
        .optional(),
        field("room", Shape::Reference(&["room"]), "Room it hangs in.").optional(),
        field(
            "ac_input",
            Shape::Reference(&["panel", "engine", "utility", "transfer"]),
            "What feeds its AC input.",
        )
        .optional(),
        WORKING_SPACE,
        kept("settings", Shape::Texts, "Settings as designed."),
    ],
    shelf: None,
};

pub(super) const BANK: Table = Table {
    key: "bank",
    form: Form::List,
    doc: "Batteries on a common bus.",
    question: 6,
    fields: &[
        field("battery", Shape::Reference(&["battery"]), "Which battery.").needed(),
        field("parallel", Shape::Count, "How many side by side.").needed().within(1.0, 200.0),
        field("series", Shape::Count, "How many one after the other.")
            .assume("1", "units side by side were meant", "voltage and size of the bank")
            .within(1.0, 64.0),
        field(
            "beside",
            Shape::Reference(&["bank"]),
            "Bank whose busbars its units join beside those of that bank; left out, it has busbars of its own.",
        )
        .optional(),
        field("room", Shape::Reference(&["room"]), "Room it stands in.").optional(),
        field("reserve", quantity_of(Kind::Ratio), "Share held back for bad weather.")
            .within(0.0, 1.0)
            .assume("0 %", "no reserve was named", "hours on backup"),
        field("shed", Shape::Record(SHED), "Loads given up in good time while the house is on its own.")
            .optional(),
        field(
            "cabinet",
            Shape::Record(ENVELOPE),
            "The cabinet around its cells; left out, they stand in the open.",
        )
        .optional(),
        field("heater", Shape::Record(HEATER), "What warms its cells.").optional(),
        field(
            "emergency_stop",
            Shape::Choice(&["outside", "inside", "none"]),
            "Where a person stops it from giving power: a control outside within easy reach, one inside, or none.",
        )
        .optional()
        .ask(WhoKnows::Owner),
        field("gap", quantity_of(Kind::Length), "Free space from one of its units to the next.")
            .within(0.0, 100.0)
            .optional()
            .ask(WhoKnows::Measurement),
        field(
            "from_openings",
            quantity_of(Kind::Length),
            "Outdoors: free space to the nearest door or window of the house.",
        )
        .within(0.0, 1000.0)
        .optional()
        .ask(WhoKnows::Measurement),
        field(
            "vehicles",
            Shape::Choice(&["cannot reach it", "guarded", "unguarded"]),
            "In a garage, an outbuilding or on the ground: can a vehicle hit it?",
        )
        .optional(),
        WORKING_SPACE,
        field(
            "pre_charge",
            Shape::Record(PRE_CHARGE),
            "A path past its switch with a resistor, which fills the capacitors of the inverters first.",
        )
        .optional(),
        kept("links", Shape::Texts, "Links between the units."),
        TERMINALS,
    ],
    shelf: None,
};

pub(super) const ENGINE: Table = Table {
    key: "engine",
    form: Form::List,
    doc: "One generator in its place.",
    question: 6,
    fields: &[
        field("generator", Shape::Reference(&["generator"]), "Which generator.").needed(),
        field("building", Shape::Reference(&["building"]), "Building it stands at.").optional(),
        field(
            "connected",
            Shape::Choice(&["cord and plug", "fixed wiring"]),
            "How it is connected; on a cord its neutral is joined only while it is plugged in. Left out counts as fixed.",
        )
        .optional(),
        money::FUEL_PRICE,
    ],
    shelf: None,
};

pub(super) const UTILITY: Table = Table {
    key: "utility",
    form: Form::One,
    doc: "The public supply, if there is one.",
    question: 5,
    fields: &[
        field(
            "role",
            Shape::Choice(&["none", "backup by transfer", "backup through inverter input", "interactive"]),
            "What it does for the house.",
        ),
        field("service", quantity_of(Kind::Current), "Rating of the existing service.")
            .within(0.0, 10_000.0)
            .ask(WhoKnows::Measurement),
        field("export_limit", quantity_of(Kind::Power), "Most that may be fed in; \"0 W\" for none.")
            .within(0.0, 1e6)
            .ask(WhoKnows::Utility)
            .optional(),
        field("fault_current", quantity_of(Kind::Current), "Current it feeds into a short at the service.")
            .ask(WhoKnows::Utility),
        money::PRICE,
        money::EXPORT_PRICE,
        money::TIERS,
        money::MONTHLY,
        money::LEAST_BILL,
        money::FED_IN,
        money::LEFT_OVER,
        money::CONNECTION,
        field("charge_power", quantity_of(Kind::Power), "Power with which an interactive system charges from it.")
            .optional()
            .within(0.0, 1e6),
        field(
            "rates",
            Shape::Records(RATE),
            "Hours in which another rate holds; of several the first. Days follow a year that begins on a Monday.",
        )
        .optional(),
        field(
            "earthing",
            Shape::Choice(&["TN-C-S", "TN-S", "TT", "IT"]),
            "Earthing arrangement, 230 V countries; of a house by itself that of its own supply.",
        )
        .optional()
        .ask(WhoKnows::Utility),
        field(
            "insulation_monitor",
            Shape::YesNo,
            "Earthing arrangement IT: does a device watch the insulation to earth and signal a first fault?",
        )
        .optional()
        .ask(WhoKnows::Electrician),
        field(
            "emergency_disconnect",
            Shape::Choice(&["outside", "inside", "none"]),
            "Where the service is switched off in an emergency: outside within easy reach, inside, or nowhere.",
        )
        .optional()
        .ask(WhoKnows::Electrician),
        field("conductors", Shape::Gauge, "Size of the service conductors that are there.")
            .optional()
            .ask(WhoKnows::Measurement),
        field("conductor_metal", Shape::Choice(&["copper", "aluminum"]), "Metal of those conductors.")
            .optional()
            .ask(WhoKnows::Measurement),
        field(
            "joint_to_device",
            quantity_of(Kind::Length),
            "Sources joined ahead of the main device of the service: longest conductor from a joint to its fuse or breaker.",
        )
        .within(0.0, 300.0)
        .optional()
        .ask(WhoKnows::Electrician),
        field("charge_below", quantity_of(Kind::Ratio), "State of charge below which it takes over.")
            .within(0.0, 1.0)
            .optional(),
        field(
            "charge_up_to",
            quantity_of(Kind::Ratio),
            "State of charge at which the battery takes over again.",
        )
        .within(0.0, 1.0)
        .optional(),
    ],
    shelf: None,
};

pub(super) const TRANSFER: Table = Table {
    key: "transfer",
    form: Form::List,
    doc: "A device that connects its load side to one of several sources, never to two.",
    question: 7,
    fields: &[
        field("from", Shape::References(&["panel", "utility", "engine", "unit"]), "Its sources, in order.")
            .needed(),
        field("kind", Shape::Choice(&["manual", "automatic"]), "Who turns it."),
        field("rating", quantity_of(Kind::Current), "Current it is rated for.")
            .within(0.0, 10_000.0)
            .ask(WhoKnows::DataSheet),
        field(
            "off_position",
            Shape::YesNo,
            "Has it a position in which no source is connected, so that it is the disconnect of its building?",
        )
        .optional()
        .ask(WhoKnows::DataSheet),
        field("switches_neutral", Shape::YesNo, "Does it switch the neutral too?").ask(WhoKnows::DataSheet),
        field("acts_within", quantity_of(Kind::Time), "How long the house waits until it is turned.")
            .within(0.0, 30.0 * 86_400.0)
            .assume("2 h", "someone is at home most of the day", "dark hours when the battery is empty"),
        field("building", Shape::Reference(&["building"]), "Building it hangs in.").optional(),
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
        field("listed", Shape::Text, "Standard on the listing mark of its label, or \"none\".")
            .ask(WhoKnows::SupplyHouse),
        TERMINALS,
    ],
    shelf: None,
};

pub(super) const PANEL: Table = Table {
    key: "panel",
    form: Form::List,
    doc: "A panel or distribution board.",
    question: 7,
    fields: &[
        field(
            "fed_by",
            Shape::References(&["unit", "transfer", "panel", "utility", "engine"]),
            "What feeds it.",
        )
        .needed(),
        field(
            "volts",
            Shape::Choice(&["120", "120/240", "230", "230/400"]),
            "Its voltage; 230/400 has three line conductors and a neutral.",
        )
        .needed(),
        field("bus", quantity_of(Kind::Current), "Rating of its busbar.")
            .within(0.0, 10_000.0)
            .ask(WhoKnows::DataSheet),
        field("main", quantity_of(Kind::Current), "Rating of its main device.")
            .within(0.0, 10_000.0)
            .optional(),
        field("bond", Shape::YesNo, "Is neutral tied to ground in it?").ask(WhoKnows::Electrician),
        field(
            "sources_at",
            Shape::Choice(&["end opposite to the feed", "one end of a centre-fed busbar", "elsewhere"]),
            "Where the breakers of sources other than the feed sit on its busbar.",
        )
        .optional()
        .ask(WhoKnows::Electrician),
        field("load_breakers", quantity_of(Kind::Current), "Ratings of all its load breakers together.")
            .within(0.0, 100_000.0)
            .optional()
            .ask(WhoKnows::Electrician),
        field(
            "power_control",
            Shape::Record(&[
                field("setting", quantity_of(Kind::Current), "Current at which it is set.")
                    .within(0.0, 10_000.0)
                    .ask(WhoKnows::Electrician),
                field(
                    "holds",
                    Shape::Choice(&["the whole busbar", "the sources"]),
                    "What stays below the setting: feed and sources of the busbar together, or what the sources give together.",
                )
                .ask(WhoKnows::DataSheet),
                field("listed", Shape::YesNo, "Is it listed as a power control system?").ask(WhoKnows::DataSheet),
            ]),
            "A system that holds the current on its busbar below a setting; left out means there is none.",
        )
        .optional(),
        field(
            "multiwire",
            Shape::YesNo,
            "Does it feed circuits whose two hot wires share one neutral? On a single 120 V supply that neutral carries the sum.",
        )
        .optional()
        .ask(WhoKnows::Electrician),
        super::wires::RESIDUAL,
        WORKING_SPACE,
        field("building", Shape::Reference(&["building"]), "Building it hangs in.").optional(),
        field("existing", Shape::YesNo, "Is it there already?").assume(
            "no",
            "a new one was meant",
            "the purchase list",
        ),
        field("price", Shape::Money, "Price.").within(0.0, 1e7).ask(WhoKnows::SupplyHouse),
        field("spaces", Shape::Count, "Breaker spaces in it that are free for circuits of this design.")
            .within(0.0, 200.0)
            .optional()
            .ask(WhoKnows::Measurement),
        TERMINALS,
    ],
    shelf: None,
};

pub(super) const STAGE: Table = Table {
    key: "stage",
    form: Form::List,
    doc: "A stage in which the system grows: the design as drawn, with some things not there yet and some numbers \
          other than drawn. Question 4 holds each stage against the rules, prices what is bought for it, and says what \
          to provide now for the last one.",
    question: 4,
    fields: &[
        field("when", Shape::Date, "When it stands. Stages are taken in order of their dates.").optional(),
        field(
            "not_yet",
            Shape::Texts,
            "Things of the design that are not there at this stage, by their paths, such as \"string.south row\"; \
             lists and runs that name them follow.",
        )
        .optional(),
        field(
            "with",
            Shape::Records(&[
                field("sets", Shape::Text, "Path of a field, such as \"bank.rack.parallel\".").needed(),
                field("to", Shape::Text, "Its value at this stage, as it would be written.").needed(),
            ]),
            "Fields that are not as drawn at this stage.",
        )
        .optional(),
        field(
            "gives_up",
            Shape::Texts,
            "Items of the purchase list bought for an earlier stage and no longer used, by their names there or words of them.",
        )
        .optional(),
        field("budget", Shape::Money, "Ceiling for what is bought for this stage.").within(0.0, 1e9).optional(),
        kept("includes", Shape::Texts, "What it adds, in your words."),
    ],
    shelf: None,
};
