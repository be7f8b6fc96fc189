//! Every number and every size of the schedules can be asked where it comes from, and so can the machine form.
#![allow(missing_docs, clippy::unwrap_used)]

use design::Design;
use output::say::Reader;
use output::table::{Align, Cell, Column};
use quantity::{FigureName, Value, units};
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

const DESIGNS: [&str; 5] = ["hollow-farm", "pine-cabin", "harbour-house", "orchard-row", "wrong-turns"];

fn study(name: &str) -> Study {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("../../designs/{name}/{name}.toml"));
    let text = std::fs::read_to_string(path).unwrap();
    Study::of(Arc::new(Design::of_text(&text)), None, Depth::WithoutYear, &mut Memo::default())
}

/// Columns of sizes and ratings that are laid out as words.
const SIZES: [&str; 6] = ["conductor", "ground", "trade size", "torque", "at least", "open the device of"];

/// Whether a cell shows a value of its own: not the number of a line, a word, a blank or what is not known.
fn shows_a_value(table: &str, column: &Column, cell: &Cell) -> bool {
    let counts_lines = ["part", "step", "id"].contains(&column.head.as_str());
    // The lock-out map calls a circuit a conductor.
    let counts_lines = counts_lines || (table, column.head.as_str()) == ("lock-out", "conductor");
    let of_values = column.align == Align::Right || SIZES.contains(&column.head.as_str());
    of_values && !counts_lines && cell.text.chars().any(|c| c.is_ascii_digit())
}

/// The tables are what the terminal, the book, the page and the comma-separated form print.
#[test]
fn every_value_of_every_wiring_table_answers_why() {
    for name in DESIGNS {
        let study = study(name);
        let reader = Reader::of(&study);
        let (mut asked, mut silent) = (0, Vec::new());
        for table in output::sheets_wiring::tables(&study) {
            for row in &table.rows {
                assert_eq!(row.cells.len(), table.columns.len(), "{name}, {}", table.id);
                for (column, cell) in table.columns.iter().zip(&row.cells) {
                    let place = format!(
                        "{name}, {}, {}: {} of {:?}",
                        table.id, column.head, cell.text, row.cells[1].text
                    );
                    let Some(figure) = &cell.figure else {
                        if shows_a_value(&table.id, column, cell) {
                            silent.push(place);
                        }
                        continue;
                    };
                    let figure = study.figures.get(figure).unwrap_or_else(|| panic!("{place}: no {figure}"));
                    let chain = output::why::why(figure, &study.design, &reader);
                    assert!(chain.len() > 1, "{place}: {chain:?}");
                    asked += 1;
                }
            }
        }
        assert!(silent.is_empty(), "{silent:#?}");
        assert!(asked > 60, "{name}: only {asked} cells were asked");
    }
}

/// What the machine form calls a circuit's value, and the figure with its unit.
const OF_A_CIRCUIT: [(&str, &str, &quantity::Unit); 10] = [
    ("maximum_a", "maximum-current", &units::AMPERE),
    ("continuous_a", "continuous-current", &units::AMPERE),
    ("operating_a", "operating-current", &units::AMPERE),
    ("highest_v", "highest-voltage", &units::VOLT),
    ("device_a", "device", &units::AMPERE),
    ("least_device_a", "least-device", &units::AMPERE),
    ("available_fault_a", "available-fault", &units::AMPERE),
    ("length_m", "length", &units::METER),
    ("drop_v", "drop", &units::VOLT),
    ("drop_pct", "drop-share", &units::PERCENT),
];

#[test]
fn the_machine_form_says_what_the_figures_say() {
    for name in DESIGNS {
        let study = study(name);
        let wire = output::json::wire(&study);
        let same = |place: String, said: &serde_json::Value, figure: &[&str], unit: &quantity::Unit| {
            let Some(said) = said.as_f64() else { return };
            let found = study.figures.get(&FigureName::new(figure));
            let found = found.unwrap_or_else(|| panic!("{place}: no {figure:?}"));
            let Value::Number { si, .. } = found.value else { panic!("{place}: {:?}", found.value) };
            // The machine form is rounded to nine digits.
            assert!((unit.of_si(si) - said).abs() <= 1e-8 * said.abs(), "{place}: {said} and {si}");
        };
        for circuit in wire["circuits"].as_array().unwrap() {
            let own = circuit["name"].as_str().unwrap();
            for (key, what, unit) in OF_A_CIRCUIT {
                same(format!("{name}, {own}, {key}"), &circuit[key], &["circuits", own, what], unit);
            }
            for (key, what) in [("conductor", "conductor"), ("ground", "ground")] {
                let Some(said) = circuit[key].as_str() else { continue };
                let figure = &study.figures[&FigureName::new(&["circuits", own, what])];
                let Value::Gauge(gauge) = &figure.value else { panic!("{own}: {:?}", figure.value) };
                assert_eq!(gauge.to_string(), said, "{name}, {own}, {key}");
            }
        }
        for raceway in wire["raceways"].as_array().unwrap() {
            let (run, part) = (raceway["run"].as_str().unwrap(), raceway["part"].to_string());
            for (key, what, unit) in
                [("fill_pct", "fill", &units::PERCENT), ("length_m", "length", &units::METER)]
            {
                same(
                    format!("{name}, {run} {part}, {key}"),
                    &raceway[key],
                    &["raceways", run, &part, what],
                    unit,
                );
            }
        }
    }
}
