//! Rooms kept warm and cool, hour by hour, from one heat-loss figure.
//!
//! The rooms are one node with the exact solution of its equation within each hour (power constant over the hour):
//! `C · dT/dt = U · (T_out − T) + gains + Q`, with `C = U · τ`. What it takes over a year is the degree-hour method with
//! a balance point `T_set − gains / U`; the node adds what the mass does at a night set-back and on mild days.
//!
//! Known limits: gains are one mean figure, sun through windows included; wind, humidity and latent cooling are not
//! modelled; a heat pump's points hold defrosting as its data sheet measured it.

use crate::points::Points;
use crate::{HOURS, month_of_day};
use quantity::{Clause, Energy, HeatLoss, Number, Standing, formula};

/// Where the balance of rooms stands.
pub const BALANCE_POINT: Clause = Clause {
    document: "ASHRAE Handbook Fundamentals",
    edition: "2009",
    clause: "chapter 19, variable-base degree-hours; one thermal node",
    standing: Standing::Remembered,
};

/// Heat of a year by degree days, Wh: `loss` W/K over `days` kelvin-days under the balance point.
pub fn degree_day_heat(loss: f64, days: f64) -> f64 {
    loss * days * 24.0
}

formula! {
    /// Explained twin of [`degree_day_heat`].
    pub DegreeDayHeat = degree_day_heat(
        loss: HeatLoss as WATT_PER_KELVIN = "heat loss of the rooms",
        days: Number as NUMBER = "kelvin-days under the balance point",
    ) -> Energy as WATT_HOUR,
    text: "loss · days · 24",
    clause: Clause {
        document: "ASHRAE Handbook Fundamentals",
        edition: "2009",
        clause: "chapter 19, degree-day method",
        standing: Standing::Remembered,
    },
}

/// A heat pump by outdoor temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Most heat it moves, W.
    pub capacity_w: Points,
    /// Heat over electricity at that.
    pub cop: Points,
}

/// Rooms with what heats and cools them, as numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    /// Heat lost per kelvin between inside and outside, W/K; above 0.
    pub loss_w_per_k: f64,
    /// Time in which unheated rooms come 63 % nearer to the outdoors, h; above 0.
    pub time_constant_h: f64,
    /// Heat of people, lamps, appliances and sun, mean, W.
    pub gains_w: f64,
    /// Warmed to, °C: by day (6–22 h) and by night; `None` where nothing is heated.
    pub heated_to_c: Option<[f64; 2]>,
    /// Cooled to, °C; `None` where nothing is cooled.
    pub cooled_to_c: Option<f64>,
    /// Heat pump, heating.
    pub heating: Option<Machine>,
    /// Resistance heat beside or in place of it, W.
    pub strip_w: f64,
    /// Heat pump, cooling.
    pub cooling: Option<Machine>,
    /// Loss by starting and stopping: at a load share x the efficiency is `1 − c · (1 − x)` of full load's.
    pub cycling: f64,
    /// Months in which it may heat or cool.
    pub months: [bool; 12],
}

/// A year of rooms.
#[derive(Clone, Debug, PartialEq)]
pub struct SpaceYear {
    /// 8760 hourly means of electric power, W.
    pub watts: Vec<f64>,
    /// Heat given to the rooms, Wh.
    pub heat_wh: f64,
    /// Of it by resistance, Wh.
    pub strip_wh: f64,
    /// Heat taken out of the rooms, Wh.
    pub cold_wh: f64,
    /// Hours more than 1 K below what they are heated to, within the months of use; from 6 to 10 h below the lower of
    /// day and night.
    pub too_cold_h: usize,
    /// Hours more than 1 K above what they are cooled to, within the months of use.
    pub too_warm_h: usize,
    /// Hours that wanted heat below the coldest point of the heat pump, which then stands still.
    pub under_points_h: usize,
    /// Hours that wanted cold above the warmest point, which is then held.
    pub over_points_h: usize,
    /// Coldest room, °C, within the months of use; infinite when there are none.
    pub coldest_c: f64,
}

/// First hours of day and night of the set points.
const DAY: std::ops::Range<usize> = 6..22;

