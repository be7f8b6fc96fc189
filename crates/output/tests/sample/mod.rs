//! An invented book with every kind of block, shared by the tests and examples of both writers.
//!
//! The figures are made up to be looked at; they do not add up and stand for no result.

use output::book::{Block, Book, Chapter, FindingBlock, Span};
use output::drawing::{Anchor, Drawing, Shape};
use output::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::FigureName;

/// The whole book.
pub(crate) fn book() -> Book {
    let chapters = vec![summary(), year(), wiring(), buying(), workings()];
    let facts = [
        ("revision", "3, saved 14 November"),
        ("edition", "NEC 2023 as entered; the local authority decides"),
        ("system", "split phase 120/240 V, ground rack, iron phosphate rack"),
        ("weather", "20 synthetic years from the climate table, seed 7"),
        ("units", "feet, °F, USD"),
        ("not decided", "4 findings wait for an answer; see the questions"),
    ];
    Book {
        title: "Quillback Bench".into(),
        subtitle: "Build book of a farmhouse with a ground rack and a workshop".into(),
        facts: facts.iter().map(|(name, value)| (name.to_string(), value.to_string())).collect(),
        chapters,
    }
}

fn figure(name: &str) -> FigureName {
    FigureName::new(&name.split('/').collect::<Vec<_>>())
}

fn words(text: &str) -> Span {
    Span::plain(text)
}

fn number(text: &str, name: &str) -> Span {
    Span::figure(text, figure(name))
}

fn chapter(id: &str, title: &str, blocks: Vec<Block>) -> Chapter {
    Chapter { id: id.into(), title: title.into(), blocks }
}

fn summary() -> Chapter {
    let unknown = |text: &str| Span { text: text.into(), figure: None, tone: Tone::Unknown };
    chapter(
        "summary",
        "What the book says",
        vec![
            Block::Answer(vec![
                words("The house can be carried nearly all year: "),
                number("99.1 %", "year/share"),
                words(" of "),
                number("5,343 kWh", "year/load"),
                words(". Two things stand in the way of buying: the utility's answer is "),
                unknown("not known"),
                words(", and one breaker cannot interrupt the battery's fault current."),
            ]),
            Block::Heading("Assumed until you say otherwise".into()),
            Block::List(vec![
                vec![words("Snow covers the rack 9 days in January, because none was given.")],
                vec![words("Modules lose 0.5 % a year; all figures are for year 1.")],
                vec![words(
                    "The well pump starts at six times its running current. Common practice, no source.",
                )],
            ]),
            Block::Heading("Open questions".into()),
            Block::Table(Table {
                id: "questions".into(),
                caption: "Who can answer what".into(),
                columns: vec![left("question"), left("ask"), left("what would move")],
                rows: rows(&[
                    &[
                        "Does the main panel's neutral bond stay when the transfer device opens?",
                        "an electrician on site",
                        "the bond table, two findings",
                    ],
                    &[
                        "Short-circuit current of the battery at its terminals",
                        "the maker's data sheet",
                        "every fuse on the battery bus",
                    ],
                    &["Frost depth", "the building department", "footings of the rack"],
                ]),
                note: "A question that guards a danger counts as not passed until it is answered.".into(),
            }),
        ],
    )
}

