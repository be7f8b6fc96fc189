//! The circuits that follow from a system. Nothing here is a fixed chain: every thing contributes its own nodes and
//! the circuits to what it names, and a route is found for each by the names of its two ends.

use crate::system::{BankIn, Panel, StringIn, System, Unit, UnitPart};
use array::strings_design::ColdOpenCircuit;
use conversion::{PvInput, Stackable};
use quantity::{
    Count, Current, Fact, FieldPath, Gap, Measure, Power, Ratio, Traced, Voltage, WhoKnows, greatest,
    product_of_count, sum, units,
};
use std::sync::Arc;
use wiring::{
    AcLoad, BatteryUnit, BatteryVolts, BusToInverters, Circuit, ControllerToBus, Demand, GeneratorSupply,
    Graph, InverterInput, InverterOutput, NeutralBond, Node, NodeId, NodeKind, PvStrings, RunId, Stack,
    UtilitySupply,
};

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

/// The units of one part that share what they feed; `None` for a unit beside which none of its kind stands. Whether
/// they keep step is what the maker says of stacking: on one leg or on both.
fn stack_of(system: &System, unit: &Unit) -> Option<Stack> {
    let part = system.inverter_of(unit)?;
    let of_kind = |names: &[Arc<str>]| -> Vec<&Unit> {
        let units = names.iter().filter_map(|name| system.unit(name));
        units.filter(|other| other.part == unit.part).collect()
    };
    let panels = system.panels.iter().map(|p| (&p.name, &p.fed_by));
    let transfers = system.transfers.iter().map(|t| (&t.transfer.name, &t.transfer.from));
    let (fed, members) = panels
        .chain(transfers)
        .filter(|(_, names)| names.contains(&unit.name))
        .map(|(fed, names)| (fed, of_kind(names)))
        .find(|(_, members)| members.len() > 1)?;
    let mut legs: Vec<loads::Leg> = Vec::new();
    for member in &members {
        let leg = member.leg.value().copied().unwrap_or(loads::Leg::Both);
        if !legs.contains(&leg) {
            legs.push(leg);
        }
    }
    let (on_one_leg, across_legs) = (legs.len() < members.len(), legs.len() > 1);
    let keeps_step = part.stackable.clone().map(|how| {
        let (same, split) = match how {
            Stackable::No => (false, false),
            Stackable::SamePhase => (true, false),
            Stackable::SplitPhase => (false, true),
            Stackable::Both => (true, true),
        };
        (same || !on_one_leg) && (split || !across_legs)
    });
    Some(Stack { group: format!("{} on {fed}", part.name).into(), keeps_step })
}

