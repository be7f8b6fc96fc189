//! The two legs of a 120/240 V house, and how units in parallel share a current.

use crate::demand::Demand;
use crate::facts::Supply;
use crate::graph::{Circuit, CircuitId, Graph, NodeId, NodeKind};
use quantity::{Clause, Current, Fact, Gap, Measure, Power, Standing, Voltage, formula, units};

const PHASORS: Clause =
    Clause { document: "definition", edition: "", clause: "sum of phasors", standing: Standing::Computed };

/// How two sources of the same voltage stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Half a cycle apart, as the legs of a 120/240 V house must be.
    Opposed,
    /// In step: both legs rise together, by mistake or because one source feeds both.
    InStep,
    /// A third of a cycle apart, as two phases of a three-phase supply.
    Third,
}

/// Voltage between two legs that each have `u` volts to neutral: `2·u` opposed, 0 in step, `√3·u` a third apart.
pub fn between_legs(u: f64, phase: Phase) -> f64 {
    match phase {
        Phase::Opposed => 2.0 * u,
        Phase::InStep => 0.0,
        Phase::Third => 3f64.sqrt() * u,
    }
}

/// Current in the neutral that two legs of `a` and `b` amperes share, at unity power factor: their difference when
/// opposed, their sum in step.
pub fn shared_neutral(a: f64, b: f64, phase: Phase) -> f64 {
    match phase {
        Phase::Opposed => (a - b).abs(),
        Phase::InStep => a + b,
        Phase::Third => (a * a + b * b - a * b).max(0.0).sqrt(),
    }
}

/// Neutral current of a house whose legs are opposed, amperes: `l1` and `l2` watts between leg and neutral, `u` volts
/// of one leg.
pub fn neutral_of_loads(l1: f64, l2: f64, u: f64) -> f64 {
    (l1 - l2).abs() / u
}

formula! {
    /// Explained twin of [`neutral_of_loads`].
    pub NeutralOfLoads = neutral_of_loads(
        l1: Power as WATT = "loads between the first leg and neutral",
        l2: Power as WATT = "loads between the second leg and neutral",
        u: Voltage as VOLT = "volts of one leg",
    ) -> Current as AMPERE,
    text: "abs(l1 − l2) / u",
    clause: PHASORS,
}

/// Neutral current of a circuit whose two legs hang on one source, amperes.
pub fn neutral_in_step(a: f64, b: f64) -> f64 {
    a + b
}

formula! {
    /// Explained twin of [`neutral_in_step`].
    pub NeutralInStep = neutral_in_step(
        a: Current as AMPERE = "current of the first leg",
        b: Current as AMPERE = "current of the second leg",
    ) -> Current as AMPERE,
    text: "a + b",
    clause: PHASORS,
}

/// Volts of a circuit above which it needs two legs.
const TWO_LEGS: f64 = 180.0;

/// Something about legs that the graph shows by itself.
#[derive(Clone, Debug, PartialEq)]
pub enum LegProblem {
    /// A panel that one leg alone feeds passes on a circuit of two legs and neutral: a multiwire circuit, whose
    /// neutral then carries the sum (NEC 710.15(C)).
    MultiwireOnOneLeg {
        /// The panel.
        panel: NodeId,
        /// The circuit with two legs.
        circuit: CircuitId,
    },
    /// A panel that one leg alone feeds passes on a circuit of the voltage between two legs.
    TwoLegVoltageOnOneLeg {
        /// The panel.
        panel: NodeId,
        /// The circuit.
        circuit: CircuitId,
    },
    /// Units stacked as one source with 120 V each; whether they were set half a cycle apart decides what stands
    /// between their legs: 240 V, or nothing.
    StackPhase {
        /// The units.
        units: Vec<NodeId>,
        /// Where they meet.
        panel: NodeId,
        /// Volts between the legs when they are opposed.
        opposed: Voltage,
        /// Volts between the legs when they are in step.
        in_step: Voltage,
    },
    /// The volts of this circuit are not known, so its legs are not.
    Unknown {
        /// The circuit.
        circuit: CircuitId,
        /// The missing fact.
        gap: Gap,
    },
}

fn volts(circuit: &Circuit) -> Option<&Fact<Voltage>> {
    match &circuit.demand {
        Demand::InverterOutput(output) => Some(&output.volts),
        Demand::Ac(load) => Some(&load.volts),
        Demand::UtilitySupply(utility) => Some(&utility.volts),
        Demand::GeneratorSupply(generator) => Some(&generator.volts),
        _ => None,
    }
}

/// Everything about legs that the graph shows, in the order of its panels. Only graphs with 120 V circuits have any.
pub fn leg_problems(graph: &Graph) -> Vec<LegProblem> {
    let mut problems = Vec::new();
    for (k, node) in graph.nodes.iter().enumerate() {
        if !matches!(node.kind, NodeKind::Panel | NodeKind::Transfer | NodeKind::Service) {
            continue;
        }
        let here = NodeId(k);
        let of = |to_here: bool| {
            graph
                .circuits_at(here)
                .filter(move |(_, c)| c.demand.supply() == Supply::Ac && (c.to == here) == to_here)
        };
        let feeds: Vec<(CircuitId, &Circuit)> = of(true).collect();
        for (circuit, c) in &feeds {
            if let Some(Fact::Unknown(gap)) = volts(c) {
                problems.push(LegProblem::Unknown { circuit: *circuit, gap: gap.clone() });
            }
        }
        let one_leg =
            |c: &Circuit| volts(c).and_then(Fact::si).is_some_and(|v| v < TWO_LEGS) && c.conductors <= 2;
        problems.extend(stack(graph, here, &feeds));
        let stacked =
            feeds.iter().filter(|(_, c)| graph.node(c.from).is_some_and(|n| n.stack.is_some())).count();
        if feeds.is_empty() || stacked > 1 || !feeds.iter().all(|(_, c)| one_leg(c)) {
            continue;
        }
        for (circuit, c) in of(false) {
            if c.conductors >= 3 {
                problems.push(LegProblem::MultiwireOnOneLeg { panel: here, circuit });
            } else if volts(c).and_then(Fact::si).is_some_and(|v| v >= TWO_LEGS) {
                problems.push(LegProblem::TwoLegVoltageOnOneLeg { panel: here, circuit });
            }
        }
    }
    problems
}

fn stack(graph: &Graph, panel: NodeId, feeds: &[(CircuitId, &Circuit)]) -> Option<LegProblem> {
    let stacked = |c: &Circuit| graph.node(c.from).is_some_and(|node| node.stack.is_some());
    let low = |c: &Circuit| volts(c).and_then(Fact::si).filter(|v| *v < TWO_LEGS);
    let units: Vec<(NodeId, f64)> =
        feeds.iter().filter(|(_, c)| stacked(c)).filter_map(|(_, c)| Some((c.from, low(c)?))).collect();
    let each = units.first()?.1;
    if units.len() < 2 {
        return None;
    }
    let between = |phase| Voltage::from_si(units::VOLT.to_si(between_legs(each, phase)));
    Some(LegProblem::StackPhase {
        units: units.into_iter().map(|(id, _)| id).collect(),
        panel,
        opposed: between(Phase::Opposed),
        in_step: between(Phase::InStep),
    })
}
