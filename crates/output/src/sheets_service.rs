//! Busbars with several sources and the load of the dwelling.

use crate::say::{NOT_KNOWN, Reader, words};
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::{Fact, units};
use study::Study;

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

fn amperes(reader: &Reader, fact: &Fact<quantity::Current>, figure: &[&str]) -> Cell {
    match fact {
        Fact::Known(traced) => reader.number(traced, &units::AMPERE, 1, figure),
        Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
    }
}

/// The number of a clause of 2023 in the edition of the design.
fn numbered(study: &Study, clause: &'static str) -> &'static str {
    let of_2023 = quantity::nec("2023", clause, quantity::Standing::Remembered);
    match study::rule_set(&study.design.system) {
        Some(rules) => wiring::in_edition(rules, of_2023).clause,
        None => clause,
    }
}

/// Every test of every busbar that several sources feed.
pub fn busbars(study: &Study) -> Option<Table> {
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    for bus in study::busbars(study) {
        for answer in &bus.answers {
            let name = ["busbars", &bus.panel, study::word_of(answer.test)];
            let figure = |what: &'static str| [name[0], name[1], name[2], what];
            let says = match answer.passes.value() {
                Some(true) => words("passes"),
                // One test that passes is enough; a failing one is no fault by itself.
                Some(false) => words("does not pass"),
                None => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
            };
            rows.push(Row {
                cells: vec![
                    words(bus.panel.to_string()),
                    words(answer.test.in_words()),
                    amperes(&reader, &answer.needs, &figure("needs")),
                    amperes(&reader, &answer.allows, &figure("allows")),
                    says,
                    words(answer.clause.clause),
                ],
                total: false,
            });
        }
    }
    let edition = study::rule_set(&study.design.system).and_then(wiring::BusEdition::of);
    for feeder in study::feeders(study) {
        let figure = |what: &'static str| ["busbars", &feeder.name, "feeder", what];
        rows.push(Row {
            cells: vec![
                words(feeder.name.to_string()),
                words("sources at its far end within the feeder and its device"),
                amperes(&reader, &feeder.needs, &figure("needs")),
                amperes(&reader, &feeder.carries, &figure("allows")),
                match feeder.passes.value() {
                    Some(true) => words("passes"),
                    Some(false) => words("does not pass"),
                    None => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
                },
                words(edition.map_or("", |edition| wiring::feeder_clause(edition).clause)),
            ],
            total: false,
        });
    }
    if let Some(side) = study::supply_side(study) {
        let figure = |what: &'static str| ["busbars", "service", "supply-side", what];
        rows.push(Row {
            cells: vec![
                words("service"),
                words("sources ahead of the main device within the service conductors"),
                amperes(&reader, &side.output, &figure("needs")),
                amperes(&reader, &side.service, &figure("allows")),
                match side.passes.value() {
                    Some(true) => words("passes"),
                    Some(false) => words("does not pass"),
                    None => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
                },
                words(numbered(study, "705.11(A)")),
            ],
            total: false,
        });
    }
    (!rows.is_empty()).then(|| Table {
        id: "busbars".into(),
        caption: "Busbars that several sources feed".into(),
        columns: vec![
            left("panel or feeder"),
            left("test"),
            right("needs", "A"),
            right("allowed", "A"),
            left(""),
            left("clause"),
        ],
        rows,
        note: "One test of a panel has to pass, and every row of a feeder. Inverters count with 125 % of their continuous output; a busbar that inverters feed by themselves is judged by the plain sum of its greatest leg. A breaker whose place a test depends on is marked so that nobody moves it. Ahead of the main device of the service nothing but the fuse of the utility ends a short: that work is done with the utility's supply off, by those it allows to.".into(),
    })
}

/// The load calculation of the dwelling, line by line.
pub fn dwelling(study: &Study) -> Option<Table> {
    let dwelling = study::dwelling(study)?;
    let reader = Reader::of(study);
    let load = &dwelling.load;
    let row = |says: &str, cell: Cell, total: bool| Row { cells: vec![words(says), cell], total };
    let mut rows = vec![
        row("general loads", reader.cell(&load.general, &["dwelling", "general"]), false),
        row("after the demand factor", reader.cell(&load.counted, &["dwelling", "counted"]), false),
        row("with heating or cooling", reader.cell(&load.total, &["dwelling", "total"]), false),
        row("asked of the feed", reader.cell(&load.current, &["dwelling", "current"]), true),
    ];
    for (name, rating) in &dwelling.feeds {
        let cell = reader.cell(rating, &["dwelling", "feeds", name]);
        rows.push(row(&format!("{name} lets through"), cell, false));
    }
    Some(Table {
        id: "dwelling".into(),
        caption: format!("What the dwelling asks of panel {}", dwelling.panel),
        columns: vec![left(""), right("", "")],
        rows,
        note: format!(
            "The optional calculation (NEC {} for a new, {} for an existing dwelling): lighting and receptacles by floor area, 1500 VA for each small-appliance and laundry circuit, nameplates of everything fastened in place; what lies above the first tier counts 40 %. A house on its own may have a smaller source (710.15(A)).",
            numbered(study, "220.82"),
            numbered(study, "220.83")
        ),
    })
}
