//! Hot water hour by hour: water comes in as cold as the ground of the season, is drawn by a published daily curve, and
//! a tank owes the heat until its heater has given it back.
//!
//! Known limits: one mixed tank without layers; a heat pump that cools a heated room takes that heat from the room's own
//! heating, which is not added here.

use crate::HOURS;
use crate::points::Points;
use quantity::{Clause, Energy, Interval, Number, Standing, Volume, formula};

/// Heat that warms one litre of water by one kelvin, Wh: 4186 J/(kg·K) at 1 kg a litre.
pub const WH_PER_LITRE_KELVIN: f64 = 4186.0 / 3600.0;

/// Heat of a day's hot water, Wh: `litres` L warmed by `rise` K.
pub fn hot_water_heat(litres: f64, rise: f64) -> f64 {
    litres * rise * 1.163
}

formula! {
    /// Explained twin of [`hot_water_heat`].
    pub HotWaterHeat = hot_water_heat(
        litres: Volume as LITER = "hot water a day",
        rise: Interval as KELVIN = "from inlet to set point",
    ) -> Energy as WATT_HOUR,
    text: "litres · rise · 1.163",
    clause: Clause { document: "definition", edition: "", clause: "heat capacity of water, 1.163 Wh/(L·K)", standing: Standing::Computed },
}

/// Electricity of a year by the heat of a day and an energy factor, Wh.
pub fn yearly_by_factor(heat: f64, factor: f64) -> f64 {
    heat * 365.0 / factor
}

formula! {
    /// Explained twin of [`yearly_by_factor`].
    pub YearlyByFactor = yearly_by_factor(
        heat: Energy as WATT_HOUR = "heat of a day",
        factor: Number as NUMBER = "heat given over electricity taken, losses included",
    ) -> Energy as WATT_HOUR,
    text: "heat · 365 / factor",
    clause: Clause {
        document: "10 CFR 430, subpart B, appendix E (test of water heaters)",
        edition: "1998",
        clause: "annual energy from the energy factor",
        standing: Standing::Remembered,
    },
}

/// Where the curve of the inlet temperature stands.
pub const MAINS: Clause = Clause {
    document: "Hendron, Anderson, Christensen, Eastment & Reeves, Development of an Energy Savings Benchmark for All Residential End-Uses, NREL/CP-550-35917",
    edition: "2004",
    clause: "mains water temperature",
    standing: Standing::Remembered,
};

/// Where the daily curve of draws stands.
pub const DRAWS: Clause = Clause {
    document: "ANSI/ASHRAE 90.2",
    edition: "1993",
    clause: "daily domestic hot water load profile",
    standing: Standing::Remembered,
};

/// Temperature of mains water on each of 365 days, °C.
///
/// `T = (mean + 6) + r · spread/2 · sin(0.986° · (day − 15 − lag) − 90°)` in °F, with `r = 0.4 + 0.01 · (mean − 44)` and
/// `lag = 35 − (mean − 44)` days; `mean_c` is the mean air temperature of the year, `spread_c` the warmest less the
/// coldest monthly mean. South of the equator the seasons lie half a year apart. Never below freezing.
/// Source: [`MAINS`].
pub fn mains_c(mean_c: f64, spread_c: f64, south: bool) -> Vec<f64> {
    let mean_f = mean_c * 1.8 + 32.0;
    let ratio = 0.4 + 0.01 * (mean_f - 44.0);
    let lag = 35.0 - (mean_f - 44.0);
    let half_spread_f = spread_c * 1.8 / 2.0;
    let turn = if south { 180.0 } else { 0.0 };
    (1..=365)
        .map(|day| {
            let angle = 0.986 * (f64::from(day) - 15.0 - lag) - 90.0 + turn;
            let fahrenheit = mean_f + 6.0 + ratio * half_spread_f * libm::sin(angle.to_radians());
            ((fahrenheit - 32.0) / 1.8).max(0.0)
        })
        .collect()
}

/// Share of a day's hot water drawn in each hour, adding to 1. Source: [`DRAWS`].
pub const DRAW_SHARES: [f64; 24] = [
    0.0085, 0.0085, 0.0085, 0.0085, 0.0085, 0.0100, 0.0750, 0.0750, 0.0650, 0.0650, 0.0650, 0.0460, 0.0460,
    0.0370, 0.0370, 0.0370, 0.0370, 0.0630, 0.0630, 0.0630, 0.0630, 0.0510, 0.0510, 0.0085,
];

