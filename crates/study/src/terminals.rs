//! Both ends of every circuit: what they land on and whether it takes the conductor.

use crate::Study;
use design::terminals::{Landing, landing};
use quantity::{Figure, FigureName, Gap, Value, WhoKnows};
use wiring::{Landed, NodeId, RuleSet, Taken};

/// One end of a circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct End<'a> {
    /// The circuit, in the order of the schedule.
    pub circuit: usize,
    /// Equipment it lands at.
    pub node: NodeId,
    /// What it lands on.
    pub on: Landing<'a>,
    /// Whether that takes the conductor; empty for connectors and terminals of the utility, which are not the owner's.
    pub taken: Taken,
}

/// Every end of every circuit that is sized, in the order of the schedule.
pub fn terminal_ends(study: &Study) -> Vec<End<'_>> {
    let Ok(schedule) = &study.wiring else { return Vec::new() };
    let (graph, system) = (&study.design.graph, &study.design.system);
    let by_columns = crate::rule_set(system) != Some(RuleSet::Iec60364);
    let mut ends = Vec::new();
    for (k, sized) in schedule.circuits.iter().enumerate() {
        let Some(circuit) = graph.circuits.get(sized.circuit.0) else { continue };
        let run = sized.run.and_then(|run| system.runs.get(run.0));
        let landed = run.map(|run| Landed {
            gauge: sized.gauge(),
            sets: sized.sets(),
            material: sized.material.clone(),
            strands: run.strands.clone(),
            column: by_columns.then(|| sized.terminals.clone()),
        });
        for (id, starts_here) in [(circuit.from, true), (circuit.to, false)] {
            let Some(node) = graph.node(id) else { continue };
            let on = landing(system, circuit, node, starts_here);
            let taken = match (&on, &landed) {
                // What hangs there already is the utility's and the electrician's who connected it.
                _ if study.is_existing(k) => Taken::default(),
                (Landing::Terminal(terminal), Some(landed)) => wiring::takes(terminal, landed),
                (Landing::NotStated(field), _) => {
                    let missing = Some(Gap::one(field.clone(), WhoKnows::DataSheet));
                    Taken { missing, ..Taken::default() }
                }
                (Landing::Terminal(terminal), None) => {
                    let missing = Some(Gap::one(terminal.field.clone(), WhoKnows::Owner));
                    Taken { missing, ..Taken::default() }
                }
                (Landing::Connector | Landing::OfUtility, _) => Taken::default(),
            };
            ends.push(End { circuit: k, node: id, on, taken });
        }
    }
    ends
}

/// Name of the torque of an end: `terminals/<circuit>/<equipment>/torque`.
pub fn torque_figure(study: &Study, end: &End<'_>) -> Option<FigureName> {
    let circuit = &study.wiring.as_ref().ok()?.circuits.get(end.circuit)?.name;
    let node = &study.design.graph.node(end.node)?.name;
    Some(FigureName::new(&["terminals", circuit, node, "torque"]))
}

/// Torques by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let torque = |end: &End<'_>| {
        let Landing::Terminal(terminal) = &end.on else { return None };
        let torque = terminal.torque.known()?;
        let node = &study.design.graph.node(end.node)?.name;
        Some(Figure {
            name: torque_figure(study, end)?,
            says: format!("torque of the terminals of {node}: {}", terminal.serves.in_words()),
            value: Value::from(torque),
            origin: torque.origin.clone(),
        })
    };
    terminal_ends(study).iter().filter_map(torque).collect()
}
