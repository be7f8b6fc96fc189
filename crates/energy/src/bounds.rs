//! Bounds of finite numbers. `f64::min` and `f64::max` spend most of their instructions on what to answer for no number; none
//! comes here, because every input is checked and no step makes one.

pub(crate) trait Bounds {
    /// The lower of two.
    fn at_most(self, limit: Self) -> Self;
    /// The higher of two.
    fn at_least(self, limit: Self) -> Self;
}

impl Bounds for f64 {
    #[inline]
    fn at_most(self, limit: f64) -> f64 {
        if self < limit { self } else { limit }
    }

    #[inline]
    fn at_least(self, limit: f64) -> f64 {
        if self > limit { self } else { limit }
    }
}
