//! Reproducible weather years from twelve monthly means.
//!
//! The chain: a Markov library gives each day's clearness ([`markov`]), an hourly model spreads the day over its hours
//! under a clear bound ([`hourly_clearness`]), Erbs splits beam from diffuse, temperature follows the month, the day's
//! clearness and its own memory ([`temperature`]), wind is a plain random series ([`wind`]). Every random stream is
//! keyed by seed, year and purpose ([`random`]), so that any year can be made alone and in any order.

pub mod random;

pub mod hourly_clearness;
pub mod markov;
pub mod monthly_curve;
pub mod temperature;
pub mod wind;

pub mod bias;
mod generator;

pub use bias::{Bias, BiasClass};
pub use generator::{Generator, Spread, YEARLY_SPREAD_TARGET, synthesise};
