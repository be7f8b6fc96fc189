//! One-line diagram computed from the circuit graph: columns by longest path, lanes between them, sources left, house right.
//!
//! Each symbol stands for one node and each flag for one circuit, by name. Sizes and ratings stand in the schedule
//! beside it under the same identifier, never on the sheet.

mod lanes;
mod net;
mod place;
mod rail;
mod sheet;
mod symbols;

pub use symbols::DeviceSymbol;
pub(super) use symbols::circle;

use crate::drawing::{Drawing, Shape};
use net::{Bonded, Net, NetNode, Wire, WireKind};
use place::WireMark;
use std::collections::BTreeMap;
use wiring::{Circuit, Graph, NeutralBond, NodeKind, Supply};

/// What the schedule has for a circuit.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Mark {
    /// Name of the circuit in the graph.
    pub circuit: String,
    /// Its protective or switching device, if it has one.
    pub device: Option<DeviceSymbol>,
    /// Identifier shown in its flag where the schedule uses a shorter one; the circuit's name where empty.
    pub label: String,
}

/// What the title block says.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct TitleBlock {
    /// The owner's name for the house.
    pub title: String,
    /// Revision, with its date if it has one.
    pub revision: String,
    /// Rule set the circuits were sized by, or that none was.
    pub rule_set: String,
}

/// Draws the graph. Circuits that lead nowhere or back to where they start are not drawn: the graph's own
/// problems report them.
pub fn one_line(graph: &Graph, marks: &[Mark], title: &TitleBlock) -> Drawing {
    let (net, marks) = net_of(graph, marks);
    sheet::draw(&net, &marks, title)
}

/// The same for a phone held upright: everything below what feeds it, letters of the same size.
pub fn one_line_narrow(graph: &Graph, marks: &[Mark], title: &TitleBlock) -> Drawing {
    let (net, marks) = net_of(graph, marks);
    rail::draw(&net, &marks, title)
}

fn net_of(graph: &Graph, marks: &[Mark]) -> (Net, Vec<WireMark>) {
    let mut net = Net::default();
    for node in &graph.nodes {
        net.nodes.push(NetNode {
            name: node.name.to_string(),
            kind: node.kind,
            building: node.building.to_string(),
            bonded: bonded(node),
        });
    }
    let mut wire_marks = Vec::new();
    for circuit in &graph.circuits {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        if circuit.from == circuit.to {
            continue;
        }
        let name = circuit.name.to_string();
        let mark = marks.iter().find(|mark| mark.circuit == name);
        wire_marks.push(WireMark {
            flag: mark
                .map(|m| m.label.clone())
                .filter(|label| !label.is_empty())
                .unwrap_or_else(|| name.clone()),
            device: mark.and_then(|m| m.device),
        });
        net.wires.push(Wire {
            name,
            from: circuit.from.0,
            to: circuit.to.0,
            kind: kind(circuit, from.kind, to.kind),
        });
    }
    (net, wire_marks)
}

/// How often each name of the graph appears as a symbol or as a flag. A node and a circuit of one name count together.
pub fn elements(drawing: &Drawing) -> BTreeMap<String, usize> {
    let mut counts = symbols_of(drawing);
    for (name, count) in flags_of(drawing) {
        *counts.entry(name).or_default() += count;
    }
    counts
}

/// How often each node appears as a symbol.
pub fn symbols_of(drawing: &Drawing) -> BTreeMap<String, usize> {
    counted(drawing, "symbol")
}

/// How often each circuit appears as a flag.
pub fn flags_of(drawing: &Drawing) -> BTreeMap<String, usize> {
    counted(drawing, "flag")
}

fn counted(drawing: &Drawing, wanted: &str) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for shape in &drawing.shapes {
        if let Shape::Path { class, of, .. } = shape
            && *class == wanted
            && !of.is_empty()
        {
            *counts.entry(of.clone()).or_default() += 1;
        }
    }
    counts
}

fn bonded(node: &wiring::Node) -> Bonded {
    match &node.bond {
        None => Bonded::No,
        Some(fact) => match fact.value() {
            None => Bonded::Unknown,
            Some(NeutralBond::None | NeutralBond::LeftOut) => Bonded::No,
            Some(NeutralBond::Fixed | NeutralBond::Fitted) => Bonded::Yes,
            Some(NeutralBond::RelayWhenInverting) => Bonded::Relay,
        },
    }
}

fn kind(circuit: &Circuit, from: NodeKind, to: NodeKind) -> WireKind {
    if from == NodeKind::Electrode || to == NodeKind::Electrode {
        WireKind::Ground
    } else if circuit.demand.supply() == Supply::Dc {
        WireKind::Dc
    } else if circuit.conductors >= 3 {
        WireKind::Split
    } else {
        WireKind::Ac
    }
}

#[cfg(test)]
mod tests;
