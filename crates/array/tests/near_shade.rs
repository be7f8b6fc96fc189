//! Houses, trees and rows before a plane: hand-drawn shadows, hours of loss, and what sections make of them.
#![allow(clippy::print_stdout)] // The figures of the comparisons are printed for the validation record.

mod common;

use array::bypass_sections::ModuleStand;
use array::data_sheet_fit::{DataSheet, fit};
use array::horizon::Horizon;
use array::incidence::IncidenceModel;
use array::module_year::ModuleYear;
use array::near_shade::{NearShade, ShadedPlaneYear, point_stand, shaded_plane_year};
use array::obstacle::{Obstacle, Stand, Surroundings};
use array::plane::Plane;
use array::plane_year::plane_year;
use array::reached::{Reached, SectionLayout, StringPlace};
use array::rows::Rows;
use array::section_shade::{SectionShade, section_shade};
use array::shadow::Shadow;
use array::single_diode::ReferenceModule;
use array::string_year::{InputLimits, StatedShares, StringGroup, StringLayout, input_year_in_shade};
use array::transposition::{SkyModel, SkySeries, SkyYear};
use common::{Largest, months, sky_at};
use proptest::prelude::*;
use sun::{HOURS, month_of_hour};

fn stand(tilt: f64, azimuth: f64, lower_edge_m: f64, slant_m: f64) -> Stand {
    // Narrow, so that its middle speaks for all of it.
    Stand { plane: Plane::new(tilt, azimuth).expect("a plane"), lower_edge_m, slant_m, width_m: 0.02 }
}

fn of_sun(around: &Surroundings, stand: &Stand, zenith: f64, azimuth: f64) -> NearShade {
    around.shade(stand, None, &[zenith], &[azimuth], &[1]).expect("a usable stand")
}

#[test]
fn the_edge_of_a_walls_shadow_lies_where_a_hand_drawing_puts_it() {
    // A wall 5 m high, 10 m due south; on an upright plane 2 m high the ray over the wall comes down by 10 × 0.4 = 4 m and
    // leaves the lower metre in shade.
    let wall = Surroundings::new(None, vec![Obstacle::building(180.0, 40.0, 10.0, 5.0)]).expect("a wall");
    let zenith = 90.0 - 0.4_f64.atan().to_degrees();
    let shade = of_sun(&wall, &stand(90.0, 180.0, 0.0, 2.0), zenith, 180.0);
    assert!((shade.shaded[0] - 0.5).abs() < 1e-9);
    assert_eq!((shade.during[0], shade.passes[0], shade.shown[0]), (1.0, 0.0, 1.0));
    // Tilt 30°, slant 2 m, tangent 0.45: 0.5 m of shade at the foot; going up the slant the edge comes nearer by
    // 2 sin 30° + 0.45 × 2 cos 30° = 1.77942 m: 0.5/1.77942 = 0.280990 of it.
    let zenith = 90.0 - 0.45_f64.atan().to_degrees();
    let shade = of_sun(&wall, &stand(30.0, 180.0, 0.0, 2.0), zenith, 180.0);
    assert!((shade.shaded[0] - 0.280_990).abs() < 1e-6, "{}", shade.shaded[0]);
    // From above the wall, or with the sun beside it, nothing is shaded: the half span is atan(20/10) = 63.4°.
    assert_eq!(of_sun(&wall, &stand(30.0, 180.0, 5.0, 2.0), zenith, 180.0).during[0], 0.0);
    assert_eq!(of_sun(&wall, &stand(30.0, 180.0, 0.0, 2.0), 80.0, 180.0 + 64.0).during[0], 0.0);
    assert_eq!(of_sun(&wall, &stand(30.0, 180.0, 0.0, 2.0), 80.0, 180.0 + 63.0).during[0], 1.0);
}

