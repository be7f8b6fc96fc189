//! The build book.

mod glue;
mod html;
mod assemble;
mod value;

pub use glue::glued;
pub use html::{html, style};
pub use assemble::{book, charge_picture, finding_block, months_picture, one_line_picture, voltage_picture};
pub use value::{Block, Book, Chapter, FindingBlock, Span};
