//! The working of a figure: a few lines in place, and the whole chain below them.

use super::parts::Links;
use super::things::field_address;
use super::{Asked, shell};
use crate::Bench;
use crate::workbook::{Answered, Tried, Workbook, line_of};
use maud::{DOCTYPE, Markup, html};
use output::answers::answers;
use output::book::glued;
use output::say::Reader;
use output::why::why as chain;
use quantity::{FieldPath, Figure, FigureName, Origin, Term, print_in};
use std::collections::BTreeSet;

/// The working of the figure of a name, as a page of its own or alone to be put in place.
pub(crate) fn why(
    bench: &Bench,
    workbook: &Workbook,
    tried: &Tried,
    name: &str,
    alone: bool,
) -> Option<String> {
    let shown = &tried.shown;
    let of_the_search = || size::explain(&shown.study.design, shown.weather.as_ref(), name);
    let of_the_whole =
        || workbook.whole(shown).figure(name).cloned().filter(|_| name.starts_with("year/without/"));
    let figure = &shown.study.figure(name).cloned().or_else(of_the_whole).or_else(of_the_search)?;
    let working = working(figure, shown);
    if alone {
        return Some(html! { (DOCTYPE) html { body { (working) } } }.into_string());
    }
    let links = Links::of(tried);
    let all = answers(&shown.study, &shown.findings);
    let number = question_of(name);
    let main = html! {
        h1 { (figure.says) }
        (working)
        p { a href={ "/" (number) (links.query()) } { "back to the page" } }
    };
    let asked = Asked { bench, workbook, tried, number, steps: None, later: None, refused: None };
    Some(shell(&asked, &figure.says, &all, &links, main, html! {}))
}

/// The page a figure belongs to, by the first part of its name.
fn question_of(name: &str) -> u8 {
    match name.split('/').next().unwrap_or_default() {
        "loads" | "loads-total" => 2,
        "planes" => 3,
        size::PREFIX => 4,
        "strings" | "inputs" | "banks" | "legs" | "inverters" => 6,
        "circuits" | "runs" => 7,
        "bill" | "money" => 8,
        _ => 5,
    }
}

/// More leaves of a kind than this are counted and not listed; the whole chain below lists them.
const FEW: usize = 3;
/// More runs of lines than this are counted.
const FEW_RUNS: usize = 8;

/// Leaves of a chain, each kind together.
#[derive(Default)]
struct Leaves {
    lines: BTreeSet<usize>,
    tables: Vec<String>,
    assumed: Vec<String>,
    typical: Vec<FieldPath>,
}

fn leaves(origin: &Origin, shown: &Answered) -> Leaves {
    let mut found = Leaves::default();
    origin.walk(&mut |origin| match origin {
        Origin::Stated(field) => found.lines.extend(line_of(shown.design(), field)),
        Origin::Tabled(row) => {
            let row = row.to_string();
            if !found.tables.contains(&row) {
                found.tables.push(row);
            }
        }
        Origin::Assumed(reason) => {
            if !found.assumed.iter().any(|because| **because == *reason.because) {
                found.assumed.push(reason.because.to_string());
            }
        }
        Origin::Shelf(part) => {
            if !found.typical.contains(part) {
                found.typical.push(part.clone());
            }
        }
        Origin::Found(_) | Origin::Series(_) | Origin::Measured(_) | Origin::Computed(_) => {}
    });
    found
}

fn working(figure: &Figure, shown: &Answered) -> Markup {
    let reader = Reader::of(&shown.study);
    let leaves = leaves(&figure.origin, shown);
    let lines = ranges(&leaves.lines);
    let whole = chain(figure, shown.design(), &reader);
    html! {
        div.work {
            p.head { b { (figure.says) " = " (glued(&reader.value(&figure.value))) } }
            (first_step(figure.name.as_str(), &figure.says, &figure.origin, shown, &reader))
            @if !lines.is_empty() {
                p.src { @if leaves.lines.len() == 1 { "design line " } @else { "design lines " } (lines) }
            }
            @if leaves.tables.len() <= FEW { @for row in &leaves.tables { p.src { "table: " (glued(row)) } } }
            @if leaves.assumed.len() <= FEW { @for because in &leaves.assumed { p.src { "assumed: " (glued(because)) } } }
            @for part in leaves.typical.iter().take(FEW) { p.src { "typical part, replace by your data sheet: " (part) } }
            p.src {
                @if leaves.tables.len() > FEW { (leaves.tables.len()) " table rows, " }
                @if leaves.assumed.len() > FEW { (leaves.assumed.len()) " assumptions, " }
                "weakest source: " (figure.origin.standing().in_words())
            }
            @if whole.len() > 2 {
                details {
                    summary { "all " (whole.len()) " lines of the working" }
                    ul.chain {
                        @for line in &whole { li class={ "d" (line.depth.min(12)) } { (glued(&line.text)) } }
                    }
                }
            }
            p.src.name { (FigureName::as_str(&figure.name)) }
        }
    }
}

