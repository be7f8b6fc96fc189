//! A year's conditions turned into years of life, by the laws of [`crate::ageing`].
//!
//! Both laws go with a square root, `loss = stress · √amount`. Continued from a past loss at another stress
//! ([`crate::calendar_loss_onward`]) the squares add up: `loss² = Σ stress² · amount`. So the sum of squares over one year,
//! times the years, is the square of the loss after them, and the years to a given loss follow without stepping.

use crate::ageing::{calendar_stress, cycle_stress};

/// Share of the new capacity at which a battery is taken to be worn out (common practice, no source).
pub const END_OF_LIFE: f64 = 0.8;

/// Cycles of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wear {
    /// Depth, 0 to 1.
    pub depth: f64,
    /// Capacities an hour.
    pub rate: f64,
    /// Equivalent full cycles.
    pub full_cycles: f64,
}

/// Squares of what a year takes from the capacity.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ageing {
    calendar_squared: f64,
    cycles_squared: f64,
}

impl Ageing {
    /// Adds `seconds` at a cell temperature and a state of charge.
    pub fn rest(&mut self, cell_c: f64, state: f64, seconds: f64) {
        let stress = calendar_stress(cell_c, state);
        self.calendar_squared += stress * stress * seconds.max(0.0);
    }

    /// Adds cycles.
    pub fn cycles(&mut self, wear: Wear) {
        let stress = cycle_stress(wear.depth, wear.rate);
        self.cycles_squared += stress * stress * wear.full_cycles.max(0.0);
    }

    /// Share of the new capacity lost after so many years like this one.
    pub fn lost_after(&self, years: f64) -> f64 {
        let years = years.max(0.0);
        (self.calendar_squared * years).sqrt() + (self.cycles_squared * years).sqrt()
    }

    /// Years until the capacity is down to the share `end`; `None` for a year that takes nothing.
    pub fn years_until(&self, end: f64) -> Option<f64> {
        let in_one = self.lost_after(1.0);
        let years = (1.0 - end) / in_one;
        (in_one > 0.0).then_some(years * years)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::{calendar_loss, calendar_loss_onward, cycle_loss};

    const YEAR_S: f64 = 365.0 * 86_400.0;

    /// Half a year at 10 °C and half full, half a year at 35 °C and nearly full, thrice over, stepped by the laws
    /// themselves.
    #[test]
    fn squares_of_a_year_give_what_stepping_gives() {
        let mut ageing = Ageing::default();
        ageing.rest(10.0, 0.5, YEAR_S / 2.0);
        ageing.rest(35.0, 0.95, YEAR_S / 2.0);
        ageing.cycles(Wear { depth: 0.6, rate: 0.2, full_cycles: 150.0 });
        let mut lost = 0.0;
        for _ in 0..3 {
            lost = calendar_loss_onward(lost, 10.0, 0.5, YEAR_S / 2.0);
            lost = calendar_loss_onward(lost, 35.0, 0.95, YEAR_S / 2.0);
        }
        let whole = lost + cycle_loss(0.6, 0.2, 450.0);
        assert!((ageing.lost_after(3.0) - whole).abs() < 1e-14);
        let years = ageing.years_until(END_OF_LIFE).unwrap();
        // Once through the square root and back.
        assert!((ageing.lost_after(years) - 0.2).abs() < 1e-14);
        assert_eq!(Ageing::default().years_until(END_OF_LIFE), None);
    }

    /// By hand from the published law: at 25 °C and half full the calendar takes 1.2571e-5 · 0.60225 = 7.5709e-6 of the
    /// square root of seconds; alone that is 20 % after (0.2/7.5709e-6)² s = 6.979e8 s = 22.1 years.
    #[test]
    fn a_battery_at_rest_at_room_temperature_lasts_two_decades() {
        let mut ageing = Ageing::default();
        ageing.rest(25.0, 0.5, YEAR_S);
        assert!((ageing.years_until(0.8).unwrap() - 22.13).abs() < 0.01);
        assert!((ageing.lost_after(1.0) - calendar_loss(25.0, 0.5, YEAR_S)).abs() < 1e-15);
    }
}
