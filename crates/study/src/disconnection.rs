//! How long a fault to earth may stand on each circuit, what parts it, and what residual-current devices must see.

use crate::Study;
use design::system::Rules;
use quantity::{Fact, FieldPath, Figure, FigureName, Gap, Resistance, Value, WhoKnows};
use std::sync::Arc;
use wiring::{Disconnection, Residual};

/// Whether the design is wired by IEC 60364.
pub fn is_iec(study: &Study) -> bool {
    study.design.system.place.rules.value() == Some(&Rules::Iec60364)
}

/// Resistance of the electrodes of the house to earth: joined they have no more than the best of them.
fn earth(study: &Study) -> Fact<Resistance> {
    let electrodes = &study.design.system.electrodes;
    let known = electrodes.iter().filter_map(|electrode| electrode.resistance.known());
    match known.min_by(|a, b| a.si().total_cmp(&b.si())) {
        Some(best) => Fact::Known(best.clone()),
        None => {
            let field = match electrodes.first() {
                Some(first) => FieldPath::new(format!("{}.resistance", first.field.as_str())),
                None => FieldPath::new("electrode"),
            };
            Fact::Unknown(Gap::one(field, WhoKnows::Measurement))
        }
    }
}

/// Every new circuit of alternating current by each of its sources; none unless the design is wired by IEC 60364 and its
/// earthing arrangement is known.
pub fn disconnections(study: &Study) -> Vec<Disconnection> {
    let (Ok(schedule), true, Some(arrangement)) = (&study.wiring, is_iec(study), crate::arrangement(study))
    else {
        return Vec::new();
    };
    let (graph, runs) = (&study.design.graph, &study.design.system.runs);
    let mut all = wiring::disconnections(graph, runs, &schedule.circuits, arrangement, &earth(study));
    all.retain(|one| !study.is_existing(one.circuit.0));
    all
}

/// A residual-current device that the input of a unit lies behind.
pub struct Behind<'a> {
    /// The unit.
    pub unit: Arc<str>,
    /// The device.
    pub residual: &'a Residual,
}

/// Residual-current devices between the utility and the inputs of inverters: of the runs on the way, and of the panels
/// the way passes, whose device may stand before any circuit that leaves them.
pub fn residuals_before_units(study: &Study) -> Vec<Behind<'_>> {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let mut found = Vec::new();
    for unit in system.units_in_place.iter().filter(|unit| !unit.ac_input.is_empty()) {
        let mut here = unit.name.clone();
        let mut from = unit.ac_input.clone();
        let mut passed = Vec::new();
        while !passed.contains(&from) {
            passed.push(from.clone());
            let between = |c: &&wiring::Circuit| {
                let is = |id, name: &Arc<str>| graph.node(id).is_some_and(|node| node.name == *name);
                is(c.from, &from) && is(c.to, &here)
            };
            let run = graph.circuits.iter().find(between).and_then(|c| system.runs.get(c.run?.0));
            let panel = system.panel(&from);
            for residual in
                [run.and_then(|run| run.residual.as_ref()), panel.and_then(|p| p.residual.as_ref())]
            {
                found.extend(residual.map(|residual| Behind { unit: unit.name.clone(), residual }));
            }
            let next = match (panel, system.transfer(&from)) {
                (Some(panel), _) => panel.fed_by.first(),
                (None, Some(device)) => device.transfer.from.first(),
                (None, None) => None,
            };
            let Some(next) = next.cloned() else { break };
            here = std::mem::replace(&mut from, next);
        }
    }
    found
}

/// Name of the longest time of a circuit fed by a source: `circuits/<name>/earth-fault/<source>/longest`.
pub fn disconnection_figure(study: &Study, one: &Disconnection, what: &str) -> FigureName {
    let name = study.design.graph.circuits.get(one.circuit.0).map_or("", |circuit| &circuit.name);
    FigureName::new(&["circuits", name, "earth-fault", &one.source, what])
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    for one in disconnections(study) {
        all.push(Figure {
            name: disconnection_figure(study, &one, "longest"),
            says: format!("longest time a fault to earth may stand, fed by {} alone", one.source),
            value: Value::from(&one.longest),
            origin: one.longest.origin.clone(),
        });
        if let Some(Fact::Known(fault)) = &one.fault {
            all.push(Figure {
                name: disconnection_figure(study, &one, "current"),
                says: format!("fault to earth at the far end, fed by {} alone", one.source),
                value: Value::from(fault),
                origin: fault.origin.clone(),
            });
        }
        if let Some(touch) = &one.touch {
            all.push(Figure {
                name: disconnection_figure(study, &one, "touch"),
                says: "voltage of exposed parts while the residual-current device just does not trip".into(),
                value: Value::from(touch),
                origin: touch.origin.clone(),
            });
        }
    }
    all
}