/// The first step of a working: the formula with its values, or how it is read off a run.
fn first_step(name: &str, says: &str, origin: &Origin, shown: &Answered, reader: &Reader) -> Markup {
    let value = |term: &Term| match term.value.number() {
        Some(_) if term.unit.symbol.is_empty() => reader.value(&term.value),
        Some(_) => match &term.value {
            quantity::Value::Number { si, kind } if term.unit.kind == *kind => print_in(*si, term.unit),
            other => reader.value(other),
        },
        None => reader.value(&term.value),
    };
    let from = question_of(name);
    let led = |field: &FieldPath, words: String| match field_address(shown.design(), field, from) {
        Some(address) => html! { a.edit href=(address) { (words) } },
        None => html! { (words) },
    };
    let place = |term: &Term| match &term.origin {
        Origin::Stated(field) => match line_of(shown.design(), field) {
            Some(line) => led(field, format!("line {line}")),
            None => html! {},
        },
        Origin::Tabled(_) => html! { "table" },
        Origin::Assumed(reason) => led(&reason.field, "assumed".into()),
        Origin::Shelf(part) => led(part, "typical part".into()),
        Origin::Measured(_) => html! { "measured" },
        Origin::Found(_) => html! { "found" },
        Origin::Series(_) | Origin::Computed(_) => html! { "computed" },
    };
    html! {
        @match origin {
            Origin::Computed(working) => {
                p.formula { "= " (working.formula.text) }
                @for (at, term) in working.terms.iter().take(12).enumerate() {
                    p.term {
                        (term.symbol) " = " (glued(&value(term)))
                        @if let Some(symbol) = working.formula.symbols.get(at) { span.src { " " (symbol.means) } }
                        span.src { " · " (place(term)) }
                    }
                }
                p.src { (output::why::cited(shown.design(), working.formula.clause)) }
            },
            Origin::Series(series) => {
                @if *series.says != *says { p { (series.says) } }
                p.src { (output::why::cited(shown.design(), series.clause)) }
            },
            Origin::Found(choice) => {
                p { (choice.because) }
                @if !choice.runner_up.is_empty() { p { "next: " (choice.runner_up) } }
                p.src { (output::why::cited(shown.design(), choice.clause)) }
            },
            Origin::Measured(reading) => p { "measured: " (reading) },
            Origin::Stated(_) | Origin::Tabled(_) | Origin::Shelf(_) | Origin::Assumed(_) => {},
        }
    }
}

/// "31–33, 40, 214" of line numbers.
fn ranges(lines: &BTreeSet<usize>) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &line in lines {
        match runs.last_mut() {
            Some((_, last)) if line == *last + 1 => *last = line,
            _ => runs.push((line, line)),
        }
    }
    let said = |(a, b): &(usize, usize)| if a == b { a.to_string() } else { format!("{a}–{b}") };
    let shown: Vec<String> = runs.iter().take(FEW_RUNS).map(said).collect();
    let left: usize = runs.iter().skip(FEW_RUNS).map(|(a, b)| b - a + 1).sum();
    let more = if left > 0 { format!(" and {left} more") } else { String::new() };
    format!("{}{more}", shown.join(", "))
}

#[cfg(test)]
mod tests {
    use super::ranges;

    #[test]
    fn neighbouring_lines_are_said_as_ranges() {
        assert_eq!(ranges(&[31, 32, 33, 40, 214, 215].into()), "31–33, 40, 214–215");
        assert_eq!(ranges(&[].into()), "");
    }
}