fn year() -> Chapter {
    let months: [(&str, &str, &str, &str, &str, &str, &str); 12] = [
        ("Jan", "567", "192", "364", "11", "24", "0"),
        ("Feb", "493", "177", "308", "8", "141", "0"),
        ("Mar", "516", "222", "294", "0", "540", "72"),
        ("Apr", "442", "203", "239", "0", "659", "78"),
        ("May", "402", "194", "209", "0", "936", "81"),
        ("Jun", "346", "167", "179", "0", "910", "84.5"),
        ("Jul", "345", "169", "176", "0", "1,051", "85"),
        ("Aug", "355", "175", "180", "0", "1,036", "84"),
        ("Sep", "387", "178", "208", "0", "776", "81"),
        ("Oct", "452", "177", "275", "0", "508", "73"),
        ("Nov", "490", "180", "309", "0", "245", "70"),
        ("Dec", "552", "159", "363", "30", "44", "0"),
    ];
    let tones = [Tone::Plain, Tone::Plain, Tone::Sun, Tone::Battery, Tone::Backup, Tone::Soft, Tone::Plain];
    let mut table = Table {
        id: "months".into(),
        caption: "Each month of a middling year".into(),
        columns: vec![
            left("month"),
            right("asked", "kWh"),
            right("from sun", "kWh"),
            right("from battery", "kWh"),
            right("from utility", "kWh"),
            right("unused", "kWh"),
            right("lowest charge", "%"),
        ],
        rows: months
            .iter()
            .map(|m| Row {
                cells: [m.0, m.1, m.2, m.3, m.4, m.5, m.6]
                    .iter()
                    .zip(tones)
                    .map(|(text, tone)| Cell {
                        text: text.to_string(),
                        figure: (m.0 == "Dec" && tone == Tone::Backup)
                            .then(|| figure("year/december/backup")),
                        tone: if *text == "0" { Tone::Plain } else { tone },
                    })
                    .collect(),
                total: false,
            })
            .collect(),
        note: "Median of 20 synthetic years. Unused is what the sun offered and nothing took.".into(),
    };
    let total = ["year", "5,347", "2,193", "3,104", "49", "6,870", "0"];
    table.rows.push(Row { cells: total.iter().map(|t| cell(t)).collect(), total: true });
    chapter(
        "year",
        "Will it carry us through the year?",
        vec![
            Block::Answer(vec![
                words("Nearly. Of the "),
                number("5,343 kWh", "year/load"),
                words(" the house asks for in a middling year, sun and battery give "),
                number("99.1 %", "year/share"),
                words(". The utility carries it for "),
                number("88 hours", "year/backup-hours"),
                words(", most of them from 21 Dec to 30 Dec; in 16 of 20 years between 17 and 167."),
            ]),
            Block::Picture {
                id: "monthly-bars".into(),
                title: "Where the energy came from".into(),
                describes: "Each month's use in kWh: straight from the sun, through the battery, and from the utility.".into(),
                drawing: bars(),
            },
            Block::Table(table),
            Block::Finding(FindingBlock {
                code: "EN-204".into(),
                severity: "doubt".into(),
                undecided: false,
                says: "You asked for at most 20 hours on backup; a middling year needs 88".into(),
                more: vec!["Only six years of twenty keep the promise. One more battery brings it to 41 hours.".into()],
                remedies: vec!["add 1 battery".into(), "add 2 modules".into()],
                clause: "common practice, no source".into(),
                place: "line 41, promise backup_hours".into(),
            }),
            Block::Finding(FindingBlock {
                code: "EN-117".into(),
                severity: "note".into(),
                undecided: false,
                says: "The two inverters idle at 62 W each: 1,086 kWh a year, 20 % of what the house uses".into(),
                more: vec![],
                remedies: vec![],
                clause: String::new(),
                place: "line 96, inverters.pair idle".into(),
            }),
        ],
    )
}

