//! What may be bought or built in more than one way.

use super::{Form, Shape, Table, field};

pub(super) const CHOICE: Table = Table {
    key: "choice",
    form: Form::List,
    doc: "One thing that may be bought or built in several ways. Every combination of all choices is a system that \
          question 4 tries; without any, the numbers of batteries and of modules in each string are tried.",
    question: 4,
    fields: &[
        field(
            "sets",
            Shape::Texts,
            "The fields it decides, by their paths, such as \"bank.rack.parallel\"; several get the same value.",
        )
        .optional(),
        field("from", Shape::Count, "The least number tried.").within(1.0, 1000.0).optional(),
        field("to", Shape::Count, "The greatest number tried.").within(1.0, 1000.0).optional(),
        field("step", Shape::Count, "From one number to the next.").within(1.0, 1000.0).assume(
            "1",
            "every number was meant",
            "how many systems are tried",
        ),
        field(
            "among",
            Shape::Texts,
            "The values tried, as they would be written, in place of numbers: parts by name, tilts.",
        )
        .optional(),
        field(
            "may_leave_out",
            Shape::Texts,
            "Things that may be left out, all or none of them, by their paths, such as \"string.south row\"; \
             lists and runs that name them follow.",
        )
        .optional(),
    ],
    shelf: None,
};
