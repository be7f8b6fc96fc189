//! Fields as a person types them into a form: the text of the file without quotes and brackets, and back.
//!
//! Everything comes from the catalogue. What was typed is turned into a value of the file and read by the reader itself,
//! so that a form takes exactly what the file takes.

use crate::catalogue::{Field, Shape};
use crate::edit::{EditError, set};
use crate::problem::{Problem, What};
use crate::read::forms::{fitting_examples, wanted};
use crate::read::words::{listed, quote};
use toml::Value;

/// A value of the file as it is typed: `"120 ft"` becomes `120 ft`, a list its elements with commas.
pub fn typed(shape: &Shape, source: &str) -> String {
    let parsed = format!("x = {source}").parse::<toml::Table>().ok().and_then(|mut table| table.remove("x"));
    let Some(value) = parsed else { return source.to_string() };
    match (shape, &value) {
        (Shape::Range(_), Value::Array(ends)) if ends.len() == 2 => {
            format!("{} to {}", plain(&ends[0]), plain(&ends[1]))
        }
        (_, Value::Array(list)) if !list.iter().any(|v| v.is_table() || v.is_array()) => {
            list.iter().map(plain).collect::<Vec<_>>().join(", ")
        }
        (Shape::Curve, Value::Table(_)) => members(source, " = "),
        (Shape::DayHours, Value::Table(_)) | (Shape::Bearing, Value::Table(_)) => members(source, " "),
        (_, Value::Table(_) | Value::Array(_)) => source.to_string(),
        (_, value) => plain(value),
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// The members of a table in braces in their order, each key with its value.
fn members(source: &str, joint: &str) -> String {
    let inner = source.trim().trim_start_matches('{').trim_end_matches('}');
    let parts = inner.split(',').map(str::trim).filter(|part| !part.is_empty());
    let said = parts.map(|part| match part.split_once('=') {
        Some((key, value)) => format!("{}{joint}{}", bare(key), bare(value)),
        None => part.to_string(),
    });
    said.collect::<Vec<_>>().join(", ")
}

fn bare(text: &str) -> &str {
    text.trim().trim_matches('"')
}

/// What was typed as a value of the file. Blank is none: the field is then taken out.
pub fn written(shape: &Shape, typed: &str) -> Option<String> {
    let text = typed.trim();
    if text.is_empty() {
        return None;
    }
    if text.eq_ignore_ascii_case("unknown") {
        return Some("\"unknown\"".into());
    }
    let is_source = text.starts_with(['[', '{', '"']) && format!("x = {text}").parse::<toml::Table>().is_ok();
    if is_source {
        return Some(text.to_string());
    }
    let list = |quoted: bool| {
        let parts = text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty());
        let parts: Vec<String> =
            parts.map(|part| if quoted { quote(part) } else { part.to_string() }).collect();
        format!("[{}]", parts.join(", "))
    };
    let number = |text: &str| text.parse::<f64>().is_ok_and(f64::is_finite);
    Some(match shape {
        Shape::Count | Shape::Bare { .. } | Shape::Money => {
            let tidy = text.replace('−', "-");
            let tidy = tidy.strip_prefix('+').unwrap_or(&tidy).trim_start_matches('$').to_string();
            let thousands = tidy.replace([' ', '\u{202f}', '\u{a0}'], "");
            match (number(&thousands), thousands.starts_with('.')) {
                (true, true) => format!("0{thousands}"),
                (true, false) if thousands.ends_with('.') => format!("{thousands}0"),
                (true, false) => thousands,
                // In quotes, so that the reader itself says what is wrong with it.
                (false, _) => quote(text),
            }
        }
        Shape::Quantity(quantity::Kind::Number | quantity::Kind::Count) if number(text) => text.to_string(),
        Shape::Range(_) => {
            let ends = [" to ", "..", " – ", "–", ","].iter().find_map(|mark| text.split_once(mark));
            match ends {
                Some((low, high)) => format!("[{}, {}]", quote(low.trim()), quote(high.trim())),
                None => quote(text),
            }
        }
        Shape::Date => {
            let day = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
            let is_date = day && format!("x = {text}").parse::<toml::Table>().is_ok();
            if is_date { text.to_string() } else { quote(text) }
        }
        Shape::References(_) | Shape::Texts => list(true),
        Shape::Months { .. } => {
            let parts = text.split([',', ';', ' ']).map(str::trim).filter(|part| !part.is_empty());
            let parts: Vec<&str> = parts.collect();
            if parts.iter().all(|part| number(part)) {
                format!("[{}]", parts.join(", "))
            } else {
                quote(text)
            }
        }
        Shape::MonthSet if text.contains(',') => list(true),
        Shape::Curve => table(text, |part| part.split_once(['=', ':']), true).unwrap_or_else(|| quote(text)),
        Shape::DayHours if number(text) => text.to_string(),
        Shape::DayHours => {
            let hours = table(text, |part| part.split_once([' ', '=', ':']), false);
            hours.unwrap_or_else(|| quote(text))
        }
        Shape::Bearing if text.to_lowercase().starts_with("compass") => {
            compass(text).unwrap_or_else(|| quote(text))
        }
        _ => quote(text),
    })
}

/// "morning 0.2, evening 0.3" as `{ morning = 0.2, evening = 0.3 }`.
fn table(text: &str, part: impl Fn(&str) -> Option<(&str, &str)>, quoted: bool) -> Option<String> {
    let pieces = text.split([',', ';']).map(str::trim).filter(|piece| !piece.is_empty());
    let members: Option<Vec<String>> = pieces
        .map(|piece| {
            let (key, value) = part(piece)?;
            let (key, value) = (key.trim(), value.trim().trim_start_matches(['=', ':']).trim());
            let good = !key.is_empty() && (quoted || value.parse::<f64>().is_ok_and(f64::is_finite));
            let key = if quoted { quote(key) } else { key.to_lowercase() };
            let plain_key = quoted || key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
            let value = if quoted { quote(value) } else { value.to_string() };
            (good && plain_key).then(|| format!("{key} = {value}"))
        })
        .collect();
    members.filter(|members| !members.is_empty()).map(|members| format!("{{ {} }}", members.join(", ")))
}

/// "compass 163°, taken 2026-03-20, declination 12°".
fn compass(text: &str) -> Option<String> {
    let mut members = Vec::new();
    for piece in text.split(',').map(str::trim).filter(|piece| !piece.is_empty()) {
        let (key, value) = piece.split_once(' ')?;
        let value = value.trim();
        members.push(match key.to_lowercase().as_str() {
            "taken" => format!("taken = {}", written(&Shape::Date, value)?),
            key @ ("compass" | "declination") => format!("{key} = {}", quote(value)),
            _ => return None,
        });
    }
    Some(format!("{{ {} }}", members.join(", ")))
}

/// What may be typed, for the line under a field: "a length with its unit: 120 ft, 36 m".
pub fn accepted(field: &Field, currency: &str) -> String {
    let examples: Vec<String> =
        fitting_examples(field, currency).iter().map(|example| typed(&field.shape, example)).collect();
    let plain = |text: String| text.replace(" as text with its unit", " with its unit").replace('"', "");
    match &field.shape {
        Shape::Choice(words) => listed(words, "or"),
        Shape::YesNo => "yes or no".into(),
        Shape::Text => "words".into(),
        Shape::Texts => "words, with commas between".into(),
        Shape::Reference(_) | Shape::Record(_) | Shape::Records(_) => plain(wanted(&field.shape)),
        Shape::References(_) => "names, with commas between".into(),
        Shape::Range(kind) => {
            format!("two of {}, the lower first: {}", kind.in_words(), listed(&examples, "or"))
        }
        shape => format!("{}: {}", plain(wanted(shape)), listed(&examples, "or")),
    }
}

/// The problems a reader lists for a text that an edit has made and the text before has not, with those that only say
/// that something is still missing or does not yet agree left out.
pub fn new_problems<'p>(before: &[Problem], after: &'p [Problem]) -> Vec<&'p Problem> {
    let wrong = |problem: &&Problem| !matches!(problem.what, What::Missing | What::Contradiction);
    let known =
        |problem: &Problem| before.iter().any(|old| old.what == problem.what && old.says == problem.says);
    after.iter().filter(wrong).filter(|problem| !known(problem)).collect()
}

