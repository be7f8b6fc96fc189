//! The loss curve of a converter: what must go in so that a wanted power comes out.
//!
//! `input = p0 + (1 + a) · P + b · P² + s · min(P, P1)`, all in watts: `p0` is the idle draw of a running unit, `a` the
//! loss that grows with power (voltage drops of semiconductors), `b` the one that grows with its square (resistances).
//! Source: Schmidt & Sauer, Wechselrichter-Wirkungsgrade, Sonnenenergie 4/1996 (quadratic loss model), from memory.
//!
//! The last term is 0 for a unit whose idle draw and efficiencies lie on one such curve. Many do not: at work a unit keeps
//! losing more than it draws idle. What it loses more sets in with the first output, is whole at `P1`, the lowest output
//! a data sheet speaks of, and stays so above. Between idle and `P1` nothing is stated, and a straight line is taken
//! (common practice, no source).

/// A loss curve. `idle_w` is drawn once by a running unit and is part of the curve: it is never added again.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LossCurve {
    /// `p0`, W, not negative.
    pub idle_w: f64,
    /// `a`, watts lost per watt of output, not negative.
    pub linear: f64,
    /// `b`, 1/W, not negative.
    pub square_per_w: f64,
    /// `s`, watts lost per watt of output up to [`Self::onset_to_w`] and no more above it, not negative.
    pub onset: f64,
    /// `P1`, W, not negative.
    pub onset_to_w: f64,
}

impl LossCurve {
    /// A converter without loss, for the limits of a model and for tests.
    pub const LOSSLESS: LossCurve =
        LossCurve { idle_w: 0.0, linear: 0.0, square_per_w: 0.0, onset: 0.0, onset_to_w: 0.0 };

    /// `input = p0 + (1 + a) · P + b · P²`.
    pub const fn quadratic(idle_w: f64, linear: f64, square_per_w: f64) -> LossCurve {
        LossCurve { idle_w, linear, square_per_w, ..LossCurve::LOSSLESS }
    }

    /// A converter of one efficiency at any power, above 0 and at most 1, without idle.
    pub const fn of_efficiency(efficiency: f64) -> LossCurve {
        LossCurve::quadratic(0.0, 1.0 / efficiency - 1.0, 0.0)
    }

    /// The same without its idle draw, for a path of a unit whose idle is drawn elsewhere.
    pub const fn without_idle(self) -> LossCurve {
        LossCurve { idle_w: 0.0, ..self }
    }

    /// Whether the efficiency is the same at any power.
    pub fn is_constant(&self) -> bool {
        self.idle_w == 0.0 && self.square_per_w == 0.0 && self.onset == 0.0
    }

    /// Watts lost more at work than idle, before anything that grows with power.
    pub fn onset_w(&self) -> f64 {
        self.onset * self.onset_to_w
    }

    /// Highest efficiency at any output up to `rated_w`.
    pub fn highest_efficiency(&self, rated_w: f64) -> f64 {
        let whole = self.onset_to_w.min(rated_w);
        // Input over output is `fixed/P + b·P` and a constant below and above `P1`: least where both parts are equal. Without
        // anything fixed it is least at no power.
        let least = |fixed_w: f64, from: f64, to: f64| {
            let at =
                if self.square_per_w > 0.0 { (fixed_w / self.square_per_w).sqrt() } else { f64::INFINITY };
            let at = if fixed_w > 0.0 { at } else { 0.0 };
            self.efficiency(at.clamp(from, to))
        };
        let smallest = rated_w * 1e-9;
        let below = least(self.idle_w, smallest, whole.max(smallest));
        below.max(least(self.idle_w + self.onset_w(), whole.max(smallest), rated_w.max(whole)))
    }

    /// The curve with so much more loss per watt that its efficiency is `highest` at most up to `rated_w`; unchanged where it
    /// stays below by itself.
    pub fn held_to(self, highest: f64, rated_w: f64) -> LossCurve {
        let reached = self.highest_efficiency(rated_w);
        if reached <= highest || highest <= 0.0 {
            return self;
        }
        // One more watt per watt adds the same to input over output everywhere.
        LossCurve { linear: self.linear + (1.0 / highest - 1.0 / reached), ..self }
    }

    /// Several equal units side by side that share the power evenly: idle times `units`, `b` over `units`.
    pub fn side_by_side(&self, units: u32) -> LossCurve {
        let units = f64::from(units.max(1));
        LossCurve {
            idle_w: self.idle_w * units,
            square_per_w: self.square_per_w / units,
            onset_to_w: self.onset_to_w * units,
            ..*self
        }
    }

