//! Monthly climate of 1092 places, for a design without a weather file.

use crate::{TableError, error::finite, file, sheet};
use quantity::{Clause, Measure, Standing, TableRow, Temperature, Traced};
use std::collections::HashMap;
use std::sync::OnceLock;

/// Where a place's mean yearly lowest temperature comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ExtremeMinimumBasis {
    /// Lower edge of the half-zone of the USDA Plant Hardiness Zone Map 2012; at 11 stations 0.9 to 3.6 K below the
    /// ASHRAE value, never above.
    HardinessZone,
    /// ASHRAE Handbook of Fundamentals, as printed in the design line of a weather file.
    Ashrae,
    /// Mean of the lowest daily minimum of each year of the record named; a short record is weak.
    MeanOfYears,
}

/// How the high design temperature was taken. The two differ by 2 to 4 K and are not mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HighBasis {
    /// 98th percentile of all hours of the year: the ordinary 2 % design temperature.
    AllHours,
    /// 98th percentile of the daily maxima, which runs higher.
    DailyMaxima,
}

/// One place. Months run from January to December.
#[derive(Clone, Debug, PartialEq)]
pub struct ClimateRow {
    /// Station number or short code.
    pub id: String,
    /// Name as in the record.
    pub name: String,
    /// State or province; may be empty.
    pub region: String,
    /// Country, ISO 3166 two letters.
    pub country: String,
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// Metres; `None` where the record has none.
    pub elevation_m: Option<f64>,
    /// Standard time, hours ahead of UTC.
    pub utc_offset_h: f64,
    /// IANA time zone.
    pub zone: String,
    /// What was corrected in zone or offset; empty for most rows.
    pub zone_note: String,
    /// Mean daily global horizontal irradiation, kWh/m².
    pub ghi_kwh_m2_day: [f64; 12],
    /// Monthly mean air temperature, °C.
    pub mean_c: [f64; 12],
    /// Mean daily minimum, °C.
    pub mean_low_c: [f64; 12],
    /// Mean daily maximum, °C.
    pub mean_high_c: [f64; 12],
    /// Yearly global horizontal irradiation, kWh/m².
    pub ghi_annual_kwh_m2: f64,
    /// Mean yearly lowest temperature, °C, with its basis; `None` where none was found, and then nothing stands in.
    pub extreme_minimum_c: Option<(f64, ExtremeMinimumBasis)>,
    /// Lowest value of the record, °C. For a typical year this is not an extreme.
    pub series_minimum_c: f64,
    /// High design temperature, °C, with its basis.
    pub high_c: (f64, HighBasis),
    /// Years of the record, or `typical`.
    pub years: String,
    /// Record, explained in the header of the data file.
    pub source_id: String,
}

impl ClimateRow {
    /// "Adak Nas, AK, US".
    pub fn in_words(&self) -> String {
        let parts = [&self.name, &self.region, &self.country];
        let said: Vec<&str> = parts.into_iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
        said.join(", ")
    }

    /// Years of measurement behind the row; `None` for a typical year, whose months are picked from many.
    pub fn record_years(&self) -> Option<u32> {
        self.years.split_once('y').and_then(|(count, _)| count.trim().parse().ok())
    }

    /// Where the row comes from: "record TMY3, a typical year" or "record LYNGBY, 1 year, 2016".
    pub fn record_in_words(&self) -> String {
        let span = self.years.split_once(' ').map(|(_, span)| span.replace('-', " to ")).unwrap_or_default();
        match self.record_years() {
            Some(1) => format!("record {}, 1 year, {span}", self.source_id),
            Some(years) => format!("record {}, {years} years, {span}", self.source_id),
            None => format!("record {}, a typical year", self.source_id),
        }
    }

    /// Mean yearly lowest temperature, for cold strings; `None` where none was found.
    pub fn extreme_minimum(&self) -> Option<Traced<Temperature>> {
        let (celsius, basis) = self.extreme_minimum_c?;
        let (document, edition, standing, words) = match basis {
            ExtremeMinimumBasis::HardinessZone => {
                ("USDA Plant Hardiness Zone Map", "2012", Standing::SecondHand, "lower edge of the half-zone")
            }
            ExtremeMinimumBasis::Ashrae => (
                "ASHRAE Handbook of Fundamentals",
                "",
                Standing::SecondHand,
                "mean of yearly extremes, printed in a weather file",
            ),
            ExtremeMinimumBasis::MeanOfYears => {
                ("Monthly climate of 1092 places", "", Standing::Computed, "mean of yearly minima")
            }
        };
        let clause = Clause { document, edition, clause: "mean yearly lowest temperature", standing };
        Some(self.temperature(celsius, clause, words))
    }