#[test]
fn a_wall_as_long_as_a_row_shades_as_the_row_does() {
    // Upright rows 2 m high and 4 m apart, and one wall of that height at that distance. Two different formulas.
    let rows = Rows::new(90.0, 180.0, 2.0, 4.0).expect("rows");
    let wall =
        Surroundings::new(None, vec![Obstacle::building_between(96.0, 264.0, 4.0, 2.0)]).expect("a wall");
    let upright = stand(90.0, 180.0, 0.0, 2.0);
    let mut largest = Largest::default();
    for zenith in [50.0, 60.0, 70.0, 80.0, 88.0] {
        for azimuth in [100.0, 130.0, 160.0, 180.0, 220.0, 260.0] {
            let by_wall = of_sun(&wall, &upright, zenith, azimuth);
            largest.see(
                by_wall.shaded[0] * by_wall.during[0] - rows.shaded_share(zenith, azimuth),
                format!("zenith {zenith} azimuth {azimuth}"),
            );
        }
    }
    // Roundings only.
    largest.at_most("wall against row, share of the slant", 1e-12);
}

#[test]
fn a_screen_that_passes_all_takes_nothing_and_half_takes_half() {
    let here = stand(35.0, 170.0, 1.0, 3.0);
    let seen = |passes: f64| {
        let screen = Obstacle::building(150.0, 12.0, 9.0, 8.0).as_tree(&[true; 12], passes, 0.0);
        Surroundings::new(None, vec![screen]).expect("a tree").seen_sky(&here, 3)
    };
    let (none, half, all) = (seen(0.0), seen(0.5), seen(1.0));
    // 720 directions are summed in parts here.
    assert!((all.sky - 1.0).abs() < 1e-12 && (all.horizon - 1.0).abs() < 1e-12);
    assert!(none.sky < 0.97 && none.horizon < 0.9);
    assert!((half.sky - 0.5 * (none.sky + 1.0)).abs() < 1e-12);
    assert!((half.horizon - 0.5 * (none.horizon + 1.0)).abs() < 1e-12);
    // Without obstacles the horizon alone decides, as it does by itself.
    let hills = Horizon::new(vec![(90.0, 12.0), (180.0, 25.0), (270.0, 3.0)]).expect("points in order");
    let alone = Surroundings::new(Some(hills.clone()), Vec::new()).expect("hills");
    let (a, b) = (alone.seen_sky(&here, 0), hills.seen_sky(&here.plane));
    assert!((a.sky - b.sky).abs() < 1e-12 && (a.horizon - b.horizon).abs() < 1e-12);
}

/// Hours of the year in which the beam is lost, as (hour, share lost).
fn lost_hours(tree_bearing: f64, leafless: [bool; 12]) -> Vec<(usize, f64)> {
    let sky = sky_at(45.0);
    let tree = Obstacle::building(tree_bearing, 6.0, 12.0, 12.0).as_tree(&leafless, 0.6, 0.15);
    let around = Surroundings::new(None, vec![tree]).expect("a tree");
    let plane = Plane::new(30.0, 180.0).expect("a plane");
    let shade = around
        .shade(&point_stand(plane, 2.0), None, &sky.zenith_deg, &sky.azimuth_deg, &months())
        .expect("a usable stand");
    let share = shade.beam_share();
    (0..HOURS).filter(|h| sky.has_sun(*h) && share[*h] < 1.0).map(|h| (h, 1.0 - share[h])).collect()
}

#[test]
fn a_tree_moved_by_ten_degrees_changes_the_hours_of_loss() {
    let never = [false; 12];
    let (before, after) = (lost_hours(180.0, never), lost_hours(190.0, never));
    // Mean time of day of the loss, hours: ten degrees of bearing are between 20 and 50 minutes of a low southern sun.
    let time = |hours: &[(usize, f64)]| {
        let sum: f64 = hours.iter().map(|(_, lost)| lost).sum();
        hours.iter().map(|(hour, lost)| lost * ((hour % 24) as f64 + 0.5)).sum::<f64>() / sum
    };
    let later = time(&after) - time(&before);
    println!(
        "tree at 180° and at 190°: {} and {} hours touched, {later:.2} h later",
        before.len(),
        after.len()
    );
    assert!((0.33..=0.84).contains(&later), "{later}");
    let same = before.iter().filter(|(hour, _)| after.iter().any(|(other, _)| other == hour)).count();
    assert!(same < before.len() && same < after.len());
    // The middle of the tree, at noon on the winter solstice (sun at 21.6°, tree at 39.8°): whole hours are lost.
    assert!(before.iter().any(|(hour, lost)| *hour == 24 * 354 + 11 && *lost > 0.84));
}

