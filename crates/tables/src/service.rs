//! Conductors of a dwelling's service, NEC Table 310.12(A).

use crate::{TableError, error::finite, file, sheet};
use quantity::{Clause, Gauge, Material, SAME, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Conductor for a single-phase dwelling service, or a feeder that carries the whole load of a dwelling.
///
/// - `rating_amps`: one of the listed ratings from 100 to 400 A; others have no row.
///
/// Only where no correction or adjustment is required. Source: NEC 2023 Table 310.12(A).
///
/// # Errors
/// [`TableError::NotListed`] or [`TableError::NotANumber`].
pub fn dwelling_service_conductor(rating_amps: f64, material: Material) -> Result<Traced<Gauge>, TableError> {
    let what = "service rating";
    let amps = finite(rating_amps, &TABLE, what)?;
    let Some(found) = table().iter().find(|row| (row.rating_a - amps).abs() <= row.rating_a * SAME) else {
        let ratings = || table().iter().map(|row| row.rating_a);
        let neighbours =
            (ratings().rev().find(|rating| *rating < amps), ratings().find(|rating| *rating > amps));
        return Err(TableError::NotListed { table: &TABLE, what, asked: amps, neighbours, unit: "A" });
    };
    let size = match material {
        Material::Copper => found.copper,
        Material::Aluminum => found.aluminum,
    };
    let named = format!("{} A, {}", found.rating_a, material.in_words());
    Ok(Traced::tabled(size, TableRow { clause: TABLE, row: named.into(), standing: found.standing }))
}

const TABLE: Clause = nec("2023", "Table 310.12(A)", Standing::SecondHand);

struct Row {
    rating_a: f64,
    copper: Gauge,
    aluminum: Gauge,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::DWELLING, |line| {
            Some(Row {
                rating_a: line.value("rating_a")?,
                copper: line.size("copper")?,
                aluminum: line.size("aluminum")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::{TerminalColumn, ampacity};

    /// NEC 310.12: the table is the 83 % rule at 75 °C, so each size carries 83 % of its rating and the next smaller
    /// size of Table 310.16 does not.
    #[test]
    fn every_row_is_the_83_percent_rule() {
        assert_eq!(table().len(), 11);
        for row in table() {
            for (material, size) in [(Material::Copper, row.copper), (Material::Aluminum, row.aluminum)] {
                let carries = |size| {
                    ampacity(size, material, TerminalColumn::C75).unwrap().value.value >= 0.83 * row.rating_a
                };
                assert!(carries(size), "{} A {size}", row.rating_a);
                let smaller = crate::sizes(material).rev().find(|other| *other < size).unwrap();
                assert!(!carries(smaller), "{} A {smaller}", row.rating_a);
            }
        }
    }

    /// Published: 100 A takes 4 AWG copper or 2 AWG aluminum, 200 A takes 2/0 or 4/0. A copy prints 4/0 and 300 kcmil
    /// for 300 A, against its own table: 250 and 350 kcmil.
    #[test]
    fn services_of_published_examples_hold() {
        let size = |amps, material| dwelling_service_conductor(amps, material).unwrap().value.to_string();
        assert_eq!([size(100.0, Material::Copper), size(100.0, Material::Aluminum)], ["4 AWG", "2 AWG"]);
        assert_eq!([size(200.0, Material::Copper), size(200.0, Material::Aluminum)], ["2/0 AWG", "4/0 AWG"]);
        assert_eq!(
            [size(300.0, Material::Copper), size(300.0, Material::Aluminum)],
            ["250 kcmil", "350 kcmil"]
        );
    }

    #[test]
    fn a_rating_without_a_row_names_its_neighbours() {
        let error = dwelling_service_conductor(120.0, Material::Copper).unwrap_err();
        assert_eq!(
            error.to_string(),
            "NEC Table 310.12(A): service rating of 120 A is not listed; its neighbours are 110 and 125 A"
        );
        assert!(dwelling_service_conductor(60.0, Material::Copper).is_err());
        assert!(dwelling_service_conductor(f64::NAN, Material::Copper).is_err());
    }
}
