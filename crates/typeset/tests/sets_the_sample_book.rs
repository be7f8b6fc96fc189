//! The invented sample book is set without a remark, and twice alike.
#![cfg(feature = "pdf")]

#[path = "../../output/tests/sample/mod.rs"]
mod sample;

use output::book::{Block, Book, Chapter, Span};
use output::drawing::Drawing;
use output::table::{Align, Cell, Column, Row, Table};
use typeset::{Paper, typeset};

#[test]
fn the_sample_is_set_without_a_remark_on_either_paper() {
    for paper in [Paper::Letter, Paper::A4] {
        let set = typeset(&sample::book(), paper).expect("the sample has nothing that cannot be set");
        assert_eq!(set.warnings, Vec::<String>::new(), "{paper:?}");
        assert!(set.bytes.starts_with(b"%PDF-"));
    }
}

#[test]
fn the_same_book_gives_the_same_bytes() {
    let once = typeset(&sample::book(), Paper::A4).expect("set once");
    let twice = typeset(&sample::book(), Paper::A4).expect("set twice");
    assert!(once.bytes == twice.bytes, "the bytes differ");
}

#[test]
fn a_sign_that_no_face_has_is_remarked() {
    let text = Block::Text(vec![Span::plain("voltage \u{16a0}")]);
    let book = Book {
        chapters: vec![Chapter { id: "a".into(), title: "A".into(), blocks: vec![text] }],
        ..Book::default()
    };
    let warnings = typeset(&book, Paper::Letter).expect("it is set all the same").warnings;
    assert!(warnings.iter().any(|w| w.contains('\u{16a0}')), "{warnings:?}");
}

#[test]
fn odd_books_are_set_too() {
    let table = |columns: usize, rows: usize| Table {
        id: "t".into(),
        caption: "wide".into(),
        columns: (0..columns)
            .map(|n| Column { head: format!("reading{n}"), unit: "kWh".into(), align: Align::Right })
            .collect(),
        rows: (0..rows)
            .map(|_| Row {
                cells: (0..columns).map(|_| Cell { text: "12,345.5".into(), ..Cell::default() }).collect(),
                total: true,
            })
            .collect(),
        note: String::new(),
    };
    let odd = |text: &str| Block::Text(vec![Span::plain(text)]);
    let blocks = vec![
        Block::Answer(vec![]),
        Block::List(vec![]),
        odd("#panic() $x$ *bold* <label> \\ \"quoted\" // not a comment"),
        odd(""),
        Block::Table(Table::default()),
        Block::Table(table(1, 0)),
        Block::Table(table(40, 2)),
        Block::Picture {
            id: "p".into(),
            title: "none".into(),
            describes: String::new(),
            drawing: Drawing { width: f64::NAN, height: 0.0, shapes: vec![] },
        },
        Block::Working { figure: quantity::FigureName::new(&["a"]), lines: vec![] },
        Block::Working { figure: quantity::FigureName::new(&["a"]), lines: vec![(9, "again".into())] },
    ];
    let chapter = |id: &str| Chapter { id: id.into(), title: "A chapter".into(), blocks: blocks.clone() };
    let book = Book { chapters: vec![chapter("a"), chapter("a")], ..Book::default() };
    let set = typeset(&book, Paper::Letter).expect("nothing a book can hold stops the setting");
    assert!(set.bytes.starts_with(b"%PDF-"));
    typeset(&Book::default(), Paper::A4).expect("an empty book is a title sheet");
}
