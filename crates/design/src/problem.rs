//! What is wrong with a design text, as values: place, words, and where possible the edit that mends it.

use std::ops::Range;

/// One thing wrong with the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// What kind of thing.
    pub what: What,
    /// Headline: what is.
    pub says: String,
    /// What is allowed or what to do.
    pub help: String,
    /// The place, first, and other places that belong to it, each with a short label.
    pub labels: Vec<Label>,
    /// The text to put in place of a span, where the mend is certain enough to offer.
    pub mend: Option<Mend>,
}

/// A place in the text with a few words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Bytes of the text.
    pub span: Range<usize>,
    /// The words.
    pub says: String,
}

/// Replace a span of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mend {
    /// Bytes to replace.
    pub span: Range<usize>,
    /// What to put there.
    pub with: String,
}

/// Kinds of problems; each has a stable word for machine output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The names say it.
pub enum What {
    Syntax,
    NotUtf8,
    TooLarge,
    UnknownTable,
    UnknownKey,
    WrongShape,
    WrongUnit,
    OutOfRange,
    Missing,
    Dangling,
    Duplicate,
    Contradiction,
}

impl What {
    /// Stable word.
    pub fn word(self) -> &'static str {
        match self {
            What::Syntax => "syntax",
            What::NotUtf8 => "not-utf-8",
            What::TooLarge => "too-large",
            What::UnknownTable => "unknown-table",
            What::UnknownKey => "unknown-key",
            What::WrongShape => "wrong-shape",
            What::WrongUnit => "wrong-unit",
            What::OutOfRange => "out-of-range",
            What::Missing => "missing",
            What::Dangling => "dangling-reference",
            What::Duplicate => "duplicate-name",
            What::Contradiction => "contradiction",
        }
    }
}
