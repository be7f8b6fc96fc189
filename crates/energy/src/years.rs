//! Many weather years: the middling one, the spread as counts, and whether a promise is kept nine years in ten.

use crate::{Inputs, Problem, Start, YearInput, YearResult, run};

/// Runs each year for itself, begun [`Start::AfterDecember`], in the given order.
///
/// # Errors
/// The first [`Problem`] met.
pub fn run_years(inputs: &Inputs, years: &[YearInput]) -> Result<Vec<YearResult>, Problem> {
    years.iter().map(|year| run(inputs, year, Start::AfterDecember)).collect()
}

/// Values of several years as a person would say them: "31, and between 12 and 58 in 16 of 20 years".
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Middle value; of an even number the mean of the two in the middle.
    pub middle: f64,
    /// Lowest of those inside.
    pub low: f64,
    /// Highest of those inside.
    pub high: f64,
    /// How many lie from `low` to `high`: all but the outer tenth on either side.
    pub inside: usize,
    /// How many there are.
    pub of: usize,
}

/// The spread of yearly values; `None` for none.
pub fn spread(values: &[f64]) -> Option<Spread> {
    let sorted = sorted(values);
    let of = sorted.len();
    let outer = of / 10;
    let low = *sorted.get(outer)?;
    let high = *sorted.get(of - 1 - outer)?;
    let middle = (sorted[(of - 1) / 2] + sorted[of / 2]) / 2.0;
    Some(Spread { middle, low, high, inside: of - 2 * outer, of })
}

/// Fewest years from which percentiles are given at all.
pub const PERCENTILES_FROM: usize = 100;

/// The smallest value that at least `percent` of a hundred values do not exceed. `None` below
/// [`PERCENTILES_FROM`] values: fewer years do not know their rare ones.
pub fn percentile(values: &[f64], percent: f64) -> Option<f64> {
    if values.len() < PERCENTILES_FROM {
        return None;
    }
    let sorted = sorted(values);
    let rank = (percent.clamp(0.0, 100.0) / 100.0 * sorted.len() as f64).ceil() as usize;
    sorted.get(rank.max(1) - 1).copied()
}

/// Position of the middling year: by backup hours, then by energy missing, then by order; of an even number the better
/// of the two in the middle. `None` for none.
pub fn middling_year(results: &[YearResult]) -> Option<usize> {
    middling_of(&in_short(results))
}

/// [`middling_year`] of years in short.
pub fn middling_of(years: &[YearInShort]) -> Option<usize> {
    let mut order: Vec<usize> = (0..years.len()).collect();
    let key = |index: usize| (years[index].backup_h, years[index].missing_total_wh());
    order.sort_by(|&a, &b| {
        let ((hours_a, missing_a), (hours_b, missing_b)) = (key(a), key(b));
        hours_a.total_cmp(&hours_b).then(missing_a.total_cmp(&missing_b)).then(a.cmp(&b))
    });
    order.get(years.len().checked_sub(1)? / 2).copied()
}

/// What a promise asks of a year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct YearInShort {
    /// Hours on utility or generator.
    pub backup_h: f64,
    /// From utility or generator, Wh.
    pub backup_wh: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Load not served: must, want, luxury, Wh.
    pub missing_wh: [f64; 3],
    /// Offered by the modules and taken by nothing, Wh.
    pub unused_wh: f64,
    /// Fuel burnt, litres.
    pub fuel_l: f64,
}

impl YearInShort {
    /// Load not served, all tiers, Wh.
    pub fn missing_total_wh(&self) -> f64 {
        self.missing_wh[0] + self.missing_wh[1] + self.missing_wh[2]
    }
}

impl From<&YearResult> for YearInShort {
    fn from(result: &YearResult) -> YearInShort {
        YearInShort {
            backup_h: result.year.backup_h,
            backup_wh: result.year.backup_wh(),
            dark_h: result.year.dark_h,
            missing_wh: result.year.missing_wh,
            unused_wh: result.year.unused_wh,
            fuel_l: result.fuel_l,
        }
    }
}

fn in_short(results: &[YearResult]) -> Vec<YearInShort> {
    results.iter().map(YearInShort::from).collect()
}

/// What a year may bring at most; what is `None` is not promised.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Promise {
    /// Hours on utility or generator.
    pub backup_h: Option<f64>,
    /// Hours in which a must-load is missing.
    pub dark_h: Option<f64>,
    /// From utility or generator, Wh.
    pub backup_wh: Option<f64>,
    /// Load not served, Wh.
    pub missing_wh: Option<f64>,
    /// Fuel burnt, litres.
    pub fuel_l: Option<f64>,
}

impl Promise {
    /// Whether a year keeps it.
    pub fn kept_in(&self, year: &YearInShort) -> bool {
        let within = |most: Option<f64>, found: f64| most.is_none_or(|most| found <= most);
        within(self.backup_h, year.backup_h)
            && within(self.dark_h, year.dark_h)
            && within(self.backup_wh, year.backup_wh)
            && within(self.missing_wh, year.missing_total_wh())
            && within(self.fuel_l, year.fuel_l)
    }
}

