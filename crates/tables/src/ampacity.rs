//! Ampacity of insulated conductors, NEC Table 310.16.

use crate::{TableError, file, sheet};
use quantity::{Current, Gauge, Material, Measure, Standing, TableRow, Traced, nec};
use std::fmt;
use std::sync::OnceLock;

/// A temperature column: the rating of insulation or of a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TerminalColumn {
    /// 60 °C.
    C60,
    /// 75 °C.
    C75,
    /// 90 °C.
    C90,
}

impl TerminalColumn {
    /// All columns, coolest first.
    pub const ALL: [TerminalColumn; 3] = [TerminalColumn::C60, TerminalColumn::C75, TerminalColumn::C90];

    /// Degrees Celsius.
    pub fn celsius(self) -> f64 {
        match self {
            TerminalColumn::C60 => 60.0,
            TerminalColumn::C75 => 75.0,
            TerminalColumn::C90 => 90.0,
        }
    }

    /// "75 °C column".
    pub fn in_words(self) -> &'static str {
        match self {
            TerminalColumn::C60 => "60 °C column",
            TerminalColumn::C75 => "75 °C column",
            TerminalColumn::C90 => "90 °C column",
        }
    }
}

impl fmt::Display for TerminalColumn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.in_words())
    }
}

/// Table ampacity of a conductor, before ambient correction and bundling.
///
/// - `size`: 18 AWG to 1000 kcmil copper, 12 AWG to 1000 kcmil aluminum; metric sizes have no row.
/// - 18 and 16 AWG have a value in the 90 °C column only.
///
/// Basis of the table: at most three current-carrying conductors, 30 °C ambient. Source: NEC 2023 Table 310.16.
///
/// # Errors
/// [`TableError::NoSuchSize`] or [`TableError::BlankCell`].
pub fn ampacity(
    size: Gauge,
    material: Material,
    column: TerminalColumn,
) -> Result<Traced<Current>, TableError> {
    let Some(row) = table().iter().find(|row| row.size == size && row.material == material) else {
        return Err(no_such_size(size, material));
    };
    let named = format!("{size} {}", material.in_words());
    match row.amps[column as usize] {
        Some(amps) => {
            let row =
                TableRow { clause: TABLE, row: format!("{named}, {column}").into(), standing: row.standing };
            Ok(Traced::tabled(Current::from_si(amps), row))
        }
        None => Err(TableError::BlankCell { table: &TABLE, row: named, column: column.in_words() }),
    }
}

/// Sizes of a metal with a row in Table 310.16, ascending.
pub fn sizes(material: Material) -> impl DoubleEndedIterator<Item = Gauge> {
    table().iter().filter(move |row| row.material == material).map(|row| row.size)
}

const TABLE: quantity::Clause = nec("2023", "Table 310.16", Standing::SecondHand);

struct Row {
    size: Gauge,
    material: Material,
    amps: [Option<f64>; 3],
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::AMPACITY, |line| {
            Some(Row {
                size: line.size("size")?,
                material: sheet::material(line.text("material")?)?,
                amps: [line.optional("a60")?, line.optional("a75")?, line.optional("a90")?],
                standing: line.standing()?,
            })
        })
    })
}

