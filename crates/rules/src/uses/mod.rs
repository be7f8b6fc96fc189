//! What the loads of the list can and cannot do.

pub(crate) mod cannot_keep_up;
pub(crate) mod meter_record;
