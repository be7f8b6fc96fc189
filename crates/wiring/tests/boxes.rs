//! Boxes, fittings, supports and bends against their clauses, worked by hand.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod common;
use common::*;
use quantity::{Angle, Count, Fact, Gauge, units};
use tables::Insulation;
use wiring::*;

fn strings_in(segments: Vec<Segment>) -> Schedule {
    let mut run = run(segments);
    run.insulation = known(Insulation::PvWire);
    run.conductor = Some(stated(Gauge::Awg(10)));
    schedule(vec![Demand::PvStrings(string(1)), Demand::PvStrings(string(1))], run)
}

fn cubic_inches(joint: &Joint) -> f64 {
    match joint.size.as_ref().unwrap().value().unwrap() {
        BoxSize::Volume { needs, .. } => units::CUBIC_INCH.of_si(needs.si()),
        other => panic!("{other:?}"),
    }
}

/// Table 314.16(B)(1): 2.5 in³ for each 10 AWG. Two strings of two conductors that pass through, and the grounds once:
/// 5 · 2.5 = 12.5; joined, the conductors count on both sides: 9 · 2.5 = 22.5, more than the 21 in³ of a 4 x 1-1/2 box.
#[test]
fn a_transition_box_has_the_space_its_conductors_take() {
    let open = segment(Where::InSun, Raceway::Open, 20.0, 30.0);
    let pipe = segment(Where::Outdoors, emt(), 40.0, 30.0);
    let through = strings_in(vec![open.clone(), pipe.clone()]);
    assert_eq!(through.joints.len(), 1);
    let joint = &through.joints[0];
    assert_eq!((joint.kind, joint.transition, joint.spliced, joint.wet), (JointKind::Box, true, false, true));
    assert!((cubic_inches(joint) - 12.5).abs() < 1e-9);
    let mut other = pipe;
    other.insulation = Some(known(Insulation::ThhnThwn2));
    let joined = strings_in(vec![open, other]);
    let joint = &joined.joints[0];
    assert!(joint.spliced);
    assert!((cubic_inches(joint) - 22.5).abs() < 1e-9);
    match joint.size.as_ref().unwrap().value().unwrap() {
        BoxSize::Volume { metal, .. } => assert_eq!(&*metal.as_ref().unwrap().trade_size, "4-11/16 x 1-1/4"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn each_change_of_method_makes_its_box_or_fitting() {
    let of = |first: Raceway, second: Raceway| {
        let here = |raceway| segment(Where::Indoors, raceway, 10.0, 30.0);
        let joints = strings_in(vec![here(first), here(second)]).joints;
        joints.first().map(|joint| (joint.kind, joint.spliced))
    };
    let clad = Raceway::MetalClad { for_wet: false };
    assert_eq!(of(emt(), emt()), None);
    assert_eq!(of(emt(), pvc40()), Some((JointKind::Fitting, false)));
    assert_eq!(of(Raceway::Open, emt()), Some((JointKind::Box, false)));
    assert_eq!(of(emt(), clad), Some((JointKind::Box, true)));
    assert_eq!(of(clad, Raceway::Open), Some((JointKind::Box, true)));
    assert_eq!(of(clad, clad), None);
}

/// 314.28(A): eight times the trade size straight through, six times it at a turn or splice. Two 4/0 and their ground lie
/// in EMT of trade size 1-1/2 or 2; whichever, the box follows from it.
#[test]
fn from_4_awg_the_box_follows_from_its_raceways() {
    let battery = |second_insulation: Option<Insulation>, trade: &str| {
        let mut first = segment(Where::Indoors, emt(), 4.0, 30.0);
        first.trade_size = tables::TradeSize::read(trade).map(stated);
        let mut second = segment(Where::Indoors, Raceway::Open, 4.0, 30.0);
        second.insulation = second_insulation.map(known);
        let mut run = run(vec![first, second]);
        run.conductor = Some(stated(size("4/0 AWG")));
        schedule(vec![ac(150.0, 120.0)], run)
    };
    let inches = |length: &quantity::Traced<quantity::Length>| units::INCH_UNIT.of_si(length.si());
    for (trade, straight, turn) in [("1-1/2", 12.0, 9.0), ("2", 16.0, 12.0), ("3", 24.0, 18.0)] {
        let through = battery(None, trade);
        match through.joints[0].size.as_ref().unwrap().value().unwrap() {
            BoxSize::Pull { straight: Some(found), turn: at_turn } => {
                assert!((inches(found) - straight).abs() < 1e-9, "{trade}");
                assert!((inches(at_turn) - turn).abs() < 1e-9, "{trade}");
            }
            other => panic!("{other:?}"),
        }
        let joined = battery(Some(Insulation::Xhhw2), trade);
        match joined.joints[0].size.as_ref().unwrap().value().unwrap() {
            BoxSize::Pull { straight, turn: at_turn } => {
                assert!(straight.is_none());
                assert!((inches(at_turn) - turn).abs() < 1e-9, "{trade}");
            }
            other => panic!("{other:?}"),
        }
    }
    // 6 · 3 + 2 · 3 = 24 in for three raceways of trade size 3 in a row.
    assert!((turned_pull(3.0, 3.0) - 24.0).abs() < 1e-12);
}

/// The supports counted are enough and one fewer is not: with one near each end, the rest divide what is between.
#[test]
fn supports_are_as_few_as_their_distances_allow() {
    for between in [24.0, 36.0, 54.0, 72.0, 120.0] {
        for from_box in [12.0, 36.0] {
            for quarter_inches in 1..4000 {
                let length = f64::from(quarter_inches) / 4.0;
                let n = support_count(length, between, from_box);
                let inner = length - 2.0 * from_box;
                if inner <= 0.0 {
                    assert_eq!(n, 1.0, "{length}");
                } else {
                    assert!(inner <= (n - 1.0) * between + 1e-6, "{length} by {between}: {n}");
                    assert!(n == 2.0 || inner > (n - 2.0) * between - 1e-6, "{length} by {between}: {n}");
                }
            }
        }
    }
}

/// 358.30: 31 ft of EMT between two boxes: 3 ft from each, then 25 ft in thirds of at most 10 ft: four supports. Table
/// 352.30(B): PVC of trade size 1 every 3 ft. 330.30: metal-clad cable every 6 ft and 12 in from a box: 1 + ceil(29 / 6) = 6.
#[test]
fn supports_of_each_method() {
    let of = |place, raceway| {
        let schedule = strings_in(vec![segment(place, raceway, 31.0, 30.0)]);
        let hardware = schedule.raceways[0].hardware.clone();
        hardware.supports.map(|fact| fact.value().unwrap().0)
    };
    assert_eq!(of(Where::Outdoors, emt()), Some(4));
    let plastic = strings_in(vec![segment(Where::Outdoors, pvc40(), 31.0, 30.0)]);
    let hardware = &plastic.raceways[0].hardware;
    let every = units::FOOT_UNIT.of_si(hardware.between.as_ref().unwrap().si().unwrap());
    assert!((every - 3.0).abs() < 1e-9, "the strings lie in trade size 1 or less");
    assert_eq!(hardware.supports.as_ref().unwrap().value(), Some(&Count(10)));
    assert_eq!(of(Where::Outdoors, Raceway::MetalClad { for_wet: true }), Some(6));
    // 690.31(C)(1): 31 ft of exposed 10 AWG, every 24 in and 12 in from a box: 1 + ceil((372 - 24) / 24) = 16.
    assert_eq!(of(Where::InSun, Raceway::Open), Some(16));
    assert_eq!(of(Where::Underground, pvc40()), None, "the ground holds it");
}

/// A fitting at each end at which buried plastic comes out of the ground, none where it goes on in the ground.
#[test]
fn plastic_gets_a_fitting_where_it_leaves_the_ground() {
    let under = || segment(Where::Underground, pvc40(), 50.0, 30.0);
    let wall = segment(Where::Outdoors, pvc40(), 4.0, 30.0);
    let counts = |segments: Vec<Segment>| -> Vec<Option<u32>> {
        let rows = strings_in(segments).raceways;
        rows.iter().map(|row| Some(row.hardware.expansion_fittings.as_ref()?.value()?.0)).collect()
    };
    assert_eq!(counts(vec![under()]), vec![Some(2)]);
    assert_eq!(counts(vec![under(), under()]), vec![Some(1), Some(1)]);
    // 3.38e-5 · 48 in · 100 °F = 0.16 in: too little for a fitting of its own in the shade.
    assert_eq!(counts(vec![under(), wall]), vec![Some(2), None]);
    assert_eq!(counts(vec![segment(Where::Underground, emt(), 50.0, 30.0)]), vec![None]);
}

/// Three conductors in parallel lie in three pipes, and each pipe has its fitting.
#[test]
fn each_pipe_of_parallel_conductors_has_its_fitting() {
    let fittings = |sets: u32| {
        let mut run = run(vec![segment(Where::InSun, pvc40(), 40.0, 30.0)]);
        run.insulation = known(Insulation::Xhhw2);
        (run.conductor, run.sets) = (Some(stated(size("4/0 AWG"))), Some(stated(Count(sets))));
        let rows = schedule(vec![ac(150.0, 240.0)], run).raceways;
        rows[0].hardware.expansion_fittings.as_ref().unwrap().value().unwrap().0
    };
    assert_eq!((fittings(1), fittings(3)), (1, 3));
}

#[test]
fn a_turn_takes_as_many_quarter_bends_as_make_it_up() {
    for (degrees, bends) in [(0.0, 0.0), (45.0, 1.0), (90.0, 1.0), (91.0, 2.0), (180.0, 2.0), (360.0, 4.0)] {
        assert_eq!(quarter_bends(degrees), bends, "{degrees}");
    }
}

#[test]
fn bends_count_from_box_to_box_and_pull_points_divide_them() {
    let degrees = |value: f64| Fact::Known(of::<Angle>(value, &units::DEGREE_UNIT));
    let part = |raceway, bends: f64, points: u32| {
        let mut part = segment(Where::Indoors, raceway, 20.0, 30.0);
        (part.bends, part.pull_points) = (degrees(bends), count(points));
        part
    };
    let of = |segments: Vec<Segment>| -> Vec<(usize, usize, f64, bool)> {
        strings_in(segments)
            .stretches
            .iter()
            .map(|s| {
                let bends = units::DEGREE_UNIT.of_si(s.bends.si().unwrap());
                (s.parts.0, s.parts.1, (bends * 1e6).round() / 1e6, *s.passes.value().unwrap())
            })
            .collect()
    };
    assert_eq!(of(vec![part(emt(), 180.0, 0), part(pvc40(), 180.0, 0)]), vec![(0, 1, 360.0, true)]);
    assert_eq!(of(vec![part(emt(), 181.0, 0), part(pvc40(), 180.0, 0)]), vec![(0, 1, 361.0, false)]);
    assert_eq!(of(vec![part(emt(), 720.0, 1)]), vec![(0, 0, 360.0, true)]);
    let parted = vec![part(emt(), 300.0, 0), part(Raceway::Open, 0.0, 0), part(emt(), 300.0, 0)];
    assert_eq!(of(parted), vec![(0, 0, 300.0, true), (2, 2, 300.0, true)]);
}

/// The metric rules hold no such tables: what changes is told, its size is its maker's.
#[test]
fn by_iec_joints_have_no_size_and_nothing_is_counted() {
    let mut run = run(vec![
        segment(Where::Indoors, Raceway::Open, 4.0, 30.0),
        segment(Where::Indoors, emt(), 4.0, 30.0),
    ]);
    run.insulation = known(Insulation::PvWire);
    let graph = graph(vec![Demand::PvStrings(string(1))]);
    let schedule = size_all(&graph, &[run], RuleSet::Iec60364).unwrap();
    assert_eq!(schedule.joints.len(), 1);
    assert!(schedule.joints[0].size.is_none());
    assert!(schedule.stretches.is_empty());
    assert!(schedule.raceways.iter().all(|row| row.hardware == Hardware::default()));
}
