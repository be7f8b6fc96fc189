//! Reads what people write. The field decides the kind; the text must carry a unit of that kind.

use crate::unit::{of_kind, units};
use crate::{Kind, Money, Unit};
use std::fmt;
use std::ops::Range;

/// Why a text is no quantity of the wanted kind, with the place of the bad part.
#[derive(Clone, Debug, PartialEq)]
pub struct ParseError {
    /// Bytes of the text that are at fault.
    pub span: Range<usize>,
    /// What is wrong.
    pub problem: ParseProblem,
    /// The kind that was wanted.
    pub wanted: Kind,
}

/// What can be wrong with a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum ParseProblem {
    /// Nothing there.
    Empty,
    /// No number at the start.
    NotANumber,
    /// A number without a unit where one is needed.
    NoUnit,
    /// A unit of another kind, such as kilowatts where kilowatt-hours are wanted.
    OtherKind {
        /// The unit as written.
        unit: String,
        /// What that unit measures.
        is: Kind,
    },
    /// Not a unit known here.
    UnknownUnit(String),
    /// A comma inside the number, which could be a decimal or a thousands mark.
    Comma,
    /// Something follows the quantity.
    Trailing(String),
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let wanted = self.wanted.in_words();
        match &self.problem {
            ParseProblem::Empty => write!(f, "nothing is written here; {wanted} is wanted"),
            ParseProblem::NotANumber => write!(f, "this does not start with a number; {wanted} is wanted"),
            ParseProblem::NoUnit => write!(f, "{wanted} needs its unit"),
            ParseProblem::OtherKind { unit, is } => {
                write!(f, "{unit} is {}; {wanted} is wanted", is.in_words())
            }
            ParseProblem::UnknownUnit(unit) => write!(f, "\"{unit}\" is no unit of {}", wanted),
            ParseProblem::Comma => {
                write!(f, "a comma in a number can be read two ways; write a decimal point")
            }
            ParseProblem::Trailing(rest) => write!(f, "\"{rest}\" is left over after the quantity"),
        }
    }
}

impl std::error::Error for ParseError {}

/// The forms accepted for a kind, for messages and forms: `"120 ft", "36 m", …`.
pub fn accepted(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Voltage => &["48 V", "500 mV"],
        Kind::Current => &["13.9 A", "2.1 kA"],
        Kind::Power => &["430 W", "6.5 kW"],
        Kind::ApparentPower => &["7800 VA", "13 kVA"],
        Kind::Energy => &["5.12 kWh", "450 Wh"],
        Kind::Charge => &["100 Ah"],
        Kind::Length => &["120 ft", "12'6\"", "36 m", "22 in", "1134 mm"],
        Kind::Area => &["240 ft²", "22 m²", "95 mm²"],
        Kind::Mass => &["99 lb", "45 kg"],
        Kind::Resistance => &["0.4 mΩ", "12 ohm"],
        Kind::ResistancePerLength => &["1.24 Ω/kft", "0.21 Ω/km"],
        Kind::Temperature => &["-24 °F", "-31 °C"],
        Kind::Interval => &["30 K", "54 °F"],
        Kind::Time => &["2 h", "30 min", "5 s", "10 yr"],
        Kind::Angle => &["38°", "38 deg", "8:12"],
        Kind::TrueBearing => &["182°", "182 deg"],
        Kind::CompassBearing => &["170°", "170 deg"],
        Kind::Ratio => &["94 %"],
        Kind::PerKelvin => &["-0.27 %/K", "-0.29 %/°C"],
        Kind::VoltsPerKelvin => &["-116 mV/K", "-0.116 V/K"],
        Kind::AmperesPerKelvin => &["6.2 mA/K"],
        Kind::Irradiance => &["800 W/m²"],
        Kind::Irradiation => &["4.2 kWh/m²"],
        Kind::Speed => &["110 mph", "49 m/s"],
        Kind::Torque => &["5 N·m", "45 lb·in"],
        Kind::Count => &["9"],
        Kind::Number => &["0.6"],
        Kind::Money => &["1240", "1240.50"],
        Kind::MoneyPerLength => &["0.79 USD/ft", "2.60 EUR/m"],
        Kind::MoneyPerEnergy => &["0.18 USD/kWh"],
        Kind::MoneyPerVolume => &["4.20 USD/gal", "1.65 EUR/L"],
        Kind::Volume => &["50 gal", "190 L"],
        Kind::Flow => &["5 gal/min", "19 L/min"],
        Kind::HeatLoss => &["180 W/K", "340 Btu/h·°F"],
        Kind::EnergyPerLength => &["300 Wh/mi", "180 Wh/km"],
    }
}

