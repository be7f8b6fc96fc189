//! Clearness of the hours of a day.

use core::f64::consts::PI;

use sun::{YearSky, absolute_air_mass, clean_dry_global_share};

use super::random::Stream;

/// Expected clearness of an hour from the day's clearness and the sine of the sun's height.
///
/// Source: Aguiar & Collares-Pereira 1992, TAG: a time-dependent, autoregressive, Gaussian model for generating
/// synthetic hourly radiation, Solar Energy 49:167.
pub fn expected(day_clearness: f64, sin_height: f64) -> f64 {
    let k = day_clearness;
    let level = -0.19 + 1.12 * k + 0.24 * libm::exp(-8.0 * k);
    let rise = 0.32 - 1.6 * (k - 0.5) * (k - 0.5);
    let bend = 0.19 + 2.27 * k * k - 2.51 * k * k * k;
    level + rise * libm::exp(-bend / sin_height.max(1e-3))
}

/// Standard deviation of an hour's clearness about [`expected`]. Same source.
pub fn deviation(day_clearness: f64, sin_height: f64) -> f64 {
    let k = day_clearness;
    let base = 0.14 * libm::exp(-20.0 * (k - 0.35) * (k - 0.35));
    base * libm::exp((3.0 * (k - 0.45) * (k - 0.45) + 16.0 * libm::pow(k, 5.0)) * (1.0 - sin_height))
}

/// Memory from one hour to the next. Same source.
pub fn memory(day_clearness: f64) -> f64 {
    0.38 + 0.06 * libm::cos(7.4 * day_clearness - 2.5)
}

/// Highest clearness of an hour under a clear sky, by the solar time of its middle, hours. Same source.
pub fn clear_bound(solar_hour: f64) -> f64 {
    0.88 * libm::cos(PI * (solar_hour - 12.0) / 30.0)
}

/// Highest clearness of an hour of a place: the lower of [`clear_bound`], which knows the time of day alone, and what air
/// without haze and vapour lets through ([`sun::clean_dry_global_share`]), which knows how low the sun stands.
///
/// The first alone lets the noon sun of a northern winter, 5° high, bring 0.88 of what is above the air; the second 0.78.
pub fn highest_clearness(sky: &YearSky, hour: usize) -> f64 {
    let air_mass = absolute_air_mass(sky.air_mass[hour], sky.observer.elevation_m);
    clear_bound(12.0 + sky.hour_angle_deg[hour] / 15.0).min(clean_dry_global_share(air_mass))
}

/// One hour of a day to be filled.
#[derive(Clone, Copy, Debug)]
pub struct HourSky {
    /// Index of the hour in the year.
    pub hour: usize,
    /// Sine of the sun's height at the middle of the sunlit part.
    pub sin_height: f64,
    /// Mean extraterrestrial irradiance on the horizontal, W/m².
    pub outside_w_m2: f64,
    /// Highest clearness allowed.
    pub bound: f64,
}

/// Fills the global irradiance of one day so that its sum is `day_clearness` times the extraterrestrial sum.
///
/// Hours are drawn from the autoregressive model and redrawn when they fall outside 0 to the clear bound, then the
/// day is scaled to its sum; what a bounded hour cannot take goes to the others. A day clearer than its bound allows
/// is filled to the bound.
pub fn fill_day(day_clearness: f64, hours: &[HourSky], random: &mut Stream, ghi_w_m2: &mut [f64]) {
    let wanted: f64 = hours.iter().map(|h| h.outside_w_m2).sum::<f64>() * day_clearness;
    if wanted <= 0.0 {
        return;
    }
    let phi = memory(day_clearness);
    let fresh = libm::sqrt(1.0 - phi * phi);
    let k = day_clearness;
    // The parts of the formulas above that belong to the day, once for all its hours.
    let level = -0.19 + 1.12 * k + 0.24 * libm::exp(-8.0 * k);
    let rise = 0.32 - 1.6 * (k - 0.5) * (k - 0.5);
    let bend = 0.19 + 2.27 * k * k - 2.51 * k * k * k;
    let base = 0.14 * libm::exp(-20.0 * (k - 0.35) * (k - 0.35));
    let steep = 3.0 * (k - 0.45) * (k - 0.45) + 16.0 * k * k * k * k * k;
    let mut y = random.normal();
    for h in hours {
        let mean = level + rise * libm::exp(-bend / h.sin_height.max(1e-3));
        let sigma = base * libm::exp(steep * (1.0 - h.sin_height));
        let mut kt = mean.clamp(0.01 * h.bound, 0.99 * h.bound);
        for _ in 0..8 {
            let next = phi * y + fresh * random.normal();
            let drawn = mean + sigma * next;
            if drawn > 0.0 && drawn < h.bound {
                kt = drawn;
                y = next;
                break;
            }
        }
        ghi_w_m2[h.hour] = kt * h.outside_w_m2;
    }
    scale_to(wanted, hours, ghi_w_m2);
}

/// Scales the day to its sum under the bound: bounded hours stay there, the others share what is left.
fn scale_to(wanted: f64, hours: &[HourSky], ghi_w_m2: &mut [f64]) {
    for _ in 0..24 {
        let (mut free, mut held) = (0.0, 0.0);
        for h in hours {
            let top = h.bound * h.outside_w_m2;
            if ghi_w_m2[h.hour] >= top { held += top } else { free += ghi_w_m2[h.hour] }
        }
        if free <= 0.0 {
            return;
        }
        let factor = ((wanted - held) / free).max(0.0);
        let mut clipped = false;
        for h in hours {
            let top = h.bound * h.outside_w_m2;
            if ghi_w_m2[h.hour] < top {
                ghi_w_m2[h.hour] *= factor;
                if ghi_w_m2[h.hour] >= top {
                    ghi_w_m2[h.hour] = top;
                    clipped = true;
                }
            }
        }
        if !clipped {
            return;
        }
    }
}
