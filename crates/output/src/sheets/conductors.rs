//! Colours of conductors, room to bend them, and signal cables.

use super::{identifier, left, right, row, unknown};
use crate::say::{NOT_KNOWN, Reader, words};
use crate::table::{Cell, Table, Tone};
use quantity::{FigureName, units};
use study::Study;

/// Colour of every conductor and the room it needs at a terminal; circuits of one kind share a row.
pub fn colours(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let rules = study::rule_set(&study.design.system)?;
    let graph = &study.design.graph;
    let metric = rules == wiring::RuleSet::Iec60364;
    let mut rows = Vec::new();
    for (k, sized) in schedule.circuits.iter().enumerate() {
        if study.is_existing(k) {
            continue;
        }
        let Some(circuit) = graph.circuits.get(sized.circuit.0) else { continue };
        let supply = sized.protection.supply;
        let colours = wiring::colours(circuit, supply, &sized.currents.volts, rules);
        let gauge = sized.gauge();
        let size = gauge.value().copied();
        let space = match size.and_then(wiring::bending_space) {
            Some(space) => Cell {
                text: quantity::print_in(quantity::Measure::si(space.value), &units::INCH_UNIT),
                figure: Some(FigureName::new(&["circuits", &sized.name, "bending-space"])),
                tone: Tone::Plain,
            },
            _ => words(""),
        };
        let mut cells = vec![
            words(identifier(k, sized)),
            words(sized.name.to_string()),
            match colours {
                Some(all) => {
                    let each: Vec<String> =
                        all.iter().map(|c| format!("{} {}", c.conductor, c.colour)).collect();
                    words(each.join(", "))
                }
                None => unknown(),
            },
            match size {
                Some(size) => {
                    words(if wiring::marked_at_ends(size) { "along it or at both ends" } else { "all along" })
                }
                None => unknown(),
            },
        ];
        // The metric rules leave that room to the standard of the board.
        if !metric {
            cells.push(space);
        }
        rows.push(row(cells));
    }
    if rows.is_empty() {
        return None;
    }
    let mut columns = vec![left("id"), left("circuit"), left("colours"), left("marked")];
    let mut note = format!(
        "Colours by {}. Neither pole of direct current is marked like a neutral or a {}.",
        wiring::colours_clause(rules),
        if metric { "protective conductor" } else { "ground" }
    );
    if !metric {
        columns.push(right("bending space", ""));
        note.push_str(" Bending space is from a terminal to the wall it faces, one conductor on each; listed equipment has it where conductors leave as its maker shows (NEC 312.6, from memory).");
    }
    Some(Table { id: "colours".into(), caption: "Colours and room at terminals".into(), columns, rows, note })
}

/// Signal cables with their way, their distance from power conductors and their ends.
pub fn cables(study: &Study) -> Option<Table> {
    let cables = &study.design.system.cables;
    if cables.is_empty() {
        return None;
    }
    let reader = Reader::of(study);
    let rows = cables
        .iter()
        .map(|cable| {
            row(vec![
                words(cable.name.to_string()),
                words(cable.between.iter().map(|name| name.to_string()).collect::<Vec<_>>().join(" to ")),
                words(cable.carries.to_string()),
                words(cable.way.to_string()),
                reader.cell(&cable.length, &["cables", &cable.name, "length"]),
                reader.cell(&cable.longest, &["cables", &cable.name, "longest"]),
                words(cable.separation.value().map_or(NOT_KNOWN, |lies| lies.in_words())),
                words(cable.ends.value().map_or(NOT_KNOWN.to_string(), |ends| ends.to_string())),
            ])
        })
        .collect();
    Some(Table {
        id: "cables".into(),
        caption: "Signal cables".into(),
        columns: vec![
            left("cable"),
            left("joins"),
            left("carries"),
            left("way"),
            right("length", ""),
            right("at most", ""),
            left("lies"),
            left("ends"),
        ],
        rows,
        note: match study::is_iec(study) {
            true => "Signal cables keep 50 mm from power conductors, or lie behind a barrier or in a raceway of their own (IEC 60364-5-52 528.1, from memory; the distance is common practice).",
            false => "Signal cables keep 2 in from power conductors, or lie behind a barrier or in a raceway of their own (NEC 725.136, 800.133, from memory).",
        }
        .into(),
    })
}

/// Signal cables for a machine.
pub(crate) fn cables_as_json(study: &Study) -> serde_json::Value {
    let cables = &study.design.system.cables;
    cables
        .iter()
        .map(|cable| {
            serde_json::json!({
                "name": cable.name.to_string(),
                "between": cable.between.iter().map(|name| name.to_string()).collect::<Vec<_>>(),
                "carries": cable.carries.to_string(),
                "way": cable.way.to_string(),
                "length_m": super::in_unit(&cable.length, &units::METER),
                "longest_m": super::in_unit(&cable.longest, &units::METER),
                "lies": cable.separation.value().map(|lies| lies.in_words()),
                "ends": cable.ends.value().map(|ends| ends.to_string()),
            })
        })
        .collect()
}
