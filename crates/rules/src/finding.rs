//! Findings as values: what is, what is allowed, where, why, and what would mend it.

use quantity::{Clause, FieldPath, FigureName, Gap, Term};

/// How bad it is. Ordered from worst to least.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Fire, shock, destroyed equipment.
    Danger,
    /// A rule of the chosen code edition.
    Breach,
    /// Likely to disappoint.
    Doubt,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Danger => "danger",
            Severity::Breach => "breach",
            Severity::Doubt => "doubt",
            Severity::Note => "note",
        }
    }
}

/// A place in the design with a few words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Field or thing.
    pub field: FieldPath,
    /// The words at it.
    pub says: String,
}

/// One change of the design text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Set a field to a TOML value.
    Set {
        /// Path of the field.
        field: FieldPath,
        /// The value as TOML text, such as `8` or `"75 °C"`.
        value: String,
    },
    /// Take a field out.
    Remove {
        /// Path of the field.
        field: FieldPath,
    },
    /// Add a thing to a table.
    Add {
        /// Key of the table, such as `run`.
        table: String,
        /// Its name.
        name: String,
        /// Its fields with TOML values.
        fields: Vec<(String, String)>,
    },
}

/// A way out, as edits. Never changes a data-sheet value, a stated temperature or a waiver.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remedy {
    /// In words: "8 modules instead of 10: 453 V".
    pub says: String,
    /// The edits; none when only a person can do it.
    pub changes: Vec<Change>,
}

impl Remedy {
    /// A way out that sets one field.
    pub fn set(says: impl Into<String>, field: impl Into<String>, value: impl Into<String>) -> Remedy {
        let field = FieldPath::new(field.into());
        Remedy { says: says.into(), changes: vec![Change::Set { field, value: value.into() }] }
    }

    /// The same with another field set.
    pub fn and_set(mut self, field: impl Into<String>, value: impl Into<String>) -> Remedy {
        self.changes.push(Change::Set { field: FieldPath::new(field.into()), value: value.into() });
        self
    }

    /// A way out that takes a field out.
    pub fn remove(says: impl Into<String>, field: impl Into<String>) -> Remedy {
        Remedy { says: says.into(), changes: vec![Change::Remove { field: FieldPath::new(field.into()) }] }
    }
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable code of its rule.
    pub code: &'static str,
    /// Name of the situation.
    pub name: &'static str,
    /// How bad it is, or would be, while it is undecided.
    pub severity: Severity,
    /// What is missing to decide it; `None` when it is decided.
    pub undecided: Option<Gap>,
    /// Headline: what is and what is allowed, with units.
    pub says: String,
    /// More words, one paragraph each: why it matters to a person.
    pub more: Vec<String>,
    /// Places, the first one the main one.
    pub at: Vec<Place>,
    /// Figures it rests on.
    pub because: Vec<Term>,
    /// The figure to ask about.
    pub figure: Option<FigureName>,
    /// Where the rule stands.
    pub clause: Clause,
    /// Ways out, best first.
    pub remedies: Vec<Remedy>,
}

impl Finding {
    /// Whether it keeps a design from passing: a danger or a breach, decided or not.
    pub fn blocks(&self) -> bool {
        self.severity <= Severity::Breach
    }
}
