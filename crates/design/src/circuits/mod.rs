//! The circuits that follow from a system. Nothing here is a fixed chain: every thing contributes its own nodes and
//! the circuits to what it names, and a route is found for each by the names of its two ends.

mod alternating;
mod direct;
mod fault;
mod sources;

use crate::system::{BankIn, System, UnitPart};
use quantity::{Count, Fact, Traced, sum, units};
use std::sync::Arc;
use wiring::{Circuit, Demand, Graph, NeutralBond, Node, NodeId, NodeKind, RunId};

pub use direct::{battery_volts, share_of_bus};
pub use sources::leg_current;

/// Name of the public supply in the graph.
pub const UTILITY: &str = "utility";

/// The graph of a system.
pub fn circuits(system: &System) -> Graph {
    let mut build = Build { system, graph: Graph::default() };
    build.nodes();
    build.strings();
    build.banks();
    build.alternating();
    build.graph
}

struct Build<'a> {
    system: &'a System,
    graph: Graph,
}

/// How many things were named, each a line of the design.
fn counted<'n>(things: impl Iterator<Item = &'n str>) -> Traced<Count> {
    sum(
        things.map(|path| (Arc::from("one"), Traced::stated(Count(1), path.to_string()))).collect(),
        &units::COUNT,
    )
}

