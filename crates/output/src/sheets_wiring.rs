//! What hangs inside the door: lock-out map and sequences, bond table.

use crate::say::{NOT_KNOWN, Reader, words};
use crate::sheets::identifier;
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::FigureName;
use std::sync::Arc;
use study::Study;
use wiring::{BondVerdict, Isolation, Moment, NodeId, NodeKind, RuleSet, StateFacts, Step};

/// Every table of the wiring in the order of the book: schedules first, what hangs inside the doors last.
pub fn tables(study: &Study) -> Vec<Table> {
    let tables = [
        crate::sheets::circuits(study),
        crate::sheets_legs::neutrals(study),
        crate::sheets_loss::losses(study),
        crate::sheets::raceways(study),
        crate::sheets::boxes(study),
        crate::sheets::raceway_pieces(study),
        crate::sheets::colours(study),
        crate::sheets::cables(study),
        crate::sheets_terminals::terminals(study),
        crate::sheets_faults::faults(study),
        crate::sheets_protect::array_watch(study),
        crate::sheets_protect::surges(study),
        crate::sheets_earth::disconnections(study),
        bonds(study),
        electrodes(study),
        crate::sheets_protect::spaces(study),
        crate::sheets_service::busbars(study),
        crate::sheets_service::dwelling(study),
        crate::sheets_places::storage(study),
        crate::sheets_places::working_space(study),
        crate::sheets_places::pre_charge(study),
        crate::sheets_places::readings(study),
        lock_out(study),
    ];
    tables.into_iter().flatten().chain(enclosures(study)).collect()
}

fn left(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Left }
}

fn right(head: &str) -> Column {
    Column { head: head.into(), unit: String::new(), align: Align::Right }
}

fn row(cells: Vec<Cell>) -> Row {
    Row { cells, total: false }
}

fn toned(text: String, tone: Tone) -> Cell {
    Cell { text, figure: None, tone }
}

fn names(study: &Study, ids: &[NodeId]) -> String {
    let names: Vec<Arc<str>> =
        ids.iter().filter_map(|id| study.design.graph.node(*id)).map(|node| node.name.clone()).collect();
    wiring::drawn_together(&names)
}

/// The switches of a set by their circuit identifiers: "A03, A05".
fn set_of(study: &Study, facts: &StateFacts, set: &[wiring::SwitchId]) -> String {
    let Ok(schedule) = &study.wiring else { return String::new() };
    let ids: Vec<String> = set
        .iter()
        .filter_map(|id| facts.switches.get(id.0))
        .filter_map(|point| {
            let id = identifier(point.circuit.0, schedule.circuits.get(point.circuit.0)?);
            // Beside its overcurrent device a circuit may have a switch of its own.
            let one = facts.switches.iter().filter(|other| other.circuit == point.circuit).count() == 1;
            Some(if one { id } else { format!("{id} {}", point.kind.in_words()) })
        })
        .collect();
    ids.join(", ")
}

fn opens(study: &Study, facts: &StateFacts, isolation: &Isolation) -> String {
    let mut said: Vec<String> = isolation
        .sets
        .iter()
        .map(|set| if set.is_empty() { "no switch".to_string() } else { set_of(study, facts, set) })
        .collect();
    if isolation.more {
        said.push("other sets as small".into());
    }
    said.join("; or ")
}

