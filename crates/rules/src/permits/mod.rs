//! What offices, utility and insurer have answered.

pub(crate) mod answer_missing;
pub(crate) mod answer_no;
pub(crate) mod network_operator;
pub(crate) mod no_listing_mark;