fn no_such_size(size: Gauge, material: Material) -> TableError {
    let first = sizes(material).next().unwrap_or(size);
    let last = sizes(material).next_back().unwrap_or(size);
    TableError::NoSuchSize { table: &TABLE, size, of: material.in_words(), smallest: first, largest: last }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::Origin;

    fn amps(size: &str, material: Material, column: TerminalColumn) -> f64 {
        ampacity(Gauge::read(size).unwrap(), material, column).unwrap().si()
    }

    #[test]
    fn every_row_rises_with_size_and_with_temperature() {
        assert_eq!(table().len(), 49);
        for material in [Material::Copper, Material::Aluminum] {
            let rows: Vec<_> = table().iter().filter(|row| row.material == material).collect();
            for pair in rows.windows(2) {
                assert!(pair[0].size < pair[1].size);
                for column in TerminalColumn::ALL {
                    let [low, high] = [pair[0], pair[1]].map(|row| row.amps[column as usize]);
                    assert!(low.is_none() || low < high, "{} {column}", pair[1].size);
                }
            }
            for row in rows {
                assert!(row.amps[2].is_some());
                let known: Vec<f64> = row.amps.into_iter().flatten().collect();
                assert!(known.windows(2).all(|pair| pair[0] < pair[1]), "{}", row.size);
            }
        }
    }

    #[test]
    fn aluminum_never_carries_more_than_copper() {
        for size in sizes(Material::Aluminum) {
            for column in TerminalColumn::ALL {
                let [al, cu] =
                    [Material::Aluminum, Material::Copper].map(|m| ampacity(size, m, column).unwrap());
                assert!(al.si() < cu.si());
            }
        }
    }

    /// Anchors quoted in published worked examples: NEC 2023 conductor selection cases and NEC Annex D style sizing.
    #[test]
    fn anchors_of_published_examples_hold() {
        use Material::{Aluminum, Copper};
        use TerminalColumn::{C60, C75, C90};
        assert_eq!(amps("10 AWG", Copper, C75), 35.0);
        assert_eq!(amps("10 AWG", Copper, C90), 40.0);
        assert_eq!(amps("2/0 AWG", Copper, C75), 175.0);
        assert_eq!(amps("4/0 AWG", Copper, C75), 230.0);
        assert_eq!(amps("1/0 AWG", Aluminum, C75), 120.0);
        // 95 A continuous: 1 AWG for 118.75 A at 75 °C, 3 AWG for 95 A at 75 °C, 2 AWG for 95 A at 60 °C.
        assert_eq!(amps("1 AWG", Copper, C75), 130.0);
        assert_eq!(amps("3 AWG", Copper, C75), 100.0);
        assert_eq!(amps("2 AWG", Copper, C60), 95.0);
        // 3/0 with four to six conductors: 225 A and 200 A before the factor 0.80.
        assert_eq!(amps("3/0 AWG", Copper, C90), 225.0);
        assert_eq!(amps("3/0 AWG", Copper, C75), 200.0);
        // Inverter at 12 V: 300 kcmil fails 294 A, 350 kcmil passes.
        assert_eq!(amps("300 kcmil", Copper, C75), 285.0);
        assert_eq!(amps("350 kcmil", Copper, C75), 310.0);
    }

    /// Copies of editions before 2011 print other values; these cells tell the editions apart.
    #[test]
    fn the_cells_of_old_editions_are_not_the_ones_used() {
        use Material::{Aluminum, Copper};
        use TerminalColumn::{C60, C90};
        for (size, material, column, old) in [
            ("14 AWG", Copper, C60, 20.0),
            ("12 AWG", Copper, C60, 25.0),
            ("3 AWG", Copper, C90, 110.0),
            ("1 AWG", Copper, C90, 150.0),
            ("600 kcmil", Copper, C60, 355.0),
            ("12 AWG", Aluminum, C60, 20.0),
            ("8 AWG", Aluminum, C60, 30.0),
            ("6 AWG", Aluminum, C90, 60.0),
            ("700 kcmil", Aluminum, C60, 310.0),
            ("800 kcmil", Aluminum, C90, 450.0),
        ] {
            assert_ne!(amps(size, material, column), old, "{size}");
        }
    }

    #[test]
    fn an_answer_names_its_row_and_standing() {
        let found = ampacity(Gauge::Awg(10), Material::Copper, TerminalColumn::C75).unwrap();
        let Origin::Tabled(row) = found.origin else { panic!("not from a table") };
        assert_eq!(row.to_string(), "NEC 2023 Table 310.16: 10 AWG copper, 75 °C column (read second-hand)");
        let thin = ampacity(Gauge::Awg(18), Material::Copper, TerminalColumn::C90).unwrap();
        assert_eq!(thin.origin.standing(), Standing::Remembered);
    }

    #[test]
    fn outside_the_table_is_an_error_with_its_numbers() {
        let blank = ampacity(Gauge::Awg(18), Material::Copper, TerminalColumn::C75).unwrap_err();
        assert_eq!(blank.to_string(), "NEC Table 310.16: 18 AWG copper has no value for 75 °C column");
        let absent = ampacity(Gauge::Awg(14), Material::Aluminum, TerminalColumn::C75).unwrap_err();
        assert_eq!(
            absent.to_string(),
            "NEC Table 310.16: no row for 14 AWG aluminum; the rows go from 12 AWG to 1000 kcmil"
        );
        assert!(ampacity(Gauge::HundredthsMm2(600), Material::Copper, TerminalColumn::C75).is_err());
        assert!(ampacity(Gauge::Kcmil(450), Material::Copper, TerminalColumn::C75).is_err());
    }
}
