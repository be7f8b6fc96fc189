//! One thermal node: a body that stores heat, loses it to what is around, and is warmed by what goes on inside.
//!
//! `C · dT/dt = heat − G · (T − around)` with heat and surroundings constant over a step has the exact solution
//! `T(t) = T∞ + (T₀ − T∞) · e^(−G·t/C)`, `T∞ = around + heat/G` (lumped capacitance; Incropera & DeWitt, Fundamentals of
//! Heat and Mass Transfer, ch. 5). Cells store about 1 kJ/(kg·K) (0.9 to 1.1, from memory).

/// Heat stored by a kilogram of cells, Wh/(kg·K): 1 kJ/(kg·K).
pub const CELLS_WH_PER_KG_K: f64 = 1.0 / 3.6;

/// A body with one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalNode {
    /// Heat it stores per kelvin, Wh/K, above 0.
    pub capacity_wh_per_k: f64,
    /// Heat it loses per kelvin above its surroundings, W/K, above 0.
    pub conductance_w_per_k: f64,
}

/// A node with the terms of one step length computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalStep {
    conductance: f64,
    /// `e^(−G·t/C)`.
    remains: f64,
    /// `1 − e^(−G·t/C)`.
    settles: f64,
}

impl ThermalNode {
    /// The terms of a step of `hours`.
    pub fn step(&self, hours: f64) -> ThermalStep {
        let settles = -libm::expm1(-self.conductance_w_per_k * hours / self.capacity_wh_per_k);
        ThermalStep { conductance: self.conductance_w_per_k, remains: 1.0 - settles, settles }
    }
}

impl ThermalStep {
    /// Temperature after the step, °C, from `start_c` in surroundings of `around_c` with `heat_w` inside.
    #[inline]
    pub fn after(&self, start_c: f64, around_c: f64, heat_w: f64) -> f64 {
        start_c * self.remains + (around_c + heat_w / self.conductance) * self.settles
    }

    /// Heat that brings or holds it at `wanted_c` at the end of the step, W; 0 where it is warm enough by itself.
    #[inline]
    pub fn heat_for(&self, wanted_c: f64, start_c: f64, around_c: f64) -> f64 {
        let lacks_k = wanted_c - self.after(start_c, around_c, 0.0);
        if lacks_k > 0.0 { lacks_k * self.conductance / self.settles } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Acceptance story "barn at minus fifteen": 270 kg in a cabinet of 5.0 m² and 2.5 m²·K/W, 2 W/K. Held 20 K above
    /// the barn it needs 40 W; warming it from −10 to +5 °C takes 1125 Wh, here in one step without loss to speak of.
    const BARN: ThermalNode =
        ThermalNode { capacity_wh_per_k: 270.0 * CELLS_WH_PER_KG_K, conductance_w_per_k: 2.0 };

    #[test]
    fn the_barn_is_held_by_forty_watts_and_warmed_by_a_kilowatt_hour() {
        let hour = BARN.step(1.0);
        assert!((hour.heat_for(5.0, 5.0, -15.0) - 40.0).abs() < 1e-9);
        assert!((hour.after(5.0, -15.0, 40.0) - 5.0).abs() < 1e-12);
        // In surroundings of −2.5 °C, the mean on the way, nothing is lost over the warming: 15 K · 75 Wh/K = 1125 Wh.
        let needed = hour.heat_for(5.0, -10.0, -2.5);
        // A straight rise would lose nothing; the bent one differs by (G·t/C)²/12 of it, 6e-5.
        assert!((needed - 1125.0).abs() < 0.1, "{needed}");
        assert_eq!(hour.heat_for(5.0, 6.0, 20.0), 0.0);
    }

    /// By hand: time constant C/G = 75/2 = 37.5 h; after 37.5 h 1/e of the difference is left.
    #[test]
    fn left_alone_it_follows_its_surroundings() {
        let long = BARN.step(37.5);
        assert!((long.after(20.0, -10.0, 0.0) - (-10.0 + 30.0 * (-1.0_f64).exp())).abs() < 1e-12);
        let hour = BARN.step(1.0);
        let walked = (0..38).fold(20.0, |c, _| hour.after(c, -10.0, 3.0));
        let at_once = BARN.step(38.0).after(20.0, -10.0, 3.0);
        assert!((walked - at_once).abs() < 1e-12);
    }
}
