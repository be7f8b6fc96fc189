//! Help with a place: zone, nearest climate row, and its cold, each with its basis. Nothing here fills a blank.

mod names;

use design::system::Place;
use quantity::units;
use tables::{ClimateRow, ExtremeMinimumBasis};

/// A climate row or a town farther away than this is said to be another place; own judgement, no source.
pub(crate) const FAR_KM: f64 = 250.0;
/// A record of another place may be colder or milder; beyond this it is not offered at all. Own judgement, no source.
const SAME_COLD_KM: f64 = 150.0;
/// Towns around a point whose zones are compared.
const TOWNS: usize = 12;
/// A zone of a town so far away says little of the zone here; own judgement, no source.
const ZONE_KM: f64 = 100.0;

/// What a cold temperature is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColdKind {
    /// Mean of the lowest temperature of each year.
    MeanOfExtremes,
    /// Lowest of a record of many years.
    LowestOnRecord,
    /// Lower edge of a hardiness zone: a bound, no measured extreme.
    ZoneBound,
    /// Lowest of a typical year or of a short record, which leave extremes out.
    NoExtreme,
}

impl ColdKind {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            ColdKind::MeanOfExtremes => "mean of yearly extremes",
            ColdKind::LowestOnRecord => "lowest on record",
            ColdKind::ZoneBound => "bound of a zone, no extreme",
            ColdKind::NoExtreme => "typical year or short record, no extreme",
        }
    }
}

/// A cold temperature near a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Cold {
    /// What it is; a bound or a typical year never stands in for an extreme.
    pub kind: ColdKind,
    /// Degrees Celsius.
    pub celsius: f64,
    /// What it rests on.
    pub basis: String,
}

/// The time zone of a point, as towns around it keep it.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneNear {
    /// IANA zone of the nearest town.
    pub zone: String,
    /// That town.
    pub town: String,
    /// Kilometres to it.
    pub distance_km: f64,
    /// Nearest towns around that keep another zone: zone, town, kilometres. Empty well inside a zone.
    pub others: Vec<(String, String, f64)>,
}

impl ZoneNear {
    /// The zone with how well it is known: "America/Boise, as in Ontario, OR, US, 12 km away".
    pub fn in_words(&self) -> String {
        let mut said = self.zone.clone();
        if self.distance_km >= 1.0 {
            said = format!("{said}, as in {}, {:.0} km away", self.town, self.distance_km);
        }
        for (zone, town, km) in &self.others {
            said = format!("{said}; but {zone} in {town}, {km:.0} km away");
        }
        if self.distance_km > ZONE_KM || !self.others.is_empty() {
            said.push_str(": look which your clock keeps");
        }
        said
    }
}

/// A place with what the tables hold near it.
#[derive(Clone, Debug)]
pub struct NearPlace {
    /// What it is called: a town, a climate row, or its coordinates.
    pub name: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Its time zone; `None` where no town is near.
    pub zone: Option<ZoneNear>,
    /// The nearest climate row.
    pub row: &'static ClimateRow,
    /// Kilometres to it.
    pub distance_km: f64,
    /// How much higher the place lies than the row, metres; `None` where either height is not known.
    pub higher_m: Option<f64>,
    /// Its colds, extremes first.
    pub cold: Vec<Cold>,
}

impl NearPlace {
    fn of(name: String, latitude: f64, longitude: f64, elevation_m: Option<f64>) -> Option<Self> {
        let (row, distance_km) = tables::nearest(latitude, longitude).ok()?;
        Some(NearPlace {
            name,
            latitude_deg: latitude,
            longitude_deg: longitude,
            zone: zone_near(latitude, longitude),
            row,
            distance_km,
            higher_m: elevation_m.zip(row.elevation_m).map(|(here, there)| here - there),
            cold: cold(row, distance_km, latitude, longitude),
        })
    }

    /// Whether the climate row is another place's weather.
    pub fn is_far(&self) -> bool {
        self.distance_km > FAR_KM
    }