/// Lock-out map: every conductor with the sources that reach it and the smallest sets of switches that part it.
pub fn lock_out(study: &Study) -> Option<Table> {
    let (facts, map) = study::lock_out_map(study)?;
    let schedule = study.wiring.as_ref().ok()?;
    let rows = map
        .conductors
        .iter()
        .filter_map(|line| {
            let sized = schedule.circuits.get(line.circuit.0)?;
            let live = !line.isolation.always.is_empty();
            Some(row(vec![
                words(identifier(line.circuit.0, sized)),
                words(sized.name.to_string()),
                words(names(study, &line.isolation.sources)),
                Cell {
                    text: opens(study, &facts, &line.isolation),
                    figure: Some(FigureName::new(&["lock-out", &sized.name, "switches"])),
                    tone: Tone::Plain,
                },
                if live {
                    toned(names(study, &line.isolation.always), Tone::Danger)
                } else {
                    words("nothing")
                },
            ]))
        })
        .collect();
    Some(Table {
        id: "lock-out".into(),
        caption: "Lock-out map".into(),
        columns: vec![left("id"), left("conductor"), left("live from"), left("open the device of"), left("stays live from")],
        rows,
        note: "Devices are named by the circuit they open; alternating current is planned with breakers, direct current with fuses unless the design says breaker. A fuse holder or a connector is never a switch and is not opened under load. What stays live is parted by no switch of this design: the service line side, battery terminals and cells, module conductors in light up to the first open point. Prove the absence of voltage before touching anything, with a meter proved before and after.".into(),
    })
}

/// Names of equipment of one kind that is opened alike, and the steps.
type Page<'a> = (Vec<Arc<str>>, NodeKind, &'a [Step]);

/// One page of the lock-out sequences for each enclosure.
pub fn enclosures(study: &Study) -> Vec<Table> {
    let Some((facts, map)) = study::lock_out_map(study) else { return Vec::new() };
    let graph = &study.design.graph;
    // Equipment of a kind that is opened alike, such as the units of a bank, shares a page.
    let mut pages: Vec<Page<'_>> = Vec::new();
    for page in &map.enclosures {
        let Some(node) = graph.node(page.node) else { continue };
        match pages.iter_mut().find(|(_, kind, steps)| *kind == node.kind && *steps == page.steps) {
            Some((who, ..)) => who.push(node.name.clone()),
            None => pages.push((vec![node.name.clone()], node.kind, &page.steps)),
        }
    }
    pages
        .into_iter()
        .enumerate()
        .map(|(k, (who, kind, steps))| Table {
            id: format!("enclosure-{}", k + 1),
            caption: match wiring::drawn_together(&who) {
                // "utility (utility)" says nothing twice.
                who if who.contains(kind.in_words()) => format!("Before opening {who}"),
                who => format!("Before opening {who} ({})", kind.in_words()),
            },
            columns: vec![right("step"), left("do")],
            rows: steps
                .iter()
                .enumerate()
                .map(|(n, step)| {
                    let tone = if matches!(step, Step::StaysLive(_)) { Tone::Danger } else { Tone::Plain };
                    row(vec![words((n + 1).to_string()), toned(step.in_words(graph, &facts), tone)])
                })
                .collect(),
            note: String::new(),
        })
        .collect()
}

