//! A loss curve from what a data sheet gives: the idle draw and efficiencies at shares of rated output.

use crate::LossCurve;
use std::fmt;

/// A stated efficiency counts as met this near, as a ratio: a tenth of a point, a digit finer than data sheets print.
pub const MEETS: f64 = 0.001;

/// A curve and how well it meets the points it was fitted to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveFit {
    /// The curve.
    pub curve: LossCurve,
    /// Largest difference between a stated and the fitted efficiency, as a ratio (0.01 is one point of a hundred).
    /// Above 0.01 the idle draw and the efficiency points of the data sheet do not belong together. The curve is then the
    /// less favourable one: at no point better than stated by more than [`MEETS`].
    pub largest_difference: f64,
}

/// Terms of the loss as a share of rated output at a share `x` of it: whole from the lowest stated share on, with `x`, with `x²`.
type Terms = [f64; 3];

/// What of the loss is beyond idle at each stated share, and how much a point weighs.
struct Point {
    share: f64,
    /// Loss beyond idle as a share of rated output.
    loss: f64,
    /// Change of the efficiency as a share of itself for one of [`Self::loss`]: each point then weighs the same in relative
    /// efficiency.
    weight: f64,
    /// Lowest loss with which the efficiency is still met.
    least: f64,
}

impl Point {
    fn of(share: f64, efficiency: f64, idle: f64) -> Point {
        let beyond_idle = |efficiency: f64| share / efficiency - share - idle;
        Point {
            share,
            loss: beyond_idle(efficiency),
            weight: efficiency / share,
            least: beyond_idle(efficiency + MEETS),
        }
    }

    fn of_terms(&self) -> Terms {
        [1.0, self.share, self.share * self.share]
    }

    fn by(&self, terms: Terms) -> f64 {
        self.of_terms().iter().zip(terms).map(|(at, term)| at * term).sum()
    }
}

/// Sum of squares of what the curve misses, in relative efficiency.
fn misfit(points: &[Point], terms: Terms) -> f64 {
    points.iter().map(|point| (point.by(terms) - point.loss) * point.weight).map(|off| off * off).sum()
}

/// Misfits nearer than this are equal: a ten-thousandth of a thousandth of a point.
const EQUAL: f64 = 1e-20;

/// Least squares with every term at or above zero: the best of all choices of terms that stay there by themselves. Of equally
/// good ones the first in `choices`.
fn best(points: &[Point], choices: &[&[usize]]) -> Terms {
    let mut best = [0.0; 3];
    let mut least = misfit(points, best);
    for chosen in choices {
        let Some(terms) = least_squares(points, chosen) else { continue };
        let off = misfit(points, terms);
        if terms.iter().all(|term| *term >= 0.0) && off + EQUAL < least {
            (best, least) = (terms, off);
        }
    }
    best
}

/// Normal equations of the chosen terms by elimination with pivots; `None` where the points do not tell them apart.
fn least_squares(points: &[Point], chosen: &[usize]) -> Option<Terms> {
    let n = chosen.len();
    let mut rows = [[0.0; 4]; 3];
    for point in points {
        let at = point.of_terms();
        let weight = point.weight * point.weight;
        for (row, i) in rows.iter_mut().zip(chosen) {
            for (cell, j) in row.iter_mut().zip(chosen) {
                *cell += weight * at[*i] * at[*j];
            }
            row[3] += weight * at[*i] * point.loss;
        }
    }
    for step in 0..n {
        let pivot = (step..n).max_by(|a, b| rows[*a][step].abs().total_cmp(&rows[*b][step].abs()))?;
        rows.swap(step, pivot);
        // What is left of a term that the others can stand for is rounding.
        let of_term: f64 = points.iter().map(|p| (p.weight * p.of_terms()[chosen[step]]).powi(2)).sum();
        if rows[step][step].abs() <= 1e-12 * of_term {
            return None;
        }
        for lower in step + 1..n {
            let above = rows[step];
            let factor = rows[lower][step] / above[step];
            rows[lower].iter_mut().zip(above).for_each(|(cell, above)| *cell -= factor * above);
        }
    }
    let mut terms = [0.0; 3];
    for step in (0..n).rev() {
        let known: f64 = (step + 1..n).map(|later| rows[step][later] * terms[chosen[later]]).sum();
        terms[chosen[step]] = (rows[step][3] - known) / rows[step][step];
    }
    Some(terms)
}

