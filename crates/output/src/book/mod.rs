//! The build book.

mod value;

pub use value::{Block, Book, Chapter, FindingBlock, Span};
