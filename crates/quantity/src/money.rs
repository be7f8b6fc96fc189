//! Money, exact in one currency.

use std::fmt;

/// Currency by its ISO 4217 code, such as `USD`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Reads a three-letter code; upper case is expected.
    ///
    /// # Errors
    /// [`MoneyError::Currency`] when the text is not three capital letters.
    pub fn read(text: &str) -> Result<Self, MoneyError> {
        match text.as_bytes() {
            &[a, b, c] if [a, b, c].iter().all(u8::is_ascii_uppercase) => Ok(Self([a, b, c])),
            _ => Err(MoneyError::Currency),
        }
    }

    /// The code.
    pub fn code(&self) -> &str {
        // Only ASCII capitals get in, see `read`.
        std::str::from_utf8(&self.0).unwrap_or("???")
    }

    /// The sign people put before an amount, or the code where there is no common one.
    pub fn sign(&self) -> String {
        match self.code() {
            "USD" | "AUD" | "NZD" | "CAD" => "$".to_string(),
            "EUR" => "€".to_string(),
            "GBP" => "£".to_string(),
            code => format!("{code} "),
        }
    }
}

/// Why an amount cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MoneyError {
    /// Not a currency code.
    Currency,
    /// Not an amount with at most four decimals.
    Amount,
}

/// An amount in ten-thousandths of the currency unit, so that prices per foot stay exact and sums have no order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(pub i64);

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(0);

    /// From currency units, rounded to the nearest ten-thousandth; out-of-range values saturate.
    pub fn from_units(units: f64) -> Self {
        Money((units * 1e4).round() as i64)
    }

    /// In currency units.
    pub fn units(self) -> f64 {
        self.0 as f64 / 1e4
    }

    /// Price times a quantity, rounded once to whole hundredths as a till does.
    pub fn times(self, quantity: f64) -> Self {
        let hundredths = (self.0 as f64 / 100.0 * quantity).round();
        Money((hundredths as i64).saturating_mul(100))
    }

    /// As text with thousands separators; hundredths only where there are any.
    pub fn show(self, currency: Currency) -> String {
        let hundredths = (self.0 as f64 / 100.0).round() as i64;
        let whole = grouped(hundredths.unsigned_abs() / 100);
        let rest = hundredths.unsigned_abs() % 100;
        let minus = if hundredths < 0 { "−" } else { "" };
        let sign = currency.sign();
        if rest == 0 { format!("{minus}{sign}{whole}") } else { format!("{minus}{sign}{whole}.{rest:02}") }
    }
}

/// Whole number with comma groups.
pub(crate) fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

impl std::ops::Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Money>>(iter: I) -> Money {
        iter.fold(Money::ZERO, |a, b| a + b)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2}", self.units())
    }
}

impl crate::Measure for Money {
    const KIND: crate::Kind = crate::Kind::Money;
    /// Currency units.
    fn si(self) -> f64 {
        self.units()
    }
    fn from_si(units: f64) -> Self {
        Money::from_units(units)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_exact_where_binary_fractions_are_not() {
        let dime = Money::from_units(0.10);
        let total: Money = std::iter::repeat_n(dime, 1000).sum();
        assert_eq!(total, Money::from_units(100.0));
        assert_eq!(Money::from_units(0.79).times(1080.0), Money::from_units(853.20));
    }

    #[test]
    fn amounts_are_shown_with_groups() {
        let usd = Currency::read("USD").unwrap();
        assert_eq!(Money::from_units(24_310.0).show(usd), "$24,310");
        assert_eq!(Money::from_units(1_234_567.5).show(usd), "$1,234,567.50");
        assert_eq!(Money::from_units(-3.0).show(Currency::read("CHF").unwrap()), "−CHF 3");
    }

    #[test]
    fn a_currency_is_three_capitals() {
        assert!(Currency::read("usd").is_err());
        assert!(Currency::read("US").is_err());
    }
}
