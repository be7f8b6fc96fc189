//! Faster forms of the balance for many banks behind one array and one household. Each says in its type what it needs,
//! refuses everything else ([`Outside`]) and is held to the reference ([`crate::run`]) on random houses by test.

mod floor;
mod row;
mod side;
mod sizes;

pub use floor::{Floor, Least};
pub use row::{LANES, Row, RowSums};
pub use side::{Passed, SideBySide};
pub use sizes::SizeCurve;

use crate::Problem;

/// Why a faster form does not hold for a house.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outside {
    /// Nor does the reference.
    Problem(Problem),
    /// A house differs from the others in more than its bank.
    Other,
    /// Utility or generator stand behind the bank; thresholds make hours depend on what the bank did before.
    Backup,
    /// Some modules do not reach the bus through the units' own inputs.
    Beside,
    /// Modules go to AC without the bus.
    Direct,
    /// Room or cells have a temperature of their own.
    Warmth,
    /// Loads are given up by state of charge.
    Shed,
    /// The bank has two wells.
    Kinetic,
    /// Charging tapers towards the top.
    Taper,
    /// A limit of charging or discharging binds in some hour.
    Limit,
    /// The cells are too cold for their full charging power in an hour with something to charge.
    Cold,
    /// Something is drawn or lost that depends on the bank or on how much of a load is met.
    Losses,
}
