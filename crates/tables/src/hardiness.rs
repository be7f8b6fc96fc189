//! Lower edges of the plant hardiness zones of the contiguous United States, at the very point of a house.

use crate::{file, sheet};
use std::collections::HashMap;
use std::sync::OnceLock;

/// One cell of a quarter degree. An edge of a zone is a bound of the mean yearly lowest temperature, no measured extreme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HardinessCell {
    /// Lower edge of the half-zone in the middle, °C; `None` over water.
    pub middle_c: Option<f64>,
    /// Lowest edge anywhere in the cell, °C: hollows and ridges of it.
    pub lowest_c: f64,
}

/// The cell around a point; `None` outside the contiguous United States.
pub fn hardiness(latitude: f64, longitude: f64) -> Option<&'static HardinessCell> {
    static CELLS: OnceLock<HashMap<(i32, i32), HardinessCell>> = OnceLock::new();
    let cells = CELLS.get_or_init(|| {
        let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
        sheet::rows(file::HARDINESS, |line| {
            let middle: Option<f64> = line.optional("ext_annual_min_lower_bound_f_at_center")?;
            Some((
                quarter(line.value("lat")?, line.value("lon")?)?,
                HardinessCell {
                    middle_c: middle.map(celsius),
                    lowest_c: celsius(line.value("lowest_in_cell_f")?),
                },
            ))
        })
        .into_iter()
        .collect()
    });
    cells.get(&quarter(latitude, longitude)?)
}

/// The cell of a point in quarters of a degree.
fn quarter(latitude: f64, longitude: f64) -> Option<(i32, i32)> {
    let on_earth = latitude.abs() <= 90.0 && longitude.abs() <= 180.0;
    on_earth.then(|| ((latitude * 4.0).round() as i32, (longitude * 4.0).round() as i32))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::{ExtremeMinimumBasis, climate_rows};

    #[test]
    fn every_cell_reads_and_its_lowest_edge_is_not_above_its_middle() {
        assert_eq!(sheet::rows(file::HARDINESS, |_| Some(())).len(), 13749);
        let mut seen = 0;
        for lat in 98..=200 {
            for lon in -500..=-265 {
                let Some(cell) = hardiness(f64::from(lat) / 4.0, f64::from(lon) / 4.0) else { continue };
                seen += 1;
                assert!(cell.middle_c.is_none_or(|middle| cell.lowest_c <= middle), "{cell:?}");
                assert!((-60.0..20.0).contains(&cell.lowest_c), "{cell:?}");
            }
        }
        assert_eq!(seen, 13749);
        assert!(hardiness(52.0, 5.0).is_none() && hardiness(f64::NAN, 0.0).is_none());
    }

    /// The bounds that stand in the climate table were taken from the same map at the stations themselves: a station's edge
    /// is never below the lowest of its cell.
    #[test]
    fn stations_lie_inside_their_cells() {
        let mut compared = 0;
        for row in climate_rows() {
            let Some((celsius, ExtremeMinimumBasis::HardinessZone)) = row.extreme_minimum_c else { continue };
            let Some(cell) = hardiness(row.latitude, row.longitude) else { continue };
            // 2.78 K is one half-zone: the nine by nine points of a cell may miss a hollow.
            assert!(celsius >= cell.lowest_c - 2.9, "{}: {celsius} {cell:?}", row.in_words());
            compared += 1;
        }
        assert!(compared > 800, "{compared}");
    }
}
