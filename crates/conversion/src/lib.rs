//! Inverters, charge controllers, generators and transfer devices.

mod facts;

pub use facts::*;
