//! A table for a terminal: heads and units once, decimals under each other, no frames, never wider than asked.

use super::decimals::split;
use super::{Align, Table};

/// Nothing is printed wider than this, however wide the terminal.
const WIDEST: usize = 100;
/// Narrower than this no table can be read; a smaller width is taken as this.
const NARROWEST: usize = 20;
/// Blanks between columns.
const GAP: usize = 2;
/// A word column is not squeezed below this while another way is left.
const LEAST_WORDS: usize = 10;

/// The table as lines of text, each at most `width` columns and never more than 100, ending in a line break.
///
/// Word columns wrap; where even that does not fit, the table continues below with its first column repeated.
pub fn terminal(table: &Table, width: usize) -> String {
    let width = width.clamp(NARROWEST, WIDEST);
    let columns: Vec<Laid> = (0..table.columns.len()).map(|at| Laid::of(table, at)).collect();
    let mut out = String::new();
    for line in wrap(&clean(&table.caption), width) {
        push_line(&mut out, &line);
    }
    for (part, group) in groups(&columns, width).iter().enumerate() {
        if part > 0 {
            out.push('\n');
        }
        let chosen: Vec<&Laid> = group.iter().filter_map(|&at| columns.get(at)).collect();
        write_group(&mut out, table, &chosen, width);
    }
    for line in wrap(&clean(&table.note), width) {
        push_line(&mut out, &line);
    }
    out
}

/// One column with its cells padded so that decimals meet.
struct Laid {
    head: String,
    unit: String,
    align: Align,
    cells: Vec<String>,
}

impl Laid {
    fn of(table: &Table, at: usize) -> Laid {
        let column = &table.columns[at];
        let texts: Vec<String> = table
            .rows
            .iter()
            .map(|row| row.cells.get(at).map_or(String::new(), |cell| clean(&cell.text)))
            .collect();
        let cells = match column.align {
            Align::Left => texts,
            Align::Right => {
                let tail = |text: &String| split(text).map(|(_, tail)| columns_of(tail));
                let longest = texts.iter().filter_map(tail).max().unwrap_or(0);
                let blanks = |text: &String| tail(text).map_or(0, |tail| longest - tail);
                texts.iter().map(|text| format!("{text}{}", " ".repeat(blanks(text)))).collect()
            }
        };
        Laid { head: clean(&column.head), unit: clean(&column.unit), align: column.align, cells }
    }

    /// Width without any wrapping.
    fn natural(&self) -> usize {
        self.widest_cell().max(columns_of(&self.head)).max(columns_of(&self.unit))
    }

    /// Width below which a number or a word would be torn.
    fn least(&self) -> usize {
        let head = longest_word(&self.head).max(columns_of(&self.unit));
        match self.align {
            Align::Right => self.widest_cell().max(head),
            Align::Left => {
                let words = self.cells.iter().map(|cell| longest_word(cell)).max().unwrap_or(0);
                words.max(head).max(LEAST_WORDS.min(self.widest_cell()))
            }
        }
    }

    fn widest_cell(&self) -> usize {
        self.cells.iter().map(|cell| columns_of(cell)).max().unwrap_or(0)
    }
}

/// Which columns stand together: all, or as many as fit beside the first.
fn groups(columns: &[Laid], width: usize) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = Vec::new();
    let first = columns.first().map_or(0, Laid::least);
    let mut group: Vec<usize> = Vec::new();
    let mut used = 0;
    for (at, column) in columns.iter().enumerate() {
        let wants = column.least() + GAP;
        if !group.is_empty() && used + wants > width && (at > 1 || used > width) {
            all.push(std::mem::take(&mut group));
            group.push(0);
            used = first;
        }
        used += if group.is_empty() { column.least() } else { wants };
        group.push(at);
    }
    if !group.is_empty() {
        all.push(group);
    }
    all
}

/// Widths of columns that stand together: natural where there is room, taken from the widest where there is not.
fn widths(columns: &[&Laid], width: usize) -> Vec<usize> {
    let mut widths: Vec<usize> = columns.iter().map(|column| column.natural().max(1)).collect();
    let gaps = GAP * columns.len().saturating_sub(1);
    // First only what can be given without tearing a word, then whatever is widest.
    for floor in [true, false] {
        while widths.iter().sum::<usize>() + gaps > width {
            let least = |at: usize| if floor { columns[at].least().max(1) } else { 1 };
            let spare = |at: usize| widths[at].saturating_sub(least(at));
            let Some(widest) =
                (0..widths.len()).filter(|&at| spare(at) > 0).max_by_key(|&at| (widths[at], at))
            else {
                break;
            };
            widths[widest] -= 1;
        }
    }
    widths
}

