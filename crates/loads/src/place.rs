//! Random streams for the hour of a use, with the same bits on every machine.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// Uniform numbers of one load in one year of a seed.
#[derive(Clone, Debug)]
pub struct Stream(Pcg64);

impl Stream {
    /// The stream of the load at this position of the list.
    pub fn new(seed: u64, year: u32, load: u32) -> Self {
        let stream = (u128::from(year) << 32) | u128::from(load);
        // Seeds next to each other must not begin alike.
        let state = u128::from(seed).wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835);
        let mut words = Pcg64::new(state, stream);
        words.next_u64();
        Self(words)
    }

    /// Uniform in 0 (included) to 1 (excluded): the upper 53 bits of a word.
    pub fn uniform(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }
}
