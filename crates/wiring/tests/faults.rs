//! Shorts at the far end by hand, and how devices answer them.
#![allow(clippy::unwrap_used, missing_docs)]

mod common;

use common::{ac, emt, run, schedule, segment};
use quantity::Fact;
use wiring::{
    Curve, Demand, Ended, FaultSource, RuleSet, Trips, Where, far_end_ground_fault, generator_fault, trips,
    trips_from,
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
    assert!((far_end_ground_fault(120.0, 40.0, 100.0, 1.24, 1.0, 1.24) - 36.946).abs() < 0.001);
    // Two conductors in parallel halve one of them.
    assert!((far_end_ground_fault(120.0, 40.0, 100.0, 1.24, 2.0, 1.24) - 37.665).abs() < 0.001);
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
