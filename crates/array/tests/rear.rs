//! The back of a bifacial rack: view factors with closed forms, and hand-worked light.
#![allow(clippy::print_stdout)] // The figures of the comparisons are printed for the validation record.

use array::rear::{Rack, RearView, add_rear};
use array::transposition::{SkyModel, SkySeries, SkyYear};
use proptest::prelude::*;

/// One hour: sun due south at a zenith angle, isotropic sky.
fn hour(zenith: f64, dni: f64, dhi: f64, albedo: f64) -> SkyYear {
    let ghi = dni * zenith.to_radians().cos().max(0.0) + dhi;
    SkyYear::new(
        SkyModel::Isotropic,
        &SkySeries {
            zenith_deg: &[zenith],
            azimuth_deg: &[180.0],
            extraterrestrial_w_m2: &[1361.0],
            relative_air_mass: &[1.0],
            ghi_w_m2: &[ghi],
            dni_w_m2: &[dni],
            dhi_w_m2: &[dhi],
            albedo: &[albedo],
        },
    )
    .expect("usable series")
}

fn alone(tilt_deg: f64, clearance_m: f64) -> Rack {
    Rack { tilt_deg, azimuth_deg: 180.0, slant_m: 2.0, clearance_m, pitch_m: None }
}

#[test]
fn a_rack_alone_sees_sky_and_ground_by_its_tilt() {
    for tilt in [0.0_f64, 20.0, 45.0, 90.0] {
        let view = RearView::new(&alone(tilt, 1.0)).expect("a rack");
        let (sky, ground, row) = view.view_factors();
        let expected = 0.5 * (1.0 - tilt.to_radians().cos());
        // Rays of one degree: the horizon falls between two of them, worth at most (cos a − cos b)/2 of one, 0.0087.
        assert!((sky - expected).abs() < 0.0088, "{tilt}: {sky}");
        assert!((sky + ground - 1.0).abs() < 1e-12 && row.abs() < 1e-12);
    }
}

#[test]
fn a_wall_gets_half_of_sky_and_half_of_ground_on_its_back() {
    // No beam, even sky of 200 W/m², albedo 0.5. From a wall's back: 0.5 × 200 of the sky. The ground before it sees half
    // of its sky behind the wall's foot at the nearest and all of it far away; from high above the ground
    // (clearance 200 m) the wall hides next to nothing: 0.5 × 0.5 × 200.
    let view = RearView::new(&alone(90.0, 200.0)).expect("a rack");
    let light = view.rear_w_m2(&hour(60.0, 0.0, 200.0, 0.5))[0];
    // The level ray is half sky, half ground: 0.0044 of the view.
    assert!((light - 150.0).abs() < 1.5, "{light}");
}

#[test]
fn a_low_flat_table_darkens_the_ground_it_looks_at() {
    // A flat table so high that its shadow is lost gets all of the ground's light: 0.25 × (800 cos 40° + 100) = 178.2.
    let sun = hour(40.0, 800.0, 100.0, 0.25);
    let open = 0.25 * (800.0 * 40.0_f64.to_radians().cos() + 100.0);
    let high = RearView::new(&alone(0.0, 500.0)).expect("a rack").rear_w_m2(&sun)[0];
    assert!((high / open - 1.0).abs() < 0.01, "{high} {open}");
    // Lying on the ground it sees nothing but its own shadow.
    let low = RearView::new(&alone(0.0, 0.001)).expect("a rack").rear_w_m2(&sun)[0];
    assert!(low < 0.02 * open, "{low}");
    // A table of slant 2 m at 1 m: with the sun overhead the shaded strip lies right below. From its middle that strip fills
    // the angle atan(1/1) on either side: view factor sin 45° = 0.7071; from its ends 0.5 sin(atan 2) = 0.4472. Simpson over
    // middle and ends: (0.4472 + 4 × 0.7071 + 0.4472)/6 = 0.6205; the closed mean of two equal parallel strips at distance h
    // and width w is √(1 + (h/w)²) − h/w = 0.6180. So beam is lost on that share.
    let overhead = hour(0.0, 1000.0, 0.0, 0.25);
    let table = RearView::new(&alone(0.0, 1.0)).expect("a rack").rear_w_m2(&overhead)[0];
    let expected = 250.0 * (1.0 - (1.25_f64.sqrt() - 0.5));
    // Twelve strips and one-degree rays: two per cent.
    assert!((table / expected - 1.0).abs() < 0.02, "{table} {expected}");
}

