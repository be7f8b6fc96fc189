//! Poles of devices and what the neutral carries.

use crate::say::Reader;
use crate::say::words;
use crate::sheets::{identifier, left, right, row};
use crate::table::Table;
use quantity::units;
use study::Study;

const METRIC_NOTE: &str = "A device opens every line conductor at once and never the neutral alone. In a TN system the neutral may stay closed, and a \
    combined protective and neutral conductor (PEN) is never opened; in TT and IT systems the neutral is opened with the line \
    (IEC 60364-5-53 537.1.2 and 60364-4-43 431.2, from memory). The neutral of one line carries all of its current; \
    that of three lines as much as one of them while the others rest, and what many electronic loads add to it.";

/// Circuits of alternating current with the poles that open them and the current of their neutral.
pub fn neutrals(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let iec = study::is_iec(study);
    let rows: Vec<_> = study::neutrals(study)
        .iter()
        .filter_map(|neutral| {
            let sized = schedule.circuits.get(neutral.circuit)?;
            let name: &str = &sized.name;
            let amps = |fact: &quantity::Fact<quantity::Current>, what: &str| match fact {
                quantity::Fact::Known(traced) => {
                    reader.number(traced, &units::AMPERE, 1, &["circuits", name, what])
                }
                quantity::Fact::Unknown(_) => reader.cell(fact, &["circuits", name, what]),
            };
            let mut cells = vec![
                words(identifier(neutral.circuit, sized)),
                words(name.to_string()),
                reader.number(&neutral.poles, &units::COUNT, 0, &["circuits", name, "poles"]),
                words(match (neutral.legs, iec) {
                    (3, _) => "three lines, neutral",
                    (2, _) => "two hot, neutral",
                    (_, true) => "line, neutral",
                    (_, false) => "hot, neutral",
                }),
                amps(&neutral.at_most, "neutral"),
            ];
            // Houses of 230 V have no two legs half a cycle apart.
            if !iec {
                cells.push(match &neutral.in_step {
                    Some(in_step) => amps(in_step, "neutral-in-step"),
                    None => words(""),
                });
            }
            Some(row(cells))
        })
        .collect();
    let note = match study::neutral_of_loads(study).value() {
        Some(amps) => format!(
            " With everything listed running at once the neutral of the house carries {}.",
            reader.measure(*amps)
        ),
        None => String::new(),
    };
    let mut columns = vec![
        left("id"),
        left("circuit"),
        right("poles opened", ""),
        left("conductors"),
        right("neutral at most", "A"),
    ];
    if !iec {
        columns.push(right("if legs were in step", "A"));
    }
    (!rows.is_empty()).then(|| Table {
        id: "neutrals".into(),
        caption: "Poles and neutrals".into(),
        columns,
        rows,
        note: if iec { METRIC_NOTE.to_string() } else { format!(
            "A device opens every hot conductor at once and never the neutral alone. Of two legs half a cycle apart the neutral carries the \
             difference, at most one leg's whole current while the other rests. Set in step by mistake, or fed both by one 120 V source, it \
             carries the sum and nothing opens: read leg to leg before loads are connected.{note}"
        ) },
    })
}

/// The same for a machine.
pub(crate) fn as_json(study: &Study) -> serde_json::Value {
    let Ok(schedule) = &study.wiring else { return serde_json::Value::Null };
    let neutrals = study::neutrals(study);
    let rows = neutrals.iter().filter_map(|neutral| {
        let sized = schedule.circuits.get(neutral.circuit)?;
        Some(serde_json::json!({
            "id": identifier(neutral.circuit, sized),
            "circuit": &*sized.name,
            "poles": neutral.poles.value.0,
            "line_conductors": neutral.legs,
            "neutral_a": neutral.at_most.si(),
            "neutral_in_step_a": neutral.in_step.as_ref().and_then(|fact| fact.si()),
        }))
    });
    rows.collect()
}
