//! A use that follows the weather, whatever its kind, in one weather year.

use crate::calendar::{MONTH_DAYS, month_sums};
use crate::space::{Space, SpaceYear};
use crate::vehicle::{Vehicle, VehicleYear};
use crate::water::{WaterHeater, WaterYear, mains_c};

/// What the weather years of a place are like together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Climate {
    /// Mean air temperature, °C.
    pub mean_c: f64,
    /// Warmest less coldest monthly mean, K.
    pub spread_c: f64,
    /// South of the equator.
    pub south: bool,
}

impl Climate {
    /// Of years of 8760 hourly means of air, °C; `None` when there is none.
    pub fn of<'a>(years: impl Iterator<Item = &'a [f64]>, south: bool) -> Option<Climate> {
        let (mut sums, mut count) = ([0.0; 12], 0.0);
        for air_c in years {
            count += 1.0;
            sums.iter_mut().zip(month_sums(air_c)).for_each(|(sum, month)| *sum += month);
        }
        if count == 0.0 {
            return None;
        }
        let hours = MONTH_DAYS.map(|days| days as f64 * 24.0);
        let mean_c = sums.iter().sum::<f64>() / (count * hours.iter().sum::<f64>());
        let months: Vec<f64> = sums.iter().zip(hours).map(|(sum, hours)| sum / (count * hours)).collect();
        let warmest = months.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let coldest = months.iter().copied().fold(f64::INFINITY, f64::min);
        Some(Climate { mean_c, spread_c: warmest - coldest, south })
    }

    /// Temperature of mains water on each day, °C; see [`mains_c`].
    pub fn mains_c(&self) -> Vec<f64> {
        mains_c(self.mean_c, self.spread_c, self.south)
    }
}

/// A use that follows the weather, as numbers.
#[derive(Clone, Debug, PartialEq)]
pub enum Following {
    /// Hot water.
    Water(WaterHeater),
    /// Warm and cool rooms.
    Space(Space),
    /// A vehicle.
    Vehicle(Vehicle),
}

/// What became of it in one year.
#[derive(Clone, Debug, PartialEq)]
pub enum FollowedYear {
    /// Hot water.
    Water(WaterYear),
    /// Warm and cool rooms.
    Space(SpaceYear),
    /// A vehicle.
    Vehicle(VehicleYear),
}

impl Following {
    /// One year of 8760 hourly means of air, °C, with 365 days of inlet water, °C.
    pub fn year(&self, air_c: &[f64], inlet_c: &[f64]) -> FollowedYear {
        match self {
            Following::Water(heater) => FollowedYear::Water(heater.year(air_c, inlet_c)),
            Following::Space(space) => FollowedYear::Space(space.year(air_c)),
            Following::Vehicle(vehicle) => FollowedYear::Vehicle(vehicle.year(air_c)),
        }
    }
}

impl FollowedYear {
    /// 8760 hourly means of electric power of one, W.
    pub fn watts(&self) -> &[f64] {
        match self {
            FollowedYear::Water(year) => &year.watts,
            FollowedYear::Space(year) => &year.watts,
            FollowedYear::Vehicle(year) => &year.watts,
        }
    }

    fn watts_mut(&mut self) -> &mut Vec<f64> {
        match self {
            FollowedYear::Water(year) => &mut year.watts,
            FollowedYear::Space(year) => &mut year.watts,
            FollowedYear::Vehicle(year) => &mut year.watts,
        }
    }

    /// Makes the hours those of so many alike; the account stays that of one.
    pub fn scale_hours(&mut self, count: f64) {
        self.watts_mut().iter_mut().for_each(|watts| *watts *= count);
    }

    /// The same account without its hours, which are kept elsewhere.
    pub fn without_hours(mut self) -> Self {
        *self.watts_mut() = Vec::new();
        self
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::{HOURS, month_of_day};

    #[test]
    fn a_climate_is_its_mean_and_the_swing_of_its_months() {
        let year: Vec<f64> = (0..HOURS).map(|h| if month_of_day(h / 24) == 6 { 20.0 } else { 5.0 }).collect();
        let climate = Climate::of([year.as_slice(), year.as_slice()].into_iter(), false).unwrap();
        assert!((climate.mean_c - (5.0 + 15.0 * 31.0 / 365.0)).abs() < 1e-9);
        assert!((climate.spread_c - 15.0).abs() < 1e-9);
        assert!(Climate::of(std::iter::empty(), false).is_none());
    }
}
