//! The tables of the answers, as values: terminal, page and book lay out the same ones.

use crate::say::{NOT_KNOWN, Reader, fixed, listed, words};
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::{Fact, FigureName, Measure, Units, units};
use rules::Finding;
use study::{Study, YearStudy};
use wiring::{Raceway, Supply};

/// Month names for heads and rows.
pub const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const LONG: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str, unit: &str) -> Column {
    Column { head: head.into(), unit: unit.into(), align: Align::Right }
}

fn row(cells: Vec<Cell>) -> Row {
    Row { cells, total: false }
}

fn unknown() -> Cell {
    Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown }
}

fn toned(mut cell: Cell, tone: Tone) -> Cell {
    if cell.text.trim_matches(['0', '.', ' ']).is_empty() {
        return cell;
    }
    cell.tone = tone;
    cell
}

/// Months of the middling year in kWh.
pub fn months(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let mut rows: Vec<Row> = year
        .months
        .iter()
        .enumerate()
        .map(|(i, month)| {
            let name = |what: &'static str| ["year", LONG[i], what];
            row(vec![
                words(MONTHS[i]),
                reader.number(&month.load, kwh, 0, &name("load")),
                reader.number(&month.pv, kwh, 0, &name("pv")),
                reader.number(&month.from_sun, kwh, 0, &name("from-sun")),
                reader.number(&month.from_battery, kwh, 0, &name("from-battery")),
                toned(reader.number(&month.backup, kwh, 0, &name("backup")), Tone::Backup),
                toned(reader.number(&month.missing, kwh, 0, &name("missing")), Tone::Danger),
                reader.number(&month.unused, kwh, 0, &name("unused")),
                words(fixed(kwh.of_si(month.exported.si()), 0)),
                reader.number(&month.lowest, &units::PERCENT, 0, &name("lowest-charge")),
            ])
        })
        .collect();
    let sum = |take: fn(&study::MonthStudy) -> f64| kwh.of_si(year.months.iter().map(take).sum());
    let lowest = year.months.iter().map(|m| m.lowest.si()).fold(f64::INFINITY, f64::min);
    rows.push(Row {
        cells: vec![
            words("year"),
            reader.number(&year.load, kwh, 0, &["year", "load"]),
            reader.number(&year.pv, kwh, 0, &["year", "pv"]),
            words(fixed(sum(|m| m.from_sun.si()), 0)),
            words(fixed(sum(|m| m.from_battery.si()), 0)),
            reader.number(&year.backup, kwh, 0, &["year", "backup"]),
            reader.number(&year.missing, kwh, 0, &["year", "missing"]),
            reader.number(&year.unused, kwh, 0, &["year", "unused"]),
            reader.number(&year.exported, kwh, 0, &["year", "exported"]),
            words(fixed(lowest * 100.0, 0)),
        ],
        total: true,
    });
    let mut table = Table {
        id: "months".into(),
        caption: "The middling year, month by month".into(),
        columns: vec![
            left("month"),
            right("asked", "kWh"),
            right("offered by sun", "kWh"),
            right("from sun", "kWh"),
            right("from battery", "kWh"),
            right("from backup", "kWh"),
            right("missing", "kWh"),
            right("unused", "kWh"),
            right("sold", "kWh"),
            right("lowest charge", "%"),
        ],
        rows,
        note: "Asked = from sun + from battery + backup to loads + missing. Backup may also charge the battery. Unused is what the sun offered and nothing took.".into(),
    };
    if year.exported.si() == 0.0 {
        // Nothing is sold, so the column says nothing.
        const SOLD: usize = 8;
        table.columns.remove(SOLD);
        table.rows.iter_mut().for_each(|row| drop(row.cells.remove(SOLD)));
    }
    table
}

/// Where the energy went, each loss by its own formula.
pub fn losses(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let mut rows: Vec<Row> = year
        .losses
        .iter()
        .map(|(cause, loss)| {
            row(vec![words(*cause), reader.number(loss, kwh, 1, &["year", "losses", cause])])
        })
        .collect();
    let total = year.losses.iter().map(|(_, loss)| kwh.of_si(loss.si())).sum::<f64>();
    rows.push(Row { cells: vec![words("together"), words(fixed(total, 1))], total: true });
    Table {
        id: "losses".into(),
        caption: "Where energy was lost in the middling year".into(),
        columns: vec![left("cause"), right("lost", "kWh")],
        rows,
        note: "Every loss comes from its own formula; none is a remainder.".into(),
    }
}

/// Strings cold and hot.
pub fn strings(study: &Study) -> Table {
    let reader = Reader::of(study);
    let volt = &units::VOLT;
    let cell = |fact: &Fact<quantity::Voltage>, name: &[&str]| match fact {
        Fact::Known(traced) => reader.number(traced, volt, 1, name),
        Fact::Unknown(_) => unknown(),
    };
    let rows = study
        .strings
        .iter()
        .map(|s| {
            let name = |what: &'static str| ["strings", &s.name, what].map(str::to_string);
            let named = |fact: &Fact<quantity::Voltage>, what: &'static str| {
                let path = name(what);
                cell(fact, &path.each_ref().map(String::as_str))
            };
            row(vec![
                words(s.name.to_string()),
                words(s.module.to_string()),
                words(s.count.value().map_or_else(|| NOT_KNOWN.to_string(), |n| n.0.to_string())),
                words(format!("{} input {}", s.unit, s.input)),
                named(&s.cold_voc, "cold-voc"),
                named(&s.limit, "limit"),
                named(&s.hot_vmp, "hot-vmp"),
                named(&s.cold_vmp, "cold-vmp"),
                match (s.track_low.si(), s.track_high.si()) {
                    (Some(low), Some(high)) => words(format!("{}–{}", fixed(low, 0), fixed(high, 0))),
                    _ => unknown(),
                },
                words(match (s.shortest.value(), s.longest.value()) {
                    (Some(a), Some(b)) => format!("{}–{}", a.0, b.0),
                    _ => NOT_KNOWN.to_string(),
                }),
            ])
        })
        .collect();
    Table {
        id: "strings".into(),
        caption: "Strings, cold and hot".into(),
        columns: vec![
            left("string"),
            left("module"),
            right("in series", ""),
            left("into"),
            right("cold open circuit", "V"),
            right("limit", "V"),
            right("hot working", "V"),
            right("cold working", "V"),
            right("tracks", "V"),
            right("count allowed", ""),
        ],
        rows,
        note: "Cold open circuit is the voltage that can destroy an input on the coldest bright morning; it must stay at or under the limit.".into(),
    }
}

