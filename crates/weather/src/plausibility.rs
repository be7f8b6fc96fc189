//! Whether a weather year can be true.

use sun::{HOURS, YearSky};

use crate::fields::hour_in_words as date;
use crate::year::{Place, Year};

/// Something about a year that a person should look at.
#[derive(Clone, Debug, PartialEq)]
pub enum Observation {
    /// Global does not equal diffuse plus beam times the cosine: root mean square of the rest in sunlit hours above 5°,
    /// W/m². Swapped columns, or stamps of another convention, do this.
    DoesNotClose {
        /// Root mean square rest, W/m².
        rms_w_m2: f64,
    },
    /// The light is early or late against the sun, hours, late positive: a wrong zone, longitude or stamp convention.
    NoonIsShifted {
        /// Energy-weighted solar time minus noon, hours.
        hours: f64,
    },
    /// The longitude lies far from the zone's meridian, hours; a lost sign does this.
    ZoneFarFromLongitude {
        /// Longitude over 15° minus zone, hours, shortest way around.
        hours: f64,
    },
    /// Hours with light while the sun is down all hour.
    LightAtNight {
        /// How many.
        hours: usize,
        /// The brightest of them: hour of the year and W/m².
        worst: (usize, f64),
    },
    /// Hours brighter than the light above the air on the horizontal.
    BrighterThanSpace {
        /// How many (above 2° of sun height).
        hours: usize,
        /// The worst of them: hour of the year and W/m².
        worst: (usize, f64),
    },
    /// Diffuse larger than global by more than 5 % and 10 W/m².
    DiffuseAboveGlobal {
        /// How many hours.
        hours: usize,
    },
    /// Temperature jumps by more than 15 K from one hour to the next.
    TemperatureJumps {
        /// How many times.
        hours: usize,
        /// The first: hour of the year.
        first_hour: usize,
    },
    /// A sunlit day without any light.
    DarkDays {
        /// How many.
        days: usize,
    },
    /// More wind than where people live: another quantity or another unit stands in its column.
    WindTooStrong {
        /// Mean of the year, m/s.
        mean_m_s: f64,
        /// Calmest hour of the year, m/s.
        calmest_m_s: f64,
    },
}

/// Strongest yearly mean wind at 10 m, m/s: stormy coasts have some 9 and bare summits at most 16 (from memory); a mean of 3.5 m/s
/// written in km/h is 12.6.
const STRONGEST_MEAN_WIND_M_S: f64 = 12.0;

/// Strongest wind of a year's calmest hour, m/s: every place has hours of near calm (common practice, no source).
const STRONGEST_CALM_M_S: f64 = 5.0;

impl core::fmt::Display for Observation {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::DoesNotClose { rms_w_m2 } => {
                write!(f, "global differs from diffuse plus beam by {rms_w_m2:.0} W/m² (root mean square)")
            }
            Self::NoonIsShifted { hours } => write!(f, "the light is {hours:+.1} h from the sun's own noon"),
            Self::ZoneFarFromLongitude { hours } => {
                write!(f, "the longitude is {hours:+.1} h from the meridian of the time zone")
            }
            Self::LightAtNight { hours, worst } => {
                write!(f, "{hours} hours have light at night, most {:.0} W/m² on {}", worst.1, date(worst.0))
            }
            Self::BrighterThanSpace { hours, worst } => {
                write!(
                    f,
                    "{hours} hours are brighter than sunlight above the air, worst {:.0} W/m² on {}",
                    worst.1,
                    date(worst.0)
                )
            }
            Self::DiffuseAboveGlobal { hours } => write!(f, "diffuse exceeds global in {hours} hours"),
            Self::TemperatureJumps { hours, first_hour } => {
                write!(
                    f,
                    "temperature jumps by more than 15 K in {hours} hours, first on {}",
                    date(*first_hour)
                )
            }
            Self::DarkDays { days } => write!(f, "{days} days have sun and no light"),
            Self::WindTooStrong { mean_m_s, calmest_m_s } => write!(
                f,
                "the wind blows at {mean_m_s:.1} m/s on average and at {calmest_m_s:.1} m/s in its calmest hour"
            ),
        }
    }
}

/// The figures of a look at a year, and what is odd about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plausibility {
    /// Root mean square of `global − diffuse − beam · cos z` in hours with the sun 5° high or more, W/m².
    pub closure_rms_w_m2: f64,
    /// Mean of the same over the mean global of those hours.
    pub closure_bias: f64,
    /// Largest of the same: hour of the year and W/m².
    pub closure_worst: (usize, f64),
    /// Energy-weighted solar time minus noon, hours.
    pub noon_shift_h: f64,
    /// Yearly sums of global, beam and diffuse, kWh/m².
    pub yearly_kwh_m2: (f64, f64, f64),
    /// Lowest, mean and highest temperature, °C.
    pub air_c: (f64, f64, f64),
    /// What a person should look at; empty when nothing is odd.
    pub observations: Vec<Observation>,
}