/// Bond table: ties between neutral and ground on the energised neutral in every state.
pub fn bonds(study: &Study) -> Option<Table> {
    let graph = &study.design.graph;
    let judged = study::arrangement(study);
    let states = study::bond_states(study);
    if states.is_empty() {
        return None;
    }
    let name = |id: NodeId| graph.node(id).map_or_else(String::new, |node| node.name.to_string());
    let rows = states
        .iter()
        .enumerate()
        .map(|(k, state)| {
            let stands: Vec<String> = state
                .stands
                .iter()
                .filter_map(|(device, at)| {
                    Some(format!("{} at {}", name(*device), name(graph.circuits.get(at.0)?.from)))
                })
                .collect();
            let moment = match (state.moment, stands.is_empty()) {
                (Moment::Steady, true) => "always".to_string(),
                (Moment::Steady, false) => stands.join(", "),
                (moment, true) => moment.in_words().to_string(),
                (moment, false) => format!("{}, {}", stands.join(", "), moment.in_words()),
            };
            let count = if state.possible.is_empty() {
                Cell {
                    text: state.bonds.len().to_string(),
                    figure: study::bond_figure(study, &states, k),
                    tone: Tone::Plain,
                }
            } else {
                words(format!("{} to {}", state.bonds.len(), state.bonds.len() + state.possible.len()))
            };
            let verdict = match (judged, state.verdict) {
                (None, _) => words("by the earthing arrangement"),
                (_, BondVerdict::Right) if state.bonds.is_empty() => words("none, as it must be"),
                (_, BondVerdict::Right) => words("one, as it must be"),
                (_, BondVerdict::TooMany) => toned("too many".into(), Tone::Danger),
                (_, BondVerdict::TooFew) if state.moment == Moment::Steady => {
                    toned("none".into(), Tone::Danger)
                }
                (_, BondVerdict::TooFew) => toned("none for a moment".into(), Tone::Backup),
                (_, BondVerdict::Unknown) => toned(NOT_KNOWN.into(), Tone::Unknown),
            };
            let mut at = names(study, &state.bonds);
            if !state.possible.is_empty() {
                let perhaps = format!("perhaps {}", names(study, &state.possible));
                at = if at.is_empty() { perhaps } else { format!("{at}; {perhaps}") };
            }
            row(vec![words(name(state.source)), words(moment), count, words(at), verdict])
        })
        .collect();
    Some(Table {
        id: "bonds".into(),
        caption: if study::is_iec(study) {
            "Ties between neutral and earth, state by state".into()
        } else {
            "Ties between neutral and ground, state by state".into()
        },
        columns: vec![left("feeds"), left("while"), right("ties"), left("where"), left("")],
        rows,
        note: match judged {
            Some(wiring::Arrangement::Nec) => "Counted on the neutral that the source energises, never over the whole drawing. Exactly one is right in every lasting state (NEC 250.24(A)(5), 250.30, from memory). A tie that is not known is to be treated as a danger. After any change prove each state with a continuity test.".into(),
            Some(other) => format!(
                "Counted on the neutral that the source energises, for the earthing arrangement {}. TN-C-S: one, at the origin, while the utility feeds. TN-S and TT: none then. In island mode one in each of them, by the inverter's own relay; IT: none at all (IEC 60364, from memory). A tie that is not known is to be treated as a danger. After any change prove each state with a continuity test.",
                other.in_words()
            ),
            None => "Counted on the neutral that the source energises. How many are right follows from the earthing arrangement, which is not known: TN-C-S one, at the origin; TN-S and TT none while the utility feeds; in island mode one in each of them, by the inverter's own relay (IEC 60364, from memory).".into(),
        },
    })
}

/// Grounding electrodes with the conductors to them.
pub fn electrodes(study: &Study) -> Option<Table> {
    let found = study::electrode_conductors(study);
    if found.is_empty() {
        return None;
    }
    let reader = Reader::of(study);
    let rows = study
        .design
        .system
        .electrodes
        .iter()
        .zip(&found)
        .map(|(electrode, least)| {
            let least_cell = reader.gauge(least, &["electrodes", &electrode.name, "conductor"]);
            let taken = match &electrode.conductor {
                Some(fixed) if least.value().is_some_and(|least| fixed.value < *least) => {
                    toned(fixed.value.to_string(), Tone::Danger)
                }
                Some(fixed) => words(fixed.value.to_string()),
                None => words("the smallest"),
            };
            row(vec![
                words(electrode.name.to_string()),
                words(electrode.kind.value().map_or(NOT_KNOWN, |kind| kind.in_words())),
                words(if electrode.at_array {
                    "at the array, in addition".into()
                } else {
                    electrode.building.to_string()
                }),
                words(electrode.at.to_string()),
                least_cell,
                taken,
                words(electrode.material.value().map_or(NOT_KNOWN, |metal| metal.in_words())),
            ])
        })
        .collect();
    Some(Table {
        id: "electrodes".into(),
        caption: if study::is_iec(study) { "Earth electrodes" } else { "Grounding electrodes" }.into(),
        columns: vec![
            left("electrode"),
            left("kind"),
            left("building"),
            left("ends at"),
            left("at least"),
            left("taken"),
            left("metal"),
        ],
        rows,
        note: match study::is_iec(study) {
            true => "Earthing conductors by IEC 60364-5-54 542.3.1 and 543.1 (from memory). All electrodes of the house are joined at its main earthing terminal. While the house runs by itself its own electrode is the only one there is, and the earth of the utility is not relied upon (IEC 60364-5-55 551.4.3.2.1, from memory). An electrode at the array never takes the place of the protective conductor.".into(),
            false => "Conductors by NEC 250.66. All electrodes of a building are joined into one system (250.50, from memory). An electrode at the array is one more of them and never takes the place of the equipment ground. The conductor runs without a splice, and is guarded where it can be struck.".into(),
        },
    })
}