/// The terms raised until no point is bettered by more than [`MEETS`], in the one term that leaves the points nearest.
fn never_better(points: &[Point], terms: Terms) -> Terms {
    let mut raised: Option<(f64, Terms)> = None;
    for term in 0..3 {
        let short = |point: &Point| (point.least - point.by(terms)) / point.of_terms()[term];
        let by = points.iter().map(short).fold(0.0, f64::max);
        if by == 0.0 {
            return terms;
        }
        let mut with_it = terms;
        with_it[term] += by;
        let off = misfit(points, with_it);
        if raised.is_none_or(|(least, _)| off < least) {
            raised = Some((off, with_it));
        }
    }
    raised.map_or(terms, |(_, terms)| terms)
}

impl LossCurve {
    /// Fits a curve to points (share of rated output, efficiency there) with the idle draw given.
    ///
    /// - By least squares in relative efficiency, every point weighing the same, with no term below zero, because a power
    ///   path never gains. Of one share the loss beyond idle grows with power; two shares are met where they can be.
    /// - If idle, a loss with power and one with its square miss a point by more than [`MEETS`], the unit loses more at
    ///   work than idle, and [`LossCurve::onset`] takes it up.
    /// - No point is bettered by more than [`MEETS`]. Points that contradict the idle draw (a loss below idle) or each
    ///   other show as [`CurveFit::largest_difference`].
    ///
    /// # Errors
    /// [`CurveError`] for no points, an efficiency outside (0, 1], a share outside (0, 2], a rated output that is
    /// not positive and a negative idle draw; NaN counts as outside.
    pub fn fit(points: &[(f64, f64)], rated_w: f64, idle_w: f64) -> Result<CurveFit, CurveError> {
        check(points, rated_w, idle_w)?;
        let stated: Vec<Point> = points.iter().map(|&(x, e)| Point::of(x, e, idle_w / rated_w)).collect();
        let lowest = points.iter().map(|point| point.0).fold(f64::INFINITY, f64::min);
        let fitted = |terms: Terms| {
            let [onset, linear, square] = never_better(&stated, terms);
            let onset =
                LossCurve { onset: onset / lowest, onset_to_w: lowest * rated_w, ..LossCurve::LOSSLESS };
            let onset = if onset.onset > 0.0 { onset } else { LossCurve::LOSSLESS };
            let curve = LossCurve { idle_w, linear, square_per_w: square / rated_w, ..onset };
            let off =
                |&(share, efficiency): &(f64, f64)| (curve.efficiency(share * rated_w) - efficiency).abs();
            CurveFit { curve, largest_difference: points.iter().map(off).fold(0.0, f64::max) }
        };
        let plain = fitted(best(&stated, &[&[1], &[2], &[1, 2]]));
        if plain.largest_difference <= MEETS {
            return Ok(plain);
        }
        Ok(fitted(best(&stated, &[&[1], &[2], &[1, 2], &[0], &[0, 1], &[0, 2], &[0, 1, 2]])))
    }

    /// The same for one of several paths of a unit whose idle draw is drawn elsewhere: a curve without it. Where every
    /// stated loss is at least the idle draw, it is in them and is taken out; otherwise the data sheet speaks of the
    /// conversion alone.
    ///
    /// # Errors
    /// Those of [`Self::fit`].
    pub fn fit_path(points: &[(f64, f64)], rated_w: f64, idle_w: f64) -> Result<CurveFit, CurveError> {
        check(points, rated_w, idle_w)?;
        let holds_idle = points.iter().all(|&(x, e)| Point::of(x, e, idle_w / rated_w).loss >= 0.0);
        let fit = LossCurve::fit(points, rated_w, if holds_idle { idle_w } else { 0.0 })?;
        Ok(CurveFit { curve: fit.curve.without_idle(), ..fit })
    }
}