/// Reads a quantity of `kind` to its SI value.
///
/// # Errors
/// [`ParseError`] with the span of the bad part.
pub fn parse(kind: Kind, text: &str) -> Result<f64, ParseError> {
    let fail = |span: Range<usize>, problem| Err(ParseError { span, problem, wanted: kind });
    if text.trim().is_empty() {
        return fail(0..text.len(), ParseProblem::Empty);
    }
    if kind == Kind::Angle
        && let Some(pitch) = rise_and_run(text)
    {
        return Ok(pitch);
    }
    let mut total = 0.0;
    let mut at = 0;
    let mut previous: Option<&Unit> = None;
    // A length may have several parts, such as 12'6".
    loop {
        let start = skip_space(text, at);
        let (value, end) = match number(text, start) {
            Ok(found) => found,
            Err(problem) => return fail(start..text.len(), problem),
        };
        let unit_start = skip_space(text, end);
        let unit_end = unit_start + unit_length(&text[unit_start..]);
        let unit = match find_unit(kind, text[unit_start..unit_end].trim()) {
            Ok(unit) => unit,
            Err(problem) => {
                let span = if unit_start == unit_end { start..end } else { unit_start..unit_end };
                return fail(span, problem);
            }
        };
        total =
            if value < 0.0 || total >= 0.0 { total + unit.to_si(value) } else { total - unit.to_si(value) };
        at = skip_space(text, unit_end);
        if at == text.len() {
            return Ok(total);
        }
        let smaller_follows =
            kind == Kind::Length && previous.is_none() && unit.factor > units::INCH_UNIT.factor;
        if !smaller_follows || number(text, at).is_err() {
            return fail(at..text.len(), ParseProblem::Trailing(text[at..].to_string()));
        }
        previous = Some(unit);
    }
}

/// Reads a compass or true bearing in degrees; same forms for both, the field decides which it is.
///
/// # Errors
/// [`ParseError`] when the text is no angle.
pub fn parse_compass(text: &str) -> Result<f64, ParseError> {
    parse(Kind::CompassBearing, text)
}

/// Reads an amount such as `1240`, `1240.50` or `1240 USD`.
///
/// # Errors
/// [`ParseError`] when it is no amount or carries another currency than `currency`.
pub fn parse_money(text: &str, currency: &str) -> Result<Money, ParseError> {
    let fail = |span, problem| ParseError { span, problem, wanted: Kind::Money };
    let start = skip_space(text, 0);
    let (value, end) = number(text, start).map_err(|problem| fail(start..text.len(), problem))?;
    let rest = text[end..].trim();
    if rest.is_empty() || rest == currency {
        Ok(Money::from_units(value))
    } else {
        Err(fail(end..text.len(), ParseProblem::Trailing(rest.to_string())))
    }
}

/// Reads a price such as `0.79 USD/ft`: money per SI unit of what is measured.
///
/// # Errors
/// [`ParseError`] when the currency or the unit after the stroke is not the wanted one.
pub fn parse_price(kind: Kind, text: &str, currency: &str) -> Result<f64, ParseError> {
    let fail = |span, problem| ParseError { span, problem, wanted: kind };
    let start = skip_space(text, 0);
    let (value, end) = number(text, start).map_err(|problem| fail(start..text.len(), problem))?;
    let rest = text[end..].trim();
    let Some(per) = rest.strip_prefix(currency) else {
        let problem =
            if rest.is_empty() { ParseProblem::NoUnit } else { ParseProblem::UnknownUnit(rest.to_string()) };
        return Err(fail(end..text.len(), problem));
    };
    let unit = find_unit(kind, per.trim()).map_err(|problem| fail(end..text.len(), problem))?;
    Ok(unit.to_si(value))
}

fn skip_space(text: &str, from: usize) -> usize {
    from + text[from..].find(|c: char| !c.is_whitespace()).unwrap_or(text.len() - from)
}

