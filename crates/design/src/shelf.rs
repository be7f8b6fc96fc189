//! The shelf of typical parts, read by the same reader as a design.

use crate::catalogue::{Shape, TABLES};
use crate::read::{Item, read};
use std::fmt::Write as _;
use std::sync::OnceLock;

/// The shelf as a design text; its header makes it readable on its own.
pub fn shelf_text() -> String {
    let mut text = String::from("wattwright = 1\ntitle = \"shelf\"\ncurrency = \"USD\"\n");
    for part in tables::shelf::parts() {
        let _ = writeln!(text, "\n[{}.\"{}\"]", part.table, part.name);
        for (key, value) in part.fields {
            let fields =
                TABLES.iter().find(|table| table.key == part.table).map_or(&[][..], |table| table.fields);
            let word =
                fields.iter().any(|f| f.key == *key && matches!(f.shape, Shape::Choice(_) | Shape::Text));
            let value =
                if word { format!("\"{value}\"") } else { tables::shelf::ShelfPart::toml_value(value) };
            let _ = writeln!(text, "{key} = {value}");
        }
    }
    appliances(&mut text);
    text
}

/// Household appliances of the published list, each a load with its typical power.
fn appliances(text: &mut String) {
    for row in tables::appliances() {
        let _ = write!(
            text,
            "\n[[load]]\nname = \"{}\"\nwatts = {}\nvolts = {}\n",
            row.name, row.running_w[1], row.volts
        );
        if let Some(hours) = row.hours_per_day {
            // Hours a month over 30.4 days print a hair above 24.
            let _ = writeln!(text, "hours = {}", hours.min(24.0));
        }
        // A motor beside a heater starts inside the heater's power.
        if matches!(row.motor, tables::Motor::Compressor | tables::Motor::Induction) {
            let _ = writeln!(text, "motor = \"yes\"");
        }
    }
}

/// The typical parts, understood once.
pub fn shelf() -> &'static [Item] {
    static SHELF: OnceLock<Vec<Item>> = OnceLock::new();
    SHELF.get_or_init(|| read(&shelf_text(), TABLES).items)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::What;

    #[test]
    fn every_typical_part_is_understood_without_a_problem() {
        let problems: Vec<_> = read(&shelf_text(), TABLES)
            .problems
            .into_iter()
            // A typical part leaves out what a danger depends on, and the shelf is no house.
            .filter(|problem| problem.what != What::Missing)
            .collect();
        assert!(problems.is_empty(), "{problems:#?}");
    }
}
