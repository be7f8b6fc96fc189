//! Points of a data sheet with straight lines between them.

/// Values by temperature, from cold to warm, at least one.
#[derive(Clone, Debug, PartialEq)]
pub struct Points(Vec<(f64, f64)>);

impl Points {
    /// From pairs of temperature in °C and value, in any order; `None` when there is none, a number is not finite, or two
    /// stand at one temperature.
    pub fn new(mut points: Vec<(f64, f64)>) -> Option<Points> {
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let finite = points.iter().all(|p| p.0.is_finite() && p.1.is_finite());
        let apart = points.windows(2).all(|pair| pair[0].0 < pair[1].0);
        (!points.is_empty() && finite && apart).then_some(Points(points))
    }

    /// Coldest and warmest point, °C.
    pub fn range(&self) -> (f64, f64) {
        (self.0[0].0, self.0[self.0.len() - 1].0)
    }

    /// Value at a temperature; the value of the nearest end outside the points.
    pub fn held(&self, at: f64) -> f64 {
        let points = &self.0;
        let upper = points.partition_point(|p| p.0 < at);
        if upper == 0 {
            return points[0].1;
        }
        let Some(right) = points.get(upper) else { return points[points.len() - 1].1 };
        let left = points[upper - 1];
        left.1 + (right.1 - left.1) * (at - left.0) / (right.0 - left.0)
    }

    /// Value at a temperature, the warmest point's above it; `None` below the coldest point, where a data sheet that
    /// ends says the machine does.
    pub fn within(&self, at: f64) -> Option<f64> {
        (at >= self.0[0].0).then(|| self.held(at))
    }

    /// All points.
    pub fn all(&self) -> &[(f64, f64)] {
        &self.0
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn straight_lines_between_points_and_no_guess_below_them() {
        let points = Points::new(vec![(8.0, 3.0), (-8.0, 2.0)]).unwrap();
        assert_eq!(points.held(0.0), 2.5);
        assert_eq!((points.held(20.0), points.within(20.0)), (3.0, Some(3.0)));
        assert_eq!((points.held(-9.0), points.within(-9.0), points.within(-8.0)), (2.0, None, Some(2.0)));
        assert_eq!(points.range(), (-8.0, 8.0));
    }

    #[test]
    fn what_is_no_curve_is_refused() {
        assert!(Points::new(vec![]).is_none());
        assert!(Points::new(vec![(1.0, 2.0), (1.0, 3.0)]).is_none());
        assert!(Points::new(vec![(f64::NAN, 2.0)]).is_none());
    }
}
