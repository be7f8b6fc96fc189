//! A place on Earth, and the air above it.

use crate::air_mass::pressure_at_hpa;

/// A place and the air that bends light there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observer {
    /// Geodetic latitude, −90 to 90, north positive.
    pub latitude_deg: f64,
    /// Longitude, −180 to 180, east positive.
    pub longitude_deg: f64,
    /// Height above sea level, metres, −500 to 9000.
    pub elevation_m: f64,
    /// Yearly mean air pressure, hectopascal; only refraction depends on it.
    pub pressure_hpa: f64,
    /// Yearly mean air temperature, °C; only refraction depends on it.
    pub temperature_c: f64,
}

/// Why a place is not one: the value that is out of range, and the range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BadObserver {
    /// Which value: `latitude`, `longitude` or `elevation`.
    pub what: &'static str,
    /// The value that was given.
    pub value: f64,
    /// Lowest and highest value that are allowed.
    pub allowed: (f64, f64),
}

impl core::fmt::Display for BadObserver {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} {} is outside {} to {}", self.what, self.value, self.allowed.0, self.allowed.1)
    }
}

impl std::error::Error for BadObserver {}

impl Observer {
    /// A place with the standard atmosphere's pressure at its height and 10 °C.
    ///
    /// # Errors
    /// A latitude, longitude or elevation out of range or not a number.
    pub fn new(latitude_deg: f64, longitude_deg: f64, elevation_m: f64) -> Result<Self, BadObserver> {
        let within = |what, value: f64, low: f64, high: f64| {
            if value >= low && value <= high {
                Ok(())
            } else {
                Err(BadObserver { what, value, allowed: (low, high) })
            }
        };
        within("latitude", latitude_deg, -90.0, 90.0)?;
        within("longitude", longitude_deg, -180.0, 180.0)?;
        within("elevation", elevation_m, -500.0, 9000.0)?;
        Ok(Self {
            latitude_deg,
            longitude_deg,
            elevation_m,
            pressure_hpa: pressure_at_hpa(elevation_m),
            temperature_c: 10.0,
        })
    }
}
