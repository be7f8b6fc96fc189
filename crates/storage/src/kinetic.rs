//! The kinetic battery: two wells of charge, one at hand and one bound, with a slow valve between them.
//!
//! Why it matters: a lead-acid bank emptied fast gives far less than its label and recovers at rest.
//! Source: Manwell & McGowan, Lead acid battery storage model for hybrid energy systems, Solar Energy 50 (1993)
//! 399–405, equations from memory and checked against direct integration of the two-tank equations.
//! Any unit of charge or energy may be used, as long as it is the same one everywhere.

/// Constants of one battery.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kinetic {
    /// Share `c` of the capacity in the well at hand, between 0 and 1.
    pub share_at_hand: f64,
    /// Rate `k` of the valve, 1/h, above 0.
    pub rate_per_h: f64,
}

/// Charge in the two wells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wells {
    /// At hand.
    pub at_hand: f64,
    /// Bound.
    pub bound: f64,
}

impl Wells {
    /// Everything stored.
    #[inline]
    pub fn total(self) -> f64 {
        self.at_hand + self.bound
    }
}

/// The terms of one step length that do not depend on the state: computed once for a run of equal steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KineticStep {
    share: f64,
    rate: f64,
    /// `exp(−k t)`.
    remains: f64,
    /// `1 − exp(−k t)`.
    moved: f64,
    /// `k t − 1 + exp(−k t)`.
    lag: f64,
    /// Denominator of both limits, `1 − e + c (k t − 1 + e)`.
    limit: f64,
}

impl Kinetic {
    /// Wells at rest with `total` stored.
    pub fn at_rest(&self, total: f64) -> Wells {
        Wells { at_hand: self.share_at_hand * total, bound: (1.0 - self.share_at_hand) * total }
    }

    /// The terms of a step of `hours`.
    pub fn step(&self, hours: f64) -> KineticStep {
        let (share, rate) = (self.share_at_hand, self.rate_per_h);
        let moved = -libm::expm1(-rate * hours);
        let lag = rate * hours - moved;
        KineticStep { share, rate, remains: 1.0 - moved, moved, lag, limit: moved + share * lag }
    }

    /// What a full battery of capacity `full` gives at constant current within `hours`.
    pub fn capacity_within(&self, full: f64, hours: f64) -> f64 {
        let step = self.step(hours);
        full * self.rate_per_h * self.share_at_hand * hours / step.limit
    }

    /// The two-well capacity of a battery whose label says `rated` within `hours` (lead-acid: 20 h).
    pub fn full_from_rated(&self, rated: f64, hours: f64) -> f64 {
        rated / self.capacity_within(1.0, hours)
    }
}

impl KineticStep {
    /// The wells after a step at constant current, positive when discharging.
    #[inline]
    pub fn after(&self, wells: Wells, current: f64) -> Wells {
        let Self { share, rate, remains, moved, lag, .. } = *self;
        let total = wells.total();
        Wells {
            at_hand: wells.at_hand * remains + (total * rate * share - current) * moved / rate
                - current * share * lag / rate,
            bound: wells.bound * remains + total * (1.0 - share) * moved
                - current * (1.0 - share) * lag / rate,
        }
    }

    /// Highest constant current that leaves the well at hand just empty after the step; not below 0.
    #[inline]
    pub fn discharge_limit(&self, wells: Wells) -> f64 {
        let Self { share, rate, remains, moved, limit, .. } = *self;
        ((rate * wells.at_hand * remains + wells.total() * rate * share * moved) / limit).max(0.0)
    }

    /// Highest constant charging current (positive) that leaves the well at hand just full after the step of a
    /// battery of capacity `full`; not below 0.
    #[inline]
    pub fn charge_limit(&self, wells: Wells, full: f64) -> f64 {
        let Self { share, rate, remains, moved, limit, .. } = *self;
        let room =
            rate * share * full - rate * wells.at_hand * remains - wells.total() * rate * share * moved;
        (room / limit).max(0.0)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn rows(table: &'static str) -> Vec<Vec<f64>> {
        table
            .lines()
            .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
            .map(|line| line.split(',').map_while(|cell| cell.parse().ok()).collect())
            .collect()
    }

    /// Six printed decimals, and the integration behind the table agreed to 1e-6.
    const TOLERANCE: f64 = 1.5e-6;

    #[test]
    fn steps_agree_with_direct_integration() {
        let rows = rows(include_str!("../../../cases/solar/kibam_checks.csv"));
        assert_eq!(rows.len(), 10);
        for row in rows {
            let [c, k, full, at_hand, bound, current, hours, hand_end, bound_end, out, into] = row[..] else {
                panic!("eleven numbers in a row")
            };
            let step = Kinetic { share_at_hand: c, rate_per_h: k }.step(hours);
            let wells = Wells { at_hand, bound };
            let after = step.after(wells, current);
            assert!((after.at_hand - hand_end).abs() < TOLERANCE, "{after:?}");
            assert!((after.bound - bound_end).abs() < TOLERANCE, "{after:?}");
            assert!((step.discharge_limit(wells) - out).abs() < TOLERANCE);
            assert!((step.charge_limit(wells, full) + into).abs() < TOLERANCE);
        }
    }

    #[test]
    fn capacity_against_rate_agrees() {
        let rows = rows(include_str!("../../../cases/solar/kibam_capacity_vs_rate.csv"));
        assert_eq!(rows.len(), 5);
        for row in rows {
            let [c, k, full, hours, capacity, current] = row[..] else { panic!("six numbers in a row") };
            let kinetic = Kinetic { share_at_hand: c, rate_per_h: k };
            let got = kinetic.capacity_within(full, hours);
            // Five printed decimals.
            assert!((got - capacity).abs() < 1e-5);
            assert!((got / hours - current).abs() < 1e-5);
            assert!((kinetic.full_from_rated(capacity, hours) - full).abs() < 1e-4);
        }
    }

    #[test]
    fn what_flows_out_is_what_the_wells_lose() {
        let step = Kinetic { share_at_hand: 0.3, rate_per_h: 1.2 }.step(1.0);
        let mut wells = Kinetic { share_at_hand: 0.3, rate_per_h: 1.2 }.at_rest(100.0);
        for hour in 0..48 {
            let current = [3.0, -2.0, 0.5, 0.0][hour % 4];
            let after = step.after(wells, current);
            // Rounding of a dozen operations on numbers near 100.
            assert!((wells.total() - after.total() - current).abs() < 1e-12);
            wells = after;
        }
    }

    #[test]
    fn running_at_the_limit_empties_the_well_at_hand() {
        let step = Kinetic { share_at_hand: 0.315, rate_per_h: 0.43 }.step(1.0);
        let wells = Wells { at_hand: 20.0, bound: 90.0 };
        let after = step.after(wells, step.discharge_limit(wells));
        assert!(after.at_hand.abs() < 1e-12);
        let full = 200.0;
        let after = step.after(wells, -step.charge_limit(wells, full));
        assert!((after.at_hand - 0.315 * full).abs() < 1e-11);
    }
}
