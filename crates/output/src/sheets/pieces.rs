//! What holds the raceways together: supports, connectors, couplings, bends, fittings; boxes where the method changes.

use super::{left, right, row, short, unknown};
use crate::say::{Reader, words};
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Count, Fact, FigureName, units};
use study::Study;
use wiring::{BoxSize, JointKind, Run, SizedRaceway};

fn figure(run: &Run, segment: usize, what: &str) -> FigureName {
    FigureName::new(&["raceways", &run.name, &(segment + 1).to_string(), what])
}

fn count(run: &Run, row: &SizedRaceway, what: &str, fact: Option<&Fact<Count>>) -> Cell {
    match fact {
        None => words(""),
        Some(Fact::Known(n)) => Cell {
            text: n.value.0.to_string(),
            figure: Some(figure(run, row.segment, what)),
            tone: Tone::Plain,
        },
        Some(Fact::Unknown(_)) => unknown(),
    }
}

/// Pieces of every part of a route; `None` where the rules at hand have no such distances.
pub fn raceway_pieces(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let (length_unit, length_word) = short(study);
    let runs = &study.design.system.runs;
    let rows: Vec<Row> = schedule
        .raceways
        .iter()
        .filter(|row| row.hardware != wiring::Hardware::default())
        .filter_map(|each| {
            let run = runs.get(each.run.0)?;
            let hardware = &each.hardware;
            let connectors = hardware.connectors.clone().map(Fact::Known);
            let number = (each.segment + 1).to_string();
            let stretch = schedule
                .stretches
                .iter()
                .find(|stretch| stretch.run == each.run && stretch.parts.0 == each.segment);
            Some(row(vec![
                words(run.name.to_string()),
                words(number.clone()),
                words(each.raceway.value().map_or("", |raceway| raceway.in_words())),
                match &hardware.between {
                    Some(Fact::Known(between)) => reader.number(
                        between,
                        length_unit,
                        1,
                        &["raceways", &run.name, &number, "support-distance"],
                    ),
                    Some(Fact::Unknown(_)) => unknown(),
                    None => words(""),
                },
                count(run, each, "supports", hardware.supports.as_ref()),
                count(run, each, "connectors", connectors.as_ref()),
                count(run, each, "couplings", hardware.couplings.as_ref()),
                count(run, each, "quarter-bends", hardware.quarter_bends.as_ref()),
                count(run, each, "expansion-fittings", hardware.expansion_fittings.as_ref()),
                match stretch.map(|stretch| (&stretch.bends, stretch.passes.value())) {
                    Some((Fact::Known(bends), passes)) => {
                        let mut cell = reader.number(
                            bends,
                            &units::DEGREE_UNIT,
                            0,
                            &["raceways", &run.name, &number, "bends"],
                        );
                        if passes == Some(&false) {
                            cell.tone = Tone::Danger;
                        }
                        cell
                    }
                    Some((Fact::Unknown(_), _)) => unknown(),
                    None => words(""),
                },
            ]))
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    Some(Table {
        id: "raceway-pieces".into(),
        caption: "Supports, connectors and fittings".into(),
        columns: vec![
            left("run"),
            right("part", ""),
            left("in"),
            right("support every", length_word),
            right("supports", ""),
            right("connectors", ""),
            right("couplings", ""),
            right("quarter bends", ""),
            right("expansion fittings", ""),
            right("bends to a pull", "°"),
        ],
        rows,
        note: "One support stands near each end. Tubing is bent on the site; other pipe is bought with its bends. Expansion fittings stand where plastic pipe lengthens with heat and where buried pipe comes out of the ground. Bends are those of the stretch that begins with this part, up to the next box or pull point: 360° at most (NEC 344.26 and its like, from memory).".into(),
    })
}

/// Boxes and fittings where the method changes, and boxes to pull through.
pub fn boxes(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let runs = &study.design.system.runs;
    let mut rows: Vec<(usize, usize, Row)> = Vec::new();
    for joint in &schedule.joints {
        let Some(run) = runs.get(joint.run.0) else { continue };
        let between = format!("{} and {}", joint.after + 1, joint.after + 2);
        let (what, size) = match joint.kind {
            JointKind::Fitting => {
                (words(study::joint_in_words(run, schedule, joint)), words("made for both raceways"))
            }
            JointKind::Box => {
                let what = if joint.transition { "transition box" } else { "junction box" };
                let size = match &joint.size {
                    Some(Fact::Known(size)) => size_cell(run, joint.after, "box", joint.wet, &size.value),
                    Some(Fact::Unknown(_)) => unknown(),
                    None => words("by its maker"),
                };
                (words(what), size)
            }
        };
        let conductors = match (joint.kind, joint.spliced) {
            (_, true) => "joined",
            (_, false) => "pass through",
        };
        let place = if joint.wet { "keeps water out" } else { "dry" };
        let cells =
            vec![words(run.name.to_string()), words(between), what, size, words(conductors), words(place)];
        rows.push((joint.run.0, joint.after, row(cells)));
    }
    for each in &schedule.raceways {
        let Some(run) = runs.get(each.run.0) else { continue };
        let Some(points) = &each.hardware.pull_points else { continue };
        let many = match points {
            Fact::Known(points) => points.value.0.to_string(),
            Fact::Unknown(_) => crate::say::NOT_KNOWN.to_string(),
        };
        let (what, size) = match &each.hardware.pull_box {
            None => ("conduit body", words("of the raceway's trade size")),
            Some(Fact::Known(size)) => {
                ("pull box", size_cell(run, each.segment, "pull-box", false, &size.value))
            }
            Some(Fact::Unknown(_)) => ("pull box", unknown()),
        };
        let wet = run.segments.get(each.segment).and_then(|s| s.place.value()).is_none_or(|p| p.is_wet());
        let cells = vec![
            words(run.name.to_string()),
            words(format!("in {}", each.segment + 1)),
            words(format!("{many} × {what}")),
            size,
            words("pass through"),
            words(if wet { "keeps water out" } else { "dry" }),
        ];
        rows.push((each.run.0, each.segment, row(cells)));
    }
    if rows.is_empty() {
        return None;
    }
    rows.sort_by_key(|(run, part, _)| (*run, *part));
    Some(Table {
        id: "boxes".into(),
        caption: "Boxes and fittings where the method changes".into(),
        columns: vec![
            left("run"),
            left("parts"),
            left("what"),
            left("size"),
            left("conductors"),
            left("place"),
        ],
        rows: rows.into_iter().map(|(.., row)| row).collect(),
        note: match study::is_iec(study) {
            true => "Every box stays within reach and open to inspection (IEC 60364-5-52 526.3, from memory). Its maker says how many conductors of which size it takes, and how well it keeps water out: IP 54 at least outdoors, IP 65 on a roof (common practice). Module conductors are live in it whenever light falls on the modules.",
            false => "Every box stays within reach. Up to 6 AWG it is sized by the space its conductors take, each counted once and once on each side of a joint, the grounds together once (NEC 314.16); from 4 AWG by the raceways that enter, eight times the largest straight through, six times and the others at a turn (314.28, from memory). Module conductors are live in it whenever light falls on the modules.",
        }
        .into(),
    })
}

fn size_cell(run: &Run, segment: usize, what: &str, wet: bool, size: &BoxSize) -> Cell {
    let text = match size {
        BoxSize::Volume { metal: Some(metal), .. } if !wet => {
            let has = quantity::print_in(metal.volume.si(), &units::CUBIC_INCH);
            format!("{}; square metal {} in has {has}", size.in_words(), metal.trade_size)
        }
        _ => size.in_words(),
    };
    Cell { text, figure: Some(figure(run, segment, what)), tone: Tone::Plain }
}

/// Both for a machine.
pub(crate) fn as_json(study: &Study) -> serde_json::Value {
    use serde_json::{Value as Json, json};
    let Ok(schedule) = &study.wiring else { return Json::Null };
    let runs = &study.design.system.runs;
    let size = |size: Option<&BoxSize>| match size {
        None => Json::Null,
        Some(BoxSize::Volume { needs, metal }) => json!({
            "volume_in3": units::CUBIC_INCH.of_si(needs.si()),
            "square_metal_box": metal.as_ref().map(|metal| metal.trade_size.to_string()),
        }),
        Some(BoxSize::Pull { straight, turn }) => json!({
            "straight_in": straight.as_ref().map(|straight| units::INCH_UNIT.of_si(straight.si())),
            "turn_in": units::INCH_UNIT.of_si(turn.si()),
        }),
    };
    schedule
        .joints
        .iter()
        .map(|joint| {
            json!({
                "run": runs.get(joint.run.0).map(|run| run.name.to_string()),
                "after_part": joint.after + 1,
                "what": match joint.kind { JointKind::Box => "box", JointKind::Fitting => "fitting" },
                "transition": joint.transition,
                "conductors_joined": joint.spliced,
                "wet": joint.wet,
                "size": size(joint.size.as_ref().and_then(|fact| fact.value())),
            })
        })
        .collect()
}