/// A heater with its tank, as numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterHeater {
    /// Hot water a day, at the set point, litres.
    pub litres_a_day: f64,
    /// Set point, °C.
    pub set_point_c: f64,
    /// Inlet temperature where the owner knows it better than the curve, °C.
    pub inlet_c: Option<f64>,
    /// Tank, litres; above 0.
    pub tank_litres: f64,
    /// Heat the tank loses, W per kelvin above the room.
    pub loss_w_per_k: f64,
    /// Room the tank stands in, °C.
    pub room_c: f64,
    /// Electric power of the heat pump, or of the element where there is no heat pump, W.
    pub power_w: f64,
    /// Heat over electricity of a heat pump by the temperature of the air it takes heat from; `None` for an element.
    pub cop: Option<Points>,
    /// The heat pump takes its heat from outdoor air, not from the room.
    pub outdoors: bool,
    /// Element beside a heat pump, W; 0 where there is none.
    pub element_w: f64,
    /// Hours of the day in which it heats, standard time; all of them without a timer.
    pub heats: [bool; 24],
    /// Below this temperature of the tank it heats whatever the timer says, °C.
    pub lowest_c: f64,
    /// Months of use.
    pub months: [bool; 12],
}

/// A year of a water heater.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterYear {
    /// 8760 hourly means of electric power, W.
    pub watts: Vec<f64>,
    /// Heat asked for at the taps, Wh.
    pub drawn_wh: f64,
    /// Heat the tank lost, Wh.
    pub lost_wh: f64,
    /// Heat asked for that came out cold, Wh.
    pub short_wh: f64,
    /// Heat still owed when the year ends, Wh.
    pub owed_wh: f64,
    /// Heat put in, Wh.
    pub heated_wh: f64,
}