fn check(points: &[(f64, f64)], rated_w: f64, idle_w: f64) -> Result<(), CurveError> {
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
    Ok(())
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

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

    #[test]
    fn one_point_gives_a_straight_line_through_idle_and_itself() {
        let fit = LossCurve::fit(&[(0.5, 0.92)], 4000.0, 40.0).unwrap();
        // 2000/0.92 − 2000 − 40 = 133.913 W over 2000 W.
        assert!((fit.curve.linear - 0.066_956_5).abs() < 1e-6);
        assert_eq!(fit.curve.square_per_w, 0.0);
    }

    #[test]
    fn many_points_of_one_curve_give_that_curve_back() {
        let curve = LossCurve::quadratic(55.0, 0.02, 8e-6);
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

    /// Every data sheet made from a curve gives that curve back, whatever its shares.
    #[test]
    fn sheets_made_from_a_curve_find_it_again() {
        let shares: [&[f64]; 4] =
            [&[0.1, 0.5, 1.0], &[0.05, 0.1, 0.2, 0.3, 0.5, 1.0], &[0.1, 0.25, 0.75], &[0.2, 1.0]];
        let mut made = 0;
        for idle_w in [5.0, 25.0, 60.0] {
            for linear in [0.0, 0.02, 0.06] {
                for square_per_w in [0.0, 4e-6, 1.5e-5] {
                    for shares in shares {
                        let curve = LossCurve::quadratic(idle_w, linear, square_per_w);
                        let sheet: Vec<_> =
                            shares.iter().map(|x| (*x, curve.efficiency(x * 5000.0))).collect();
                        let fit = LossCurve::fit(&sheet, 5000.0, idle_w).unwrap();
                        // The points keep 16 digits, of which the loss beyond idle is a hundredth to a thousandth.
                        assert!((fit.curve.linear - linear).abs() < 1e-11, "{sheet:?} {fit:?}");
                        assert!((fit.curve.square_per_w - square_per_w).abs() < 1e-14, "{sheet:?} {fit:?}");
                        assert_eq!(fit.curve.onset, 0.0);
                        made += 1;
                    }
                }
            }
        }
        assert_eq!(made, 108);
    }

    /// By hand, 2 kW with 20 W idle, of which 50 + 0.02·P + 2e-5·P² W are lost at work: at 200 W 54.8 W, at 1000 W 90 W, at
    /// 2000 W 170 W. The 30 W more than idle set in up to 200 W: at 100 W 20 + 15 + 2 + 0.2 = 37.2 W.
    #[test]
    fn what_is_lost_more_at_work_than_idle_is_found() {
        let sheet = [(0.1, 200.0 / 254.8), (0.5, 1000.0 / 1090.0), (1.0, 2000.0 / 2170.0)];
        let fit = LossCurve::fit(&sheet, 2000.0, 20.0).unwrap();
        assert!((fit.curve.onset_w() - 30.0).abs() < 1e-8, "{fit:?}");
        assert_eq!(fit.curve.onset_to_w, 200.0);
        assert!((fit.curve.input_for_output(100.0) - 137.2).abs() < 1e-8);
        assert!((fit.curve.input_for_output(1000.0) - 1090.0).abs() < 1e-8);
        assert_eq!(fit.curve.input_for_output(0.0), 20.0);
        assert!(fit.largest_difference < 1e-12);
    }

    /// Sheets that no curve meets, from whole to tenths of per cent and in any order of good and bad: none is bettered.
    #[test]
    fn no_point_of_a_sheet_is_bettered() {
        let mut met = 0;
        let percent = [84.0, 87.0, 90.5, 92.0, 94.3, 96.0];
        for low in percent {
            for middle in percent {
                for full in percent {
                    for idle_w in [0.0, 18.0, 70.0] {
                        let sheet = [(0.1, low / 100.0), (0.4, middle / 100.0), (1.0, full / 100.0)];
                        let fit = LossCurve::fit(&sheet, 3000.0, idle_w).unwrap();
                        let LossCurve { linear, square_per_w, onset, .. } = fit.curve;
                        assert!(linear >= 0.0 && square_per_w >= 0.0 && onset >= 0.0);
                        for (share, stated) in sheet {
                            let found = fit.curve.efficiency(share * 3000.0);
                            // A tenth of a point, and the rounding of what was raised to reach it.
                            assert!(found <= stated + MEETS + 1e-12, "{sheet:?} {idle_w} {found}");
                        }
                        met += u32::from(fit.largest_difference <= MEETS);
                    }
                }
            }
        }
        // Some can be met and some cannot.
        assert!(met > 0 && met < 648, "{met}");
    }

    /// 3 kW that gives 300 W at 90 % loses 33.3 W: with 18 W of idle 15.3 W are the path's, with 40 W it is the path alone.
    #[test]
    fn the_idle_draw_is_taken_out_of_a_path_that_holds_it() {
        let path = |idle_w: f64| LossCurve::fit_path(&[(0.1, 0.9)], 3000.0, idle_w).unwrap().curve;
        assert!((path(18.0).input_for_output(300.0) - 315.333_333).abs() < 1e-5);
        assert!((path(40.0).input_for_output(300.0) - 333.333_333).abs() < 1e-5);
    }
}
