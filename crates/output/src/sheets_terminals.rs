//! Terminals and torque: both ends of every circuit, as a table and for a machine.

use crate::json::number;
use crate::say::{NOT_KNOWN, Reader, words};
use crate::sheets::identifier;
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use design::terminals::Landing;
use quantity::{Fact, FigureName, Standing, nec};
use study::Study;
use wiring::RuleSet;

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn row(cells: Vec<Cell>) -> Row {
    Row { cells, total: false }
}

fn toned(text: String, tone: Tone) -> Cell {
    Cell { text, figure: None, tone }
}

/// Terminal schedule: both ends of every circuit.
pub fn terminals(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let graph = &study.design.graph;
    let rules = study::rule_set(&study.design.system);
    let metric = rules == Some(RuleSet::Iec60364);
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    for end in study::terminal_ends(study) {
        let k = end.circuit;
        let (Some(sized), Some(node)) = (schedule.circuits.get(k), graph.node(end.node)) else { continue };
        let conductor = match (sized.gauge().value(), sized.sets().value()) {
            (Some(gauge), Some(sets)) => Cell {
                text: wiring::Size { gauge: *gauge, sets: sets.0 }.to_string(),
                figure: Some(FigureName::new(&["circuits", &sized.name, "conductor"])),
                tone: Tone::Plain,
            },
            _ if study.is_existing(k) => toned("existing".into(), Tone::Soft),
            _ => toned(NOT_KNOWN.into(), Tone::Unknown),
        };
        let mut cells = vec![
            words(identifier(k, sized)),
            words(node.name.to_string()),
            words(node.kind.in_words()),
            conductor,
        ];
        if !metric {
            cells.push(match &sized.terminals {
                _ if study.is_existing(k) => words(""),
                Fact::Known(column) => words(format!("{:.0} °C", column.value.celsius())),
                Fact::Unknown(_) => toned(NOT_KNOWN.into(), Tone::Unknown),
            });
        }
        cells.push(takes(study, &end));
        cells.push(torque(study, &reader, &end));
        cells.push(words(""));
        rows.push(row(cells));
    }
    let mut columns = vec![left("id"), left("at"), left("equipment"), left("conductor")];
    if !metric {
        columns.push(left("sized at"));
    }
    columns.push(left("takes it"));
    columns.push(left("torque"));
    columns.push(left("done, by whom"));
    let clause = nec("2023", "110.14(D)", Standing::Remembered);
    let clause = rules.map_or(clause, |rules| wiring::in_edition(rules, clause));
    Some(Table {
        id: "terminals".into(),
        caption: "Terminals and torque".into(),
        columns,
        rows,
        note: format!(
            "A terminal takes its conductor when size, metal, strands, number and temperature are as its data sheet says; what is not stated is not known. Torques are those stated; where none is, the label inside the door has it. Use a calibrated tool, and set each screw once more after some days only where the maker asks for it ({clause})."
        ),
    })
}

/// Whether a terminal takes its conductor, in a word or with the reason against.
fn takes(study: &Study, end: &study::End<'_>) -> Cell {
    match (&end.on, end.taken.refusals.first()) {
        (_, Some(refusal)) => toned(format!("no: {refusal}"), Tone::Danger),
        (Landing::Connector, None) => toned("connector of the same make and type".into(), Tone::Soft),
        (Landing::OfUtility, None) => toned("of the utility".into(), Tone::Soft),
        _ if study.is_existing(end.circuit) => words(""),
        _ if end.taken.missing.is_some() => toned(NOT_KNOWN.into(), Tone::Unknown),
        _ => words("yes"),
    }
}

/// The stated torque; the label has it where none is stated.
fn torque(study: &Study, reader: &Reader, end: &study::End<'_>) -> Cell {
    match &end.on {
        Landing::Connector => toned("pushed home, pulled to prove".into(), Tone::Soft),
        Landing::OfUtility => words(""),
        Landing::Terminal(terminal) if terminal.torque.is_known() => Cell {
            text: reader.fact(&terminal.torque),
            figure: study::torque_figure(study, end),
            tone: Tone::Plain,
        },
        Landing::Terminal(_) | Landing::NotStated(_) => toned("as on its label".into(), Tone::Unknown),
    }
}

/// The same for a machine: whether it takes the conductor is null where it is not known or not ours to know.
pub(crate) fn as_json(study: &Study) -> serde_json::Value {
    let Ok(schedule) = &study.wiring else { return serde_json::Value::Null };
    let graph = &study.design.graph;
    let ends = study::terminal_ends(study);
    let rows = ends.iter().filter_map(|end| {
        let (sized, node) = (schedule.circuits.get(end.circuit)?, graph.node(end.node)?);
        let (on, torque) = match &end.on {
            Landing::Terminal(terminal) => ("terminal", terminal.torque.si()),
            Landing::NotStated(_) => ("not stated", None),
            Landing::Connector => ("connector", None),
            Landing::OfUtility => ("of the utility", None),
        };
        let refusals: Vec<String> = end.taken.refusals.iter().map(ToString::to_string).collect();
        let decided = matches!(end.on, Landing::Terminal(_)) && !study.is_existing(end.circuit);
        let takes = match (refusals.is_empty(), end.taken.takes()) {
            (false, _) => Some(false),
            (true, true) if decided => Some(true),
            _ => None,
        };
        Some(serde_json::json!({
            "id": identifier(end.circuit, sized),
            "circuit": &*sized.name,
            "at": &*node.name,
            "on": on,
            "takes": takes,
            "against": refusals,
            "torque_nm": torque.map(number),
        }))
    });
    rows.collect()
}
