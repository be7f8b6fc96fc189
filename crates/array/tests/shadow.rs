//! The outline of a shadow on a plane: rays cast from its points, hand-drawn poles, and what of it strings see.
#![allow(clippy::print_stdout)] // The figures of the comparisons are printed for the validation record.

mod common;

use array::bypass_sections::ModuleStand;
use array::near_shade::NearShade;
use array::obstacle::{Obstacle, Stand, Surroundings};
use array::plane::{Direction, Plane};
use array::reached::{Reached, SectionLayout, StringPlace};
use array::rows::Rows;
use array::shadow::{Screen, Shadow, shadow_on};
use common::{months, sky_at};
use proptest::prelude::*;

fn stand(tilt: f64, azimuth: f64, width_m: f64) -> Stand {
    Stand { plane: Plane::new(tilt, azimuth).expect("a plane"), lower_edge_m: 0.5, slant_m: 3.0, width_m }
}

/// A point of a plane in metres east, north and up of the middle of its lower edge's foot.
fn point(stand: &Stand, (across, up): (f64, f64)) -> [f64; 3] {
    let (azimuth, tilt) = (stand.plane.azimuth_deg().to_radians(), stand.plane.tilt_deg().to_radians());
    let (level, rise) = (up * stand.slant_m * tilt.cos(), up * stand.slant_m * tilt.sin());
    // Right as one looks at the glass is a quarter turn against the clock from where it looks.
    [
        -across * azimuth.cos() - level * azimuth.sin(),
        across * azimuth.sin() - level * azimuth.cos(),
        stand.lower_edge_m + rise,
    ]
}

/// Whether a ray from a point towards the sun passes through the box within its length, found by walking along it.
fn walked(from: [f64; 3], sun: Direction, obstacle: &Obstacle) -> bool {
    let bearing = obstacle.bearing_deg.to_radians();
    let inside = |length: f64| {
        let (east, north, up) =
            (from[0] + length * sun.east, from[1] + length * sun.north, from[2] + length * sun.up);
        let away = east * bearing.sin() + north * bearing.cos();
        let aside = east * bearing.cos() - north * bearing.sin();
        up < obstacle.height_m
            && (obstacle.distance_m..=obstacle.distance_m + obstacle.depth_m).contains(&away)
            && aside.abs() <= obstacle.half_width_m()
    };
    // The ray leaves the height of the obstacle at last; steps of 5 mm.
    let longest = (obstacle.height_m - from[2]) / sun.up;
    (0..=(longest / 0.005).max(0.0) as u32).any(|step| inside(0.005 * f64::from(step)))
}

/// Whether a point lies in a convex outline, and how far from its edge, m.
fn in_outline(corners: &[(f64, f64)], slant_m: f64, place: (f64, f64)) -> (bool, f64) {
    let metres = |(across, up): (f64, f64)| (across, up * slant_m);
    let (x, y) = metres(place);
    let (mut inside, mut nearest) = (corners.len() > 2, f64::INFINITY);
    for (index, to) in corners.iter().enumerate() {
        let (from, to) = (metres(corners[(index + corners.len() - 1) % corners.len()]), metres(*to));
        let (along, across) = (to.0 - from.0, to.1 - from.1);
        let length = along.hypot(across);
        if length < 1e-9 {
            continue;
        }
        let left = (along * (y - from.1) - across * (x - from.0)) / length;
        inside &= left >= 0.0;
        nearest = nearest.min(left.abs());
    }
    (inside, nearest)
}

fn shade_at(around: &Surroundings, stand: &Stand, zenith: f64, azimuth: f64) -> NearShade {
    around.shade(stand, None, &[zenith], &[azimuth], &[6]).expect("a usable stand")
}