fn wiring() -> Chapter {
    let schedule = Table {
        id: "circuits".into(),
        caption: "Conductor schedule".into(),
        columns: vec![
            left("run"),
            left("from"),
            left("to"),
            left("conductor"),
            left("raceway"),
            right("length", "ft"),
            right("design current", "A"),
            right("ampacity as placed", "A"),
            right("protection", "A"),
            right("drop", "%"),
            left("decided by"),
        ],
        rows: rows(&[
            &["W-01", "north rack, string 1", "combiner", "10 AWG copper, USE-2", "free air below modules", "38.5", "17.4", "38", "20", "0.31", "690.8(B)(1)"],
            &["W-02", "north rack, string 2", "combiner", "10 AWG copper, USE-2", "free air below modules", "46", "17.4", "38", "20", "0.37", "690.8(B)(1)"],
            &["W-03", "combiner", "workshop disconnect", "4 AWG copper, THWN-2", "1½ in PVC, buried 24 in", "212", "34.8", "76.5", "60", "1.84", "voltage drop"],
            &["W-04", "battery bus", "inverter A", "4/0 AWG copper, fine strands", "open, within sight", "5.25", "167", "230", "200", "0.12", "310.16 and terminals at 75 °C"],
            &["W-05", "battery bus", "inverter B", "4/0 AWG copper, fine strands", "open, within sight", "5.25", "167", "230", "200", "0.12", "310.16 and terminals at 75 °C"],
            &["W-06", "inverter pair", "main panel", "1/0 AWG aluminium, XHHW-2", "2 in EMT", "14", "100", "120", "not known", "0.08", "waits for the breaker's interrupting rating"],
        ]),
        note: "Drop at design current, both conductors counted. Lengths are one way; 20 % slack is in the bill (common practice, no source).".into(),
    };
    let mut long = Table {
        id: "runs-long".into(),
        caption: "Test sheet, one row per run".into(),
        columns: vec![left("step"), left("measure"), right("expect", "V"), left("reading"), left("initials")],
        rows: (1..=48)
            .map(|n| Row {
                cells: vec![
                    cell(&format!("{n}")),
                    cell(&format!(
                        "string {n}, positive to negative, open circuit, before the fuse is closed"
                    )),
                    cell(&format!("{}", 380.0 + f64::from(n) * 0.5)),
                    cell(""),
                    cell(""),
                ],
                total: false,
            })
            .collect(),
        note: String::new(),
    };
    long.rows[6].cells[2] = Cell { text: "not known".into(), figure: None, tone: Tone::Unknown };
    chapter(
        "wiring",
        "How is it wired, and is it safe?",
        vec![
            Block::Answer(vec![
                words("Six runs are sized; the longest, "),
                number("W-03", "runs/w-03/drop"),
                words(", is decided by its voltage drop of "),
                number("1.84 %", "runs/w-03/drop"),
                words(". One danger is open."),
            ]),
            Block::Caution("The conductors of the rack stay live in daylight whatever switch is open. Cover the modules or work at night, and prove dead before touching.".into()),
            Block::Finding(FindingBlock {
                code: "ST-031".into(),
                severity: "danger".into(),
                undecided: false,
                says: "The battery can deliver 20 kA into a breaker made to interrupt 10 kA".into(),
                more: vec!["A breaker that cannot interrupt bursts and keeps feeding the fault.".into(), "The figure is the battery maker's; the breaker's is stamped on its side.".into()],
                remedies: vec!["put a class T fuse ahead of the breaker".into(), "state the interrupting rating of another breaker".into()],
                clause: "NEC 2023, 110.9, from memory".into(),
                place: "line 112, batteries.rack breaker".into(),
            }),
            Block::Finding(FindingBlock {
                code: "GR-008".into(),
                severity: "breach".into(),
                undecided: true,
                says: "Bonds of the neutral cannot be counted: the inverter's bond is not stated".into(),
                more: vec![],
                remedies: vec!["answer: none, fixed, removable or relay".into()],
                clause: "NEC 2023, 250.24(A)(5), from memory".into(),
                place: "line 88, inverters.pair neutral_bond".into(),
            }),
            Block::Picture {
                id: "one-line".into(),
                title: "One-line diagram".into(),
                describes: "Not to scale. Sources left, house right; each flag is a row of the schedule.".into(),
                drawing: wide(),
            },
            Block::Table(schedule),
            Block::Heading("Readings".into()),
            Block::Table(long),
        ],
    )
}

fn buying() -> Chapter {
    chapter(
        "bill",
        "What do we buy?",
        vec![
            Block::Answer(vec![
                words("61 lines, "),
                number("$24,310", "bill/total"),
                words(" at the prices of your file; 7 lines have no price yet."),
            ]),
            Block::Table(Table {
                id: "bill".into(),
                caption: "The first lines".into(),
                columns: vec![left("part"), right("count", ""), right("each", "USD"), right("sum", "USD")],
                rows: {
                    let mut all = rows(&[
                        &["module, 400 W, 108 half cells", "18", "142.50", "2,565"],
                        &["inverter, 6 kW, 120 V, stackable", "2", "1,890", "3,780"],
                        &["battery, 5.12 kWh, iron phosphate", "6", "1,240", "7,440"],
                        &["conductor 4 AWG copper, THWN-2, ft", "530", "1.79", "948.70"],
                    ]);
                    all.push(Row {
                        cells: ["so far", "", "", "14,733.70"].iter().map(|t| cell(t)).collect(),
                        total: true,
                    });
                    all
                },
                note: String::new(),
            }),
        ],
    )
}

