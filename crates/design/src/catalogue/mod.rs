//! The one catalogue of fields.

mod field;
mod tables;

pub use field::{Blank, Field, Form, Shape, Table, field};
pub use tables::TABLES;
