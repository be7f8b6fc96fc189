//! One value of the file as the shape of its field wants it.

use super::forms::{how, kinds_in_words, wanted};
use super::interpret::Reader;
use super::tree::{Node, Value};
use super::words::{brief, listed, nearest, quote, quoted};
use super::{Given, Mend, Span, What, inside, times};
use crate::catalogue::{Field, Shape};
use crate::problem::{Label, Problem};
use quantity::{
    Gauge, Kind, Money, ParseError, ParseProblem, Unit, parse, parse_money, parse_price, print, print_in,
    significant, units,
};
use std::sync::Arc;

/// A field with its value, as the reader comes to it.
pub(super) struct Spot<'a> {
    pub(super) field: &'static Field,
    /// What messages call it: `voc`, `size.length`.
    pub(super) called: &'a str,
    pub(super) key_span: &'a Span,
    pub(super) node: &'a Node,
}

impl Reader<'_> {
    /// The value as given, or `None` with its problem listed.
    pub(super) fn given(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let node = spot.node;
        match (&spot.field.shape, &node.value) {
            (_, Value::Broken) => None,
            (_, Value::Text(text)) if text.trim().eq_ignore_ascii_case("unknown") => Some(Given::Unknown),
            (Shape::Quantity(kind), _) => self.quantity(spot, node, &[*kind]),
            (Shape::OneOf(kinds), _) => self.quantity(spot, node, kinds),
            (Shape::Range(kind), Value::List(list)) if list.len() == 2 => self.range(spot, *kind, list),
            (Shape::Count, _) => self.count(spot),
            (Shape::Bare { kind, factor }, _) => {
                let si = self.bare(spot, node, *kind, *factor)?;
                Some(Given::Quantity { si, kind: *kind })
            }
            (Shape::Money, _) => self.money(spot),
            (Shape::Price(kind), Value::Text(text)) => self.price(spot, *kind, text),
            (Shape::Price(kind), Value::Integer(_) | Value::Float(_)) => {
                self.lacks_unit(spot, node, kind.in_words())
            }
            (Shape::Text, Value::Text(text)) => Some(Given::Text(text.as_str().into())),
            (Shape::YesNo, Value::Bool(yes)) => Some(Given::YesNo(*yes)),
            (Shape::YesNo, Value::Text(text)) => match text.trim().to_lowercase().as_str() {
                "yes" => Some(Given::YesNo(true)),
                "no" => Some(Given::YesNo(false)),
                _ => self.wrong_shape(spot, node, None),
            },
            (Shape::Choice(words), Value::Text(text)) => self.choice(spot, words, text),
            // `volts = 120` says the word "120".
            (Shape::Choice(words), Value::Integer(Some(number))) => {
                match words.iter().find(|word| word.parse() == Ok(*number)) {
                    Some(word) => Some(Given::Choice(word)),
                    None => self.wrong_shape(spot, node, None),
                }
            }
            (Shape::Date, Value::Date(_) | Value::Text(_)) => match date(node) {
                Some((year, month, day)) => Some(Given::Date(year, month, day)),
                None => self.wrong_shape(spot, node, None),
            },
            (Shape::Gauge, Value::Text(text)) => match Gauge::read(text) {
                Ok(gauge) => Some(Given::Gauge(gauge)),
                Err(_) => {
                    let says = format!("{}: {} is no conductor size", spot.called, quote(&brief(text)));
                    self.problem(spot, What::WrongUnit, says, &node.span, "no such size is made", None)
                }
            },
            (Shape::Bearing, _) => self.bearing(spot),
            (Shape::Reference(_), Value::Text(text)) => Some(Given::Reference(text.trim().into())),
            (Shape::References(_), Value::List(list)) => {
                let names =
                    list.iter().map(|node| self.text_of(spot, node).map(|name| (name, node.span.clone())));
                all(names.collect()).map(Given::References)
            }
            (Shape::Texts, Value::List(list)) => {
                let texts = list.iter().map(|node| self.text_of(spot, node)).collect();
                all(texts).map(Given::Texts)
            }
            (Shape::References(_) | Shape::Texts, Value::Text(text)) => {
                let mend = Mend { span: node.span.clone(), with: format!("[{}]", quote(text)) };
                self.wrong_shape(spot, node, Some(mend))
            }
            (Shape::Months { kind, factor }, Value::List(list)) => self.months(spot, list, *kind, *factor),
            (Shape::MonthSet, Value::Text(_) | Value::List(_)) => match month_set(node) {
                Some(set) => Some(Given::MonthSet(set)),
                None => self.wrong_shape(spot, node, None),
            },
            (Shape::Curve, Value::Table(_)) => self.curve(spot),
            (Shape::DayHours, _) => self.day_hours(spot),
            (Shape::Record(fields), Value::Table(table)) => {
                Some(Given::Record(self.entries(fields, table, spot.called, spot.key_span)))
            }
            (Shape::Records(fields), Value::List(list) | Value::Tables(list)) => {
                self.records(spot, fields, list)
            }
            (Shape::Records(_), Value::Table(_)) if self.source(node).starts_with('{') => {
                let mend = Mend { span: node.span.clone(), with: format!("[{}]", self.source(node)) };
                self.wrong_shape(spot, node, Some(mend))
            }
            _ => self.wrong_shape(spot, node, None),
        }
    }

    pub(super) fn quantity(&mut self, spot: &Spot<'_>, node: &Node, kinds: &[Kind]) -> Option<Given> {
        let kind = *kinds.first()?;
        let (si, kind, unit) = match &node.value {
            Value::Text(text) => {
                let read = kinds.iter().find_map(|kind| parse(*kind, text).ok().map(|si| (si, *kind)));
                match read {
                    Some((si, kind)) => (si, kind, unit_as_written(kind, text)),
                    None => {
                        // The kind whose error lies farthest in the text came nearest to understanding it.
                        let errors = kinds.iter().filter_map(|kind| parse(*kind, text).err());
                        let error =
                            errors.max_by_key(|error| (error.span.start, usize::MAX - error.span.end))?;
                        return self.misread(spot, node, &error, &kinds_in_words(kinds));
                    }
                }
            }
            Value::Integer(_) | Value::Float(_) if matches!(kind, Kind::Count | Kind::Number) => {
                (self.number(spot, node)?, kind, None)
            }
            Value::Integer(_) | Value::Float(_) => {
                return self.lacks_unit(spot, node, &kinds_in_words(kinds));
            }
            Value::Broken => return None,
            _ => return self.wrong_shape(spot, node, None),
        };
        let system = self.units;
        let shown = |si: f64| match unit {
            Some(unit) => print_in(si, unit),
            None => print(si, kind, system),
        };
        self.within(spot, si, &node.span, &shown)?;
        Some(Given::Quantity { si, kind })
    }

    fn range(&mut self, spot: &Spot<'_>, kind: Kind, list: &[Node]) -> Option<Given> {
        let ends: Vec<Option<f64>> = list
            .iter()
            .map(|node| match self.quantity(spot, node, &[kind])? {
                Given::Quantity { si, .. } => Some(si),
                _ => None,
            })
            .collect();
        let [Some(low), Some(high)] = ends[..] else {
            return None;
        };
        if low <= high {
            return Some(Given::Range([low, high]));
        }
        self.problems.push(Problem {
            what: What::Contradiction,
            says: format!("{} is upside down: its lower end lies above its upper end", spot.called),
            help: "Write the lower value first.".into(),
            labels: vec![
                Label { span: list[0].span.clone(), says: "the lower end".into() },
                Label { span: list[1].span.clone(), says: "the upper end".into() },
            ],
            mend: None,
        });
        None
    }

    fn count(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let node = spot.node;
        match &node.value {
            Value::Integer(number) => {
                let count = number.and_then(|number| u32::try_from(number).ok());
                let Some(count) = count else {
                    let most = f64::from(u32::MAX);
                    let (low, high) = spot.field.within.unwrap_or((0.0, most));
                    let says = format!(
                        "{} is {}; it lies between {} and {}",
                        spot.called,
                        self.source(node),
                        significant(low.max(0.0), 9),
                        significant(high.min(most), 10)
                    );
                    return self.problem(spot, What::OutOfRange, says, &node.span, "out of range", None);
                };
                self.within(spot, f64::from(count), &node.span, &|si| significant(si, 9))?;
                Some(Given::Count(count))
            }
            Value::Text(text) => {
                let mend = text.trim().parse::<u32>().ok();
                let mend = mend.map(|n| Mend { span: node.span.clone(), with: n.to_string() });
                self.wrong_shape(spot, node, mend)
            }
            _ => self.wrong_shape(spot, node, None),
        }
    }

    /// SI value of a bare number.
    pub(super) fn bare(&mut self, spot: &Spot<'_>, node: &Node, kind: Kind, factor: f64) -> Option<f64> {
        if let Value::Text(text) = &node.value {
            // What was meant is certain where the text is a quantity of the right kind.
            let plain = text.trim().parse().ok().filter(|n: &f64| n.is_finite());
            let value = plain.or_else(|| parse(kind, text).ok().map(|si| si / factor));
            let mend = value.map(|value| {
                let rounded = (value * 1e9).round() / 1e9;
                Mend { span: node.span.clone(), with: rounded.to_string() }
            });
            return self.wrong_shape(spot, node, mend);
        }
        let si = self.number(spot, node)? * factor;
        self.within(spot, si, &node.span, &|si| significant(si / factor, 6))?;
        Some(si)
    }

    fn money(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let node = spot.node;
        let units = match &node.value {
            Value::Text(text) => match parse_money(text, &self.currency) {
                Ok(money) => money.units(),
                Err(error) => {
                    let says =
                        format!("{}: {} is no amount in {}", spot.called, quote(&brief(text)), self.currency);
                    let span = inside::place(self.text, &node.span, &error.span);
                    return self.problem(
                        spot,
                        What::WrongUnit,
                        says,
                        &span,
                        "not in the design's currency",
                        None,
                    );
                }
            },
            _ => self.number(spot, node)?,
        };
        self.within(spot, units, &node.span, &|si| significant(si, 9))?;
        Some(Given::Money(Money::from_units(units)))
    }

    fn price(&mut self, spot: &Spot<'_>, kind: Kind, text: &str) -> Option<Given> {
        match parse_price(kind, text, &self.currency) {
            Ok(si) => {
                let unit = unit_as_written(kind, text);
                let system = self.units;
                let shown = |si: f64| unit.map_or_else(|| print(si, kind, system), |unit| print_in(si, unit));
                self.within(spot, si, &spot.node.span, &shown)?;
                Some(Given::Quantity { si, kind })
            }
            Err(error) => self.misread(spot, spot.node, &error, kind.in_words()),
        }
    }

    fn choice(&mut self, spot: &Spot<'_>, words: &'static [&'static str], text: &str) -> Option<Given> {
        let written = text.trim();
        if let Some(word) = words.iter().find(|word| word.eq_ignore_ascii_case(written)) {
            return Some(Given::Choice(word));
        }
        let near = nearest(written, words.iter().copied());
        let label = near
            .map_or("none of the words known here".into(), |near| format!("did you mean {}?", quote(near)));
        let mend = near.map(|near| Mend { span: spot.node.span.clone(), with: quote(near) });
        self.problems.push(Problem {
            what: What::WrongShape,
            says: format!("{} cannot be {}", spot.called, quote(&brief(written))),
            help: format!("It is {}.", listed(&quoted(words), "or")),
            labels: vec![Label { span: spot.node.span.clone(), says: label }],
            mend,
        });
        None
    }

    fn text_of(&mut self, spot: &Spot<'_>, node: &Node) -> Option<Arc<str>> {
        match &node.value {
            Value::Text(text) => Some(text.trim().into()),
            Value::Broken => None,
            _ => self.wrong_shape(spot, node, None),
        }
    }

    /// A finite bare number.
    pub(super) fn number(&mut self, spot: &Spot<'_>, node: &Node) -> Option<f64> {
        match &node.value {
            Value::Integer(Some(number)) => Some(*number as f64),
            Value::Float(number) if number.is_finite() => Some(*number),
            Value::Broken => None,
            Value::Integer(None) | Value::Float(_) => {
                let says =
                    format!("{} is {}, which is no number to reckon with", spot.called, self.source(node));
                self.problem(spot, What::OutOfRange, says, &node.span, "a finite number is wanted", None)
            }
            _ => self.wrong_shape(spot, node, None),
        }
    }

    /// Checks the sensible range of the field; the message shows it in the unit as written.
    pub(super) fn within(
        &mut self,
        spot: &Spot<'_>,
        si: f64,
        span: &Span,
        shown: &dyn Fn(f64) -> String,
    ) -> Option<()> {
        let Some((low, high)) = spot.field.within else {
            return Some(());
        };
        // The limits themselves belong to the range, also after a conversion of units.
        let slack = 1e-9 * low.abs().max(high.abs());
        if si >= low - slack && si <= high + slack {
            return Some(());
        }
        let says =
            format!("{} is {}; it lies between {} and {}", spot.called, shown(si), shown(low), shown(high));
        let label = if si < low { "too low" } else { "too high" };
        self.problem(spot, What::OutOfRange, says, span, label, None)
    }

    fn lacks_unit<T>(&mut self, spot: &Spot<'_>, node: &Node, wanted: &str) -> Option<T> {
        let says =
            format!("{} is {} without a unit; {wanted} needs its unit", spot.called, self.source(node));
        self.problem(spot, What::WrongUnit, says, &node.span, "no unit", None)
    }

    pub(super) fn misread<T>(
        &mut self,
        spot: &Spot<'_>,
        node: &Node,
        error: &ParseError,
        wanted: &str,
    ) -> Option<T> {
        let called = spot.called;
        let (says, label) = match &error.problem {
            ParseProblem::Empty => {
                (format!("{called} is empty; {wanted} is wanted"), "nothing is written here".into())
            }
            ParseProblem::NotANumber => {
                (format!("{called} does not start with a number; {wanted} is wanted"), "no number".into())
            }
            ParseProblem::NoUnit => (format!("{called}: {wanted} needs its unit"), "no unit".into()),
            ParseProblem::OtherKind { unit, is } => {
                let is = is.in_words();
                (format!("{called}: {unit} is {is}; {wanted} is wanted"), format!("this is {is}"))
            }
            ParseProblem::UnknownUnit(unit) => (
                format!("{called}: {} is no unit of {wanted}", quote(&brief(unit))),
                "no unit known here".into(),
            ),
            ParseProblem::Comma => (
                format!("{called}: a comma in a number can be read two ways; write a decimal point"),
                "decimal or thousands?".into(),
            ),
            ParseProblem::Trailing(rest) => (
                format!("{called}: {} is left over after {wanted}", quote(&brief(rest))),
                "left over".to_string(),
            ),
        };
        let span = inside::place(self.text, &node.span, &error.span);
        self.problem(spot, What::WrongUnit, says, &span, &label, None)
    }

    pub(super) fn wrong_shape<T>(&mut self, spot: &Spot<'_>, node: &Node, mend: Option<Mend>) -> Option<T> {
        let shape = &spot.field.shape;
        let written = match &node.value {
            Value::Text(text) => format!("the text {}", quote(&brief(text))),
            Value::List(list) if matches!(shape, Shape::Range(_)) => match list.len() {
                0 => "an empty list".into(),
                1 => "a list of one".into(),
                entries => format!("a list of {entries}"),
            },
            value => value.in_words().to_string(),
        };
        let says = format!("{} is {written}; {} is wanted", spot.called, wanted(shape));
        self.problem(spot, What::WrongShape, says, &node.span, "not what is wanted here", mend)
    }

    /// Lists a problem with the accepted forms as help, and gives nothing.
    pub(super) fn problem<T>(
        &mut self,
        spot: &Spot<'_>,
        what: What,
        says: String,
        span: &Span,
        label: &str,
        mend: Option<Mend>,
    ) -> Option<T> {
        let help = match &mend {
            Some(mend) => format!("Write {}.", mend.with),
            None => how(spot.field, &self.currency),
        };
        let labels = vec![Label { span: span.clone(), says: label.into() }];
        self.problems.push(Problem { what, says, help, labels, mend });
        None
    }

    pub(super) fn source(&self, node: &Node) -> &str {
        self.text.get(node.span.clone()).unwrap_or_default()
    }
}

