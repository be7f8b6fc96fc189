//! A table for a page: a caption, heads with scopes, and a container of its own to scroll in.

use super::decimals::padding;
use super::{Align, Cell, Table, Tone};
use crate::book::glued;
use maud::{Markup, html as markup};
use quantity::FigureName;

/// The table for a page on which every figure's working can be opened.
///
/// Styled by the page's style sheet; nothing in it needs a script.
pub fn html(table: &Table) -> Markup {
    linked(table, &|figure| Some(format!("#{}", anchor(figure))))
}

/// The table with its figures linked where `link` knows a target.
pub fn linked(table: &Table, link: &dyn Fn(&FigureName) -> Option<String>) -> Markup {
    led(table, link, &|_| None)
}

/// As [`linked`], with what heads a row led to where `row` knows a target: the form of a field, say.
pub fn led(
    table: &Table,
    link: &dyn Fn(&FigureName) -> Option<String>,
    row: &dyn Fn(&str) -> Option<String>,
) -> Markup {
    let rows = table.rows.iter();
    let heads: Vec<Option<String>> = rows.map(|cells| row(&cells.cells.first()?.text)).collect();
    let blanks: Vec<Vec<String>> = (0..table.columns.len()).map(|column| padding(table, column)).collect();
    let rooms: Vec<&str> = (0..table.columns.len()).map(|column| room(table, column)).collect();
    let narrow = rooms.len() < 4 && !rooms.contains(&"long");
    let with_units = table.columns.iter().any(|column| !column.unit.is_empty());
    markup! {
        figure.sheet.broad[table.columns.len() > 7].narrow[narrow] id=[(!table.id.is_empty()).then_some(&table.id)] {
            // A wide table scrolls here and never moves the page; the keyboard can reach and scroll it too.
            div.wide tabindex="0" role="region" aria-label=(table.caption) {
                table {
                    @if !table.caption.is_empty() { caption { span { (table.caption) } } }
                    thead {
                        tr {
                            @for (column, room) in table.columns.iter().zip(&rooms) {
                                @let class = format!("{} {room}", side(column.align));
                                // A head that says nothing heads nothing.
                                @if column.head.is_empty() && column.unit.is_empty() {
                                    td class=(class) {}
                                } @else {
                                    th scope="col" class=(class) {
                                        (column.head)
                                        @if with_units { span.unit { (column.unit) } }
                                    }
                                }
                            }
                        }
                    }
                    tbody {
                        @for (at, row) in table.rows.iter().enumerate() {
                            tr.total[row.total] {
                                @for (column, head) in table.columns.iter().enumerate() {
                                    @let cell = row.cells.get(column);
                                    @let blank = &blanks[column][at];
                                    @if column == 0 && cell.is_some_and(|cell| !cell.text.is_empty()) {
                                        th scope="row" class=(classes(head.align, rooms[column], cell)) {
                                            @match &heads[at] {
                                                Some(target) => a.edit href=(target) { (inside(cell, blank, &|_| None)) },
                                                None => (inside(cell, blank, link)),
                                            }
                                        }
                                    } @else {
                                        td class=(classes(head.align, rooms[column], cell)) { (inside(cell, blank, link)) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
            @if !table.note.is_empty() { figcaption.note { (glued(&table.note)) } }
        }
    }
}

/// Link target of a figure's working.
pub fn anchor(figure: &FigureName) -> String {
    format!("fig-{figure}")
}

/// Class of what a text means, empty for plain ink.
pub(crate) fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "",
        Tone::Sun => "t-sun",
        Tone::Battery => "t-battery",
        Tone::Backup => "t-backup",
        Tone::Danger => "t-danger",
        Tone::Unknown => "t-unknown",
        Tone::Soft => "t-soft",
    }
}

/// How much room a column of words wants before it wraps, as a class: a long text set in a narrow column makes rows
/// that no one can follow on a phone.
fn room(table: &Table, column: usize) -> &'static str {
    let cells = table.rows.iter().filter_map(|row| row.cells.get(column));
    match cells.map(|cell| cell.text.chars().count()).max().unwrap_or(0) {
        0..12 => "short",
        12..26 => "medium",
        _ => "long",
    }
}

fn inside(cell: Option<&Cell>, blank: &str, link: &dyn Fn(&FigureName) -> Option<String>) -> Markup {
    let Some(cell) = cell else { return Markup::default() };
    markup! {
        @match cell.figure.as_ref().and_then(link) {
            Some(target) => a.n href=(target) { (glued(&cell.text)) },
            None => (glued(&cell.text)),
        }
        @if !blank.is_empty() { span.blank aria-hidden="true" { (blank) } }
    }
}

fn side(align: Align) -> &'static str {
    match align {
        Align::Left => "words",
        Align::Right => "number",
    }
}

fn classes(align: Align, room: &str, cell: Option<&Cell>) -> String {
    let meaning = cell.map_or("", |cell| tone(cell.tone));
    [side(align), room, meaning].into_iter().filter(|class| !class.is_empty()).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Column, Row};

    fn sample() -> Table {
        let number =
            |text: &str, figure: Option<FigureName>| Cell { text: text.into(), figure, tone: Tone::Backup };
        Table {
            id: "months".into(),
            caption: "Months <of> a middling year".into(),
            columns: vec![
                Column { head: "month".into(), unit: String::new(), align: Align::Left },
                Column { head: "backup".into(), unit: "kWh".into(), align: Align::Right },
            ],
            rows: vec![
                Row {
                    cells: vec![
                        Cell { text: "Dec & Jan".into(), ..Cell::default() },
                        number("30.5", Some(FigureName::new(&["year", "december", "backup"]))),
                    ],
                    total: false,
                },
                Row { cells: vec![Cell { text: "Year".into(), ..Cell::default() }], total: true },
            ],
            note: "One seed.".into(),
        }
    }

    #[test]
    fn names_are_escaped_and_heads_say_what_they_head() {
        let page = html(&sample()).into_string();
        assert!(page.contains("<caption><span>Months &lt;of&gt; a middling year</span></caption>"), "{page}");
        assert!(page.contains("Dec &amp; Jan"), "{page}");
        assert_eq!(page.matches("scope=\"col\"").count(), 2, "{page}");
        assert_eq!(page.matches("scope=\"row\"").count(), 2, "{page}");
        assert!(page.contains("<tr class=\"total\">"), "{page}");
    }

    #[test]
    fn a_figure_links_to_its_working_only_where_there_is_one() {
        let page = html(&sample()).into_string();
        assert!(page.contains("href=\"#fig-year/december/backup\""), "{page}");
        assert!(!linked(&sample(), &|_| None).into_string().contains("href"), "no target, no link");
    }
}
