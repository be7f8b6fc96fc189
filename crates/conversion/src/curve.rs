//! The loss curve of a converter: what must go in so that a wanted power comes out.
//!
//! `input = p0 + (1 + a) · P + b · P²`, all in watts: `p0` is the idle draw of a running unit, `a` the loss that
//! grows with power (voltage drops of semiconductors), `b` the one that grows with its square (resistances).
//! Source: Schmidt & Sauer, Wechselrichter-Wirkungsgrade, Sonnenenergie 4/1996 (quadratic loss model), from memory.

use std::fmt;

/// A fitted loss curve. `idle_w` is drawn once by a running unit and is part of the curve: it is never added again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LossCurve {
    /// `p0`, W, not negative.
    pub idle_w: f64,
    /// `a`, watts lost per watt of output, not negative.
    pub linear: f64,
    /// `b`, 1/W, not negative.
    pub square_per_w: f64,
}

/// A curve and how well it meets the points it was fitted to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveFit {
    /// The curve.
    pub curve: LossCurve,
    /// Largest difference between a stated and the fitted efficiency, as a ratio (0.01 is one point of a hundred).
    /// Above 0.01 the idle draw and the efficiency points of the data sheet do not belong together.
    pub largest_difference: f64,
}

/// Why no curve can be fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CurveError {
    /// No efficiency point at all.
    NoPoints,
    /// An efficiency that is not above 0 and at most 1.
    Efficiency {
        /// Share of rated output at which it is stated.
        share: f64,
        /// The stated efficiency.
        efficiency: f64,
    },
    /// A share of rated output that is not above 0 and at most 2 (short overload).
    Share {
        /// The stated share.
        share: f64,
    },
    /// Rated output that is not above 0 W.
    Rated {
        /// The stated output.
        rated_w: f64,
    },
    /// Idle draw that is negative or no number.
    Idle {
        /// The stated idle draw.
        idle_w: f64,
    },
}

impl fmt::Display for CurveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CurveError::NoPoints => write!(f, "an efficiency curve needs at least one point"),
            CurveError::Efficiency { share, efficiency } => write!(
                f,
                "efficiency {:.1} % at {:.0} % of rated output is not above 0 and at most 100 %",
                100.0 * efficiency,
                100.0 * share
            ),
            CurveError::Share { share } => {
                write!(f, "{:.0} % of rated output is no share above 0 and at most 200 %", 100.0 * share)
            }
            CurveError::Rated { rated_w } => write!(f, "a rated output of {rated_w} W is not above 0"),
            CurveError::Idle { idle_w } => write!(f, "an idle draw of {idle_w} W is negative or no number"),
        }
    }
}

impl std::error::Error for CurveError {}

impl LossCurve {
    /// A converter without loss, for the limits of a model and for tests.
    pub const LOSSLESS: LossCurve = LossCurve { idle_w: 0.0, linear: 0.0, square_per_w: 0.0 };

