//! Times of automatic disconnection against IEC 60364-4-41:2005 table 41.1 and gates of fuses against IEC 60269-1:2006 table
//! 3 (both from memory), and the published bound of a residual-current device in a TT system.

#![allow(clippy::unwrap_used)]

use quantity::{Measure, units};
use wiring::{Curve, fuse_opens_at, longest_time, touch_voltage};

#[test]
fn table_41_1_by_voltage_and_system() {
    let seconds =
        |u0, by_earth, is_final| units::SECOND.of_si(longest_time(u0, by_earth, is_final).value.si());
    for (u0, tn, tt) in [(120.0, 0.8, 0.3), (230.0, 0.4, 0.2), (400.0, 0.2, 0.07), (690.0, 0.1, 0.04)] {
        assert_eq!((seconds(u0, false, true), seconds(u0, true, true)), (tn, tt));
        // Circuits between boards.
        assert_eq!((seconds(u0, false, false), seconds(u0, true, false)), (5.0, 1.0));
    }
}

#[test]
fn a_fuse_needs_more_for_a_shorter_time_and_a_larger_rating() {
    assert_eq!(fuse_opens_at(63.0, 5.0), Some(320.0));
    assert_eq!(fuse_opens_at(63.0, 0.4), Some(820.0));
    // Between two ratings the larger one counts; beyond the table and below a tenth of a second nothing is promised.
    assert_eq!(fuse_opens_at(35.0, 5.0), fuse_opens_at(40.0, 5.0));
    assert_eq!((fuse_opens_at(250.0, 5.0), fuse_opens_at(16.0, 0.05)), (None, None));
    let ratings = [16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0];
    for pair in ratings.windows(2) {
        for seconds in [5.0, 0.4] {
            assert!(fuse_opens_at(pair[0], seconds) < fuse_opens_at(pair[1], seconds));
        }
    }
    for rating in ratings {
        let (slow, fast) = (fuse_opens_at(rating, 5.0).unwrap(), fuse_opens_at(rating, 0.1).unwrap());
        // The law of the steep part: four to six and a half times within 5 s, nine to seventeen and a half within 0.1 s.
        assert!(
            (4.0..=6.5).contains(&(slow / rating)) && (9.0..=17.5).contains(&(fast / rating)),
            "{rating}"
        );
    }
}

/// The bounds printed in installation guides (from memory): 1667 Ω for 30 mA, 500 Ω for 100 mA, 167 Ω for 300 mA.
#[test]
fn fifty_volts_bound_the_electrode_of_a_tt_house() {
    for (amps, ohms) in [(0.03, 1667.0), (0.1, 500.0), (0.3, 166.7)] {
        assert!((touch_voltage(ohms, amps) - wiring::LASTING_TOUCH).abs() < 0.05);
    }
    assert_eq!([Curve::B, Curve::C, Curve::D].map(Curve::at_once), [5.0, 10.0, 20.0]);
}