/// A number with sign, decimals, and for inches a fraction (`3 1/2`, `1/2`). Returns value and end.
fn number(text: &str, start: usize) -> Result<(f64, usize), ParseProblem> {
    let rest = &text[start..];
    let (sign, unsigned) = match rest.chars().next() {
        Some(c @ ('-' | '−' | '–')) => (-1.0, &rest[c.len_utf8()..]),
        Some('+') => (1.0, &rest[1..]),
        _ => (1.0, rest),
    };
    let digits_at = text.len() - unsigned.len();
    let end =
        unsigned.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '_')).unwrap_or(unsigned.len());
    if end == 0 {
        return Err(ParseProblem::NotANumber);
    }
    let after = &unsigned[end..];
    if after.starts_with(',') && after[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(ParseProblem::Comma);
    }
    let digits = unsigned[..end].replace('_', "");
    let whole: f64 = digits.parse().map_err(|_| ParseProblem::NotANumber)?;
    if !whole.is_finite() {
        return Err(ParseProblem::NotANumber);
    }
    // Scientific notation as machines write it.
    if let Some(exponent) = after.strip_prefix(['e', 'E']) {
        let signed = exponent.strip_prefix(['-', '+']).unwrap_or(exponent);
        let length = signed.find(|c: char| !c.is_ascii_digit()).unwrap_or(signed.len());
        if length > 0 {
            let total = end + 1 + (exponent.len() - signed.len()) + length;
            let value: f64 =
                unsigned[..total].replace('_', "").parse().map_err(|_| ParseProblem::NotANumber)?;
            return if value.is_finite() {
                Ok((sign * value, digits_at + total))
            } else {
                Err(ParseProblem::NotANumber)
            };
        }
    }
    if let Some((fraction, length)) = fraction_of(after, whole) {
        return Ok((sign * fraction, digits_at + end + length));
    }
    Ok((sign * whole, digits_at + end))
}

/// `1/2` straight after a numerator, or ` 1/2` after a whole number.
fn fraction_of(after: &str, first: f64) -> Option<(f64, usize)> {
    let digits = |s: &str| s.find(|c: char| !c.is_ascii_digit()).unwrap_or(s.len());
    if let Some(below) = after.strip_prefix('/') {
        let n = digits(below);
        let denominator: f64 = below[..n].parse().ok()?;
        return (denominator > 0.0).then(|| (first / denominator, 1 + n));
    }
    let spaced = after.strip_prefix([' ', '-'])?;
    let n = digits(spaced);
    let numerator: f64 = spaced[..n].parse().ok()?;
    let below = spaced[n..].strip_prefix('/')?;
    let m = digits(below);
    let denominator: f64 = below[..m].parse().ok()?;
    (denominator > 0.0).then(|| (first + numerator / denominator, 1 + n + 1 + m))
}

/// Bytes up to the next number or the end: the unit as written.
fn unit_length(rest: &str) -> usize {
    // "m2" and "m^2" end in a digit that belongs to the unit.
    let mut previous = ' ';
    for (i, c) in rest.char_indices() {
        let superscript = matches!(previous, 'm' | 't' | 'n' | '^') && (c == '2' || c == '^');
        if c.is_ascii_digit() && !superscript {
            return i;
        }
        if matches!(previous, '\'' | '′') && !c.is_whitespace() && !matches!(c, '\'' | '"') {
            return i;
        }
        previous = c;
    }
    rest.len()
}

fn find_unit(kind: Kind, written: &str) -> Result<&'static Unit, ParseProblem> {
    let squeezed: String = written.chars().filter(|c| !c.is_whitespace()).collect();
    if squeezed.is_empty() {
        return match kind {
            Kind::Count => Ok(&units::COUNT),
            Kind::Number => Ok(&units::NUMBER),
            Kind::Money => Ok(&units::COIN),
            _ => Err(ParseProblem::NoUnit),
        };
    }
    let exact = |unit: &Unit| unit.symbol == squeezed || unit.spellings.contains(&squeezed.as_str());
    if let Some(unit) = of_kind(kind).find(|unit| exact(unit)) {
        return Ok(unit);
    }
    // Loose spelling only where a single unit of the kind answers, so that mW and MW are never mixed up.
    let lower = squeezed.to_lowercase();
    let loose = |unit: &&Unit| {
        unit.symbol.to_lowercase() == lower || unit.spellings.iter().any(|s| s.to_lowercase() == lower)
    };
    let mut matching = of_kind(kind).filter(loose);
    if let (Some(unit), None) = (matching.next(), matching.next()) {
        return Ok(unit);
    }
    match units::ALL.iter().find(|unit| !unit.symbol.is_empty() && exact(unit)) {
        Some(unit) => Err(ParseProblem::OtherKind { unit: written.to_string(), is: unit.kind }),
        None => Err(ParseProblem::UnknownUnit(written.to_string())),
    }
}

