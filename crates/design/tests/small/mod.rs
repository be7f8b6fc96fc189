//! A small catalogue and a small design, so that the tests of reading and editing do not move with the real ones.
#![allow(dead_code)] // Each test file uses its own part.

use design::catalogue::{Field, Form, Shape, Table, field};
use quantity::{Kind, WhoKnows};
use std::f64::consts::PI;

const DEGREES: f64 = PI / 180.0;
const KWH: f64 = 3.6e6;

/// Every form and every shape at least once.
pub(crate) static TABLES: &[Table] = &[
    table("", Form::One, TOP),
    table("place", Form::One, PLACE),
    table("bills", Form::One, BILLS),
    table("load", Form::List, LOAD),
    Table { shelf: Some("module"), ..table("module", Form::Named, MODULE) },
    table("inverter", Form::Named, INVERTER),
    table("plane", Form::List, PLANE),
    table("string", Form::List, STRING),
    table("run", Form::List, RUN),
    table("stage", Form::Unnamed, STAGE),
];

const fn table(key: &'static str, form: Form, fields: &'static [Field]) -> Table {
    Table { key, form, doc: "A table of the small catalogue.", question: 1, fields, shelf: None }
}

static TOP: &[Field] = &[
    field("wattwright", Shape::Count, "Version of the format.").needed(),
    field("title", Shape::Text, "Name of the design."),
    field("units", Shape::Choice(&["us", "metric"]), "How answers are printed.").optional(),
    field("currency", Shape::Text, "The one currency.").assume(
        "USD",
        "most designs here are",
        "nothing but the sign",
    ),
    field("revision", Shape::Record(REVISION), "Which state this is.").optional(),
];
static REVISION: &[Field] = &[field("number", Shape::Count, "Number."), field("date", Shape::Date, "Day.")];

static PLACE: &[Field] = &[
    field("latitude", Shape::Bare { kind: Kind::Angle, factor: DEGREES }, "Degrees north.")
        .within(-PI / 2.0, PI / 2.0)
        .needed(),
    field("longitude", Shape::Bare { kind: Kind::Angle, factor: DEGREES }, "Degrees east.")
        .within(-PI, PI)
        .needed(),
    field("elevation", Shape::Quantity(Kind::Length), "Above the sea.").within(-500.0, 6000.0),
    field("coldest", Shape::Record(COLDEST), "Coldest morning."),
    field("owner_may_pull", Shape::YesNo, "Whether the owner may.").ask(WhoKnows::BuildingOffice),
    field("weather", Shape::Record(WEATHER), "Weather years.").optional().recorded(),
];
static COLDEST: &[Field] = &[
    field("value", Shape::Quantity(Kind::Temperature), "How cold.").within(200.0, 320.0).needed(),
    field("basis", Shape::Text, "From where."),
];
static WEATHER: &[Field] =
    &[field("years", Shape::Count, "How many."), field("seed", Shape::Count, "Where it begins.")];

static BILLS: &[Field] =
    &[field("kwh", Shape::Months { kind: Kind::Energy, factor: KWH }, "The twelve bills.")
        .within(0.0, 1e5 * KWH)];

static LOAD: &[Field] = &[
    field("watts", Shape::Bare { kind: Kind::Power, factor: 1.0 }, "Running.").within(0.0, 50_000.0),
    field("hours", Shape::DayHours, "A day."),
    field("label", Shape::Quantity(Kind::Energy), "A year."),
    field("tier", Shape::Choice(&["must", "want", "can wait"]), "How needed.").needed(),
    field("months", Shape::MonthSet, "In use.").optional(),
    field("notes", Shape::Texts, "Notes.").optional(),
];