    /// Converters side by side that each carry a fixed share of the power, such as units that share a load by their rating:
    /// idle draws add up, `a` is the mean by share, `b` the sum of each one's times the square of its share. Exact for those
    /// shares, which are above 0 and sum to 1; only between two different `P1` the loss is a little high.
    pub fn sharing(parts: &[(LossCurve, f64)]) -> LossCurve {
        let sum = |of: fn(&LossCurve, f64) -> f64| {
            parts.iter().map(|(curve, share)| of(curve, *share)).sum::<f64>()
        };
        // As steep as all together at first and as much as all together in the end: above each of them, never below.
        let onset = sum(|curve, share| curve.onset * share);
        LossCurve {
            idle_w: sum(|curve, _| curve.idle_w),
            linear: sum(|curve, share| curve.linear * share),
            square_per_w: sum(|curve, share| curve.square_per_w * share * share),
            onset,
            onset_to_w: if onset > 0.0 { sum(|curve, _| curve.onset_w()) / onset } else { 0.0 },
        }
    }

    /// The same curve told in energy per step of `step_h` hours instead of per hour: a loss of `b·P²` watts takes
    /// `(b/h)·(P·h)²` watt-hours in `h` hours.
    pub fn per_step(&self, step_h: f64) -> LossCurve {
        LossCurve {
            idle_w: self.idle_w * step_h,
            square_per_w: self.square_per_w / step_h,
            onset_to_w: self.onset_to_w * step_h,
            ..*self
        }
    }

    /// Input needed for an output, W, idle included. Output at or above 0.
    #[inline]
    pub fn input_for_output(&self, output_w: f64) -> f64 {
        self.idle_w + self.above_idle(output_w)
    }

    /// Output reached with an input, W: the exact inverse of [`Self::input_for_output`], and 0 at or below idle.
    #[inline]
    pub fn output_for_input(&self, input_w: f64) -> f64 {
        self.output_for_above_idle(input_w - self.idle_w)
    }

    /// Input beyond the idle draw for an output, W.
    #[inline]
    pub fn above_idle(&self, output_w: f64) -> f64 {
        (1.0 + self.linear + self.square_per_w * output_w) * output_w + self.onset_at(output_w)
    }

    /// What of the loss beyond idle is whole from [`Self::onset_to_w`] on, W.
    #[inline]
    fn onset_at(&self, output_w: f64) -> f64 {
        self.onset * if output_w < self.onset_to_w { output_w } else { self.onset_to_w }
    }

    /// Inverse of [`Self::above_idle`]; 0 for a negative argument, without end for one without end.
    #[inline]
    pub fn output_for_above_idle(&self, above_idle_w: f64) -> f64 {
        let mut above = above_idle_w.max(0.0);
        let mut slope = 1.0 + self.linear;
        if self.onset > 0.0 {
            if above < self.above_idle(self.onset_to_w) {
                slope += self.onset;
            } else {
                above -= self.onset_w();
            }
        }
        if self.square_per_w == 0.0 {
            // What the root below gives then, to the last bit.
            return above / slope;
        }
        // A source without a limit: the quotient below would be no number.
        if above == f64::INFINITY {
            return above;
        }
        // The root written without the difference that would lose all digits for a small b.
        2.0 * above / (slope + (slope * slope + 4.0 * self.square_per_w * above).sqrt())
    }

    /// Loss beyond the idle draw at an output, W, by its own formula `a·P + b·P² + s·min(P, P1)`.
    #[inline]
    pub fn loss_beyond_idle(&self, output_w: f64) -> f64 {
        (self.linear + self.square_per_w * output_w) * output_w + self.onset_at(output_w)
    }

    /// Output over input at an output, 0 at no output.
    pub fn efficiency(&self, output_w: f64) -> f64 {
        if output_w > 0.0 { output_w / self.input_for_output(output_w) } else { 0.0 }
    }

    /// Efficiency weighted over shares of rated output, by [`EUROPEAN`] or [`CALIFORNIAN`] weights.
    pub fn weighted_efficiency(&self, rated_w: f64, weights: &[(f64, f64)]) -> f64 {
        weights.iter().map(|&(share, weight)| weight * self.efficiency(share * rated_w)).sum()
    }
}

/// Shares of rated output and weights of the European efficiency. Source: EN 50530:2010, annex D.
pub const EUROPEAN: [(f64, f64); 6] =
    [(0.05, 0.03), (0.10, 0.06), (0.20, 0.13), (0.30, 0.10), (0.50, 0.48), (1.00, 0.20)];