#[test]
fn a_pole_shades_its_width_and_moves_against_the_sun() {
    // A pole 0.2 m wide, 10 m due south, before a plane 12 m wide; the sun due south at 30°: the shadow is as wide as the
    // pole, in the middle, over all of the slant.
    let here = stand(30.0, 180.0, 12.0);
    let pole = Obstacle::building(180.0, 0.2, 10.0, 20.0);
    let around = Surroundings::new(None, vec![pole]).expect("a pole");
    let shade = shade_at(&around, &here, 60.0, 180.0);
    assert!((shade.shaded[0] - 0.2 / 12.0).abs() < 1e-12, "{}", shade.shaded[0]);
    // The sun 20° west of south: on the lower edge the shadow lies 10 tan 20° = 3.63970 m to the east, which is the right
    // as one looks at the glass; at the top edge, 3 cos 30° = 2.59808 m farther from the pole, 4.58533 m.
    let sun = Direction::from_angles(60.0, 200.0);
    let corners = shadow_on(&here, &pole, sun);
    let at = |up: f64| {
        let found: Vec<f64> = corners.iter().filter(|c| (c.1 - up).abs() < 1e-9).map(|c| c.0).collect();
        found.iter().sum::<f64>() / found.len() as f64
    };
    assert!((at(0.0) - 3.639_702).abs() < 1e-6 && (at(1.0) - 4.585_325).abs() < 1e-6, "{corners:?}");
    // 40° west of south it has left the plane, whose half is 6 m.
    assert_eq!(shade_at(&around, &here, 60.0, 220.0).during[0], 0.0);
    // Nothing stands before a sun on the other side, and a face turned away has no beam to lose.
    assert!(shadow_on(&here, &pole, Direction::from_angles(60.0, 10.0)).is_empty());
}

#[test]
fn distance_decides_how_the_shade_goes_along_the_row() {
    // The same angle of the horizon, near and far, and the sun a little beside the middle: near to it the far house has
    // left the middle of the plane wholly, and its edge lies where the drawing puts it.
    let here = stand(90.0, 180.0, 20.0);
    let sun = Direction::from_angles(80.0, 190.0);
    let middle = |obstacle: Obstacle| {
        let corners = shadow_on(&here, &obstacle, sun);
        let (left, right) =
            corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, r), c| (l.min(c.0), r.max(c.0)));
        (left, right)
    };
    let tangent = 10.0_f64.to_radians().tan();
    for distance in [5.0, 20.0] {
        let half = distance * 8.0_f64.to_radians().tan();
        let (left, right) = middle(Obstacle::building_between(172.0, 188.0, distance, 50.0));
        assert!((left - (distance * tangent - half)).abs() < 1e-9);
        assert!((right - (distance * tangent + half)).abs() < 1e-9);
    }
}

#[test]
fn two_screens_one_behind_the_other_are_counted_once() {
    let square = |left: f64, right: f64, low: f64, high: f64, passes: f64| Screen {
        corners: vec![(left, low), (right, low), (right, high), (left, high)],
        passes,
    };
    let shadow = |from_below, screens| Shadow { step: 0, share: 1.0, from_below, screens };
    // 10 m wide. Half of the width over a row's lower half: 0.5 + 0.25; the row lets nothing pass.
    let (shaded, passed) = shadow(0.5, vec![square(-5.0, 0.0, 0.0, 1.0, 0.4)]).shaded_area(10.0);
    assert!((shaded - 0.75).abs() < 1e-12 && (passed - 0.4 * 0.25).abs() < 1e-12);
    // Two trees, a third of the width each, half of that together: 0.4 × 0.5 where they overlap.
    let (shaded, passed) =
        shadow(0.0, vec![square(-3.0, 1.0, 0.0, 1.0, 0.4), square(-1.0, 3.0, 0.0, 1.0, 0.5)])
            .shaded_area(10.0);
    assert!((shaded - 0.6).abs() < 1e-12);
    assert!((passed - (0.2 * 0.4 + 0.2 * 0.2 + 0.2 * 0.5)).abs() < 1e-12);
    // A triangle that the row cuts: of 0.5 × 10 × 1, half of the height leaves a quarter above.
    let triangle = Screen { corners: vec![(-5.0, 0.0), (5.0, 0.0), (0.0, 1.0)], passes: 0.0 };
    let (shaded, _) = shadow(0.5, vec![triangle]).shaded_area(10.0);
    assert!((shaded - 0.625).abs() < 0.005, "{shaded}");
}

/// Ten upright modules in a row, 1.2 m each, three sections side by side.
const ROW: SectionLayout = SectionLayout {
    modules_in_series: 10,
    sections_of_module: 3,
    modules_up: 1,
    modules_wide: 10,
    stand: ModuleStand::Upright,
    place: StringPlace { row: None, first_column: 0.0 },
};

