//! Data sheets of modules as curves.

use super::{left, right, row, toned};
use crate::say::{NOT_KNOWN, Reader, fixed, words};
use crate::table::{Table, Tone};
use quantity::{Measure, PerKelvin, units};
use study::{Study, Unanswered};

/// How far each kind of module's curve is from its data sheet, and what the curve says of heat beside what the sheet states.
pub fn module_curves(study: &Study) -> Table {
    let reader = Reader::of(study);
    let per_kelvin = |value: PerKelvin| words(fixed(units::PERCENT_PER_KELVIN.of_si(value.si()), 3));
    let mut held = Vec::new();
    let rows = study
        .modules
        .iter()
        .map(|module| {
            let name = |what: &'static str| ["modules", &module.name, what];
            let curve = match &module.curve {
                Ok(curve) => curve,
                Err(why) => {
                    let says = match why {
                        Unanswered::Refused { because, .. } => toned(words(because.clone()), Tone::Danger),
                        _ => words("not all of its data sheet is known"),
                    };
                    let mut cells = vec![words(module.name.to_string()), says];
                    cells.resize_with(9, || words(""));
                    return row(cells);
                }
            };
            if let Some(says) = curve.held {
                held.push(format!("Of {}, {says}: that resistance is left out.", module.name));
            }
            let rate = &units::PERCENT_PER_KELVIN;
            row(vec![
                words(module.name.to_string()),
                reader.number(&curve.apart, &units::PERCENT, 3, &name("apart")),
                per_kelvin(curve.voltage_stated),
                reader.number(&curve.voltage_change, rate, 3, &name("voltage-change")),
                curve.power_stated.map_or_else(|| words(NOT_KNOWN), per_kelvin),
                reader.number(&curve.power_change, rate, 3, &name("power-change")),
                reader.number(&curve.series, &units::OHM, 3, &name("series-resistance")),
                match &curve.shunt {
                    Some(shunt) => reader.number(shunt, &units::OHM, 0, &name("shunt-resistance")),
                    None => words("none"),
                },
                reader.number(&curve.ideality, &units::NUMBER, 2, &name("ideality")),
            ])
        })
        .collect();
    let mut note = "One curve is laid through open circuit, short circuit and maximum power of the sheet, with its change of voltage by \
                    heat (De Soto, Klein and Beckman 2006, from memory). What it then says of power in heat is held against the \
                    sheet: up to 0.15 %/K apart is rounding and sample, more is refused. An ideality of 0.75 to 2 is silicon's."
        .to_string();
    for says in held {
        note = format!("{note} {says}");
    }
    Table {
        id: "module-curves".into(),
        caption: "Data sheets of the modules as curves".into(),
        columns: vec![
            left("module"),
            right("curve and sheet apart", "%"),
            right("voltage by heat, sheet", "%/K"),
            right("by the curve", "%/K"),
            right("power by heat, sheet", "%/K"),
            right("by the curve", "%/K"),
            right("in series", "Ω"),
            right("across", "Ω"),
            right("ideality", ""),
        ],
        rows,
        note,
    }
}
