//! The build book.

mod glue;
mod html;
mod value;

pub use glue::glued;
pub use html::{html, style};
pub use value::{Block, Book, Chapter, FindingBlock, Span};
