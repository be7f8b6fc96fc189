//! The one-line diagram walked through: switches opened on paper only, and what each source still reaches.
//!
//! Nothing here opens a switch or proves anything: it is the lock-out map asked in the other direction.

use crate::book::one_line_picture;
use crate::drawing::{Drawing, Form, OnPaper, on_paper};
use crate::say::{NOT_KNOWN, words};
use crate::sheets::identifier;
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::slug;
use std::sync::Arc;
use study::Study;
use wiring::{CircuitId, EnclosurePage, NodeId, Reached, StateFacts, SwitchId};

/// The caution that stands where the walk is made.
pub const CAUTION: &str = "On paper only. Nothing on this page opens a switch. Before anything is touched it is isolated, locked, \
     and the absence of voltage is proved with a meter that was proved before and after.";

/// One switch that can be opened on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Its name in addresses, made from the owner's names.
    pub key: String,
    /// What it is and where it stands.
    pub words: String,
    /// Identifier of its circuit in the schedules.
    pub circuit: String,
    /// The owner's name of its circuit, as shapes of the diagram bear it.
    pub of: Arc<str>,
    /// Whether it is open now.
    pub open: bool,
}

/// A piece of equipment that can be stood at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Its name in addresses.
    pub key: String,
    /// The owner's name.
    pub name: Arc<str>,
    /// What it is.
    pub kind: &'static str,
    /// Sources that still reach it.
    pub from: String,
}

/// A conductor that ends at the equipment that is stood at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Next {
    /// Identifier of its circuit.
    pub circuit: String,
    /// What lies at its other end.
    pub place: Place,
    /// Sources that still reach the conductor.
    pub from: String,
}

/// Where the owner stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Here {
    /// The equipment.
    pub place: Place,
    /// Conductors that end in it, and where they lead.
    pub next: Vec<Next>,
    /// What is done before it is opened, in order.
    pub steps: Vec<String>,
    /// Keys of a smallest set of switches that parts it from every source that can be parted.
    pub set: Vec<String>,
    /// Sources that no switch of the design parts from it.
    pub always: String,
}

/// A walk through the diagram.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// Switches that break load, in the order of the circuits.
    pub choices: Vec<Choice>,
    /// Devices that are no switch: opened without load only, in words.
    pub no_switches: Vec<String>,
    /// All equipment, in the order of the graph.
    pub places: Vec<Place>,
    /// Where the owner stands, if anywhere.
    pub here: Option<Here>,
    /// The diagram with its marks.
    pub drawing: Drawing,
    /// The same for a phone.
    pub phone: Drawing,
    /// What is still reached, in a sentence.
    pub sentence: String,
    /// Every conductor with the sources that still reach it.
    pub table: Table,
}

fn names(study: &Study, ids: &[NodeId]) -> String {
    let named: Vec<Arc<str>> =
        ids.iter().filter_map(|id| study.design.graph.node(*id)).map(|node| node.name.clone()).collect();
    if named.is_empty() { "no source of this design".into() } else { wiring::drawn_together(&named) }
}

/// Keys of all switching points: the circuit, and a number where it has several.
fn keys(study: &Study, facts: &StateFacts) -> Vec<String> {
    let mut keys: Vec<String> = Vec::new();
    for point in &facts.switches {
        let name = study.design.graph.circuits.get(point.circuit.0).map_or("", |circuit| &circuit.name);
        let base = format!("{}-{}", slug(name), slug(point.kind.in_words()));
        let mut key = base.clone();
        let mut number = 2;
        while keys.contains(&key) {
            key = format!("{base}-{number}");
            number += 1;
        }
        keys.push(key);
    }
    keys
}

/// The walk with the switches of these keys open, standing at the equipment of that key. Keys that name nothing are passed
/// over: a switch that is not there is not open. `None` where nothing was sized, so that no switch is known.
pub fn walk(study: &Study, open: &[&str], at: &str) -> Option<Walk> {
    let schedule = study.wiring.as_ref().ok()?;
    let (facts, map) = study::lock_out_map(study)?;
    let graph = &study.design.graph;
    let keys = keys(study, &facts);
    let opened: Vec<SwitchId> = facts
        .switches
        .iter()
        .enumerate()
        .filter(|(k, point)| point.kind.breaks_load() && open.contains(&keys[*k].as_str()))
        .map(|(k, _)| SwitchId(k))
        .collect();
    let reached = wiring::reached(graph, &facts, &opened);
    let id_of = |circuit: CircuitId| {
        schedule.circuits.get(circuit.0).map_or_else(String::new, |sized| identifier(circuit.0, sized))
    };
    let mut choices = Vec::new();
    let mut no_switches = Vec::new();
    for (k, point) in facts.switches.iter().enumerate() {
        let mut said = wiring::switch_in_words(graph, &facts, SwitchId(k));
        if !point.stated {
            said.push_str(" (as planned, its kind is not stated)");
        }
        if point.kind.breaks_load() {
            choices.push(Choice {
                key: keys[k].clone(),
                words: said,
                circuit: id_of(point.circuit),
                of: graph
                    .circuits
                    .get(point.circuit.0)
                    .map_or_else(|| "".into(), |circuit| circuit.name.clone()),
                open: opened.contains(&SwitchId(k)),
            });
        } else {
            no_switches.push(format!("{} {said}", id_of(point.circuit)));
        }
    }
    let places: Vec<Place> =
        (0..graph.nodes.len()).filter_map(|k| place(study, &reached, NodeId(k))).collect();
    let stood = places.iter().position(|place| place.key == at && !at.is_empty());
    let here = stood.and_then(|k| {
        let page = map.enclosures.iter().find(|page| page.node == NodeId(k))?;
        here(study, &facts, &keys, &reached, page, &id_of)
    });
    let marks = OnPaper {
        reached: names_where(study, |k| !reached.conductors[k].is_empty()),
        open: names_where(study, |k| opened.iter().any(|id| facts.switches[id.0].circuit == CircuitId(k))),
        here: here.as_ref().map_or("", |here| &here.place.name),
    };
    let [drawing, phone] =
        [Form::Wide, Form::Phone].map(|form| on_paper(one_line_picture(study, form), &marks));
    let sentence = sentence(study, &reached, opened.len());
    let table = table(study, &reached, &id_of);
    Some(Walk { choices, no_switches, places, here, drawing, phone, sentence, table })
}

