//! Length change of PVC conduit with temperature, NEC Table 352.44.

use crate::{TableError, error::finite, file, sheet};
use quantity::{Clause, Measure, PerKelvin, Ratio, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Linear expansion of rigid PVC conduit as the table's heading prints it: 3.38 × 10⁻⁵ per °F.
///
/// Source: NEC Table 352.44.
pub fn pvc_expansion_coefficient() -> Traced<PerKelvin> {
    let row =
        TableRow { clause: TABLE, row: "coefficient in the heading".into(), standing: Standing::SecondHand };
    Traced::tabled(PerKelvin(PER_FAHRENHEIT * 1.8), row)
}

/// Length change over length for a temperature change, from the printed row.
///
/// - `change_f`: temperature change, °F, above 0 up to 200. Rows stand every 5 °F; a value between two belongs to the
///   larger.
///
/// Source: NEC Table 352.44.
///
/// # Errors
/// [`TableError::Above`], [`TableError::Below`] or [`TableError::NotANumber`].
pub fn pvc_length_change(change_f: f64) -> Result<Traced<Ratio>, TableError> {
    let what = "temperature change";
    let change = finite(change_f, &TABLE, what)?;
    if change <= 0.0 {
        return Err(TableError::Below { table: &TABLE, what, asked: change, least: 0.0, unit: "°F" });
    }
    // The millionth of a degree keeps a converted 100 °F in its own row.
    let Some(found) = table().iter().find(|row| change <= row.change_f + 1e-6) else {
        let most = table().last().map_or(0.0, |row| row.change_f);
        return Err(TableError::Above { table: &TABLE, what, asked: change, most, unit: "°F" });
    };
    let inches_of_100_ft = 1200.0;
    let named = format!("{} °F: {} in per 100 ft", found.change_f, found.inch_per_100_ft);
    let row = TableRow { clause: TABLE, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(found.inch_per_100_ft / inches_of_100_ft), row))
}

const TABLE: Clause = nec("2023", "Table 352.44", Standing::SecondHand);
const PER_FAHRENHEIT: f64 = 3.38e-5;

struct Row {
    change_f: f64,
    inch_per_100_ft: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::PVC_EXPANSION, |line| {
            Some(Row {
                change_f: line.value("change_f")?,
                inch_per_100_ft: line.value("inch_per_100_ft")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::units;

    /// Rows have two decimals, so each lies within half a hundredth of an inch of the coefficient's value, and a
    /// little for rows that were rounded from a rounded step.
    #[test]
    fn every_row_is_the_coefficient_times_the_change() {
        assert_eq!(table().len(), 40);
        for (place, row) in table().iter().enumerate() {
            assert_eq!(row.change_f, 5.0 * (place as f64 + 1.0));
            let expected = PER_FAHRENHEIT * 1200.0 * row.change_f;
            assert!((row.inch_per_100_ft - expected).abs() < 0.006, "{} °F: {expected}", row.change_f);
        }
    }

    /// Published: 100 ft of PVC through 100 °F changes 4.06 in, 10 ft 0.406 in.
    #[test]
    fn a_hundred_feet_through_a_hundred_degrees_change_four_inches() {
        assert!((pvc_length_change(100.0).unwrap().si() * 1200.0 - 4.06).abs() < 1e-9);
        let kelvin = units::FAHRENHEIT_DEGREE.to_si(100.0);
        assert!((pvc_expansion_coefficient().si() * kelvin * 120.0 - 0.4056).abs() < 1e-9);
    }

    #[test]
    fn a_value_between_rows_takes_the_larger_and_outside_is_an_error() {
        assert_eq!(pvc_length_change(96.0).unwrap().value, pvc_length_change(100.0).unwrap().value);
        assert!(matches!(pvc_length_change(201.0), Err(TableError::Above { .. })));
        assert!(pvc_length_change(0.0).is_err() && pvc_length_change(f64::NAN).is_err());
    }
}
