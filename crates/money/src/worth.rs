//! Measures of a series of flows: index 0 is the end of year 0, and so on.
//!
//! Source: NREL/TP-462-5173, 1995 (definitions from memory).

use crate::discount::discounted;

/// Sum of all flows, each discounted to the end of year 0.
pub fn net_present_value(flows: &[f64], d: f64) -> f64 {
    flows.iter().zip(0..).map(|(flow, year)| discounted(*flow, d, year)).sum()
}

/// Cost of a unit of energy over the life: discounted costs over discounted energy, at the same rate.
///
/// `costs[0]` is spent at the end of year 0; `energy[0]` is what year 1 serves. `None` when no energy is served.
pub fn levelised_cost(costs: &[f64], energy: &[f64], d: f64) -> Option<f64> {
    let served: f64 = energy.iter().zip(1..).map(|(kwh, year)| discounted(*kwh, d, year)).sum();
    (served > 0.0).then(|| net_present_value(costs, d) / served)
}

/// Years until the running sum of `flows`, discounted at `d` (0 for the simple payback), reaches zero for good, straight
/// between the ends of years.
///
/// A later outlay, such as a new battery, may take the sum below zero again: the last crossing counts. `None` when the sum
/// ends below zero.
pub fn payback(flows: &[f64], d: f64) -> Option<f64> {
    let mut sum = 0.0;
    let mut crossed = None;
    for (flow, year) in flows.iter().zip(0u32..) {
        let step = discounted(*flow, d, year);
        let before = sum;
        sum += step;
        if sum < 0.0 {
            crossed = None;
        } else if crossed.is_none() {
            let share = if step > 0.0 && before < 0.0 { -before / step } else { 1.0 };
            crossed = Some(if year == 0 { 0.0 } else { f64::from(year) - 1.0 + share });
        }
    }
    crossed
}

/// Rate at which the flows are worth nothing today.
///
/// `None` when there is none between −99 % and 1000 %, or when the flows change sign more than once, for then several rates
/// may answer and none can be told from the others (Descartes' rule of signs). Found by halving to `tolerance`.
pub fn internal_rate(flows: &[f64], tolerance: f64) -> Option<f64> {
    let signs: Vec<bool> = flows.iter().filter(|flow| **flow != 0.0).map(|flow| *flow > 0.0).collect();
    if signs.windows(2).filter(|pair| pair[0] != pair[1]).count() != 1 {
        return None;
    }
    let (mut low, mut high) = (-0.99, 10.0);
    let at_low = net_present_value(flows, low);
    if at_low.is_finite() && at_low * net_present_value(flows, high) > 0.0 {
        return None;
    }
    // Two hundred halvings end below any spacing of numbers, whatever the tolerance asked for.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if high - low < tolerance {
            return Some(middle);
        }
        if (net_present_value(flows, middle) > 0.0) == (at_low > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}