#[test]
fn a_bare_tree_takes_less_than_one_in_leaf_and_only_in_its_months() {
    let winter = [true, true, true, false, false, false, false, false, false, false, true, true];
    let (bare, leafy) = (lost_hours(180.0, winter), lost_hours(180.0, [false; 12]));
    assert_eq!(bare.len(), leafy.len());
    for ((hour, less), (_, more)) in bare.iter().zip(&leafy) {
        if winter[month_of_hour(*hour)] {
            // 1 - 0.6 against 1 - 0.15 of the same shade.
            assert!((less / more - 0.4 / 0.85).abs() < 1e-9);
        } else {
            assert_eq!(less, more);
        }
    }
}

/// Set C of `cases/solar/iv_desoto_checks.csv`.
fn module() -> ReferenceModule {
    fit(&DataSheet {
        voc_v: 37.2,
        isc_a: 13.85,
        vmp_v: 30.9,
        imp_a: 12.95,
        alpha_isc_a_per_k: 0.0062,
        beta_voc_v_per_k: -0.0967,
        cells_in_series: 54,
        pmax_w: None,
        gamma_pmax_per_k: None,
    })
    .expect("a consistent data sheet")
    .module
}

const LAYOUT: SectionLayout = SectionLayout {
    modules_in_series: 8,
    sections_of_module: 3,
    modules_up: 2,
    modules_wide: 4,
    stand: ModuleStand::Lying,
    place: StringPlace { row: None, first_column: 0.0 },
};

/// One step: 1000 W/m² outside and `dim` inside a shade over `shaded` of the slant, cells at 25 °C.
fn one_step(
    dim: f64,
    shaded: f64,
    during: f64,
    covered: Option<f64>,
    layout: &SectionLayout,
) -> SectionShade {
    let module = module();
    let light =
        ShadedPlaneYear { plane_w_m2: vec![1000.0], cell_w_m2: vec![1000.0], shaded_cell_w_m2: vec![dim] };
    let points = ModuleYear::new(&module, &light.cell_w_m2, &[25.0]).expect("usable series");
    let mut shade = NearShade::open(vec![1]);
    shade.shadows.push(Shadow { step: 0, share: during, from_below: shaded, screens: Vec::new() });
    let covered = covered.map(|share| vec![share]);
    let reached = Reached::of(&shade, *layout).expect("a usable layout");
    section_shade(&module, &points, &light, &[25.0], &reached, covered.as_deref(), 0.5)
        .expect("usable series")
}

#[test]
fn loss_follows_sections_and_not_area() {
    // A tenth of the slant, almost dark. Lying, two modules up with three sections: one band of six, 4 of 24 sections, is
    // passed by: (20 - 4 × 0.5 V / 10.3 V)/24 = 0.8252 of the power (30.9 V over three sections). The summit moves a
    // little along the curve, which gains less than a tenth of a per cent.
    let lying = one_step(50.0, 0.1, 1.0, None, &LAYOUT);
    assert!((lying.power_share[0] - 0.8252).abs() < 0.001, "{lying:?}");
    assert!((lying.voltage_share[0] - 0.8252).abs() < 0.01);
    // Upright, the same tenth takes the whole lower module row: (12 - 12 × 0.5/10.3)/24 = 0.4757.
    let upright = SectionLayout { stand: ModuleStand::Upright, ..LAYOUT };
    let half = one_step(50.0, 0.1, 1.0, None, &upright);
    assert!((half.power_share[0] - 0.4757).abs() < 0.001, "{half:?}");
    // A string that runs along the upper row alone is not reached, one along the lower row loses all but the dim light.
    let upper = SectionLayout { place: StringPlace { row: Some(1), first_column: 0.0 }, ..upright };
    assert_eq!(one_step(50.0, 0.1, 1.0, None, &upper).power_share[0], 1.0);
    let lower = SectionLayout { place: StringPlace { row: Some(0), first_column: 0.0 }, ..upright };
    assert!((0.03..0.05).contains(&one_step(50.0, 0.1, 1.0, None, &lower).power_share[0]));
    // For half of the time, half of the loss.
    let part = one_step(50.0, 0.1, 0.5, None, &LAYOUT);
    assert!((part.power_share[0] - 0.5 * (1.0 + lying.power_share[0])).abs() < 1e-12);
}