/// Greatest continuous output of stacked units on one leg, in words and as a current.
pub fn leg_current(system: &System, names: &[Arc<str>]) -> Fact<Current> {
    type Named = (Arc<str>, Traced<Current>);
    let mut legs: Vec<(loads::Leg, Vec<Named>)> = Vec::new();
    for unit in names.iter().filter_map(|name| system.unit(name)) {
        let Some(inverter) = system.inverter_of(unit) else { continue };
        let volts = inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
        let current = match wiring::InverterOutputCurrent::of_facts(&inverter.output, &volts) {
            Fact::Known(current) => current,
            Fact::Unknown(gap) => return Fact::Unknown(gap),
        };
        let leg = unit.leg.value().copied().unwrap_or(loads::Leg::Both);
        match legs.iter_mut().find(|(at, _)| *at == leg) {
            Some((_, parts)) => parts.push((unit.name.clone(), current)),
            None => legs.push((leg, vec![(unit.name.clone(), current)])),
        }
    }
    let sums = legs
        .into_iter()
        .map(|(leg, parts)| (Arc::from(format!("leg {leg:?}").to_lowercase()), sum(parts, &units::AMPERE)))
        .collect();
    match greatest(sums, &units::AMPERE) {
        Some(current) => Fact::Known(current),
        None => Fact::unknown("unit", WhoKnows::Owner),
    }
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
                    stack: stack_of(system, unit),
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
            self.add(&bank.bank.name, NodeKind::BatteryBus, &building);
        }
        for engine in &system.engines {
            let node = self.add(&engine.name, NodeKind::Generator, &engine.building);
            let bond = system.generator(&engine.generator).map(|g| g.neutral_bond.clone());
            if let (Some(node), Some(bond)) = (self.graph.nodes.get_mut(node.0), bond) {
                node.bond = Some(bond.map(|bond| match bond {
                    conversion::NeutralBond::None => NeutralBond::None,
                    conversion::NeutralBond::Fixed | conversion::NeutralBond::RelayWhenInverting => {
                        NeutralBond::Fixed
                    }
                    conversion::NeutralBond::Removable => NeutralBond::Fitted,
                }));
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
                node.bond = Some(
                    panel
                        .bond
                        .clone()
                        .map(|yes| if yes { NeutralBond::Fitted } else { NeutralBond::LeftOut }),
                );
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

    fn strings(&mut self) {
        let system = self.system;
        for string in &system.strings {
            let to = if string.through.is_empty() { &string.string.unit } else { &string.through };
            let alone: Traced<Count> = counted(std::iter::once(&*format!("string.{}", string.string.name)));
            let demand = self.strings_demand(string, Fact::Known(alone));
            self.join(&string.string.name.clone(), &to.clone(), demand, 2, 2, 2);
        }
        for combiner in &system.combiners {
            let joined: Vec<&StringIn> =
                system.strings.iter().filter(|s| s.through == combiner.name).collect();
            let Some(first) = joined.first() else { continue };
            let paths: Vec<String> = joined.iter().map(|s| format!("string.{}", s.string.name)).collect();
            let demand = self.strings_demand(first, Fact::Known(counted(paths.iter().map(String::as_str))));
            self.join(&combiner.name.clone(), &combiner.unit.clone(), demand, 2, 2, 2);
        }
    }

    fn input_of(&self, string: &StringIn) -> Option<&PvInput> {
        let unit = self.system.unit(&string.string.unit)?;
        self.system.pv_inputs(unit).get((string.string.input.max(1) - 1) as usize)
    }

    fn strings_demand(&self, string: &StringIn, in_parallel: Fact<Count>) -> Demand {
        let system = self.system;
        let missing = |what: &str| -> Gap { Gap::one(FieldPath::new(what.to_string()), WhoKnows::Owner) };
        let module = system.module(&string.string.module);
        let no_module = format!("module.{}", string.string.module);
        macro_rules! of_module {
            ($field:ident) => {
                module.map_or_else(|| Fact::Unknown(missing(&no_module)), |m| m.$field.clone())
            };
        }
        let count = &string.string.count;
        let vmp: Fact<Voltage> = of_module!(vmp);
        let vmp_string =
            count.and_then(|n| vmp.and_then(|each| Fact::Known(product_of_count(n, each, &units::VOLT))));
        let voc_cold = ColdOpenCircuit::of_facts(
            count,
            &of_module!(voc),
            &of_module!(voc_change),
            &system.place.coldest,
        );
        let same_input: Vec<String> = system
            .strings
            .iter()
            .filter(|s| s.string.unit == string.string.unit && s.string.input == string.string.input)
            .map(|s| format!("string.{}", s.string.name))
            .collect();
        let input = self.input_of(string);
        Demand::PvStrings(PvStrings {
            in_parallel,
            isc: of_module!(isc),
            imp: of_module!(imp),
            vmp: vmp_string,
            voc_cold,
            series_fuse: of_module!(series_fuse),
            strings_on_the_input: Fact::Known(counted(same_input.iter().map(String::as_str))),
            back_feed: input.map_or_else(
                || Fact::Unknown(missing(&format!("unit.{}", string.string.unit))),
                |input| input.back_feed.clone(),
            ),
        })
    }

    fn banks(&mut self) {
        for bank in &self.system.banks {
            let volts = battery_volts(self.system, bank);
            let bus = bank.bank.name.clone();
            let hanging: Vec<&Unit> =
                self.system.units_in_place.iter().filter(|unit| unit.bank == bank.bank.name).collect();
            let battery = self.system.battery(&bank.bank.battery);
            let of_battery = |fact: fn(&storage::Battery) -> &Fact<Current>| match battery {
                Some(battery) => fact(battery).clone(),
                None => Fact::unknown(format!("battery.{}", bank.bank.battery), WhoKnows::DataSheet),
            };
            let short_circuit = of_battery(|b| &b.short_circuit);
            let bus_current = self.bus_current(&hanging, &volts);
            let branches = bank.bank.parallel.value().map_or(1, |n| n.0.min(400));
            for branch in 1..=branches {
                let demand = Demand::BatteryUnit(BatteryUnit {
                    charge: of_battery(|b| &b.charge),
                    discharge: of_battery(|b| &b.discharge),
                    volts: volts.clone(),
                    short_circuit: short_circuit.clone(),
                    units_on_the_bus: bank.bank.parallel.clone(),
                    bus_current: bus_current.clone(),
                });
                self.join(&branch_name(bank, branch), &bus, demand, 2, 2, 1);
            }
            for unit in hanging {
                match &unit.part {
                    UnitPart::Inverter(_) => {
                        let Some(input) = inverter_input(self.system, unit) else { continue };
                        let demand = Demand::BusToInverters(BusToInverters {
                            inverters: vec![input],
                            volts: volts.clone(),
                            short_circuit: short_circuit.clone(),
                            units_on_the_bus: bank.bank.parallel.clone(),
                        });
                        self.join(&bus, &unit.name.clone(), demand, 2, 2, 1);
                    }
                    UnitPart::Controller(name) => {
                        let charge = match self.system.controller(name) {
                            Some(part) => part.charge.clone(),
                            None => Fact::unknown(format!("controller.{name}"), WhoKnows::DataSheet),
                        };
                        let demand = Demand::ControllerToBus(ControllerToBus {
                            charge,
                            volts: volts.clone(),
                            short_circuit: short_circuit.clone(),
                            units_on_the_bus: bank.bank.parallel.clone(),
                        });
                        self.join(&unit.name.clone(), &bus, demand, 2, 2, 1);
                    }
                    UnitPart::Unclear => {}
                }
            }
        }
    }

    fn bus_current(&self, hanging: &[&Unit], volts: &BatteryVolts) -> Fact<Current> {
        let mut parts = Vec::new();
        for unit in hanging {
            let current = match &unit.part {
                UnitPart::Inverter(_) => match inverter_input(self.system, unit) {
                    Some(input) => {
                        let demand = Demand::BusToInverters(BusToInverters {
                            inverters: vec![input],
                            volts: volts.clone(),
                            short_circuit: Fact::unknown("battery", WhoKnows::Maker),
                            units_on_the_bus: Fact::unknown("bank", WhoKnows::Owner),
                        });
                        demand.design_currents().maximum
                    }
                    None => continue,
                },
                UnitPart::Controller(name) => match self.system.controller(name) {
                    Some(part) => part.charge.clone(),
                    None => continue,
                },
                UnitPart::Unclear => continue,
            };
            match current {
                Fact::Known(current) => parts.push((unit.name.clone(), current)),
                Fact::Unknown(gap) => return Fact::Unknown(gap),
            }
        }
        Fact::Known(sum(parts, &units::AMPERE))
    }

    fn alternating(&mut self) {
        let system = self.system;
        for panel in &system.panels {
            for source in &panel.fed_by {
                self.supply(source, &panel.name, panel.volts.value().copied(), panel.main.clone());
            }
        }
        for transfer in &system.transfers {
            let volts = self.volts_behind(&transfer.transfer.name);
            for source in &transfer.transfer.from {
                self.supply(source, &transfer.transfer.name, volts, Some(transfer.transfer.rating.clone()));
            }
        }
        for unit in &system.units_in_place {
            if unit.ac_input.is_empty() {
                continue;
            }
            let inverter = system.inverter_of(unit);
            let volts = inverter.and_then(|i| i.volts.value().copied());
            let through = inverter.map(|i| i.passes_through.clone());
            self.supply(&unit.ac_input, &unit.name, volts, through);
        }
    }

    /// Volts of the panel a transfer device feeds.
    fn volts_behind(&self, transfer: &str) -> Option<conversion::OutputVolts> {
        let fed = self.system.panels.iter().find(|p| p.fed_by.iter().any(|name| &**name == transfer));
        fed.and_then(|panel| panel.volts.value().copied())
    }

    /// The circuit from a source of alternating current, whatever it is, to something.
    fn supply(
        &mut self,
        source: &Arc<str>,
        to: &Arc<str>,
        volts: Option<conversion::OutputVolts>,
        main: Option<Fact<Current>>,
    ) {
        let system = self.system;
        let across = |v: Option<conversion::OutputVolts>| match v {
            Some(v) => Fact::Known(Traced::stated(Voltage::from_si(v.across()), format!("panel.{to}.volts"))),
            None => Fact::unknown(format!("panel.{to}.volts"), WhoKnows::Owner),
        };
        let unknown = |what: &str, ask| Fact::unknown(what.to_string(), ask);
        let fault = self.fault(source, to);
        let main = main.unwrap_or_else(|| unknown(&format!("panel.{to}.main"), WhoKnows::Electrician));
        let split = volts == Some(conversion::OutputVolts::Split240);
        // Two legs and neutral, of which the neutral carries only the difference; else two wires.
        let (conductors, carrying, poles) = if split { (3, 2, 2) } else { (2, 2, 1) };
        if let Some(unit) = system.unit(source) {
            let Some(inverter) = system.inverter_of(unit) else { return };
            let demand = Demand::InverterOutput(InverterOutput {
                output: inverter.output.clone(),
                volts: inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across())))),
                passes_through: if unit.ac_input.is_empty() {
                    Fact::Known(Traced::stated(Current::from_si(0.0), format!("unit.{source}.ac_input")))
                } else {
                    inverter.passes_through.clone()
                },
                fault,
            });
            let split = inverter.volts.value() == Some(&conversion::OutputVolts::Split240);
            let (conductors, carrying, poles) = if split { (3, 2, 2) } else { (2, 2, 1) };
            self.join(source, to, demand, conductors, carrying, poles);
        } else if let Some(panel) = system.panel(source) {
            let demand = self.feeder_demand(panel, across(volts), main, fault);
            self.join(source, to, demand, conductors, carrying, poles);
        } else if system.transfer(source).is_some() {
            let rating = system
                .transfer(source)
                .map_or_else(|| unknown("transfer", WhoKnows::DataSheet), |t| t.transfer.rating.clone());
            let demand = Demand::UtilitySupply(UtilitySupply {
                main: rating,
                volts: across(volts),
                whole_dwelling: not_the_whole_dwelling(to),
                fault,
            });
            self.join(source, to, demand, conductors, carrying, poles);
        } else if system.engine(source).is_some() {
            let demand = self.generator_demand(source);
            self.join(source, to, demand, conductors, carrying, poles);
        } else if &**source == UTILITY {
            let demand = Demand::UtilitySupply(UtilitySupply {
                main: main.or(|| system.utility.service.clone()),
                volts: across(volts),
                whole_dwelling: not_the_whole_dwelling(to),
                fault,
            });
            self.join(UTILITY, to, demand, conductors, carrying, poles);
        }
    }

    /// Current a short on the circuit between two things can draw. What else feeds the panel it leads to reaches the
    /// short from there. No length of conductor is credited, so it is never lower than what is known.
    fn fault(&self, source: &Arc<str>, to: &Arc<str>) -> Fact<Current> {
        match self.system.panel(to) {
            Some(panel) => self.together(&panel.fed_by, &mut vec![to.clone()]),
            None => self.fault_behind(source, &mut Vec::new()),
        }
    }

    /// Current a supply and everything behind it can feed into a short.
    fn fault_behind(&self, source: &Arc<str>, passed: &mut Vec<Arc<str>>) -> Fact<Current> {
        let system = self.system;
        if &**source == UTILITY {
            return system.utility.fault_current.clone();
        }
        // A ring of panels adds nothing the second time.
        if passed.contains(source) {
            return Fact::Known(sum(Vec::new(), &units::AMPERE));
        }
        passed.push(source.clone());
        if let Some(unit) = system.unit(source) {
            let own = match system.inverter_of(unit) {
                Some(inverter) => inverter.fault_current.clone(),
                None => Fact::unknown(format!("unit.{source}"), WhoKnows::Maker),
            };
            if unit.ac_input.is_empty() {
                return own;
            }
            // While it passes its input through, both feed the short.
            let input = self.fault_behind(&unit.ac_input, passed);
            all_of(vec![(source.clone(), own), (unit.ac_input.clone(), input)])
        } else if let Some(panel) = system.panel(source) {
            self.together(&panel.fed_by, passed)
        } else if let Some(device) = system.transfer(source) {
            // Only one of them feeds at a time; the sum is on the side of caution.
            self.together(&device.transfer.from, passed)
        } else {
            Fact::unknown(format!("engine.{source}.fault_current"), WhoKnows::Maker)
        }
    }

    fn together(&self, sources: &[Arc<str>], passed: &mut Vec<Arc<str>>) -> Fact<Current> {
        all_of(sources.iter().map(|from| (from.clone(), self.fault_behind(from, passed))).collect())
    }

    fn generator_demand(&self, engine: &str) -> Demand {
        let part = self.system.engine(engine).and_then(|e| self.system.generator(&e.generator));
        let (output, volts): (Fact<Power>, Fact<Voltage>) = match part {
            Some(part) => (
                part.output.clone(),
                part.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across())))),
            ),
            None => (
                Fact::unknown(format!("engine.{engine}"), WhoKnows::DataSheet),
                Fact::unknown(format!("engine.{engine}"), WhoKnows::DataSheet),
            ),
        };
        Demand::GeneratorSupply(GeneratorSupply {
            rated: wiring::InverterOutputCurrent::of_facts(&output, &volts),
            volts,
            fault: Fact::unknown(format!("engine.{engine}.fault_current"), WhoKnows::Maker),
        })
    }

    /// A feeder from a panel: behind the utility its main device decides, behind inverters their rated outputs
    /// together, leg by leg (NEC 710.15(B)).
    fn feeder_demand(
        &self,
        panel: &Panel,
        volts: Fact<Voltage>,
        main: Fact<Current>,
        fault: Fact<Current>,
    ) -> Demand {
        let inverters: Vec<Arc<str>> =
            panel.fed_by.iter().filter(|name| self.system.unit(name).is_some()).cloned().collect();
        if inverters.len() == panel.fed_by.len() && !inverters.is_empty() {
            // A feeder from one panel to the next or to a transfer device has no receptacles of its own.
            let receptacles = Fact::Known(Traced::stated(false, format!("panel.{}.fed_by", panel.name)));
            return Demand::Ac(AcLoad {
                continuous: leg_current(self.system, &inverters),
                volts,
                fault,
                receptacles,
            });
        }
        Demand::UtilitySupply(UtilitySupply {
            main,
            volts,
            whole_dwelling: not_the_whole_dwelling(&panel.name),
            fault,
        })
    }
}