    /// Fits `a` and `b` to points (share of rated output, efficiency there) with the idle draw given.
    ///
    /// - one share: `b = 0` and `a` meets it; two: both are met; more: least squares of the loss as a share of
    ///   rated output, every point weighing the same.
    /// - `a` and `b` are kept at or above zero, because a power path never gains. Points that contradict the idle
    ///   draw (a loss below idle at part load) therefore show as [`CurveFit::largest_difference`].
    ///
    /// # Errors
    /// [`CurveError`] for no points, an efficiency outside (0, 1], a share outside (0, 2], a rated output that is
    /// not positive and a negative idle draw; NaN counts as outside.
    pub fn fit(points: &[(f64, f64)], rated_w: f64, idle_w: f64) -> Result<CurveFit, CurveError> {
        if points.is_empty() {
            return Err(CurveError::NoPoints);
        }
        if !(rated_w > 0.0 && rated_w.is_finite()) {
            return Err(CurveError::Rated { rated_w });
        }
        if !(idle_w >= 0.0 && idle_w.is_finite()) {
            return Err(CurveError::Idle { idle_w });
        }
        for &(share, efficiency) in points {
            if !(share > 0.0 && share <= 2.0) {
                return Err(CurveError::Share { share });
            }
            if !(efficiency > 0.0 && efficiency <= 1.0) {
                return Err(CurveError::Efficiency { share, efficiency });
            }
        }
        // Loss beyond idle as a share of rated output: y = a·x + (b·rated)·x².
        let beyond_idle = |share: f64, efficiency: f64| share / efficiency - share - idle_w / rated_w;
        let (mut xx, mut xxx, mut xxxx, mut xy, mut xxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for &(x, efficiency) in points {
            let y = beyond_idle(x, efficiency);
            xx += x * x;
            xxx += x * x * x;
            xxxx += x * x * x * x;
            xy += x * y;
            xxy += x * x * y;
        }
        let first_share = points[0].0;
        let one_share = points.iter().all(|&(share, _)| share == first_share);
        let (linear, square) = if one_share {
            ((xy / xx).max(0.0), 0.0)
        } else {
            let determinant = xx * xxxx - xxx * xxx;
            let free = ((xy * xxxx - xxy * xxx) / determinant, (xx * xxy - xxx * xy) / determinant);
            if free.0 >= 0.0 && free.1 >= 0.0 {
                free
            } else {
                // On the border of the allowed quarter one of the two is zero; the better of both borders wins.
                let borders = [((xy / xx).max(0.0), 0.0), (0.0, (xxy / xxxx).max(0.0))];
                let misfit = |(a, b): (f64, f64)| -> f64 {
                    let off = |&(x, e): &(f64, f64)| beyond_idle(x, e) - a * x - b * x * x;
                    points.iter().map(off).map(|off| off * off).sum()
                };
                if misfit(borders[0]) <= misfit(borders[1]) { borders[0] } else { borders[1] }
            }
        };
        let curve = LossCurve { idle_w, linear, square_per_w: square / rated_w };
        let largest_difference = points
            .iter()
            .map(|&(share, efficiency)| (curve.efficiency(share * rated_w) - efficiency).abs())
            .fold(0.0, f64::max);
        Ok(CurveFit { curve, largest_difference })
    }

    /// Several equal units side by side that share the power evenly: idle times `units`, `b` over `units`.
    pub fn side_by_side(&self, units: u32) -> LossCurve {
        let units = f64::from(units.max(1));
        LossCurve {
            idle_w: self.idle_w * units,
            linear: self.linear,
            square_per_w: self.square_per_w / units,
        }
    }

    /// Converters side by side that each carry a fixed share of the power, such as units that share a load by their rating:
    /// idle draws add up, `a` is the mean by share, `b` the sum of each one's times the square of its share. Exact for those
    /// shares, which are above 0 and sum to 1.
    pub fn sharing(parts: &[(LossCurve, f64)]) -> LossCurve {
        let sum = |of: fn(&LossCurve, f64) -> f64| parts.iter().map(|(curve, share)| of(curve, *share)).sum();
        LossCurve {
            idle_w: sum(|curve, _| curve.idle_w),
            linear: sum(|curve, share| curve.linear * share),
            square_per_w: sum(|curve, share| curve.square_per_w * share * share),
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
        (1.0 + self.linear + self.square_per_w * output_w) * output_w
    }

    /// Inverse of [`Self::above_idle`]; 0 for a negative argument, without end for one without end.
    #[inline]
    pub fn output_for_above_idle(&self, above_idle_w: f64) -> f64 {
        let above = above_idle_w.max(0.0);
        let slope = 1.0 + self.linear;
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

    /// Loss beyond the idle draw at an output, W, by its own formula `a·P + b·P²`.
    #[inline]
    pub fn loss_beyond_idle(&self, output_w: f64) -> f64 {
        (self.linear + self.square_per_w * output_w) * output_w
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
        for square_per_w in [0.0, 1e-5] {
            let curve = LossCurve { idle_w: 5.0, linear: 0.02, square_per_w };
            assert_eq!(curve.output_for_above_idle(f64::INFINITY), f64::INFINITY);
        }
    }

    /// By hand, 6500 W rated, 62 W idle: at 10 % 650/0.89 − 650 − 62 = 18.337 W, at 100 % 6500/0.91 − 6500 − 62 =
    /// 580.857 W. Two equations a·650 + b·650² = 18.337 and a·6500 + b·6500² = 580.857 give
    /// b = (580.857 − 183.371) / (6500² − 6500·650) = 1.04533e-5 and a = 580.857/6500 − 6500·b = 0.0214165.
    #[test]
    fn two_points_are_met_exactly() {
        let fit = LossCurve::fit(&[(0.1, 0.89), (1.0, 0.91)], 6500.0, 62.0).unwrap();
        // Tolerances: the digits of the hand calculation.
        assert!((fit.curve.square_per_w - 1.04533e-5).abs() < 1e-9);
        assert!((fit.curve.linear - 0.0214165).abs() < 1e-6);
        assert!(fit.largest_difference < 1e-12);
        assert!((fit.curve.efficiency(650.0) - 0.89).abs() < 1e-12);
    }

    /// By hand: 6 kW and 3 kW carry two thirds and one third. At 4500 W out the first gives 3000 W for
    /// 60 + 1.02·3000 + 1e-5·3000² = 3210 W, the second 1500 W for 30 + 1.04·1500 + 2e-5·1500² = 1635 W.
    #[test]
    fn two_kinds_share_by_their_rating() {
        let large = LossCurve { idle_w: 60.0, linear: 0.02, square_per_w: 1e-5 };
        let small = LossCurve { idle_w: 30.0, linear: 0.04, square_per_w: 2e-5 };
        let both = LossCurve::sharing(&[(large, 2.0 / 3.0), (small, 1.0 / 3.0)]);
        assert!((both.input_for_output(4500.0) - 4845.0).abs() < 1e-9);
        let twins = LossCurve::sharing(&[(large, 0.5), (large, 0.5)]);
        assert_eq!((twins.idle_w, twins.linear), (120.0, 0.02));
        assert!((twins.square_per_w - large.side_by_side(2).square_per_w).abs() < 1e-20);
    }

    #[test]
    fn one_point_gives_a_straight_line_through_idle_and_itself() {
        let fit = LossCurve::fit(&[(0.5, 0.92)], 4000.0, 40.0).unwrap();
        // 2000/0.92 − 2000 − 40 = 133.913 W over 2000 W.
        assert!((fit.curve.linear - 0.066_956_5).abs() < 1e-6);
        assert_eq!(fit.curve.square_per_w, 0.0);
    }

    #[test]
    fn many_points_of_one_curve_give_that_curve_back() {
        let curve = LossCurve { idle_w: 55.0, linear: 0.02, square_per_w: 8e-6 };
        let points: Vec<_> =
            (1..=20).map(|i| f64::from(i) / 20.0).map(|x| (x, curve.efficiency(x * 5000.0))).collect();
        let fit = LossCurve::fit(&points, 5000.0, 55.0).unwrap();
        // Normal equations of order x⁴: a dozen digits remain.
        assert!((fit.curve.linear - 0.02).abs() < 1e-10);
        assert!((fit.curve.square_per_w - 8e-6).abs() < 1e-14);
    }

    #[test]
    fn a_part_load_loss_below_idle_never_makes_a_path_gain() {
        // 600 W at 95 %: 31.6 W of loss, less than the stated 60 W of idle.
        let fit = LossCurve::fit(&[(0.1, 0.95), (0.5, 0.96), (1.0, 0.93)], 6000.0, 60.0).unwrap();
        assert!(fit.curve.linear >= 0.0 && fit.curve.square_per_w >= 0.0);
        assert!(fit.largest_difference > 0.01);
    }

    #[test]
    fn what_no_converter_can_be_is_refused() {
        let fit = |points: &[(f64, f64)]| LossCurve::fit(points, 5000.0, 50.0);
        assert_eq!(fit(&[]), Err(CurveError::NoPoints));
        assert_eq!(fit(&[(0.5, 1.02)]), Err(CurveError::Efficiency { share: 0.5, efficiency: 1.02 }));
        assert_eq!(fit(&[(0.5, 0.0)]), Err(CurveError::Efficiency { share: 0.5, efficiency: 0.0 }));
        assert!(matches!(fit(&[(0.5, f64::NAN)]), Err(CurveError::Efficiency { .. })));
        assert_eq!(fit(&[(0.0, 0.9)]), Err(CurveError::Share { share: 0.0 }));
        assert!(fit(&[(1.0, 1.0)]).is_ok());
        assert!(LossCurve::fit(&[(0.5, 0.9)], 0.0, 50.0).is_err());
        assert!(LossCurve::fit(&[(0.5, 0.9)], 5000.0, -1.0).is_err());
    }

    #[test]
    fn output_for_input_undoes_input_for_output() {
        for square_per_w in [0.0, 1e-18, 1e-6, 2e-5] {
            let curve = LossCurve { idle_w: 62.0, linear: 0.03, square_per_w };
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
        let one = LossCurve { idle_w: 50.0, linear: 0.02, square_per_w: 1e-5 };
        let two = one.side_by_side(2);
        // 2 · (50 + 1.02·1500 + 1e-5·1500²) = 3205 W.
        assert!((two.input_for_output(3000.0) - 3205.0).abs() < 1e-9);
        assert!((two.input_for_output(3000.0) - 2.0 * one.input_for_output(1500.0)).abs() < 1e-9);
    }

    /// A straight curve without idle has one efficiency everywhere, so each weighting must return it.
    #[test]
    fn weighting_a_constant_returns_it() {
        let curve = LossCurve { idle_w: 0.0, linear: 0.25, square_per_w: 0.0 };
        assert!((curve.weighted_efficiency(5000.0, &EUROPEAN) - 0.8).abs() < 1e-12);
        assert!((curve.weighted_efficiency(5000.0, &CALIFORNIAN) - 0.8).abs() < 1e-12);
    }
}