impl Plausibility {
    /// Looks at a year; `sky` is the sky of its place.
    pub fn of(year: &Year, place: &Place, sky: &YearSky) -> Self {
        let mut observations = Vec::new();
        let (mut square, mut rest_sum, mut global_sum, mut count) = (0.0, 0.0, 0.0, 0);
        let mut closure_worst = (0, 0.0);
        let (mut angle_sum, mut weight) = (0.0, 0.0);
        let (mut night, mut night_worst) = (0, (0, 0.0));
        let (mut bright, mut bright_worst) = (0, (0, 0.0));
        let mut above_global = 0;
        let (mut jumps, mut first_jump) = (0, None);
        for hour in 0..HOURS {
            let (global, beam, diffuse) = (year.ghi_w_m2[hour], year.dni_w_m2[hour], year.dhi_w_m2[hour]);
            let cos_z = sky.cos_zenith[hour];
            // Sine of 5°: lower, the middle of the hour says little about the whole.
            if cos_z > 0.0872 {
                let rest = global - diffuse - beam * cos_z;
                square += rest * rest;
                rest_sum += rest;
                global_sum += global;
                count += 1;
                if rest.abs() > f64::abs(closure_worst.1) {
                    closure_worst = (hour, rest);
                }
            }
            if sky.has_sun(hour) {
                angle_sum += global * sky.hour_angle_deg[hour] / 15.0;
                weight += global;
            } else if global > 5.0 {
                // Twilight in a refracting sky gives a few W/m² in the hour beside sunrise.
                night += 1;
                if global > night_worst.1 {
                    night_worst = (hour, global);
                }
            }
            if cos_z > 0.035 && global > 1.05 * sky.extraterrestrial_horizontal_w_m2[hour] + 5.0 {
                bright += 1;
                if global > bright_worst.1 {
                    bright_worst = (hour, global);
                }
            }
            above_global += usize::from(diffuse > 1.05 * global + 10.0);
            if hour > 0 && (year.air_c[hour] - year.air_c[hour - 1]).abs() > 15.0 {
                jumps += 1;
                first_jump = first_jump.or(Some(hour));
            }
        }
        let n = f64::max(f64::from(count), 1.0);
        let closure_rms_w_m2 = libm::sqrt(square / n);
        let noon_shift_h = if weight > 0.0 { angle_sum / weight } else { 0.0 };
        // Real files close within 5 W/m²; sums of rounded minutes within 15.
        if closure_rms_w_m2 > 25.0 {
            observations.push(Observation::DoesNotClose { rms_w_m2: closure_rms_w_m2 });
        }
        // Morning and evening cloud shift real years by up to 0.25 h; one hour of stamp shifts by 1, a half by 0.5.
        if noon_shift_h.abs() > 0.4 {
            observations.push(Observation::NoonIsShifted { hours: noon_shift_h });
        }
        let apart = place.longitude_deg / 15.0 - place.utc_offset_h;
        let apart = apart - 24.0 * libm::floor((apart + 12.0) / 24.0);
        // Inhabited zones reach 2.6 h from their meridian.
        if apart.abs() > 2.7 {
            observations.push(Observation::ZoneFarFromLongitude { hours: apart });
        }
        if night > 0 {
            observations.push(Observation::LightAtNight { hours: night, worst: night_worst });
        }
        if bright > 0 {
            observations.push(Observation::BrighterThanSpace { hours: bright, worst: bright_worst });
        }
        if above_global > 0 {
            observations.push(Observation::DiffuseAboveGlobal { hours: above_global });
        }
        if let Some(first_hour) = first_jump {
            observations.push(Observation::TemperatureJumps { hours: jumps, first_hour });
        }
        let dark = year
            .daily_ghi_wh_m2()
            .iter()
            .zip(&sky.extraterrestrial_day_wh_m2)
            // Below 200 Wh/m² of sunlight above the air a day may well be recorded as dark.
            .filter(|(light, outside)| **outside > 200.0 && **light <= 0.0)
            .count();
        if dark > 0 {
            observations.push(Observation::DarkDays { days: dark });
        }
        let mean_m_s = year.wind_m_s.iter().sum::<f64>() / HOURS as f64;
        let calmest_m_s = year.wind_m_s.iter().copied().reduce(f64::min).unwrap_or(0.0);
        if mean_m_s > STRONGEST_MEAN_WIND_M_S || calmest_m_s > STRONGEST_CALM_M_S {
            observations.push(Observation::WindTooStrong { mean_m_s, calmest_m_s });
        }
        let sum = |v: &[f64]| v.iter().sum::<f64>() / 1000.0;
        let extreme = |pick: fn(f64, f64) -> f64| year.air_c.iter().copied().reduce(pick).unwrap_or(0.0);
        Self {
            closure_rms_w_m2,
            closure_bias: if global_sum > 0.0 { rest_sum / global_sum } else { 0.0 },
            closure_worst,
            noon_shift_h,
            yearly_kwh_m2: (sum(&year.ghi_w_m2), sum(&year.dni_w_m2), sum(&year.dhi_w_m2)),
            air_c: (extreme(f64::min), year.air_c.iter().sum::<f64>() / HOURS as f64, extreme(f64::max)),
            observations,
        }
    }
}
