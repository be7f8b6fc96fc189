//! How far years and months differ, and what the chain of days lacks of it.
//!
//! A chain of days knows no dull summers and no bright years: its months are independent draws, and its sums differ less than
//! real ones. What is missing is taken from two daily records (`cases/solar/light_of_23_years.csv`, measured at 52° N in a
//! maritime climate; `cases/solar/light_of_31_years.csv`, modelled from temperature at 42° N in a continental one): in each,
//! the record's standard deviations were divided by those that this chain makes of the record's own monthly means. The
//! chain knows how cloudy a climate is, so that the same ratio leaves a desert with little and a cloudy coast with much.

/// Deviation of yearly sums in the records over that of the chain of days alone.
///
/// Root of the mean square of 1.96 and 1.41, weighted by the years less one of each record.
pub const YEARS_OVER_CHAIN: f64 = 1.66;
/// The same for sums of one month, over the 24 months of both records: 1.25 and 1.18.
pub const MONTHS_OVER_CHAIN: f64 = 1.21;
/// Lowest and highest [`YEARS_OVER_CHAIN`] of a single record: how far the figure may be off in another climate, at least.
pub const YEARS_OVER_CHAIN_OF_ONE: (f64, f64) = (1.41, 1.96);

/// Lowest of twenty values of the normal law, in standard deviations below its mean: the expected extreme.
///
/// Source: tables of normal order statistics, as in Harter 1961, Biometrika 48:151 (from memory); a test draws it.
pub const LOWEST_OF_TWENTY: f64 = 1.867;

/// How far sums of light differ from year to year, as standard deviations over the mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// What the chain of days makes of yearly sums by itself, measured over 200 years of days.
    pub chain: f64,
    /// What it makes of each month's sums.
    pub chain_months: [f64; 12],
    /// What is added to whole years, all twelve months alike.
    pub whole_years: f64,
    /// What is added to each month alone.
    pub single_months: [f64; 12],
    /// Each month's share of a year's light.
    pub month_shares: [f64; 12],
    /// The month with the least light above the air in which the climate has sun, 0 to 11.
    pub dark_month: usize,
}

impl Spread {
    /// Completes what the chain makes to what the records show.
    ///
    /// Whole years get a, month m alone gets b_m, such that `a² + b_m² = (M² − 1) c_m²` for each month and
    /// `a² + Σ w_m² b_m² = (Y² − 1) c²` for the year, c being the chain's, w the months' shares of the light, Y and M the
    /// two ratios; b_m is 0 where a alone is more.
    pub(super) fn completed(
        chain: f64,
        chain_months: [f64; 12],
        month_shares: [f64; 12],
        dark_month: usize,
    ) -> Self {
        let alone = |whole: f64| -> [f64; 12] {
            chain_months.map(|c| ((MONTHS_OVER_CHAIN * MONTHS_OVER_CHAIN - 1.0) * c * c - whole).max(0.0))
        };
        let missing = (YEARS_OVER_CHAIN * YEARS_OVER_CHAIN - 1.0) * chain * chain;
        let of_months = |whole: f64| -> f64 {
            alone(whole).iter().zip(month_shares).map(|(square, share)| share * share * square).sum()
        };
        // The sum grows with a², from less than is missing to all of it.
        let (mut low, mut high) = (0.0, missing);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if middle + of_months(middle) < missing { low = middle } else { high = middle }
        }
        let whole = 0.5 * (low + high);
        Self {
            chain,
            chain_months,
            whole_years: libm::sqrt(whole),
            single_months: alone(whole).map(libm::sqrt),
            month_shares,
            dark_month,
        }
    }

    /// Yearly sums, with what is added.
    pub fn of_years(&self) -> f64 {
        let months: f64 = self.single_months.iter().zip(self.month_shares).map(|(b, w)| w * w * b * b).sum();
        libm::sqrt(self.chain * self.chain + self.whole_years * self.whole_years + months)
    }

    /// Sums of a month, 0 to 11, with what is added; later months answer December.
    pub fn of_month(&self, month: usize) -> f64 {
        let month = month.min(11);
        libm::hypot(libm::hypot(self.chain_months[month], self.single_months[month]), self.whole_years)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synthesis::random::{Purpose, Stream};

    #[test]
    fn what_is_added_completes_years_and_months() {
        // Months of a twelfth each that differ by 10 %, and years by 3 %.
        let spread = Spread::completed(0.03, [0.10; 12], [1.0 / 12.0; 12], 11);
        assert!((spread.of_years() - 0.03 * YEARS_OVER_CHAIN).abs() < 1e-9);
        assert!((spread.of_month(0) - 0.10 * MONTHS_OVER_CHAIN).abs() < 1e-9);
        // By hand: a² + b² = 0.004641, a² + b²/12 = 0.00158.
        assert!((spread.whole_years - 0.03608).abs() < 1e-4, "{}", spread.whole_years);
        assert!((spread.single_months[5] - 0.05779).abs() < 1e-4, "{}", spread.single_months[5]);
    }

    #[test]
    fn an_even_month_gets_no_more_than_the_year_does() {
        let mut months = [0.10; 12];
        months[6] = 0.01;
        let spread = Spread::completed(0.03, months, [1.0 / 12.0; 12], 11);
        assert_eq!(spread.single_months[6], 0.0);
        assert!((spread.of_years() - 0.03 * YEARS_OVER_CHAIN).abs() < 1e-9);
        let none = Spread::completed(0.0, [0.0; 12], [0.0; 12], 0);
        assert_eq!((none.of_years(), none.of_month(3)), (0.0, 0.0));
    }

    #[test]
    fn the_lowest_of_twenty_lies_where_the_tables_say() {
        let mut stream = Stream::new(3, 0, Purpose::Study);
        let rounds = 20_000;
        let sum: f64 = (0..rounds).map(|_| (0..20).map(|_| stream.normal()).fold(f64::MAX, f64::min)).sum();
        // The lowest of twenty deviates by 0.525: four standard errors are 0.015.
        assert!((sum / f64::from(rounds) + LOWEST_OF_TWENTY).abs() < 0.015);
    }
}