#[test]
fn snow_takes_what_it_covers_and_a_full_cover_takes_all() {
    let under = one_step(1000.0, 0.0, 0.0, Some(0.1), &LAYOUT);
    // As the dark shade above, but for the last amperes of a dim section.
    assert!((under.power_share[0] - 0.8252).abs() < 0.001, "{under:?}");
    assert_eq!(one_step(1000.0, 0.0, 0.0, Some(1.0), &LAYOUT).power_share[0], 0.0);
    assert_eq!(one_step(1000.0, 0.0, 0.0, Some(0.0), &LAYOUT).power_share[0], 1.0);
}

#[test]
fn rows_and_houses_shade_a_real_year_and_every_watt_is_accounted_for() {
    let sky = sky_at(50.0);
    let bright: Vec<f64> = sky.cos_zenith.iter().map(|up| if *up > 0.0 { 800.0 } else { 0.0 }).collect();
    let dhi: Vec<f64> = bright.iter().map(|beam| 0.1 * beam).collect();
    let ghi: Vec<f64> = (0..HOURS).map(|h| bright[h] * sky.cos_zenith[h] + dhi[h]).collect();
    let albedo = vec![0.2; HOURS];
    let year = SkyYear::new(
        SkyModel::Perez,
        &SkySeries {
            zenith_deg: &sky.zenith_deg,
            azimuth_deg: &sky.azimuth_deg,
            extraterrestrial_w_m2: &sky.extraterrestrial_normal_w_m2,
            relative_air_mass: &sky.air_mass,
            ghi_w_m2: &ghi,
            dni_w_m2: &bright,
            dhi_w_m2: &dhi,
            albedo: &albedo,
        },
    )
    .expect("usable series");
    let here = stand(30.0, 180.0, 0.5, 2.0);
    let rows = Rows::new(30.0, 180.0, 2.0, 3.2).expect("rows");
    let house = Surroundings::new(None, vec![Obstacle::building(230.0, 10.0, 15.0, 8.0)]).expect("a house");
    let glass = IncidenceModel::GLASS;
    let open = plane_year(&year, &here.plane, &glass, None).expect("usable series");
    // Nothing around: both paths give the same light.
    let none = shaded_plane_year(&year, &here.plane, &glass, &NearShade::open(months())).expect("no shade");
    assert_eq!((&none.plane_w_m2, &none.cell_w_m2), (&open.plane_w_m2, &open.cell_w_m2));
    let shade = house
        .shade(&here, Some(&rows), &sky.zenith_deg, &sky.azimuth_deg, &months())
        .expect("a usable stand");
    let light = shaded_plane_year(&year, &here.plane, &glass, &shade).expect("usable shade");
    let sum = |values: &[f64]| values.iter().sum::<f64>() / 1000.0;
    println!(
        "rows 3.2 m apart and a house at 50°: {:.0} kWh/m² of {:.0}, {} hours in shade",
        sum(&light.plane_w_m2),
        sum(&open.plane_w_m2),
        shade.during.iter().filter(|share| **share > 0.0).count()
    );
    // A single hour may gain: a horizon band darker than the sky counts below zero, and shade takes that away too.
    assert!(sum(&light.plane_w_m2) < sum(&open.plane_w_m2));
    for step in 0..HOURS {
        assert!(light.shaded_cell_w_m2[step] <= light.cell_w_m2[step] + 1e-9);
    }
    let module = module();
    let cells = vec![25.0; HOURS];
    let points = ModuleYear::new(&module, &light.cell_w_m2, &cells).expect("usable series");
    let reached = Reached::of(&shade, LAYOUT).expect("a usable layout");
    let left = section_shade(&module, &points, &light, &cells, &reached, None, 0.5).expect("usable shade");
    let group = StringGroup {
        module: &module,
        cell_w_m2: &light.cell_w_m2,
        cell_c: &cells,
        points: &points,
        layout: StringLayout {
            modules_in_series: 8,
            strings_in_parallel: 2,
            string_ohm: 0.2,
            common_ohm: 0.0,
        },
        shares: StatedShares { ageing: 1.0, mismatch: 1.0 },
    };
    let limits = InputLimits {
        start_v: 120.0,
        tracker_low_v: 120.0,
        tracker_high_v: 400.0,
        max_current_a: None,
        max_power_w: None,
    };
    let year = input_year_in_shade(&[group], &[Some(&left)], &limits).expect("usable inputs");
    let ideal: f64 = 16.0 * points.total_w();
    let losses = &year.losses;
    let parts: f64 = [
        &year.power_w,
        &losses.shade_sections_w,
        &losses.waiting_w,
        &losses.below_window_w,
        &losses.above_window_w,
        &losses.cable_w,
    ]
    .iter()
    .map(|series| series.iter().sum::<f64>())
    .sum();
    let by_area: f64 = (0..HOURS)
        .map(|h| {
            16.0 * points.pmp_w(h)
                * shade.during[h]
                * shade.shaded[h]
                * (1.0 - light.shaded_cell_w_m2[h] / light.cell_w_m2[h].max(1e-9))
        })
        .sum();
    let by_section: f64 = losses.shade_sections_w.iter().sum();
    println!(
        "lost to shade: {:.2} % by sections, {:.2} % by area",
        100.0 * by_section / ideal,
        100.0 * by_area / ideal
    );
    assert!((parts / ideal - 1.0).abs() < 1e-12);
    // Whole sections are lost where the shade covers a part of them.
    assert!(by_section > 1.05 * by_area);
}

