//! What watches the modules, and what takes surges.

use crate::say::{Reader, words};
use crate::sheets::{left, right, row};
use crate::table::{Cell, Table, Tone};
use quantity::{Fact, units};
use std::sync::Arc;
use study::Study;

/// What does a thing: nothing is told as plainly as something.
fn doer(fact: &Fact<Arc<str>>, asked: bool) -> Cell {
    match fact {
        Fact::Known(name) if !name.value.is_empty() => words(name.value.to_string()),
        Fact::Known(_) if asked => Cell { text: "nothing".into(), figure: None, tone: Tone::Danger },
        Fact::Known(_) => words("nothing"),
        Fact::Unknown(_) => not_known(),
    }
}

fn not_known() -> Cell {
    Cell { text: crate::say::NOT_KNOWN.into(), figure: None, tone: Tone::Unknown }
}

/// What watches the modules of each unit, and where their conductors have surge protective devices.
pub fn array_watch(study: &Study) -> Option<Table> {
    study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let watches = study::array_watches(study);
    let metric = watches.iter().any(|watch| watch.way_without.is_some());
    let rows: Vec<_> = watches
        .iter()
        .map(|watch| {
            let length = |fact: &Fact<quantity::Length>, what: &str| {
                reader.cell(fact, &["array-watch", &watch.unit, what])
            };
            let mut cells = vec![
                words(watch.unit.to_string()),
                words(wiring::drawn_together(&watch.strings)),
                doer(&watch.ground_faults, watch.ground_faults_asked),
                doer(&watch.arcs, watch.arcs_asked),
                doer(&watch.surges_here, false),
                doer(&watch.surges_at_modules, false),
                length(&watch.way, "way"),
            ];
            if metric {
                cells.push(
                    watch.way_without.as_ref().map_or_else(|| words(""), |most| length(most, "way-without")),
                );
            }
            row(cells)
        })
        .collect();
    let mut columns = vec![
        left("modules at"),
        left("strings"),
        left(if metric { "current to earth watched by" } else { "current to ground watched by" }),
        left("arcs watched by"),
        left("surges taken there by"),
        left("and at the modules by"),
        right("longest way", ""),
    ];
    let mut note = String::from(if metric {
        "Current to earth: IEC 62548 6.4; arcs: IEC 63027, asked for by who buys; all from memory. "
    } else {
        "Current to ground: NEC 690.41(B); arcs at 80 V and more on or in a building: NEC 690.11, from memory. "
    });
    if metric {
        columns.push(right("most without", ""));
        note.push_str("From the most that may be without, devices stand at the unit, beyond 10 m at both ends (IEC 60364-7-712 712.443, from memory). ");
    } else {
        note.push_str("Beyond 10 m of conductors devices at both ends are common practice. ");
    }
    note.push_str(
        "Surge protective devices stop no direct stroke; their leads stay shorter than half a metre.",
    );
    (!rows.is_empty()).then(|| Table {
        id: "array-watch".into(),
        caption: "What watches the modules".into(),
        columns,
        rows,
        note,
    })
}

/// Surge protective devices, and where one is asked for and none stands.
pub fn surges(study: &Study) -> Option<Table> {
    study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let mut rows: Vec<_> = study
        .design
        .system
        .surges
        .iter()
        .map(|surge| {
            let on = match surge.on_modules.value() {
                Some(true) => words("module circuits"),
                Some(false) => words("alternating current"),
                None => not_known(),
            };
            row(vec![
                words(surge.name.to_string()),
                words(surge.at.to_string()),
                on,
                surge.kind.value().map_or_else(not_known, |kind| words(kind.in_words())),
                reader.cell(&surge.volts, &["surges", &surge.name, "volts"]),
            ])
        })
        .collect();
    for asked in study::surges_asked(study) {
        if !study::surges_at(study, &asked.at).is_empty() || asked.dwelling.value() == Some(&false) {
            continue;
        }
        let (says, tone) = match (asked.existing, asked.dwelling.value()) {
            (true, _) => ("none; asked for when it is replaced", Tone::Plain),
            (false, Some(_)) => ("none, and one is asked for", Tone::Danger),
            (false, None) => ("none; whether one is asked for is not known", Tone::Unknown),
        };
        let says = Cell { text: says.into(), figure: None, tone };
        rows.push(row(vec![
            says,
            words(asked.at.to_string()),
            words("alternating current"),
            words(""),
            words(""),
        ]));
    }
    (!rows.is_empty()).then(|| Table {
        id: "surges".into(),
        caption: "Surge protective devices".into(),
        columns: vec![
            left("device"),
            left("at"),
            left("protects"),
            left("type"),
            right("lies at no more than", ""),
        ],
        rows,
        note: "Dwellings: type 1 or 2 at the service (NEC 230.67) and, since 2023, at panels that feeders bring power to (215.18; both \
               from memory). Its indicator is looked at with every season: one that has done its work protects no more."
            .into(),
    })
}

/// Breaker spaces of panels into which this design puts breakers.
pub fn spaces(study: &Study) -> Option<Table> {
    study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let rows: Vec<_> = study::panel_spaces(study)
        .iter()
        .map(|panel| {
            let free = match &panel.free {
                Fact::Known(free) => {
                    let cell =
                        reader.number(free, &units::COUNT, 0, &["panels", &panel.panel, "spaces-free"]);
                    let short = free.value.0 < panel.needs.value.0;
                    Cell { tone: if short { Tone::Danger } else { Tone::Plain }, ..cell }
                }
                Fact::Unknown(_) => not_known(),
            };
            row(vec![
                words(panel.panel.to_string()),
                words(panel.serves.join(", ")),
                reader.number(&panel.needs, &units::COUNT, 0, &["panels", &panel.panel, "spaces-needed"]),
                free,
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "spaces".into(),
        caption: "Breaker spaces".into(),
        columns: vec![left("panel"), left("breakers of"), right("needed", ""), right("free", "")],
        rows,
        note: "One space for each pole. Branch circuits of the loads stand in no design; free are the spaces they leave.".into(),
    })
}

/// The same for a machine.
pub(crate) fn as_json(study: &Study) -> [(&'static str, serde_json::Value); 3] {
    use serde_json::json;
    let doer = |fact: &Fact<Arc<str>>| fact.value().map(|name| name.to_string());
    let metres = |fact: &Fact<quantity::Length>| fact.si().map(|si| units::METER.of_si(si));
    let watches = study::array_watches(study);
    let watches = watches.iter().map(|watch| {
        json!({
            "unit": &*watch.unit,
            "strings": watch.strings.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "ground_faults_by": doer(&watch.ground_faults),
            "arcs_by": doer(&watch.arcs),
            "arcs_asked": watch.arcs_asked,
            "surges_here_by": doer(&watch.surges_here),
            "surges_at_modules_by": doer(&watch.surges_at_modules),
            "longest_way_m": metres(&watch.way),
            "most_without_m": watch.way_without.as_ref().and_then(metres),
        })
    });
    let devices = study.design.system.surges.iter().map(|surge| {
        json!({
            "device": &*surge.name,
            "at": &*surge.at,
            "on_modules": surge.on_modules.value(),
            "type": surge.kind.value().map(|kind| kind.in_words()),
            "most_v": surge.volts.si(),
        })
    });
    let panels = study::panel_spaces(study);
    let spaces = panels.iter().map(|panel| {
        json!({
            "panel": &*panel.panel,
            "for": panel.serves.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "needed": panel.needs.value.0,
            "free": panel.free.value().map(|free| free.0),
        })
    });
    [("array_watch", watches.collect()), ("surges", devices.collect()), ("spaces", spaces.collect())]
}
