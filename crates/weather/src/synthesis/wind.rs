//! Wind: a plain random series about an assumed mean, because monthly climates carry no wind.

use super::random::Stream;

/// Mean wind speed at 10 m that is assumed, m/s: the mean of seven hourly years is 3.8; inland sites have less.
pub const ASSUMED_MEAN_M_S: f64 = 3.5;

/// Memory of one component of the wind from hour to hour; of the speed it is about the square, 0.8 as in seven hourly years.
const MEMORY: f64 = 0.9;

/// 8760 hourly speeds with a Rayleigh law, the usual form when only a mean is known.
///
/// The speed is the length of two independent autoregressive normal components.
/// Source of the law: IEC 61400-1, reference wind speed distribution (from memory).
pub fn year(mean_m_s: f64, random: &mut Stream) -> Vec<f64> {
    // The mean of a Rayleigh law is √(π/2) of its component's deviation.
    let scale = mean_m_s.max(0.0) / libm::sqrt(core::f64::consts::FRAC_PI_2);
    let fresh = libm::sqrt(1.0 - MEMORY * MEMORY);
    let (mut x, mut y) = (random.normal(), random.normal());
    (0..sun::HOURS)
        .map(|_| {
            x = MEMORY * x + fresh * random.normal();
            y = MEMORY * y + fresh * random.normal();
            scale * libm::sqrt(x * x + y * y)
        })
        .collect()
}
