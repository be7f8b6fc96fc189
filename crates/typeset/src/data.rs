//! The book as the template reads it: one JSON value, every choice that needs the whole book already made.

use crate::Paper;
use output::book::{Block, Book, FindingBlock, Span, glued};
use output::drawing::palette::Faces;
use output::drawing::{Drawing, svg};
use output::table::{Align, Cell, Column, Row, Table, Tone, padding};
use quantity::FigureName;
use serde::Serialize;
use std::cmp::Reverse;
use std::collections::HashSet;

#[derive(Serialize)]
pub(crate) struct Data {
    title: String,
    subtitle: String,
    /// Right half of the running header.
    revision: String,
    paper: &'static str,
    facts: Vec<(String, String)>,
    chapters: Vec<ChapterData>,
}

#[derive(Serialize)]
struct ChapterData {
    id: String,
    title: String,
    blocks: Vec<BlockData>,
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum BlockData {
    Heading { text: String },
    Answer { spans: Vec<SpanData> },
    Text { spans: Vec<SpanData> },
    List { items: Vec<Vec<SpanData>> },
    Table(TableData),
    Picture(PictureData),
    Caution { text: String },
    Finding(FindingData),
    Working { figure: String, anchor: Option<String>, lines: Vec<LineData> },
}

#[derive(Serialize)]
struct SpanData {
    text: String,
    tone: &'static str,
    /// Label of the working, where the book holds one.
    target: Option<String>,
}

#[derive(Serialize)]
struct LineData {
    depth: u8,
    text: String,
}

#[derive(Serialize)]
struct TableData {
    caption: String,
    note: String,
    columns: Vec<ColumnData>,
    rows: Vec<RowData>,
    /// Some column has a unit, so every head has a line for one.
    units: bool,
    /// Some column is left empty to be written in by hand.
    writing: bool,
    /// Set on a sheet turned on its side.
    turned: bool,
}

#[derive(Serialize)]
struct ColumnData {
    head: String,
    unit: String,
    number: bool,
    /// The longest texts that may not be broken.
    words: Vec<String>,
    /// The longest cells.
    whole: Vec<String>,
}

#[derive(Serialize)]
struct RowData {
    cells: Vec<CellData>,
    total: bool,
}

#[derive(Serialize)]
struct CellData {
    text: String,
    /// Set invisibly behind the text, so that decimals stand under each other.
    pad: String,
    tone: &'static str,
    target: Option<String>,
}

#[derive(Serialize)]
struct PictureData {
    title: String,
    describes: String,
    svg: String,
    /// Millimetres.
    width: f64,
    height: f64,
    turned: bool,
}

#[derive(Serialize)]
struct FindingData {
    code: String,
    severity: String,
    /// Bytes of its first letter.
    first: usize,
    undecided: bool,
    says: String,
    more: Vec<String>,
    remedies: Vec<String>,
    clause: String,
    place: String,
}

/// What the template is given for this book.
pub(crate) fn data(book: &Book, paper: Paper) -> Data {
    let blocks = book.chapters.iter().flat_map(|chapter| &chapter.blocks);
    let workings =
        blocks.filter_map(|b| if let Block::Working { figure, .. } = b { Some(figure) } else { None });
    let mut writer = Writer { paper, workings: workings.collect(), anchored: HashSet::new() };
    let revision = book.facts.iter().find(|(name, _)| name.to_lowercase().starts_with("revision"));
    Data {
        title: book.title.clone(),
        subtitle: book.subtitle.clone(),
        revision: revision.map_or(String::new(), |(name, value)| format!("{} {value}", name.to_lowercase())),
        paper: match paper {
            Paper::Letter => "us-letter",
            Paper::A4 => "a4",
        },
        facts: book.facts.clone(),
        chapters: book
            .chapters
            .iter()
            .map(|chapter| ChapterData {
                id: chapter.id.clone(),
                title: chapter.title.clone(),
                blocks: chapter.blocks.iter().flat_map(|block| writer.block(block)).collect(),
            })
            .collect(),
    }
}

struct Writer<'a> {
    paper: Paper,
    workings: HashSet<&'a FigureName>,
    anchored: HashSet<&'a FigureName>,
}

impl<'a> Writer<'a> {
    fn block(&mut self, block: &'a Block) -> Vec<BlockData> {
        vec![match block {
            Block::Heading(text) => BlockData::Heading { text: text.clone() },
            Block::Answer(spans) => BlockData::Answer { spans: self.spans(spans) },
            Block::Text(spans) => BlockData::Text { spans: self.spans(spans) },
            Block::List(items) => {
                BlockData::List { items: items.iter().map(|item| self.spans(item)).collect() }
            }
            Block::Table(table) => return self.tables(table),
            // A drawing without an extent would stop the typesetter.
            Block::Picture { title, drawing, .. } if !has_extent(drawing) => BlockData::Text {
                spans: self.spans(&[Span::plain(format!("{title}: there is nothing to draw."))]),
            },
            Block::Picture { title, describes, drawing, .. } => {
                BlockData::Picture(picture(title, describes, drawing, self.paper))
            }
            Block::Caution(text) => BlockData::Caution { text: glued(text) },
            Block::Finding(finding) => BlockData::Finding(found(finding)),
            Block::Working { figure, lines } => BlockData::Working {
                figure: figure.to_string(),
                // A working may be shown twice; only the first can be the target of links.
                anchor: self.anchored.insert(figure).then(|| label(figure)),
                lines: lines
                    .iter()
                    .map(|(depth, text)| LineData { depth: *depth, text: glued(text) })
                    .collect(),
            },
        }]
    }

