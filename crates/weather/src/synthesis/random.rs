//! Random streams whose bits are the same on every machine.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// What a stream of random numbers is for: streams of different purposes never share numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The year as a whole: brighter or duller than the long-run mean.
    Year,
    /// Clearness of the days.
    Days,
    /// Clearness of the hours.
    Hours,
    /// Temperature of the days.
    Temperature,
    /// Wind.
    Wind,
    /// The study of a generator's own spread, which belongs to no year.
    Study,
    /// Snowfall.
    Snow,
    /// Minutes of a day; the year of such a stream counts days.
    Minutes,
}

/// A stream of uniform and normal numbers.
#[derive(Clone, Debug)]
pub struct Stream {
    words: Pcg64,
    spare: Option<f64>,
}

impl Stream {
    /// The stream of a purpose in a year of a seed.
    pub fn new(seed: u64, year: u32, purpose: Purpose) -> Self {
        let kind = purpose as u64 + 1;
        let high = scramble(seed ^ scramble(kind));
        let low = scramble(high ^ scramble(u64::from(year).wrapping_add(0x1000)));
        let state = (u128::from(high) << 64) | u128::from(low);
        // The generator's own stream number keeps year and purpose apart even if two states should meet.
        let stream = (u128::from(year) << 8) | u128::from(kind);
        Self { words: Pcg64::new(state, stream), spare: None }
    }

    /// Uniform in 0 (included) to 1 (excluded): the upper 53 bits of a word.
    pub fn uniform(&mut self) -> f64 {
        (self.words.next_u64() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Standard normal, by the polar method (Marsaglia & Bray 1964): two at a time, one kept.
    pub fn normal(&mut self) -> f64 {
        if let Some(kept) = self.spare.take() {
            return kept;
        }
        loop {
            let (u, v) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let s = u * u + v * v;
            if s < 1.0 && s > 0.0 {
                let scale = libm::sqrt(-2.0 * libm::log(s) / s);
                self.spare = Some(v * scale);
                return u * scale;
            }
        }
    }
}

/// One round of the splitmix64 finaliser (Steele, Lea & Flood 2014): neighbouring keys become unrelated words.
fn scramble(key: u64) -> u64 {
    let mut z = key.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_numbers_have_the_moments_of_the_normal_law() {
        let mut stream = Stream::new(1, 0, Purpose::Study);
        let n = 200_000;
        let (mut sum, mut square, mut tail) = (0.0, 0.0, 0);
        for _ in 0..n {
            let x = stream.normal();
            sum += x;
            square += x * x;
            tail += usize::from(x.abs() > 1.959_964);
        }
        let n = f64::from(n);
        // Four standard errors: 1/√n, √(2/n), √(0.05·0.95/n).
        assert!((sum / n).abs() < 4.0 / n.sqrt());
        assert!((square / n - 1.0).abs() < 4.0 * (2.0 / n).sqrt());
        assert!((tail as f64 / n - 0.05).abs() < 4.0 * (0.0475 / n).sqrt());
    }

    #[test]
    fn streams_of_other_years_and_purposes_differ_and_repeat() {
        let first = |seed, year, purpose| Stream::new(seed, year, purpose).uniform();
        assert_eq!(first(7, 3, Purpose::Days).to_bits(), first(7, 3, Purpose::Days).to_bits());
        assert_ne!(first(7, 3, Purpose::Days), first(7, 4, Purpose::Days));
        assert_ne!(first(7, 3, Purpose::Days), first(8, 3, Purpose::Days));
        assert_ne!(first(7, 3, Purpose::Days), first(7, 3, Purpose::Hours));
    }
}
