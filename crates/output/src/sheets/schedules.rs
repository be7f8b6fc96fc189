//! Circuits, raceways and equipment.

use super::{left, right, row, short, unknown};
use crate::say::{NOT_KNOWN, Reader, words};
use crate::table::{Cell, Table, Tone};
use quantity::{Fact, FigureName, units};
use study::Study;
use wiring::Supply;

/// Conductor sizes with their sets, as "2 × 4/0 AWG".
fn conductor(sized: &wiring::Sized) -> Cell {
    match &sized.conductor {
        Fact::Known(conductor) => {
            let c = &conductor.value;
            let size = wiring::Size { gauge: c.gauge.value, sets: c.sets.value.0 };
            let tone = if c.fails.is_empty() { Tone::Plain } else { Tone::Danger };
            Cell {
                text: size.to_string(),
                figure: Some(FigureName::new(&["circuits", &sized.name, "conductor"])),
                tone,
            }
        }
        Fact::Unknown(_) => unknown(),
    }
}

/// Circuit schedule.
pub fn circuits(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let iec = study::is_iec(study);
    let reader = Reader::of(study);
    let (length_unit, length_word) = short(study);
    let rows = schedule
        .circuits
        .iter()
        .enumerate()
        .map(|(i, sized)| {
            let name = |what: &'static str| ["circuits", &sized.name, what].map(str::to_string);
            let number = |fact: &Fact<quantity::Current>, what: &'static str| match fact {
                Fact::Known(traced) => {
                    let path = name(what);
                    reader.number(traced, &units::AMPERE, 1, &path.each_ref().map(String::as_str))
                }
                Fact::Unknown(_) => unknown(),
            };
            let device = if sized.protection.needed.value() == Some(&false) {
                // Of strings it is what can flow back that needs none.
                let back_flow = FigureName::new(&["circuits", &sized.name, "back-flow"]);
                let figure = study.figures.contains_key(&back_flow).then_some(back_flow);
                Cell { text: "none".into(), figure, tone: Tone::Plain }
            } else {
                match &sized.protection.rating {
                    Fact::Known(rating) => {
                        reader.number(rating, &units::AMPERE, 0, &["circuits", &sized.name, "device"])
                    }
                    Fact::Unknown(_) => unknown(),
                }
            };
            if study.is_existing(i) {
                let mut cells = vec![words(identifier(i, sized)), words(sized.name.to_string())];
                cells.extend((0..4).map(|_| words("")));
                cells[5] = Cell { text: "existing".into(), figure: None, tone: Tone::Soft };
                cells.extend((0..4).map(|_| words("")));
                return row(cells);
            }
            row(vec![
                words(identifier(i, sized)),
                words(sized.name.to_string()),
                number(&sized.currents.maximum, "maximum-current"),
                number(&sized.currents.continuous, "continuous-current"),
                device,
                conductor(sized),
                reader.gauge(&sized.ground, &["circuits", &sized.name, "ground"]),
                match &sized.length {
                    Fact::Known(length) => {
                        reader.number(length, length_unit, 1, &["circuits", &sized.name, "length"])
                    }
                    Fact::Unknown(_) => unknown(),
                },
                match &sized.drop {
                    Fact::Known(drop) => {
                        reader.number(drop, &units::VOLT, 2, &["circuits", &sized.name, "drop"])
                    }
                    Fact::Unknown(_) => unknown(),
                },
                match &sized.drop_share {
                    Fact::Known(share) => {
                        reader.number(share, &units::PERCENT, 2, &["circuits", &sized.name, "drop-share"])
                    }
                    Fact::Unknown(_) => unknown(),
                },
            ])
        })
        .collect();
    Some(Table {
        id: "circuits".into(),
        caption: "Circuit schedule".into(),
        columns: vec![
            left("id"),
            left("circuit"),
            right("maximum", "A"),
            right("continuous", "A"),
            right("device", "A"),
            left("conductor"),
            left(if iec { "protective" } else { "ground" }),
            right("length", length_word),
            right("drop", "V"),
            right("drop", "%"),
        ],
        rows,
        note: format!(
            "D is direct, A alternating current. Drop is scheduled with both conductors at 75 °C. A conductor in red is fixed by you and fails a test.{}",
            if iec {
                " Protective is the protective conductor that runs with it (IEC 60364-5-54 table 54.2, from memory)."
            } else {
                ""
            }
        ),
    })
}

/// Short identifier of a circuit, the same on drawing, schedule and bill.
pub fn identifier(index: usize, sized: &wiring::Sized) -> String {
    let kind = match sized.protection.supply {
        Supply::Dc => "D",
        Supply::Ac => "A",
    };
    format!("{kind}{:02}", index + 1)
}

