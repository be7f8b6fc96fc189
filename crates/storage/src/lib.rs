//! Batteries and banks.

mod facts;

pub use facts::*;
