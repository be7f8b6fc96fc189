//! One-way efficiencies and the losses of a bank at rest.

/// One-way efficiency when only the round trip is known: its square root, the same on the way in and out.
/// Valid for a round trip above 0 and at most 1.
pub fn one_way(round_trip: f64) -> f64 {
    round_trip.sqrt()
}

/// Share of the stored energy lost in an hour when `per_month` (0 to below 1) is lost in a month of rest.
///
/// A month is a twelfth of 8760 hours; what is left decays evenly: `1 − (1 − m)^(1/730)`.
pub fn hourly_self_discharge(per_month: f64) -> f64 {
    -libm::expm1(libm::log1p(-per_month) / 730.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_and_out_again_is_the_round_trip() {
        // 0.9025 = 0.95², exact to rounding.
        assert!((one_way(0.9025) - 0.95).abs() < 1e-15);
    }

    #[test]
    fn seven_hundred_thirty_hours_make_the_month() {
        let share = hourly_self_discharge(0.03);
        let left = (0..730).fold(1.0, |left, _| left * (1.0 - share));
        // 730 roundings of one part in 1e16.
        assert!((left - 0.97).abs() < 1e-12);
        assert_eq!(hourly_self_discharge(0.0), 0.0);
    }
}