/// Sets the field at a path to what was typed; blank takes the field out.
///
/// # Errors
/// [`EditError`]; the text is then unchanged.
pub fn set_typed(
    text: &str,
    path: &str,
    field: &Field,
    typed: &str,
    tables: &[crate::catalogue::Table],
) -> Result<String, EditError> {
    match written(&field.shape, typed) {
        Some(value) => set(text, path, &value, tables),
        None if crate::edit::source(text, path).is_none() => Ok(text.to_string()),
        None => crate::edit::remove(text, path),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::TABLES;
    use quantity::Kind;

    fn leaves(fields: &'static [Field], each: &mut dyn FnMut(&'static Field)) {
        for field in fields {
            match &field.shape {
                Shape::Record(inner) | Shape::Records(inner) => leaves(inner, each),
                _ => each(field),
            }
        }
    }

    /// What a form shows for an example of the catalogue, sent back unchanged, means the very same value.
    #[test]
    fn every_example_of_the_catalogue_survives_the_form() {
        let mut tried = 0;
        for table in TABLES {
            leaves(table.fields, &mut |field| {
                for example in fitting_examples(field, "USD") {
                    let shown = typed(&field.shape, &example);
                    let back = written(&field.shape, &shown).expect("it is not blank");
                    let value = |source: &str| {
                        format!("x = {source}").parse::<toml::Table>().expect("a value of the file")
                    };
                    let same = value(&back) == value(&example)
                        // A list of months may be typed with commas either way.
                        || matches!(field.shape, Shape::MonthSet);
                    assert!(same, "{}: {example} is shown as {shown} and sent back as {back}", field.key);
                    tried += 1;
                }
            });
        }
        assert!(tried > 300, "{tried}");
    }

    #[test]
    fn people_write_values_in_their_own_way() {
        let check = |shape: Shape, typed: &str, expected: &str| {
            assert_eq!(written(&shape, typed).as_deref(), Some(expected), "{typed}");
        };
        check(Shape::Quantity(Kind::Length), " 120 ft ", "\"120 ft\"");
        check(Shape::Range(Kind::Voltage), "44 V to 58.4 V", "[\"44 V\", \"58.4 V\"]");
        check(Shape::Range(Kind::Voltage), "44 V – 58.4 V", "[\"44 V\", \"58.4 V\"]");
        check(Shape::Money, "$1 240.50", "1240.50");
        check(Shape::Count, "nine", "\"nine\"");
        check(Shape::Count, ".5", "0.5");
        check(Shape::DayHours, "morning 0.2, evening 0.3", "{ morning = 0.2, evening = 0.3 }");
        check(Shape::DayHours, "morning", "\"morning\"");
        check(Shape::Curve, "10 % = 89 %, 100 % = 91 %", "{ \"10 %\" = \"89 %\", \"100 %\" = \"91 %\" }");
        check(Shape::References(&["panel"]), "a, b c", "[\"a\", \"b c\"]");
        check(Shape::Bearing, "compass 163°, taken 2026-03-20", "{ compass = \"163°\", taken = 2026-03-20 }");
        check(Shape::Text, "say \"so\"", "'say \"so\"'");
        check(Shape::Text, "Unknown", "\"unknown\"");
        assert_eq!(written(&Shape::Text, "  "), None);
    }

    #[test]
    fn whatever_is_typed_is_one_value_of_the_file_or_refused() {
        let shapes = [
            Shape::Text,
            Shape::Count,
            Shape::Curve,
            Shape::DayHours,
            Shape::Texts,
            Shape::Date,
            Shape::Bearing,
        ];
        for shape in shapes {
            for typed in [
                "\"",
                "]",
                "a\nb = 1",
                "= 3",
                "\u{0}",
                "# x",
                "{",
                "x\" \ny = \"",
                "inf",
                "nan",
                "1e999",
                "🌞",
                ",",
                "compass",
            ] {
                if let Some(value) = written(&shape, typed) {
                    let table = format!("x = {value}").parse::<toml::Table>();
                    assert!(table.is_ok_and(|table| table.len() == 1), "{typed:?} became {value}");
                }
            }
        }
    }
}