    /// How much colder the standard atmosphere is at the place than at the row, K; negative for a place farther down and
    /// `None` where either height is not known. The row's own figures are shown as they are.
    pub fn colder_k(&self) -> Option<f64> {
        self.higher_m.map(weather::colder_by_height_k)
    }

    /// The colds of a kind.
    pub fn cold_of(&self, kind: ColdKind) -> impl Iterator<Item = &Cold> {
        self.cold.iter().filter(move |cold| cold.kind == kind)
    }
}

/// More places than this of one name help nobody.
const MOST_PLACES: usize = 13;

/// Places of one name.
#[derive(Clone, Debug)]
pub struct PlacesFound {
    /// The likeliest first.
    pub places: Vec<NearPlace>,
    /// How many more bear that name.
    pub more: usize,
}

/// Places of a name (part of it, in any case, with or without accents), towns first and the largest first among them; or the
/// point "latitude, longitude" in degrees, north and east positive.
///
/// # Errors
/// Why nothing was found, with names that are near.
pub fn near(asked: &str) -> Result<PlacesFound, String> {
    if let Some((latitude, longitude)) = point(asked) {
        for (what, degrees, most) in [("latitude", latitude, 90.0), ("longitude", longitude, 180.0)] {
            if !(-most..=most).contains(&degrees) {
                return Err(format!("a {what} of {degrees}° is none: it lies between −{most}° and {most}°"));
            }
        }
        let name = format!("{latitude}, {longitude}");
        let places = NearPlace::of(name, latitude, longitude, None).into_iter().collect();
        return Ok(PlacesFound { places, more: 0 });
    }
    let found = names::find(asked)?;
    let more = found.len().saturating_sub(MOST_PLACES);
    let places = found
        .into_iter()
        .take(MOST_PLACES)
        .filter_map(|place| {
            NearPlace::of(place.name, place.latitude_deg, place.longitude_deg, place.elevation_m)
        })
        .collect();
    Ok(PlacesFound { places, more })
}

/// "42.9,-118.2" and "42.9 -118.2"; `None` for anything with letters in it.
fn point(asked: &str) -> Option<(f64, f64)> {
    let parts: Vec<&str> = asked.split([',', ' ']).map(str::trim).filter(|part| !part.is_empty()).collect();
    let [latitude, longitude] = parts[..] else { return None };
    // A typographic minus comes with text that was copied.
    let number = |text: &str| text.replace('\u{2212}', "-").trim_end_matches('°').parse::<f64>().ok();
    Some((number(latitude)?, number(longitude)?))
}

/// What lies near a design; `None` while the place is not known.
pub fn near_design(place: &Place) -> Option<NearPlace> {
    let degrees = |si: Option<f64>| si.map(|si| units::DEGREE_UNIT.of_si(si));
    let (latitude, longitude) = (degrees(place.latitude.si())?, degrees(place.longitude.si())?);
    NearPlace::of("the design's place".into(), latitude, longitude, place.elevation.si())
}

/// The nearest town that keeps the zone of the design, in words, and how many kilometres away it lies. `None` while place or
/// zone is not known and for a zone of which no town is known.
pub fn town_of_zone(place: &Place) -> Option<(String, f64)> {
    let degrees = |si: Option<f64>| si.map(|si| units::DEGREE_UNIT.of_si(si));
    let (latitude, longitude) = (degrees(place.latitude.si())?, degrees(place.longitude.si())?);
    let (town, km) = tables::nearest_of_zone(place.zone.value()?, latitude, longitude)?;
    Some((town.in_words(), km))
}

