//! Rows and shaded strings: a table of row spacings, hand-worked shadows, and trials on the curve.

mod common;

use array::bypass_sections::{
    ModuleStand, SectionGroup, best_point, section_of, share_of_sections_reached, string_voltage_v,
};
use array::rows::{Rows, shadow_m, solstice_pitch_m, solstice_sun_deg};
use array::single_diode::ReferenceModule;
use common::{Largest, rows};
use proptest::prelude::*;

const SPACING: &str = include_str!("../../../cases/solar/row_spacing_checks.csv");

#[test]
fn solstice_spacing_agrees_with_the_table_on_both_halves_of_the_earth() {
    let mut angles = Largest::default();
    let mut lengths = Largest::default();
    let table = rows(SPACING);
    assert_eq!(table.len(), 7);
    for row in &table {
        let place = row.text("lat_N_deg");
        let latitude = row.number("lat_N_deg");
        let (altitude, turned) = solstice_sun_deg(latitude, -3.0);
        angles.see(altitude - row.number("alt_at_9h_solar_deg"), place);
        angles.see(turned - row.number("sun_az_from_south_deg(east negative)"), place);
        let gap = shadow_m(1.0, altitude, turned).expect("the sun is up");
        lengths.see(gap - row.number("gap_per_unit_height"), place);
        for side in [latitude, -latitude] {
            let pitch = solstice_pitch_m(side, 30.0, 1.0, 3.0).expect("the sun is up");
            lengths.see(pitch - row.number("pitch_m"), place);
            let racks = Rows::new(30.0, 180.0, 1.0, pitch).expect("rows");
            lengths.see(racks.ground_cover() - row.number("ground_cover_ratio"), place);
        }
    }
    // Half a unit of the last printed digit, and a tenth.
    angles.at_most("solstice sun, deg", 5.5e-5);
    lengths.at_most("row spacing, m and shares", 5.5e-6);
}

#[test]
fn above_the_polar_circle_the_rule_has_no_answer() {
    assert_eq!(solstice_pitch_m(69.0, 30.0, 2.0, 3.0), None);
}

#[test]
fn rows_at_the_spacing_of_a_sun_are_just_not_shaded_by_it() {
    for latitude in [20.0, 35.0, 50.0] {
        let (altitude, turned) = solstice_sun_deg(latitude, -3.0);
        let pitch = solstice_pitch_m(latitude, 30.0, 2.0, 3.0).expect("the sun is up");
        let racks = Rows::new(30.0, 180.0, 2.0, pitch).expect("rows");
        assert!(racks.shaded_share(90.0 - altitude, 180.0 + turned) < 1e-12);
        assert!(racks.shaded_share(90.0 - altitude + 0.5, 180.0 + turned) > 0.0);
    }
}

#[test]
fn the_edge_of_the_shade_lies_where_a_hand_drawing_puts_it() {
    // Walls 2 m high, 4 m apart, the sun straight ahead at atan(1/4): the ray over the top of one wall has fallen 1 m when
    // it meets the next, whose lower half is shaded.
    let walls = Rows::new(90.0, 180.0, 2.0, 4.0).expect("rows");
    let altitude = (0.25_f64).atan().to_degrees();
    assert!((walls.shaded_share(90.0 - altitude, 180.0) - 0.5).abs() < 1e-12);
    // The sun behind the walls shades nothing of their faces that it does not light.
    assert_eq!(walls.shaded_share(60.0, 0.0), 0.0);
    // Masking angle atan(2/4) from the foot; nothing from the top.
    assert!((walls.masking_angle_deg() - 26.565_051_177).abs() < 1e-8);
    assert!((walls.seen_sky_at(1.0) - 1.0).abs() < 1e-15);
    // From the foot of a wall: 1 + cos(90° + 26.565°) = 1 - 0.4472136.
    assert!((walls.seen_sky_at(0.0) - 0.552_786_4).abs() < 1e-7);
    assert!(Rows::new(0.0, 180.0, 2.0, 1.9).is_err());
}

#[test]
fn shade_reaches_sections_whole() {
    // Two modules up, upright: a tenth of the slant takes the lower module whole; lying with three sections, one of six.
    assert_eq!(share_of_sections_reached(0.1, 2, ModuleStand::Upright, 3), 0.5);
    assert!((share_of_sections_reached(0.1, 2, ModuleStand::Lying, 3) - 1.0 / 6.0).abs() < 1e-15);
    assert_eq!(share_of_sections_reached(0.0, 2, ModuleStand::Lying, 3), 0.0);
    assert_eq!(share_of_sections_reached(0.5, 2, ModuleStand::Upright, 3), 0.5);
    assert_eq!(share_of_sections_reached(1.0, 2, ModuleStand::Upright, 3), 1.0);
}

