//! Before anything is switched on: how capacitors are filled, where storage stands, room to work, what to read.

use crate::say::{NOT_KNOWN, Reader, fixed, words};
use crate::sheets::{left, right, row};
use crate::table::{Cell, Table, Tone};
use quantity::{Fact, Measure, Traced, units};
use study::Study;

fn unknown() -> Cell {
    Cell { text: NOT_KNOWN.into(), figure: None, tone: Tone::Unknown }
}

fn cell<T: Measure>(
    reader: &Reader,
    fact: &Fact<T>,
    unit: &quantity::Unit,
    decimals: usize,
    figure: &[&str],
) -> Cell {
    match fact {
        Fact::Known(traced) => reader.number(traced, unit, decimals, figure),
        Fact::Unknown(_) => unknown(),
    }
}

/// How the capacitors of the inverters on each bank are filled.
pub fn pre_charge(study: &Study) -> Option<Table> {
    let reader = Reader::of(study);
    let fills = study::pre_charges(study);
    let rows: Vec<_> = fills
        .iter()
        .map(|fill| {
            let figure = |what: &'static str| ["pre-charge".to_string(), fill.bank.to_string(), what.into()];
            macro_rules! number {
                ($fact:expr, $unit:expr, $decimals:expr, $what:literal) => {
                    cell(&reader, &$fact, $unit, $decimals, &figure($what).each_ref().map(String::as_str))
                };
            }
            // A resistor that is not stated is what one would take; where parts do it themselves none is wanted.
            let by = fill.by.value().copied();
            let wanted = !matches!(by, Some(study::FilledBy::Battery | study::FilledBy::Inverters));
            let or_none = |cell: Cell| if wanted { cell } else { words("") };
            row(vec![
                words(fill.bank.to_string()),
                words(wiring::drawn_together(&fill.inverters)),
                number!(fill.capacitance, &units::NUMBER, 1, "capacitance"),
                number!(fill.energy, &units::JOULE, 1, "energy"),
                match &fill.by {
                    Fact::Known(by) if by.value == study::FilledBy::Nothing => {
                        Cell { text: by.value.in_words().into(), figure: None, tone: Tone::Danger }
                    }
                    Fact::Known(by) => words(by.value.in_words()),
                    Fact::Unknown(_) => unknown(),
                },
                or_none(number!(fill.resistor, &units::OHM, 1, "resistor")),
                or_none(number!(fill.first, &units::AMPERE, 1, "first-current")),
                or_none(number!(fill.time, &units::SECOND, 2, "time")),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "pre-charge".into(),
        caption: "Filling the capacitors before a battery is switched on".into(),
        columns: vec![
            left("bank"),
            left("inverters"),
            right("capacitance", "mF"),
            right("energy", "J"),
            left("filled by"),
            right("resistor", "Ω"),
            right("at first", "A"),
            right("hold for", "s"),
        ],
        rows,
        note: "Empty capacitors are a short for a moment. With a resistor of your own: main switch open, close the path, hold \
               it for the time given and read the battery's voltage at the inverter, then close the main switch and open the \
               path. A voltage that does not rise is a short or a wrong polarity: leave the switch open. The resistor takes \
               up as much energy as the capacitors and must bear it in one pulse. One that is not stated is the smallest of \
               the E6 series that lets at most 3 A through (common practice)."
            .into(),
    })
}

/// Storage by place against what may stand there.
pub fn storage(study: &Study) -> Option<Table> {
    if nec_only(study) {
        return None;
    }
    let reader = Reader::of(study);
    let places = study::storage_places(study);
    let rows: Vec<_> = places
        .iter()
        .map(|place| {
            let kwh = &units::KILOWATT_HOUR;
            let none = place.allowed.si() == Some(0.0);
            row(vec![
                words(place.room.to_string()),
                match place.kind.value() {
                    Some(kind) => {
                        let tone = if none { Tone::Danger } else { Tone::Plain };
                        Cell { text: kind.in_words().into(), figure: None, tone }
                    }
                    None => unknown(),
                },
                words(wiring::drawn_together(&place.banks)),
                cell(&reader, &place.together, kwh, 1, &["places", &place.room, "storage"]),
                cell(&reader, &place.allowed, kwh, 0, &["places", &place.room, "most"]),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "storage".into(),
        caption: "Where storage stands".into(),
        columns: vec![
            left("place"),
            left("kind"),
            left("banks"),
            right("in places of its kind", "kWh"),
            right("at most", "kWh"),
        ],
        rows,
        note: "NFPA 855 (2023), chapter 15, and IRC R328 (read second-hand), for one- and two-family dwellings: units of 1 to \
               20 kWh, none where people live and sleep. Editions differ from county to county, and a rack built from \
               listed units may not count as listed storage: ask before you buy."
            .into(),
    })
}

/// Whether the rules of these tables are not those of the design.
fn nec_only(study: &Study) -> bool {
    study::rule_set(&study.design.system) == Some(wiring::RuleSet::Iec60364)
}

/// The kind before a name that does not say it already: "inverter A", "battery \"rack\"".
fn in_front_of(what: &str, name: &str) -> String {
    let says_it =
        name.to_lowercase().split_whitespace().any(|word| what.split_whitespace().any(|w| w == word));
    if says_it { name.to_string() } else { format!("{what} \"{name}\"") }
}

/// Free space in front of equipment against what is asked.
pub fn working_space(study: &Study) -> Option<Table> {
    if nec_only(study) {
        return None;
    }
    let reader = Reader::of(study);
    let rows: Vec<_> = study::working_spaces(study)
        .iter()
        .map(|space| {
            let own = space.stated.as_ref();
            let name: &str = &space.name;
            let there = |fact: Option<&Fact<quantity::Length>>,
                         least: Option<&Traced<quantity::Length>>,
                         what: &'static str| {
                match fact {
                    Some(Fact::Known(own)) => {
                        let short =
                            least.is_some_and(|least| own.si() < least.si() - least.si() * quantity::SAME);
                        let tone = if short { Tone::Danger } else { Tone::Plain };
                        Cell { tone, ..reader.known(own, &["working-space", name, what]) }
                    }
                    _ => unknown(),
                }
            };
            row(vec![
                words(in_front_of(space.what, &space.name)),
                cell(&reader, &space.to_ground, &units::VOLT, 0, &["working-space", name, "to-ground"]),
                reader.cell(&space.depth, &["working-space", name, "depth"]),
                there(own.map(|own| &own.depth), space.depth.known(), "depth-there"),
                reader.known(&space.width, &["working-space", name, "width"]),
                there(own.map(|own| &own.width), Some(&space.width), "width-there"),
                reader.known(&space.height, &["working-space", name, "height"]),
                there(own.map(|own| &own.height), Some(&space.height), "height-there"),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        id: "working-space".into(),
        caption: "Room to work".into(),
        columns: vec![
            left("in front of"),
            right("to ground", "V"),
            right("depth asked", ""),
            right("there", ""),
            right("width asked", ""),
            right("there", ""),
            right("height asked", ""),
            right("there", ""),
        ],
        rows,
        note: match study::is_iec(study) {
            true => "IEC 60364-7-729 729.513.2 (from memory): measured from the front, kept free for good; storing things there is what takes the way out from a person.",
            false => "NEC 110.26(A): measured from the front, kept free for good; storing things there is what takes the way out from a person. Above and below a panel, 6 ft or to the ceiling, no pipe or duct runs (110.26(E)).",
        }
        .into(),
    })
}

/// What a meter shows at each panel when all is well, and what another reading means.
pub fn readings(study: &Study) -> Option<Table> {
    study.wiring.as_ref().ok()?;
    let iec = study::is_iec(study);
    let stacks: Vec<_> = wiring::leg_problems(&study.design.graph)
        .into_iter()
        .filter_map(|problem| match problem {
            wiring::LegProblem::StackPhase { units, panel, in_step, .. } => Some((units, panel, in_step)),
            _ => None,
        })
        .collect();
    let mut rows = Vec::new();
    for panel in &study.design.system.panels {
        let mut put = |points: &str, reads: &str, otherwise: &str| {
            rows.push(row(vec![
                words(panel.name.to_string()),
                words(points),
                words(reads),
                words(otherwise),
            ]));
        };
        let low = "0 V: nothing feeds it, or the way from the source is open";
        // Volts between the outer conductors: 120, 230 or twice 120.
        match panel.volts.value().map(|volts| volts.across()) {
            None => put("leg to neutral", NOT_KNOWN, ""),
            Some(_) if panel.three_phase => {
                put("each line to neutral", "207 to 253 V", low);
                put(
                    "line to line, all three pairs",
                    "360 to 440 V",
                    "0 V: both hang on the same phase of the supply; switch off, for their neutral carries the sum",
                );
            }
            Some(volts) if volts > 235.0 => {
                put(
                    "each leg to neutral",
                    "114 to 126 V",
                    "one leg high and the other low: the neutral is open; switch off at once",
                );
                let stack = stacks.iter().find(|(_, at, _)| {
                    study.design.graph.node(*at).is_some_and(|node| node.name == panel.name)
                });
                match stack {
                    Some((ids, _, in_step)) => {
                        let names: Vec<_> = ids
                            .iter()
                            .filter_map(|id| study.design.graph.node(*id))
                            .map(|node| node.name.clone())
                            .collect();
                        let wrong = format!(
                            "{} V: {} run in step, not half a cycle apart, and a shared neutral carries the sum; switch off and set them before any load is connected",
                            fixed(units::VOLT.of_si(in_step.si()), 0),
                            wiring::drawn_together(&names)
                        );
                        put("leg to leg", "228 to 252 V", &wrong);
                    }
                    None => put(
                        "leg to leg",
                        "228 to 252 V",
                        "0 V: both legs hang on one leg of the source; no circuit may share a neutral",
                    ),
                }
            }
            Some(volts) if volts < 150.0 => put("leg to neutral", "114 to 126 V", low),
            Some(_) => put("line to neutral", "207 to 253 V", low),
        }
        if study::arrangement(study) == Some(wiring::Arrangement::It) {
            put(
                "neutral to earth",
                "a floating voltage, about half of that to the line",
                "a steady 0 V, or the full voltage: one conductor has a fault to earth, or a tie is closed that may not be",
            );
            continue;
        }
        put(
            if iec { "neutral to earth" } else { "neutral to ground" },
            "0 V; below 2 V once loads run",
            match iec {
                true => {
                    "the full voltage or a floating one: the tie of this state is missing; see the ties between neutral and earth"
                }
                false => {
                    "the full voltage or a floating one: the tie of this state is missing; see the ties between neutral and ground"
                }
            },
        );
    }
    (!rows.is_empty()).then(|| Table {
        id: "readings".into(),
        caption: "What to read when it is first switched on, before any load is connected".into(),
        columns: vec![left("panel"), left("between"), left("reads"), left("another reading means")],
        rows,
        note: match iec {
            true => "230 V within 10 % (EN 50160, from memory). Below 2 V from neutral to earth is common practice. Only with a meter \
                     and leads rated for the place, proved before and after.",
            false => "120 V and 240 V within 5 % (ANSI C84.1, range A, from memory), 230 V within 10 % (EN 50160, from memory). \
                      Below 2 V from neutral to ground is common practice. Only with a meter and leads rated for the place, proved \
                      before and after.",
        }
        .into(),
    })
}

/// Filling, storage and room to work for a machine.
pub fn as_json(study: &Study) -> [(&'static str, serde_json::Value); 3] {
    use serde_json::json;
    let fills = study::pre_charges(study).into_iter().map(|fill| {
        json!({
            "bank": &*fill.bank,
            "inverters": fill.inverters.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "capacitance_mf": fill.capacitance.si(),
            "energy_j": fill.energy.si(),
            "filled_by": fill.by.value().map(|by| by.in_words()),
            "resistor_ohm": fill.resistor.si(),
            "first_a": fill.first.si(),
            "time_s": fill.time.si(),
        })
    });
    let (fills, mut places, mut spaces) = (fills.collect(), Vec::new(), Vec::new());
    if !nec_only(study) {
        let kwh = |fact: &Fact<quantity::Energy>| fact.si().map(|si| units::KILOWATT_HOUR.of_si(si));
        places.extend(study::storage_places(study).iter().map(|place| {
            json!({
                "room": &*place.room,
                "kind": place.kind.value().map(|kind| kind.in_words()),
                "banks": place.banks.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "in_places_of_its_kind_kwh": kwh(&place.together),
                "at_most_kwh": kwh(&place.allowed),
            })
        }));
        spaces.extend(study::working_spaces(study).iter().map(|space| {
            let own = space.stated.as_ref();
            json!({
                "at": &*space.name,
                "to_ground_v": space.to_ground.si(),
                "depth_asked_m": space.depth.si(),
                "depth_m": own.and_then(|own| own.depth.si()),
                "width_asked_m": space.width.si(),
                "width_m": own.and_then(|own| own.width.si()),
                "height_asked_m": space.height.si(),
                "height_m": own.and_then(|own| own.height.si()),
            })
        }));
    }
    [
        ("pre_charge", fills),
        ("storage", serde_json::Value::Array(places)),
        ("working_space", serde_json::Value::Array(spaces)),
    ]
}
