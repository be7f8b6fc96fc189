//! What is known of a quantity. Unknown is a type: never a NaN and never a friendly default.

use crate::{Measure, Origin, Reason, Traced};
use std::fmt;
use std::sync::Arc;

/// The one path of a field in a design, such as `module.field.voc`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FieldPath(pub Arc<str>);

impl FieldPath {
    /// From text.
    pub fn new(path: impl Into<Arc<str>>) -> Self {
        Self(path.into())
    }
    /// As text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FieldPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Who can answer a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // The names say it.
pub enum WhoKnows {
    DataSheet,
    Maker,
    SupplyHouse,
    BuildingOffice,
    Utility,
    Electrician,
    Insurer,
    Measurement,
    Owner,
}

impl WhoKnows {
    /// "the data sheet", "the utility".
    pub fn in_words(self) -> &'static str {
        match self {
            WhoKnows::DataSheet => "the data sheet",
            WhoKnows::Maker => "the maker's manual or support",
            WhoKnows::SupplyHouse => "the supply house",
            WhoKnows::BuildingOffice => "the building office",
            WhoKnows::Utility => "the utility",
            WhoKnows::Electrician => "an electrician",
            WhoKnows::Insurer => "the insurer",
            WhoKnows::Measurement => "a measurement on site",
            WhoKnows::Owner => "you",
        }
    }
}

/// One fact that is missing.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Missing {
    /// Where the design would state it.
    pub field: FieldPath,
    /// Who can answer.
    pub ask: WhoKnows,
}

/// Everything that keeps a value from being known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The facts that are missing, without repetition, never empty.
    pub missing: Vec<Missing>,
}

/// Short for the unknown state, where a signature reads better with it.
pub type Unknown = Gap;

impl Gap {
    /// One missing fact.
    pub fn one(field: FieldPath, ask: WhoKnows) -> Self {
        Gap { missing: vec![Missing { field, ask }] }
    }

    /// Both gaps together.
    pub fn and(mut self, other: &Gap) -> Self {
        for missing in &other.missing {
            if !self.missing.contains(missing) {
                self.missing.push(missing.clone());
            }
        }
        self
    }
}

/// A value with its origin, or what is missing to have it.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact<T> {
    /// Known, with its origin.
    Known(Traced<T>),
    /// Not known; it names what is missing and who can answer.
    Unknown(Gap),
}

impl<T> Fact<T> {
    /// Unknown for want of one field.
    pub fn unknown(field: impl Into<Arc<str>>, ask: WhoKnows) -> Self {
        Fact::Unknown(Gap::one(FieldPath::new(field), ask))
    }

    /// A harmless default with the reason the owner is shown.
    pub fn assumed(value: T, reason: Reason) -> Self {
        Fact::Known(Traced { value, origin: Origin::Assumed(reason) })
    }

    /// The traced value, if known.
    pub fn known(&self) -> Option<&Traced<T>> {
        match self {
            Fact::Known(traced) => Some(traced),
            Fact::Unknown(_) => None,
        }
    }

    /// The bare value, if known.
    pub fn value(&self) -> Option<&T> {
        self.known().map(|traced| &traced.value)
    }

    /// The gap, if unknown.
    pub fn gap(&self) -> Option<&Gap> {
        match self {
            Fact::Known(_) => None,
            Fact::Unknown(gap) => Some(gap),
        }
    }

    /// Whether it is known.
    pub fn is_known(&self) -> bool {
        self.known().is_some()
    }

    /// The known value through `f`, keeping the origin.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Fact<U> {
        match self {
            Fact::Known(Traced { value, origin }) => Fact::Known(Traced { value: f(value), origin }),
            Fact::Unknown(gap) => Fact::Unknown(gap),
        }
    }

    /// `f` of the traced value; unknown stays unknown.
    pub fn and_then<U>(&self, f: impl FnOnce(&Traced<T>) -> Fact<U>) -> Fact<U> {
        match self {
            Fact::Known(traced) => f(traced),
            Fact::Unknown(gap) => Fact::Unknown(gap.clone()),
        }
    }

    /// The traced value as a result, for `?`.
    ///
    /// # Errors
    /// The gap, when unknown.
    pub fn need(&self) -> Result<&Traced<T>, Gap> {
        match self {
            Fact::Known(traced) => Ok(traced),
            Fact::Unknown(gap) => Err(gap.clone()),
        }
    }

    /// This fact, or the other one if this is unknown.
    pub fn or(self, other: impl FnOnce() -> Fact<T>) -> Fact<T> {
        match self {
            Fact::Known(_) => self,
            Fact::Unknown(_) => other(),
        }
    }
}

impl<T> From<Result<Traced<T>, Gap>> for Fact<T> {
    fn from(result: Result<Traced<T>, Gap>) -> Self {
        match result {
            Ok(traced) => Fact::Known(traced),
            Err(gap) => Fact::Unknown(gap),
        }
    }
}

impl<T: Measure> Fact<T> {
    /// SI value, if known.
    pub fn si(&self) -> Option<f64> {
        self.value().map(|value| value.si())
    }
}

/// The gaps of several facts together; `None` when all are known.
pub(crate) fn gaps<'a>(gaps: impl IntoIterator<Item = Option<&'a Gap>>) -> Option<Gap> {
    gaps.into_iter().flatten().fold(None, |all: Option<Gap>, gap| {
        Some(match all {
            Some(all) => all.and(gap),
            None => gap.clone(),
        })
    })
}
