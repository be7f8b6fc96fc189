//! Cells within the hour.

/// How long cells take to follow a change of light, minutes: about seven (Jones & Underwood 2001, A thermal model for
/// photovoltaic systems, Solar Energy 70:349; from memory).
const CELLS_FOLLOW_MIN: f64 = 7.0;

/// Mean rise of the cells above the air in each step over that in the mean light of its hour, where they follow the light in
/// their own time; they begin settled at the mean.
///
/// - `over`: light of each step over the mean of its hour.
/// - `step_min`: length of a step, minutes, above 0.
#[must_use]
pub fn rise_within_hours(over: &[f64], step_min: f64) -> Vec<f64> {
    let follows = -libm::expm1(-step_min / CELLS_FOLLOW_MIN);
    let mut now = 1.0;
    over.iter()
        .map(|light| {
            let before = now;
            now += (light - now) * follows;
            // The mean of an exponential approach over the step.
            light + (before - light) * follows * CELLS_FOLLOW_MIN / step_min
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a light twice as strong from rest; after one time constant 1 − 1/e of the change has come, and the mean on the way is
    /// 2 − (1 − 1/e) = 1.367 88 of the rise before.
    #[test]
    fn cells_follow_the_light_in_their_own_time() {
        let rise = rise_within_hours(&[2.0, 2.0], CELLS_FOLLOW_MIN);
        let left = (-1.0_f64).exp();
        assert!((rise[0] - (2.0 - (1.0 - left))).abs() < 1e-12, "{rise:?}");
        assert!((rise[1] - (2.0 - left * (1.0 - left))).abs() < 1e-12, "{rise:?}");
        assert_eq!(rise_within_hours(&[1.0; 5], 1.0), [1.0; 5]);
    }
}
