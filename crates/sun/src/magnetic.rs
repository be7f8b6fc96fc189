//! From the compass to true north: the World Magnetic Model 2025.
//!
//! A compass points along the horizontal part of the Earth's field. Its angle from true north, the declination, is
//! added to a compass bearing to make a true one. Iron nearby, which a model cannot know, moves a needle far more than
//! the model's own uncertainty.

use std::sync::OnceLock;

/// First and last decimal year for which the coefficients hold.
pub const MAGNETIC_MODEL_YEARS: (f64, f64) = (2025.0, 2030.0);

/// Below this horizontal field, nT, a compass is unreliable: the model's blackout zone.
pub const BLACKOUT_HORIZONTAL_NT: f64 = 2000.0;
/// Below this horizontal field, nT, a compass needs caution: the model's caution zone.
pub const CAUTION_HORIZONTAL_NT: f64 = 6000.0;

const DEGREE: usize = 12;
/// Reference radius of the model, km.
const RADIUS_KM: f64 = 6371.2;
/// WGS 84: half of the long axis, km, and the square of the eccentricity.
const LONG_AXIS_KM: f64 = 6378.137;
const ECCENTRICITY_SQUARED: f64 = 0.006_694_379_990_141_317;

/// How far a compass may be believed, by the strength of the horizontal field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MagneticZone {
    /// 6000 nT and more.
    Usual,
    /// 2000 to 6000 nT: near a magnetic pole; the needle is weak and the declination changes fast with place and time.
    Caution,
    /// Below 2000 nT: do not use a compass.
    Blackout,
}

/// The angle of a compass needle from true north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Declination {
    /// Degrees, east positive: true bearing = compass bearing + declination.
    pub declination_deg: f64,
    /// Strength of the horizontal field, nT.
    pub horizontal_nt: f64,
    /// Standard deviation of the declination, degrees: `√(0.26² + (5417/H)²)`. Source: the error model published with
    /// WMM2025 (from memory). It covers the model and the natural disturbances of the crust and the sky, not iron nearby.
    pub uncertainty_deg: f64,
    /// Whether a compass is of use here.
    pub zone: MagneticZone,
}

/// The field of the model, nT.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MagneticField {
    /// Towards true north.
    pub north_nt: f64,
    /// Towards true east.
    pub east_nt: f64,
    /// Downwards.
    pub down_nt: f64,
}

/// Why the model gives no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutsideMagneticModel {
    /// Which value: `latitude`, `longitude`, `height` or `year`.
    pub what: &'static str,
    /// The value that was given.
    pub value: f64,
    /// Lowest and highest value that are allowed.
    pub allowed: (f64, f64),
}

impl core::fmt::Display for OutsideMagneticModel {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let (low, high) = self.allowed;
        write!(f, "{} {} is outside {low} to {high} of the World Magnetic Model 2025", self.what, self.value)
    }
}

impl std::error::Error for OutsideMagneticModel {}

/// Declination at a place and date.
///
/// - `latitude_deg` −90 to 90, `longitude_deg` −180 to 360, east positive, both geodetic (WGS 84).
/// - `height_m`: −1000 to 850 000, above the ellipsoid; above sea level serves, the difference of at most 110 m moves the
///   declination by less than 0.001°.
/// - `decimal_year`: 2025.0 to 2030.0 ([`decimal_year`]).
///
/// At the poles themselves "north" is the direction of the meridian of `longitude_deg`.
///
/// # Errors
/// A value outside the model, dates above all: an old model is off by a degree within years.
pub fn magnetic_declination(
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
    decimal_year: f64,
) -> Result<Declination, OutsideMagneticModel> {
    let field = magnetic_field(latitude_deg, longitude_deg, height_m, decimal_year)?;
    let horizontal_nt = libm::hypot(field.north_nt, field.east_nt);
    Ok(Declination {
        declination_deg: libm::atan2(field.east_nt, field.north_nt).to_degrees(),
        horizontal_nt,
        // A field without a horizontal part points nowhere: half a turn is all that can be said.
        uncertainty_deg: libm::hypot(0.26, 5417.0 / horizontal_nt.max(1e-9)).min(180.0),
        zone: if horizontal_nt < BLACKOUT_HORIZONTAL_NT {
            MagneticZone::Blackout
        } else if horizontal_nt < CAUTION_HORIZONTAL_NT {
            MagneticZone::Caution
        } else {
            MagneticZone::Usual
        },
    })
}

