//! What to buy, what to ask, what was assumed, what was found.

use super::{left, right, row, short, unknown};
use crate::say::{Reader, listed, words};
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Fact, units};
use rules::Finding;
use study::Study;

/// The purchase list.
pub fn bill(study: &Study) -> Table {
    let reader = Reader::of(study);
    let (length_unit, length_word) = short(study);
    let mut rows = Vec::new();
    let mut group = None;
    for line in &study.bill.lines {
        let name = |what: &'static str| ["bill", line.group.in_words(), &line.item, what].map(str::to_string);
        let path = |what| name(what);
        let amount = match (&line.pieces, &line.length) {
            (Some(Fact::Known(n)), _) => {
                let p = path("pieces");
                reader.number(n, &units::COUNT, 0, &p.each_ref().map(String::as_str))
            }
            (_, Some(Fact::Known(length))) => {
                let p = path("length");
                let mut cell = reader.number(length, length_unit, 0, &p.each_ref().map(String::as_str));
                cell.text = format!("{} {length_word}", cell.text);
                cell
            }
            _ => unknown(),
        };
        let total = match &line.total {
            Fact::Known(total) => {
                let p = path("total");
                reader.number(total, &units::COIN, 2, &p.each_ref().map(String::as_str))
            }
            Fact::Unknown(_) => Cell { text: "no price".into(), figure: None, tone: Tone::Unknown },
        };
        let serves: Vec<String> = line.serves.iter().map(ToString::to_string).collect();
        let serves = if serves.len() > 3 {
            format!("{} and {} more", serves[..2].join(", "), serves.len() - 2)
        } else {
            listed(&serves)
        };
        let first = group != Some(line.group);
        group = Some(line.group);
        rows.push(row(vec![
            words(if first { line.group.in_words() } else { "" }),
            words(line.item.to_string()),
            words(serves),
            amount,
            words(line.note.to_string()),
            total,
        ]));
    }
    rows.push(Row {
        cells: vec![
            words("together"),
            words(""),
            words(""),
            words(""),
            words(""),
            reader.number(&study.bill.total, &units::COIN, 2, &["bill", "total"]),
        ],
        total: true,
    });
    Table {
        id: "bill".into(),
        caption: "What to buy".into(),
        columns: vec![
            left("group"),
            left("item"),
            left("for"),
            right("amount", ""),
            left("sold in"),
            right("sum", study.design.system.currency.code()),
        ],
        rows,
        note: "Wire has 20 % slack (common practice, no source). Lines without a price are not in the sum."
            .into(),
    }
}

/// Short name of the table of [`questions`]; what heads its rows are paths of fields.
pub const QUESTIONS: &str = "questions";

/// What is not known, whom to ask, and what it keeps open.
pub fn questions(study: &Study, findings: &[Finding]) -> Table {
    let rows = study
        .design
        .questions()
        .into_iter()
        .map(|q| {
            let line = study.design.place_of(&q.field).map(|(line, _)| line.to_string()).unwrap_or_default();
            let open = kept_open(study, findings, &q.field);
            row(vec![
                words(q.field.to_string()),
                words(q.doc),
                words(q.ask.in_words()),
                words(open),
                words(line),
            ])
        })
        .collect();
    Table {
        id: QUESTIONS.into(),
        caption: "Open questions".into(),
        columns: vec![left("field"), left("what"), left("ask"), left("keeps open"), right("line", "")],
        rows,
        note: "A blank that a danger depends on stays unknown; it is never filled in for you.".into(),
    }
}

