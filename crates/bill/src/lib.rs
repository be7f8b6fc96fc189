//! What to buy: lines with quantity, price and sum; wire with slack, in the lengths that are sold.

mod lengths;
mod lines;

pub use lengths::{SLACK, WireOrder, pieces, to_buy, wire_order};
pub use lines::{Bill, Group, LengthTotal, Line, LineTotal, length_total, line_total};
