//! Free space in front of equipment: NEC 110.26(A).

use quantity::{Length, Measure, Standing, TableRow, Traced, Voltage, nec, units};

/// What stands opposite to equipment across its working space.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Opposite {
    /// Nothing live and nothing grounded: condition 1.
    Nothing,
    /// Something grounded; walls of concrete, brick and tile count as such: condition 2.
    Grounded,
    /// Other live parts: condition 3.
    Live,
}

impl Opposite {
    /// The words of the design.
    pub fn in_words(self) -> &'static str {
        match self {
            Opposite::Nothing => "nothing live or grounded",
            Opposite::Grounded => "concrete, brick or something grounded",
            Opposite::Live => "live parts",
        }
    }

    /// Every condition.
    pub const ALL: [Opposite; 3] = [Opposite::Nothing, Opposite::Grounded, Opposite::Live];
}

/// Highest voltage to ground up to which the depth is the same whatever stands opposite.
pub const SAME_DEPTH_UP_TO: f64 = 150.0;

/// Least depth in front of equipment of this highest voltage to ground: Table 110.26(A)(1). The 3 ft were read
/// second-hand, the others are from memory. `None` above 1000 V.
pub fn least_depth(to_ground: Voltage, opposite: Opposite) -> Option<Traced<Length>> {
    let volts = to_ground.si();
    let (feet, words) = match (volts, opposite) {
        (v, _) if v <= SAME_DEPTH_UP_TO => (3.0, "0 to 150 V to ground: 3 ft"),
        (v, Opposite::Nothing) if v <= 1000.0 => (3.0, "151 to 1000 V, condition 1: 3 ft"),
        (v, Opposite::Grounded) if v <= 600.0 => (3.5, "151 to 600 V, condition 2: 3 ft 6 in"),
        (v, Opposite::Live) if v <= 600.0 => (4.0, "151 to 600 V, condition 3: 4 ft"),
        (v, Opposite::Grounded) if v <= 1000.0 => (4.0, "601 to 1000 V, condition 2: 4 ft"),
        (v, Opposite::Live) if v <= 1000.0 => (5.0, "601 to 1000 V, condition 3: 5 ft"),
        _ => return None,
    };
    let standing = if feet > 3.0 { Standing::Remembered } else { Standing::SecondHand };
    Some(row(feet, words, "Table 110.26(A)(1)", standing))
}

/// Least width: 30 in, or that of the equipment where it is wider.
pub fn least_width(own: Option<&Traced<Length>>) -> Traced<Length> {
    let least = row(2.5, "30 in or the width of the equipment", "110.26(A)(2)", Standing::SecondHand);
    match own {
        Some(own) if own.si() > least.si() => own.clone(),
        _ => least,
    }
}

/// Least height: 6 ft 6 in.
pub fn least_height() -> Traced<Length> {
    row(6.5, "6 ft 6 in or the height of the equipment", "110.26(A)(3)", Standing::SecondHand)
}

fn row(feet: f64, words: &str, clause: &'static str, standing: Standing) -> Traced<Length> {
    let row = TableRow { clause: nec("2023", clause, standing), row: words.into(), standing };
    Traced::tabled(Length::from_si(units::FOOT_UNIT.to_si(feet)), row)
}

#[cfg(test)]
mod tests {
    use super::{Opposite, least_depth, least_height, least_width};
    use quantity::{Length, Measure, Traced, Voltage, units};

    fn inches(length: &Traced<Length>) -> f64 {
        (units::INCH_UNIT.of_si(length.si()) * 10.0).round() / 10.0
    }

    /// Table 110.26(A)(1) (3 ft read second-hand, the rest from memory), one row each side of its steps.
    #[test]
    fn depth_follows_voltage_and_what_stands_opposite() {
        let depth = |volts: f64, opposite| least_depth(Voltage::from_si(volts), opposite).map(|d| inches(&d));
        for (volts, wanted) in [
            (120.0, [36.0, 36.0, 36.0]),
            (150.0, [36.0, 36.0, 36.0]),
            (151.0, [36.0, 42.0, 48.0]),
            (600.0, [36.0, 42.0, 48.0]),
            (601.0, [36.0, 48.0, 60.0]),
            (1000.0, [36.0, 48.0, 60.0]),
        ] {
            assert_eq!(Opposite::ALL.map(|opposite| depth(volts, opposite)), wanted.map(Some), "{volts}");
        }
        assert_eq!(depth(1001.0, Opposite::Nothing), None);
        assert_eq!(depth(f64::NAN, Opposite::Nothing), None);
    }

    #[test]
    fn width_is_that_of_wider_equipment() {
        assert_eq!((inches(&least_width(None)), inches(&least_height())), (30.0, 78.0));
        let own = |inch: f64| Traced::stated(Length::from_si(units::INCH_UNIT.to_si(inch)), "own");
        assert_eq!(inches(&least_width(Some(&own(20.0)))), 30.0);
        assert_eq!(inches(&least_width(Some(&own(48.0)))), 48.0);
    }
}