fn names_where(study: &Study, wanted: impl Fn(usize) -> bool) -> Vec<&str> {
    let circuits = study.design.graph.circuits.iter().enumerate();
    circuits.filter(|(k, _)| wanted(*k)).map(|(_, circuit)| &*circuit.name).collect()
}

fn place(study: &Study, reached: &Reached, id: NodeId) -> Option<Place> {
    let node = study.design.graph.node(id)?;
    Some(Place {
        key: slug(&node.name),
        name: node.name.clone(),
        kind: node.kind.in_words(),
        from: names(study, reached.equipment.get(id.0)?),
    })
}

fn here(
    study: &Study,
    facts: &StateFacts,
    keys: &[String],
    reached: &Reached,
    page: &EnclosurePage,
    id_of: &impl Fn(CircuitId) -> String,
) -> Option<Here> {
    let graph = &study.design.graph;
    let next = page
        .conductors
        .iter()
        .filter_map(|id| {
            let circuit = graph.circuits.get(id.0)?;
            let there = if circuit.from == page.node { circuit.to } else { circuit.from };
            Some(Next {
                circuit: id_of(*id),
                place: place(study, reached, there)?,
                from: names(study, reached.conductors.get(id.0)?),
            })
        })
        .collect();
    let set = page
        .isolation
        .sets
        .first()
        .map(|set| set.iter().filter_map(|id| keys.get(id.0).cloned()).collect::<Vec<_>>());
    Some(Here {
        place: place(study, reached, page.node)?,
        next,
        steps: page.steps.iter().map(|step| step.in_words(graph, facts)).collect(),
        set: set.unwrap_or_default(),
        always: match page.isolation.always.as_slice() {
            [] => String::new(),
            ids => names(study, ids),
        },
    })
}

fn sentence(study: &Study, reached: &Reached, opened: usize) -> String {
    let all = reached.conductors.len();
    let left = reached.conductors.iter().filter(|sources| !sources.is_empty()).count();
    let mut sources: Vec<NodeId> = reached.conductors.iter().flatten().copied().collect();
    sources.sort_unstable();
    sources.dedup();
    let open = match opened {
        0 => "With every switch closed".to_string(),
        n => format!("With {} open on paper", crate::say::plural(n, "switch", "switches")),
    };
    match left {
        0 => format!("{open}, no source of this design reaches a conductor of it."),
        _ => format!(
            "{open}, {left} of {} are still reached by {}.",
            crate::say::plural(all, "conductor", "conductors"),
            names(study, &sources)
        ),
    }
}

fn table(study: &Study, reached: &Reached, id_of: &impl Fn(CircuitId) -> String) -> Table {
    let left = |head: &str| Column { head: head.into(), unit: String::new(), align: Align::Left };
    let graph = &study.design.graph;
    let end = |id: NodeId| graph.node(id).map_or_else(|| NOT_KNOWN.to_string(), |node| node.name.to_string());
    let rows = graph
        .circuits
        .iter()
        .zip(&reached.conductors)
        .enumerate()
        .map(|(k, (circuit, sources))| {
            let tone = if sources.is_empty() { Tone::Soft } else { Tone::Danger };
            let cells = vec![
                words(id_of(CircuitId(k))),
                words(format!("{} – {}", end(circuit.from), end(circuit.to))),
                Cell { text: names(study, sources), figure: None, tone },
            ];
            Row { cells, total: false }
        })
        .collect();
    Table {
        id: "reached".into(),
        caption: "What is still reached".into(),
        columns: vec![left("id"), left("conductor"), left("still reached by")],
        rows,
        note: "Reached in any position of the transfer devices. Charge that stays in capacitors, a supply plugged in by hand and voltage that other conductors induce are in no diagram; only a meter finds them.".into(),
    }
}
