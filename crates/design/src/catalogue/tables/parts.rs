//! Parts: numbers from the data sheets in the owner's hand, or typical ones from the shelf.

use super::terminals::TERMINALS;
use super::{Field, Form, Kind, Shape, Table, field, kept, maker, quantity_of, sheet};

const LIKE: Field = field(
    "like",
    Shape::Text,
    "A typical part of the shelf that answers what you leave out, until you have a data sheet.",
)
.optional();
const PRICE: Field =
    field("price", Shape::Money, "Price of one.").within(0.0, 1e7).ask(quantity::WhoKnows::SupplyHouse);
const LASTS_BY_LABEL: Field = field(
    "lasts",
    quantity_of(Kind::Time),
    "Until it is bought again; left out, the ageing of its cells says it, where there is a published law for them.",
)
.within(31_536_000.0, 100.0 * 31_536_000.0)
.optional();
const WEIGHT: Field = sheet("weight", quantity_of(Kind::Mass), "Mass of one.").within(0.05, 3000.0);
const LISTED: Field = field(
    "listed",
    Shape::Text,
    "Standard on the listing mark of its label, such as \"UL 1741\", or \"none\". Unknown blocks the purchase, not the planning.",
)
.ask(quantity::WhoKnows::SupplyHouse);
const ENCLOSURE: Field = kept("enclosure", Shape::Text, "Enclosure rating.");
const CLEARANCE: Field = kept(
    "clearance",
    Shape::Record(&[
        kept("above", quantity_of(Kind::Length), "Free space above."),
        kept("below", quantity_of(Kind::Length), "Free space below."),
        kept("sides", quantity_of(Kind::Length), "Free space at the sides."),
        kept("front", quantity_of(Kind::Length), "Free space in front."),
    ]),
    "Free space the maker asks for.",
);

const PV_SWITCH: Field = field(
    "pv_switch",
    Shape::YesNo,
    "Is a switch built in that breaks the module inputs under load, is turned by hand and can be locked?",
)
.optional()
.ask(quantity::WhoKnows::DataSheet);
const DISCHARGES: Field = field(
    "discharges_within",
    quantity_of(Kind::Time),
    "Time on its label after which its capacitors are down to a harmless voltage.",
)
.within(0.0, 86_400.0)
.optional()
.ask(quantity::WhoKnows::Maker);

const GROUND_FAULTS: Field = field(
    "ground_fault_protection",
    Shape::YesNo,
    "Does it watch its modules for current to ground, part them and say so?",
)
.optional()
.ask(quantity::WhoKnows::DataSheet);
pub(super) const ARCS: Field = field(
    "arc_fault_protection",
    Shape::YesNo,
    "Does it listen for arcs in the module circuits and stop them (listed for that)?",
)
.optional()
.ask(quantity::WhoKnows::DataSheet);
const SURGES: Field =
    field("surge_protection", Shape::YesNo, "Are surge protective devices built in at its module inputs?")
        .optional()
        .ask(quantity::WhoKnows::DataSheet);

const ENDS_SHORT: Field = field(
    "ends_short",
    Shape::YesNo,
    "Does it switch itself off on a short at its output, by electronics or a breaker of its own? An inverter seldom feeds enough to trip a breaker.",
)
.optional()
.ask(quantity::WhoKnows::Maker);

const SIZE: &[Field] = &[
    sheet("length", quantity_of(Kind::Length), "Long side.").within(0.05, 4.0),
    sheet("width", quantity_of(Kind::Length), "Short side.").within(0.05, 4.0),
    kept("thickness", quantity_of(Kind::Length), "Thickness of the frame."),
];