fn date(node: &Node) -> Option<(i16, i8, i8)> {
    match &node.value {
        Value::Date(date) => times::date_of_toml(date),
        Value::Text(text) => times::date_of_text(text),
        _ => None,
    }
}

fn month_set(node: &Node) -> Option<[bool; 12]> {
    match &node.value {
        Value::Text(text) => times::months_of(text),
        Value::List(list) => list.iter().try_fold([false; 12], |mut set, node| {
            let Value::Text(word) = &node.value else {
                return None;
            };
            set[times::month_of(word)?] = true;
            Some(set)
        }),
        _ => None,
    }
}

/// All or nothing, after every one was tried.
pub(super) fn all<T>(parts: Vec<Option<T>>) -> Option<Vec<T>> {
    parts.into_iter().collect()
}

/// The unit a text ends with.
fn unit_as_written(kind: Kind, text: &str) -> Option<&'static Unit> {
    let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let spelled = |unit: &&'static Unit| {
        let spellings = std::iter::once(unit.symbol).chain(unit.spellings.iter().copied());
        spellings.filter(|s| !s.is_empty() && squeezed.ends_with(s)).map(str::len).max().map(|n| (n, *unit))
    };
    units::ALL
        .iter()
        .filter(|unit| unit.kind == kind)
        .filter_map(spelled)
        .max_by_key(|(n, _)| *n)
        .map(|(_, u)| u)
}
