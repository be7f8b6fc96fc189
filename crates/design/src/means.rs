//! Facts that let a person work on the system.

use quantity::Fact;
use std::sync::Arc;

/// A tie between neutral and ground that the owner names.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedBond {
    /// Name.
    pub name: Arc<str>,
    /// Panel or generator it is in.
    pub at: Arc<str>,
    /// Whether it is fitted.
    pub fitted: Fact<bool>,
}
