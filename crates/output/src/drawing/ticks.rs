//! Round numbers for axes.

/// Ticks of an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// Values, rising; the first is at most the lowest given value, the last at least the highest.
    pub values: Vec<f64>,
    /// From one to the next.
    pub step: f64,
}

impl Ticks {
    /// First value.
    pub fn low(&self) -> f64 {
        self.values.first().copied().unwrap_or(0.0)
    }

    /// Last value.
    pub fn high(&self) -> f64 {
        self.values.last().copied().unwrap_or(1.0)
    }

    /// Where a value stands between the first tick (0) and the last (1).
    pub fn share(&self, value: f64) -> f64 {
        let span = self.high() - self.low();
        if span > 0.0 && value.is_finite() { (value - self.low()) / span } else { 0.0 }
    }
}

/// Round steps of 1, 2, 2.5 or 5 times a power of ten that span `low` to `high` in about `about` steps and never
/// more than half as many again. Limits that are not numbers, or no span, give an axis of one step from zero.
pub fn ticks(low: f64, high: f64, about: usize) -> Ticks {
    let (low, high) = if low <= high { (low, high) } else { (high, low) };
    let span = high - low;
    if !span.is_finite() || span <= 0.0 {
        let top = if high.is_finite() && high > 0.0 { high } else { 1.0 };
        return if low.is_finite() && low < 0.0 {
            Ticks { values: vec![low, 0.0], step: -low }
        } else {
            Ticks { values: vec![0.0, top], step: top }
        };
    }
    let rough = span / about.max(1) as f64;
    let power = 10f64.powi(rough.log10().floor() as i32);
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= rough * 0.999_999)
        .unwrap_or(10.0 * power);
    // A hair is taken off so that 0.3 / 0.1 does not count as more than three.
    let first = (low / step + 1e-9).floor() as i64;
    let last = (high / step - 1e-9).ceil() as i64;
    Ticks { values: (first..=last).map(|k| k as f64 * step).collect(), step }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_span_what_is_shown() {
        for (low, high) in
            [(0.0, 567.0), (-28.0, 41.3), (0.0, 0.07), (430.0, 612.0), (0.0, 123_456.0), (0.1, 0.3)]
        {
            for about in [3, 4, 5, 6] {
                let t = ticks(low, high, about);
                assert!(t.low() <= low + 1e-9 && t.high() >= high - 1e-9, "{low} {high}: {t:?}");
                assert!(t.values.len() <= about + 3, "{low} {high}: {t:?}");
                let digits = t.step / 10f64.powi(t.step.log10().floor() as i32);
                let round = [1.0, 2.0, 2.5, 5.0, 10.0].iter().any(|m| (digits - m).abs() < 1e-6);
                assert!(round, "{}", t.step);
            }
        }
        assert_eq!(ticks(0.0, 567.0, 4).values, vec![0.0, 200.0, 400.0, 600.0]);
    }

    #[test]
    fn no_span_and_no_number_still_give_an_axis() {
        for (low, high) in [(0.0, 0.0), (5.0, 5.0), (-3.0, -3.0), (f64::NAN, 1.0), (0.0, f64::INFINITY)] {
            let t = ticks(low, high, 4);
            assert!(t.values.len() >= 2 && t.values.iter().all(|v| v.is_finite()), "{low} {high}: {t:?}");
            assert!(t.share(low).is_finite());
        }
    }
}
