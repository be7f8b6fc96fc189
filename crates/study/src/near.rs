//! Help with a place: zone, nearest climate row, and its cold, each with its basis. Nothing here fills a blank.

use design::system::Place;
use quantity::units;
use tables::{ClimateRow, ExtremeMinimumBasis};

/// A cold temperature near a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Cold {
    /// Degrees Celsius.
    pub celsius: f64,
    /// What it is.
    pub basis: String,
    /// Whether it is a mean of yearly extremes or a lowest on record; otherwise it never stands in for one.
    pub is_extreme: bool,
}

/// A place of the climate table.
#[derive(Clone, Debug)]
pub struct NearPlace {
    /// The row.
    pub row: &'static ClimateRow,
    /// Kilometres away, where coordinates were given.
    pub distance_km: Option<f64>,
    /// Its colds, side by side.
    pub cold: Vec<Cold>,
}

impl NearPlace {
    fn of(row: &'static ClimateRow, distance_km: Option<f64>) -> Self {
        NearPlace { row, distance_km, cold: cold(row) }
    }
}

/// Places of a name (part of it, small or capital), or the one nearest to "latitude, longitude" in degrees, north and east
/// positive.
///
/// # Errors
/// Why nothing was found.
pub fn near(asked: &str) -> Result<Vec<NearPlace>, String> {
    let numbers: Vec<f64> = asked.split([',', ' ']).filter_map(|part| part.trim().parse().ok()).collect();
    if let [latitude, longitude] = numbers[..] {
        let (row, km) = tables::nearest(latitude, longitude).map_err(|e| e.to_string())?;
        return Ok(vec![NearPlace::of(row, Some(km))]);
    }
    let wanted = asked.trim().to_lowercase();
    if wanted.chars().count() < 3 {
        return Err("write at least three letters of a name, or latitude, longitude".into());
    }
    let mut found: Vec<NearPlace> = tables::climate_rows()
        .iter()
        .filter(|row| row.in_words().to_lowercase().contains(&wanted))
        .map(|row| NearPlace::of(row, None))
        .collect();
    // Names that begin with the words asked for come first.
    found.sort_by_key(|place| !place.row.name.to_lowercase().starts_with(&wanted));
    if found.is_empty() {
        return Err(format!(
            "none of the {} places of the climate table is called \"{asked}\"",
            tables::climate_rows().len()
        ));
    }
    Ok(found)
}

/// The climate row nearest to a design, with its colds; `None` while the place is not known.
pub fn near_design(place: &Place) -> Option<NearPlace> {
    let degrees = |si: Option<f64>| si.map(|si| units::DEGREE_UNIT.of_si(si));
    let (row, km) = tables::nearest(degrees(place.latitude.si())?, degrees(place.longitude.si())?).ok()?;
    Some(NearPlace::of(row, Some(km)))
}

fn cold(row: &ClimateRow) -> Vec<Cold> {
    let mut all = Vec::new();
    if let Some((celsius, basis)) = row.extreme_minimum_c {
        let (basis, is_extreme) = match basis {
            ExtremeMinimumBasis::HardinessZone => (
                "lower bound of the plant hardiness zone (2012): a bound of a zone, not a measured extreme"
                    .to_string(),
                false,
            ),
            ExtremeMinimumBasis::Ashrae => {
                ("mean of yearly extremes, handbook value printed in a weather file".to_string(), true)
            }
            ExtremeMinimumBasis::MeanOfYears => (
                format!("mean of the lowest of each year, record {}{}", row.years, weak(row)),
                !is_short(row),
            ),
        };
        all.push(Cold { celsius, basis, is_extreme });
    }
    let typical = row.years.to_lowercase().contains("typical");
    all.push(Cold {
        celsius: row.series_minimum_c,
        basis: if typical {
            "lowest hour of a typical year, which leaves extremes out: never the coldest to expect".into()
        } else {
            format!("lowest on record, {}{}", row.years, weak(row))
        },
        is_extreme: !typical && !is_short(row),
    });
    all
}

/// Years a record must hold before its lowest hour says anything of extremes; own judgement, no source.
const FEWEST_YEARS: u32 = 10;

/// Whether a record is too short, or does not say how many years it holds ("29y 1996-2024").
fn is_short(row: &ClimateRow) -> bool {
    let years: Option<u32> = row.years.split_once('y').and_then(|(count, _)| count.trim().parse().ok());
    years.is_none_or(|years| years < FEWEST_YEARS)
}

fn weak(row: &ClimateRow) -> &'static str {
    if is_short(row) { ": too short a record to hold the extreme" } else { "" }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_name_and_coordinates_find_places() {
        let by_name = near("sydney").unwrap();
        assert!(by_name.iter().any(|p| p.row.country == "AU"));
        let by_place = near("-33.9, 151.2").unwrap();
        assert_eq!(by_place.len(), 1);
        assert!(by_place[0].distance_km.unwrap() < 100.0);
        assert!(near("xy").is_err() && near("no such hamlet").is_err() && near("91, 0").is_err());
    }

    #[test]
    fn the_lowest_hour_of_one_year_is_no_extreme() {
        let lows = |years: &str| {
            let rows = tables::climate_rows();
            let row = rows.iter().find(|row| row.years.starts_with(years)).unwrap();
            cold(row).pop().unwrap()
        };
        assert!(!lows("1y 2016").is_extreme && !lows("7y 2018").is_extreme);
        assert!(lows("29y 1996").is_extreme);
    }

    #[test]
    fn a_zone_bound_and_a_typical_year_are_never_called_extremes() {
        for row in tables::climate_rows() {
            for cold in cold(row) {
                let doubtful = ["bound", "typical", "too short"].iter().any(|word| cold.basis.contains(word));
                assert_eq!(cold.is_extreme, !doubtful);
                assert!(cold.celsius.is_finite());
            }
        }
    }
}