fn write_group(out: &mut String, table: &Table, columns: &[&Laid], width: usize) {
    let widths = widths(columns, width);
    let across = (widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1)).min(width);
    let rule = "─".repeat(across);
    let heads: Vec<Vec<String>> = columns.iter().zip(&widths).map(|(c, &w)| wrap(&c.head, w)).collect();
    // Heads stand on the line below them, so that a short head is not far from its figures.
    let tall = heads.iter().map(Vec::len).max().unwrap_or(0);
    let sunk: Vec<Vec<String>> = heads
        .into_iter()
        .map(|lines| std::iter::repeat_n(String::new(), tall - lines.len()).chain(lines).collect())
        .collect();
    write_lines(out, columns, &widths, &sunk);
    if columns.iter().any(|column| !column.unit.is_empty()) {
        let units: Vec<Vec<String>> = columns.iter().zip(&widths).map(|(c, &w)| wrap(&c.unit, w)).collect();
        write_lines(out, columns, &widths, &units);
    }
    push_line(out, &rule);
    for (at, row) in table.rows.iter().enumerate() {
        if row.total {
            push_line(out, &rule);
        }
        let cells: Vec<Vec<String>> = columns
            .iter()
            .zip(&widths)
            .map(|(c, &w)| wrap(c.cells.get(at).map_or("", String::as_str), w))
            .collect();
        write_lines(out, columns, &widths, &cells);
    }
}

/// Cells side by side, each of one or more lines.
fn write_lines(out: &mut String, columns: &[&Laid], widths: &[usize], cells: &[Vec<String>]) {
    let tall = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
    for line in 0..tall {
        let mut text = String::new();
        for (at, column) in columns.iter().enumerate() {
            if at > 0 {
                text.push_str(&" ".repeat(GAP));
            }
            let word = cells.get(at).and_then(|cell| cell.get(line)).map_or("", String::as_str);
            let blanks = " ".repeat(widths[at].saturating_sub(columns_of(word)));
            match column.align {
                Align::Left => text.extend([word, &blanks]),
                Align::Right => text.extend([&blanks, word]),
            }
        }
        push_line(out, &text);
    }
}

fn push_line(out: &mut String, line: &str) {
    out.push_str(line.trim_end());
    out.push('\n');
}

