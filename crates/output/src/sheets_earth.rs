//! Faults to earth by IEC 60364-4-41: how long they may stand and what parts them.

use crate::say::{NOT_KNOWN, Reader, listed, missing, words};
use crate::sheets::{identifier, left, right, row, toned};
use crate::table::{Cell, Table, Tone};
use quantity::{Fact, units};
use study::Study;
use wiring::{Disconnection, PartedBy, Returns};

/// Every new circuit of alternating current by each of its sources; `None` where the rules do not ask for it.
pub fn disconnections(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let all = study::disconnections(study);
    if all.is_empty() {
        return None;
    }
    let reader = Reader::of(study);
    let named = |one: &Disconnection, what: &str| study::disconnection_figure(study, one, what);
    let rows = all
        .iter()
        .filter_map(|one| {
            let sized = schedule.circuits.get(one.circuit.0)?;
            let mut longest = reader.number(&one.longest, &units::SECOND, 2, &[]);
            longest.figure = Some(named(one, "longest"));
            let flows = match &one.fault {
                None => words("by earth"),
                Some(Fact::Known(fault)) => {
                    let mut cell = reader.number(fault, &units::AMPERE, 0, &[]);
                    cell.figure = Some(named(one, "current"));
                    cell
                }
                Some(Fact::Unknown(_)) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
            };
            Some(row(vec![
                words(identifier(one.circuit.0, sized)),
                words(sized.name.to_string()),
                words(one.source.to_string()),
                words(one.returns.in_words()),
                flows,
                longest,
                parted(&one.by),
            ]))
        })
        .collect();
    let isolated = if all.iter().any(|one| one.returns == Returns::FirstFault) {
        let signalled = match study.design.system.utility.insulation_monitor.value() {
            Some(true) => "an insulation monitor signals it",
            Some(false) => "nothing signals it",
            None => "whether anything signals it is not known",
        };
        format!(
            " No live part is tied to earth (IT): a first fault draws next to nothing and parts nothing; {signalled} (411.6.3), and it \
             is found and mended at once, for until then the other conductor has its full voltage to earth. Judged here is the \
             second fault, on the other conductor of another circuit: half the current of a loop, in the times of a TN system \
             (411.6.4), all exposed parts at one electrode."
        )
    } else {
        String::new()
    };
    Some(Table {
        id: "earth-faults".into(),
        caption: "A fault to earth: how long it may stand and what parts it".into(),
        columns: vec![
            left("id"),
            left("circuit"),
            left("fed by"),
            left("returns by"),
            right("flows", "A"),
            right("at most", "s"),
            left("parted in that time by"),
        ],
        rows,
        note: "Live conductor to the protective conductor at the far end, each source alone, conductors at 75 °C. Times by \
               IEC 60364-4-41 table 41.1, 411.3.2.3 and 411.3.2.4: circuits between boards 5 s in a TN and 1 s in a TT \
               system, circuits up to 32 A that end at equipment by the table. A breaker opens at once from 5, 10 or 20 \
               times its rating by its letter B, C or D; one that is planned here counts as C, so buy B or C. A \
               residual-current device is counted on from five times its rating, and through earth while its rating \
               times the resistance of the electrode stays within 50 V (411.5.3). On its own the house is fed by an \
               inverter that seldom trips a breaker: a residual-current device parts the fault then, or the inverter's \
               voltage is gone in time (411.3.2.5). All from memory. Measure the loop and the trip times before first \
               use and write them down (IEC 60364-6)."
            .to_string()
            + &isolated,
    })
}

fn parted(by: &Fact<PartedBy>) -> Cell {
    match by {
        Fact::Known(by) => match by.value {
            PartedBy::Device => words("its breaker or fuse"),
            PartedBy::Residual => words("a residual-current device"),
            PartedBy::Source => words("the source: its voltage is gone"),
            PartedBy::Nothing => toned(words("nothing known"), Tone::Danger),
        },
        Fact::Unknown(gap) => toned(words(format!("{NOT_KNOWN}: {}", listed(&missing(gap)))), Tone::Unknown),
    }
}

/// The same for a machine.
pub(crate) fn as_json(study: &Study) -> serde_json::Value {
    let all = study::disconnections(study);
    let rows = all.iter().map(|one| {
        serde_json::json!({
            "circuit": study.design.graph.circuits.get(one.circuit.0).map(|c| c.name.to_string()),
            "source": &*one.source,
            "returns_by": match one.returns {
                Returns::Copper => "copper",
                Returns::Earth => "earth",
                Returns::FirstFault => "first fault",
            },
            "current_a": one.fault.as_ref().and_then(|fault| fault.si()),
            "longest_s": units::SECOND.of_si(one.longest.si()),
            "touch_v": one.touch.as_ref().map(|touch| units::VOLT.of_si(touch.si())),
            "parted_by": one.by.value().map(|by| match by {
                PartedBy::Device => "overcurrent device",
                PartedBy::Residual => "residual-current device",
                PartedBy::Source => "source",
                PartedBy::Nothing => "nothing known",
            }),
        })
    });
    rows.collect()
}