pub(super) const MODULE: Table = Table {
    key: "module",
    form: Form::Named,
    doc: "A solar module by its data sheet, at 1000 W/m² and a 25 °C cell.",
    question: 6,
    fields: &[
        LIKE,
        sheet("power", quantity_of(Kind::Power), "Rated power.").within(1.0, 1000.0),
        sheet("voc", quantity_of(Kind::Voltage), "Open-circuit voltage.").within(1.0, 400.0),
        sheet("isc", quantity_of(Kind::Current), "Short-circuit current.").within(0.1, 40.0),
        sheet("vmp", quantity_of(Kind::Voltage), "Voltage at maximum power.").within(1.0, 400.0),
        sheet("imp", quantity_of(Kind::Current), "Current at maximum power.").within(0.1, 40.0),
        sheet(
            "voc_per_kelvin",
            Shape::OneOf(&[Kind::PerKelvin, Kind::VoltsPerKelvin]),
            "Change of the open-circuit voltage, negative.",
        )
        .within(-1.0, 0.0),
        field(
            "vmp_per_kelvin",
            Shape::OneOf(&[Kind::PerKelvin, Kind::VoltsPerKelvin]),
            "Change of the voltage at maximum power, where the sheet gives one.",
        )
        .optional()
        .within(-1.0, 0.0),
        sheet("pmax_per_kelvin", quantity_of(Kind::PerKelvin), "Change of power, negative.")
            .within(-0.02, 0.0),
        sheet(
            "isc_per_kelvin",
            Shape::OneOf(&[Kind::PerKelvin, Kind::AmperesPerKelvin]),
            "Change of the short-circuit current, positive.",
        )
        .within(-0.01, 0.05),
        sheet(
            "cells",
            Shape::Record(&[
                sheet("in_series", Shape::Count, "Cells one after the other.").within(1.0, 300.0),
                field("in_parallel", Shape::Count, "Strings of cells side by side (2 for half cells).")
                    .assume("1", "cells in one string were meant", "nothing but the drawing")
                    .within(1.0, 12.0),
                sheet("bypass_diodes", Shape::Count, "Bypass diodes.").within(0.0, 30.0),
            ]),
            "How its cells are wired.",
        ),
        sheet("series_fuse", quantity_of(Kind::Current), "Maximum series fuse rating on the label.")
            .within(1.0, 100.0),
        sheet("system_voltage", quantity_of(Kind::Voltage), "Maximum system voltage on the label.")
            .within(50.0, 3000.0),
        sheet("size", Shape::Record(SIZE), "Outer size."),
        WEIGHT,
        field("loss_per_year", quantity_of(Kind::Ratio), "Power it loses in each year of age.")
            .assume(
                "0.5 %",
                "the median of many systems; Jordan and Kurtz, Progress in Photovoltaics 21 (2013) 12-29, from memory",
                "energy of strings that are years old",
            )
            .within(0.0, 0.1),
        field("noct", quantity_of(Kind::Temperature), "Nominal operating cell temperature.")
            .assume("45 °C", "data sheets give 43 to 47 °C", "cell temperature where no mounting is known")
            .within(300.0, 340.0),
        PRICE,
        LISTED,
        kept("connector", Shape::Text, "Make-independent type of its connector."),
        field(
            "bifaciality",
            quantity_of(Kind::Ratio),
            "Rear side over front side; left out, the back gives nothing.",
        )
        .optional()
        .within(0.0, 1.0),
        kept("fire_type", Shape::Text, "Fire type on the label."),
    ],
    shelf: Some("module"),
};

const PV_INPUT: &[Field] = &[
    sheet("voltage_limit", quantity_of(Kind::Voltage), "Voltage that must never be exceeded.")
        .within(10.0, 2000.0),
    sheet("tracks", Shape::Range(Kind::Voltage), "Voltages between which it tracks maximum power.")
        .within(1.0, 2000.0),
    sheet("current", quantity_of(Kind::Current), "Highest current it uses.").within(0.5, 500.0),
    sheet("short_circuit", quantity_of(Kind::Current), "Highest short-circuit current it withstands.")
        .within(0.5, 500.0),
    field("power", quantity_of(Kind::Power), "Highest power it takes.").within(0.0, 1e6).optional(),
    maker(
        "back_feed",
        quantity_of(Kind::Current),
        "Current it can feed back into a faulted string; unknown counts as can.",
    )
    .within(0.0, 1000.0),
];

