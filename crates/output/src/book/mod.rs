//! The build book.

mod assemble;
mod glue;
mod html;
mod value;

pub use assemble::{book, book_with_search, charge_picture, finding_block, months_picture, one_line_picture};
pub use glue::glued;
pub use html::{html, style};
pub use value::{Block, Book, Chapter, FindingBlock, Span};