/// The sum of currents, one alone as it is; everything missing where one is not known.
fn all_of(mut parts: Vec<(Arc<str>, Fact<Current>)>) -> Fact<Current> {
    if parts.len() == 1
        && let Some((_, alone)) = parts.pop()
    {
        return alone;
    }
    let mut known = Vec::new();
    let mut missing: Option<Gap> = None;
    for (name, part) in parts {
        match part {
            Fact::Known(current) => known.push((name, current)),
            Fact::Unknown(gap) => missing = Some(missing.map_or_else(|| gap.clone(), |all| all.and(&gap))),
        }
    }
    missing.map_or_else(|| Fact::Known(sum(known, &units::AMPERE)), Fact::Unknown)
}

/// The smaller sizes for conductors that carry a whole dwelling (NEC 310.12) are not taken unless someone says so: the
/// larger size is never wrong.
fn not_the_whole_dwelling(at: &str) -> Fact<bool> {
    Fact::assumed(
        false,
        quantity::Reason {
            field: FieldPath::new(format!("panel.{at}")),
            because: "the smaller sizes of NEC 310.12 are not taken; the larger size is never wrong".into(),
            moves: "size of the service conductors".into(),
            clause: quantity::practice("assumption"),
        },
    )
}

/// Name of a branch of a bank: "rack 3".
pub fn branch_name(bank: &BankIn, branch: u32) -> Arc<str> {
    format!("{} {branch}", bank.bank.name).into()
}

