//! Shorts: what they draw and what ends them.

use crate::say::{NOT_KNOWN, Reader, listed, missing, words};
use crate::sheets::{identifier, left, right, row, toned};
use crate::table::{Cell, Table, Tone};
use quantity::{Current, Fact, units};
use study::Study;
use wiring::{Ended, FarEnd, Sized, Trips};

/// Every circuit with the current a short can draw, the least it draws at the far end and what ends it there.
pub fn faults(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let amperes = |sized: &Sized, fact: &Fact<Current>, what: &str| match fact {
        Fact::Known(current) => reader.number(current, &units::AMPERE, 0, &["circuits", &sized.name, what]),
        Fact::Unknown(_) => Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown },
    };
    let rows = schedule
        .circuits
        .iter()
        .enumerate()
        .map(|(i, sized)| {
            let run = sized.run.and_then(|run| study.design.system.runs.get(run.0));
            let device = run.and_then(|run| run.device.as_ref());
            let breaks = match device.map(|device| &device.interrupting) {
                Some(interrupting) => amperes(sized, interrupting, "interrupting"),
                None if sized.protection.needed.value() == Some(&false) => words("no device"),
                None => words("at least that"),
            };
            let (least, ended) = match &sized.smallest_fault {
                None => (words(""), words("no fuse: see below")),
                Some(_) if study.is_existing(i) => (words(""), words("existing")),
                Some(fault) => (amperes(sized, fault, "smallest-fault"), what_ends(&sized.far_ends)),
            };
            row(vec![
                words(identifier(i, sized)),
                words(match (sized.protection.supply, sized.protection.both_ways) {
                    (wiring::Supply::Ac, true) => format!("{} (fed from both ends)", sized.name),
                    _ => sized.name.to_string(),
                }),
                amperes(sized, &sized.protection.available, "available-fault"),
                breaks,
                least,
                ended,
            ])
        })
        .collect();
    Some(Table {
        id: "faults".into(),
        caption: "What a short draws and what ends it".into(),
        columns: vec![
            left("id"),
            left("circuit"),
            right("at most", "A"),
            right("device breaks", "A"),
            right("at least", "A"),
            left("ended at the far end by"),
        ],
        rows,
        note: note(study::is_iec(study)),
    })
}

fn note(iec: bool) -> String {
    let (breaks, ground, counted, both) = match iec {
        true => (
            "IEC 60364-4-43 434.5.1, from memory",
            "protective conductor",
            "2.55 times its rating (within minutes) and opens at once from ten times (IEC 60898-1, from memory)",
            "with the utility on one side and the inverter on the other: a device marked for one direction is not fit there",
        ),
        false => (
            "NEC 110.9",
            "equipment ground",
            "twice its rating (within minutes) and opens at once from ten times (UL 489, UL 248, from memory)",
            "(NEC 705.30(D), from memory), held by a fastener where it plugs in (408.36(D), from memory)",
        ),
    };
    format!(
        "At most: all sources together at the device, no conductor credited; its device must be able to break that \
         ({breaks}). At least: the weakest source alone, through the whole run at 75 °C, of alternating current to the \
         {ground}. A device is counted on from {counted}. Modules feed a short little more than they give at work, so no \
         fuse of theirs opens on it: it burns while light falls on them, and the ground-fault watch of the equipment, good \
         connectors and whole insulation are what there is against it. On its own the house is fed by inverters, which \
         seldom trip a breaker by a short: they switch off, and what they feed goes dark. A circuit fed from both ends \
         takes a breaker without marks of line and load {both}."
    )
}

/// "its device, at once; fed by inverter A alone: the source switches itself off".
fn what_ends(far_ends: &[FarEnd]) -> Cell {
    let named = |is: &dyn Fn(&FarEnd) -> bool| -> Option<String> {
        let names: Vec<String> =
            far_ends.iter().filter(|end| is(end)).map(|end| end.source.to_string()).collect();
        (!names.is_empty()).then(|| listed(&names))
    };
    let by = |what: Ended| named(&|end: &FarEnd| end.ended.value() == Some(&what));
    let at_once = by(Ended::ByDevice(Trips::AtOnce));
    let (minutes, source) = (by(Ended::ByDevice(Trips::InMinutes)), by(Ended::BySource));
    let nothing = by(Ended::ByNothing);
    let unknown = named(&|end: &FarEnd| !end.ended.is_known());
    let mut said = Vec::new();
    if let Some(names) = at_once {
        said.push(format!("its device at once ({names})"));
    }
    if let Some(names) = minutes {
        said.push(format!("its device within minutes ({names})"));
    }
    if let Some(names) = source {
        said.push(format!("{names} switching off"));
    }
    if let Some(names) = &nothing {
        said.push(format!("nothing known ({names})"));
    }
    if unknown.is_some() {
        let gap = far_ends.iter().filter_map(|end| end.ended.gap()).cloned().reduce(|a, b| a.and(&b));
        let wanted = gap.map_or_else(String::new, |gap| format!(": {}", listed(&missing(&gap))));
        said.push(format!("{NOT_KNOWN}{wanted}"));
    }
    let tone = match (nothing.is_some(), unknown.is_some()) {
        (true, _) => Tone::Danger,
        (_, true) => Tone::Unknown,
        _ => Tone::Plain,
    };
    toned(words(said.join("; ")), tone)
}

/// The far ends of every circuit for a machine, in the order of the schedule.
pub fn as_json(sized: &Sized) -> serde_json::Value {
    let ends = sized.far_ends.iter().map(|end| {
        serde_json::json!({
            "source": &*end.source,
            "current_a": end.current.si(),
            "ended_by": end.ended.value().map(|ended| match ended {
                Ended::ByDevice(Trips::AtOnce) => "device at once",
                Ended::ByDevice(_) => "device in minutes",
                Ended::BySource => "source",
                Ended::ByNothing => "nothing known",
            }),
        })
    });
    ends.collect()
}
