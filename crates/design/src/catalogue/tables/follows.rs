//! Uses that follow the weather: records inside a load.

use super::{Field, Kind, Shape, WhoKnows, field, quantity_of, sheet};

const LITER: f64 = 1e-3;
const FREEZING: f64 = 273.15;
const HOUR: f64 = 3600.0;

const fn cop() -> Field {
    sheet("cop", Shape::Bare { kind: Kind::Number, factor: 1.0 }, "Heat over electricity there.")
        .within(0.5, 12.0)
        .needed()
}

const fn at(doc: &'static str) -> Field {
    sheet("at", quantity_of(Kind::Temperature), doc).within(FREEZING - 60.0, FREEZING + 60.0).needed()
}

const WATER_POINT: &[Field] = &[at("Temperature of the air it takes heat from."), cop()];

const MACHINE_POINT: &[Field] = &[
    at("Temperature outdoors."),
    sheet("capacity", quantity_of(Kind::Power), "Most heat it moves there.").within(0.0, 100_000.0).needed(),
    cop(),
];

const COLD_POINT: &[Field] = &[
    field("at", quantity_of(Kind::Temperature), "Mean temperature of the day.")
        .within(FREEZING - 60.0, FREEZING + 60.0)
        .needed(),
    field("more", quantity_of(Kind::Ratio), "Share more than in mild weather.").within(0.0, 3.0).needed(),
];

pub(super) const WATER: &[Field] = &[
    field(
        "a_day",
        quantity_of(Kind::Volume),
        "Hot water a day at the set point; 40 to 80 L (10 to 20 gal) for each person is common (no source).",
    )
    .within(0.0, 5000.0 * LITER),
    field(
        "set_point",
        quantity_of(Kind::Temperature),
        "What the tank is kept at. A tank kept cooler than 60 °C (140 °F) may breed legionella; water hotter than 50 °C (120 °F) scalds: a mixing valve stands between.",
    )
    .within(FREEZING + 20.0, FREEZING + 95.0),
    field(
        "inlet",
        quantity_of(Kind::Temperature),
        "Water as it comes in, where you measured it; blank takes a published curve from the air of the place.",
    )
    .within(FREEZING, FREEZING + 40.0)
    .ask(WhoKnows::Measurement)
    .optional(),
    sheet("tank", quantity_of(Kind::Volume), "What the tank holds.").within(5.0 * LITER, 10_000.0 * LITER),
    sheet("standby", quantity_of(Kind::Energy), "Heat it loses in 24 hours while hot and unused.")
        .assume("1.5 kWh", "common of a tank of about 200 L, from memory", "a few per cent of hot water")
        .within(0.0, 3.6e8),
    field("room", quantity_of(Kind::Temperature), "The room it stands in.")
        .assume("18 °C", "an indoor room was meant", "its standby loss, and how well a heat pump works")
        .within(FREEZING - 30.0, FREEZING + 50.0),
    sheet("power", quantity_of(Kind::Power), "What its element, or its heat pump, draws.")
        .within(10.0, 50_000.0),
    sheet("points", Shape::Records(WATER_POINT), "A heat pump by the temperature of its air; colder than the first it stands still. Blank means an element alone.")
        .optional(),
    field("outdoors", Shape::YesNo, "Does a heat pump take its heat from outdoor air?").assume(
        "no",
        "it was meant to stand indoors",
        "how well a heat pump works in winter",
    ),
    sheet("element", quantity_of(Kind::Power), "Element beside a heat pump: it helps when the tank is low.")
        .assume("0 W", "none was named", "what is drawn when much hot water is used at once")
        .within(0.0, 50_000.0),
    field("lowest", quantity_of(Kind::Temperature), "A tank colder than this is heated at any hour.")
        .assume("43 °C", "cooler water no longer makes a warm shower", "how far heating waits for the sun")
        .within(FREEZING, FREEZING + 90.0),
];

pub(super) const ROOMS: &[Field] = &[
    field(
        "loss",
        quantity_of(Kind::HeatLoss),
        "Heat lost for each degree between inside and outside: walls, windows, roof and draughts together. From an energy report, or fuel of a winter over its degree days.",
    )
    .within(5.0, 5000.0)
    .ask(WhoKnows::Measurement),
    field("warmed_to", quantity_of(Kind::Temperature), "Warmed to, 6 to 22 h. Blank: no heating.")
        .within(FREEZING, FREEZING + 30.0)
        .optional(),
    field("night", quantity_of(Kind::Temperature), "Warmed to by night, where that differs.")
        .within(FREEZING, FREEZING + 30.0)
        .optional(),
    field("cooled_to", quantity_of(Kind::Temperature), "Cooled to. Blank: no cooling.")
        .within(FREEZING + 10.0, FREEZING + 40.0)
        .optional(),
    field("gains", quantity_of(Kind::Power), "Heat of people, lamps, appliances and sun, on average.")
        .assume("400 W", "3 W on each m² of a house of 130 m², from memory", "degrees of heating that are free")
        .within(0.0, 20_000.0),
    field("holds", quantity_of(Kind::Time), "Hours in which rooms left alone come 63 % nearer to the outdoors.")
        .assume("30 h", "between a light frame house and a heavy one, from memory", "mild days and a cooler night")
        .within(HOUR, 1000.0 * HOUR),
    sheet("heating", Shape::Records(MACHINE_POINT), "A heat pump by outdoor temperature, defrosting included; colder than the first point it stands still.")
        .optional(),
    sheet("cooling", Shape::Records(MACHINE_POINT), "A cooling machine by outdoor temperature.").optional(),
    field("strip", quantity_of(Kind::Power), "Resistance heat, beside a heat pump or alone.")
        .assume("0 W", "none was named", "what is drawn on the coldest days")
        .within(0.0, 100_000.0),
    sheet("cycling", quantity_of(Kind::Ratio), "Share of efficiency lost near no load by starting and stopping.")
        .assume("25 %", "the default of the United States test of heat pumps, from memory", "a few per cent of mild days")
        .within(0.0, 0.9),
];

pub(super) const VEHICLE: &[Field] = &[
    field("distance", quantity_of(Kind::Length), "Driven on a day of use.").within(0.0, 1.0e6),
    field("takes", quantity_of(Kind::EnergyPerLength), "From its battery per distance, in mild weather.")
        .within(50.0, 10_000.0)
        .ask(WhoKnows::DataSheet),
    sheet("power", quantity_of(Kind::Power), "What it draws at the outlet while charging.")
        .within(100.0, 50_000.0),
    field("efficiency", quantity_of(Kind::Ratio), "From the outlet into its battery.")
        .assume("88 %", "common of charging at home, from memory", "its energy")
        .within(0.5, 1.0),
    field(
        "from",
        Shape::Bare { kind: Kind::Time, factor: HOUR },
        "Hour of the day at which charging may begin, standard time: 22.",
    )
    .within(0.0, 24.0 * HOUR),
    field(
        "until",
        Shape::Bare { kind: Kind::Time, factor: HOUR },
        "Hour of the day at which it must end: 6.",
    )
    .within(0.0, 24.0 * HOUR),
    field(
        "cold",
        Shape::Records(COLD_POINT),
        "How much more it takes in the cold. Blank: it is counted the same all year.",
    )
    .optional(),
];
