//! Neutral and ground.

pub(crate) mod electrode_conductor_too_small;
pub(crate) mod electrodes_missing;
pub(crate) mod neutral_bonds;