    fn spans(&self, spans: &[Span]) -> Vec<SpanData> {
        let data = |span: &Span| SpanData {
            text: glued(&span.text),
            tone: tone(span.tone),
            target: self.target(span.figure.as_ref()),
        };
        spans.iter().map(data).collect()
    }

    fn target(&self, figure: Option<&FigureName>) -> Option<String> {
        figure.filter(|figure| self.workings.contains(figure)).map(label)
    }

    /// The table upright, turned on its side where it would be cramped, in parts where even that is too narrow.
    fn tables(&self, table: &Table) -> Vec<BlockData> {
        let (upright, turned) = letters_across(self.paper);
        let least: Vec<usize> = (0..table.columns.len()).map(|at| least_letters(table, at)).collect();
        let across = |columns: &[usize]| columns.iter().map(|&at| least[at] + GAP_LETTERS).sum::<usize>();
        let all: Vec<usize> = (0..table.columns.len()).collect();
        let easy: usize = all.iter().map(|&at| easy_letters(table, at).max(least[at]) + GAP_LETTERS).sum();
        if across(&all) <= upright && (all.len() < MANY_COLUMNS || easy <= upright) {
            return vec![BlockData::Table(self.table(table, &all, false))];
        }
        let mut parts: Vec<Vec<usize>> = vec![Vec::new()];
        for at in all {
            let Some(part) = parts.last_mut() else { break };
            if part.len() > 1 && across(part) + least[at] + GAP_LETTERS > turned {
                parts.push(vec![0, at]);
            } else {
                part.push(at);
            }
        }
        let last = parts.len() - 1;
        let part = |(nth, part): (usize, &Vec<usize>)| {
            let mut data = self.table(table, part, true);
            if nth > 0 {
                data.caption.push_str(", continued");
            }
            if nth < last {
                data.note.clear();
            }
            BlockData::Table(data)
        };
        parts.iter().enumerate().map(part).collect()
    }

    fn table(&self, table: &Table, columns: &[usize], turned: bool) -> TableData {
        let blanks: Vec<Vec<String>> = columns.iter().map(|&at| padding(table, at)).collect();
        let row = |(at, row): (usize, &Row)| RowData {
            total: row.total,
            cells: columns
                .iter()
                .zip(&blanks)
                .map(|(&c, blank)| self.cell(row.cells.get(c), &blank[at]))
                .collect(),
        };
        TableData {
            caption: table.caption.clone(),
            note: glued(&table.note),
            columns: columns.iter().map(|&at| column(table, at, &table.columns[at])).collect(),
            rows: table.rows.iter().enumerate().map(row).collect(),
            units: columns.iter().any(|&at| !table.columns[at].unit.is_empty()),
            writing: columns.iter().any(|&at| is_to_write_in(table, at)),
            turned,
        }
    }

    fn cell(&self, cell: Option<&Cell>, pad: &str) -> CellData {
        CellData {
            text: cell.map_or(String::new(), |cell| glued(&cell.text)),
            pad: pad.to_string(),
            tone: cell.map_or("", |cell| tone(cell.tone)),
            target: self.target(cell.and_then(|cell| cell.figure.as_ref())),
        }
    }
}

/// From so many columns on a table is worth turning the sheet for, so that its words need not be stacked.
const MANY_COLUMNS: usize = 8;

/// Blank space between two columns, in letters of small print.
const GAP_LETTERS: usize = 3;

/// Letters of small print (7.5 pt, about half that wide) that fit across a sheet upright and turned.
fn letters_across(paper: Paper) -> (usize, usize) {
    match paper {
        Paper::Letter => (130, 178),
        Paper::A4 => (125, 191),
    }
}

/// Letters that a column needs at least.
fn least_letters(table: &Table, at: usize) -> usize {
    let words = longest(unbreakable(table, at));
    words.first().map_or(1, |word| word.chars().count().max(2))
}

/// Letters with which a column reads easily: a word column wants two or three words on a line.
fn easy_letters(table: &Table, at: usize) -> usize {
    let whole = cells(table, at).iter().map(|text| text.chars().count()).max().unwrap_or(1);
    whole.min(18)
}