const IN_HEAT: &[Field] = &[
    field("full_up_to", quantity_of(Kind::Temperature), "Air temperature up to which it gives full output.")
        .needed()
        .within(250.0, 373.0),
    field("loses", quantity_of(Kind::PerKelvin), "Share of its output it loses above, such as \"-2 %/K\".")
        .needed()
        .within(-0.5, 0.0),
];

pub(super) const INVERTER: Table = Table {
    key: "inverter",
    form: Form::Named,
    doc: "An inverter, with its charger and module inputs where it has them.",
    question: 6,
    fields: &[
        LIKE,
        sheet("output", quantity_of(Kind::Power), "Continuous output.").within(50.0, 100_000.0),
        field(
            "output_va",
            quantity_of(Kind::ApparentPower),
            "Continuous output in volt-amperes, where given apart.",
        )
        .within(50.0, 200_000.0)
        .optional(),
        sheet("volts", Shape::Choice(&["120", "120/240", "230"]), "Output of one unit."),
        sheet(
            "surge",
            Shape::Record(&[
                sheet("power", quantity_of(Kind::ApparentPower), "Short overload it carries.")
                    .within(0.0, 1e6),
                sheet("lasts", quantity_of(Kind::Time), "For how long.").within(0.0, 86_400.0),
            ]),
            "Short overload.",
        ),
        sheet(
            "efficiency",
            Shape::Curve,
            "Efficiency from battery to AC at shares of rated output, its idle draw among the losses.",
        ),
        field(
            "peak_efficiency",
            quantity_of(Kind::Ratio),
            "Highest efficiency from battery to AC that the data sheet states; between the shares of `efficiency` no year \
             reckons with more.",
        )
        .within(0.3, 1.0)
        .optional(),
        field("charge_efficiency", quantity_of(Kind::Ratio), "Efficiency from AC to battery.")
            .assume(
                "92 %",
                "chargers of this kind give 90 to 94 %; from memory",
                "energy from utility or generator",
            )
            .within(0.3, 1.0),
        field("pv_efficiency", quantity_of(Kind::Ratio), "Efficiency from module input to battery.")
            .assume("97 %", "trackers give 96 to 98 %; from memory", "every kilowatt-hour from the sun")
            .within(0.3, 1.0),
        field(
            "pv_to_battery",
            Shape::Curve,
            "Efficiency from module input to battery at shares of rated output; takes the place of `pv_efficiency`. Where every \
             loss is at least the idle draw, that is taken as part of it and counted once.",
        )
        .optional(),
        field(
            "ac_to_battery",
            Shape::Curve,
            "Efficiency from AC to battery at shares of rated output; takes the place of `charge_efficiency`. The idle draw is \
             counted once, as for `pv_to_battery`.",
        )
        .optional(),
        field(
            "pv_to_ac",
            Shape::Curve,
            "Efficiency from modules to AC in one step at shares of rated output, for a unit that converts so.",
        )
        .optional(),
        sheet("idle", quantity_of(Kind::Power), "Draw while on without load.").within(0.0, 2000.0),
        field("in_heat", Shape::Record(IN_HEAT), "Output it gives up in a hot room.").optional(),
        sheet(
            "battery_range",
            Shape::Range(Kind::Voltage),
            "Battery voltages it works with; the lowest decides the cable.",
        )
        .within(5.0, 1000.0),
        maker(
            "neutral_bond",
            Shape::Choice(&["none", "fixed", "removable", "relay, closed when inverting"]),
            "Whether it ties neutral to ground inside, and when.",
        ),
        field(
            "parts_neutral",
            Shape::YesNo,
            "Does it part the neutral of its AC input while it makes its own supply?",
        )
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field("passes_through", quantity_of(Kind::Current), "Current it passes from AC input to output.")
            .within(0.0, 1000.0)
            .optional(),
        field("pv_input", Shape::Records(PV_INPUT), "Its inputs for modules, in order.").optional(),
        field("array_power", quantity_of(Kind::Power), "Largest array the maker allows.")
            .within(0.0, 1e6)
            .optional(),
        sheet("charge", quantity_of(Kind::Current), "Highest charge current, all sources together.")
            .within(0.0, 1000.0),
        field("charge_from_ac", quantity_of(Kind::Current), "Highest charge current from its AC input.")
            .within(0.0, 1000.0)
            .optional(),
        field("units_in_parallel", Shape::Count, "Largest number the maker allows together.").optional(),
        field("interactive", Shape::YesNo, "May it feed the utility?").assume(
            "no",
            "nothing was said of feeding the utility",
            "whether unused energy can be sold",
        ),
        field(
            "follows_frequency",
            Shape::YesNo,
            "Does it lower its output when the frequency of its supply rises? Asked of a unit without a battery beside others with one.",
        )
        .optional()
        .ask(quantity::WhoKnows::DataSheet),
        field("works_between", Shape::Range(Kind::Temperature), "Air temperatures at which it works.")
            .within(183.0, 373.0)
            .optional(),
        WEIGHT,
        PRICE,
        super::money::lasts("12 yr", "inverters last 10 to 15 years; from memory"),
        LISTED,
        CLEARANCE,
        PV_SWITCH,
        DISCHARGES,
        TERMINALS,
        ENCLOSURE,
        field(
            "stackable",
            Shape::Choice(&["no", "same phase", "split phase", "both"]),
            "How units of this part may run together: several on one leg, one on each leg, or both.",
        )
        .optional()
        .ask(quantity::WhoKnows::DataSheet),
        field("fault_current", quantity_of(Kind::Current), "Current it feeds into a short on its output.")
            .within(0.0, 10_000.0)
            .optional()
            .ask(quantity::WhoKnows::Maker),
        ENDS_SHORT,
        field(
            "voltage_gone_within",
            quantity_of(Kind::Time),
            "Time after which its output is down to 50 V or less on a short; asked under IEC 60364, where a breaker seldom sees enough.",
        )
        .within(0.0, 3600.0)
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "separated",
            Shape::YesNo,
            "Does a transformer separate its direct from its alternating side? Asked under IEC 60364, for the type of residual-current device.",
        )
        .optional()
        .ask(quantity::WhoKnows::DataSheet),
        field(
            "asks_type_b",
            Shape::YesNo,
            "Does its maker ask for a residual-current device of type B on its alternating side? Only a maker's statement lets it be another.",
        )
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "input_millifarads",
            Shape::Bare { kind: Kind::Number, factor: 1.0 },
            "Capacitance of its battery input in millifarads.",
        )
        .within(0.0, 10_000.0)
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "pre_charge",
            Shape::YesNo,
            "Does it fill its capacitors by itself, without a rush of current, when a battery is switched on to it?",
        )
        .optional()
        .ask(quantity::WhoKnows::Maker),
        kept("generator_window", Shape::Text, "Voltage and frequency it accepts from a generator."),
        GROUND_FAULTS,
        ARCS,
        SURGES,
        kept("settings", Shape::Texts, "Settings as designed."),
    ],
    shelf: Some("inverter"),
};