/// Hours in which rooms may still be warming up from the night.
const WARMING_UP: std::ops::Range<usize> = 6..10;

impl Space {
    /// One year with 8760 hourly means of outdoor air, °C. The rooms start at their set point.
    pub fn year(&self, air_c: &[f64]) -> SpaceYear {
        let mut year = SpaceYear {
            watts: vec![0.0; HOURS],
            heat_wh: 0.0,
            strip_wh: 0.0,
            cold_wh: 0.0,
            too_cold_h: 0,
            too_warm_h: 0,
            under_points_h: 0,
            over_points_h: 0,
            coldest_c: f64::INFINITY,
        };
        let keeps = libm::exp(-1.0 / self.time_constant_h);
        let mut room = self.heated_to_c.map_or(self.cooled_to_c.unwrap_or(20.0), |to| to[1]);
        for (hour, out) in air_c.iter().copied().enumerate().take(HOURS) {
            let used = self.months[month_of_day(hour / 24)];
            // Constant heat that brings the room to a target by the end of the hour.
            let to_reach = |target: f64| {
                self.loss_w_per_k * ((target - room * keeps) / (1.0 - keeps) - out) - self.gains_w
            };
            let mut heat = 0.0;
            let by_day = DAY.contains(&(hour % 24));
            let warm = self.heated_to_c.map(|to| if by_day { to[0] } else { to[1] });
            if let Some(target) = warm.filter(|_| used)
                && to_reach(target) > 0.0
            {
                let (given, watts, strip) = self.warms(to_reach(target), out, &mut year);
                heat = given;
                year.watts[hour] = watts;
                year.heat_wh += given;
                year.strip_wh += strip;
            } else if let Some(target) = self.cooled_to_c.filter(|_| used)
                && to_reach(target) < 0.0
            {
                let (taken, watts) = self.cools(-to_reach(target), out, &mut year);
                heat = -taken;
                year.watts[hour] = watts;
                year.cold_wh += taken;
            }
            let rest = out + (self.gains_w + heat) / self.loss_w_per_k;
            room = rest + (room - rest) * keeps;
            if used {
                year.coldest_c = year.coldest_c.min(room);
                // Warming up from the night is no failure of the first hours of the day.
                let due = match self.heated_to_c {
                    Some(to) if WARMING_UP.contains(&(hour % 24)) => Some(to[0].min(to[1])),
                    _ => warm,
                };
                year.too_cold_h += usize::from(due.is_some_and(|target| room < target - 1.0));
                year.too_warm_h += usize::from(self.cooled_to_c.is_some_and(|target| room > target + 1.0));
            }
        }
        year
    }

    /// Heat given, electricity and the part by resistance, W, where `wanted` W of heat are wanted.
    fn warms(&self, wanted: f64, out: f64, year: &mut SpaceYear) -> (f64, f64, f64) {
        let (mut given, mut watts) = (0.0, 0.0);
        if let Some(machine) = &self.heating {
            match (machine.capacity_w.within(out), machine.cop.within(out)) {
                (Some(capacity), Some(cop)) if capacity > 0.0 && cop > 0.0 => {
                    given = wanted.min(capacity);
                    watts = given / (cop * self.part_load(given / capacity));
                }
                _ => year.under_points_h += 1,
            }
        }
        let strip = (wanted - given).clamp(0.0, self.strip_w.max(0.0));
        (given + strip, watts + strip, strip)
    }

    fn cools(&self, wanted: f64, out: f64, year: &mut SpaceYear) -> (f64, f64) {
        let Some(machine) = &self.cooling else { return (0.0, 0.0) };
        let (capacity, cop) = (machine.capacity_w.held(out), machine.cop.held(out));
        if capacity <= 0.0 || cop <= 0.0 {
            return (0.0, 0.0);
        }
        year.over_points_h += usize::from(out > machine.capacity_w.range().1);
        let taken = wanted.min(capacity);
        (taken, taken / (cop * self.part_load(taken / capacity)))
    }

