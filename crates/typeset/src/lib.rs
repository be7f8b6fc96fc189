//! The build book as a typeset PDF: the same value as the page, set by a typesetter with its own small set of faces.
//!
//! The typesetter is heavy, so it is built only with the feature `pdf`; without it the same functions say so.

#[cfg(feature = "pdf")]
mod data;
mod error;
#[cfg(feature = "pdf")]
mod set;
#[cfg(feature = "pdf")]
mod world;

pub use error::TypesetError;

use output::book::Book;

/// Whether the typesetter is built in.
pub const BUILT_IN: bool = cfg!(feature = "pdf");

/// The sheets a book is set on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 8.5 by 11 inches, where the owner works in feet.
    Letter,
    /// 210 by 297 mm, everywhere else.
    A4,
}

/// A set book and what the typesetter remarked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typeset {
    /// The PDF file.
    pub bytes: Vec<u8>,
    /// Remarks that a reader of the book may care about, such as a character for which no face has a glyph.
    pub warnings: Vec<String>,
}

/// The book as a PDF file; the same bytes from the same book.
///
/// # Errors
/// [`TypesetError::NotBuiltIn`] without the feature `pdf`; otherwise what the typesetter could not set, which is a
/// fault of this program and not of the book.
pub fn pdf(book: &Book, paper: Paper) -> Result<Vec<u8>, TypesetError> {
    typeset(book, paper).map(|set| set.bytes)
}

/// As [`pdf`], with the typesetter's remarks.
///
/// # Errors
/// As [`pdf`].
#[cfg(feature = "pdf")]
pub fn typeset(book: &Book, paper: Paper) -> Result<Typeset, TypesetError> {
    set::set(book, paper)
}

/// As [`pdf`], with the typesetter's remarks.
///
/// # Errors
/// As [`pdf`].
#[cfg(not(feature = "pdf"))]
pub fn typeset(_book: &Book, _paper: Paper) -> Result<Typeset, TypesetError> {
    Err(TypesetError::NotBuiltIn)
}

#[cfg(all(test, not(feature = "pdf")))]
mod tests {
    use super::*;

    #[test]
    fn without_the_typesetter_it_says_so_and_names_the_way_out() {
        let answer = pdf(&Book::default(), Paper::A4);
        assert_eq!(answer, Err(TypesetError::NotBuiltIn));
        assert!(TypesetError::NotBuiltIn.to_string().contains("--features pdf"));
    }
}