fn zone_near(latitude: f64, longitude: f64) -> Option<ZoneNear> {
    let towns = tables::nearest_towns(latitude, longitude, TOWNS);
    let (first, distance_km) = *towns.first()?;
    let mut others: Vec<(String, String, f64)> = Vec::new();
    // A town of another zone counts where it is about as near as the nearest one.
    for (town, km) in towns.iter().skip(1).filter(|(_, km)| *km <= (2.0 * distance_km).max(30.0)) {
        if town.zone != first.zone && others.iter().all(|(zone, _, _)| *zone != town.zone) {
            others.push((town.zone.clone(), town.in_words(), *km));
        }
    }
    Some(ZoneNear { zone: first.zone.clone(), town: first.in_words(), distance_km, others })
}

/// Everything cold the tables hold near a point: of the nearest row, of the map at the point itself, and of the nearest row
/// that holds an extreme where the nearest row does not.
fn cold(row: &'static ClimateRow, km: f64, latitude: f64, longitude: f64) -> Vec<Cold> {
    // The cold of a place far away would be read as that of the house: it is not offered.
    let mut all = if km <= SAME_COLD_KM { of_row(row, km) } else { Vec::new() };
    if let Some(cell) = tables::hardiness(latitude, longitude) {
        const MAP: &str = "plant hardiness map (2012), lower edge of the half-zone";
        all.retain(|cold| cold.kind != ColdKind::ZoneBound);
        let bound = |celsius, basis| Cold { kind: ColdKind::ZoneBound, celsius, basis };
        if let Some(celsius) = cell.middle_c {
            all.push(bound(celsius, format!("{MAP}, at the point")));
        }
        if cell.middle_c != Some(cell.lowest_c) {
            all.push(bound(cell.lowest_c, format!("{MAP}, lowest within 15 km or so")));
        }
    }
    for kind in [ColdKind::MeanOfExtremes, ColdKind::LowestOnRecord] {
        if all.iter().any(|cold| cold.kind == kind) {
            continue;
        }
        let holds = |row: &ClimateRow| of_row(row, 0.0).iter().any(|cold| cold.kind == kind);
        if let Some((other, km)) = tables::nearest_of(latitude, longitude, holds)
            && km <= SAME_COLD_KM
        {
            all.extend(of_row(other, km).into_iter().filter(|cold| cold.kind == kind));
        }
    }
    all.sort_by_key(|cold| cold.kind);
    all
}

/// What one row says of cold, with where it lies.
fn of_row(row: &ClimateRow, km: f64) -> Vec<Cold> {
    let at = match row.elevation_m {
        Some(high) => format!("{}, {km:.0} km away, {high:.0} m high", row.in_words()),
        None => format!("{}, {km:.0} km away", row.in_words()),
    };
    let mut all = Vec::new();
    if let Some((celsius, basis)) = row.extreme_minimum_c {
        let (kind, basis) = match basis {
            ExtremeMinimumBasis::HardinessZone => (
                ColdKind::ZoneBound,
                format!("plant hardiness map (2012), lower edge of the half-zone at {at}"),
            ),
            ExtremeMinimumBasis::Ashrae => {
                (ColdKind::MeanOfExtremes, format!("handbook value printed in a weather file of {at}"))
            }
            ExtremeMinimumBasis::MeanOfYears => (
                if is_short(row) { ColdKind::NoExtreme } else { ColdKind::MeanOfExtremes },
                format!("mean of the lowest of each year, record {} of {at}{}", row.years, weak(row)),
            ),
        };
        all.push(Cold { kind, celsius, basis });
    }
    let typical = row.years.to_lowercase().contains("typical");
    let (kind, basis) = if typical {
        (ColdKind::NoExtreme, format!("lowest hour of a typical year of {at}, which leaves extremes out"))
    } else if is_short(row) {
        (ColdKind::NoExtreme, format!("lowest of {} of {at}{}", row.years, weak(row)))
    } else {
        (ColdKind::LowestOnRecord, format!("record {} of {at}", row.years))
    };
    all.push(Cold { kind, celsius: row.series_minimum_c, basis });
    all
}

/// Years a record must hold before its lowest hour says anything of extremes, or its means of a climate; own judgement,
/// no source.
pub(crate) const FEWEST_YEARS: u32 = 10;

