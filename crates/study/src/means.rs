//! Means of disconnecting: which circuits a person can open by hand beside their breakers.

use crate::Study;
use design::circuits::branch_name;
use design::system::{Disconnect, UnitPart};
use quantity::{Fact, Gap};
use wiring::{CircuitId, Demand, End, SwitchKind, SwitchPoint};

/// The circuit a disconnect opens and the end it stands at; `None` where no circuit joins its two ends.
pub fn circuit_of(study: &Study, disconnect: &Disconnect) -> Option<(CircuitId, End)> {
    let graph = &study.design.graph;
    let [a, b] = disconnect.between.as_slice() else { return None };
    let (a, b) = (graph.find(a)?, graph.find(b)?);
    let at = graph.find(&disconnect.at)?;
    let k = graph.circuits.iter().position(|c| (c.from, c.to) == (a, b) || (c.from, c.to) == (b, a))?;
    let circuit = graph.circuits.get(k)?;
    Some((CircuitId(k), if circuit.to == at { End::To } else { End::From }))
}

/// Switching points beside breakers and fuses: disconnects of the design, switches built into converters for their module
/// inputs, breakers built into battery units. What is not known is none.
pub(crate) fn switch_points(study: &Study) -> Vec<SwitchPoint> {
    let mut points = Vec::new();
    for disconnect in &study.design.system.disconnects {
        if let (Some((circuit, end)), Some(kind)) = (circuit_of(study, disconnect), disconnect.kind.value()) {
            points.push(SwitchPoint { circuit, end, kind: *kind, stated: true });
        }
    }
    for (k, circuit) in study.design.graph.circuits.iter().enumerate() {
        let Some((fact, end)) = built_in(study, CircuitId(k)) else { continue };
        let kind = match circuit.demand {
            Demand::BatteryUnit(_) => SwitchKind::Breaker,
            _ => SwitchKind::LoadBreak,
        };
        if fact.value() == Some(&true) {
            points.push(SwitchPoint { circuit: CircuitId(k), end, kind, stated: true });
        }
    }
    points
}

/// Whether a switch for this circuit is built into the equipment at one of its ends, where equipment can have one.
fn built_in(study: &Study, id: CircuitId) -> Option<(Fact<bool>, End)> {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let circuit = graph.circuits.get(id.0)?;
    match &circuit.demand {
        Demand::PvStrings(_) => {
            let unit = system.unit(&graph.node(circuit.to)?.name)?;
            let fact = match &unit.part {
                UnitPart::Inverter(name) => system.inverter(name)?.pv_switch.clone(),
                UnitPart::Controller(name) => system.controller(name)?.pv_switch.clone(),
                UnitPart::Unclear => return None,
            };
            Some((fact, End::To))
        }
        Demand::BatteryUnit(_) => {
            let name = &graph.node(circuit.from)?.name;
            let bank = system.banks.iter().find(|bank| {
                let branches = bank.bank.parallel.value().map_or(1, |n| n.0.min(400));
                (1..=branches).any(|branch| branch_name(bank, branch) == *name)
            })?;
            // Of several in series one that opens opens them all.
            Some((system.battery(&bank.bank.battery)?.breaker.clone(), End::From))
        }
        _ => None,
    }
}

/// Whether a person can open a circuit under load: by a breaker or a load-break switch at either end. Unknown while a
/// fact is missing that may say so.
pub fn opens_under_load(study: &Study, facts: &wiring::StateFacts, id: CircuitId) -> Result<bool, Gap> {
    if facts.switches.iter().any(|point| point.circuit == id && point.kind.breaks_load()) {
        return Ok(true);
    }
    let mut gap: Option<Gap> = None;
    let mut add = |more: &Gap| gap = Some(gap.take().map_or(more.clone(), |gap| gap.and(more)));
    for disconnect in &study.design.system.disconnects {
        if circuit_of(study, disconnect).is_some_and(|(circuit, _)| circuit == id)
            && let Some(more) = disconnect.kind.gap()
        {
            add(more);
        }
    }
    if let Some((Fact::Unknown(more), _)) = built_in(study, id) {
        add(&more);
    }
    gap.map_or(Ok(false), Err)
}
