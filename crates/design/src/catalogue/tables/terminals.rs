//! Terminals of equipment, as the data sheet or the label inside the door gives them.

use super::{Field, Kind, Shape, field, quantity_of, sheet};

/// Sizes, metals, strands, temperature and torque; a conductor that a terminal does not take comes loose and burns.
pub(super) const TERMINALS: Field =
    sheet("terminals", Shape::Records(TERMINAL), "What its terminals take, by their use.");

const TERMINAL: &[Field] = &[
    field(
        "serves",
        Shape::Choice(&["everything", "modules", "battery", "input", "output"]),
        "Which of its terminals: those of its modules or its battery units, or its input or output of other current.",
    )
    .assume("everything", "no use was named", "which conductors are held against them"),
    sheet("smallest", Shape::Gauge, "Smallest conductor they take."),
    sheet("largest", Shape::Gauge, "Largest conductor they take."),
    sheet("material", Shape::Choice(&["copper", "aluminum", "both"]), "Metals they are marked for."),
    sheet(
        "strands",
        Shape::Choice(&["building wire", "fine", "any"]),
        "Stranding they are identified for: that of building wire, fine strands alone, or any.",
    ),
    sheet("temperature", Shape::Choice(&["60 °C", "75 °C", "90 °C"]), "Temperature they are marked for."),
    sheet("torque", quantity_of(Kind::Torque), "Torque marked on them.").within(0.05, 200.0),
    field("conductors", Shape::Count, "Conductors one of them is identified for.")
        .within(1.0, 12.0)
        .assume("1", "a terminal takes one unless it is identified for more", "conductors in parallel"),
];
