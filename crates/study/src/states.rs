//! States of the circuit graph of a study: what can be opened, where neutral and ground are tied.

use crate::Study;
use quantity::{
    Choice, Count, Fact, Figure, FigureName, Standing, Term, Traced, Value, WhoKnows, nec, practice,
};
use std::sync::Arc;
use wiring::{Arrangement, BondState, Moment, NodeId, StateFacts, TransferFact};

/// Sets of switches that are listed of each part.
const SETS: usize = 4;

/// What the states rest on beside the graph.
pub fn state_facts(study: &Study) -> StateFacts {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let switches = match &study.wiring {
        Ok(schedule) => {
            let mut points = wiring::switch_points(graph, &system.runs, &schedule.circuits);
            points.extend(crate::means::switch_points(study));
            points
        }
        Err(_) => Vec::new(),
    };
    let transfers = system
        .transfers
        .iter()
        .filter_map(|t| {
            let node = graph.find(&t.transfer.name)?;
            Some(TransferFact { node, switches_neutral: t.transfer.switches_neutral.clone() })
        })
        .collect();
    let starts = system
        .engines
        .iter()
        .filter_map(|engine| {
            let automatic = match system.generator(&engine.generator) {
                Some(generator) => generator.automatic.clone(),
                None => Fact::unknown(format!("engine.{}", engine.name), WhoKnows::Owner),
            };
            Some((graph.find(&engine.name)?, automatic))
        })
        .collect();
    let parts_neutral = system
        .units_in_place
        .iter()
        .filter(|unit| !unit.ac_input.is_empty())
        .filter_map(|unit| Some((graph.find(&unit.name)?, system.inverter_of(unit)?.parts_neutral.clone())))
        .collect();
    let plugged_in = system
        .engines
        .iter()
        .filter(|engine| engine.by_cord.value() == Some(&true))
        .filter_map(|engine| graph.find(&engine.name))
        .collect();
    let discharge = system
        .units_in_place
        .iter()
        .filter_map(|unit| {
            let within = match (system.inverter_of(unit), system.controller_of(unit)) {
                (Some(inverter), _) => &inverter.discharges_within,
                (None, Some(controller)) => &controller.discharges_within,
                (None, None) => return None,
            };
            Some((graph.find(&unit.name)?, within.clone()))
        })
        .collect();
    StateFacts { switches, transfers, starts, discharge, parts_neutral, plugged_in }
}

/// Smallest conductor to each electrode of the design, in their order; none where nothing was sized.
pub fn electrode_conductors(study: &Study) -> Vec<Fact<quantity::Gauge>> {
    let (graph, system) = (&study.design.graph, &study.design.system);
    match &study.wiring {
        Ok(schedule) => {
            let of = match crate::is_iec(study) {
                true => wiring::iec_electrode_conductors,
                false => wiring::electrode_conductors,
            };
            of(graph, &schedule.circuits, &system.utility.conductors, &system.electrodes)
        }
        Err(_) => Vec::new(),
    }
}

/// The arrangement ties are judged by; `None` where the rules or the earthing arrangement they leave it to are not known.
pub fn arrangement(study: &Study) -> Option<Arrangement> {
    match study.design.system.place.rules.value()? {
        design::system::Rules::Iec60364 => study.design.system.utility.earthing.value().copied(),
        _ => Some(Arrangement::Nec),
    }
}

/// The bond table of a study.
pub fn bond_states(study: &Study) -> Vec<BondState> {
    let arrangement = arrangement(study).unwrap_or(Arrangement::Nec);
    wiring::bond_table(&study.design.graph, &state_facts(study), arrangement)
}

/// The lock-out map with what it rests on; `None` where nothing was sized, so that no switch is known.
pub fn lock_out_map(study: &Study) -> Option<(StateFacts, wiring::LockOutMap)> {
    study.wiring.as_ref().ok()?;
    let facts = state_facts(study);
    let map = wiring::lock_out(&study.design.graph, &facts, SETS);
    Some((facts, map))
}

