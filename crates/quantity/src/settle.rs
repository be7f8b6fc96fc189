//! Formulas over any number of terms: sums, the least, the greatest.

use crate::{
    Clause, Count, ExpressionError, Formula, Kind, Measure, Origin, Standing, Term, Traced, Unit, Value,
    Working, units,
};
use std::sync::Arc;

const ARITHMETIC: Clause =
    Clause { document: "arithmetic", edition: "", clause: "", standing: Standing::Computed };

macro_rules! variadic {
    ($($name:ident = $text:literal, $called:literal;)*) => {$(
        static $name: Formula =
            Formula { name: $called, text: $text, symbols: &[], unit: &units::NUMBER, clause: ARITHMETIC };
    )*};
}

variadic! {
    SUM = "sum of the terms", "sum";
    LEAST = "least of the terms", "least";
    GREATEST = "greatest of the terms", "greatest";
    COUNT_PRODUCT = "n · each", "product_of_count";
}

fn computed<T: Measure>(formula: &'static Formula, value: T, terms: Vec<Term>) -> Traced<T> {
    Traced { value, origin: Origin::Computed(Arc::new(Working { formula, terms })) }
}

/// Sum of named terms. An empty sum is zero.
pub fn sum<T: Measure>(parts: Vec<(Arc<str>, Traced<T>)>, unit: &'static Unit) -> Traced<T> {
    let total = parts.iter().map(|(_, part)| part.si()).sum();
    computed(&SUM, T::from_si(total), parts.into_iter().map(|(name, part)| part.term(name, unit)).collect())
}

/// The least of named terms, with all of them in the working; `None` when there are none.
pub fn least<T: Measure>(parts: Vec<(Arc<str>, Traced<T>)>, unit: &'static Unit) -> Option<Traced<T>> {
    let value = parts.iter().map(|(_, part)| part.si()).min_by(f64::total_cmp)?;
    Some(computed(
        &LEAST,
        T::from_si(value),
        parts.into_iter().map(|(name, part)| part.term(name, unit)).collect(),
    ))
}

/// The greatest of named terms; `None` when there are none.
pub fn greatest<T: Measure>(parts: Vec<(Arc<str>, Traced<T>)>, unit: &'static Unit) -> Option<Traced<T>> {
    let value = parts.iter().map(|(_, part)| part.si()).max_by(f64::total_cmp)?;
    Some(computed(
        &GREATEST,
        T::from_si(value),
        parts.into_iter().map(|(name, part)| part.term(name, unit)).collect(),
    ))
}

/// So many of the same thing.
pub fn product_of_count<T: Measure>(n: &Traced<Count>, each: &Traced<T>, unit: &'static Unit) -> Traced<T> {
    let value = T::from_si(n.si() * each.si());
    computed(&COUNT_PRODUCT, value, vec![n.term("n", &units::COUNT), each.term("each", unit)])
}

impl Working {
    /// Value of the printed text on the printed terms, in SI units (money in currency units).
    ///
    /// # Errors
    /// [`ExpressionError`] when the text does not evaluate, which a test holds never to happen.
    pub fn recompute(&self) -> Result<f64, ExpressionError> {
        let numbers = self.terms.iter().filter_map(|term| term.value.number());
        match self.formula.name {
            "sum" => return Ok(numbers.sum()),
            "least" => return Ok(numbers.fold(f64::INFINITY, f64::min)),
            "greatest" => return Ok(numbers.fold(f64::NEG_INFINITY, f64::max)),
            "product_of_count" => return Ok(numbers.product()),
            _ => {}
        }
        let look = |name: &str| {
            let term = self.terms.iter().find(|term| &*term.symbol == name)?;
            match &term.value {
                Value::Number { si, .. } => Some(term.unit.of_si(*si)),
                other => other.number(),
            }
        };
        let shown = crate::evaluate(self.formula.text, &look)?;
        let unit = self.formula.unit;
        let si = unit.to_si(shown);
        // A count is kept as a whole number.
        Ok(if unit.kind == Kind::Count { Count::from_si(si).si() } else { si })
    }
}

/// The gaps of facts together, for [`crate::formula!`]; at least one must be present.
#[doc(hidden)]
pub fn gaps_of<const N: usize>(gaps: [Option<&crate::Gap>; N]) -> crate::Gap {
    crate::fact::gaps(gaps).unwrap_or(crate::Gap { missing: Vec::new() })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::Current;

    #[test]
    fn the_least_keeps_all_candidates_in_its_working() {
        let a = Traced::stated(Current::from_si(30.0), "a");
        let b = Traced::stated(Current::from_si(25.0), "b");
        let least = least(vec![("a".into(), a), ("b".into(), b)], &units::AMPERE).unwrap();
        assert_eq!(least.si(), 25.0);
        let Origin::Computed(working) = &least.origin else { panic!() };
        assert_eq!(working.terms.len(), 2);
        assert_eq!(working.recompute().unwrap(), 25.0);
    }
}
