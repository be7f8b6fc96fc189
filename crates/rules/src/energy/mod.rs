//! What the house uses and whether it is carried through the year.

pub(crate) mod drill_dark;
pub(crate) mod efficiencies_against_idle;
pub(crate) mod idle_draw;
pub(crate) mod list_against_bills;
pub(crate) mod promise_not_kept;
pub(crate) mod worst_month;
pub(crate) mod year_not_answered;
