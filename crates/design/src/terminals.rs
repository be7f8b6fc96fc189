//! Where the two ends of a circuit land.

use crate::system::{System, TerminalsOf, UnitPart};
use quantity::FieldPath;
use wiring::{Circuit, Demand, Node, NodeKind, Serves, Supply, Terminal};

/// What an end of a circuit lands on.
#[derive(Clone, Debug, PartialEq)]
pub enum Landing<'a> {
    /// A terminal as stated.
    Terminal(&'a Terminal),
    /// A terminal of which nothing is stated, with where the design would.
    NotStated(FieldPath),
    /// A connector of a module, which is pressed on and has no screw.
    Connector,
    /// A terminal of the public supply, which its owner connects.
    OfUtility,
}

/// Where the end of a circuit at a node lands.
pub fn landing<'a>(system: &'a System, circuit: &Circuit, node: &Node, starts_here: bool) -> Landing<'a> {
    match node.kind {
        NodeKind::PvString => return Landing::Connector,
        NodeKind::Utility => return Landing::OfUtility,
        _ => {}
    }
    let end = if starts_here { Serves::Output } else { Serves::Input };
    let converts = matches!(node.kind, NodeKind::Inverter | NodeKind::Controller);
    let purpose = match (circuit.demand.supply(), converts) {
        (Supply::Dc, true) if circuit.demand.is_pv() => Serves::Modules,
        (Supply::Dc, true) => Serves::Battery,
        (Supply::Dc, false) if node.kind == NodeKind::BatteryUnit => Serves::Battery,
        (Supply::Dc, false) if node.kind == NodeKind::BatteryBus => match circuit.demand {
            Demand::BatteryUnit(_) => Serves::Battery,
            _ => Serves::Output,
        },
        _ => end,
    };
    let Some(of) = terminals_of(system, node) else {
        return Landing::NotStated(FieldPath::new(format!("{}.terminals", node.name)));
    };
    match wiring::serving(&of.terminals, purpose) {
        Some(terminal) => Landing::Terminal(terminal),
        None => Landing::NotStated(of.field.clone()),
    }
}

/// What is stated of the terminals of a node: by the part of a unit, an engine or a battery, else by the thing itself.
fn terminals_of<'a>(system: &'a System, node: &Node) -> Option<&'a TerminalsOf> {
    let name = &node.name;
    let (table, part) = match node.kind {
        NodeKind::Inverter | NodeKind::Controller => match &system.unit(name)?.part {
            UnitPart::Inverter(part) => ("inverter", part),
            UnitPart::Controller(part) => ("controller", part),
            UnitPart::Unclear => return None,
        },
        NodeKind::BatteryUnit => {
            let bank = system.banks.iter().find(|bank| {
                name.strip_prefix(&*bank.bank.name).is_some_and(|n| n.trim_start().parse::<u32>().is_ok())
            })?;
            ("battery", &bank.bank.battery)
        }
        NodeKind::Generator => {
            let engine = system.engines.iter().find(|engine| engine.name == *name)?;
            ("generator", &engine.generator)
        }
        NodeKind::BatteryBus => ("bank", name),
        NodeKind::Combiner => ("combiner", name),
        NodeKind::Transfer => ("transfer", name),
        NodeKind::Panel => ("panel", name),
        _ => return None,
    };
    system.terminals.iter().find(|of| of.table == table && of.name == *part)
}
