//! Unlike banks side by side on one bus: how they share its current, and what the bus may carry until the first is at its
//! limit.
//!
//! Two batteries of one chemistry on a bus have one voltage, so at the first moment the current divides by conductance. The
//! one that carries more for its size then falls behind in state of charge, its open-circuit voltage with it, and in the
//! long run the current divides by capacity (Kirchhoff's laws for two branches of a voltage that follows the charge, in
//! series with a resistance; Bruen & Marco, J. Power Sources 310 (2016) 91–101, and Brand et al., J. Power Sources 334
//! (2016) 202–212, both from memory, find the same on cells). The way from one share to the other never leaves what lies
//! between, so the greater of both bounds what a bank carries. The resistance of cells is told by their efficiency: at one rate
//! a battery loses the share `I · R / V` of what passes, so that its conductance goes with its ampere-hours over that loss.

use quantity::{Charge, Clause, Current, Ratio, Standing, formula};

const DIVIDER: Clause = Clause {
    document: "Kirchhoff's laws",
    edition: "",
    clause: "branches on one voltage share by conductance at first, by capacity in the long run",
    standing: Standing::Computed,
};

/// Least one-way loss that is reckoned with: a battery without any would carry all.
const LEAST_LOSS: f64 = 1e-6;

/// Ampere-hours over the loss of one way: a measure of the conductance of banks of one voltage.
pub fn ease(charge: f64, round_trip: f64) -> f64 {
    charge / (1.0 - round_trip.sqrt()).max(LEAST_LOSS)
}

formula! {
    /// Explained twin of [`ease`].
    pub Ease = ease(
        charge: Charge as AMPERE_HOUR = "ampere-hours of the bank",
        round: Ratio as RATIO = "energy out over energy in",
    ) -> Charge as AMPERE_HOUR,
    text: "charge / max(1 − √round, 0.000001)",
    clause: DIVIDER,
}

/// One part of a whole.
pub fn part_of(own: f64, all: f64) -> f64 {
    own / all
}

formula! {
    /// Explained twin of [`part_of`].
    pub PartOfBus = part_of(
        own: Charge as AMPERE_HOUR = "of this bank",
        all: Charge as AMPERE_HOUR = "of all banks on the bus",
    ) -> Ratio as RATIO,
    text: "own / all",
    clause: DIVIDER,
}

/// What a bank carries of a current of the bus, A.
pub fn carried(share: f64, amps: f64) -> f64 {
    share * amps
}

formula! {
    /// Explained twin of [`carried`].
    pub Carried = carried(
        share: Ratio as RATIO = "greatest share of the bank",
        amps: Current as AMPERE = "current of the bus",
    ) -> Current as AMPERE,
    text: "share · amps",
    clause: DIVIDER,
}

/// Shares of the current of a bus by branch, first and in the long run: conductances over their sum, capacities over theirs.
/// Both slices are of one length with positive sums.
pub fn first_and_lasting(conductance: &[f64], capacity: &[f64]) -> Vec<[f64; 2]> {
    let (g, c): (f64, f64) = (conductance.iter().sum(), capacity.iter().sum());
    conductance.iter().zip(capacity).map(|(own, size)| [part_of(*own, g), part_of(*size, c)]).collect()
}

/// What the bus may carry until the first bank is at its limit: the least of limits over shares. Infinite for none.
pub fn bus_limit(limits: impl Iterator<Item = (f64, f64)>) -> f64 {
    limits.map(|(limit, share)| limit / share).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 Ah at 96 % and 50 Ah at 90 % round trip: losses of one way 1 − √0.96 = 0.0202041 and 1 − √0.9 = 0.0513167, so
    /// 4949.490 and 974.342 Ah: the large bank carries 0.835522 at first and two thirds in the long run. With limits of 100 A and
    /// 50 A the bus may carry 100/0.835522 = 119.686 A and not 150 A.
    #[test]
    fn a_worn_bank_leaves_its_part_to_the_other_at_first() {
        let g = [ease(100.0, 0.96), ease(50.0, 0.9)];
        let shares = first_and_lasting(&g, &[100.0, 50.0]);
        assert!((shares[0][0] - 0.835_521_7).abs() < 1e-7, "{shares:?}");
        assert!((shares[0][1] - 2.0 / 3.0).abs() < 1e-12);
        let most = shares.iter().map(|both| both[0].max(both[1]));
        let limit = bus_limit([100.0, 50.0].into_iter().zip(most));
        assert!((limit - 119.685_699).abs() < 1e-5, "{limit}");
    }

    /// Two branches of a voltage that rises with charge, `V = s·q/C`, behind `R`: a constant current I divides at the time t
    /// as `i₁ = I·(c₁ + (g₁ − c₁)·e^(−t/τ))` with `g₁ = R₂/(R₁+R₂)`, `c₁ = C₁/(C₁+C₂)`, `τ = (R₁+R₂)·C₁·C₂/(s·(C₁+C₂))`. The
    /// two differential equations, walked in steps of a second, never leave the two shares.
    #[test]
    fn on_the_way_no_bank_carries_more_than_the_greater_share() {
        let cases = [
            ([100.0, 50.0], [0.004, 0.020]),
            ([100.0, 100.0], [0.004, 0.012]),
            ([40.0, 280.0], [0.03, 0.004]),
        ];
        for (capacity_ah, ohm) in cases {
            let shares = first_and_lasting(&[1.0 / ohm[0], 1.0 / ohm[1]], &capacity_ah);
            // 3 V of rise over the whole charge of a bank of nominal 51 V; 60 A.
            let (slope, amps) = (3.0, 60.0);
            let mut moved_ah = [0.0; 2];
            let tau_h = (ohm[0] + ohm[1]) * capacity_ah[0] * capacity_ah[1]
                / (slope * (capacity_ah[0] + capacity_ah[1]));
            for second in 0..7200 {
                let volts = [slope * moved_ah[0] / capacity_ah[0], slope * moved_ah[1] / capacity_ah[1]];
                let first = (amps * ohm[1] + volts[1] - volts[0]) / (ohm[0] + ohm[1]);
                let now = [first / amps, 1.0 - first / amps];
                let t_h = f64::from(second) / 3600.0;
                for k in 0..2 {
                    let [at_first, lasting] = shares[k];
                    let told = lasting + (at_first - lasting) * libm::exp(-t_h / tau_h);
                    // Euler's steps of a second against time constants of minutes.
                    assert!((now[k] - told).abs() < 2e-3, "{now:?} {told}");
                    assert!(now[k] <= at_first.max(lasting) + 1e-9 && now[k] >= at_first.min(lasting) - 1e-9);
                    moved_ah[k] += now[k] * amps / 3600.0;
                }
            }
        }
    }
}