fn workings() -> Chapter {
    let lines = |all: &[(u8, &str)]| all.iter().map(|(depth, text)| (*depth, text.to_string())).collect();
    let working = |name: &str, all: &[(u8, &str)]| Block::Working { figure: figure(name), lines: lines(all) };
    chapter(
        "workings",
        "Where the figures come from",
        vec![
            Block::Text(vec![words(
                "Each figure with the formula as published, its terms, and where each term came from, down to the lines of the design and the rows of tables.",
            )]),
            working(
                "year/share",
                &[
                    (0, "share = (load − backup) / load = (5,343 − 49) / 5,343 = 99.1 %"),
                    (1, "load = 5,343 kWh: 11 appliances scaled by 1.06 to the bills (worksheet 2)"),
                    (2, "design lines 31–92, 214"),
                    (1, "backup = 49 kWh: hourly balance, median of 20 synthetic years, seed 7"),
                ],
            ),
            working("year/load", &[(0, "load = Σ appliances · 1.06 = 5,343 kWh"), (1, "design lines 31–92")]),
            working("year/backup-hours", &[(0, "hours with backup > 0, median of 20 years = 88 h")]),
            working("year/december/backup", &[(0, "30 kWh: hourly balance of December, seed 7")]),
            working(
                "runs/w-03/drop",
                &[
                    (0, "ΔV / V = 2 · L · R · I / V = 2 · 212 ft · 0.321 Ω/kft · 34.8 A / 257 V = 1.84 %"),
                    (1, "L = 212 ft: stated, line 131, routes.rack-to-workshop length"),
                    (
                        1,
                        "R = 0.321 Ω/kft: NEC 2023, chapter 9 table 8, row 4 AWG uncoated stranded copper at 75 °C (from memory)",
                    ),
                    (1, "I = 34.8 A: 690.8(A)(1), two strings in parallel"),
                    (2, "I = 2 · 13.9 A · 1.25 = 34.8 A"),
                    (3, "Isc = 13.9 A: stated, line 58, modules.north short_circuit_current"),
                ],
            ),
            working(
                "bill/total",
                &[(0, "sum of 61 lines; 7 without a price count as nothing and are listed")],
            ),
        ],
    )
}

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

fn cell(text: &str) -> Cell {
    let tone = if text == "not known" { Tone::Unknown } else { Tone::Plain };
    Cell { text: text.into(), figure: None, tone }
}

fn rows(all: &[&[&str]]) -> Vec<Row> {
    all.iter()
        .map(|texts| Row { cells: texts.iter().map(|text| cell(text)).collect(), total: false })
        .collect()
}

fn path(d: String, class: &'static str) -> Shape {
    Shape::Path { d, class, of: String::new(), title: String::new() }
}

fn label(x: f64, y: f64, anchor: Anchor, class: &'static str, text: &str) -> Shape {
    Shape::Text { x, y, size: 3.0, anchor, class, of: String::new(), text: text.into() }
}

fn bars() -> Drawing {
    let mut shapes = vec![path("M14 60H168".into(), "axis"), label(12.0, 61.0, Anchor::End, "ax", "0 kWh")];
    for (at, month) in ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
        .iter()
        .enumerate()
    {
        let x = 16.0 + at as f64 * 12.7;
        shapes.push(path(format!("M{x} 60v-18h9v18z"), "sun"));
        shapes.push(path(format!("M{x} 42v-24h9v24z"), "battery"));
        if at == 0 || at == 11 {
            shapes.push(path(format!("M{x} 18v-3h9v3z"), "backup"));
        }
        shapes.push(label(x + 4.5, 65.0, Anchor::Middle, "ax", month));
    }
    Drawing { width: 170.0, height: 68.0, shapes }
}

fn wide() -> Drawing {
    let mut shapes = vec![path("M0 0H330V150H0Z".into(), "frame")];
    for (at, name) in
        ["rack", "combiner", "disconnect", "inverter A", "inverter B", "main panel"].iter().enumerate()
    {
        let x = 12.0 + at as f64 * 53.0;
        shapes.push(path(format!("M{x} 60h34v26h-34z"), "device"));
        shapes.push(label(x + 17.0, 74.0, Anchor::Middle, "value", name));
        if at > 0 {
            shapes.push(path(format!("M{} 73h19", x - 19.0), "wire-dc"));
            shapes.push(label(x - 9.5, 70.0, Anchor::Middle, "flag-text", &format!("W-0{at}")));
        }
    }
    shapes.push(label(326.0, 146.0, Anchor::End, "note", "not to scale"));
    Drawing { width: 330.0, height: 150.0, shapes }
}