#[test]
fn the_sun_behind_lights_the_back_straight() {
    // A wall whose front looks north, black ground, beam of 500 W/m² at zenith 60° from the south: 500 sin 60° = 433.0.
    let north = Rack { azimuth_deg: 0.0, ..alone(90.0, 1.0) };
    let light = RearView::new(&north).expect("a rack").rear_w_m2(&hour(60.0, 500.0, 0.0, 0.0))[0];
    assert!((light - 500.0 * 60.0_f64.to_radians().sin()).abs() < 1e-9, "{light}");
    // A row 2 m behind covers the lower part: the ray over its top falls by 2/tan 60° = 1.1547 m, 0.8453 m of 2 m are
    // shaded; twelve strips resolve a twelfth.
    let rows = Rack { pitch_m: Some(2.0), ..north };
    let light = RearView::new(&rows).expect("a rack").rear_w_m2(&hour(60.0, 500.0, 0.0, 0.0))[0];
    assert!((light / (500.0 * 60.0_f64.to_radians().sin()) - 0.577_35).abs() < 1.0 / 12.0, "{light}");
}

#[test]
fn the_back_adds_to_the_cells_by_its_share() {
    let mut cells = [600.0, 0.0];
    add_rear(&mut cells, &[100.0, 10.0], 0.7, 0.95).expect("usable shares");
    assert!((cells[0] - 666.5).abs() < 1e-12 && (cells[1] - 6.65).abs() < 1e-12);
    assert!(add_rear(&mut cells, &[100.0], 0.7, 0.95).is_err());
    assert!(add_rear(&mut cells, &[100.0, 10.0], 1.7, 0.95).is_err());
    assert!(add_rear(&mut cells, &[f64::NAN, 10.0], 0.7, 0.95).is_err());
    assert!(RearView::new(&Rack { pitch_m: Some(1.0), ..alone(30.0, 1.0) }).is_err());
    assert!(RearView::new(&Rack { clearance_m: f64::NAN, ..alone(30.0, 1.0) }).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn the_back_never_gets_more_than_open_sky_and_open_ground_give(
        tilt in 0.0f64..90.0, clearance in 0.0f64..3.0, room in 0.1f64..6.0, zenith in 0.0f64..89.0,
        dni in 0.0f64..900.0, dhi in 0.0f64..400.0, albedo in 0.0f64..0.8,
    ) {
        let rack = alone(tilt, clearance);
        let rows = Rack { pitch_m: Some(2.0 * tilt.to_radians().cos() + room), ..rack };
        let sky = hour(zenith, dni, dhi, albedo);
        let (single, many) = (RearView::new(&rack).expect("a rack"), RearView::new(&rows).expect("rows"));
        let (a, b) = (single.rear_w_m2(&sky)[0], many.rear_w_m2(&sky)[0]);
        let ghi = dni * zenith.to_radians().cos() + dhi;
        let (view_sky, view_ground, _) = single.view_factors();
        // The front looks at the sun, so no beam reaches the back unless the plane is steep and the sun high above it.
        let behind = (zenith.to_radians().sin() * -tilt.to_radians().sin() - zenith.to_radians().cos() * tilt.to_radians().cos()).max(0.0);
        let most = dhi * view_sky + albedo * ghi * view_ground + dni * behind;
        prop_assert!(a >= 0.0 && a <= most + 1e-9, "{a} {most}");
        prop_assert!(b >= 0.0 && b <= a + 1e-9, "rows {b} alone {a}");
    }
}
