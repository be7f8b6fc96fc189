//! One year of hours, and sums over it.

use sun::{DAYS, MONTH_DAYS, month_of_day, month_start_day};

/// Where a weather year belongs.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Name as the source gives it.
    pub name: String,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level, metres.
    pub elevation_m: f64,
    /// Local standard time minus universal time, hours.
    pub utc_offset_h: f64,
}

/// 8760 hourly means, each for the hour ending at its stamp, local standard time; 365 days, no 29 February.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// Global irradiance on the horizontal, W/m².
    pub ghi_w_m2: Vec<f64>,
    /// Beam irradiance on a plane facing the sun, mean over the whole hour, W/m².
    pub dni_w_m2: Vec<f64>,
    /// Diffuse irradiance on the horizontal, W/m².
    pub dhi_w_m2: Vec<f64>,
    /// Air temperature in the shade, °C.
    pub air_c: Vec<f64>,
    /// Wind speed at 10 m, m/s.
    pub wind_m_s: Vec<f64>,
    /// Snow on the ground, centimetres, where the source has it in every hour.
    pub snow_cm: Option<Vec<f64>>,
    /// Share of light the ground throws back, 0 to 1, where the source has it in every hour.
    pub albedo: Option<Vec<f64>>,
}

/// A run of days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// First day of the year, 0 to 364.
    pub first_day: usize,
    /// Number of days.
    pub days: usize,
    /// Sum over them.
    pub sum: f64,
}

impl Year {
    /// Global energy of each day, Wh/m², 365 values.
    pub fn daily_ghi_wh_m2(&self) -> Vec<f64> {
        self.ghi_w_m2.chunks(24).map(|day| day.iter().sum()).collect()
    }

    /// Mean daily global energy of each month, kWh/m² per day.
    pub fn monthly_ghi_kwh_m2_day(&self) -> [f64; 12] {
        monthly_means(&self.ghi_w_m2).map(|mean| mean * 0.024)
    }

    /// Mean air temperature of each month, °C.
    pub fn monthly_air_c(&self) -> [f64; 12] {
        monthly_means(&self.air_c)
    }

    /// The dullest runs of `days` days by global energy, worst first, at most `count`, none overlapping another.
    pub fn dullest_stretches(&self, days: usize, count: usize) -> Vec<Stretch> {
        lowest_stretches(&self.daily_ghi_wh_m2(), days, count)
    }
}

/// Mean of each month over 8760 hourly values.
pub(crate) fn monthly_means(hours: &[f64]) -> [f64; 12] {
    core::array::from_fn(|month| {
        let from = 24 * month_start_day(month);
        let count = 24 * MONTH_DAYS[month];
        hours.iter().skip(from).take(count).sum::<f64>() / count as f64
    })
}

/// The runs of `days` neighbouring values with the lowest sums, lowest first, none overlapping another.
///
/// A run does not wrap over the new year. Fewer than `count` come back when the list has no room for more.
pub(crate) fn lowest_stretches(daily: &[f64], days: usize, count: usize) -> Vec<Stretch> {
    if days == 0 || days > daily.len() {
        return Vec::new();
    }
    let mut runs: Vec<Stretch> = daily
        .windows(days)
        .enumerate()
        .map(|(first_day, window)| Stretch { first_day, days, sum: window.iter().sum() })
        .collect();
    runs.sort_by(|a, b| a.sum.total_cmp(&b.sum).then(a.first_day.cmp(&b.first_day)));
    let mut chosen: Vec<Stretch> = Vec::new();
    for run in runs {
        if chosen.len() == count {
            break;
        }
        if chosen.iter().all(|c| run.first_day + days <= c.first_day || c.first_day + days <= run.first_day) {
            chosen.push(run);
        }
    }
    chosen
}

/// Season of a day: 0 December to February, 1 March to May, 2 June to August, 3 September to November.
pub fn season_of_day(day: usize) -> usize {
    (month_of_day(day.min(DAYS - 1)) + 1) % 12 / 3
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dull_stretches_do_not_overlap_and_come_worst_first() {
        let daily = [5.0, 1.0, 1.0, 5.0, 0.5, 2.0, 5.0, 5.0];
        let found = lowest_stretches(&daily, 2, 3);
        assert_eq!(found.iter().map(|s| s.first_day).collect::<Vec<_>>(), [1, 4, 6]);
        assert_eq!(found[0].sum, 2.0);
        assert!(lowest_stretches(&daily, 9, 1).is_empty() && lowest_stretches(&daily, 0, 1).is_empty());
    }

    #[test]
    fn seasons_follow_the_months() {
        assert_eq!(
            [season_of_day(0), season_of_day(59), season_of_day(151), season_of_day(243), season_of_day(364)],
            [0, 1, 2, 3, 0]
        );
    }
}
