//! What hangs on each leg while running together, the neutral current, and the smallest move that helps.

use crate::Leg;
use quantity::{Clause, Current, Power, Standing, Voltage, formula};

/// A load that is running.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// Power while running, W.
    pub watts: f64,
    /// Where it hangs.
    pub leg: Leg,
}

/// Running power on the first and second leg, W. A load across both legs counts half on each.
pub fn leg_watts(running: &[Running]) -> [f64; 2] {
    let mut legs = [0.0; 2];
    for load in running {
        match load.leg {
            Leg::A | Leg::Only => legs[0] += load.watts,
            Leg::B => legs[1] += load.watts,
            Leg::Both => {
                legs[0] += load.watts / 2.0;
                legs[1] += load.watts / 2.0;
            }
        }
    }
    legs
}

/// Current in the neutral of a split-phase supply, A: the difference of the legs over the voltage to neutral.
/// At power factor 1; loads across both legs use no neutral.
pub fn neutral_current(first: f64, second: f64, volts: f64) -> f64 {
    (first - second).abs() / volts
}

formula! {
    /// Explained twin of [`neutral_current`].
    pub NeutralCurrent = neutral_current(
        first: Power as WATT = "running on the first leg",
        second: Power as WATT = "running on the second leg",
        volts: Voltage as VOLT = "leg to neutral",
    ) -> Current as AMPERE,
    text: "abs(first − second) / volts",
    clause: Clause { document: "definition", edition: "", clause: "split phase", standing: Standing::Computed },
}

/// A load moved to the other leg, and what that gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// Position in the list of running loads.
    pub index: usize,
    /// Running power on the legs afterwards, W.
    pub legs_w: [f64; 2],
}

/// The smallest single load whose move to the other leg brings both legs below `limit_w`.
///
/// Below and not merely to the limit: a leg run at exactly its limit trips on the next lamp. Of equal loads the one
/// listed last is moved. `None` when no leg is above its limit, or no single move helps.
pub fn smallest_move(running: &[Running], limit_w: f64) -> Option<Move> {
    let legs = leg_watts(running);
    let (from, to, leg) = if legs[0] > limit_w && legs[0] >= legs[1] {
        (0, 1, Leg::A)
    } else if legs[1] > limit_w {
        (1, 0, Leg::B)
    } else {
        return None;
    };
    let mut found: Option<Move> = None;
    let mut least = f64::INFINITY;
    for (index, load) in running.iter().enumerate().filter(|(_, load)| load.leg == leg) {
        let mut legs_w = legs;
        legs_w[from] -= load.watts;
        legs_w[to] += load.watts;
        if legs_w[from] < limit_w && legs_w[to] < limit_w && load.watts <= least {
            least = load.watts;
            found = Some(Move { index, legs_w });
        }
    }
    found
}

/// Highest hourly mean on each leg and the hour in which both together are highest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstHour {
    /// Hour of the year, from 0.
    pub hour: usize,
    /// Both legs together in that hour, W.
    pub together_w: f64,
    /// Highest of each leg in any hour, W.
    pub legs_w: [f64; 2],
}

impl WorstHour {
    /// The worse of two years: the hour of the higher one, the highest of each leg in either.
    pub fn worse(a: Option<WorstHour>, b: Option<WorstHour>) -> Option<WorstHour> {
        let (Some(a), Some(b)) = (a, b) else { return a.or(b) };
        let legs_w = [0, 1].map(|leg| a.legs_w[leg].max(b.legs_w[leg]));
        Some(WorstHour { legs_w, ..if b.together_w > a.together_w { b } else { a } })
    }
}

/// The worst coincidence in hourly means; `None` for an empty profile. Within an hour more may run together: the sum
/// of [`leg_watts`] over everything that can run at once is the bound.
pub fn worst_together(profile: &crate::HourlyProfile) -> Option<WorstHour> {
    let legs = [profile.leg(0), profile.leg(1)];
    let mut worst: Option<WorstHour> = None;
    let mut highest = [0.0_f64; 2];
    for (hour, (a, b)) in legs[0].iter().zip(&legs[1]).enumerate() {
        highest = [highest[0].max(*a), highest[1].max(*b)];
        if worst.is_none_or(|so_far| a + b > so_far.together_w) {
            worst = Some(WorstHour { hour, together_w: a + b, legs_w: highest });
        }
    }
    worst.map(|worst| WorstHour { legs_w: highest, ..worst })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Acceptance story "8 kW inverter that trips at 6.3 kW", in its order of listing.
    fn kitchen() -> Vec<Running> {
        let a = |watts| Running { watts, leg: Leg::A };
        vec![
            a(1500.0), // microwave
            a(1200.0), // toaster
            a(1500.0), // kettle
            a(200.0),
            a(150.0),
            a(150.0),
            Running { watts: 600.0, leg: Leg::B },
            Running { watts: 1000.0, leg: Leg::Both },
        ]
    }

    /// 4700 + 500 = 5200 W on one leg, 600 + 500 = 1100 W on the other, 34.2 A in the neutral; with the kettle moved
    /// 3700 and 2600 W, 9.2 A.
    #[test]
    fn the_kettle_is_the_smallest_move_that_helps() {
        let legs = leg_watts(&kitchen());
        assert_eq!(legs, [5200.0, 1100.0]);
        // Tolerance: one printed decimal.
        assert!((neutral_current(legs[0], legs[1], 120.0) - 34.2).abs() < 0.05);
        let moved = smallest_move(&kitchen(), 4000.0).unwrap();
        assert_eq!((moved.index, moved.legs_w), (2, [3700.0, 2600.0]));
        assert!((neutral_current(moved.legs_w[0], moved.legs_w[1], 120.0) - 9.2).abs() < 0.05);
    }

    #[test]
    fn nothing_is_moved_without_need_or_without_help() {
        assert_eq!(smallest_move(&kitchen(), 5200.0), None);
        assert_eq!(smallest_move(&kitchen(), 2000.0), None);
        let other = [Running { watts: 900.0, leg: Leg::B }, Running { watts: 500.0, leg: Leg::B }];
        assert_eq!(smallest_move(&other, 1000.0).unwrap().legs_w, [500.0, 900.0]);
    }

    #[test]
    fn the_worst_hour_is_found() {
        let load =
            crate::LoadInput { power_w: 1000.0, hours: [0.0, 0.0, 6.0, 0.0], ..crate::LoadInput::IDLE };
        let noon = crate::LoadInput { power_w: 700.0, hours: [0.0, 6.0, 0.0, 0.0], leg: Leg::B, ..load };
        let worst = worst_together(&crate::HourlyProfile::of(&[load, noon])).unwrap();
        assert_eq!((worst.hour, worst.together_w, worst.legs_w), (16, 1000.0, [1000.0, 700.0]));
    }
}