/// Roof pitch as rise over run, `8:12` or `8/12`, to radians.
fn rise_and_run(text: &str) -> Option<f64> {
    let (rise, run) = text.trim().split_once([':', '/'])?;
    let rise: f64 = rise.trim().parse().ok()?;
    let run: f64 = run.trim().parse().ok()?;
    (rise.is_finite() && run.is_finite() && run > 0.0).then(|| (rise / run).atan())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn close(kind: Kind, text: &str, si: f64) {
        let read = parse(kind, text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((read - si).abs() <= 1e-9 * si.abs().max(1.0), "{text}: {read} instead of {si}");
    }

    #[test]
    fn what_people_write_is_read() {
        close(Kind::Length, "120 ft", 36.576);
        close(Kind::Length, "120ft", 36.576);
        close(Kind::Length, "12'6\"", 3.81);
        close(Kind::Length, "12' 6\"", 3.81);
        close(Kind::Length, "12 ft 6 in", 3.81);
        close(Kind::Length, "3 1/2 in", 0.0889);
        close(Kind::Length, "1/2 in", 0.0127);
        close(Kind::Length, "36 m", 36.0);
        close(Kind::Area, "95 mm²", 95e-6);
        close(Kind::Area, "95 mm2", 95e-6);
        close(Kind::Energy, "5.12 kWh", 18_432_000.0);
        close(Kind::PerKelvin, "-0.27 %/K", -0.0027);
        close(Kind::PerKelvin, "-0.29 %/°C", -0.0029);
        close(Kind::PerKelvin, "−0.29%/°C", -0.0029);
        close(Kind::VoltsPerKelvin, "-116 mV/K", -0.116);
        close(Kind::Angle, "8:12", (8.0f64 / 12.0).atan());
        close(Kind::Angle, "38°", 38f64.to_radians());
        close(Kind::Temperature, "-15 °F", 247.038_888_888_9);
        close(Kind::Temperature, "-31 °C", 242.15);
        close(Kind::Power, "2.4 kW", 2400.0);
        close(Kind::Power, "2.4 kw", 2400.0);
        close(Kind::Charge, "100 Ah", 360_000.0);
        close(Kind::Interval, "30 K", 30.0);
        close(Kind::Interval, "54 °F", 30.0);
        close(Kind::Time, "1e1 s", 10.0);
        assert!(
            (parse_price(Kind::MoneyPerLength, "0.79 USD/ft", "USD").unwrap() - 2.591_863_517).abs() < 1e-6
        );
        assert_eq!(parse_money("1240.50", "USD").unwrap(), Money::from_units(1240.5));
    }

    #[test]
    fn a_unit_of_another_kind_is_named_with_its_place() {
        let error = parse(Kind::Energy, "12 kW").unwrap_err();
        assert_eq!(error.span, 3..5);
        assert_eq!(error.problem, ParseProblem::OtherKind { unit: "kW".into(), is: Kind::Power });
        let error = parse(Kind::Power, "6500 VA").unwrap_err();
        assert!(matches!(error.problem, ParseProblem::OtherKind { is: Kind::ApparentPower, .. }));
    }

    #[test]
    fn a_missing_unit_is_never_guessed() {
        assert_eq!(parse(Kind::Length, "120").unwrap_err().problem, ParseProblem::NoUnit);
        assert_eq!(parse(Kind::Temperature, "-24").unwrap_err().problem, ParseProblem::NoUnit);
    }

    #[test]
    fn ambiguous_and_broken_texts_are_refused() {
        assert_eq!(parse(Kind::Power, "1,200 W").unwrap_err().problem, ParseProblem::Comma);
        assert!(parse(Kind::Power, "").is_err());
        assert!(parse(Kind::Power, "W").is_err());
        assert!(parse(Kind::Power, "12 W 3").is_err());
        assert!(parse(Kind::Length, "12 ft 6 in 3 in").is_err());
        assert!(parse(Kind::Power, "1e999 W").is_err());
        assert!(parse(Kind::Length, "3 furlong").is_err());
        assert!(parse_price(Kind::MoneyPerLength, "0.79 EUR/ft", "USD").is_err());
    }

    #[test]
    fn no_text_panics() {
        for text in [
            "'", "\"", "°", "−", "1/", "1/0 in", "1 1/0 in", "-", "9'", "½", "1e", "1e-", "8:", ":12",
            "12'é", "\u{0}",
        ] {
            for unit in units::ALL {
                let _ = parse(unit.kind, text);
            }
        }
    }

    #[test]
    fn every_accepted_form_shown_to_people_is_read() {
        for unit in units::ALL {
            for text in accepted(unit.kind) {
                match unit.kind {
                    Kind::MoneyPerLength | Kind::MoneyPerEnergy | Kind::MoneyPerVolume => {
                        let currency = if text.contains("EUR") { "EUR" } else { "USD" };
                        assert!(parse_price(unit.kind, text, currency).is_ok(), "{text}");
                    }
                    kind => assert!(parse(kind, text).is_ok(), "{text}: {:?}", parse(kind, text)),
                }
            }
        }
    }
}