/// Shares and weights of the Californian efficiency. Source: EN 50530:2010, annex D (CEC weights).
pub const CALIFORNIAN: [(f64, f64); 6] =
    [(0.10, 0.04), (0.20, 0.05), (0.30, 0.12), (0.50, 0.21), (0.75, 0.53), (1.00, 0.05)];

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const WEIGHTS: &str = include_str!("../../../cases/solar/inverter_weights.csv");

    fn published(scheme: &str) -> Vec<(f64, f64)> {
        WEIGHTS
            .lines()
            .filter_map(|line| line.strip_prefix(scheme)?.strip_prefix(','))
            .map(|rest| {
                let mut cells = rest.split(',');
                (cells.next().unwrap().parse().unwrap(), cells.next().unwrap().parse().unwrap())
            })
            .collect()
    }

    #[test]
    fn weights_are_the_published_ones_and_sum_to_one() {
        assert_eq!(published("european"), EUROPEAN);
        assert_eq!(published("cec"), CALIFORNIAN);
        for weights in [EUROPEAN, CALIFORNIAN] {
            // Two-digit weights: only rounding of the sum remains.
            assert!((weights.iter().map(|w| w.1).sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    /// A source without a limit asks nothing of the curve: what it could give has no end, and never is no number.
    #[test]
    fn an_endless_input_gives_an_endless_output() {
        for (square_per_w, onset) in [(0.0, 0.0), (1e-5, 0.0), (0.0, 0.1), (1e-5, 0.1)] {
            let curve =
                LossCurve { onset, onset_to_w: 50.0, ..LossCurve::quadratic(5.0, 0.02, square_per_w) };
            assert_eq!(curve.output_for_above_idle(f64::INFINITY), f64::INFINITY);
        }
    }

    /// By hand: 6 kW and 3 kW carry two thirds and one third. At 4500 W out the first gives 3000 W for
    /// 60 + 1.02·3000 + 1e-5·3000² = 3210 W, the second 1500 W for 30 + 1.04·1500 + 2e-5·1500² = 1635 W.
    #[test]
    fn two_kinds_share_by_their_rating() {
        let large = LossCurve::quadratic(60.0, 0.02, 1e-5);
        let small = LossCurve::quadratic(30.0, 0.04, 2e-5);
        let both = LossCurve::sharing(&[(large, 2.0 / 3.0), (small, 1.0 / 3.0)]);
        assert!((both.input_for_output(4500.0) - 4845.0).abs() < 1e-9);
        let twins = LossCurve::sharing(&[(large, 0.5), (large, 0.5)]);
        assert_eq!((twins.idle_w, twins.linear), (120.0, 0.02));
        assert!((twins.square_per_w - large.side_by_side(2).square_per_w).abs() < 1e-20);
    }

    /// By hand: 20 W idle and 2e-5/W have their best at √(20/2e-5) = 1000 W with 20 + 20·1 = 40 W lost beside 2 %: 1000/1060. The
    /// 30 W that set in up to 200 W move it to √(50/2e-5) = 1581 W: 1/(1.02 + 2·√(50·2e-5)) = 1/1.0832456.
    #[test]
    fn the_highest_efficiency_is_found_and_held() {
        let curve = LossCurve::quadratic(20.0, 0.02, 2e-5);
        assert!((curve.highest_efficiency(2000.0) - 1000.0 / 1060.0).abs() < 1e-12);
        assert!((curve.highest_efficiency(500.0) - 500.0 / 535.0).abs() < 1e-12);
        let onset = LossCurve { onset: 0.15, onset_to_w: 200.0, ..curve };
        assert!((onset.highest_efficiency(2000.0) - 1.0 / 1.083_245_55).abs() < 1e-8);
        for curve in [curve, onset, LossCurve::quadratic(0.0, 0.02, 1e-5), LossCurve::LOSSLESS] {
            let held = curve.held_to(0.92, 2000.0);
            assert!((held.highest_efficiency(2000.0) - 0.92).abs() < 1e-12);
            for step in 1..=200 {
                assert!(held.efficiency(10.0 * f64::from(step)) <= 0.92 + 1e-12);
            }
            assert_eq!(held.held_to(0.93, 2000.0), held);
        }
    }

    #[test]
    fn output_for_input_undoes_input_for_output() {
        for (square_per_w, onset) in
            [(0.0, 0.0), (1e-18, 0.0), (1e-6, 0.0), (2e-5, 0.0), (0.0, 0.1), (2e-5, 0.1)]
        {
            let curve =
                LossCurve { onset, onset_to_w: 100.0, ..LossCurve::quadratic(62.0, 0.03, square_per_w) };
            for output_w in [0.0, 1e-6, 1.0, 100.0, 6500.0, 20_000.0] {
                let back = curve.output_for_input(curve.input_for_output(output_w));
                // The idle draw is added and taken off again: 62 W in the last bit is the floor.
                assert!((back - output_w).abs() <= 2e-14 * (62.0 + output_w), "{output_w} {back}");
            }
            assert_eq!(curve.output_for_input(62.0), 0.0);
            assert_eq!(curve.output_for_input(10.0), 0.0);
        }
    }

    #[test]
    fn two_units_draw_two_idles_and_share_the_rest() {
        let one = LossCurve::quadratic(50.0, 0.02, 1e-5);
        let two = one.side_by_side(2);
        // 2 · (50 + 1.02·1500 + 1e-5·1500²) = 3205 W.
        assert!((two.input_for_output(3000.0) - 3205.0).abs() < 1e-9);
        assert!((two.input_for_output(3000.0) - 2.0 * one.input_for_output(1500.0)).abs() < 1e-9);
    }

    /// A straight curve without idle has one efficiency everywhere, so each weighting must return it.
    #[test]
    fn weighting_a_constant_returns_it() {
        let curve = LossCurve::quadratic(0.0, 0.25, 0.0);
        assert!((curve.weighted_efficiency(5000.0, &EUROPEAN) - 0.8).abs() < 1e-12);
        assert!((curve.weighted_efficiency(5000.0, &CALIFORNIAN) - 0.8).abs() < 1e-12);
    }
}
