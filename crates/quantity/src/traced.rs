//! A value and where it came from.

use crate::{
    Clause, Count, FieldPath, Formula, Gauge, Kind, Material, Measure, Money, Standing, TableRow, Unit,
};
use std::sync::Arc;

/// A value and where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Traced<T> {
    /// The value.
    pub value: T,
    /// Its origin.
    pub origin: Origin,
}

/// Why a value was chosen for the owner, and what it moves.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Reason {
    /// The field that would replace the assumption.
    pub field: FieldPath,
    /// The reason the owner is shown.
    pub because: Arc<str>,
    /// What would move if it were otherwise.
    pub moves: Arc<str>,
    /// Where the assumed value comes from.
    pub clause: Clause,
}

/// Where a value came from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// The owner wrote it; the path leads back to a line of the design.
    Stated(FieldPath),
    /// Read from a published table.
    Tabled(Arc<TableRow>),
    /// A typical part from the shelf, to be replaced by a data sheet: part and field.
    Shelf(FieldPath),
    /// Chosen for the owner, with the reason they are shown.
    Assumed(Reason),
    /// By sizing or search: what bound it and the runner-up.
    Found(Arc<Choice>),
    /// From an hourly run.
    Series(Arc<Series>),
    /// From the journal.
    Measured(Arc<str>),
    /// By a formula.
    Computed(Arc<Working>),
}

/// A formula applied to its terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// The formula as published.
    pub formula: &'static Formula,
    /// Values with their own origins, in the order of the formula's symbols; variadic formulas take any number.
    pub terms: Vec<Term>,
}

/// A choice among sizes or candidates.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What was chosen and which constraint bound it, in words.
    pub because: Arc<str>,
    /// The next smaller or cheaper candidate and why it fell; empty where there is none.
    pub runner_up: Arc<str>,
    /// Where the rule of choosing stands.
    pub clause: Clause,
    /// The figures the choice rests on.
    pub terms: Vec<Term>,
}

/// A figure read off an hourly run.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// How the figure is formed from the run, in words.
    pub says: Arc<str>,
    /// The model that was run.
    pub clause: Clause,
    /// What the run rests on.
    pub terms: Vec<Term>,
}

/// One value in a working.
#[derive(Clone, Debug, PartialEq)]
pub struct Term {
    /// Symbol in the formula's text, or a few words in a choice or series.
    pub symbol: Arc<str>,
    /// Value with its dimension.
    pub value: Value,
    /// Unit in which the formula takes it.
    pub unit: &'static Unit,
    /// Its own origin.
    pub origin: Origin,
}

/// A value of any kind; text is made of it at the edge, in the owner's units.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number in SI units.
    Number {
        /// SI value.
        si: f64,
        /// What it measures.
        kind: Kind,
    },
    /// A conductor size.
    Gauge(Gauge),
    /// A conductor metal.
    Material(Material),
    /// An amount, exact.
    Money(Money),
    /// Words, such as a choice from a list.
    Text(Arc<str>),
}

impl Value {
    /// SI value of a number; money in currency units.
    pub fn number(&self) -> Option<f64> {
        match self {
            Value::Number { si, .. } => Some(*si),
            Value::Money(money) => Some(money.units()),
            Value::Gauge(_) | Value::Material(_) | Value::Text(_) => None,
        }
    }
}

impl<T: Measure> From<&Traced<T>> for Value {
    fn from(traced: &Traced<T>) -> Value {
        if T::KIND == Kind::Money {
            return Value::Money(Money::from_units(traced.value.si()));
        }
        Value::Number { si: traced.value.si(), kind: T::KIND }
    }
}

impl<T> Traced<T> {
    /// A value the owner wrote.
    pub fn stated(value: T, field: impl Into<Arc<str>>) -> Self {
        Traced { value, origin: Origin::Stated(FieldPath::new(field)) }
    }

