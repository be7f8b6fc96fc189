//! What the house uses.

use super::follows::{ROOMS, VEHICLE, WATER};
use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, kept, quantity_of, sheet};

pub(super) const BILLS: Table = Table {
    key: "bills",
    form: Form::One,
    doc: "Twelve bills, to hold the list of loads against.",
    question: 2,
    fields: &[
        field("kwh", Shape::Months { kind: Kind::Energy, factor: 3.6e6 }, "January to December, kWh.")
            .within(0.0, 3.6e11)
            .optional(),
        field(
            "meter",
            Shape::Text,
            "A file of interval-meter readings beside the design: XML after NAESB REQ.21 (ESPI), or comma-separated values with their columns declared below.",
        )
        .optional(),
        field("columns", Shape::Record(COLUMNS), "What the columns of a comma-separated file mean.").optional(),
        field(
            "unlisted",
            Shape::Choice(&["left", "scaled", "added"]),
            "What becomes of energy that is billed and not listed: left out and shown, every hour of the month scaled to the bill, or added evenly over the month's hours.",
        )
        .assume("left", "nothing was said of it", "what the year is balanced against"),
    ],
    shelf: None,
};

pub(super) const SAVING: Table = Table {
    key: "saving",
    form: Form::List,
    doc: "A change that would use less, to be held against buying more array and battery. One of watts, yearly or share.",
    question: 2,
    fields: &[
        field("load", Shape::Reference(&["load"]), "The load it is about.").needed(),
        field("watts", Shape::Bare { kind: Kind::Power, factor: 1.0 }, "Power while running, then.")
            .within(0.0, 100_000.0)
            .optional(),
        field("yearly", quantity_of(Kind::Energy), "Energy a year by the new one's label.")
            .within(0.0, 3.6e12)
            .optional(),
        field(
            "share",
            quantity_of(Kind::Ratio),
            "So much of what it takes now: \"40 %\"; \"0 %\" where it goes.",
        )
        .within(0.0, 1.0)
        .optional(),
        field("price", Shape::Money, "What the change costs.").within(0.0, 1e9),
    ],
    shelf: None,
};

const STRETCH: &[Field] = &[
    field("from", Shape::Bare { kind: Kind::Time, factor: 3600.0 }, "Hour of the day, standard time.")
        .within(0.0, 86_400.0)
        .needed(),
    field(
        "until",
        Shape::Bare { kind: Kind::Time, factor: 3600.0 },
        "Hour of the day; earlier than from runs over midnight.",
    )
    .within(0.0, 86_400.0)
    .needed(),
    field("share", quantity_of(Kind::Ratio), "Share of full power, on average over the stretch.")
        .within(0.0, 1.0)
        .needed(),
];

const PUMP: &[Field] = &[
    field("flow", quantity_of(Kind::Flow), "What it lifts while running.").within(1e-7, 0.1),
    field("lift", quantity_of(Kind::Length), "From the water to the highest outlet, with the pressure there: 2.31 ft for each psi, 10.2 m for each bar, and friction.")
        .within(0.0, 1000.0),
    field("a_day", quantity_of(Kind::Volume), "Water lifted a day.").within(0.0, 1000.0),
    sheet("efficiency", quantity_of(Kind::Ratio), "Of pump and motor together: work done on the water over electricity.")
        .within(0.02, 0.9),
];

const COLUMNS: &[Field] = &[
    field("stamp", Shape::Text, "Column of date and time.").needed(),
    field("taken", Shape::Text, "Column of the energy taken.").needed(),
    field("fed", Shape::Text, "Column of the energy fed back, where there is one.").optional(),
    field("unit", Shape::Choice(&["Wh", "kWh"]), "Unit of these columns.").needed(),
    field(
        "stamped",
        Shape::Choice(&["begin", "end"]),
        "Whether a stamp is the begin or the end of its interval.",
    )
    .needed(),
    field(
        "dates",
        Shape::Choice(&["year first", "month first", "day first"]),
        "Order of the numbers of a date.",
    )
    .needed(),
    field(
        "clock",
        Shape::Choice(&["universal", "standard", "summer time of North America", "summer time of Europe"]),
        "Universal time, standard time of the place all year, or the clock on the wall with its summer time.",
    )
    .needed(),
    field("length", Shape::Text, "Column of the length of each interval in seconds, where there is one.")
        .optional(),
    field(
        "minutes",
        Shape::Bare { kind: Kind::Time, factor: 60.0 },
        "Length of every interval, where no column has it.",
    )
    .within(60.0, 86_400.0)
    .assume("60", "hourly readings were meant", "which hours are taken for gaps"),
];