static MODULE: &[Field] = &[
    field("power", Shape::Quantity(Kind::Power), "At standard conditions.").needed().ask(WhoKnows::DataSheet),
    field("voc", Shape::Quantity(Kind::Voltage), "Open circuit.")
        .within(1.0, 1500.0)
        .ask(WhoKnows::DataSheet),
    field("isc", Shape::Quantity(Kind::Current), "Short circuit.").ask(WhoKnows::DataSheet),
    field(
        "voc_per_kelvin",
        Shape::OneOf(&[Kind::PerKelvin, Kind::VoltsPerKelvin]),
        "Voltage against warmth.",
    ),
    field("size", Shape::Record(SIZE), "Outside."),
    field("price", Shape::Money, "Each.").optional(),
];
static SIZE: &[Field] = &[
    field("length", Shape::Quantity(Kind::Length), "Long side.").needed(),
    field("width", Shape::Quantity(Kind::Length), "Short side."),
];

static INVERTER: &[Field] = &[
    field("output", Shape::Quantity(Kind::Power), "All day.").needed(),
    field("volts", Shape::Choice(&["120", "120/240", "230"]), "One unit."),
    field("battery_range", Shape::Range(Kind::Voltage), "From the lowest to the highest.")
        .within(0.0, 1000.0),
    field("efficiency", Shape::Curve, "Against load."),
    field("pv_input", Shape::Records(PV_INPUT), "Each input."),
];
static PV_INPUT: &[Field] = &[
    field("voltage_limit", Shape::Quantity(Kind::Voltage), "Never above.").needed(),
    field("power", Shape::Quantity(Kind::Power), "Most."),
];

static PLANE: &[Field] = &[
    field("tilt", Shape::Quantity(Kind::Angle), "Against level."),
    field("bearing", Shape::Bearing, "Faces."),
];

static STRING: &[Field] = &[
    field("plane", Shape::Reference(&["plane"]), "Where.").needed(),
    field("module", Shape::Reference(&["module"]), "Of what.").needed(),
    field("count", Shape::Count, "How many.").within(1.0, 60.0).needed(),
];

static RUN: &[Field] = &[
    field("carries", Shape::References(&["string", "bills"]), "What flows."),
    field("conductor", Shape::Gauge, "Size.").optional(),
    field("wire_price", Shape::Price(Kind::MoneyPerLength), "Paid.").optional(),
];

static STAGE: &[Field] =
    &[field("when", Shape::Date, "When."), field("includes", Shape::References(&["string"]), "What.")];

/// A design by that catalogue without a problem.
pub(crate) const DESIGN: &str = r#"# An invented place.
wattwright = 1                      # version of the file format
title = "Small Bench"
units = "us"
currency = "USD"
revision = { number = 3, date = 2026-05-02 }

[place]
latitude = 42.87
longitude = -118.21
elevation = "4150 ft"               # from the map
coldest = { value = "-24 °F", basis = "nearest station" }   # unknown stays unknown
owner_may_pull = "unknown"
weather.years = 20
weather.seed = 7

[bills]
kwh = [590, 527, 483, 414, 383, 424, 500, 489, 401, 390, 478, 582]    # January to December

[[load]]
name = "well pump"
watts = 1488
hours = 0.9                         # a day
tier = "must"

[[load]]
name = "kitchen counter"
watts = 1500
hours = { morning = 0.2, evening = 0.3 }
tier = "want"
months = "Nov..Apr"

# ── parts ──────────────────────────────────────────

[module.field]
power = "430 W"
voc = "38.9 V"
isc = "14.0 A"
voc_per_kelvin = "-0.25 %/K"
size = { length = "1722 mm", width = "1134 mm" }
price = 118

[inverter.wall]
output = "6500 W"                   # at 77 °F
battery_range = ["44 V", "58.4 V"]   # the lowest decides the battery cable
efficiency = { "10 %" = "89 %", "40 %" = "94 %", "100 %" = "91 %" }
pv_input = [
  { voltage_limit = "500 V", power = "7 kW" },   # the only one
]

[[plane]]
name = "east rack"
tilt = "38°"
bearing = { compass = "163°", taken = 2026-03-20 }

[[string]]
name = "north row"
plane = "east rack"
module = "field"
count = 9

[[string]]
name = "south row"
plane = "east rack"
module = "field"
count = 9

[[run]]
name = "field to workshop"
carries = ["north row", "south row"]
conductor = "4/0 AWG"
wire_price = "0.79 USD/ft"

[[stage]]
when = "2026-08"
includes = ["north row"]
"#;