/// Texts of a column that may not be broken: whole cells of a number column, words of a word column, words of heads.
fn unbreakable(table: &Table, at: usize) -> Vec<String> {
    let column = &table.columns[at];
    let mut texts: Vec<String> = column.head.split_whitespace().map(String::from).collect();
    texts.push(column.unit.clone());
    for text in cells(table, at) {
        match column.align {
            Align::Right => texts.push(text),
            Align::Left => texts.extend(text.split(' ').map(String::from)),
        }
    }
    texts
}

fn cells(table: &Table, at: usize) -> Vec<String> {
    let blanks = padding(table, at);
    let text = |row: &Row| row.cells.get(at).map_or(String::new(), |cell| glued(&cell.text));
    table.rows.iter().zip(blanks).map(|(row, blank)| text(row) + &blank).collect()
}

/// The few longest by letters; which of them is the widest only the typesetter can say.
fn longest(mut texts: Vec<String>) -> Vec<String> {
    texts.sort_by_key(|text| Reverse(text.chars().count()));
    texts.dedup();
    texts.truncate(8);
    texts
}

/// A column without a word in any row, such as the readings of a test sheet.
fn is_to_write_in(table: &Table, at: usize) -> bool {
    !table.rows.is_empty() && cells(table, at).iter().all(|text| text.trim().is_empty())
}

fn column(table: &Table, at: usize, column: &Column) -> ColumnData {
    let mut whole = longest(cells(table, at));
    whole.push(column.head.clone());
    if is_to_write_in(table, at) {
        // Room for a hand that writes "380.5 V".
        whole.push("0".repeat(14));
    }
    ColumnData {
        head: column.head.clone(),
        unit: column.unit.clone(),
        number: column.align == Align::Right,
        words: longest(unbreakable(table, at)),
        whole,
    }
}

fn picture(title: &str, describes: &str, drawing: &Drawing, paper: Paper) -> PictureData {
    let faces = Faces { text: "\"Libertinus Serif\"".into(), figure: "\"Linux Biolinum O\"".into() };
    let upright = match paper {
        Paper::Letter => 171.9,
        Paper::A4 => 166.0,
    };
    let (width, height) = (drawing.width, drawing.height);
    PictureData {
        title: title.to_string(),
        describes: glued(describes),
        svg: svg::print_in(drawing, &faces),
        width,
        height,
        // A wide drawing loses a fifth of its size before a sheet is turned for it.
        turned: width > upright * 1.25 && width > height,
    }
}

fn has_extent(drawing: &Drawing) -> bool {
    [drawing.width, drawing.height].iter().all(|mm| mm.is_finite() && *mm > 0.0)
}

fn found(finding: &FindingBlock) -> FindingData {
    FindingData {
        code: finding.code.clone(),
        severity: finding.severity.clone(),
        first: finding.severity.chars().next().map_or(0, char::len_utf8),
        undecided: finding.undecided,
        says: glued(&finding.says),
        more: finding.more.iter().map(|text| glued(text)).collect(),
        remedies: finding.remedies.iter().map(|text| glued(text)).collect(),
        clause: finding.clause.clone(),
        place: finding.place.clone(),
    }
}

fn label(figure: &FigureName) -> String {
    format!("fig-{figure}")
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "",
        Tone::Sun => "sun",
        Tone::Battery => "battery",
        Tone::Backup => "backup",
        Tone::Danger => "danger",
        Tone::Unknown => "unknown",
        Tone::Soft => "soft",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(columns: usize) -> Table {
        let head = |n: usize| Column { head: format!("reading{n}"), unit: "kWh".into(), align: Align::Right };
        let cells = (0..columns).map(|n| Cell { text: format!("{n},345.5"), ..Cell::default() }).collect();
        Table {
            columns: (0..columns).map(head).collect(),
            rows: vec![Row { cells, total: false }],
            ..Table::default()
        }
    }

    fn parts(table: &Table) -> Vec<TableData> {
        let writer = Writer { paper: Paper::A4, workings: HashSet::new(), anchored: HashSet::new() };
        let tables = writer.tables(table).into_iter();
        tables
            .filter_map(|block| if let BlockData::Table(data) = block { Some(data) } else { None })
            .collect()
    }

    #[test]
    fn a_table_wider_than_a_sheet_is_parted_and_loses_no_column() {
        let parts = parts(&table(60));
        assert!(parts.len() > 1 && parts.iter().all(|part| part.turned));
        let heads =
            parts.iter().enumerate().flat_map(|(nth, part)| part.columns.iter().skip(usize::from(nth > 0)));
        let expected: Vec<String> = (0..60).map(|n| format!("reading{n}")).collect();
        assert_eq!(heads.map(|column| column.head.clone()).collect::<Vec<_>>(), expected);
        assert!(parts.iter().all(|part| part.columns[0].head == "reading0"), "the first column is repeated");
    }

    #[test]
    fn a_table_of_a_few_columns_stays_upright() {
        let parts = parts(&table(6));
        assert!(parts.len() == 1 && !parts[0].turned);
    }
}
