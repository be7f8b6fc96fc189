//! Wind: a plain random series about its monthly means.

use sun::month_of_hour;

use super::random::Stream;

/// Memory of one component of the wind from hour to hour; of the speed it is about the square, 0.8 as in seven hourly years.
const MEMORY: f64 = 0.9;

/// 8760 hourly speeds, m/s, with a Rayleigh law about twelve monthly means, the usual form when only a mean is known.
///
/// The speed is the length of two independent autoregressive normal components. It knows no time of day and no clearness.
/// Source of the law: IEC 61400-1, reference wind speed distribution (from memory).
pub fn year(mean_m_s: &[f64; 12], random: &mut Stream) -> Vec<f64> {
    // The mean of a Rayleigh law is √(π/2) of its component's deviation.
    let scale = mean_m_s.map(|mean| mean.max(0.0) / libm::sqrt(core::f64::consts::FRAC_PI_2));
    let fresh = libm::sqrt(1.0 - MEMORY * MEMORY);
    let (mut x, mut y) = (random.normal(), random.normal());
    (0..sun::HOURS)
        .map(|hour| {
            x = MEMORY * x + fresh * random.normal();
            y = MEMORY * y + fresh * random.normal();
            scale[month_of_hour(hour)] * libm::sqrt(x * x + y * y)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::random::Purpose;
    use super::*;

    #[test]
    fn months_keep_their_means_and_the_law_its_width() {
        let means: [f64; 12] =
            core::array::from_fn(|month| if month == 6 { 0.0 } else { 2.0 + month as f64 });
        let years: Vec<Vec<f64>> =
            (0..100).map(|index| year(&means, &mut Stream::new(3, index, Purpose::Wind))).collect();
        for (month, wanted) in means.iter().enumerate() {
            let from = 24 * sun::month_start_day(month);
            let hours: Vec<f64> =
                years.iter().flat_map(|y| &y[from..from + 24 * sun::MONTH_DAYS[month]]).copied().collect();
            let n = hours.len() as f64;
            let mean = hours.iter().sum::<f64>() / n;
            let variance = hours.iter().map(|h| (h - mean) * (h - mean)).sum::<f64>() / n;
            // Deviation of a Rayleigh law: √(4/π − 1) = 0.523 of its mean. With a memory of 0.8 an hour in nine is fresh:
            // three standard errors of 70000 hours are 0.018 of the mean.
            assert!((mean - wanted).abs() <= 0.018 * wanted, "{month}: {mean} {wanted}");
            assert!((variance.sqrt() - 0.5227 * wanted).abs() <= 0.02 * wanted, "{month}");
        }
    }
}