#[test]
fn a_string_sees_the_modules_that_are_shaded() {
    let here = stand(30.0, 180.0, 12.0);
    let of = |shade: &NearShade, layout: SectionLayout| {
        Reached::of(shade, layout).expect("a layout").in_step(0).iter().map(|part| part.sections).sum::<u32>()
    };
    // A pole 0.3 m wide, straight before the third module from the right: 3.0 ± 0.15 m from the middle. Sections are
    // 0.4 m wide with edges at 2.8 and 3.2: one of thirty.
    let pole = Obstacle::building(180.0, 0.3, 10.0, 20.0);
    let shade = |obstacle: Obstacle, azimuth: f64| {
        shade_at(&Surroundings::new(None, vec![obstacle]).expect("a pole"), &here, 60.0, azimuth)
    };
    let upright = stand(90.0, 180.0, 12.0);
    let azimuth = 180.0 + (0.3_f64).atan().to_degrees();
    let one = shade_at(&Surroundings::new(None, vec![pole]).expect("a pole"), &upright, 60.0, azimuth);
    assert_eq!(of(&one, ROW), 1);
    // Two strings of five, side by side: the pole stands before the right one alone.
    let five = |first_column: f64| SectionLayout {
        modules_in_series: 5,
        place: StringPlace { row: None, first_column },
        ..ROW
    };
    assert_eq!((of(&one, five(0.0)), of(&one, five(5.0))), (0, 1));
    // On the slope of 30° the shadow leans over two or three sections.
    assert!((2..=3).contains(&of(&shade(pole, azimuth), ROW)));
    // A wall before all of them takes all, as the row's length does.
    let wall = shade(Obstacle::building(180.0, 60.0, 10.0, 20.0), 180.0);
    assert_eq!((of(&wall, ROW), wall.shaded[0]), (30, 1.0));
    // Two rows of five; the wall's shade ends below the upper row.
    let two = SectionLayout { modules_up: 2, modules_wide: 5, ..ROW };
    let row = |row: u32| SectionLayout {
        modules_in_series: 5,
        place: StringPlace { row: Some(row), first_column: 0.0 },
        ..two
    };
    let low =
        shade(Obstacle::building(180.0, 60.0, 10.0, 0.5 + 10.0 * 30.0_f64.to_radians().tan() + 1.0), 180.0);
    assert!((0.2..0.5).contains(&low.shaded[0]), "{}", low.shaded[0]);
    assert_eq!((of(&low, two), of(&low, row(0)), of(&low, row(1))), (15, 15, 0));
    // The same share from a row before gives the same sections: the wide wall is the old result.
    assert_eq!(two.reached_from_below(low.shaded[0]), 15);
    // A string folded over two equal racks of five columns sees the pole once on each.
    let folded = SectionLayout { modules_wide: 5, ..ROW };
    let right = SectionLayout { modules_in_series: 5, ..folded };
    assert_eq!(of(&one, folded), 2 * of(&one, right));
}

#[test]
fn a_pole_moved_by_ten_degrees_shades_other_hours_and_costs_less_than_a_house() {
    let sky = sky_at(45.0);
    let here = stand(35.0, 180.0, 12.0);
    let year = |bearing: f64, width: f64| {
        Surroundings::new(None, vec![Obstacle::building(bearing, width, 8.0, 9.0)])
            .expect("a pole")
            .shade(&here, None, &sky.zenith_deg, &sky.azimuth_deg, &months())
            .expect("a usable stand")
    };
    let lost = |shade: &NearShade| {
        (0..shade.during.len()).map(|h| shade.during[h] * shade.shaded[h]).collect::<Vec<f64>>()
    };
    let time = |lost: &[f64]| {
        lost.iter().enumerate().map(|(h, l)| l * ((h % 24) as f64 + 0.5)).sum::<f64>()
            / lost.iter().sum::<f64>()
    };
    let (pole, moved, house) = (lost(&year(175.0, 0.3)), lost(&year(185.0, 0.3)), lost(&year(175.0, 6.0)));
    let later = time(&moved) - time(&pole);
    println!("pole moved by 10°: {later:.2} h later");
    // Ten degrees of a low southern sun are 20 to 50 minutes; across a wide plane the pole's hours spread more.
    assert!((0.25..=0.9).contains(&later), "{later}");
    assert!(pole.iter().any(|l| *l > 0.0) && pole.iter().all(|l| *l < 0.06));
    assert!(pole.iter().zip(&house).all(|(pole, house)| pole <= &(house + 1e-9)));
    assert!(pole.iter().sum::<f64>() < 0.1 * house.iter().sum::<f64>());
}

