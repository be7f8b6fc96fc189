//! Poles of devices and what the neutral carries.

use crate::say::Reader;
use crate::say::words;
use crate::sheets::{identifier, left, right, row};
use crate::table::Table;
use quantity::units;
use study::Study;

/// Circuits of alternating current with the poles that open them and the current of their neutral.
pub fn neutrals(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
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
            Some(row(vec![
                words(identifier(neutral.circuit, sized)),
                words(name.to_string()),
                reader.number(&neutral.poles, &units::COUNT, 0, &["circuits", name, "poles"]),
                words(if neutral.legs == 2 { "two hot, neutral" } else { "hot, neutral" }),
                amps(&neutral.at_most, "neutral"),
                match &neutral.in_step {
                    Some(in_step) => amps(in_step, "neutral-in-step"),
                    None => words(""),
                },
            ]))
        })
        .collect();
    let note = match study::neutral_of_loads(study).value() {
        Some(amps) => format!(
            " With everything listed running at once the neutral of the house carries {}.",
            reader.measure(*amps)
        ),
        None => String::new(),
    };
    (!rows.is_empty()).then(|| Table {
        id: "neutrals".into(),
        caption: "Poles and neutrals".into(),
        columns: vec![
            left("id"),
            left("circuit"),
            right("poles opened", ""),
            left("conductors"),
            right("neutral at most", "A"),
            right("if legs were in step", "A"),
        ],
        rows,
        note: format!(
            "A device opens every hot conductor at once and never the neutral alone. Of two legs half a cycle apart the neutral carries the \
             difference, at most one leg's whole current while the other rests. Set in step by mistake, or fed both by one 120 V source, it \
             carries the sum and nothing opens: read leg to leg before loads are connected.{note}"
        ),
    })
}
