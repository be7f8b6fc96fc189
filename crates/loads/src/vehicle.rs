//! A vehicle charged by the distance it is driven.

use crate::points::Points;
use crate::{HOURS, weekday_of_day};
use quantity::{Clause, Energy, EnergyPerLength, Length, Ratio, Standing, formula};

/// Energy from the outlet for a day of driving, Wh: `distance` km at `per` Wh/km through a charger.
pub fn charge_per_day(distance: f64, per: f64, efficiency: f64) -> f64 {
    distance * per / efficiency
}

formula! {
    /// Explained twin of [`charge_per_day`].
    pub ChargePerDay = charge_per_day(
        distance: Length as KILOMETER = "driven on a day of use",
        per: EnergyPerLength as WATT_HOUR_PER_KILOMETER = "energy from its battery per distance, mild weather",
        efficiency: Ratio as RATIO = "from the outlet into its battery",
    ) -> Energy as WATT_HOUR,
    text: "distance · per / efficiency",
    clause: Clause { document: "definition", edition: "", clause: "energy = distance · energy per distance", standing: Standing::Computed },
}

/// A vehicle as numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// Energy from the outlet on a day of driving in mild weather, Wh.
    pub wh_per_day: f64,
    /// Power it charges with, W.
    pub power_w: f64,
    /// Hours of the day in which it may charge, standard time.
    pub charges: [bool; 24],
    /// Share more that driving takes by the mean temperature of the day; `None` where none was stated.
    pub cold: Option<Points>,
    /// Days of the week on which it is driven, Monday first.
    pub weekdays: [bool; 7],
    /// Months of use.
    pub months: [bool; 12],
}

/// A year of a vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleYear {
    /// 8760 hourly means of power, W.
    pub watts: Vec<f64>,
    /// Energy asked for, Wh.
    pub asked_wh: f64,
    /// Most energy that was still wanting at the beginning of a day's driving, Wh.
    pub most_behind_wh: f64,
    /// Energy still wanting when the year ends, Wh.
    pub owed_wh: f64,
    /// Days colder than the coldest point of the cold effect, which is then held.
    pub under_points_days: usize,
}

/// Hour at which a day's driving is over and its energy is wanting; before it the car is away or full.
const BACK_HOME: usize = 18;

impl Vehicle {
    /// One year with 8760 hourly means of outdoor air, °C. Whatever a window does not hold is charged in the next.
    pub fn year(&self, air_c: &[f64]) -> VehicleYear {
        let mut year = VehicleYear {
            watts: vec![0.0; HOURS],
            asked_wh: 0.0,
            most_behind_wh: 0.0,
            owed_wh: 0.0,
            under_points_days: 0,
        };
        for (day, air) in air_c.chunks(24).enumerate().take(HOURS / 24) {
            let driven = self.weekdays[weekday_of_day(day)] && self.months[crate::month_of_day(day)];
            for hour in 0..24 {
                if hour == BACK_HOME && driven {
                    year.most_behind_wh = year.most_behind_wh.max(year.owed_wh);
                    let mean_c = air.iter().sum::<f64>() / air.len() as f64;
                    let more = self.cold.as_ref().map_or(0.0, |points| {
                        year.under_points_days += usize::from(mean_c < points.range().0);
                        points.held(mean_c)
                    });
                    let asked = self.wh_per_day * (1.0 + more.max(0.0));
                    year.asked_wh += asked;
                    year.owed_wh += asked;
                }
                if self.charges[hour] && year.owed_wh > 0.0 {
                    let given = self.power_w.min(year.owed_wh);
                    year.watts[day * 24 + hour] = given;
                    year.owed_wh -= given;
                }
            }
        }
        year
    }
}

/// Hours of a window of the clock, standard time; over midnight where it ends before it begins. A whole number of hours
/// counts; an hour that is only touched is not in it.
pub fn window(from: f64, until: f64) -> [bool; 24] {
    let mut hours = [false; 24];
    for (hour, inside) in hours.iter_mut().enumerate() {
        let (start, end) = (hour as f64, hour as f64 + 1.0);
        *inside = if from < until { start >= from && end <= until } else { start >= from || end <= until };
    }
    hours
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// 50 km at 180 Wh/km through 0.9: 10 kWh; at 3.5 kW three hours, the third for 3 kWh.
    #[test]
    fn a_day_is_charged_in_its_window() {
        let wh_per_day = charge_per_day(50.0, 180.0, 0.9);
        assert!((wh_per_day - 10_000.0).abs() < 1e-9);
        let car = Vehicle {
            wh_per_day,
            power_w: 3500.0,
            charges: window(22.0, 6.0),
            cold: Points::new(vec![(-10.0, 0.4), (20.0, 0.0)]),
            weekdays: [true, true, true, true, true, false, false],
            months: [true; 12],
        };
        let mild = car.year(&[20.0; HOURS]);
        // The year begins on a Wednesday, as 2025 does.
        assert_eq!(&mild.watts[22..26], &[3500.0, 3500.0, 3000.0, 0.0]);
        assert_eq!(mild.asked_wh, 261.0 * 10_000.0);
        assert_eq!(mild.most_behind_wh, 0.0);
        let cold = car.year(&[-10.0; HOURS]);
        assert!((cold.asked_wh / mild.asked_wh - 1.4).abs() < 1e-12);
        assert_eq!(car.year(&[-12.0; HOURS]).under_points_days, 261);
        // One hour a day at 1 kW cannot follow.
        let weak = Vehicle { power_w: 1000.0, charges: window(22.0, 23.0), ..car };
        assert!(weak.year(&[20.0; HOURS]).most_behind_wh > 1e6);
    }

    #[test]
    fn a_window_runs_over_midnight() {
        let night = window(22.0, 6.0);
        assert!(night[22] && night[23] && night[0] && night[5] && !night[6] && !night[21]);
        assert_eq!(window(10.5, 13.0).iter().filter(|h| **h).count(), 2);
        assert_eq!(window(0.0, 24.0), [true; 24]);
    }
}
