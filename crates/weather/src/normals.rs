//! The climate of a place in twelve months.

use sun::{BadObserver, Observer, YearSky};

/// Monthly climate: what an almanac or the climate table gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Normals {
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level, metres.
    pub elevation_m: f64,
    /// Local standard time minus universal time, hours.
    pub utc_offset_h: f64,
    /// Mean daily global energy on the horizontal, kWh/m² per day (peak sun hours), January first.
    pub ghi_kwh_m2_day: [f64; 12],
    /// Mean air temperature, °C.
    pub mean_c: [f64; 12],
    /// Mean of the daily lowest temperatures, °C.
    pub min_c: [f64; 12],
    /// Mean of the daily highest temperatures, °C.
    pub max_c: [f64; 12],
    /// Mean wind 10 m above the ground, m/s; [`ASSUMED_WIND_M_S`] twelve times where nothing is known.
    pub wind_m_s: [f64; 12],
}

/// Mean wind speed at 10 m that is assumed where a climate has none, m/s: the mean of seven hourly years is 3.8, and
/// inland sites have less.
pub const ASSUMED_WIND_M_S: f64 = 3.5;

/// A monthly value that cannot be one.
#[derive(Clone, Debug, PartialEq)]
pub struct BadNormals {
    /// Month, 1 to 12; 0 for the place itself.
    pub month: usize,
    /// What is wrong, in words.
    pub what: String,
    /// What would be accepted.
    pub allowed: &'static str,
}

impl core::fmt::Display for BadNormals {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "month {}: {}; allowed: {}", self.month, self.what, self.allowed)
    }
}

impl std::error::Error for BadNormals {}

impl Normals {
    /// The sky over the normals' own place.
    ///
    /// # Errors
    /// A place off the globe.
    pub fn sky(&self) -> Result<YearSky, BadObserver> {
        Ok(YearSky::new(
            Observer::new(self.latitude_deg, self.longitude_deg, self.elevation_m)?,
            self.utc_offset_h,
        ))
    }

    /// Checks ranges and order of the twelve months; nothing is corrected.
    ///
    /// # Errors
    /// A radiation outside 0 to 12 kWh/m² per day, a temperature outside −80 to 60 °C or not a number, a mean that is not
    /// between its lowest and highest, or a wind outside 0 to 30 m/s.
    pub fn check(&self) -> Result<(), BadNormals> {
        let place = (-90.0..=90.0).contains(&self.latitude_deg)
            && (-180.0..=180.0).contains(&self.longitude_deg)
            && (-500.0..=9000.0).contains(&self.elevation_m)
            && (-12.0..=14.0).contains(&self.utc_offset_h);
        if !place {
            return Err(BadNormals {
                month: 0,
                what: "the place is off the globe".into(),
                allowed: "latitude -90..90, longitude -180..180, elevation -500..9000 m, zone -12..14 h",
            });
        }
        for month in 0..12 {
            let bad = |what: String, allowed| Err(BadNormals { month: month + 1, what, allowed });
            let ghi = self.ghi_kwh_m2_day[month];
            if !(0.0..=12.0).contains(&ghi) {
                return bad(format!("global radiation {ghi} kWh/m² per day"), "0 to 12 kWh/m² per day");
            }
            let wind = self.wind_m_s[month];
            if !(0.0..=30.0).contains(&wind) {
                return bad(format!("mean wind {wind} m/s"), "0 to 30 m/s");
            }
            let (low, mean, high) = (self.min_c[month], self.mean_c[month], self.max_c[month]);
            for t in [low, mean, high] {
                if !(-80.0..=60.0).contains(&t) {
                    return bad(format!("temperature {t} °C"), "-80 to 60 °C");
                }
            }
            if !(low <= mean && mean <= high) {
                return bad(
                    format!("mean {mean} °C is not between {low} and {high} °C"),
                    "lowest ≤ mean ≤ highest",
                );
            }
        }
        Ok(())
    }
}
