//! Degrees, radians and winding angles.

pub(crate) const DEGREE: f64 = core::f64::consts::PI / 180.0;

/// `angle` brought into 0 (included) to 360 (excluded).
pub(crate) fn turn(angle_deg: f64) -> f64 {
    let wound = angle_deg - 360.0 * libm::floor(angle_deg / 360.0);
    // A tiny negative angle rounds to exactly 360.
    if wound >= 360.0 { 0.0 } else { wound }
}

/// `angle` brought into −180 (included) to 180 (excluded).
pub(crate) fn half_turn(angle_deg: f64) -> f64 {
    turn(angle_deg + 180.0) - 180.0
}

/// `c[0] + c[1] x + c[2] x² + …`
pub(crate) fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}
