//! Monthly light of one place carried to another latitude by its clearness.

use sun::{
    DAYS, MONTH_DAYS, SOLAR_CONSTANT_W_M2, cooper_declination_deg, daily_horizontal_mj_m2, month_of_day,
    spencer_normal_factor,
};

/// Clearness above which no month of any place lies; from memory: the clearest months of deserts reach 0.75 to 0.8.
const MOST_CLEARNESS: f64 = 0.8;
/// Under so much light above the air, kWh/m² a day, a month says nothing of clearness: the sun hardly rises.
const TOO_LITTLE: f64 = 0.2;

/// Light above the air on the level, mean day of each month, kWh/m².
fn above_the_air(latitude_deg: f64) -> [f64; 12] {
    let mut sums = [0.0; 12];
    for day in 0..DAYS {
        let n = day as f64 + 1.0;
        let normal = SOLAR_CONSTANT_W_M2 * spencer_normal_factor(n);
        let daily = daily_horizontal_mj_m2(latitude_deg, cooper_declination_deg(n), normal) / 3.6;
        sums[month_of_day(day)] += daily.max(0.0);
    }
    for (sum, days) in sums.iter_mut().zip(MONTH_DAYS) {
        *sum /= days as f64;
    }
    sums
}

/// Monthly means of daily light on the level (kWh/m²) of latitude `from_deg`, as they would be at `to_deg` (both −90 to 90°)
/// under a sky as clear: each month's clearness index, the light over that above the air, is kept.
///
/// A month in which the sun of the first place hardly rises takes the clearness of that place's year. Source: the clearness
/// index of Liu and Jordan 1960, as in Duffie & Beckman, Solar Engineering of Thermal Processes, section 2.9; that skies
/// are as clear elsewhere is an assumption, better than that days are as long.
#[must_use]
pub fn carried_to_latitude(ghi_kwh_m2_day: &[f64; 12], from_deg: f64, to_deg: f64) -> [f64; 12] {
    let (from, to) = (above_the_air(from_deg), above_the_air(to_deg));
    let year: f64 = from.iter().sum();
    let of_year = if year > 0.0 { ghi_kwh_m2_day.iter().sum::<f64>() / year } else { 0.5 };
    core::array::from_fn(|month| {
        let clearness = if from[month] > TOO_LITTLE { ghi_kwh_m2_day[month] / from[month] } else { of_year };
        clearness.clamp(0.0, MOST_CLEARNESS) * to[month]
    })
}

/// How fast air cools with height, K per kilometre. Source: ISO 2533:1975, Standard Atmosphere (the same numbers as ICAO Doc
/// 7488), temperature gradient of the layer from −2 to 11 km; from memory.
///
/// It is a mean of free air. Of the neighbouring places of the climate table (within 100 km, 800 m or more apart in height) four
/// pairs of five differ by 1.9 to 6.5 K a kilometre over the year, the middle one by 4.7; least where valleys hold cold air in winter.
pub const COOLING_K_PER_KM: f64 = 6.5;

/// How much colder the standard atmosphere is `higher_m` metres farther up, K; negative farther down.
#[must_use]
pub fn colder_by_height_k(higher_m: f64) -> f64 {
    COOLING_K_PER_KM * higher_m / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 2533:1975, table of temperatures by geopotential height (from memory): 15 °C at the sea, 2 °C at 2000 m, −17.5 °C at
    /// 5000 m, −56.5 °C at 11 000 m, 21.5 °C at −1000 m.
    #[test]
    fn air_cools_as_in_the_standard_atmosphere() {
        for (height_m, celsius) in [(2000.0, 2.0), (5000.0, -17.5), (11_000.0, -56.5), (-1000.0, 21.5)] {
            assert!((15.0 - colder_by_height_k(height_m) - celsius).abs() < 1e-9, "{height_m} m");
        }
    }

    /// Duffie & Beckman, table 1.10.1 (from memory): at 40° north 14.8 MJ/m² a day in January and 40.6 in July on the mean day;
    /// half a MJ allows for the mean over all days of the month and for the declination.
    #[test]
    fn light_above_the_air_is_that_of_the_handbook() {
        let at = above_the_air(40.0);
        assert!((at[0] * 3.6 - 15.0).abs() < 0.5, "{}", at[0] * 3.6);
        assert!((at[6] * 3.6 - 40.4).abs() < 0.5, "{}", at[6] * 3.6);
    }

    #[test]
    fn the_same_latitude_keeps_its_light_and_the_polar_night_has_none() {
        let ghi: [f64; 12] = [0.5, 1.1, 2.2, 3.6, 4.9, 5.2, 4.9, 4.1, 2.8, 1.5, 0.7, 0.4];
        for (kept, light) in carried_to_latitude(&ghi, 55.8, 55.8).iter().zip(ghi) {
            assert!((kept - light).abs() < 1e-12, "{kept} {light}");
        }
        let north = carried_to_latitude(&ghi, 55.8, 69.4);
        assert!(north[11] == 0.0 && north[0] < 0.1 && north[1] < 0.6 * ghi[1], "{north:?}");
        // Under the midnight sun nearly as much light falls above the air as farther south.
        assert!(north[5] > 0.9 * ghi[5] && north[5] < ghi[5] * 1.05);
        // From a polar night the clearness of the year is taken.
        let back = carried_to_latitude(&north, 69.4, 55.8);
        assert!(back.iter().all(|light| light.is_finite() && *light > 0.0));
    }
}