/// The field itself; arguments and errors as [`magnetic_declination`].
///
/// Spherical-harmonic synthesis with Schmidt half-normalised functions, degree and order 12, coefficients moved
/// linearly from 2025.0. Source: The US/UK World Magnetic Model for 2025–2030, technical report, equations of
/// section 1 (from memory).
///
/// # Errors
/// A value outside the model.
pub fn magnetic_field(
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
    decimal_year: f64,
) -> Result<MagneticField, OutsideMagneticModel> {
    let within = |what, value: f64, allowed: (f64, f64)| {
        if value >= allowed.0 && value <= allowed.1 {
            Ok(())
        } else {
            Err(OutsideMagneticModel { what, value, allowed })
        }
    };
    within("latitude", latitude_deg, (-90.0, 90.0))?;
    within("longitude", longitude_deg, (-180.0, 360.0))?;
    within("height", height_m, (-1000.0, 850_000.0))?;
    within("year", decimal_year, MAGNETIC_MODEL_YEARS)?;

    // From the ellipsoid to the sphere: radius and geocentric latitude.
    let (sine, cosine) = libm::sincos(latitude_deg.to_radians());
    let curvature_km = LONG_AXIS_KM / (1.0 - ECCENTRICITY_SQUARED * sine * sine).sqrt();
    let height_km = height_m / 1000.0;
    let across_km = (curvature_km + height_km) * cosine;
    let up_km = (curvature_km * (1.0 - ECCENTRICITY_SQUARED) + height_km) * sine;
    let radius_km = libm::hypot(across_km, up_km);
    // Colatitude: its cosine is the sine of the geocentric latitude.
    let (colatitude_cosine, colatitude_sine) = (up_km / radius_km, across_km / radius_km);

    let (mut north, mut east, mut down) = (0.0, 0.0, 0.0);
    let functions = Functions::at(colatitude_cosine, colatitude_sine);
    let years = decimal_year - MAGNETIC_MODEL_YEARS.0;
    for row in coefficients() {
        let (n, m) = (row.degree, row.order);
        let g = row.g_nt + years * row.g_nt_per_year;
        let h = row.h_nt + years * row.h_nt_per_year;
        let (order_sine, order_cosine) = libm::sincos((m as f64 * longitude_deg).to_radians());
        let fall = libm::pow(RADIUS_KM / radius_km, n as f64 + 2.0);
        let along = g * order_cosine + h * order_sine;
        north += fall * along * functions.slope[n][m];
        east += fall * m as f64 * (g * order_sine - h * order_cosine) * functions.over_sine[n][m];
        down -= fall * (n as f64 + 1.0) * along * functions.value[n][m];
    }
    // Back from the sphere to the ellipsoid: turn by the difference of the two latitudes.
    let turn_sine = colatitude_cosine * cosine - colatitude_sine * sine;
    let turn_cosine = colatitude_sine * cosine + colatitude_cosine * sine;
    Ok(MagneticField {
        north_nt: north * turn_cosine - down * turn_sine,
        east_nt: east,
        down_nt: north * turn_sine + down * turn_cosine,
    })
}

/// A date as a decimal year: 1 January 0 h is `year`.0. Days beyond the month's end run on.
pub fn decimal_year(year: i32, month: u32, day: u32) -> f64 {
    let start = crate::julian_day(year, 1, 1, 0.0);
    let length = if crate::is_leap_year(year) { 366.0 } else { 365.0 };
    f64::from(year) + (crate::julian_day(year, month, day, 0.0) - start) / length
}

/// Schmidt half-normalised associated Legendre functions of the cosine of colatitude.
struct Functions {
    /// `P`.
    value: [[f64; DEGREE + 1]; DEGREE + 1],
    /// `P` over the sine of colatitude, for orders from 1: finite at the poles, where `P` and sine are both zero.
    over_sine: [[f64; DEGREE + 1]; DEGREE + 1],
    /// `dP/dθ`, θ the colatitude.
    slope: [[f64; DEGREE + 1]; DEGREE + 1],
}

