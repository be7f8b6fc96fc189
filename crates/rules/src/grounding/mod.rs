//! Neutral and ground.

pub(crate) mod array_electrode_in_addition;
pub(crate) mod bond_in_fed_building;
pub(crate) mod electrode_conductor_too_small;
pub(crate) mod electrodes_missing;
pub(crate) mod fault_not_parted;
pub(crate) mod first_fault_not_signalled;
pub(crate) mod neutral_bonds;
pub(crate) mod residual_device_blind;
pub(crate) mod sockets_without_residual;
