//! Reading a design text.

mod value;

pub use value::{Entry, Given, Item, Span};