    /// High design temperature, for ampacity and hot strings; the row says on which basis.
    pub fn high(&self) -> Traced<Temperature> {
        let words = match self.high_c.1 {
            HighBasis::AllHours => "98th percentile of all hours",
            HighBasis::DailyMaxima => "98th percentile of daily maxima",
        };
        self.temperature(self.high_c.0, CLIMATE, words)
    }

    fn temperature(&self, celsius: f64, clause: Clause, words: &str) -> Traced<Temperature> {
        let text = format!("{} ({}), {words}, {} {}", self.in_words(), self.id, self.source_id, self.years);
        let row = TableRow { clause, row: text.into(), standing: clause.standing };
        Traced::tabled(Temperature::from_si(quantity::units::CELSIUS.to_si(celsius)), row)
    }
}

/// The place nearest to a point by great circle, and its distance in kilometres on a sphere of 6371 km.
///
/// - `latitude`: −90 to 90°; `longitude`: −180 to 180°, east positive.
///
/// A near place may lie much higher or lower, or across a ridge: the distance and `elevation_m` are for the owner to
/// judge.
///
/// # Errors
/// [`TableError::Above`], [`TableError::Below`] or [`TableError::NotANumber`] for a point that is not on Earth.
pub fn nearest(latitude: f64, longitude: f64) -> Result<(&'static ClimateRow, f64), TableError> {
    let within = |value: f64, what: &'static str, limit: f64| {
        let asked = finite(value, &CLIMATE, what)?;
        if asked > limit {
            return Err(TableError::Above { table: &CLIMATE, what, asked, most: limit, unit: "°" });
        }
        if asked < -limit {
            return Err(TableError::Below { table: &CLIMATE, what, asked, least: -limit, unit: "°" });
        }
        Ok(asked)
    };
    let latitude = within(latitude, "latitude", 90.0)?;
    let longitude = within(longitude, "longitude", 180.0)?;
    let distance = |row: &ClimateRow| great_circle_km(latitude, longitude, row.latitude, row.longitude);
    climate_rows()
        .iter()
        .map(|row| (row, distance(row)))
        // Equal distances keep the earlier row, so the answer does not depend on the search.
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .ok_or(TableError::NotANumber { table: &CLIMATE, what: "distance" })
}