/// Voltages between which the circuits of a bank work. The lowest is where inverter or battery stops, whichever is
/// higher; with one of them unknown the other alone gives more current, not less.
pub fn battery_volts(system: &System, bank: &BankIn) -> BatteryVolts {
    let none = || Fact::unknown(format!("battery.{}", bank.bank.battery), WhoKnows::DataSheet);
    let battery = system.battery(&bank.bank.battery);
    let of_series = |fact: Option<&Fact<Voltage>>| match fact {
        Some(fact) => bank
            .bank
            .series
            .and_then(|n| fact.and_then(|each| Fact::Known(product_of_count(n, each, &units::VOLT)))),
        None => none(),
    };
    let cut_off = of_series(battery.map(|b| &b.cut_off));
    let inverters: Vec<_> = system
        .units_in_place
        .iter()
        .filter(|unit| unit.bank == bank.bank.name)
        .filter_map(|unit| system.inverter_of(unit))
        .collect();
    let mut stops: Vec<(Arc<str>, Traced<Voltage>)> = Vec::new();
    for inverter in &inverters {
        if let Fact::Known(low) = &inverter.battery_low {
            stops.push((inverter.name.clone(), low.clone()));
        }
    }
    if let Fact::Known(low) = &cut_off {
        stops.push(("battery".into(), low.clone()));
    }
    let lowest = greatest(stops, &units::VOLT).map_or(cut_off, Fact::Known);
    let charge = of_series(battery.map(|b| &b.charge_voltage));
    let highest = charge.or(|| {
        let limits = inverters
            .iter()
            .filter_map(|i| i.battery_high.known().map(|high| (i.name.clone(), high.clone())))
            .collect();
        greatest(limits, &units::VOLT).map_or_else(none, Fact::Known)
    });
    BatteryVolts { lowest, nominal: of_series(battery.map(|b| &b.nominal)), highest }
}