#[test]
fn rows_alone_shade_as_before() {
    let sky = sky_at(50.0);
    let here = stand(30.0, 180.0, 12.0);
    let rows = Rows::new(30.0, 180.0, 3.0, 4.4).expect("rows");
    let none = Surroundings::new(None, Vec::new()).expect("nothing");
    let shade =
        none.shade(&here, Some(&rows), &sky.zenith_deg, &sky.azimuth_deg, &months()).expect("a usable stand");
    assert!(shade.shadows.len() > 1000);
    assert!(shade.shadows.iter().all(|shadow| shadow.screens.is_empty() && shadow.from_below > 0.0));
    // The sections reached follow the share from below alone, whichever columns a string has.
    let reached = |first_column| {
        let place = StringPlace { row: None, first_column };
        Reached::of(&shade, SectionLayout { modules_in_series: 5, place, ..ROW }).expect("a layout")
    };
    let (left, right) = (reached(0.0), reached(5.0));
    assert!((0..shade.during.len()).all(|step| left.in_step(step) == right.in_step(step)));
}

#[test]
fn bad_layouts_and_shadows_are_refused() {
    let open = NearShade::open(vec![1]);
    let refused = |layout: SectionLayout| Reached::of(&open, layout).is_err();
    assert!(!refused(ROW));
    assert!(refused(SectionLayout { modules_wide: 0, ..ROW }));
    assert!(refused(SectionLayout { place: StringPlace { row: Some(1), first_column: 0.0 }, ..ROW }));
    assert!(refused(SectionLayout { place: StringPlace { row: None, first_column: f64::NAN }, ..ROW }));
    let shadow = Shadow { step: 1, share: 1.0, from_below: 0.5, screens: Vec::new() };
    assert!(Reached::of(&NearShade { shadows: vec![shadow.clone()], ..open.clone() }, ROW).is_err());
    let bad = Shadow { step: 0, from_below: f64::NAN, ..shadow };
    assert!(Reached::of(&NearShade { shadows: vec![bad], ..open }, ROW).is_err());
    let deep = Obstacle::building(180.0, 4.0, 9.0, 5.0).reaching_back(-1.0);
    assert!(Surroundings::new(None, vec![deep]).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn rays_cast_from_points_of_the_plane_find_the_same_shade(
        tilt in 0.0f64..90.0, azimuth in 0.0f64..360.0, width in 0.5f64..20.0, bearing in 0.0f64..360.0,
        face in 0.1f64..12.0, distance in 0.5f64..15.0, depth in 0.1f64..8.0, height in 0.2f64..9.0,
        zenith in 15.0f64..85.0, beside in -80.0f64..80.0,
        points in prop::collection::vec((-0.5f64..0.5, 0.0f64..1.0), 24),
    ) {
        let here = stand(tilt, azimuth, width);
        let obstacle = Obstacle::building(bearing, face, distance, height).reaching_back(depth);
        let sun = Direction::from_angles(zenith, bearing + beside);
        let corners = shadow_on(&here, &obstacle, sun);
        for (across, up) in points {
            let place = (across * width, up);
            let (inside, from_edge) = in_outline(&corners, here.slant_m, place);
            let (inside, near) = if corners.len() > 2 { (inside, from_edge) } else { (false, f64::INFINITY) };
            // Within 3 cm of an edge the walk's own steps of 5 mm decide, at rays that graze a corner of the box.
            if near > 0.03 {
                prop_assert_eq!(inside, walked(point(&here, place), sun, &obstacle), "{:?} {:?}", place, corners);
            }
        }
    }

    #[test]
    fn shade_by_area_lies_within_bounds_and_sections_cover_it(
        tilt in 0.0f64..90.0, bearing in 90.0f64..270.0, face in 0.1f64..12.0, distance in 0.5f64..15.0,
        height in 0.2f64..9.0, zenith in 15.0f64..89.0, beside in -60.0f64..60.0,
    ) {
        let here = stand(tilt, 180.0, 12.0);
        let around = Surroundings::new(None, vec![Obstacle::building(bearing, face, distance, height)]).expect("a wall");
        let shade = shade_at(&around, &here, zenith, bearing + beside);
        let area = shade.during[0] * shade.shaded[0];
        prop_assert!((0.0..=1.0).contains(&area));
        let reached = Reached::of(&shade, ROW).expect("a layout");
        let sections: f64 = reached.in_step(0).iter().map(|part| part.share * f64::from(part.sections)).sum();
        prop_assert!(sections / 30.0 >= area - 1e-9, "{} sections for {}", sections, area);
    }
}
