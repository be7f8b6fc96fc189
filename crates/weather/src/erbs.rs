//! How much of the global light is diffuse, when nothing else is known.

use sun::{YearSky, absolute_air_mass, clean_dry_beam_share};

/// Diffuse share of an hour's global energy from its clearness index.
///
/// Fitted on hourly data; beyond a clearness of 0.9 or on minutes it is outside its range. The published pieces leave
/// steps of 3e-4 at 0.22 and 0.80. Source: Erbs, Klein & Duffie 1982, Solar Energy 28:293.
pub fn hourly_diffuse_fraction(kt: f64) -> f64 {
    if kt <= 0.22 {
        1.0 - 0.09 * kt.max(0.0)
    } else if kt <= 0.80 {
        0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)))
    } else {
        0.165
    }
}

/// Diffuse share of a day's global energy, from its clearness index and the sunset hour angle in degrees.
///
/// Source: Erbs, Klein & Duffie 1982 (coefficients from memory).
pub fn daily_diffuse_fraction(kt: f64, sunset_hour_angle_deg: f64) -> f64 {
    if sunset_hour_angle_deg <= 81.4 {
        if kt < 0.715 { 1.0 + kt * (-0.2727 + kt * (2.4495 + kt * (-11.9514 + kt * 9.3879))) } else { 0.143 }
    } else if kt < 0.722 {
        1.0 + kt * (0.2832 + kt * (-2.5557 + kt * 0.8448))
    } else {
        0.175
    }
}

/// Diffuse share of a month's global energy, from its mean clearness (0.3 to 0.8) and the sunset hour angle in degrees.
///
/// Outside 0.3 to 0.8 the value at the border is given. Source: Erbs, Klein & Duffie 1982 (coefficients from memory).
pub fn monthly_diffuse_fraction(mean_kt: f64, sunset_hour_angle_deg: f64) -> f64 {
    let k = mean_kt.clamp(0.3, 0.8);
    if sunset_hour_angle_deg <= 81.4 {
        1.391 + k * (-3.560 + k * (4.189 - k * 2.137))
    } else {
        1.311 + k * (-3.022 + k * (3.427 - k * 1.821))
    }
}

/// Splits hourly global irradiance into beam and diffuse: `(dni, dhi)`, W/m², for one year of hours.
///
/// Beam is set so that `global = diffuse + beam · cos z` holds with the sky's own cosine; an hour without sun is all
/// diffuse. Beam never exceeds what clean dry air lets through ([`sun::clean_dry_beam_share`]), times the sunlit share of the
/// hour: near sunrise a clearness near one, from a cloud's bright edge or a clock a little off, would else be given a beam as
/// strong as above the air. What is taken from such a beam is diffuse.
pub fn split_global(ghi_w_m2: &[f64], sky: &YearSky) -> (Vec<f64>, Vec<f64>) {
    ghi_w_m2
        .iter()
        .enumerate()
        .map(|(hour, ghi)| {
            let outside = sky.extraterrestrial_horizontal_w_m2.get(hour).copied().unwrap_or(0.0);
            let cos_z = sky.cos_zenith.get(hour).copied().unwrap_or(0.0);
            if outside <= 0.0 || cos_z <= 0.0 || *ghi <= 0.0 {
                return (0.0, ghi.max(0.0));
            }
            let beam = ghi * (1.0 - hourly_diffuse_fraction(ghi / outside)) / cos_z;
            let air_mass = absolute_air_mass(sky.air_mass[hour], sky.observer.elevation_m);
            let outside_beam = sky.extraterrestrial_normal_w_m2[hour] * sky.sunlit_fraction[hour];
            let dni = beam.min(outside_beam * clean_dry_beam_share(air_mass));
            (dni, (ghi - dni * cos_z).max(0.0))
        })
        .unzip()
}