/// Name of the count of a state: `bonds/<source>/<number of its state>`.
pub fn bond_figure(study: &Study, states: &[BondState], k: usize) -> Option<FigureName> {
    let state = states.get(k)?;
    let place = states[..k].iter().filter(|other| other.source == state.source).count() + 1;
    let name = &study.design.graph.node(state.source)?.name;
    Some(FigureName::new(&["bonds", name, &place.to_string()]))
}

/// Counts of the two tables by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let graph = &study.design.graph;
    let said = |ids: &[NodeId]| {
        let names: Vec<Arc<str>> =
            ids.iter().filter_map(|id| graph.node(*id)).map(|node| node.name.clone()).collect();
        if names.is_empty() { "nowhere".to_string() } else { wiring::drawn_together(&names) }
    };
    let mut figures = Vec::new();
    let states = bond_states(study);
    for (k, state) in states.iter().enumerate() {
        let Some(name) = bond_figure(study, &states, k) else { continue };
        // A number that is not known has no figure.
        if !state.possible.is_empty() {
            continue;
        }
        let terms: Vec<Term> = state
            .neutral
            .iter()
            .filter_map(|id| graph.node(*id))
            .filter_map(|node| {
                let bond = node.bond.as_ref()?.known()?;
                let words = if state.bonds.iter().any(|id| graph.node(*id) == Some(node)) {
                    "tied"
                } else {
                    "not tied"
                };
                Some(Term::words(node.name.clone(), words, bond.origin.clone()))
            })
            .collect();
        let source = said(&[state.source]);
        let moment = match state.moment {
            Moment::Steady => String::new(),
            moment => format!(", {}", moment.in_words()),
        };
        let because = format!("tied on the neutral that {source} energises{moment}: {}", said(&state.bonds));
        let choice = Choice {
            because: because.into(),
            runner_up: "".into(),
            clause: nec("2023", "250.24(A)(5), 250.30", Standing::Remembered),
            terms,
        };
        let count: Traced<Count> = Traced::found(Count(state.bonds.len() as u32), choice);
        figures.push(Figure {
            name,
            says: format!("ties between neutral and ground while {source} feeds{moment}"),
            value: Value::from(&count),
            origin: count.origin,
        });
    }
    for (electrode, found) in study.design.system.electrodes.iter().zip(electrode_conductors(study)) {
        if let Fact::Known(gauge) = found {
            figures.push(Figure {
                name: FigureName::new(&["electrodes", &electrode.name, "conductor"]),
                says: format!("smallest conductor to the electrode {}", electrode.name),
                value: Value::Gauge(gauge.value),
                origin: gauge.origin,
            });
        }
    }
    let Some((facts, map)) = lock_out_map(study) else { return figures };
    for line in &map.conductors {
        let (Some(circuit), Some(set)) = (graph.circuits.get(line.circuit.0), line.isolation.sets.first())
        else {
            continue;
        };
        let mut because = format!("live from {}", said(&line.isolation.sources));
        if !set.is_empty() {
            because.push_str(&format!("; open the {}", wiring::set_in_words(graph, &facts, set)));
        }
        if !line.isolation.always.is_empty() {
            because.push_str(&format!("; stays live from {}", said(&line.isolation.always)));
        }
        let choice = Choice {
            because: because.into(),
            runner_up: "".into(),
            clause: practice(
                "the smallest set of switches that parts it from every source that can be parted",
            ),
            terms: Vec::new(),
        };
        let count: Traced<Count> = Traced::found(Count(set.len() as u32), choice);
        figures.push(Figure {
            name: FigureName::new(&["lock-out", &circuit.name, "switches"]),
            says: "fewest switches that part it from its sources".to_string(),
            value: Value::from(&count),
            origin: count.origin,
        });
    }
    figures
}
