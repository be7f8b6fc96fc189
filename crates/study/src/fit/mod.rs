//! Whether the parts fit together: inputs, banks, legs, starts.

mod banks;
mod curves;
mod inputs;
mod legs;
mod starts;

pub use banks::{BankStudy, HeldWarm};
pub(crate) use banks::{autonomy, banks, power_at};
pub use curves::{CurveMiss, curve_misses};
pub use inputs::InputStudy;
pub(crate) use inputs::inputs;
pub use legs::{LegStudy, StackStudy, running};
pub(crate) use legs::{legs, stack};
pub use starts::StartStudy;
pub(crate) use starts::starts;

use quantity::{Fact, Gap, Measure, WhoKnows, sum};
use std::sync::Arc;

fn unknown<T>(field: String, ask: WhoKnows) -> Fact<T> {
    Fact::unknown(field, ask)
}

/// Sum of facts; unknown as soon as one is.
pub(crate) fn sum_of<T: Measure>(parts: Vec<(Arc<str>, Fact<T>)>, unit: &'static quantity::Unit) -> Fact<T> {
    let mut known = Vec::new();
    let mut gap: Option<Gap> = None;
    for (name, fact) in parts {
        match fact {
            Fact::Known(traced) => known.push((name, traced)),
            Fact::Unknown(more) => {
                gap = Some(match gap {
                    Some(all) => all.and(&more),
                    None => more,
                });
            }
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, unit)),
    }
}