impl Build<'_> {
    fn add(&mut self, name: &Arc<str>, kind: NodeKind, building: &Arc<str>) -> NodeId {
        self.graph.add(Node {
            name: name.clone(),
            kind,
            building: building.clone(),
            bond: None,
            interactive: None,
            stack: None,
        })
    }

    fn nodes(&mut self) {
        let system = self.system;
        for string in &system.strings {
            let building =
                system.plane(&string.string.plane).map_or_else(|| "".into(), |plane| plane.building.clone());
            self.add(&string.string.name, NodeKind::PvString, &building);
        }
        for combiner in &system.combiners {
            self.add(&combiner.name, NodeKind::Combiner, &combiner.building);
        }
        for unit in &system.units_in_place {
            let building = system.room(&unit.room).map_or_else(|| "".into(), |room| room.building.clone());
            let node = match (&unit.part, system.inverter_of(unit)) {
                (UnitPart::Inverter(_), Some(inverter)) => Node {
                    name: unit.name.clone(),
                    kind: NodeKind::Inverter,
                    building,
                    bond: Some(inverter.neutral_bond.clone().map(|bond| match bond {
                        conversion::NeutralBond::None => NeutralBond::None,
                        conversion::NeutralBond::Fixed => NeutralBond::Fixed,
                        conversion::NeutralBond::Removable => NeutralBond::Fitted,
                        conversion::NeutralBond::RelayWhenInverting => NeutralBond::RelayWhenInverting,
                    })),
                    interactive: Some(inverter.interactive.clone()),
                    stack: sources::stack_of(system, unit),
                },
                (UnitPart::Controller(_), _) => Node {
                    name: unit.name.clone(),
                    kind: NodeKind::Controller,
                    building,
                    bond: None,
                    interactive: None,
                    stack: None,
                },
                _ => continue,
            };
            self.graph.add(node);
        }
        for bank in &system.banks {
            let building =
                system.room(&bank.bank.room).map_or_else(|| "".into(), |room| room.building.clone());
            let branches = bank.bank.parallel.value().map_or(1, |n| n.0.min(400));
            for branch in 1..=branches {
                self.add(&branch_name(bank, branch), NodeKind::BatteryUnit, &building);
            }
            if system.bus_of(&bank.bank.name) == &*bank.bank.name {
                self.add(&bank.bank.name, NodeKind::BatteryBus, &building);
            }
        }
        for engine in &system.engines {
            let node = self.add(&engine.name, NodeKind::Generator, &engine.building);
            let delivered = system.generator(&engine.generator).map(|g| g.neutral_bond.clone());
            if let (Some(node), Some(delivered)) = (self.graph.nodes.get_mut(node.0), delivered) {
                let delivered = delivered.map(|bond| match bond {
                    conversion::NeutralBond::None => NeutralBond::None,
                    conversion::NeutralBond::Fixed | conversion::NeutralBond::RelayWhenInverting => {
                        NeutralBond::Fixed
                    }
                    conversion::NeutralBond::Removable => NeutralBond::Fitted,
                });
                // A tie that can be lifted stands as the owner says; one that cannot is there whatever is said.
                node.bond = Some(match (stated_bond(system, &engine.name), &delivered) {
                    (Some(stated), fact) if fact.value() != Some(&NeutralBond::Fixed) => stated,
                    _ => delivered,
                });
            }
        }
        let fed_by_utility = |names: &[Arc<str>]| names.iter().any(|name| &**name == UTILITY);
        let used = system.panels.iter().any(|p| fed_by_utility(&p.fed_by))
            || system.transfers.iter().any(|t| fed_by_utility(&t.transfer.from))
            || system.units_in_place.iter().any(|u| &*u.ac_input == UTILITY);
        if used {
            self.add(&UTILITY.into(), NodeKind::Utility, &"".into());
        }
        for transfer in &system.transfers {
            self.add(&transfer.transfer.name, NodeKind::Transfer, &transfer.building);
        }
        for panel in &system.panels {
            let node = self.add(&panel.name, NodeKind::Panel, &panel.building);
            if let Some(node) = self.graph.nodes.get_mut(node.0) {
                let own = panel
                    .bond
                    .clone()
                    .map(|yes| if yes { NeutralBond::Fitted } else { NeutralBond::LeftOut });
                node.bond = Some(match (own, stated_bond(system, &panel.name)) {
                    (Fact::Unknown(_), Some(stated)) => stated,
                    (own, _) => own,
                });
            }
        }
    }

    /// A circuit between two names, if both are in the graph.
    fn join(&mut self, from: &str, to: &str, demand: Demand, conductors: u32, carrying: u32, poles: u32) {
        let (Some(a), Some(b)) = (self.graph.find(from), self.graph.find(to)) else { return };
        let run = self.route(from, to);
        self.graph.join(Circuit {
            name: format!("{from} to {to}").into(),
            from: a,
            to: b,
            demand,
            run,
            conductors,
            carrying,
            poles,
        });
    }

    /// The run that names both ends, or that carries the first of them; a branch of a bank goes by the bank's name.
    fn route(&self, from: &str, to: &str) -> Option<RunId> {
        let same = |written: &str, end: &str| written == end || self.is_branch_of(end, written);
        let by_ends = self.system.runs.iter().position(|run| {
            run.between
                .as_ref()
                .is_some_and(|[a, b]| (same(a, from) && same(b, to)) || (same(a, to) && same(b, from)))
        });
        by_ends
            .or_else(|| {
                self.system.runs.iter().position(|run| run.carries.iter().any(|name| &**name == from))
            })
            .map(RunId)
    }

    /// Links between the units of a bank and its bus are written as between the bank and itself.
    fn is_branch_of(&self, end: &str, bank: &str) -> bool {
        self.system.bank(bank).is_some_and(|found| {
            end.strip_prefix(&*found.bank.name).is_some_and(|rest| rest.trim_start().parse::<u32>().is_ok())
        })
    }
}

/// Name of a branch of a bank: "rack 3".
pub fn branch_name(bank: &BankIn, branch: u32) -> Arc<str> {
    format!("{} {branch}", bank.bank.name).into()
}

/// The tie the owner names in a piece of equipment, as it will stand.
fn stated_bond(system: &System, at: &str) -> Option<Fact<NeutralBond>> {
    let bond = system.bonds.iter().find(|bond| &*bond.at == at)?;
    Some(bond.fitted.clone().map(|fitted| if fitted { NeutralBond::Fixed } else { NeutralBond::LeftOut }))
}
