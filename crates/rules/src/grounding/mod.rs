//! Neutral and ground.

pub(crate) mod neutral_bonds;