pub(super) const CONTROLLER: Table = Table {
    key: "controller",
    form: Form::Named,
    doc: "A charge controller between modules and battery.",
    question: 6,
    fields: &[
        LIKE,
        field("pv_input", Shape::Records(PV_INPUT), "Its inputs for modules, in order.").optional(),
        sheet("charge", quantity_of(Kind::Current), "Highest charge current into the battery.")
            .within(0.5, 1000.0),
        field("efficiency", quantity_of(Kind::Ratio), "Conversion efficiency.")
            .assume("97 %", "trackers give 96 to 98 %; from memory", "every kilowatt-hour from the sun")
            .within(0.3, 1.0),
        field("idle", quantity_of(Kind::Power), "Own draw.").within(0.0, 1000.0).assume(
            "2 W",
            "controllers draw 1 to 5 W; from memory",
            "a few kilowatt-hours a year",
        ),
        WEIGHT,
        PRICE,
        super::money::lasts("15 yr", "charge controllers last 10 to 20 years; from memory"),
        LISTED,
        PV_SWITCH,
        DISCHARGES,
        TERMINALS,
        ENCLOSURE,
        GROUND_FAULTS,
        ARCS,
        SURGES,
        kept("settings", Shape::Texts, "Settings as designed."),
    ],
    shelf: Some("controller"),
};

