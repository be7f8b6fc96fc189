//! Sunlight under a cloudless sky.

use crate::air_mass::{absolute_air_mass, relative_air_mass};
use crate::angle::DEGREE;

/// Linke turbidity assumed where no value of the place is known: clean continental air.
///
/// About 2 clean mountain, 3 clean, 4 to 5 humid, 6 and more polluted (from memory). It is an assumption and must be
/// shown as one wherever a figure depends on it.
pub const ASSUMED_LINKE_TURBIDITY: f64 = 3.0;

/// Irradiance under a cloudless sky, W/m².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearSky {
    /// Global on the horizontal.
    pub ghi_w_m2: f64,
    /// Beam on a plane facing the sun.
    pub dni_w_m2: f64,
    /// Diffuse on the horizontal.
    pub dhi_w_m2: f64,
}

/// Global horizontal irradiance of a clear sky from the sun's height alone, W/m².
///
/// `1098 cos z exp(−0.059 / cos z)`, zero at and below the horizon. Source: Haurwitz 1945, 1946, Journal of
/// Meteorology 2:154 and 3:123 (from memory). Needs nothing but the zenith angle: the fallback of the program.
pub fn haurwitz_ghi(zenith_apparent_deg: f64) -> f64 {
    let cos_z = libm::cos(zenith_apparent_deg * DEGREE);
    if zenith_apparent_deg >= 90.0 || cos_z <= 0.0 {
        return 0.0;
    }
    1098.0 * cos_z * libm::exp(-0.059 / cos_z)
}

/// Clear-sky irradiance from turbidity.
///
/// - `zenith_apparent_deg`: zenith angle, refraction included; zero irradiance from 90° on.
/// - `elevation_m`: height of the place.
/// - `linke_turbidity`: 1 (dry clean air) to about 8; [`ASSUMED_LINKE_TURBIDITY`] where unknown.
/// - `normal_w_m2`: extraterrestrial normal irradiance of the day.
///
/// Below 5° altitude the enhancement term `exp(0.01 m^1.8)`, which grows without bound, keeps its value at 5°.
/// Source: Ineichen & Perez 2002, Solar Energy 73:151; Perez et al. 2002, Solar Energy 73:307. The constants of the
/// beam limit are from memory.
pub fn ineichen_perez(
    zenith_apparent_deg: f64,
    elevation_m: f64,
    linke_turbidity: f64,
    normal_w_m2: f64,
) -> ClearSky {
    let cos_z = libm::cos(zenith_apparent_deg * DEGREE);
    if zenith_apparent_deg >= 90.0 || cos_z <= 0.0 {
        return ClearSky { ghi_w_m2: 0.0, dni_w_m2: 0.0, dhi_w_m2: 0.0 };
    }
    let air_mass = absolute_air_mass(relative_air_mass(zenith_apparent_deg), elevation_m);
    let enhanced = absolute_air_mass(relative_air_mass(zenith_apparent_deg.min(85.0)), elevation_m);
    let fh1 = libm::exp(-elevation_m / 8000.0);
    let fh2 = libm::exp(-elevation_m / 1250.0);
    let cg1 = 5.09e-5 * elevation_m + 0.868;
    let cg2 = 3.92e-5 * elevation_m + 0.0387;
    let ghi = cg1
        * normal_w_m2
        * cos_z
        * libm::exp(-cg2 * air_mass * (fh1 + fh2 * (linke_turbidity - 1.0)))
        * libm::exp(0.01 * libm::pow(enhanced, 1.8));
    let beam = (0.664 + 0.163 / fh1) * normal_w_m2 * libm::exp(-0.09 * air_mass * (linke_turbidity - 1.0));
    let limit = ghi * (1.0 - (0.1 - 0.2 * libm::exp(-linke_turbidity)) / (0.1 + 0.882 / fh1)) / cos_z;
    let dni = beam.min(limit).max(0.0);
    ClearSky { ghi_w_m2: ghi, dni_w_m2: dni, dhi_w_m2: (ghi - dni * cos_z).max(0.0) }
}
