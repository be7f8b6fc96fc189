//! Takes numbers out of facts for a kernel and remembers what was taken, so that a figure of an hourly run can say
//! what it rests on, and a missing fact is named instead of guessed.

use quantity::{Fact, FieldPath, Gap, Measure, Origin, Term, Traced, Unit};
use std::collections::HashMap;
use std::sync::Arc;

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Unanswered {
    /// Facts are missing.
    Missing(Gap),
    /// Stated facts do not allow one; the words say why, the field where.
    Refused {
        /// Why.
        because: String,
        /// Where in the design.
        field: Option<FieldPath>,
    },
    /// Nobody asked for it in this run.
    NotAsked,
}

impl Unanswered {
    pub(crate) fn refused(because: impl Into<String>, field: Option<FieldPath>) -> Self {
        Unanswered::Refused { because: because.into(), field }
    }
}

/// What a kernel was given.
#[derive(Clone, Debug, Default)]
pub(crate) struct Uses {
    terms: Vec<Term>,
    /// Positions in `terms` by symbol: a house may have thousands of loads.
    by_symbol: HashMap<Arc<str>, Vec<usize>>,
    gap: Option<Gap>,
}

impl Uses {
    /// The number of a fact in a unit. Where the fact is unknown the gap is remembered and the number is NaN, which
    /// never leaves this crate because [`Uses::done`] fails then.
    pub(crate) fn number<T: Measure>(&mut self, says: &str, fact: &Fact<T>, unit: &'static Unit) -> f64 {
        match fact {
            Fact::Known(traced) => {
                self.remember(traced.term(says, unit));
                unit.of_si(traced.si())
            }
            Fact::Unknown(gap) => {
                self.miss(gap);
                f64::NAN
            }
        }
    }

    /// As [`Uses::number`] for a value that is already traced.
    pub(crate) fn traced<T: Measure>(&mut self, says: &str, traced: &Traced<T>, unit: &'static Unit) -> f64 {
        self.remember(traced.term(says, unit));
        unit.of_si(traced.si())
    }

    /// A value that is no number, said in words.
    pub(crate) fn words<T: Clone>(
        &mut self,
        says: &str,
        fact: &Fact<T>,
        words: impl Fn(&T) -> String,
    ) -> Option<T> {
        match fact {
            Fact::Known(traced) => {
                self.remember(Term::words(says, words(&traced.value), traced.origin.clone()));
                Some(traced.value.clone())
            }
            Fact::Unknown(gap) => {
                self.miss(gap);
                None
            }
        }
    }

    /// Notes an origin in words.
    pub(crate) fn note(&mut self, says: &str, words: impl Into<String>, origin: Origin) {
        self.remember(Term::words(says, words.into(), origin));
    }

    pub(crate) fn miss(&mut self, gap: &Gap) {
        self.gap = Some(match self.gap.take() {
            Some(all) => all.and(gap),
            None => gap.clone(),
        });
    }

    pub(crate) fn extend(&mut self, terms: &[Term]) {
        for term in terms {
            self.remember(term.clone());
        }
    }

    fn remember(&mut self, term: Term) {
        let same = self.by_symbol.entry(term.symbol.clone()).or_default();
        if !same.iter().any(|i| self.terms[*i].value == term.value) {
            same.push(self.terms.len());
            self.terms.push(term);
        }
    }

    /// The terms, or what is missing.
    pub(crate) fn done(self) -> Result<Vec<Term>, Unanswered> {
        match self.gap {
            Some(gap) => Err(Unanswered::Missing(gap)),
            None => Ok(self.terms),
        }
    }
}
