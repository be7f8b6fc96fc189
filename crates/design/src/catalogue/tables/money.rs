//! What the system costs to own: prices of energy, upkeep, what is bought again, and the years looked at.

use super::{Field, Form, Kind, Shape, Table, WhoKnows, field, quantity_of};

/// Dearest energy that is believed, currency units per joule.
const DEAREST: f64 = 100.0 / 3.6e6;

/// Price of energy bought.
pub(super) const PRICE: Field = field(
    "price",
    Shape::Price(Kind::MoneyPerEnergy),
    "Price of its energy, with what the bill adds to each unit; where tiers are stated, above the last of them.",
)
.within(0.0, DEAREST)
.ask(WhoKnows::Utility)
.optional();

/// Price of energy fed in.
pub(super) const EXPORT_PRICE: Field = field(
    "export_price",
    Shape::Price(Kind::MoneyPerEnergy),
    "Price it pays for energy fed in; \"0 USD/kWh\" where it pays nothing.",
)
.within(0.0, DEAREST)
.ask(WhoKnows::Utility)
.optional();

/// Prices that change with the energy of the month.
pub(super) const TIERS: Field = field(
    "tiers",
    Shape::Records(&[
        field("up_to", quantity_of(Kind::Energy), "The tier ends at this much of a month's energy.")
            .within(0.0, 3.6e11)
            .needed(),
        field("price", Shape::Price(Kind::MoneyPerEnergy), "Price of the energy within it.")
            .within(0.0, DEAREST)
            .ask(WhoKnows::Utility)
            .needed(),
    ]),
    "Where the first kilowatt-hours of a month have another price: the tiers in rising order. Netted energy is counted after netting.",
)
.optional();

/// What stands on a bill of the utility besides its energy, and how energy fed in is counted.
pub(super) const MONTHLY: Field = field(
    "monthly",
    Shape::Money,
    "What stands on each monthly bill whatever is used; 0 where nothing does.",
)
.within(0.0, 1e5)
.ask(WhoKnows::Utility)
.optional();
pub(super) const LEAST_BILL: Field =
    field("least_bill", Shape::Money, "No monthly bill is below this; left out, there is no such limit.")
        .within(0.0, 1e5)
        .ask(WhoKnows::Utility)
        .optional();
pub(super) const FED_IN: Field = field(
    "fed_in",
    Shape::Choice(&["paid", "netted"]),
    "Whether energy fed in is paid at its own price, or set against energy bought at the same rate and carried on through the year.",
)
.assume("paid", "most utilities meter both ways and pay their own price", "what energy fed in is worth");
pub(super) const LEFT_OVER: Field = field(
    "left_over",
    Shape::Choice(&["lapses", "paid"]),
    "What becomes of credit that is still unused when the year ends; netted energy that is left is paid at the export price.",
)
.assume("lapses", "the utility has not said that it pays it", "the bill of a year with much sun");
pub(super) const CONNECTION: Field = field(
    "connection",
    Shape::Money,
    "What it would cost to have the line brought to the house, where it is not there; 0 where it is.",
)
.within(0.0, 1e9)
.ask(WhoKnows::Utility)
.optional();

/// Price of fuel at a generator.
pub(super) const FUEL_PRICE: Field =
    field("fuel_price", Shape::Price(Kind::MoneyPerVolume), "Price of its fuel, brought to the house.")
        .within(0.0, 100e3)
        .optional();

/// How long a part lasts.
pub(super) const fn lasts(value: &'static str, because: &'static str) -> Field {
    field("lasts", quantity_of(Kind::Time), "Until it is bought again.")
        .within(31_536_000.0, 100.0 * 31_536_000.0)
        .assume(value, because, "what is bought again over the years")
}

const WORK: &[Field] = &[
    field("what", Shape::Text, "What it is, such as \"washing the modules\".").needed(),
    field("price", Shape::Money, "What it costs each time.").within(0.0, 1e9).needed(),
    field("first", Shape::Count, "At the end of which year it is due first; left out, as often as `every`.")
        .within(1.0, 60.0)
        .optional(),
    field("every", Shape::Count, "How many years then lie between; left out, it is due once.")
        .within(1.0, 60.0)
        .optional(),
];

const INCENTIVE: &[Field] =
    &[
        field("amount", Shape::Money, "What comes back.").within(0.0, 1e9).needed(),
        field("year", Shape::Count, "At the end of which year; 0 with the purchase.")
            .within(0.0, 60.0)
            .assume("1", "it comes with the first tax return or claim", "what it is worth today"),
    ];

pub(super) const MONEY: Table = Table {
    key: "money",
    form: Form::One,
    doc: "What is needed to say what the system costs over its years, beside the prices that stand with utility, generator and parts. \
          All prices are those of today; rates of rise count above the general rise of prices.",
    question: 8,
    fields: &[
        field("years", Shape::Count, "Years looked at.")
            .within(1.0, 60.0)
            .assume("25", "as long as most makers of modules warrant their power; common practice", "every sum over the years"),
        field(
            "discount",
            quantity_of(Kind::Ratio),
            "What money put elsewhere would bring a year, above the general rise of prices.",
        )
        .within(-0.05, 0.5)
        .assume(
            "3 %",
            "the lowest real rate that 10 CFR 436 allows for energy projects of US federal buildings; from memory",
            "what later years are worth today",
        ),
        field(
            "interest",
            quantity_of(Kind::Ratio),
            "Instead of the discount, with inflation: the rate as a bank states it.",
        )
        .within(-0.05, 1.0)
        .optional(),
        field("inflation", quantity_of(Kind::Ratio), "The general rise of prices that belongs to it.")
            .within(-0.05, 1.0)
            .optional(),
        field("utility_rises", quantity_of(Kind::Ratio), "How much faster the utility's prices rise than others, a year.")
            .within(-0.2, 0.5)
            .assume("0 %", "nobody knows", "bills of later years"),
        field("fuel_rises", quantity_of(Kind::Ratio), "How much faster the price of fuel rises than others, a year.")
            .within(-0.2, 0.5)
            .assume("0 %", "nobody knows", "fuel of later years"),
        field(
            "parts_rise",
            quantity_of(Kind::Ratio),
            "How much faster prices of batteries and inverters rise than others, a year; below zero where they get cheaper.",
        )
        .within(-0.2, 0.5)
        .assume("0 %", "nobody knows", "what is bought again"),
        field(
            "upkeep",
            Shape::Money,
            "What the system costs a year apart from fuel and bills: washing, inspection, insurance; 0 for nothing.",
        )
        .within(0.0, 1e7)
        .optional(),
        field("works", Shape::Records(WORK), "Upkeep that does not come every year.").optional(),
        field(
            "set_aside",
            Shape::Money,
            "Money set aside for what the purchase list has no price for: fees, tools, hired work, lines without one; racks where no plane states their price.",
        )
        .within(0.0, 1e9)
        .optional(),
        field(
            "cheapest_by",
            Shape::Choice(&["purchase", "all years"]),
            "Which cost the search for what to build makes least: that of the purchase list, or all costs of the years in today's money.",
        )
        .assume("purchase", "it is what has to be paid first", "which system is called the cheapest"),
        field(
            "incentive",
            Shape::Record(INCENTIVE),
            "What an office or the utility gives back, once it has said so; none is assumed.",
        )
        .optional(),
    ],
    shelf: None,
};