/// Raceway schedule.
pub fn raceways(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let iec = study::is_iec(study);
    let reader = Reader::of(study);
    let (length_unit, length_word) = short(study);
    let rows = schedule
        .raceways
        .iter()
        .filter_map(|raceway| {
            let run = study.design.system.runs.get(raceway.run.0)?;
            let segment = run.segments.get(raceway.segment)?;
            let kind = match &raceway.raceway {
                Fact::Known(kind) => words(kind.value.in_words()),
                Fact::Unknown(_) => unknown(),
            };
            let part = (raceway.segment + 1).to_string();
            let name = |what| ["raceways", &run.name, &part, what];
            let (trade, fill) = match &raceway.fill {
                Some(Fact::Known(fill)) => {
                    let trade = Cell {
                        text: fill.value.trade.value.to_string(),
                        figure: Some(FigureName::new(&name("trade-size"))),
                        tone: Tone::Plain,
                    };
                    (trade, reader.number(&fill.value.share, &units::PERCENT, 0, &name("fill")))
                }
                Some(Fact::Unknown(_)) => (unknown(), unknown()),
                None => (words(""), words("")),
            };
            Some(row(vec![
                words(run.name.to_string()),
                words(part.as_str()),
                words(
                    segment.place.value().map_or_else(|| NOT_KNOWN.to_string(), |p| p.in_words().to_string()),
                ),
                kind,
                trade,
                fill,
                match &segment.length {
                    Fact::Known(length) => reader.number(length, length_unit, 1, &name("length")),
                    Fact::Unknown(_) => unknown(),
                },
            ]))
        })
        .collect();
    Some(Table {
        id: "raceways".into(),
        caption: "Raceway schedule".into(),
        columns: vec![
            left("run"),
            right("part", ""),
            left("where"),
            left("raceway"),
            left(if iec { "size" } else { "trade size" }),
            right("fill", "%"),
            right("length", length_word),
        ],
        rows,
        note: match iec {
            true => "Everything a run carries lies in the same raceway; its protective conductor is counted. Conduit is named by its outside diameter (IEC 60423), and its maker states what is inside. IEC 60364 leaves how much of it may be filled to national practice: here 50 % by one conductor, 33 % by two, 40 % by more (AS/NZS 3000 appendix C, from memory), and 45 % of a trunking (common practice, no source).",
            false => "Everything a run carries lies in the same raceway; its equipment ground is counted.",
        }
        .into(),
    })
}

/// Equipment.
pub fn equipment(study: &Study) -> Table {
    let system = &study.design.system;
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    for unit in &system.units_in_place {
        let (what, output) = match (&unit.part, system.inverter_of(unit)) {
            (design::system::UnitPart::Inverter(name), Some(part)) => {
                (format!("inverter \"{name}\""), reader.fact(&part.output))
            }
            (design::system::UnitPart::Controller(name), _) => {
                let charge =
                    system.controller(name).map_or_else(|| NOT_KNOWN.into(), |c| reader.fact(&c.charge));
                (format!("charge controller \"{name}\""), charge)
            }
            _ => ("not known".to_string(), NOT_KNOWN.to_string()),
        };
        rows.push(row(vec![
            words(unit.name.to_string()),
            words(what),
            words(output),
            words(unit.room.to_string()),
        ]));
    }
    for bank in &study.banks {
        let stated = system.bank(&bank.name);
        let room = stated.map(|b| b.bank.room.to_string()).unwrap_or_default();
        let mut what = stated.map(|b| format!("bank of battery \"{}\"", b.bank.battery)).unwrap_or_default();
        if bank.share.is_some() && bank.bus != bank.name {
            what.push_str(&format!(" on the busbars of \"{}\"", bank.bus));
        }
        let size = format!("{}, {}", reader.fact(&bank.capacity), reader.fact(&bank.nominal));
        rows.push(row(vec![words(bank.name.to_string()), words(what), words(size), words(room)]));
    }
    for engine in &system.engines {
        let size =
            system.generator(&engine.generator).map_or_else(|| NOT_KNOWN.into(), |g| reader.fact(&g.output));
        rows.push(row(vec![
            words(engine.name.to_string()),
            words(format!("generator \"{}\"", engine.generator)),
            words(size),
            words(engine.building.to_string()),
        ]));
    }
    for transfer in &system.transfers {
        rows.push(row(vec![
            words(transfer.transfer.name.to_string()),
            words("transfer device"),
            words(reader.fact(&transfer.transfer.rating)),
            words(transfer.building.to_string()),
        ]));
    }
    for panel in &system.panels {
        rows.push(row(vec![
            words(panel.name.to_string()),
            words("panel"),
            words(format!("bus {}", reader.fact(&panel.bus))),
            words(panel.building.to_string()),
        ]));
    }
    Table {
        id: "equipment".into(),
        caption: "Equipment".into(),
        columns: vec![left("name"), left("what"), left("rating"), left("where")],
        rows,
        note: String::new(),
    }
}
