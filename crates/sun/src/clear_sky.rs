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

/// Optical thickness, per unit of air mass, of an atmosphere without haze and water vapour.
///
/// `air_mass` is the absolute one. Source: Kasten 1996, The Linke turbidity factor based on improved values of the integral
/// Rayleigh optical thickness, Solar Energy 56:239 (from memory).
pub fn clean_dry_optical_thickness(air_mass: f64) -> f64 {
    let m = air_mass.max(0.0);
    if m > 20.0 {
        return 1.0 / (10.4 + 0.718 * m);
    }
    1.0 / (6.6296 + m * (1.7513 + m * (-0.1202 + m * (0.0065 - m * 0.00013))))
}

/// Share of the beam above the air that comes through clean dry air, 0 to 1: a bound that haze and vapour always lower.
///
/// Beer's law with [`clean_dry_optical_thickness`]; `air_mass` is the absolute one.
pub fn clean_dry_beam_share(air_mass: f64) -> f64 {
    libm::exp(-air_mass.max(0.0) * clean_dry_optical_thickness(air_mass))
}

/// Share of the light above the air that reaches the horizontal through clean dry air, 0.5 to 1: a bound, hardly ever reached.
///
/// What the beam loses is taken as scattered by the air itself, which sends half of it down (the phase function of Rayleigh
/// is the same forwards and backwards); ozone and other gases take some of it in truth. `air_mass` is the absolute one.
pub fn clean_dry_global_share(air_mass: f64) -> f64 {
    0.5 * (1.0 + clean_dry_beam_share(air_mass))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clean_dry_air_lets_less_through_the_more_of_it_there_is() {
        // The two pieces of the published form meet at an air mass of 20 within a part in a thousand.
        let (below, above) = (clean_dry_optical_thickness(20.0), clean_dry_optical_thickness(20.000_001));
        assert!((below / above - 1.0).abs() < 1.5e-3, "{below} {above}");
        let mut before = clean_dry_global_share(0.0);
        assert_eq!(before, 1.0);
        for step in 1..=400 {
            let share = clean_dry_global_share(0.1 * f64::from(step));
            assert!(share < before + 2e-4 && share > 0.5, "{step}: {share}");
            before = share;
        }
        // By hand from the coefficients at an air mass of 2: 1/(6.6296 + 3.5026 - 0.4808 + 0.052 - 0.00208) = 0.103078.
        assert!((clean_dry_optical_thickness(2.0) - 0.103_078).abs() < 1e-6);
    }
}
