//! Why a file was not read.

/// A file that cannot be read as what it was said to be: where, what, and what would have been accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// Line of the file, counting from 1.
    pub line: usize,
    /// What was found there, in words.
    pub what: String,
    /// What is accepted there.
    pub allowed: String,
}

impl ReadError {
    pub(crate) fn new(line: usize, what: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { line, what: what.into(), allowed: allowed.into() }
    }
}

impl core::fmt::Display for ReadError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "line {}: {}; accepted: {}", self.line, self.what, self.allowed)
    }
}

impl std::error::Error for ReadError {}