impl WaterHeater {
    /// One year: `air_c` holds 8760 hourly means of outdoor air, `inlet_c` 365 days of inlet temperature.
    ///
    /// The tank starts full and hot. `drawn + lost = heated + short + owed` by construction of each hour.
    pub fn year(&self, air_c: &[f64], inlet_c: &[f64]) -> WaterYear {
        let mut year = WaterYear {
            watts: vec![0.0; HOURS],
            drawn_wh: 0.0,
            lost_wh: 0.0,
            short_wh: 0.0,
            owed_wh: 0.0,
            heated_wh: 0.0,
        };
        let capacity = (self.tank_litres * WH_PER_LITRE_KELVIN).max(1e-9);
        for hour in 0..HOURS.min(air_c.len()) {
            let day = hour / 24;
            if !self.months[crate::month_of_day(day)] {
                continue;
            }
            let inlet = self.inlet_c.unwrap_or_else(|| inlet_c.get(day).copied().unwrap_or(10.0));
            let rise = (self.set_point_c - inlet).max(0.0);
            let wanted = self.litres_a_day * DRAW_SHARES[hour % 24] * rise * WH_PER_LITRE_KELVIN;
            let tank_c = self.set_point_c - year.owed_wh / capacity;
            // A tank that stands colder than its room loses nothing.
            let lost = (self.loss_w_per_k * (tank_c - self.room_c)).max(0.0);
            year.drawn_wh += wanted;
            year.lost_wh += lost;
            year.owed_wh += wanted + lost;
            let low = self.set_point_c - year.owed_wh / capacity < self.lowest_c;
            if self.heats[hour % 24] || low {
                let taken_from = if self.outdoors { air_c[hour] } else { self.room_c };
                let cop = self.cop.as_ref().map_or(Some(1.0), |points| points.within(taken_from));
                let pump_heat = cop.map_or(0.0, |cop| (self.power_w * cop).min(year.owed_wh));
                let pump_w = cop.map_or(0.0, |cop| pump_heat / cop);
                // The element helps where the tank is low, and carries alone where the heat pump stops.
                let element = if low || cop.is_none() { self.element_w } else { 0.0 };
                let element_heat = element.min(year.owed_wh - pump_heat).max(0.0);
                year.watts[hour] = pump_w + element_heat;
                year.heated_wh += pump_heat + element_heat;
                year.owed_wh -= pump_heat + element_heat;
            }
            // A tank can owe no more than makes it as cold as the water that fills it; beyond, the tap runs cold.
            let most = capacity * rise.max(self.set_point_c - self.lowest_c).max(0.0);
            if year.owed_wh > most {
                year.short_wh += year.owed_wh - most;
                year.owed_wh = most;
            }
        }
        year
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn heater() -> WaterHeater {
        WaterHeater {
            litres_a_day: 243.4,
            set_point_c: 57.222,
            inlet_c: Some(14.444),
            tank_litres: 190.0,
            loss_w_per_k: 0.0,
            room_c: 19.7,
            power_w: 4500.0,
            cop: None,
            outdoors: false,
            element_w: 0.0,
            heats: [true; 24],
            lowest_c: 43.0,
            months: [true; 12],
        }
    }

    #[test]
    fn the_draws_of_a_day_add_to_one() {
        assert!((DRAW_SHARES.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    /// The test of water heaters (10 CFR 430, subpart B, appendix E, from memory): 64.3 gal a day from 58 to 135 °F hold
    /// 41 045 Btu; the yellow label of a heater of energy factor 0.90 says 4879 kWh a year.
    #[test]
    fn a_day_of_the_published_test_holds_its_heat() {
        let litres = 64.3 * 3.785_411_784;
        let heat = hot_water_heat(litres, 77.0 / 1.8);
        let btu = heat * 3.412_141_6;
        // 1 %: the test counts water at 8.24 lb a gallon when hot, 1.163 Wh/(L·K) at 8.35.
        assert!((btu / 41_045.0 - 1.0).abs() < 0.01, "{btu}");
        let label = yearly_by_factor(41_045.0 / 3.412_141_6, 0.90);
        // Printed to a whole kilowatt-hour.
        assert!((label / 1000.0 - 4879.0).abs() < 1.0, "{label}");
        let year = heater().year(&[10.0; HOURS], &[]);
        assert!(
            (year.heated_wh + year.owed_wh - 365.0 * hot_water_heat(243.4, 42.778)).abs() / year.heated_wh
                < 1e-3
        );
    }

    #[test]
    fn what_is_asked_for_is_heated_lost_short_or_owed() {
        let mut timer = [false; 24];
        timer[10..16].fill(true);
        let cop = Points::new(vec![(-5.0, 1.8), (10.0, 2.6), (30.0, 3.9)]).unwrap();
        for (power_w, cop, heats) in
            [(4500.0, None, [true; 24]), (450.0, Some(cop), timer), (300.0, None, [true; 24])]
        {
            let one = WaterHeater { power_w, cop, heats, loss_w_per_k: 2.1, ..heater() };
            let year = one.year(&[12.0; HOURS], &mains_c(8.0, 25.0, false));
            let asked = year.drawn_wh + year.lost_wh;
            assert!((asked - year.heated_wh - year.short_wh - year.owed_wh).abs() < 1e-6 * asked);
            assert!(year.watts.iter().all(|w| *w >= 0.0 && *w <= power_w + 1e-9));
        }
        // 300 W over a day are 7.2 kWh, less than the 12 kWh asked for: the tap runs cold.
        assert!(WaterHeater { power_w: 300.0, ..heater() }.year(&[12.0; HOURS], &[]).short_wh > 1e6);
    }

    #[test]
    fn a_timer_moves_heating_into_its_hours_as_far_as_the_tank_reaches() {
        let mut timer = [false; 24];
        timer[10..16].fill(true);
        // 73 % of 50 L are drawn outside the window: 1.82 kWh, and 56 W over 18 h are lost: 12.8 K of 190 L, down to 44.4 °C.
        let mine = WaterHeater { heats: timer, litres_a_day: 50.0, loss_w_per_k: 1.5, ..heater() };
        let year = mine.year(&[12.0; HOURS], &[]);
        let outside: f64 = year
            .watts
            .iter()
            .enumerate()
            .filter(|(h, _)| !(10..16).contains(&(h % 24)))
            .map(|(_, w)| w)
            .sum();
        assert_eq!(outside, 0.0);
        assert_eq!(year.short_wh, 0.0);
        // 100 L would leave it at 36 °C, colder than it may be.
        let more = WaterHeater { litres_a_day: 100.0, ..mine }.year(&[12.0; HOURS], &[]);
        let outside = more.watts.iter().enumerate().filter(|(h, _)| !(10..16).contains(&(h % 24)));
        assert!(outside.map(|(_, w)| w).sum::<f64>() > 1e5);
    }

    /// By the published curve the mean over the year is the mean of the air and 6 °F.
    #[test]
    fn mains_water_swings_about_a_warmer_mean_and_lags_the_air() {
        let days = mains_c(10.0, 25.0, false);
        let mean = days.iter().sum::<f64>() / 365.0;
        // The sine runs 0.986 · 365 = 359.9 degrees.
        assert!((mean - (10.0 + 6.0 / 1.8)).abs() < 0.02, "{mean}");
        let coldest = (0..365).min_by(|a, b| days[*a].total_cmp(&days[*b])).unwrap();
        // Lag 35 − (50 − 44) = 29 days after 15 January: 13 February, day 44.
        assert!((42..=45).contains(&coldest), "{coldest}");
        let south = mains_c(10.0, 25.0, true);
        assert!(south[coldest] > mean);
    }
}
