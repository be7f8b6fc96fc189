//! The header, the place, the promise, the permits.

use super::{DEGREE, Field, Form, Kind, Shape, Table, WhoKnows, field, kept, quantity_of};

pub(super) const HEADER: Table = Table {
    key: "",
    form: Form::One,
    doc: "The top of the file: what it is and how answers are printed.",
    question: 1,
    fields: &[
        field("wattwright", Shape::Count, "Version of the file format; 1 today.").needed(),
        field("title", Shape::Text, "What you call the house.").needed(),
        field("units", Shape::Choice(&["us", "metric"]), "How answers are printed; any unit may be written.")
            .assume("metric", "no system of units was named", "only how numbers are shown"),
        field("currency", Shape::Text, "Currency of all money, as its three-letter code.").needed(),
        field("revision", Shape::Record(REVISION), "Which state of the design this is.").optional(),
    ],
    shelf: None,
};

const REVISION: &[Field] = &[
    field("number", Shape::Count, "Counts up with every change you give out.").optional(),
    field("date", Shape::Date, "When.").optional(),
    field("note", Shape::Text, "What changed.").optional(),
];

pub(super) const PLACE: Table = Table {
    key: "place",
    form: Form::One,
    doc: "Where the house stands, which rules hold there, how cold and hot it gets.",
    question: 3,
    fields: &[
        field("latitude", Shape::Bare { kind: Kind::Angle, factor: DEGREE }, "Degrees, north positive.")
            .needed()
            .within(-90.0 * DEGREE, 90.0 * DEGREE),
        field("longitude", Shape::Bare { kind: Kind::Angle, factor: DEGREE }, "Degrees, east positive.")
            .needed()
            .within(-180.0 * DEGREE, 180.0 * DEGREE),
        field("elevation", quantity_of(Kind::Length), "Height above the sea.")
            .needed()
            .within(-450.0, 6000.0),
        field("zone", Shape::Text, "IANA time zone, such as \"America/Denver\".").needed(),
        field(
            "rules",
            Shape::Choice(&["nec-2023", "nec-2020", "nec-2026", "iec-60364"]),
            "The wiring rules and edition the local office has adopted.",
        )
        .ask(WhoKnows::BuildingOffice),
        field(
            "dwelling",
            Shape::Choice(&["one-family", "two-family", "other"]),
            "Kind of building; one- and two-family dwellings have a lower limit for module voltage.",
        )
        .ask(WhoKnows::Owner),
        field(
            "country",
            Shape::Choice(&["great britain", "elsewhere"]),
            "Country whose own rules for storage and for telling the network operator hold beside the wiring rules.",
        )
        .optional(),
        field(
            "coldest",
            Shape::Record(&[
                field("value", quantity_of(Kind::Temperature), "Lowest expected air temperature.")
                    .ask(WhoKnows::BuildingOffice)
                    .within(183.0, 303.0),
                field("basis", Shape::Text, "Where it comes from, such as \"mean of yearly extremes\".")
                    .optional(),
            ]),
            "Lowest expected air temperature; string voltage hangs on it. Blank stays unknown.",
        )
        .ask(WhoKnows::BuildingOffice),
        field(
            "hottest",
            Shape::Record(&[
                field("value", quantity_of(Kind::Temperature), "Hot design air temperature.")
                    .within(263.0, 333.0),
                field("basis", Shape::Text, "Where it comes from.").optional(),
            ]),
            "Air temperature exceeded about 2 % of the year; wires and hot strings hang on it.",
        )
        .optional(),
        field(
            "lightning",
            Shape::Bare { kind: Kind::Number, factor: 1.0 },
            "Strokes of lightning to the ground in a year on each square kilometre, from a map of them; asked under the metric rules.",
        )
        .within(0.0, 100.0)
        .optional()
        .ask(WhoKnows::BuildingOffice),
        field(
            "snow",
            Shape::Record(SNOW),
            "What you know of its snow; left out, snow is taken from the cold dull days of the weather years.",
        )
        .optional(),
        field("weather", Shape::Record(WEATHER), "Where the weather years come from.").optional(),
    ],
    shelf: None,
};

const SNOW: &[Field] = &[
    field(
        "days",
        Shape::Months { kind: Kind::Number, factor: 1.0 },
        "Days with snowfall in each month; all zero where none falls.",
    )
    .needed()
    .within(0.0, 31.0),
    field(
        "depth_cm",
        Shape::Months { kind: Kind::Length, factor: 0.01 },
        "Fresh snow of such a day in each month, centimetres; 4 where left out.",
    )
    .optional()
    .within(0.0, 2.0),
];

