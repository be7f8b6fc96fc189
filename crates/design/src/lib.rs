//! From a design text to a design, and from a design to a system.

pub mod catalogue;
pub mod problem;
pub mod read;
