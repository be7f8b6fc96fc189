//! What the house uses.

mod facts;

pub use facts::*;
