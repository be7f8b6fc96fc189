//! Reproducible weather years from twelve monthly means.
//!
//! The chain: a Markov library gives each day's clearness ([`markov`]), an hourly model spreads the day over its hours
//! under a clear bound ([`hourly_clearness`]), Erbs splits beam from diffuse, temperature follows the month, the day's
//! clearness and its own memory ([`temperature`]), wind is a plain random series ([`wind`]). Whole years and single months
//! are made brighter or duller by what sums of days lack of the spread of real ones ([`spread`]). Every random stream is
//! keyed by seed, year and purpose ([`random`]), so that any year can be made alone and in any order.

pub mod random;

pub mod hourly_clearness;
pub mod markov;
pub mod monthly_curve;
pub mod temperature;
pub mod wind;

pub mod bias;
mod generator;
pub mod spread;

pub use bias::{Bias, BiasClass};
pub use generator::{Generator, synthesise};
pub use spread::Spread;
