//! Where a number comes from: the chain down to design lines, table rows and assumptions.

use crate::say::Reader;
use design::Design;
use quantity::{Clause, FieldPath, Figure, Origin, TableRow, Term, Value, print_in};

/// One line of a chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// How deep, from 0.
    pub depth: u8,
    /// The words.
    pub text: String,
    /// The design field the line ends in, for links.
    pub field: Option<FieldPath>,
}

/// The chain below a figure.
pub fn why(figure: &Figure, design: &Design, reader: &Reader) -> Vec<Line> {
    let mut chain = Chain { design, reader, lines: Vec::new() };
    let head = format!("{} = {}", figure.says, reader.value(&figure.value));
    chain.push(0, head, None);
    chain.origin(&figure.origin, 1, 0);
    chain.lines
}

/// A clause as the edition of the design's rules numbers it.
pub fn cited(design: &Design, clause: Clause) -> Clause {
    match study::rule_set(&design.system) {
        Some(rules) => wiring::in_edition(rules, clause),
        None => clause,
    }
}

/// Chains deeper than this are cut with a word; none of the shipped designs comes near.
const DEEPEST: u8 = 24;

struct Chain<'a> {
    design: &'a Design,
    reader: &'a Reader,
    lines: Vec<Line>,
}

impl Chain<'_> {
    fn push(&mut self, depth: u8, text: String, field: Option<FieldPath>) {
        self.lines.push(Line { depth, text, field });
    }

    fn cited(&self, clause: Clause) -> Clause {
        cited(self.design, clause)
    }

    fn place(&self, field: &FieldPath) -> String {
        match self.design.place_of(field) {
            Some((line, _)) => format!("design line {line}, {field}"),
            None => format!("design, {field}"),
        }
    }

    fn origin(&mut self, origin: &Origin, depth: u8, nested: u8) {
        if nested > DEEPEST {
            self.push(depth, "… and further down".into(), None);
            return;
        }
        match origin {
            Origin::Stated(field) => {
                let text = format!("you stated it: {}", self.place(field));
                self.push(depth, text, Some(field.clone()));
            }
            Origin::Tabled(row) => {
                let row = TableRow { clause: self.cited(row.clause), ..(**row).clone() };
                self.push(depth, format!("table row: {row}"), None);
            }
            Origin::Shelf(part) => {
                self.push(
                    depth,
                    format!("typical part, replace by your data sheet: {part}"),
                    Some(part.clone()),
                );
            }
            Origin::Assumed(reason) => {
                let text = format!(
                    "assumed: {} (moves {}); would be stated at {}",
                    reason.because, reason.moves, reason.field
                );
                self.push(depth, text, Some(reason.field.clone()));
            }
            Origin::Measured(reading) => self.push(depth, format!("measured: {reading}"), None),
            Origin::Found(choice) => {
                self.push(depth, format!("chosen: {} — {}", choice.because, self.cited(choice.clause)), None);
                if !choice.runner_up.is_empty() {
                    self.push(depth, format!("next candidate: {}", choice.runner_up), None);
                }
                self.terms(&choice.terms, depth, nested);
            }
            Origin::Series(series) => {
                self.push(depth, format!("{} — {}", series.says, self.cited(series.clause)), None);
                self.terms(&series.terms, depth, nested);
            }
            Origin::Computed(working) => {
                let formula = working.formula;
                self.push(depth, format!("= {} — {}", formula.text, self.cited(formula.clause)), None);
                self.terms(&working.terms, depth, nested);
            }
        }
    }

    fn terms(&mut self, terms: &[Term], depth: u8, nested: u8) {
        for term in terms {
            let text = format!("{} = {}", term.symbol, self.value(term));
            match &term.origin {
                // A leaf stands on the line of its term.
                Origin::Stated(field) => {
                    let text = format!("{text}    {}", self.place(field));
                    self.push(depth + 1, text, Some(field.clone()));
                }
                Origin::Tabled(row) => {
                    let row = TableRow { clause: self.cited(row.clause), ..(**row).clone() };
                    self.push(depth + 1, format!("{text}    table row: {row}"), None);
                }
                Origin::Shelf(part) => {
                    self.push(depth + 1, format!("{text}    typical part: {part}"), Some(part.clone()));
                }
                Origin::Assumed(reason) => {
                    self.push(
                        depth + 1,
                        format!("{text}    assumed: {}", reason.because),
                        Some(reason.field.clone()),
                    );
                }
                Origin::Measured(reading) => {
                    self.push(depth + 1, format!("{text}    measured: {reading}"), None)
                }
                Origin::Found(_) | Origin::Series(_) | Origin::Computed(_) => {
                    self.push(depth + 1, text, None);
                    self.origin(&term.origin, depth + 2, nested + 1);
                }
            }
        }
    }

    fn value(&self, term: &Term) -> String {
        match &term.value {
            // In a working the unit is the formula's, so that the text can be recomputed by hand.
            Value::Number { si, kind } if term.unit.kind == *kind => print_in(*si, term.unit),
            other => self.reader.value(other),
        }
    }
}