const WEATHER: &[Field] = &[
    field("normals", Shape::Text, "\"nearest\" or the number of a row of the climate table.").assume(
        "nearest",
        "no weather was named",
        "every energy figure",
    ),
    field("file", Shape::Text, "An hourly year in EPW or TMY3 form, beside the design.").optional(),
    field(
        "gaps",
        Shape::Choice(&["fill", "bridge", "refuse"]),
        "Hours that the file lacks. `bridge`: temperature and wind straight between their neighbours for up to six hours, \
         missing parts of light from global light (Erbs et al. 1982). `fill`: so, and what is left from the same hour of \
         the nearest day within a week. `refuse`: nothing is made up; a file with such hours is refused with their list. Blank: `fill`. \
         A column that the file has not at all is no gap.",
    )
    .optional(),
    field(
        "sunshine",
        Shape::Months { kind: Kind::Irradiation, factor: 3.6e6 },
        "Your own twelve monthly means of daily sunshine on the level, kWh/m².",
    )
    .optional(),
    field(
        "air",
        Shape::Months { kind: Kind::Number, factor: 1.0 },
        "Your own twelve monthly means of the air's temperature, degrees Celsius. The mean lows and highs of the climate row move \
         with them. Without them the air of the climate row is carried to your height, 6.5 K colder for each kilometre up.",
    )
    .optional()
    .within(-60.0, 45.0),
    field(
        "wind",
        Shape::Months { kind: Kind::Speed, factor: 1.0 },
        "Your own twelve monthly means of the wind 10 m above the ground, m/s; 3.5 where left out. It cools the modules.",
    )
    .optional()
    .within(0.0, 30.0),
    field(
        "sky_model",
        Shape::Choice(&["perez", "hay-davies", "isotropic"]),
        "How diffuse light is spread over the sky: Perez et al. 1990, Hay and Davies 1980, or evenly (Liu and Jordan 1963).",
    )
    .assume("perez", "it follows measurements best; from memory", "a few per cent of all energy from tilted planes"),
    field("years", Shape::Count, "How many synthetic years.")
        .assume("20", "twenty years show the spread of winters", "how finely odds can be said")
        .within(1.0, 1000.0),
    field("seed", Shape::Count, "Which reproducible set of years.").assume(
        "1",
        "any set will do, but it must be the same each time",
        "which synthetic years are drawn",
    ),
];

pub(super) const PROMISE: Table = Table {
    key: "promise",
    form: Form::One,
    doc: "What the house may never or seldom suffer.",
    question: 4,
    fields: &[
        field("must_loads_dark", quantity_of(Kind::Time), "Hours a year a must-load may be dark.")
            .within(0.0, 8784.0 * 3600.0)
            .optional(),
        field("backup_hours_per_year", quantity_of(Kind::Time), "Hours a year on utility or generator.")
            .within(0.0, 8784.0 * 3600.0)
            .optional(),
        field(
            "backup_energy_per_year",
            quantity_of(Kind::Energy),
            "Energy a year from utility or generator.",
        )
        .within(0.0, 3.6e12)
        .optional(),
        field("missing_per_year", quantity_of(Kind::Energy), "Load a year that may stay unserved.")
            .within(0.0, 3.6e12)
            .optional(),
        field(
            "fuel_per_year",
            quantity_of(Kind::Volume),
            "Fuel a year for the generator; by the litres its sheet says it burns for a kilowatt-hour.",
        )
        .within(0.0, 1e3)
        .optional(),
        field(
            "holds_in",
            Shape::Choice(&["nine years of ten", "the middling year"]),
            "In how many weather years the promise must hold.",
        )
        .assume(
            "nine years of ten",
            "a hard winter comes now and then and counts",
            "how large a system keeps the promise",
        ),
        field(
            "drill",
            Shape::Record(&[
                field("from", Shape::Date, "First day without utility and generator.").needed(),
                field("days", Shape::Count, "For how many days.").needed().within(1.0, 60.0),
                field(
                    "may_fail",
                    Shape::Choice(&["in no year", "in one year of ten"]),
                    "In how many weather years a must-load may go dark in it.",
                )
                .assume("in no year", "an outage comes with the storm", "how large a system keeps the promise"),
            ]),
            "A rehearsal: utility and generator are away for some days.",
        )
        .optional(),
        field("budget", Shape::Money, "Ceiling for what is bought.").within(0.0, 1e9).optional(),
        field(
            "growth",
            quantity_of(Kind::Ratio),
            "Carry so much more than the list of loads, in every hour, for loads to come; less where it is negative.",
        )
        .within(-0.9, 3.0)
        .optional(),
    ],
    shelf: None,
};

pub(super) const PERMITS: Table = Table {
    key: "permits",
    form: Form::One,
    doc: "What offices, utility and insurer have answered. Unknown blocks the purchase, not the planning.",
    question: 1,
    fields: &[
        field(
            "owner_may_wire",
            Shape::YesNo,
            "May you, the owner, pull the electrical permit and do the work?",
        )
        .ask(WhoKnows::BuildingOffice),
        field("building_permit", Shape::YesNo, "Does the office accept the rack or roof work as planned?")
            .ask(WhoKnows::BuildingOffice),
        field("utility_agrees", Shape::YesNo, "Has the utility answered (agreement, or none needed)?")
            .ask(WhoKnows::Utility),
        field("insurer_agrees", Shape::YesNo, "Has the insurer agreed in writing?").ask(WhoKnows::Insurer),
        field("storage_place_agreed", Shape::YesNo, "Does the office accept where the batteries stand?")
            .ask(WhoKnows::BuildingOffice),
        field("hired_out", Shape::Texts, "Work that a licensed person will do.").optional(),
        kept("office", Shape::Text, "Which office, and whom you spoke to."),
        kept("asked", Shape::Date, "When you asked."),
    ],
    shelf: None,
};

pub(super) const WAIVER: Table = Table {
    key: "waiver",
    form: Form::Unnamed,
    doc: "A finding you have looked into and take upon yourself; it stays in every view.",
    question: 1,
    fields: &[
        kept("finding", Shape::Text, "Code of the finding."),
        kept("because", Shape::Text, "Your reason."),
    ],
    shelf: None,
};