pub(super) const LOAD: Table = Table {
    key: "load",
    form: Form::List,
    doc: "One thing that uses electricity.",
    question: 2,
    fields: &[
        field(
            "like",
            Shape::Text,
            "A household appliance of the published list, such as \"Toaster\": its typical watts and hours stand in for what you leave out.",
        )
        .optional(),
        field("watts", Shape::Bare { kind: Kind::Power, factor: 1.0 }, "Power while running.")
            .within(0.0, 100_000.0)
            .optional(),
        field("volts", Shape::Bare { kind: Kind::Voltage, factor: 1.0 }, "Supply voltage: 120, 240 or 230.")
            .optional()
            .within(90.0, 500.0),
        field(
            "amps",
            Shape::Bare { kind: Kind::Current, factor: 1.0 },
            "Running current, in place of watts.",
        )
        .within(0.0, 1000.0)
        .optional(),
        field("power_factor", Shape::Bare { kind: Kind::Ratio, factor: 1.0 }, "Watts per volt-ampere.")
            .assume("1", "none was stated", "running volt-amperes of this load")
            .within(0.1, 1.0),
        field(
            "yearly",
            quantity_of(Kind::Energy),
            "Energy a year from the label, in place of watts and hours.",
        )
        .within(0.0, 3.6e12)
        .optional(),
        field("hours", Shape::DayHours, "Hours a day, or by morning, midday, evening and night.").optional(),
        field(
            "profile",
            Shape::Records(STRETCH),
            "Its day in stretches, in place of hours: of full power, how much and when.",
        )
        .optional(),
        field(
            "standby",
            Shape::Bare { kind: Kind::Power, factor: 1.0 },
            "Power while it is plugged in and does not run.",
        )
        .within(0.0, 10_000.0)
        .optional(),
        field(
            "weekdays",
            Shape::Texts,
            "Days of the week on which it is used: [\"Mon\", \"Tue\"]; blank means every day.",
        )
        .optional(),
        field("pump", Shape::Record(PUMP), "A pump by flow and lift, in place of watts and hours.")
            .optional(),
        field("water", Shape::Record(WATER), "A water heater with its tank, in place of watts and hours.")
            .optional(),
        field("rooms", Shape::Record(ROOMS), "Heating and cooling of rooms, in place of watts and hours.")
            .optional(),
        field("vehicle", Shape::Record(VEHICLE), "A vehicle charged at home, in place of watts and hours.")
            .optional(),
        field("count", Shape::Count, "How many.")
            .assume("1", "one was meant", "its energy")
            .within(1.0, 1000.0),
        field("days_per_week", Shape::Bare { kind: Kind::Number, factor: 1.0 }, "Days a week it is used.")
            .assume("7", "every day was meant", "its energy")
            .within(0.0, 7.0),
        field("months", Shape::MonthSet, "Months in which it is used.").optional(),
        field(
            "tier",
            Shape::Choice(&["must", "want", "luxury"]),
            "How much it matters when energy is short.",
        )
        .assume("want", "no tier was named", "what is shed first"),
        field("leg", Shape::Choice(&["A", "B", "both"]), "Where it hangs on a split-phase panel.").optional(),
        field("motor", Shape::YesNo, "Has it a motor that starts across the line?").assume(
            "no",
            "no motor was named",
            "whether its start is asked for",
        ),
        field("locked_rotor", quantity_of(Kind::Current), "Locked-rotor current from the motor's plate.")
            .within(0.0, 10_000.0)
            .ask(WhoKnows::DataSheet)
            .optional(),
        field("start", quantity_of(Kind::ApparentPower), "Apparent power while starting, where stated.")
            .within(0.0, 1e6)
            .optional(),
        field("shift_into_sun", Shape::YesNo, "May it be moved into sunny hours?").assume(
            "no",
            "nothing was said of moving it",
            "the night share of the load",
        ),
        field(
            "earliest",
            Shape::Bare { kind: Kind::Time, factor: 3600.0 },
            "Where it may be moved: hour of the day, standard time, from which it may run.",
        )
        .assume("10", "midday of the hours by part of the day begins then", "how much of it runs on spare sun")
        .within(0.0, 82_800.0),
        field(
            "latest",
            Shape::Bare { kind: Kind::Time, factor: 3600.0 },
            "Where it may be moved: hour of the day at which it must be done, sun or not.",
        )
        .assume("16", "midday of the hours by part of the day ends then", "how much of it runs on spare sun")
        .within(3600.0, 86_400.0),
        field("panel", Shape::Reference(&["panel"]), "Panel that feeds it.").optional(),
        kept("circuit", Shape::Text, "Its branch circuit."),
        kept("poles", Shape::Count, "Poles of the breaker of its branch circuit.").within(1.0, 3.0),
        kept("multiwire", Shape::YesNo, "Shares its neutral with a circuit on the other leg."),
    ],
    shelf: Some("load"),
};