    fn part_load(&self, share: f64) -> f64 {
        1.0 - self.cycling.clamp(0.0, 0.9) * (1.0 - share.clamp(0.0, 1.0))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn rooms() -> Space {
        Space {
            loss_w_per_k: 200.0,
            time_constant_h: 30.0,
            gains_w: 0.0,
            heated_to_c: Some([20.0; 2]),
            cooled_to_c: None,
            heating: None,
            strip_w: 20_000.0,
            cooling: None,
            cycling: 0.0,
            months: [true; 12],
        }
    }

    fn points(list: &[(f64, f64)]) -> Points {
        Points::new(list.to_vec()).unwrap()
    }

    /// Degree-day method (ASHRAE Handbook Fundamentals, chapter 19, from memory): 200 W/K at 15 K below the set point over
    /// 365 days take 200 · 5475 · 24 Wh = 26.28 MWh; gains of 400 W move the balance point by 2 K.
    #[test]
    fn steady_cold_takes_what_degree_days_say() {
        let year = rooms().year(&[5.0; HOURS]);
        let by_days = degree_day_heat(200.0, 15.0 * 365.0);
        assert!((by_days - 26_280_000.0).abs() < 1e-6);
        assert!((year.heat_wh / by_days - 1.0).abs() < 1e-9, "{}", year.heat_wh);
        let gains = Space { gains_w: 400.0, ..rooms() }.year(&[5.0; HOURS]);
        assert!((gains.heat_wh / degree_day_heat(200.0, 13.0 * 365.0) - 1.0).abs() < 1e-9);
        assert_eq!((year.too_cold_h, year.under_points_h), (0, 0));
    }

    /// At −8 °C: 28 K · 200 W/K = 5.6 kW wanted, 4 kW by the heat pump at COP 2, 1.6 kW by resistance: 3.6 kW taken.
    #[test]
    fn capacity_ends_and_the_strip_carries_the_rest() {
        let heating = Some(Machine {
            capacity_w: points(&[(-8.0, 4000.0), (8.0, 6000.0)]),
            cop: points(&[(-8.0, 2.0), (8.0, 4.0)]),
        });
        let both = Space { heating, ..rooms() };
        let year = both.year(&[-8.0; HOURS]);
        assert!((year.watts[4000] - 3600.0).abs() < 1e-6, "{}", year.watts[4000]);
        // A degree colder there is no point: the strip alone.
        let colder = both.year(&[-9.0; HOURS]);
        assert!((colder.watts[4000] - 29.0 * 200.0).abs() < 1e-6);
        assert_eq!(colder.under_points_h, HOURS);
        // Half the capacity of 8 °C is 3 kW of 12 K · 200 = 2.4 kW; cycling 0.25 leaves 1 − 0.25 · 0.6 = 0.85 of COP 4.
        let mild = Space { cycling: 0.25, ..both }.year(&[8.0; HOURS]);
        assert!((mild.watts[4000] - 2400.0 / (4.0 * 0.85)).abs() < 1e-6);
    }

    #[test]
    fn rooms_nobody_can_warm_grow_cold_and_are_counted() {
        let year = Space { strip_w: 1000.0, ..rooms() }.year(&[-10.0; HOURS]);
        assert!((year.coldest_c - (-5.0)).abs() < 0.01, "{}", year.coldest_c);
        assert!(year.too_cold_h > 8700);
        assert_eq!(
            Space { strip_w: 0.0, months: [false; 12], ..rooms() }.year(&[-10.0; HOURS]).too_cold_h,
            0
        );
    }

    #[test]
    fn a_night_set_back_saves_and_cooling_mirrors_heating() {
        let even = rooms().year(&[0.0; HOURS]);
        let lower = Space { heated_to_c: Some([20.0, 16.0]), ..rooms() }.year(&[0.0; HOURS]);
        assert!(lower.heat_wh < even.heat_wh && lower.heat_wh > 0.85 * even.heat_wh);
        let cooling = Some(Machine { capacity_w: points(&[(35.0, 9000.0)]), cop: points(&[(35.0, 3.0)]) });
        let hot =
            Space { heated_to_c: None, cooled_to_c: Some(25.0), cooling, ..rooms() }.year(&[35.0; HOURS]);
        // 10 K · 200 W/K / 3.
        assert!((hot.watts[4000] - 2000.0 / 3.0).abs() < 1e-6);
        assert_eq!(hot.over_points_h, 0);
    }
}
