//! A book is a value first: chapters of blocks. HTML and the typeset PDF lay out the same value.

use crate::drawing::Drawing;
use crate::table::{Table, Tone};
use quantity::FigureName;

/// A whole document.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Book {
    /// Title: the owner's name for the house.
    pub title: String,
    /// A line below it.
    pub subtitle: String,
    /// Name, value pairs of the title block: revision, date of the design, edition, units.
    pub facts: Vec<(String, String)>,
    /// Chapters in order.
    pub chapters: Vec<Chapter>,
}

/// One chapter.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Chapter {
    /// Link target, unique.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// One block.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading inside the chapter.
    Heading(String),
    /// The answer sentence, set large.
    Answer(Vec<Span>),
    /// A paragraph.
    Text(Vec<Span>),
    /// A list.
    List(Vec<Vec<Span>>),
    /// A table.
    Table(Table),
    /// A drawing with its title and a description for those who cannot see it.
    Picture {
        /// Link target, unique.
        id: String,
        /// Title.
        title: String,
        /// What it shows.
        describes: String,
        /// The drawing.
        drawing: Drawing,
    },
    /// A caution at the place of the hazard.
    Caution(String),
    /// A finding.
    Finding(FindingBlock),
    /// How a figure came about, one line per level.
    Working {
        /// The figure.
        figure: FigureName,
        /// Lines, each with its depth.
        lines: Vec<(u8, String)>,
    },
}

/// A finding as shown.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingBlock {
    /// Stable code.
    pub code: String,
    /// `danger`, `breach`, `doubt`, `note`.
    pub severity: String,
    /// Not decided because a fact is missing.
    pub undecided: bool,
    /// Headline.
    pub says: String,
    /// More words, one paragraph each.
    pub more: Vec<String>,
    /// Remedies in words.
    pub remedies: Vec<String>,
    /// Clause.
    pub clause: String,
    /// Where in the design: "line 112, string.north row.count".
    pub place: String,
}

/// A run of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// Text.
    pub text: String,
    /// The figure it shows.
    pub figure: Option<FigureName>,
    /// Tone.
    pub tone: Tone,
}

impl Span {
    /// Plain words.
    pub fn plain(text: impl Into<String>) -> Self {
        Span { text: text.into(), figure: None, tone: Tone::Plain }
    }
    /// A figure.
    pub fn figure(text: impl Into<String>, name: FigureName) -> Self {
        Span { text: text.into(), figure: Some(name), tone: Tone::Plain }
    }
}
