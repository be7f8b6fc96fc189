//! Why there is no PDF.

use std::fmt;

/// Why there is no PDF.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TypesetError {
    /// This program was built without the feature `pdf`.
    NotBuiltIn,
    /// The typesetter could not set the book; one line per complaint.
    NotSet(Vec<String>),
}

impl fmt::Display for TypesetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TypesetError::NotBuiltIn => f.write_str(
                "this program was built without its PDF writer; build it with `--features pdf`, or write the book as .html",
            ),
            TypesetError::NotSet(complaints) => {
                write!(f, "the book could not be set as a PDF: {}", complaints.join("; "))
            }
        }
    }
}

impl std::error::Error for TypesetError {}
