//! Results laid out: drawings, tables, books. A value first, then bytes; the same bytes from the same study.

pub mod drawing;
pub mod table;
pub mod book;