pub(super) const BATTERY: Table = Table {
    key: "battery",
    form: Form::Named,
    doc: "A battery unit by its data sheet.",
    question: 6,
    fields: &[
        LIKE,
        sheet("chemistry", Shape::Choice(&["lfp", "lead-acid"]), "Lithium iron phosphate or lead-acid."),
        sheet("nominal", quantity_of(Kind::Voltage), "Nominal voltage.").within(1.0, 1000.0),
        sheet("capacity", quantity_of(Kind::Charge), "Rated capacity (lead-acid: at the 20 h rate).")
            .within(3600.0, 36e6),
        sheet(
            "current",
            Shape::Record(&[
                sheet("charge", quantity_of(Kind::Current), "Continuous charge current.")
                    .within(0.0, 10_000.0),
                sheet("discharge", quantity_of(Kind::Current), "Continuous discharge current.")
                    .within(0.0, 10_000.0),
                sheet("peak", quantity_of(Kind::Current), "Peak discharge current.").within(0.0, 10_000.0),
                kept("peak_lasts", quantity_of(Kind::Time), "For how long.").within(0.0, 86_400.0),
            ]),
            "Currents of one unit.",
        ),
        sheet("cut_off", quantity_of(Kind::Voltage), "Voltage at which it, or its electronics, cuts off.")
            .within(0.5, 1000.0),
        sheet("charge_voltage", quantity_of(Kind::Voltage), "Highest charging voltage.").within(1.0, 1500.0),
        field("usable", Shape::Range(Kind::Ratio), "State of charge used from day to day.")
            .within(0.0, 1.0)
            .optional(),
        sheet(
            "charge_above",
            quantity_of(Kind::Temperature),
            "Coldest cell temperature at which it may be charged.",
        )
        .within(200.0, 330.0),
        field(
            "full_charge_from",
            quantity_of(Kind::Temperature),
            "Cell temperature from which it takes its full charge current, where the maker asks for less in the cold.",
        )
        .within(200.0, 330.0)
        .optional(),
        sheet(
            "low_temperature_cut_off",
            Shape::YesNo,
            "Does it refuse charging below that temperature by itself?",
        ),
        maker("short_circuit", quantity_of(Kind::Current), "Current into a dead short at its terminals.")
            .within(0.0, 1e6),
        field("units_in_parallel", Shape::Count, "Largest number the maker allows together.").optional(),
        field("round_trip", quantity_of(Kind::Ratio), "Energy out over energy in.")
            .within(0.1, 1.0)
            .optional(),
        field("standby", quantity_of(Kind::Power), "Draw of its own electronics.")
            .within(0.0, 1000.0)
            .optional(),
        field("self_discharge", quantity_of(Kind::Ratio), "Loss a month at rest.")
            .within(0.0, 1.0)
            .optional(),
        field("electronic_switch", Shape::YesNo, "Do transistors, not contacts, switch its current?")
            .optional(),
        WEIGHT,
        PRICE,
        LASTS_BY_LABEL,
        LISTED,
        field(
            "breaker",
            Shape::YesNo,
            "Is a breaker built in that breaks its whole current, is opened by hand and can be locked?",
        )
        .optional()
        .ask(quantity::WhoKnows::DataSheet),
        TERMINALS,
        field(
            "close_together",
            Shape::YesNo,
            "Does the fire test of its listing let units stand closer together than 3 ft?",
        )
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "pre_charge",
            Shape::YesNo,
            "Does it fill the capacitors of the inverter through a resistor of its own before it switches on?",
        )
        .optional()
        .ask(quantity::WhoKnows::Maker),
        kept("settings", Shape::Texts, "Settings as designed."),
    ],
    shelf: Some("battery"),
};

