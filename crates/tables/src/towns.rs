//! Towns by name and by position, for an owner who knows the name of theirs. Data: GeoNames, CC BY 4.0.

use crate::climate::great_circle_km;
use crate::{file, sheet};
use std::sync::OnceLock;

/// One town.
#[derive(Clone, Debug, PartialEq)]
pub struct Town {
    /// Name, in Latin letters with their accents.
    pub name: String,
    /// Country, ISO 3166 two letters.
    pub country: String,
    /// Code of its state or province: letters in the United States, mostly numbers elsewhere.
    pub region: String,
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// People.
    pub population: u32,
    /// IANA time zone.
    pub zone: String,
}

impl Town {
    /// "Bend, OR, US"; a region that is only a number says nothing and is left out.
    pub fn in_words(&self) -> String {
        let spoken = !self.region.is_empty() && self.region.chars().all(char::is_alphabetic);
        match spoken {
            true => format!("{}, {}, {}", self.name, self.region, self.country),
            false => format!("{}, {}", self.name, self.country),
        }
    }
}

/// All towns, in the order of the file; read on first use.
pub fn towns() -> &'static [Town] {
    static TOWNS: OnceLock<Vec<Town>> = OnceLock::new();
    TOWNS.get_or_init(|| {
        sheet::rows(file::PLACES, |line| {
            let text = |column| line.text(column).map(str::to_owned);
            Some(Town {
                name: text("name")?,
                country: text("country")?,
                region: text("admin1")?,
                latitude: line.value("lat")?,
                longitude: line.value("lon")?,
                population: line.value("population")?,
                zone: text("tz_name")?,
            })
        })
    })
}

/// The towns nearest to a point, nearest first, with their distance in kilometres. None for a point that is not on Earth.
pub fn nearest_towns(latitude: f64, longitude: f64, count: usize) -> Vec<(&'static Town, f64)> {
    if !(latitude.abs() <= 90.0 && longitude.abs() <= 180.0) {
        return Vec::new();
    }
    let mut all: Vec<(&Town, f64)> = towns()
        .iter()
        .map(|town| (town, great_circle_km(latitude, longitude, town.latitude, town.longitude)))
        .collect();
    if (1..all.len()).contains(&count) {
        all.select_nth_unstable_by(count - 1, |a, b| a.1.total_cmp(&b.1));
    }
    all.truncate(count);
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    all
}

/// The town of a zone that lies nearest to a point, with its distance in kilometres. None for a zone without towns and for a
/// point that is not on Earth.
pub fn nearest_of_zone(zone: &str, latitude: f64, longitude: f64) -> Option<(&'static Town, f64)> {
    if !(latitude.abs() <= 90.0 && longitude.abs() <= 180.0) {
        return None;
    }
    towns()
        .iter()
        .filter(|town| town.zone == zone)
        .map(|town| (town, great_circle_km(latitude, longitude, town.latitude, town.longitude)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_town_reads_and_lies_on_the_earth() {
        assert_eq!(towns().len(), 34006);
        for town in towns() {
            assert!(town.latitude.abs() <= 90.0 && town.longitude.abs() <= 180.0, "{town:?}");
            assert!(!town.name.is_empty() && town.country.len() == 2 && town.zone.contains('/'), "{town:?}");
        }
    }

    #[test]
    fn a_town_is_nearest_to_itself() {
        // Bend, Oregon: 44.06° north, 121.32° west (from memory).
        let found = nearest_towns(44.06, -121.32, 3);
        assert_eq!(found[0].0.in_words(), "Bend, OR, US");
        assert!(found[0].1 < 5.0 && found[0].1 <= found[1].1 && found[1].1 <= found[2].1);
        assert_eq!(found[0].0.zone, "America/Los_Angeles");
        assert!(nearest_towns(f64::NAN, 0.0, 1).is_empty() && nearest_towns(91.0, 0.0, 1).is_empty());
        // A region in numbers is left out of the words.
        let bergen = towns().iter().find(|t| t.name == "Bergen" && t.country == "NO").unwrap();
        assert_eq!(bergen.in_words(), "Bergen, NO");
    }
}