/// The rule set of a study in words.
pub fn rule_set(study: &Study) -> &'static str {
    study::rule_set(&study.design.system).map_or("rules not known", RuleSet::in_words)
}

/// Lock-out map and bond table for a machine.
pub fn as_json(study: &Study) -> (serde_json::Value, serde_json::Value, serde_json::Value) {
    use serde_json::{Value as Json, json};
    let graph = &study.design.graph;
    let node = |id: &NodeId| graph.node(*id).map(|node| node.name.to_string());
    let nodes = |ids: &[NodeId]| -> Vec<Option<String>> { ids.iter().map(node).collect() };
    let (map, pages) = match study::lock_out_map(study) {
        None => (Json::Null, Json::Null),
        Some((facts, map)) => {
            let sets = |isolation: &Isolation| -> Vec<Vec<String>> {
                let named = |id: &wiring::SwitchId| {
                    let point = facts.switches.get(id.0)?;
                    Some(graph.circuits.get(point.circuit.0)?.name.to_string())
                };
                isolation.sets.iter().map(|set| set.iter().filter_map(named).collect()).collect()
            };
            let part = |isolation: &Isolation| {
                json!({
                    "live_from": nodes(&isolation.sources),
                    "stays_live_from": nodes(&isolation.always),
                    "open": sets(isolation),
                    "more_sets": isolation.more,
                })
            };
            let conductors = map
                .conductors
                .iter()
                .map(|line| {
                    let mut json = part(&line.isolation);
                    json["conductor"] = graph.circuits.get(line.circuit.0).map(|c| c.name.to_string()).into();
                    json
                })
                .collect();
            let pages = map
                .enclosures
                .iter()
                .map(|page| {
                    let mut json = part(&page.isolation);
                    json["at"] = node(&page.node).into();
                    json["steps"] = page.steps.iter().map(|step| step.in_words(graph, &facts)).collect();
                    json
                })
                .collect();
            (Json::Array(conductors), Json::Array(pages))
        }
    };
    let judged = study::arrangement(study);
    let states = study::bond_states(study)
        .iter()
        .map(|state| {
            let stands: Vec<Json> = state
                .stands
                .iter()
                .map(|(device, at)| {
                    let from = graph.circuits.get(at.0).and_then(|c| node(&c.from));
                    json!({ "device": node(device), "at": from })
                })
                .collect();
            json!({
                "feeds": node(&state.source),
                "moment": match state.moment {
                    Moment::Steady => "steady",
                    Moment::BetweenPositions => "between positions",
                    Moment::RelayMoves => "relay moves",
                },
                "stands": stands,
                "ties": nodes(&state.bonds),
                "possible_ties": nodes(&state.possible),
                "verdict": match (judged, state.verdict) {
                    (None, _) => Json::Null,
                    (_, BondVerdict::Right) => "right".into(),
                    (_, BondVerdict::TooFew) => "too few".into(),
                    (_, BondVerdict::TooMany) => "too many".into(),
                    (_, BondVerdict::Unknown) => "unknown".into(),
                },
            })
        })
        .collect();
    (map, pages, Json::Array(states))
}