/// Whether a record is too short, or does not say how many years it holds ("29y 1996-2024").
fn is_short(row: &ClimateRow) -> bool {
    row.record_years().is_none_or(|years| years < FEWEST_YEARS)
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
        let by_name = near("sydney").unwrap().places;
        assert!(by_name[0].name.contains("AU") && by_name[0].row.country == "AU");
        let by_place = near("-33.9, 151.2").unwrap().places;
        assert_eq!(by_place.len(), 1);
        assert!(by_place[0].distance_km < 100.0 && !by_place[0].is_far());
        assert_eq!(by_place[0].zone.as_ref().unwrap().zone, "Australia/Sydney");
        assert!(near("91, 0").is_err() && near("0 181").is_err());
    }

    /// The nearest climate row of Ulan Bator, one of the coldest towns there are, lies in Beijing: neither its zone nor its cold
    /// is that of the place.
    #[test]
    fn zone_and_cold_are_those_of_the_place_and_not_of_a_row_far_away() {
        let far = &near("47.92,106.92").unwrap().places[0];
        assert_eq!(far.zone.as_ref().unwrap().zone, "Asia/Ulaanbaatar");
        assert!(far.is_far() && far.row.country == "CN", "{}", far.row.in_words());
        assert!(far.cold.is_empty(), "{:?}", far.cold);
    }

    /// Ontario in Oregon keeps mountain time, fifty miles farther west the clocks keep Pacific time (from memory).
    #[test]
    fn near_the_edge_of_a_zone_both_are_named() {
        let edge = near("43.98,-117.3").unwrap().places.remove(0).zone.unwrap();
        assert_eq!(edge.zone, "America/Boise");
        let inside = near("39.74,-104.99").unwrap().places.remove(0).zone.unwrap();
        assert_eq!((inside.zone.as_str(), inside.others.len()), ("America/Denver", 0));
        // Irun lies in Spain, across a river from Hendaye in France.
        let river = near("43.35,-1.78").unwrap().places.remove(0).zone.unwrap();
        assert_eq!((river.zone.as_str(), river.others[0].0.as_str()), ("Europe/Madrid", "Europe/Paris"));
        assert!(river.in_words().contains("look which"), "{river:?}");
    }

    #[test]
    fn a_record_of_many_years_is_offered_where_the_nearest_row_is_a_typical_year() {
        for row in tables::climate_rows() {
            let colds = cold(row, 0.0, row.latitude, row.longitude);
            assert!(!colds.is_empty(), "{}", row.in_words());
            let holds = |colds: &[Cold]| colds.iter().any(|cold| cold.kind == ColdKind::LowestOnRecord);
            assert!(!holds(&of_row(row, 0.0)) || holds(&colds), "{}", row.in_words());
            for pair in colds.windows(2) {
                assert!(pair[0].kind <= pair[1].kind);
            }
        }
    }

    #[test]
    fn the_lowest_hour_of_one_year_is_no_extreme() {
        let lows = |years: &str| {
            let rows = tables::climate_rows();
            let row = rows.iter().find(|row| row.years.starts_with(years)).unwrap();
            of_row(row, 0.0).pop().unwrap().kind
        };
        assert_eq!(lows("1y 2016"), ColdKind::NoExtreme);
        assert_eq!(lows("7y 2018"), ColdKind::NoExtreme);
        assert_eq!(lows("29y 1996"), ColdKind::LowestOnRecord);
    }

    #[test]
    fn a_zone_bound_and_a_typical_year_are_never_called_extremes() {
        for row in tables::climate_rows() {
            for cold in of_row(row, 0.0) {
                let doubtful =
                    ["half-zone", "typical", "too short"].iter().any(|word| cold.basis.contains(word));
                assert_eq!(cold.kind <= ColdKind::LowestOnRecord, !doubtful, "{cold:?}");
                assert!(cold.celsius.is_finite());
            }
        }
    }
}