impl NineInTen {
    /// The same count held against the middling year alone ([`middling_year`]'s rank, for each limit by itself no
    /// stricter): half of the years, rounded down, may break it.
    pub fn in_the_middling_year(self) -> NineInTen {
        let allowed = self.years / 2;
        NineInTen { allowed, holds: self.broken <= allowed, ..self }
    }
}

/// How a promise fares over several years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NineInTen {
    /// Years looked at.
    pub years: usize,
    /// Years that break it.
    pub broken: usize,
    /// Years that may: at most a tenth, rounded down.
    pub allowed: usize,
    /// Whether it holds in nine years of ten.
    pub holds: bool,
    /// Share of all years that may break it as far as these few can tell, at 90 % confidence.
    pub broken_share: (f64, f64),
}

/// Whether a promise is kept in nine years of ten; `None` without years.
pub fn nine_in_ten(promise: &Promise, results: &[YearResult]) -> Option<NineInTen> {
    nine_in_ten_of(promise, &in_short(results))
}

/// [`nine_in_ten`] of years in short.
pub fn nine_in_ten_of(promise: &Promise, in_short: &[YearInShort]) -> Option<NineInTen> {
    let years = in_short.len();
    if years == 0 {
        return None;
    }
    let broken = in_short.iter().filter(|year| !promise.kept_in(year)).count();
    let allowed = years / 10;
    Some(NineInTen {
        years,
        broken,
        allowed,
        holds: broken <= allowed,
        broken_share: exact_interval(broken, years, 0.9),
    })
}

/// The exact interval of a share when `hits` of `of` were counted.
///
/// Source: Clopper & Pearson, Biometrika 26 (1934) 404–413. Each end is where the binomial tail equals half of what
/// `confidence` leaves; found by halving to the last bits.
pub fn exact_interval(hits: usize, of: usize, confidence: f64) -> (f64, f64) {
    let tail = (1.0 - confidence) / 2.0;
    let low = if hits == 0 {
        0.0
    } else {
        // P(at least `hits`) grows with the share.
        halve(|share| 1.0 - at_most(hits - 1, of, share) < tail)
    };
    let high = if hits >= of { 1.0 } else { halve(|share| at_most(hits, of, share) > tail) };
    (low, high)
}

/// The share between 0 and 1 up to which `below` is true.
fn halve(below: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if below(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// Probability of at most `hits` of `of` independent trials with chance `share`, strictly between 0 and 1.
fn at_most(hits: usize, of: usize, share: f64) -> f64 {
    let n = of as f64;
    let (log_yes, log_no) = (libm::log(share), libm::log1p(-share));
    (0..=hits)
        .map(|hit| {
            let k = hit as f64;
            let ways = libm::lgamma(n + 1.0) - libm::lgamma(k + 1.0) - libm::lgamma(n - k + 1.0);
            libm::exp(ways + k * log_yes + (n - k) * log_no)
        })
        .sum()
}

fn sorted(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_of_twenty_lie_inside() {
        let values: Vec<f64> = (1..=20).rev().map(f64::from).collect();
        let s = spread(&values).unwrap();
        assert_eq!((s.middle, s.low, s.high, s.inside, s.of), (10.5, 3.0, 18.0, 16, 20));
        let one = spread(&[4.0]).unwrap();
        assert_eq!((one.middle, one.low, one.high, one.inside), (4.0, 4.0, 4.0, 1));
        assert_eq!(spread(&[]), None);
    }

    #[test]
    fn percentiles_need_a_hundred_years() {
        let values: Vec<f64> = (1..=100).map(f64::from).collect();
        assert_eq!(percentile(&values[..99], 90.0), None);
        assert_eq!(percentile(&values, 90.0), Some(90.0));
        assert_eq!(percentile(&values, 100.0), Some(100.0));
        assert_eq!(percentile(&values, 0.0), Some(1.0));
    }

    /// None of 20 at 95 %: the upper end is 1 − 0.025^(1/20) = 0.168 43. Two of 20: 0.0123 and 0.3170 in printed
    /// tables of the exact interval (from memory).
    #[test]
    fn the_interval_is_the_exact_one() {
        let (low, high) = exact_interval(0, 20, 0.95);
        assert_eq!(low, 0.0);
        assert!((high - (1.0 - libm::pow(0.025, 0.05))).abs() < 1e-12);
        let (low, high) = exact_interval(2, 20, 0.95);
        // Four printed decimals.
        assert!((low - 0.0123).abs() < 1e-4 && (high - 0.3170).abs() < 1e-4, "{low} {high}");
        let (low, high) = exact_interval(20, 20, 0.95);
        assert!((low - libm::pow(0.025, 0.05)).abs() < 1e-12);
        assert_eq!(high, 1.0);
    }
}
