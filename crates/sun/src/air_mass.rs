//! How much air the light crosses.

use crate::angle::DEGREE;

/// Relative optical air mass at an apparent zenith angle (refraction included), degrees.
///
/// `m = 1 / (cos z + 0.50572 (96.07995 − z)^−1.6364)`. From 1 at the zenith to 38 at the horizon; a zenith angle
/// beyond 90° answers the horizon's value. Source: Kasten & Young 1989, Applied Optics 28:4735.
pub fn relative_air_mass(zenith_apparent_deg: f64) -> f64 {
    let z = zenith_apparent_deg.clamp(0.0, 90.0);
    1.0 / (libm::cos(z * DEGREE) + 0.50572 * libm::pow(96.07995 - z, -1.6364))
}

/// Relative air mass scaled by the air pressure at the elevation, metres.
pub fn absolute_air_mass(relative: f64, elevation_m: f64) -> f64 {
    relative * pressure_at_hpa(elevation_m) / 1013.25
}

/// Pressure of the standard atmosphere at a height in metres, hectopascal.
///
/// `P = 1013.25 (1 − 2.25577e-5 h)^5.25588`. Source: ICAO standard atmosphere, troposphere.
pub fn pressure_at_hpa(elevation_m: f64) -> f64 {
    1013.25 * libm::pow(1.0 - 2.25577e-5 * elevation_m, 5.25588)
}
