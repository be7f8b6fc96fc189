//! A formula is declared once: the bare function on numbers, its symbols with units, its text as published and
//! its clause. The traced form is derived from the declaration, so loops and explanations cannot differ.

use crate::{Clause, Unit};

/// A declared formula.
#[derive(Debug)]
pub struct Formula {
    /// Name of the bare function.
    pub name: &'static str,
    /// The right-hand side as published, in the symbols below; readable by [`crate::evaluate`].
    pub text: &'static str,
    /// The symbols in order; empty for variadic formulas.
    pub symbols: &'static [Symbol],
    /// Unit of the result.
    pub unit: &'static Unit,
    /// Source.
    pub clause: Clause,
}

impl PartialEq for Formula {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name && self.text == other.text
    }
}

/// One symbol of a formula.
#[derive(Debug, PartialEq)]
pub struct Symbol {
    /// As it stands in the text.
    pub name: &'static str,
    /// What it means, in a few words.
    pub means: &'static str,
    /// Unit in which the formula takes it.
    pub unit: &'static Unit,
}

/// Declares the explained twin of a bare function.
///
/// ```
/// use quantity::{Count, Measure, PerKelvin, Standing, Temperature, Traced, Voltage, formula, nec, units};
///
/// /// Highest open-circuit voltage of a string.
/// pub fn cold_open_circuit(n: f64, voc: f64, beta: f64, t: f64) -> f64 {
///     n * voc * (1.0 + beta * (t - 25.0))
/// }
///
/// formula! {
///     /// Explained twin of [`cold_open_circuit`].
///     pub ColdOpenCircuit = cold_open_circuit(
///         n: Count as COUNT = "modules in series",
///         voc: Voltage as VOLT = "label open-circuit voltage",
///         beta: PerKelvin as PER_KELVIN = "its change per kelvin",
///         t: Temperature as CELSIUS = "lowest expected temperature",
///     ) -> Voltage as VOLT,
///     text: "n · voc · (1 + beta · (t − 25))",
///     clause: nec("2023", "690.7(A)(1)", Standing::Remembered),
/// }
///
/// let n = Traced::stated(Count(10), "string.a.count");
/// let voc = Traced::stated(Voltage::from_si(49.5), "module.m.voc");
/// let beta = Traced::stated(PerKelvin(-0.0027), "module.m.voc_per_kelvin");
/// let t = Traced::stated(Temperature::from_si(245.15), "place.coldest");
/// let v = ColdOpenCircuit::of(&n, &voc, &beta, &t);
/// assert!((v.value.si() - 565.8).abs() < 0.1);
/// # let _ = units::VOLT.symbol;
/// ```
#[macro_export]
macro_rules! formula {
    (
        $(#[$doc:meta])*
        $vis:vis $Name:ident = $bare:ident (
            $($symbol:ident : $type:ty as $unit:ident = $means:literal),+ $(,)?
        ) -> $result:ty as $result_unit:ident,
        text: $text:literal,
        clause: $clause:expr $(,)?
    ) => {
        $(#[$doc])*
        $vis struct $Name;

        impl $Name {
            /// Symbols, text, unit and clause.
            $vis const FORMULA: &'static $crate::Formula = &$crate::Formula {
                name: stringify!($bare),
                text: $text,
                symbols: &[$($crate::Symbol {
                    name: stringify!($symbol), means: $means, unit: &$crate::units::$unit,
                }),+],
                unit: &$crate::units::$result_unit,
                clause: $clause,
            };

            /// The traced result of traced terms.
            #[allow(dead_code, clippy::too_many_arguments)]
            $vis fn of($($symbol: &$crate::Traced<$type>),+) -> $crate::Traced<$result> {
                let bare = $bare($($crate::units::$unit.of_si($crate::Measure::si($symbol.value))),+);
                let value = <$result as $crate::Measure>::from_si($crate::units::$result_unit.to_si(bare));
                let terms = vec![$($symbol.term(stringify!($symbol), &$crate::units::$unit)),+];
                $crate::Traced {
                    value,
                    origin: $crate::Origin::Computed(::std::sync::Arc::new($crate::Working {
                        formula: Self::FORMULA,
                        terms,
                    })),
                }
            }

            /// As `of`, unknown when any term is.
            #[allow(dead_code, clippy::too_many_arguments)]
            $vis fn of_facts($($symbol: &$crate::Fact<$type>),+) -> $crate::Fact<$result> {
                match ($($symbol),+,) {
                    ($($crate::Fact::Known($symbol)),+,) => $crate::Fact::Known(Self::of($($symbol),+)),
                    _ => $crate::Fact::Unknown($crate::gaps_of([$($symbol.gap()),+])),
                }
            }
        }
    };
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::{
        Count, Fact, Measure, Origin, PerKelvin, Standing, Temperature, Traced, Voltage, WhoKnows, nec,
    };

    fn cold_open_circuit(n: f64, voc: f64, beta: f64, t: f64) -> f64 {
        n * voc * (1.0 + beta * (t - 25.0))
    }

    formula! {
        /// Explained twin.
        ColdOpenCircuit = cold_open_circuit(
            n: Count as COUNT = "modules in series",
            voc: Voltage as VOLT = "label open-circuit voltage",
            beta: PerKelvin as PER_KELVIN = "change per kelvin",
            t: Temperature as CELSIUS = "lowest temperature",
        ) -> Voltage as VOLT,
        text: "n · voc · (1 + beta · (t − 25))",
        clause: nec("2023", "690.7(A)(1)", Standing::Remembered),
    }

    /// Acceptance story S1, hand calculation: 49.5 V · 1.1431 = 56.58 V a module, 565.8 V for ten.
    #[test]
    fn the_explained_twin_computes_what_it_prints() {
        let n = Traced::stated(Count(10), "string.a.count");
        let voc = Traced::stated(Voltage::from_si(49.5), "module.m.voc");
        let beta = Traced::stated(PerKelvin(-0.0027), "module.m.voc_per_kelvin");
        let t = Traced::stated(Temperature::from_si(245.15), "place.coldest");
        let v = ColdOpenCircuit::of(&n, &voc, &beta, &t);
        assert!((v.si() - 565.83).abs() < 0.01);
        let Origin::Computed(working) = &v.origin else { panic!("no working") };
        assert!((working.recompute().unwrap() - v.si()).abs() < 1e-9);
        assert_eq!(v.origin.fields().len(), 4);
        assert_eq!(v.origin.standing(), Standing::Remembered);
    }

    #[test]
    fn one_unknown_term_makes_the_result_unknown_and_names_it() {
        let n = Fact::Known(Traced::stated(Count(10), "string.a.count"));
        let voc = Fact::unknown("module.m.voc", WhoKnows::DataSheet);
        let beta = Fact::unknown("module.m.voc_per_kelvin", WhoKnows::DataSheet);
        let t = Fact::Known(Traced::stated(Temperature::from_si(245.15), "place.coldest"));
        let v = ColdOpenCircuit::of_facts(&n, &voc, &beta, &t);
        assert_eq!(v.gap().unwrap().missing.len(), 2);
    }
}
