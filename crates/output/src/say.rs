//! Words and numbers as the owner reads them.

use crate::book::Span;
use crate::table::{Cell, Tone};
use quantity::{Currency, Fact, FigureName, Gap, Gauge, Kind, Measure, Money, Traced, Units, Value, print};

/// How an owner wants to read: units and currency.
#[derive(Clone, Copy, Debug)]
pub struct Reader {
    /// Units.
    pub units: Units,
    /// Currency.
    pub currency: Currency,
}

/// What stands in place of a number that is not known.
pub const NOT_KNOWN: &str = "not known";

impl Reader {
    /// The reader of a study.
    pub fn of(study: &study::Study) -> Self {
        Reader { units: study.design.system.units, currency: study.design.system.currency }
    }

    /// A value with its unit.
    pub fn value(&self, value: &Value) -> String {
        match value {
            Value::Number { si, kind: Kind::Money } => Money::from_units(*si).show(self.currency),
            Value::Number { si, kind } => print(*si, *kind, self.units),
            Value::Gauge(gauge) => gauge.to_string(),
            Value::Material(material) => material.in_words().to_string(),
            Value::Money(money) => money.show(self.currency),
            Value::Text(text) => text.to_string(),
        }
    }

    /// A quantity with its unit.
    pub fn measure<T: Measure>(&self, value: T) -> String {
        if T::KIND == Kind::Money {
            return Money::from_units(value.si()).show(self.currency);
        }
        print(value.si(), T::KIND, self.units)
    }

    /// A fact, or that it is not known.
    pub fn fact<T: Measure>(&self, fact: &Fact<T>) -> String {
        fact.value().map_or_else(|| NOT_KNOWN.to_string(), |value| self.measure(*value))
    }

    /// A cell that shows a fact and links to its figure.
    pub fn cell<T: Measure>(&self, fact: &Fact<T>, figure: &[&str]) -> Cell {
        match fact {
            Fact::Known(traced) => self.known(traced, figure),
            Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
        }
    }

    /// A cell that shows a known value and links to its figure.
    pub fn known<T: Measure>(&self, traced: &Traced<T>, figure: &[&str]) -> Cell {
        Cell { text: self.measure(traced.value), figure: Some(FigureName::new(figure)), tone: Tone::Plain }
    }

    /// A cell that shows a bare number in a unit said in the head.
    pub fn number<T: Measure>(
        &self,
        traced: &Traced<T>,
        unit: &quantity::Unit,
        decimals: usize,
        figure: &[&str],
    ) -> Cell {
        let text = fixed(unit.of_si(traced.si()), decimals);
        Cell { text, figure: Some(FigureName::new(figure)), tone: Tone::Plain }
    }

    /// A cell with a conductor size.
    pub fn gauge(&self, fact: &Fact<Gauge>, figure: &[&str]) -> Cell {
        match fact {
            Fact::Known(gauge) => Cell {
                text: gauge.value.to_string(),
                figure: Some(FigureName::new(figure)),
                tone: Tone::Plain,
            },
            Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
        }
    }

    /// A run of text that shows a known value.
    pub fn span<T: Measure>(&self, traced: &Traced<T>, figure: &[&str]) -> Span {
        Span::figure(self.measure(traced.value), FigureName::new(figure))
    }
}

/// A plain cell.
pub fn words(text: impl Into<String>) -> Cell {
    Cell { text: text.into(), figure: None, tone: Tone::Plain }
}

/// The same words with a capital letter, as a sentence begins, and without a full stop at the end.
pub fn begun(text: &str) -> String {
    let mut letters = text.trim_end_matches('.').chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A number with so many decimals, thousands grouped, a true minus sign.
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_string();
    }
    let text = format!("{:.*}", decimals, value.abs());
    let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
    let mut grouped = String::new();
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(c);
    }
    let zero = text.chars().all(|c| c == '0' || c == '.');
    let sign = if value < 0.0 && !zero { "−" } else { "" };
    if rest.is_empty() { format!("{sign}{grouped}") } else { format!("{sign}{grouped}.{rest}") }
}

/// "the short-circuit current of …, ask the maker" for each missing fact of a gap.
pub fn missing(gap: &Gap) -> Vec<String> {
    gap.missing.iter().map(|m| format!("{} (ask {})", m.field, m.ask.in_words())).collect()
}

/// Several things as a person lists them: "a, b and c".
pub fn listed(things: &[String]) -> String {
    match things {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A day of the nominal year as "21 December".
pub fn day(day_of_year: usize) -> String {
    let mut left = day_of_year % 365;
    for (month, days) in quantity::MONTHS.iter().zip(sun::MONTH_DAYS) {
        if left < days {
            return format!("{} {month}", left + 1);
        }
        left -= days;
    }
    String::new()
}

/// "1 danger", "2 dangers".
pub fn plural(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}