/// The place nearest to a point of those that `wanted` picks, with its distance in kilometres; `None` where none is picked
/// and for a point that is not on Earth.
pub fn nearest_of(
    latitude: f64,
    longitude: f64,
    wanted: impl Fn(&ClimateRow) -> bool,
) -> Option<(&'static ClimateRow, f64)> {
    nearest(latitude, longitude).ok()?;
    climate_rows()
        .iter()
        .filter(|row| wanted(row))
        .map(|row| (row, great_circle_km(latitude, longitude, row.latitude, row.longitude)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The place with this id.
pub fn by_id(id: &str) -> Option<&'static ClimateRow> {
    static INDEX: OnceLock<HashMap<&'static str, usize>> = OnceLock::new();
    let index = INDEX
        .get_or_init(|| climate_rows().iter().enumerate().map(|(i, row)| (row.id.as_str(), i)).collect());
    index.get(id).and_then(|place| climate_rows().get(*place))
}

/// All places, in the order of the file; read on first use.
pub fn climate_rows() -> &'static [ClimateRow] {
    static ROWS: OnceLock<Vec<ClimateRow>> = OnceLock::new();
    ROWS.get_or_init(|| sheet::rows(file::CLIMATE, read))
}

const CLIMATE: Clause = Clause {
    document: "Monthly climate of 1092 places",
    edition: "",
    clause: "",
    standing: Standing::Computed,
};

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

fn read(line: &sheet::Line<'_>) -> Option<ClimateRow> {
    let text = |column| line.text(column).map(str::to_owned);
    let months = |prefix: &str| -> Option<[f64; 12]> {
        let mut values = [0.0; 12];
        for (value, month) in values.iter_mut().zip(MONTHS) {
            *value = line.value(&format!("{prefix}_{month}"))?;
        }
        Some(values)
    };
    let extreme: Option<f64> = line.optional("ext_annual_mean_min_c")?;
    let extreme_minimum_c = match (extreme, line.text("ext_min_basis")?) {
        (None, "") => None,
        (Some(value), "PHZ2012-lower-bound") => Some((value, ExtremeMinimumBasis::HardinessZone)),
        (Some(value), "ASHRAE-HOF-via-weather-file") => Some((value, ExtremeMinimumBasis::Ashrae)),
        (Some(value), "mean-of-annual-minima") => Some((value, ExtremeMinimumBasis::MeanOfYears)),
        _ => return None,
    };
    let high_basis = match line.text("t_high_basis")? {
        "hourly-p98" => HighBasis::AllHours,
        "daily-max-p98" => HighBasis::DailyMaxima,
        _ => return None,
    };
    Some(ClimateRow {
        id: text("id")?,
        name: text("name")?,
        region: text("region")?,
        country: text("country")?,
        latitude: line.value("lat")?,
        longitude: line.value("lon")?,
        elevation_m: line.optional("elev_m")?,
        utc_offset_h: line.value("utc_offset_h")?,
        zone: text("tz_name")?,
        zone_note: text("zone_note")?,
        ghi_kwh_m2_day: months("ghi")?,
        mean_c: months("tmean")?,
        mean_low_c: months("tmin")?,
        mean_high_c: months("tmax")?,
        ghi_annual_kwh_m2: line.value("ghi_annual_kwh_m2")?,
        extreme_minimum_c,
        series_minimum_c: line.value("series_min_c")?,
        high_c: (line.value("t_high_2pct_c")?, high_basis),
        years: text("years")?,
        source_id: text("source_id")?,
    })
}

/// Great-circle distance in kilometres between two points in degrees, on a sphere of 6371 km, by the haversine, which stays
/// exact for near points.
pub fn great_circle_km(latitude_a: f64, longitude_a: f64, latitude_b: f64, longitude_b: f64) -> f64 {
    let square = |x: f64| x * x;
    let [a, b] = [latitude_a, latitude_b].map(f64::to_radians);
    let half_turn = (longitude_b - longitude_a).to_radians() / 2.0;
    let chord = square(libm::sin((b - a) / 2.0)) + libm::cos(a) * libm::cos(b) * square(libm::sin(half_turn));
    2.0 * 6371.0 * libm::asin(libm::sqrt(chord.clamp(0.0, 1.0)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_row_reads_and_no_id_stands_twice() {
        assert_eq!(climate_rows().len(), 1092);
        let ids: BTreeSet<_> = climate_rows().iter().map(|row| row.id.as_str()).collect();
        assert_eq!(ids.len(), 1092);
        for row in climate_rows() {
            assert!(std::ptr::eq(by_id(&row.id).unwrap(), row));
        }
        assert!(by_id("").is_none());
    }

    #[test]
    fn every_row_is_plausible() {
        let days = [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
        for row in climate_rows() {
            let name = row.in_words();
            assert!(row.latitude.abs() <= 90.0 && row.longitude.abs() <= 180.0, "{name}");
            assert!((580.0..=2300.0).contains(&row.ghi_annual_kwh_m2), "{name}");
            for month in 0..12 {
                assert!((0.0..=9.5).contains(&row.ghi_kwh_m2_day[month]), "{name}");
                let (low, mean, high) = (row.mean_low_c[month], row.mean_c[month], row.mean_high_c[month]);
                assert!(low <= mean && mean <= high && low > -60.0 && high < 60.0, "{name} {month}");
            }
            let year: f64 = row.ghi_kwh_m2_day.iter().zip(days).map(|(day, n)| day * n).sum();
            // Monthly means have two digits; records of several years leave out different days.
            assert!((year / row.ghi_annual_kwh_m2 - 1.0).abs() < 0.01, "{name}: {year}");
            if let Some((extreme, _)) = row.extreme_minimum_c {
                assert!(extreme < row.mean_low_c.iter().copied().fold(f64::MAX, f64::min), "{name}");
            }
            assert!(row.high_c.0 > row.mean_c.iter().copied().fold(f64::MIN, f64::max) - 3.0, "{name}");
        }
    }

    /// The sun is at its highest near noon of a place's own time; zones stray from that by at most 2.6 h. Shemya lies
    /// west of the date line and keeps the date of Alaska.
    #[test]
    fn every_offset_agrees_with_the_longitude_except_across_the_date_line() {
        for row in climate_rows() {
            let stray = (row.longitude / 15.0 - row.utc_offset_h).abs();
            assert_eq!(stray > 2.6, row.id == "704140", "{} strays {stray} h", row.in_words());
        }
    }

    #[test]
    fn a_zone_has_one_standard_offset_and_belongs_to_its_country() {
        let mut offsets: HashMap<&str, f64> = HashMap::new();
        for row in climate_rows() {
            let offset = *offsets.entry(row.zone.as_str()).or_insert(row.utc_offset_h);
            assert_eq!(offset, row.utc_offset_h, "{} in {}", row.in_words(), row.zone);
        }
        let foreign = ["America/Tijuana", "America/Winnipeg", "America/Edmonton", "America/Vancouver"];
        for row in climate_rows().iter().filter(|row| row.country == "US") {
            assert!(!foreign.contains(&row.zone.as_str()), "{} in {}", row.in_words(), row.zone);
        }
    }

    /// Places whose records print a neighbour's zone, by what the zone's law says (state borders and islands).
    #[test]
    fn places_that_carried_a_neighbours_zone_are_corrected_and_say_so() {
        assert_eq!(climate_rows().iter().filter(|row| !row.zone_note.is_empty()).count(), 31);
        for (id, zone, offset) in [
            ("704540", "America/Adak", -10.0),
            ("722255", "America/New_York", -5.0),
            ("727640", "America/Chicago", -6.0),
            ("726458", "America/Chicago", -6.0),
            ("723783", "America/Phoenix", -7.0),
            ("703980", "America/Metlakatla", -9.0),
            ("702000", "America/Nome", -9.0),
        ] {
            let row = by_id(id).unwrap();
            assert_eq!((row.zone.as_str(), row.utc_offset_h), (zone, offset), "{}", row.in_words());
            assert!(row.zone_note.contains("was"), "{}", row.in_words());
        }
        for row in climate_rows().iter().filter(|row| row.region == "WI") {
            assert_eq!(row.zone, "America/Chicago", "{}", row.in_words());
        }
    }

    /// One degree of a great circle is 6371 km · π/180 = 111.195 km.
    #[test]
    fn distances_follow_the_great_circle_also_across_the_date_line() {
        assert!((great_circle_km(0.0, 179.5, 0.0, -179.5) - 111.195).abs() < 0.001);
        assert!((great_circle_km(0.0, 0.0, 90.0, 77.0) - 6371.0 * std::f64::consts::FRAC_PI_2).abs() < 1e-6);
        assert_eq!(great_circle_km(42.0, 7.0, 42.0, 7.0), 0.0);
        // From the Aleutian far side of the date line Shemya is the neighbour of Adak.
        assert_eq!(nearest(52.0, -179.9).unwrap().0.country, "US");
    }

    #[test]
    fn a_place_is_nearest_to_itself() {
        for row in climate_rows() {
            let (found, km) = nearest(row.latitude, row.longitude).unwrap();
            assert!(km < 1e-9 && found.latitude == row.latitude && found.longitude == row.longitude);
        }
    }

    #[test]
    fn a_point_off_the_earth_is_an_error() {
        assert!(nearest(91.0, 0.0).is_err() && nearest(0.0, -181.0).is_err());
        assert!(nearest(f64::NAN, 0.0).is_err() && nearest(0.0, f64::INFINITY).is_err());
    }

    #[test]
    fn temperatures_name_their_place_and_basis() {
        let row = by_id("703980").unwrap();
        let high = row.high();
        assert!((high.si() - 273.15 - row.high_c.0).abs() < 1e-9);
        let quantity::Origin::Tabled(line) = high.origin else { panic!("not from a table") };
        assert!(line.row.contains("Annette Island"), "{line}");
        assert_eq!(row.extreme_minimum().is_some(), row.extreme_minimum_c.is_some());
    }
}
