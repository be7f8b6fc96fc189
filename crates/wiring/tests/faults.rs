//! Shorts at the far end by hand, and how devices answer them.
#![allow(clippy::unwrap_used, missing_docs)]

mod common;

use common::{ac, emt, run, schedule, segment};
use quantity::Fact;
use wiring::{
    Curve, Demand, Ended, FaultSource, RuleSet, Trips, Where, far_end_ground_fault, generator_fault,
    loop_impedance, trips, trips_from,
};

/// UL 489 and UL 248: minutes at twice the rating; the magnetic release of IEC 60898-1 type C at ten times, its timed
/// one within two minutes at 2.55 times (from memory).
#[test]
fn a_device_answers_by_the_multiple_of_its_rating() {
    for (amps, nec, iec) in [
        (1000.0, Trips::AtOnce, Trips::AtOnce),
        (999.0, Trips::InMinutes, Trips::InMinutes),
        (255.0, Trips::InMinutes, Trips::InMinutes),
        (254.0, Trips::InMinutes, Trips::NotCountedOn),
        (200.0, Trips::InMinutes, Trips::NotCountedOn),
        (199.0, Trips::NotCountedOn, Trips::NotCountedOn),
    ] {
        assert_eq!(trips(RuleSet::Nec2023, 100.0, amps), nec, "{amps}");
        assert_eq!(trips(RuleSet::Iec60364, 100.0, amps), iec, "{amps}");
    }
    for none in [f64::NAN, f64::INFINITY, -5.0, 0.0] {
        assert_eq!(trips(RuleSet::Nec2023, 100.0, none), Trips::NotCountedOn);
        assert_eq!(trips(RuleSet::Nec2023, none.min(0.0), 100.0), Trips::NotCountedOn);
    }
}

/// Upper ends of the instantaneous release of types B, C and D: 5, 10 and 20 times the rating (IEC 60898-1, table 7, from
/// memory).
#[test]
fn the_letter_on_a_breaker_tells_from_when_it_opens_at_once() {
    for (letter, least) in [(Curve::B, 500.0), (Curve::C, 1000.0), (Curve::D, 2000.0)] {
        let answers = |amps| trips_from(letter.at_once(), RuleSet::Iec60364, 100.0, amps);
        assert_eq!((answers(least), answers(least - 1.0)), (Trips::AtOnce, Trips::InMinutes), "{letter:?}");
    }
}

/// A machine of 12 % delivers 8.3 times its rated current.
#[test]
fn a_generator_feeds_its_rating_over_its_reactance() {
    assert!((generator_fault(6000.0, 240.0, 0.12) - 208.333).abs() < 0.001);
}

/// By hand: 100 ft of 10 AWG copper (1.24 Ω/kft) and a ground of 10 AWG close 0.248 Ω; behind 120 V that feed 40 A the
/// source counts with 3 Ω: 120 / 3.248 = 36.9 A.
#[test]
fn the_loop_to_ground_is_one_conductor_and_the_ground() {
    let of = |sets| far_end_ground_fault(120.0, 40.0, 100.0, loop_impedance(1.24, 0.0, sets, 1.24, 0.0));
    assert!((of(1.0) - 36.946).abs() < 0.001);
    // Two conductors in parallel halve one of them.
    assert!((of(2.0) - 37.665).abs() < 0.001);
}

/// By hand: 500 ft of 4/0 in steel (0.0608 and 0.051 Ω/kft) with a ground of 2 AWG (0.194 and 0.057): 0.2548 Ω/kft of
/// resistance and 0.108 of reactance are 0.27674 Ω/kft; behind 120 V that feed 10 kA, 120 / (0.012 + 0.13837) = 798.0 A.
/// Resistance alone would show 120 / (0.012 + 0.1274) = 860.8 A, 8 % more than flows.
#[test]
fn reactance_lessens_a_fault_at_the_end_of_thick_conductors() {
    let of = |x, y| far_end_ground_fault(120.0, 10_000.0, 500.0, loop_impedance(0.0608, x, 1.0, 0.194, y));
    assert!((of(0.051, 0.057) - 798.03).abs() < 0.05, "{}", of(0.051, 0.057));
    assert!((of(0.0, 0.0) - 860.83).abs() < 0.05);
}

/// A fault through a source of 5 kA: in steel the loop reacts a quarter more than in plastic.
#[test]
fn a_run_in_steel_reacts_more_than_one_in_plastic() {
    let through = |raceway| {
        let mut demand = ac(160.0, 240.0);
        if let Demand::Ac(load) = &mut demand {
            load.fault = common::amps(5000.0).into();
        }
        let route = vec![segment(Where::Indoors, raceway, 300.0, 30.0)];
        let sized = schedule(vec![demand], run(route)).circuits.remove(0);
        let size = sized.gauge().value().copied().unwrap();
        (size, sized.smallest_fault.unwrap().si().unwrap())
    };
    let (size, steel) = through(emt());
    let (same, plastic) = through(common::pvc40());
    assert_eq!(size, same);
    assert!(steel < plastic && steel > 0.9 * plastic, "{steel} {plastic}");
}

#[test]
fn each_source_alone_is_told_with_what_ends_it() {
    let source = |name: &str, amps: f64, ends| FaultSource {
        name: name.into(),
        first: common::amps(amps),
        lasting: common::amps(amps),
        ends_itself: ends,
        gone_within: None,
    };
    let mut demand = ac(16.0, 240.0);
    if let Demand::Ac(load) = &mut demand {
        load.fault.sources = vec![
            source("utility", 5000.0, None),
            source("inverter", 30.0, Some(common::known(true))),
            source("generator", 30.0, Some(common::known(false))),
            source("other", 30.0, Some(common::unknown("other.ends_short"))),
        ];
    }
    let mut sized = schedule(vec![demand], run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)])).circuits;
    let sized = sized.remove(0);
    let ended: Vec<Option<Ended>> = sized.far_ends.iter().map(|end| end.ended.value().copied()).collect();
    let at_once = Ended::ByDevice(Trips::AtOnce);
    assert_eq!(ended, [Some(at_once), Some(Ended::BySource), Some(Ended::ByNothing), None]);
    let least = sized.far_ends.iter().filter_map(|end| end.current.si()).fold(f64::MAX, f64::min);
    assert_eq!(sized.smallest_fault.as_ref().and_then(Fact::si), Some(least));
    let gap = sized.far_ends[3].ended.gap().unwrap();
    assert_eq!(gap.missing[0].field.as_str(), "other.ends_short");
}
