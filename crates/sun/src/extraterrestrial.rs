//! Sunlight above the air.

use crate::angle::{DEGREE, polynomial};

/// The solar constant, W/m², used everywhere in the program.
///
/// 1367 is the value of the World Radiation Center, with which the textbooks and the clearness-index correlations
/// used here (Erbs, the daily library, the hourly model) are stated. Later work gives 1361.1 (Gueymard 2018); the
/// clearness index would change by 0.4 %, and both sides of every correlation with it.
pub const SOLAR_CONSTANT_W_M2: f64 = 1367.0;

/// Extraterrestrial irradiance on a plane facing the sun, W/m², at a distance in astronomical units.
pub fn normal_at_distance_w_m2(distance_au: f64) -> f64 {
    SOLAR_CONSTANT_W_M2 / (distance_au * distance_au)
}

/// Extraterrestrial normal irradiance over the solar constant on day `n` (1 to 365): `1 + 0.033 cos(360 n/365)`.
///
/// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, section 1.4.
pub fn simple_normal_factor(n: f64) -> f64 {
    1.0 + 0.033 * libm::cos(360.0 * n / 365.0 * DEGREE)
}

/// Extraterrestrial normal irradiance over the solar constant on day `n` (1 to 365), Fourier form of Spencer 1971.
pub fn spencer_normal_factor(n: f64) -> f64 {
    let b = 360.0 * (n - 1.0) / 365.0 * DEGREE;
    let (s, c) = libm::sincos(b);
    let (s2, c2) = libm::sincos(2.0 * b);
    1.000110 + 0.034221 * c + 0.001280 * s + 0.000719 * c2 + 0.000077 * s2
}

/// Declination of day `n` for hand checks, degrees: `23.45 sin(360 (284 + n)/365)` (Cooper 1969), good to half a degree.
pub fn cooper_declination_deg(n: f64) -> f64 {
    23.45 * libm::sin(360.0 * (284.0 + n) / 365.0 * DEGREE)
}

/// Equation of time of day `n` for hand checks, minutes (Spencer 1971).
pub fn spencer_equation_of_time_min(n: f64) -> f64 {
    let b = 360.0 * (n - 1.0) / 365.0 * DEGREE;
    let (s, c) = libm::sincos(b);
    let (s2, c2) = libm::sincos(2.0 * b);
    229.2 * (0.000075 + 0.001868 * c - 0.032077 * s - 0.014615 * c2 - 0.04089 * s2)
}

/// Hour angle of the geometric sunset, degrees: 0 in the polar night, 180 under the midnight sun.
pub fn sunset_hour_angle_deg(latitude_deg: f64, declination_deg: f64) -> f64 {
    let x = -libm::tan(latitude_deg * DEGREE) * libm::tan(declination_deg * DEGREE);
    libm::acos(x.clamp(-1.0, 1.0)) / DEGREE
}

/// Daily extraterrestrial radiation on the horizontal, MJ/m², for hand checks.
///
/// `H0 = 24·3600/π · G · (cos φ cos δ sin ωs + ωs sin φ sin δ)`, `normal_w_m2` being the normal irradiance of the day.
/// Source: Duffie & Beckman, equation 1.10.3. The calendar integrates the true sun instead.
pub fn daily_horizontal_mj_m2(latitude_deg: f64, declination_deg: f64, normal_w_m2: f64) -> f64 {
    let (sin_f, cos_f) = libm::sincos(latitude_deg * DEGREE);
    let (sin_d, cos_d) = libm::sincos(declination_deg * DEGREE);
    let ws = sunset_hour_angle_deg(latitude_deg, declination_deg) * DEGREE;
    let day = cos_f * cos_d * libm::sin(ws) + ws * sin_f * sin_d;
    polynomial(&[0.0, 24.0 * 3600.0 / core::f64::consts::PI * normal_w_m2 / 1e6], day)
}
