//! Decimals stand under each other: how many blank places a number needs behind it.

use super::{Align, Table};

/// A cell split where its decimals begin: `"1,051.25 h"` is `("1,051", ".25 h")`, `"240"` is `("240", "")`.
///
/// `None` for a cell that is not one number with at most a sign, a currency or a comparison before it and a unit
/// after it; such a cell is laid out as words.
pub(crate) fn split(text: &str) -> Option<(&str, &str)> {
    let start = text.find(|c: char| c.is_ascii_digit())?;
    let lead = &text[..start];
    if lead.chars().any(|c| c.is_alphanumeric()) || lead.chars().count() > 3 {
        return None;
    }
    let mut end = text.len();
    for (at, c) in text.char_indices().skip_while(|(at, _)| *at < start) {
        let next_is_digit = text[at + c.len_utf8()..].starts_with(|n: char| n.is_ascii_digit());
        let grouping = matches!(c, ',' | '\u{202f}' | '\u{2009}' | '’') && next_is_digit;
        if !c.is_ascii_digit() && !grouping {
            end = at;
            break;
        }
    }
    let rest = &text[end..];
    let decimals = rest.strip_prefix('.').map_or("", |r| {
        let digits = r.bytes().take_while(u8::is_ascii_digit).count();
        &rest[..=digits]
    });
    // A second number ("2 × 12") or a long tail of words is not a figure of a column.
    let tail = &rest[decimals.len()..];
    let one_number = !tail.contains(|c: char| c.is_ascii_digit()) && tail.chars().count() <= 6;
    one_number.then_some((&text[..end], rest))
}

/// What to set invisibly behind each number of a right-leaning column, so that decimals stand under each other in a
/// face with tabular figures: `".00"` behind `12` in a column with `1.25`.
///
/// Blank characters would not do: few faces have one as wide as a digit, and pages hang them over the edge.
/// One entry per row, empty where none is needed; all empty in a column of words or with units in its cells, where
/// leaning right is enough.
pub fn padding(table: &Table, column: usize) -> Vec<String> {
    let cells: Vec<&str> =
        table.rows.iter().map(|row| row.cells.get(column).map_or("", |cell| cell.text.as_str())).collect();
    let none = vec![String::new(); cells.len()];
    if table.columns.get(column).is_none_or(|c| c.align != Align::Right) {
        return none;
    }
    let tails: Vec<Option<&str>> = cells.iter().map(|text| split(text).map(|(_, tail)| tail)).collect();
    let bare = |tail: &str| tail.bytes().all(|b| b == b'.' || b.is_ascii_digit());
    if !tails.iter().flatten().all(|tail| bare(tail)) {
        return none;
    }
    let longest = tails.iter().flatten().map(|tail| tail.len()).max().unwrap_or(0);
    tails
        .iter()
        .map(|tail| match tail {
            Some("") if longest > 0 => format!(".{}", "0".repeat(longest - 1)),
            Some(tail) => "0".repeat(longest - tail.len()),
            None => String::new(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Cell, Column, Row};

    #[test]
    fn a_number_splits_at_its_decimals_and_words_do_not() {
        assert_eq!(split("1,051.25 h"), Some(("1,051", ".25 h")));
        assert_eq!(split("−0.5"), Some(("−0", ".5")));
        assert_eq!(split("$24,310"), Some(("$24,310", "")));
        assert_eq!(split("84 %"), Some(("84", " %")));
        for words in ["2 × 12", "not known", "", "4/0 AWG", "line 12", "3 (see the sheet)"] {
            assert_eq!(split(words), None, "{words}");
        }
    }

    #[test]
    fn shorter_decimals_get_the_missing_places_behind_them() {
        let row =
            |text: &str| Row { cells: vec![Cell { text: text.into(), ..Cell::default() }], total: false };
        let table = Table {
            columns: vec![Column { head: "drop".into(), unit: "%".into(), align: Align::Right }],
            rows: vec![row("12"), row("1.25"), row("0.5"), row("not known"), Row::default()],
            ..Table::default()
        };
        assert_eq!(padding(&table, 0), [".00", "", "0", "", ""]);
        assert_eq!(padding(&table, 7), ["", "", "", "", ""], "a column that is not there");
    }
}