#[test]
fn bad_shade_is_refused_with_its_place() {
    assert!(Surroundings::new(None, vec![Obstacle::building(180.0, 4.0, 0.0, 5.0)]).is_err());
    assert!(Surroundings::new(None, vec![Obstacle::building(180.0, 4.0, 9.0, f64::NAN)]).is_err());
    assert!(Surroundings::new(None, vec![Obstacle::building_between(0.0, 180.0, 9.0, 3.0)]).is_err());
    let tree = Obstacle::building(180.0, 4.0, 9.0, 5.0).as_tree(&[true; 12], 1.2, 0.0);
    assert!(Surroundings::new(None, vec![tree]).is_err());
    let open = Surroundings::new(None, Vec::new()).expect("nothing");
    let here = stand(30.0, 180.0, 0.0, 2.0);
    assert!(open.shade(&here, None, &[50.0], &[180.0], &[13]).is_err());
    assert!(open.shade(&here, None, &[f64::NAN], &[180.0], &[1]).is_err());
    assert!(open.shade(&here, None, &[50.0, 60.0], &[180.0], &[1]).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_higher_house_never_shades_less(
        tilt in 0.0f64..90.0, azimuth in 90.0f64..270.0, bearing in 0.0f64..360.0, distance in 3.0f64..40.0,
        height in 0.0f64..12.0, more in 0.0f64..6.0, zenith in 20.0f64..89.0, sun in 0.0f64..360.0,
    ) {
        let here = stand(tilt, azimuth, 0.5, 2.5);
        let with = |height| {
            let house = Surroundings::new(None, vec![Obstacle::building(bearing, 8.0, distance, height)]).expect("a house");
            (of_sun(&house, &here, zenith, sun).beam_share()[0], house.seen_sky(&here, 0))
        };
        let (low, high) = (with(height), with(height + more));
        prop_assert!(high.0 <= low.0 + 1e-12);
        prop_assert!(high.1.sky <= low.1.sky + 1e-12 && high.1.horizon <= low.1.horizon + 1e-12);
    }

    #[test]
    fn more_shade_never_gives_more(dim in 0.0f64..1000.0, shaded in 0.0f64..0.9, more in 0.0f64..0.1, snow in 0.0f64..1.0) {
        let power = |shaded, snow| one_step(dim, shaded, 1.0, Some(snow), &LAYOUT).power_share[0];
        // The search for the summit is good to a hundred millionth.
        prop_assert!(power(shaded + more, 0.0) <= power(shaded, 0.0) + 1e-8);
        prop_assert!(power(shaded, snow) <= power(shaded, 0.0) + 1e-8);
    }
}