/// Set D of `cases/solar/iv_desoto_reference_parameters.csv`.
fn module() -> ReferenceModule {
    ReferenceModule {
        light_current_a: 9.812_305_268,
        log_saturation_current: 3.340_545_38e-11_f64.ln(),
        ideality_v: 1.508_276_222,
        series_ohm: 0.282_396_211_6,
        shunt_siemens: 1.0 / 224.902_28,
        alpha_isc_a_per_k: 0.0049,
    }
}

#[test]
fn sections_in_even_light_give_what_the_module_gives() {
    let diode = module().at(1000.0, 25.0);
    let groups = [SectionGroup { count: 30, section: section_of(&diode, 3) }];
    let best = best_point(&groups, 0.5);
    // 299.92 W is the data sheet's 32.6 V × 9.2 A, ten modules; ten printed digits of the parameters.
    assert!((best.point.voltage_v * best.point.current_a - 2999.2).abs() < 1e-5);
    assert_eq!(best.passed_by, 0);
}

#[test]
fn a_few_dark_sections_are_passed_by_and_cost_their_diodes_too() {
    let (bright, dim) = (module().at(1000.0, 25.0), module().at(100.0, 25.0));
    let groups = [
        SectionGroup { count: 27, section: section_of(&bright, 3) },
        SectionGroup { count: 3, section: section_of(&dim, 3) },
    ];
    let best = best_point(&groups, 0.5);
    assert_eq!(best.passed_by, 3);
    let power = best.point.voltage_v * best.point.current_a;
    // Nine modules less three diodes at about the best current: 9 × 299.92 - 3 × 0.5 × 9.2 = 2685.5 W. The summit shifts
    // a little with the diodes' voltage; that gains less than their square over the curve, a few hundredths of a watt.
    assert!((power - 2685.5).abs() < 0.1, "{power}");
    // A trial of 20000 currents finds nothing better.
    let trial = (1..20_000).map(|step| {
        let current = f64::from(step) * 9.9 / 20_000.0;
        current * string_voltage_v(&groups, current, 0.5)
    });
    assert!(trial.fold(0.0, f64::max) <= power * (1.0 + 1e-12));
}

#[test]
fn many_half_lit_sections_are_not_passed_by() {
    let (bright, dim) = (module().at(1000.0, 25.0), module().at(600.0, 25.0));
    let groups = [
        SectionGroup { count: 10, section: section_of(&bright, 3) },
        SectionGroup { count: 20, section: section_of(&dim, 3) },
    ];
    let best = best_point(&groups, 0.5);
    assert_eq!(best.passed_by, 0);
    assert!(best.point.current_a < 6.0);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_shaded_section_never_adds_power(
        light in 50.0f64..1100.0, dim in 0.0f64..1.0, less in 0.0f64..1.0, shaded in 1u32..30, cell in -20.0f64..70.0,
    ) {
        let power = |share: f64| {
            let bright = section_of(&module().at(light, cell), 3);
            let dark = section_of(&module().at(light * share, cell), 3);
            let best = best_point(
                &[SectionGroup { count: 30 - shaded + 1, section: bright }, SectionGroup { count: shaded, section: dark }],
                0.5,
            );
            best.point.voltage_v * best.point.current_a
        };
        let (before, after) = (power(dim), power(dim * less));
        prop_assert!(after.is_finite() && after >= 0.0);
        prop_assert!(after <= before * (1.0 + 1e-9) + 1e-9, "{after} above {before}");
    }

    #[test]
    fn rows_farther_apart_never_shade_more(
        tilt in 1.0f64..90.0, slant in 0.5f64..4.0, room in 0.0f64..6.0, more in 0.0f64..3.0,
        zenith in 0.0f64..89.9, azimuth in 0.0f64..360.0,
    ) {
        let racks = |pitch| Rows::new(tilt, 180.0, slant, pitch).expect("rows");
        let pitch = slant * tilt.to_radians().cos() + 0.01 + room;
        let (near, far) = (racks(pitch), racks(pitch + more));
        prop_assert!(far.shaded_share(zenith, azimuth) <= near.shaded_share(zenith, azimuth) + 1e-12);
        prop_assert!(far.seen_sky() >= near.seen_sky() - 1e-12 && far.seen_sky() <= 1.0 + 1e-15);
    }
}
