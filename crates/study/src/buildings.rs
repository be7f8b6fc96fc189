//! Feeders from building to building, and the breaker spaces of panels.

use crate::Study;
use quantity::{Count, Fact, Figure, FigureName, Traced, sum, units};
use std::sync::Arc;
use wiring::{CircuitId, NodeId, NodeKind};

/// Circuits of alternating current, other than those of the utility, that lead from one named building to another.
pub fn feeders_between_buildings(study: &Study) -> Vec<CircuitId> {
    let graph = &study.design.graph;
    let apart = |circuit: &wiring::Circuit| {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { return false };
        let named = !from.building.is_empty() && !to.building.is_empty();
        named
            && from.building != to.building
            && from.kind != NodeKind::Utility
            && circuit.demand.supply() == wiring::Supply::Ac
    };
    let circuits = graph.circuits.iter().enumerate();
    circuits.filter(|(_, circuit)| apart(circuit)).map(|(k, _)| CircuitId(k)).collect()
}

/// Breaker spaces of a panel into which this design puts breakers.
#[derive(Clone, Debug)]
pub struct PanelSpaces {
    /// The panel.
    pub panel: Arc<str>,
    /// Circuits whose breakers go into it.
    pub serves: Vec<Arc<str>>,
    /// Poles of them.
    pub needs: Traced<Count>,
    /// Free spaces, as stated.
    pub free: Fact<Count>,
}

/// Panels with breakers of this design, in its order.
pub fn panel_spaces(study: &Study) -> Vec<PanelSpaces> {
    let graph = &study.design.graph;
    let mut all = Vec::new();
    for panel in &study.design.system.panels {
        let Some(here) = graph.find(&panel.name) else { continue };
        let feeds = graph.circuits.iter().filter(|c| c.to == here).count();
        // One source comes in by the main device or by lugs.
        let in_it = |c: &wiring::Circuit, here: NodeId| c.from == here || (c.to == here && feeds > 1);
        let circuits: Vec<_> = graph
            .circuits
            .iter()
            .enumerate()
            .filter(|(k, c)| in_it(c, here) && !study.is_existing(*k))
            .map(|(_, c)| c)
            .collect();
        if circuits.is_empty() {
            continue;
        }
        let poles = circuits.iter().map(|circuit| {
            (
                circuit.name.clone(),
                Traced::stated(Count(circuit.poles), format!("panel.{}.volts", panel.name)),
            )
        });
        all.push(PanelSpaces {
            panel: panel.name.clone(),
            needs: sum(poles.collect(), &units::COUNT),
            serves: circuits.iter().map(|circuit| circuit.name.clone()).collect(),
            free: panel.spaces.clone(),
        });
    }
    all
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    for panel in panel_spaces(study) {
        let mut put = |what: &str, says: &str, count: &Traced<Count>| {
            all.push(Figure {
                name: FigureName::new(&["panels", &panel.panel, what]),
                says: format!("{}: {says}", panel.panel),
                value: count.into(),
                origin: count.origin.clone(),
            });
        };
        put("spaces-needed", "breaker spaces that this design takes", &panel.needs);
        if let Fact::Known(free) = &panel.free {
            put("spaces-free", "free breaker spaces", free);
        }
    }
    all
}