/// What an unknown field keeps from being said: findings, circuits, the year, the purchase.
pub fn kept_open(study: &Study, findings: &[Finding], field: &quantity::FieldPath) -> String {
    let names = |gap: &quantity::Gap| gap.missing.iter().any(|m| m.field == *field);
    let mut open: Vec<String> = findings
        .iter()
        .filter(|f| f.undecided.as_ref().is_some_and(names))
        .map(|f| f.code.to_string())
        .collect();
    open.dedup();
    if let Err(study::Unanswered::Missing(gap)) = &study.year
        && names(gap)
    {
        open.push("the year".into());
    }
    if let Ok(schedule) = &study.wiring {
        let circuits = schedule.circuits.iter().filter(|c| c.conductor.gap().is_some_and(names)).count();
        if circuits > 0 {
            open.push(crate::say::plural(circuits, "circuit", "circuits"));
        }
    }
    let lines = study.bill.gaps().into_iter().filter(|gap| names(gap)).count();
    if lines > 0 {
        open.push(crate::say::plural(lines, "line of the bill", "lines of the bill"));
    }
    if field.as_str().starts_with("permits.") || field.as_str().ends_with(".listed") {
        open.push("the purchase".into());
    }
    if open.is_empty() { String::new() } else { listed(&open) }
}

/// What was assumed: defaults of blank fields and what the hourly models took, alike ones on one line.
pub fn assumptions(study: &Study) -> Table {
    let mut lines: Vec<([String; 3], Vec<String>)> = Vec::new();
    let mut put = |key: [String; 3], field: String| match lines.iter_mut().find(|(known, _)| *known == key) {
        Some((_, fields)) => {
            if !fields.contains(&field) {
                fields.push(field);
            }
        }
        None => lines.push((key, vec![field])),
    };
    for a in study.design.assumptions() {
        put([a.value.to_string(), a.because.to_string(), a.moves.to_string()], a.field.to_string());
    }
    let stated: Vec<String> = study.design.assumptions().iter().map(|a| a.field.to_string()).collect();
    for figure in study.figures.values() {
        figure.origin.walk(&mut |origin| {
            if let quantity::Origin::Assumed(reason) = origin
                && !stated.contains(&reason.field.to_string())
            {
                put(
                    [String::new(), reason.because.to_string(), reason.moves.to_string()],
                    reason.field.to_string(),
                );
            }
        });
    }
    let rows = lines
        .into_iter()
        .map(|([value, because, moves], fields)| {
            row(vec![words(together(&fields)), words(value), words(because), words(moves)])
        })
        .collect();
    Table {
        id: "assumptions".into(),
        caption: "Assumptions".into(),
        columns: vec![left("field"), left("taken as"), left("because"), left("moves")],
        rows,
        note: "A fact that a danger hangs on has no default of ours. Where a code names the case to take, such as the \
               class of terminals or the soil, that case is taken and stands here."
            .into(),
    }
}

/// One field by its path, several of a table as "10 of load: count".
fn together(fields: &[String]) -> String {
    let [first, .., _] = fields else { return fields.first().cloned().unwrap_or_default() };
    let table = first.split('.').next().unwrap_or("");
    let key = first.rsplit('.').next().unwrap_or("");
    if fields.iter().all(|f| f.starts_with(table) && f.ends_with(key)) {
        format!("{} of {table}: {key}", fields.len())
    } else {
        fields.join(", ")
    }
}

/// What is recorded but rests under no answer yet.
pub fn recorded(study: &Study) -> Table {
    let rows = study.design.recorded().into_iter().map(|r| row(vec![words(r.field.to_string())])).collect();
    Table {
        id: "recorded".into(),
        caption: "Recorded, not yet used".into(),
        columns: vec![left("field")],
        rows,
        note: String::new(),
    }
}

/// Findings in short.
pub fn findings(study: &Study, findings: &[Finding]) -> Table {
    let rows = findings
        .iter()
        .map(|f| {
            let line = f.at.first().and_then(|p| study.design.place_of(&p.field)).map(|(l, _)| l.to_string());
            let undecided = if f.undecided.is_some() { " (undecided)" } else { "" };
            row(vec![
                words(f.code),
                words(format!("{}{undecided}", f.severity.word())),
                words(f.says.clone()),
                words(line.unwrap_or_default()),
            ])
        })
        .collect();
    Table {
        id: "findings".into(),
        caption: "Findings".into(),
        columns: vec![left("code"), left("severity"), left("what"), right("line", "")],
        rows,
        note: String::new(),
    }
}
