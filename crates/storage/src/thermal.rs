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

/// A body in a second one: cells in their cabinet in a room. Both heat each other over the whole of a step, so that a small
/// room around a large bank stays where it belongs.
///
/// The two equations `C · dT/dt = heat − flows out` have the exact solution `T(t) = T∞ + e^(A·t) · (T₀ − T∞)`; the exponential
/// of the two by two matrix in closed form by its eigenvalues (Moler & Van Loan, SIAM Review 45, 2003, from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalPair {
    /// `e^(A·t)`, rows of the inner and the outer body.
    remains: [[f64; 2]; 2],
    inner_conductance: f64,
    outer_conductance: f64,
}

impl ThermalPair {
    /// The terms of a step of `hours`; the inner body loses its heat to the outer one, that to what is around.
    pub fn of(inner: ThermalNode, outer: ThermalNode, hours: f64) -> ThermalPair {
        let (between, out) = (inner.conductance_w_per_k, outer.conductance_w_per_k);
        let (a, b) = (-between / inner.capacity_wh_per_k * hours, between / inner.capacity_wh_per_k * hours);
        let (c, d) =
            (between / outer.capacity_wh_per_k * hours, -(between + out) / outer.capacity_wh_per_k * hours);
        let mean = (a + d) / 2.0;
        let apart = libm::sqrt((a - d) / 2.0 * ((a - d) / 2.0) + b * c);
        let fast = mean - apart;
        // Product over the other, because the difference of the two would lose its digits.
        let slow = out / outer.capacity_wh_per_k * hours * (-a) / fast;
        let (at_slow, at_fast) = (libm::exp(slow), libm::exp(fast));
        let even = (at_slow + at_fast) / 2.0;
        let odd = (at_slow - at_fast) / (2.0 * apart);
        ThermalPair {
            remains: [[even + odd * (a - mean), odd * b], [odd * c, even + odd * (d - mean)]],
            inner_conductance: between,
            outer_conductance: out,
        }
    }

    /// Temperatures after the step, °C, inner and outer, from `start_c` in surroundings of `around_c` with `heat_w` inside each.
    #[inline]
    pub fn after(&self, start_c: [f64; 2], around_c: f64, heat_w: [f64; 2]) -> [f64; 2] {
        let outer_c = around_c + (heat_w[0] + heat_w[1]) / self.outer_conductance;
        let inner_c = outer_c + heat_w[0] / self.inner_conductance;
        let off = [start_c[0] - inner_c, start_c[1] - outer_c];
        let of = |row: [f64; 2]| row[0] * off[0] + row[1] * off[1];
        [inner_c + of(self.remains[0]), outer_c + of(self.remains[1])]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the equations themselves in a hundred thousand short steps (midpoint rule, error of (h·rate)² each).
    #[test]
    fn two_bodies_follow_their_equations() {
        let bodies =
            |capacity_wh_per_k, conductance_w_per_k| ThermalNode { capacity_wh_per_k, conductance_w_per_k };
        for (inner, outer) in [
            (bodies(75.0, 2.0), bodies(400.0, 60.0)),
            // A closet of a few litres around a large bank: its air alone would swing twice as far each hour.
            (bodies(368.0, 43.3), bodies(16.6, 19.1)),
            (bodies(5.0, 30.0), bodies(5000.0, 10.0)),
        ] {
            let slopes = |[t, r]: [f64; 2]| {
                let flow = inner.conductance_w_per_k * (t - r);
                [
                    (120.0 - flow) / inner.capacity_wh_per_k,
                    (40.0 + flow - outer.conductance_w_per_k * (r + 8.0)) / outer.capacity_wh_per_k,
                ]
            };
            let mut walked = [15.0, 3.0];
            let steps = 100_000;
            let h = 1.0 / f64::from(steps);
            for _ in 0..steps {
                let [t, r] = walked;
                let [dt, dr] = slopes(walked);
                let [mt, mr] = slopes([t + dt * h / 2.0, r + dr * h / 2.0]);
                walked = [t + mt * h, r + mr * h];
            }
            let found = ThermalPair::of(inner, outer, 1.0).after([15.0, 3.0], -8.0, [120.0, 40.0]);
            for (found, walked) in found.into_iter().zip(walked) {
                assert!((found - walked).abs() < 1e-7, "{found} {walked}");
            }
            // One step of a day is 24 of an hour.
            let hour = ThermalPair::of(inner, outer, 1.0);
            let by_hours = (0..24).fold([15.0, 3.0], |at, _| hour.after(at, -8.0, [120.0, 40.0]));
            let day = ThermalPair::of(inner, outer, 24.0).after([15.0, 3.0], -8.0, [120.0, 40.0]);
            assert!((day[0] - by_hours[0]).abs() < 1e-9 && (day[1] - by_hours[1]).abs() < 1e-9);
        }
    }

    /// By hand: where nothing passes out for long, 120 W through 2 W/K stand 60 K above a room that 160 W through 40 W/K hold
    /// 4 K above −8 °C.
    #[test]
    fn two_bodies_come_to_rest_where_heat_in_is_heat_out() {
        let inner = ThermalNode { capacity_wh_per_k: 75.0, conductance_w_per_k: 2.0 };
        let outer = ThermalNode { capacity_wh_per_k: 400.0, conductance_w_per_k: 40.0 };
        let [cells, room] = ThermalPair::of(inner, outer, 5000.0).after([20.0, 20.0], -8.0, [120.0, 40.0]);
        assert!((room + 4.0).abs() < 1e-9 && (cells - 56.0).abs() < 1e-9, "{cells} {room}");
    }

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
