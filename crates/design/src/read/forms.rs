//! What may be written for a shape, in words and as examples; reader, guide and schema say the same.

use super::words::{listed, quote, quoted};
use crate::catalogue::{Field, Shape};
use quantity::{Kind, accepted, parse, significant};

/// What is wanted, in words: "a voltage with its unit".
pub(crate) fn wanted(shape: &Shape) -> String {
    match shape {
        Shape::Quantity(Kind::Count | Kind::Number | Kind::Money) | Shape::Count => {
            if matches!(shape, Shape::Quantity(Kind::Number)) {
                "a bare number"
            } else {
                "a bare whole number"
            }
            .into()
        }
        Shape::Quantity(kind) | Shape::Price(kind) => {
            format!("{} as text with its unit", kind.in_words())
        }
        Shape::OneOf(kinds) => format!("{} as text with its unit", kinds_in_words(kinds)),
        Shape::Range(kind) => {
            format!("a list of two, each {} with its unit, the lower first", kind.in_words())
        }
        Shape::Bare { .. } => "a bare number".into(),
        Shape::Money => "an amount of money as a bare number".into(),
        Shape::Text => "a text".into(),
        Shape::YesNo => "\"yes\" or \"no\"".into(),
        Shape::Choice(words) => format!("one of {}", listed(&quoted(words), "or")),
        Shape::Date => "a date or a month".into(),
        Shape::Gauge => "a conductor size".into(),
        Shape::Bearing => "a true bearing, or a record of a compass bearing".into(),
        Shape::Reference(tables) => format!("the name of a {}", listed(tables, "or")),
        Shape::References(tables) => format!("a list of names, each of a {}", listed(tables, "or")),
        Shape::Months { .. } => "a list of twelve bare numbers, January first".into(),
        Shape::MonthSet => "months".into(),
        Shape::Curve => "a table of shares against shares".into(),
        Shape::DayHours => "hours a day, as a bare number or by part of the day".into(),
        Shape::Record(_) => "a table".into(),
        Shape::Records(_) => "a list of tables".into(),
        Shape::Texts => "a list of texts".into(),
    }
}

/// Several kinds, joined: "a relative change per kelvin or volts per kelvin".
pub(crate) fn kinds_in_words(kinds: &[Kind]) -> String {
    let words: Vec<&str> = kinds.iter().map(|kind| kind.in_words()).collect();
    listed(&words, "or")
}

/// Examples as they stand in a file, after the equals sign. Every one is read by the reader.
pub(crate) fn examples(shape: &Shape, currency: &str) -> Vec<String> {
    let fixed = |texts: &[&str]| texts.iter().map(ToString::to_string).collect();
    match shape {
        Shape::Quantity(kind) => of_kind(*kind, currency),
        Shape::Price(kind) => of_kind(*kind, currency),
        Shape::OneOf(kinds) => kinds.iter().flat_map(|kind| of_kind(*kind, currency)).collect(),
        Shape::Range(kind) => range_of(*kind).into_iter().collect(),
        Shape::Count => fixed(&["9"]),
        Shape::Bare { kind, factor } => {
            let si = accepted(*kind).first().and_then(|text| parse(*kind, text).ok());
            si.map(|si| significant(si / factor, 4).replace(',', "").replace('−', "-")).into_iter().collect()
        }
        Shape::Money => fixed(&["1240", "1240.50"]),
        Shape::Text => fixed(&["\"…\""]),
        Shape::YesNo => fixed(&["\"yes\"", "\"no\""]),
        Shape::Choice(words) => quoted(words),
        Shape::Date => fixed(&["2026-05-02", "\"2026-08\""]),
        Shape::Gauge => fixed(&["\"10 AWG\"", "\"4/0 AWG\"", "\"250 kcmil\"", "\"95 mm²\""]),
        Shape::Bearing => fixed(&[
            "\"182°\"",
            "\"7° east of south\"",
            "{ compass = \"170°\", taken = 2026-03-20, declination = \"12°\" }",
        ]),
        Shape::Reference(_) => fixed(&["\"NAME\""]),
        Shape::References(_) => fixed(&["[\"NAME\", \"NAME\"]"]),
        Shape::Months { .. } => fixed(&["[590, 527, 483, 414, 383, 424, 500, 489, 401, 390, 478, 582]"]),
        Shape::MonthSet => fixed(&["\"Nov..Apr\"", "[\"Jan\", \"Feb\"]"]),
        Shape::Curve => fixed(&["{ \"10 %\" = \"89 %\", \"100 %\" = \"91 %\" }"]),
        Shape::DayHours => fixed(&["0.9", "{ morning = 0.2, midday = 0, evening = 0.3, night = 0 }"]),
        Shape::Record(_) => fixed(&["{ … }"]),
        Shape::Records(_) => fixed(&["[{ … }]"]),
        Shape::Texts => fixed(&["[\"…\", \"…\"]"]),
    }
}

/// The examples that also lie in the sensible range of the field; all of them where none does.
pub(crate) fn fitting_examples(field: &Field, currency: &str) -> Vec<String> {
    let all = examples(&field.shape, currency);
    let (Shape::Quantity(kind), Some((low, high))) = (&field.shape, field.within) else { return all };
    let fits = |form: &str| parse(*kind, form).is_ok_and(|si| (low..=high).contains(&si));
    let fitting: Vec<String> = accepted(*kind)
        .iter()
        .zip(&all)
        .filter(|(form, _)| fits(form))
        .map(|(_, example)| example.clone())
        .collect();
    if fitting.is_empty() { all } else { fitting }
}

/// "Write it like …", for help; empty where there is nothing to show.
pub(crate) fn how(field: &Field, currency: &str) -> String {
    match &field.shape {
        Shape::Record(fields) | Shape::Records(fields) => {
            let keys: Vec<&str> = fields.iter().map(|field| field.key).collect();
            format!("Its fields: {}.", listed(&keys, "and"))
        }
        Shape::Text => "Write a text in quotes.".into(),
        _ => format!("Write it like {}.", listed(&fitting_examples(field, currency), "or")),
    }
}

fn of_kind(kind: Kind, currency: &str) -> Vec<String> {
    let forms = accepted(kind).iter();
    match kind {
        Kind::Count | Kind::Number | Kind::Money => forms.map(ToString::to_string).collect(),
        Kind::MoneyPerLength | Kind::MoneyPerEnergy | Kind::MoneyPerVolume => {
            forms.map(|form| quote(&form.replace("USD", currency).replace("EUR", currency))).collect()
        }
        _ => forms.map(|form| quote(form)).collect(),
    }
}

/// A lower and an upper value in the same unit.
fn range_of(kind: Kind) -> Option<String> {
    let low = if kind == Kind::Ratio { "49 %" } else { accepted(kind).first()? };
    let number = low.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(low.len());
    let value: f64 = low[..number].parse().ok()?;
    // Twice a positive number is larger, half of a negative one too.
    let high = if value > 0.0 { value * 2.0 } else { value / 2.0 };
    Some(format!("[{}, {}]", quote(low), quote(&format!("{high}{}", &low[number..]))))
}
