//! Open-circuit voltage of crystalline modules in the cold by the table method, NEC Table 690.7(A).

use crate::{TableError, error::finite, file, sheet};
use quantity::{Clause, Measure, Ratio, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Factor on the label open-circuit voltage at the lowest expected ambient temperature.
///
/// - `ambient_c`: °C, from −40 to below 25. The printed bands are whole degrees; a value between two bands, such
///   as −5.4, belongs to the colder one, whose factor is larger.
///
/// For crystalline and multicrystalline silicon where the module's own coefficient is not used.
/// Source: NEC 2008 to 2023, Table 690.7(A).
///
/// # Errors
/// [`TableError::Above`] at 25 °C and more, where there is nothing to correct; [`TableError::Below`] under −40 °C;
/// [`TableError::NotANumber`].
pub fn voltage_factor(ambient_c: f64) -> Result<Traced<Ratio>, TableError> {
    let what = "lowest expected ambient temperature";
    let ambient_c = finite(ambient_c, &TABLE, what)?;
    if ambient_c >= 25.0 - ROUNDING_K {
        return Err(TableError::Above { table: &TABLE, what, asked: ambient_c, most: 24.0, unit: "°C" });
    }
    let Some(band) = table().iter().find(|band| ambient_c >= band.from_c - ROUNDING_K) else {
        let least = table().last().map_or(0.0, |band| band.from_c);
        return Err(TableError::Below { table: &TABLE, what, asked: ambient_c, least, unit: "°C" });
    };
    let named = format!("{} to {} °C", band.to_c, band.from_c);
    let row = TableRow { clause: TABLE, row: named.into(), standing: band.standing };
    Ok(Traced::tabled(Ratio::from_si(band.factor), row))
}

const TABLE: Clause = nec("2023", "Table 690.7(A)", Standing::Remembered);
// Wider than any rounding of a unit conversion, narrower than any thermometer.
const ROUNDING_K: f64 = 1e-6;

struct Band {
    from_c: f64,
    to_c: f64,
    factor: f64,
    standing: Standing,
}

fn table() -> &'static [Band] {
    static ROWS: OnceLock<Vec<Band>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::VOLTAGE, |line| {
            Some(Band {
                from_c: line.value("from_c")?,
                to_c: line.value("to_c")?,
                factor: line.value("factor")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn bands_of_five_degrees_join_and_the_factor_rises_as_it_gets_colder() {
        assert_eq!(table().len(), 13);
        for band in table() {
            assert_eq!(band.to_c - band.from_c, 4.0);
        }
        for pair in table().windows(2) {
            assert_eq!(pair[1].to_c, pair[0].from_c - 1.0);
            assert!(pair[1].factor > pair[0].factor);
        }
    }

    /// Hand case: −5 °C lies in the row −1 to −5 with 1.12, so a 49.5 V module counts as 55.44 V.
    #[test]
    fn at_minus_five_the_factor_is_1_12() {
        assert_eq!(voltage_factor(-5.0).unwrap().si(), 1.12);
        assert!((49.5 * voltage_factor(-5.0).unwrap().si() - 55.44).abs() < 1e-9);
        // 23 °F is −5 °C; the conversion's rounding must not move it to the next row.
        assert_eq!(voltage_factor((23.0 + 459.67) * 5.0 / 9.0 - 273.15).unwrap().si(), 1.12);
    }

    #[test]
    fn a_value_between_bands_belongs_to_the_colder() {
        assert_eq!(voltage_factor(-5.4).unwrap().si(), 1.14);
        assert_eq!(voltage_factor(24.6).unwrap().si(), 1.02);
    }

    #[test]
    fn outside_the_table_is_an_error() {
        assert!(matches!(voltage_factor(25.0), Err(TableError::Above { .. })));
        assert!(matches!(voltage_factor(-40.5), Err(TableError::Below { .. })));
        assert!(matches!(voltage_factor(f64::NAN), Err(TableError::NotANumber { .. })));
        assert_eq!(voltage_factor(-40.0).unwrap().si(), 1.25);
    }
}