pub(super) const GENERATOR: Table = Table {
    key: "generator",
    form: Form::Named,
    doc: "An engine generator by its data sheet.",
    question: 6,
    fields: &[
        LIKE,
        sheet("output", quantity_of(Kind::Power), "Continuous power at sea level.").within(100.0, 100_000.0),
        sheet("volts", Shape::Choice(&["120", "120/240", "230"]), "Volts of its output."),
        maker(
            "neutral_bond",
            Shape::Choice(&["none", "fixed", "removable"]),
            "Whether it ties neutral to its frame, and whether that can be lifted.",
        ),
        field("altitude_loss", quantity_of(Kind::Ratio), "Power lost per 1000 m above the sea.")
            .within(0.0, 1.0)
            .assume("11 %", "3.5 % per 1000 ft is usual; from memory", "generator hours"),
        field("litres_per_kwh", Shape::Bare { kind: Kind::Number, factor: 1.0 }, "Fuel.")
            .within(0.0, 5.0)
            .assume("0.5", "small sets burn 0.4 to 0.6 litres per kWh; from memory", "fuel"),
        field("automatic", Shape::YesNo, "Does it start without a person?").assume(
            "no",
            "small sets are started by hand",
            "how long the house waits",
        ),
        field("start_below", quantity_of(Kind::Ratio), "State of charge at which it is started.")
            .within(0.0, 1.0)
            .assume("30 %", "no threshold was named", "generator hours"),
        field("stop_above", quantity_of(Kind::Ratio), "State of charge at which it is stopped.")
            .within(0.0, 1.0)
            .assume("80 %", "charging slows down above", "generator hours"),
        field("shortest_run", quantity_of(Kind::Time), "Shortest run once started.")
            .within(0.0, 86_400.0)
            .assume("1 h", "an engine should get warm", "number of starts"),
        field(
            "output_va",
            quantity_of(Kind::ApparentPower),
            "Continuous output in volt-amperes, where the plate gives it apart from its watts.",
        )
        .within(100.0, 200_000.0)
        .optional(),
        field(
            "fault_current",
            quantity_of(Kind::Current),
            "Current it feeds into a short at its terminals in the first cycles.",
        )
        .within(0.0, 100_000.0)
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "subtransient_reactance",
            quantity_of(Kind::Ratio),
            "Subtransient reactance of its windings as a share of its rating, from which that current follows where it is not stated.",
        )
        .within(0.01, 1.0)
        .optional()
        .ask(quantity::WhoKnows::Maker),
        field(
            "lasting_fault",
            quantity_of(Kind::Current),
            "Current it keeps feeding into a short; small sets lose their excitation and feed little.",
        )
        .within(0.0, 100_000.0)
        .optional()
        .ask(quantity::WhoKnows::Maker),
        ENDS_SHORT,
        WEIGHT,
        PRICE,
        field("runs_for", Shape::Bare { kind: Kind::Time, factor: 3600.0 }, "Hours of running until it is bought again.")
            .within(3600.0, 200_000.0 * 3600.0)
            .assume("2000", "small air-cooled sets run 1000 to 3000 hours; from memory", "what is bought again over the years"),
        LISTED,
        TERMINALS,
        kept("waveform", Shape::Text, "How clean its output is."),
    ],
    shelf: Some("generator"),
};