    /// A table value.
    pub fn tabled(value: T, row: TableRow) -> Self {
        Traced { value, origin: Origin::Tabled(Arc::new(row)) }
    }

    /// A found value.
    pub fn found(value: T, choice: Choice) -> Self {
        Traced { value, origin: Origin::Found(Arc::new(choice)) }
    }

    /// A figure of an hourly run.
    pub fn series(value: T, says: impl Into<Arc<str>>, clause: Clause, terms: Vec<Term>) -> Self {
        Traced { value, origin: Origin::Series(Arc::new(Series { says: says.into(), clause, terms })) }
    }

    /// The same origin with another value.
    pub fn with<U>(&self, value: U) -> Traced<U> {
        Traced { value, origin: self.origin.clone() }
    }
}

impl<T: Measure> Traced<T> {
    /// SI value.
    pub fn si(&self) -> f64 {
        self.value.si()
    }

    /// As a term of a working, in a unit.
    pub fn term(&self, symbol: impl Into<Arc<str>>, unit: &'static Unit) -> Term {
        Term { symbol: symbol.into(), value: self.into(), unit, origin: self.origin.clone() }
    }
}

impl Traced<Count> {
    /// The count as a number.
    pub fn count(&self) -> u32 {
        self.value.0
    }
}

impl Traced<Gauge> {
    /// As a term of a choice.
    pub fn size_term(&self, symbol: impl Into<Arc<str>>) -> Term {
        Term {
            symbol: symbol.into(),
            value: Value::Gauge(self.value),
            unit: &crate::units::NUMBER,
            origin: self.origin.clone(),
        }
    }
}

impl Term {
    /// A term in words.
    pub fn words(symbol: impl Into<Arc<str>>, text: impl Into<Arc<str>>, origin: Origin) -> Term {
        Term { symbol: symbol.into(), value: Value::Text(text.into()), unit: &crate::units::NUMBER, origin }
    }
}

impl Origin {
    /// The weakest standing in the chain below.
    pub fn standing(&self) -> Standing {
        let of_terms = |terms: &[Term]| terms.iter().map(|t| t.origin.standing()).max();
        match self {
            Origin::Stated(_) | Origin::Shelf(_) | Origin::Measured(_) => Standing::Computed,
            Origin::Tabled(row) => row.standing,
            Origin::Assumed(reason) => reason.clause.standing,
            Origin::Found(choice) => {
                choice.clause.standing.max(of_terms(&choice.terms).unwrap_or(Standing::Computed))
            }
            Origin::Series(series) => {
                series.clause.standing.max(of_terms(&series.terms).unwrap_or(Standing::Computed))
            }
            Origin::Computed(w) => {
                w.formula.clause.standing.max(of_terms(&w.terms).unwrap_or(Standing::Computed))
            }
        }
    }

    /// The terms one level down; empty at a leaf.
    pub fn terms(&self) -> &[Term] {
        match self {
            Origin::Found(choice) => &choice.terms,
            Origin::Series(series) => &series.terms,
            Origin::Computed(working) => &working.terms,
            Origin::Stated(_)
            | Origin::Tabled(_)
            | Origin::Shelf(_)
            | Origin::Assumed(_)
            | Origin::Measured(_) => &[],
        }
    }

    /// Every origin in the chain, this one first.
    pub fn walk<'a>(&'a self, visit: &mut dyn FnMut(&'a Origin)) {
        visit(self);
        for term in self.terms() {
            term.origin.walk(visit);
        }
    }

    /// Design fields the value rests on, without repetition, in the order they are met.
    pub fn fields(&self) -> Vec<FieldPath> {
        let mut fields: Vec<FieldPath> = Vec::new();
        self.walk(&mut |origin| {
            let field = match origin {
                Origin::Stated(field) => field,
                Origin::Assumed(reason) => &reason.field,
                _ => return,
            };
            if !fields.contains(field) {
                fields.push(field.clone());
            }
        });
        fields
    }
}