/// What the house uses.
pub fn loads(study: &Study) -> Table {
    let reader = Reader::of(study);
    let rows = study
        .demand
        .loads
        .iter()
        .map(|load| {
            let wh = |fact: &Fact<quantity::Energy>, what: &str| match fact {
                Fact::Known(traced) => {
                    reader.number(traced, &units::KILOWATT_HOUR, 2, &["loads", &load.name, what])
                }
                Fact::Unknown(_) => unknown(),
            };
            row(vec![
                words(load.name.to_string()),
                words(
                    load.tier
                        .value()
                        .map_or_else(|| NOT_KNOWN.to_string(), |t| format!("{t:?}").to_lowercase()),
                ),
                words(
                    load.leg
                        .value()
                        .map_or_else(|| NOT_KNOWN.to_string(), |l| format!("{l:?}").to_lowercase()),
                ),
                words(load.running_w.map_or_else(|| NOT_KNOWN.to_string(), |w| fixed(w, 0))),
                wh(&load.daily, "daily"),
                wh(&load.yearly, "yearly"),
                match &load.start {
                    Some(Fact::Known(start)) => {
                        reader.number(start, &units::VOLT_AMPERE, 0, &["loads", &load.name, "start"])
                    }
                    Some(Fact::Unknown(_)) => unknown(),
                    None => words(""),
                },
            ])
        })
        .collect();
    Table {
        id: "load-list".into(),
        caption: "What the house uses".into(),
        columns: vec![
            left("load"),
            left("tier"),
            left("leg"),
            right("running", "W"),
            right("day of use", "kWh"),
            right("year", "kWh"),
            right("start", "VA"),
        ],
        rows,
        note: "A load given by its yearly label shows its mean power.".into(),
    }
}

fn short(study: &Study) -> (&'static quantity::Unit, &'static str) {
    match study.design.system.units {
        Units::Us => (&units::FOOT_UNIT, "ft"),
        Units::Metric => (&units::METER, "m"),
    }
}

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
                words("none")
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
            left("ground"),
            right("length", length_word),
            right("drop", "V"),
            right("drop", "%"),
        ],
        rows,
        note: "D is direct, A alternating current. Drop is scheduled with both conductors at 75 °C. A conductor in red is fixed by you and fails a test.".into(),
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
    let reader = Reader::of(study);
    let (length_unit, length_word) = short(study);
    let rows = schedule
        .raceways
        .iter()
        .filter_map(|raceway| {
            let run = study.design.system.runs.get(raceway.run.0)?;
            let segment = run.segments.get(raceway.segment)?;
            let kind = match &raceway.raceway {
                Fact::Known(kind) => match kind.value {
                    Raceway::Open => words("open"),
                    Raceway::Kind(kind) => words(kind.in_words()),
                },
                Fact::Unknown(_) => unknown(),
            };
            let (trade, fill) = match &raceway.fill {
                Some(Fact::Known(fill)) => {
                    let name = ["raceways", &run.name, &(raceway.segment + 1).to_string(), "fill"]
                        .map(str::to_string);
                    (
                        words(fill.value.trade.value.to_string()),
                        reader.number(
                            &fill.value.share,
                            &units::PERCENT,
                            0,
                            &name.each_ref().map(String::as_str),
                        ),
                    )
                }
                Some(Fact::Unknown(_)) => (unknown(), unknown()),
                None => (words(""), words("")),
            };
            Some(row(vec![
                words(run.name.to_string()),
                words((raceway.segment + 1).to_string()),
                words(
                    segment.place.value().map_or_else(|| NOT_KNOWN.to_string(), |p| p.in_words().to_string()),
                ),
                kind,
                trade,
                fill,
                match &segment.length {
                    Fact::Known(length) => reader.number(length, length_unit, 1, &["circuits"]),
                    Fact::Unknown(_) => unknown(),
                },
            ]))
        })
        .map(|mut row| {
            // The length of a part is a line of the design, not a figure of its own.
            if let Some(cell) = row.cells.last_mut() {
                cell.figure = None;
            }
            row
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
            left("trade size"),
            right("fill", "%"),
            right("length", length_word),
        ],
        rows,
        note: "Everything a run carries lies in the same raceway; its equipment ground is counted.".into(),
    })
}

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
        id: "questions".into(),
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
        let what = stated.map(|b| format!("bank of battery \"{}\"", b.bank.battery)).unwrap_or_default();
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

/// Value of a quantity in a unit, for JSON and CSV.
pub fn in_unit<T: Measure>(fact: &Fact<T>, unit: &quantity::Unit) -> Option<f64> {
    fact.si().map(|si| unit.of_si(si))
}