impl Functions {
    fn at(cosine: f64, sine: f64) -> Self {
        let zero = [[0.0; DEGREE + 1]; DEGREE + 1];
        let mut found = Self { value: zero, over_sine: zero, slope: zero };
        found.value[0][0] = 1.0;
        for n in 1..=DEGREE {
            let degree = n as f64;
            for m in 0..=n {
                let order = m as f64;
                let next = |table: &[[f64; DEGREE + 1]; DEGREE + 1]| {
                    let below = if n >= 2 { table[n - 2][m] } else { 0.0 };
                    let before = ((degree - 1.0) * (degree - 1.0) - order * order).max(0.0).sqrt();
                    ((2.0 * degree - 1.0) * cosine * table[n - 1][m] - before * below)
                        / (degree * degree - order * order).sqrt()
                };
                if m == 0 {
                    found.value[n][0] = next(&found.value);
                    continue;
                }
                found.over_sine[n][m] = match (n == m, n) {
                    (true, 1) => 1.0,
                    (true, _) => (1.0 - 0.5 / degree).sqrt() * sine * found.over_sine[n - 1][m - 1],
                    (false, _) => next(&found.over_sine),
                };
                found.value[n][m] = sine * found.over_sine[n][m];
                found.slope[n][m] = degree * cosine * found.over_sine[n][m]
                    - (degree * degree - order * order).sqrt() * found.over_sine[n - 1][m];
            }
            found.slope[n][0] = -(0.5 * degree * (degree + 1.0)).sqrt() * found.value[n][1];
        }
        found
    }
}

/// One row of the coefficient table.
struct Coefficient {
    degree: usize,
    order: usize,
    g_nt: f64,
    h_nt: f64,
    g_nt_per_year: f64,
    h_nt_per_year: f64,
}

fn coefficients() -> &'static [Coefficient] {
    static ROWS: OnceLock<Vec<Coefficient>> = OnceLock::new();
    ROWS.get_or_init(|| {
        include_str!("../data/wmm2025_coefficients.csv")
            .lines()
            .filter(|line| !line.starts_with('#') && !line.starts_with('n'))
            .filter_map(|line| {
                let cells: Vec<f64> = line.split(',').filter_map(|cell| cell.trim().parse().ok()).collect();
                let [n, m, g, h, g_rate, h_rate] = cells[..] else { return None };
                (n <= DEGREE as f64 && m <= n).then_some(Coefficient {
                    degree: n as usize,
                    order: m as usize,
                    g_nt: g,
                    h_nt: h,
                    g_nt_per_year: g_rate,
                    h_nt_per_year: h_rate,
                })
            })
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_coefficient_of_the_model_is_read() {
        let rows = coefficients();
        // Degrees 1 to 12 with orders 0 to n: Σ (n + 1) = 90.
        assert_eq!(rows.len(), 90);
        let mut place = rows.iter().map(|row| (row.degree, row.order));
        for n in 1..=DEGREE {
            for m in 0..=n {
                assert_eq!(place.next(), Some((n, m)));
            }
        }
        assert!(rows.iter().all(|row| row.order > 0 || row.h_nt == 0.0 && row.h_nt_per_year == 0.0));
    }

    #[test]
    fn low_functions_are_those_of_the_textbook() {
        // P20 = (3c² − 1)/2, P21 = √3 c s, P22 = √3/2 s², dP11/dθ = c, dP20/dθ = −3cs (Schmidt half-normalised).
        let (s, c) = 0.7_f64.sin_cos();
        let f = Functions::at(c, s);
        let three = 3.0_f64.sqrt();
        for (found, expected) in [
            (f.value[2][0], 0.5 * (3.0 * c * c - 1.0)),
            (f.value[2][1], three * c * s),
            (f.value[2][2], 0.5 * three * s * s),
            (f.slope[1][1], c),
            (f.slope[2][0], -3.0 * c * s),
            (f.slope[2][2], three * s * c),
        ] {
            assert!((found - expected).abs() < 1e-14, "{found} {expected}");
        }
    }
}