/// Lines of at most `width` columns, broken between words and, where a word is longer, within it.
///
/// A text that fits is returned as it is, its trailing blanks included: they carry the decimals of its column.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    if text.trim().is_empty() {
        return Vec::new();
    }
    if columns_of(text) <= width {
        return vec![text.to_string()];
    }
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let taken = columns_of(&line);
        if taken > 0 && taken + 1 + columns_of(word) > width {
            lines.push(std::mem::take(&mut line));
        } else if taken > 0 {
            line.push(' ');
        }
        for c in word.chars() {
            if !line.is_empty() && columns_of(&line) + columns_of_char(c) > width {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

fn longest_word(text: &str) -> usize {
    text.split_whitespace().map(columns_of).max().unwrap_or(0)
}

/// Names come from files: a control character in one must not reach the terminal.
fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_whitespace() && c != '\u{202f}' && c != '\u{a0}' { ' ' } else { c })
        .map(|c| {
            if c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}') {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect()
}

fn columns_of(text: &str) -> usize {
    text.chars().map(columns_of_char).sum()
}

/// Columns a character takes: none for marks that sit on another, two for the wide scripts.
fn columns_of_char(c: char) -> usize {
    match c {
        '\u{300}'..='\u{36f}' | '\u{200b}'..='\u{200d}' | '\u{fe00}'..='\u{fe0f}' => 0,
        '\u{1100}'..='\u{115f}'
        | '\u{2e80}'..='\u{a4cf}'
        | '\u{ac00}'..='\u{d7a3}'
        | '\u{f900}'..='\u{faff}'
        | '\u{fe30}'..='\u{fe6f}'
        | '\u{ff00}'..='\u{ff60}'
        | '\u{ffe0}'..='\u{ffe6}'
        | '\u{1f300}'..='\u{1f64f}'
        | '\u{1f900}'..='\u{1f9ff}'
        | '\u{20000}'..='\u{3fffd}' => 2,
        _ => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Cell, Column, Row};

    fn table(heads: &[(&str, &str, Align)], rows: &[&[&str]]) -> Table {
        Table {
            caption: "What the house asks and gets".into(),
            columns: heads
                .iter()
                .map(|&(head, unit, align)| Column { head: head.into(), unit: unit.into(), align })
                .collect(),
            rows: rows
                .iter()
                .map(|cells| Row {
                    cells: cells.iter().map(|&text| Cell { text: text.into(), ..Cell::default() }).collect(),
                    total: cells.first() == Some(&"Year"),
                })
                .collect(),
            ..Table::default()
        }
    }

    #[test]
    fn units_stand_once_in_the_head_and_decimals_meet() {
        let shown = terminal(
            &table(
                &[
                    ("", "", Align::Left),
                    ("asked", "kWh", Align::Right),
                    ("lowest charge", "%", Align::Right),
                ],
                &[
                    &["Jan", "567", "0"],
                    &["Feb", "1,493.25", "12.5"],
                    &["Mar", "5.5", "not known"],
                    &["Year", "2,066", "0"],
                ],
            ),
            80,
        );
        let expected = "\
What the house asks and gets
         asked  lowest charge
           kWh              %
─────────────────────────────
Jan     567               0
Feb   1,493.25           12.5
Mar       5.5       not known
─────────────────────────────
Year  2,066               0
";
        assert_eq!(shown, expected);
    }

    #[test]
    fn long_words_wrap_and_numbers_are_never_torn() {
        let why =
            "Conductors of the ground rack enter the workshop and are followed by a disconnect at the wall";
        let shown = terminal(
            &table(
                &[("run", "", Align::Left), ("why", "", Align::Left), ("amps", "A", Align::Right)],
                &[&["field to workshop", why, "123,456.75"]],
            ),
            50,
        );
        assert!(shown.lines().all(|line| line.chars().count() <= 50), "{shown}");
        assert!(shown.contains("123,456.75"), "{shown}");
        assert!(shown.contains("disconnect"), "words that fit a line stay whole\n{shown}");
    }

    #[test]
    fn a_table_too_wide_for_the_screen_goes_on_below_with_its_first_column() {
        let heads: Vec<(String, &str, Align)> = std::iter::once(("month".to_string(), "", Align::Left))
            .chain((1..30).map(|n| (format!("reading{n}"), "kWh", Align::Right)))
            .collect();
        let heads: Vec<(&str, &str, Align)> = heads.iter().map(|(h, u, a)| (h.as_str(), *u, *a)).collect();
        let cells: Vec<&str> = std::iter::once("January").chain((1..30).map(|_| "12,345.5")).collect();
        for width in [0, 40, 79, 100, 500] {
            let shown = terminal(&table(&heads, &[&cells]), width);
            assert!(
                shown.lines().all(|line| line.chars().count() <= width.clamp(NARROWEST, WIDEST)),
                "{shown}"
            );
            assert!(shown.matches("January").count() > 1, "{shown}");
            assert_eq!(shown.matches("12,345.5").count(), 29, "{shown}");
        }
    }

    #[test]
    fn nothing_breaks_on_what_a_file_can_hold() {
        let odd = table(
            &[("name\u{1b}[31m", "", Align::Left), ("n", "", Align::Right)],
            &[&["\u{1b}]0;x\u{7}", "1"], &["漢字の名前がとても長い場合でも折り返す", "−2.5"], &[]],
        );
        let shown = terminal(&odd, 20);
        assert!(!shown.contains('\u{1b}') && !shown.contains('\u{7}'), "{shown:?}");
        assert!(shown.lines().all(|line| columns_of(line) <= 20 || line.starts_with("What")), "{shown}");
        assert_eq!(terminal(&Table::default(), 80), "");
        let long = "x".repeat(300);
        let shown = terminal(&table(&[("a", "", Align::Right)], &[&[&long]]), 100);
        assert!(shown.lines().all(|line| line.chars().count() <= 100), "{shown}");
    }
}