/// An inverter as its battery conductors see it.
fn inverter_input(system: &System, unit: &Unit) -> Option<InverterInput> {
    let inverter = system.inverter_of(unit)?;
    let efficiency = inverter.efficiency.and_then(|points| match points.value.last() {
        Some((_, at_full)) => Fact::Known(points.with(Ratio::from_si(*at_full))),
        None => Fact::unknown(format!("inverter.{}.efficiency", inverter.name), WhoKnows::DataSheet),
    });
    Some(InverterInput {
        name: unit.name.clone(),
        output: inverter.output.clone(),
        efficiency,
        charge: inverter.charge.clone(),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::Design;
    use quantity::Fact;

    /// Current into a short on a circuit of the farm with lines added to its utility and its inverter.
    fn fault(utility: &str, inverter: &str, circuit: &str) -> Fact<quantity::Current> {
        let text = include_str!("../../../designs/hollow-farm/hollow-farm.toml")
            .replace("service = \"200 A\"\n", &format!("service = \"200 A\"\n{utility}\n"))
            .replace("stackable = \"split phase\"\n", &format!("stackable = \"split phase\"\n{inverter}\n"));
        let design = Design::of_text(&text);
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let found = design.graph.circuits.iter().find(|c| &*c.name == circuit).unwrap();
        match &found.demand {
            wiring::Demand::UtilitySupply(utility) => utility.fault.clone(),
            wiring::Demand::InverterOutput(inverter) => inverter.fault.clone(),
            wiring::Demand::Ac(load) => load.fault.clone(),
            other => panic!("{other:?}"),
        }
    }

    const UTILITY: &str = "fault_current = \"10 kA\"";
    const INVERTER: &str = "fault_current = \"120 A\"";

    #[test]
    fn the_fault_current_of_the_utility_comes_down_its_feeders_unreduced() {
        let amps = |circuit| fault(UTILITY, INVERTER, circuit).si().unwrap();
        assert_eq!(amps("utility to service panel"), 10_000.0);
        assert_eq!(amps("service panel to house switch"), 10_000.0);
        // Two units of 120 A feed the panel of the workshop, and with the utility the house.
        assert_eq!(amps("inverter A to inverter panel"), 240.0);
        assert_eq!(amps("inverter panel to house switch"), 240.0);
        assert_eq!(amps("house switch to house panel"), 10_240.0);
    }

    #[test]
    fn what_is_missing_is_a_field_that_exists() {
        let missing = |utility, inverter, circuit| {
            let gap = fault(utility, inverter, circuit).gap().unwrap().clone();
            gap.missing.iter().map(|m| m.field.as_str().to_string()).collect::<Vec<_>>()
        };
        assert_eq!(missing("", INVERTER, "service panel to house switch"), ["utility.fault_current"]);
        assert_eq!(missing(UTILITY, "", "inverter panel to house switch"), ["inverter.wall.fault_current"]);
        assert_eq!(missing(UTILITY, "", "house switch to house panel"), ["inverter.wall.fault_current"]);
    }
}
