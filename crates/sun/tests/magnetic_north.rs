//! The World Magnetic Model against its published test values.
#![allow(clippy::print_stderr)] // The largest differences are printed for the validation record.

use sun::{MagneticZone, decimal_year, magnetic_declination, magnetic_field};

fn rows() -> Vec<Vec<String>> {
    include_str!("../../../cases/solar/wmm2025_checks.csv")
        .lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("decimal_year"))
        .map(|line| line.splitn(13, ',').map(str::to_string).collect())
        .collect()
}

#[test]
fn declination_and_field_are_those_of_the_published_values() {
    let table = rows();
    assert_eq!(table.len(), 20);
    let (mut worst_deg, mut worst_nt) = (0.0_f64, 0.0_f64);
    for row in &table {
        let number = |column: usize| row[column].parse::<f64>().expect("a number");
        let (year, height_m, latitude, longitude) = (number(0), 1000.0 * number(1), number(2), number(3));
        let found = magnetic_declination(latitude, longitude, height_m, year).expect("inside the model");
        let field = magnetic_field(latitude, longitude, height_m, year).expect("inside the model");
        // The published table prints hundredths of a degree, the derived column four decimals: half a unit each.
        assert!((found.declination_deg - number(4)).abs() <= 0.005 + 1e-9, "{row:?}: {found:?}");
        worst_deg = worst_deg.max((found.declination_deg - number(11)).abs());
        for (value, column) in
            [(field.north_nt, 5), (field.east_nt, 6), (field.down_nt, 7), (found.horizontal_nt, 8)]
        {
            worst_nt = worst_nt.max((value - number(column)).abs());
        }
    }
    eprintln!(
        "magnetic model, {} places: largest difference {worst_deg:.1e}° (four decimals printed), {worst_nt:.1e} nT (two printed)",
        table.len()
    );
    assert!(worst_deg <= 5.1e-5, "{worst_deg}");
    assert!(worst_nt <= 5.1e-3, "{worst_nt}");
}

#[test]
fn a_date_or_place_outside_the_model_is_refused() {
    for year in [2024.99, 2030.01, f64::NAN] {
        let refused = magnetic_declination(45.0, 10.0, 0.0, year).expect_err("outside");
        assert_eq!(refused.what, "year");
        assert_eq!(refused.allowed, (2025.0, 2030.0));
    }
    assert!(magnetic_declination(45.0, 10.0, 0.0, 2025.0).is_ok());
    assert!(magnetic_declination(45.0, 10.0, 0.0, 2030.0).is_ok());
    assert_eq!(magnetic_declination(91.0, 10.0, 0.0, 2026.0).expect_err("off the globe").what, "latitude");
    assert_eq!(magnetic_declination(45.0, 999.0, 0.0, 2026.0).expect_err("off the globe").what, "longitude");
    assert_eq!(magnetic_declination(45.0, 10.0, f64::NAN, 2026.0).expect_err("no height").what, "height");
}

#[test]
fn compasses_are_doubted_near_the_magnetic_poles_and_numbers_stay_finite_at_the_geographic_ones() {
    // The north dip pole of 2025 lies near 85.8° N, 139.3° E and the south one near 63.8° S, 135.1° E (stated with the
    // model; from memory).
    for (latitude, longitude) in [(85.8, 139.3), (-63.8, 135.1)] {
        let found = magnetic_declination(latitude, longitude, 0.0, 2025.0).expect("inside the model");
        assert_eq!(found.zone, MagneticZone::Blackout, "{found:?}");
    }
    // Rows of the published table with 6 217 and 6 523 nT lie just outside the caution zone, 12 773 nT far outside.
    assert_eq!(magnetic_declination(80.0, 0.0, 0.0, 2025.0).expect("inside").zone, MagneticZone::Usual);
    let near = magnetic_declination(81.5, 0.0, 0.0, 2025.0).expect("inside");
    assert_eq!(near.zone, MagneticZone::Caution, "{near:?}");
    for latitude in [90.0, -90.0] {
        let pole = magnetic_declination(latitude, 0.0, 0.0, 2027.0).expect("inside the model");
        assert!(pole.declination_deg.is_finite() && pole.horizontal_nt.is_finite());
    }
    // Error model by hand: H = 19 544.6 nT at 51.5° N gives √(0.26² + 0.27716²) = 0.3800°.
    let usual = magnetic_declination(51.5, -0.1, 0.0, 2025.0).expect("inside the model");
    assert!((usual.uncertainty_deg - 0.3800).abs() < 1e-4);
}

#[test]
fn dates_become_decimal_years() {
    assert_eq!(decimal_year(2025, 1, 1), 2025.0);
    // 1 July is day 182 (from 0) of 366 in 2028, day 181 of 365 in 2026.
    assert!((decimal_year(2028, 7, 1) - (2028.0 + 182.0 / 366.0)).abs() < 1e-9);
    assert!((decimal_year(2026, 7, 1) - (2026.0 + 181.0 / 365.0)).abs() < 1e-9);
}
