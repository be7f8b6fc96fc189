//! Temperature of the hours: the month, the day's own memory and clearness, and the time of day.
//!
//! The hour's course is Erbs 1984; the spread of the days, their memory and how they go with clearness were fitted on
//! seven hourly years (Phoenix, Minneapolis, Miami, San Juan, Golden, Toronto, De Bilt), of 84 months in all, because no
//! published form takes the twelve means as input. They are data-derived figures with wide error, given below.

use core::f64::consts::PI;

/// Deviation of the hour from the day's mean over the daily amplitude, by solar time in hours (13.5 = half past one).
///
/// `0.4632 cos(t − 3.805) + 0.0984 cos(2t − 0.360) + 0.0168 cos(3t − 0.822) + 0.0138 cos(4t − 3.513)`,
/// `t = 2π (h − 1)/24`. Source: Erbs 1984, after Duffie & Beckman; from −0.451 near six to 0.525 at three.
pub fn course(solar_hour: f64) -> f64 {
    let t = 2.0 * PI * (solar_hour - 1.0) / 24.0;
    0.4632 * libm::cos(t - 3.805)
        + 0.0984 * libm::cos(2.0 * t - 0.360)
        + 0.0168 * libm::cos(3.0 * t - 0.822)
        + 0.0138 * libm::cos(4.0 * t - 3.513)
}

/// Highest minus lowest value of [`course`]: divides a mean daily range into an amplitude.
pub const COURSE_RANGE: f64 = 0.976;

/// Standard deviation of daily means about one month's own mean and trend, K.
///
/// `0.37 + 0.084 · min(r, 25) + 0.128 · min(d, 15)`: `r` the warmest minus the coldest monthly mean, `d` the warmest
/// minus this month's, K. Fitted on 84 months; scatter 1.0 K.
pub fn day_deviation_k(yearly_range_k: f64, below_warmest_k: f64) -> f64 {
    0.37 + 0.084 * yearly_range_k.min(25.0) + 0.128 * below_warmest_k.min(15.0)
}

/// Correlation of a day's mean temperature with its clearness.
///
/// `−0.89 + 0.075 · H0 + 0.86 · K`, within ±0.7: `H0` the month's extraterrestrial energy, kWh/m² per day, `K` its
/// mean clearness. Negative in dull dark months (a clear winter day is a cold one), positive in bright ones.
/// Fitted on 84 months; scatter 0.30.
pub fn clearness_correlation(outside_kwh_m2_day: f64, mean_clearness: f64) -> f64 {
    (-0.89 + 0.075 * outside_kwh_m2_day + 0.86 * mean_clearness).clamp(-0.7, 0.7)
}

/// Share of the deviation that shows within one month about its own mean and trend, as it was fitted.
///
/// For a memory of 0.65 the mean of 30 days takes 15 % of the variance and their trend about 13 %: √0.72.
pub const WITHIN_MONTH: f64 = 0.85;

/// Share of the deviation of noon values that is left in daily means when the hours run straight from noon to noon.
///
/// A day's mean is 3/4 of its own noon and 1/8 of each neighbour's; with a memory of 0.65 its variance is
/// `9/16 + 2/64 + 2·(3/4)(1/8)·2·0.65 + 2·(1/64)·0.42 = 0.85`.
pub const NOON_TO_NOON: f64 = 0.92;

/// Memory of daily mean temperatures from one day to the next.
///
/// The 84 months have 0.55 on average, which within single months is some 0.1 too low.
pub const DAY_MEMORY: f64 = 0.65;

/// How the daily amplitude grows with the day's clearness: relative change per unit of clearness, from 84 months.
pub const AMPLITUDE_PER_CLEARNESS: f64 = 1.04;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_course_of_the_day_matches_its_table() {
        // Normalised values of the published series at 1, 6, 15 and 24 h solar time; half a unit of the last digit.
        for (hour, value) in
            [(1.0, -0.27428), (6.0, -0.45128), (12.0, 0.33964), (15.0, 0.52453), (24.0, -0.21898)]
        {
            assert!((course(hour) - value).abs() < 5.1e-6, "{hour}: {}", course(hour));
        }
    }
}
