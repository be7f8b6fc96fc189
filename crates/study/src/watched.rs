//! Which device watches the modules for current to ground and for arcs, and where surges are taken.

use crate::Study;
use design::system::{BuildingKind, Dwelling, Rules, StringIn, SurgeDevice, System, Unit, UnitPart};
use quantity::{Fact, Figure, FigureName, Gap, Length, Number, Traced, WhoKnows, units};
use std::sync::Arc;
use storage::PlaceKind;
use wiring::{LongestWithoutSurgeDevice, NodeKind, Raceway, Where};

/// Everything that watches the modules at one inverter or charge controller.
#[derive(Clone, Debug)]
pub struct ArrayWatch {
    /// The unit.
    pub unit: Arc<str>,
    /// Path of its part in the design.
    pub part: String,
    /// Strings that go into it.
    pub strings: Vec<Arc<str>>,
    /// What watches for current to ground; empty where nothing does.
    pub ground_faults: Fact<Arc<str>>,
    /// Whether that is asked for: above 30 V or 8 A.
    pub ground_faults_asked: bool,
    /// What watches for arcs; empty where nothing does.
    pub arcs: Fact<Arc<str>>,
    /// Whether that is asked for: 80 V and more on or in a building.
    pub arcs_asked: bool,
    /// What takes surges at the unit; empty where nothing does.
    pub surges_here: Fact<Arc<str>>,
    /// What takes surges where the conductors leave the modules, the same for every string; empty where one has nothing.
    pub surges_at_modules: Fact<Arc<str>>,
    /// Longest way of its strings.
    pub way: Fact<Length>,
    /// Longest way that needs no surge protective device; `None` where the rules ask for none.
    pub way_without: Option<Fact<Length>>,
}

/// Where the rules ask for a surge protective device on alternating current.
#[derive(Clone, Debug)]
pub struct SurgeAsked {
    /// Panel or transfer device.
    pub at: Arc<str>,
    /// Path of it in the design.
    pub path: String,
    /// It is service equipment; else a panel that a feeder brings power to.
    pub is_service: bool,
    /// It is there already, so that a device is asked for when it is replaced.
    pub existing: bool,
    /// Whether it serves a dwelling.
    pub dwelling: Fact<bool>,
}

/// Of several that may do a thing the first that does, empty where all are known not to.
fn who(all: &[(String, &Fact<bool>)], nobody: impl Fn() -> String) -> Fact<Arc<str>> {
    let mut gap: Option<Gap> = None;
    for (name, does) in all {
        match does {
            Fact::Known(does) if does.value => return Fact::Known(does.with(Arc::from(name.as_str()))),
            Fact::Known(_) => {}
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => match all.first() {
            Some((_, Fact::Known(first))) => Fact::Known(first.with(Arc::from(""))),
            _ => Fact::Known(Traced::stated(Arc::from(""), nobody())),
        },
    }
}

/// Units with modules, in the order of the design.
pub fn array_watches(study: &Study) -> Vec<ArrayWatch> {
    let system = &study.design.system;
    let of = |unit: &Unit| -> Vec<&StringIn> {
        system.strings.iter().filter(|string| string.string.unit == unit.name).collect()
    };
    let units = system.units_in_place.iter().map(|unit| (unit, of(unit)));
    units
        .filter(|(_, strings)| !strings.is_empty())
        .filter_map(|(unit, strings)| watch(study, unit, &strings))
        .collect()
}

fn watch(study: &Study, unit: &Unit, strings: &[&StringIn]) -> Option<ArrayWatch> {
    let system = &study.design.system;
    let (part, ground, arcs, surges) = match &unit.part {
        UnitPart::Inverter(name) => {
            let part = system.inverter(name)?;
            let path = format!("inverter.{name}");
            (path, &part.ground_fault_protection, &part.arc_fault_protection, &part.surge_protection)
        }
        UnitPart::Controller(name) => {
            let part = system.controller(name)?;
            let path = format!("controller.{name}");
            (path, &part.ground_fault_protection, &part.arc_fault_protection, &part.surge_protection)
        }
        UnitPart::Unclear => return None,
    };
    let mut listening = vec![(unit.name.to_string(), arcs)];
    // Combiners stand for the unit only when all of its strings pass through one that listens.
    let combiners: Vec<_> = strings.iter().map(|string| system.combiner(&string.through)).collect();
    if let Some(Some(first)) = combiners.first()
        && combiners.iter().all(|c| c.is_some_and(|c| c.arc_fault_protection == first.arc_fault_protection))
    {
        listening.push((first.name.to_string(), &first.arc_fault_protection));
    }
    let mut here = vec![(format!("built into {}", unit.name), surges)];
    here.extend(on_modules(system, &unit.name));
    let ends = strings.iter().map(|string| {
        let mut all = on_modules(system, &string.string.name);
        if !string.through.is_empty() {
            all.extend(on_modules(system, &string.through));
        }
        who(&all, || format!("string.{}", string.string.name))
    });
    let volts = |string: &StringIn| {
        let found = study.strings.iter().find(|s| s.name == string.string.name);
        found.and_then(|found| found.cold_voc.si())
    };
    let up_to = |limit: f64| strings.iter().all(|string| volts(string).is_some_and(|v| v <= limit));
    let small = study.inputs.iter().filter(|input| input.unit == unit.name).all(|input| {
        // 690.41(B): 8 A.
        input.isc.si().is_some_and(|amps| amps <= 8.0)
    });
    let iec = system.place.rules.value() == Some(&Rules::Iec60364);
    Some(ArrayWatch {
        unit: unit.name.clone(),
        part,
        strings: strings.iter().map(|string| string.string.name.clone()).collect(),
        ground_faults: who(&[(unit.name.to_string(), ground)], String::new),
        // 690.41(B): 30 V.
        ground_faults_asked: !(up_to(30.0) && small),
        arcs: who(&listening, String::new),
        // 690.11: 80 V between any two conductors.
        arcs_asked: !iec
            && !strings.iter().all(|string| volts(string).is_some_and(|v| v < 80.0))
            && in_a_building(study, unit, strings),
        surges_here: who(&here, String::new),
        surges_at_modules: everywhere(ends),
        way: longest_way(study, strings),
        way_without: iec.then(|| way_without(system)),
    })
}

fn on_modules<'s>(system: &'s System, at: &str) -> Vec<(String, &'s Fact<bool>)> {
    let devices = system.surges.iter().filter(|surge| &*surge.at == at);
    devices.map(|surge| (surge.name.to_string(), &surge.on_modules)).collect()
}

/// The devices of all ends: unknown where one is, empty where one has none.
fn everywhere(ends: impl Iterator<Item = Fact<Arc<str>>>) -> Fact<Arc<str>> {
    let ends: Vec<_> = ends.collect();
    if let Some(nothing) = ends.iter().find(|end| end.value().is_some_and(|name| name.is_empty())) {
        return nothing.clone();
    }
    if let Some(unknown) = ends.iter().find(|end| end.gap().is_some()) {
        return unknown.clone();
    }
    let mut names: Vec<Arc<str>> = ends.iter().filter_map(|end| end.value().cloned()).collect();
    names.dedup();
    let words: Vec<String> = names.iter().map(ToString::to_string).collect();
    match ends.first() {
        Some(Fact::Known(first)) => Fact::Known(first.with(Arc::from(words.join(", ")))),
        _ => Fact::unknown("string", WhoKnows::Owner),
    }
}

/// NEC 690.11 with its exception: structures that only hold equipment of the system count as none where every part of the
/// way is in metal or underground. What is not known counts as a building.
fn in_a_building(study: &Study, unit: &Unit, strings: &[&StringIn]) -> bool {
    let system = &study.design.system;
    let mut buildings: Vec<Arc<str>> = Vec::new();
    let room = system.room(&unit.room);
    if room.and_then(|room| room.kind.value()) != Some(&PlaceKind::Ground) {
        buildings.push(room.map_or_else(|| "".into(), |room| room.building.clone()));
    }
    for string in strings {
        let plane = system.plane(&string.string.plane);
        let mount = plane.and_then(|plane| plane.mount.value());
        if !matches!(mount, Some(array::facts::Mount::GroundRack | array::facts::Mount::Pole)) {
            buildings.push(plane.map_or_else(|| "".into(), |plane| plane.building.clone()));
        }
    }
    let parts = || ways(study, strings).flat_map(|run| &run.segments);
    for part in parts().filter(|part| part.place.value().is_none_or(|place| place.is_inside())) {
        buildings.push(system.room(&part.room).map_or_else(|| "".into(), |room| room.building.clone()));
    }
    if buildings.is_empty() {
        return false;
    }
    let only_equipment = buildings
        .iter()
        .all(|name| system.building(name).is_some_and(|b| b.only_equipment.value() == Some(&true)));
    let covered = parts().all(|part| {
        part.place.value() == Some(&Where::Underground)
            || part.raceway.value().is_some_and(|raceway: &Raceway| raceway.is_metal())
    });
    !(only_equipment && covered)
}

/// Runs on the way from some strings to their unit.
fn ways<'s>(study: &'s Study, strings: &[&StringIn]) -> impl Iterator<Item = &'s wiring::Run> {
    let names: Vec<Arc<str>> = strings
        .iter()
        .flat_map(|s| [s.string.name.clone(), s.through.clone()])
        .filter(|n| !n.is_empty())
        .collect();
    let graph = &study.design.graph;
    let circuits = graph.circuits.iter().filter(move |circuit| {
        circuit.demand.is_pv() && graph.node(circuit.from).is_some_and(|from| names.contains(&from.name))
    });
    circuits.filter_map(|circuit| study.design.system.runs.get(circuit.run?.0))
}

fn longest_way(study: &Study, strings: &[&StringIn]) -> Fact<Length> {
    let mut all = Vec::new();
    for string in strings {
        let parts: Vec<(Arc<str>, Fact<Length>)> =
            ways(study, &[string]).map(|run| (run.name.clone(), run.length())).collect();
        if parts.is_empty() {
            return Fact::unknown(format!("run for {}", string.string.name), WhoKnows::Owner);
        }
        match crate::fit::sum_of(parts, &units::METER) {
            Fact::Known(length) => all.push((string.string.name.clone(), length)),
            Fact::Unknown(gap) => return Fact::Unknown(gap),
        }
    }
    quantity::greatest(all, &units::METER)
        .map_or_else(|| Fact::unknown("string", WhoKnows::Owner), Fact::Known)
}

fn way_without(system: &System) -> Fact<Length> {
    let k = system.place.dwelling.and_then(|dwelling| {
        Fact::Known(dwelling.with(Number(match dwelling.value {
            Dwelling::OneFamily | Dwelling::TwoFamily => wiring::OF_DWELLINGS,
            Dwelling::Other => wiring::OF_OTHER_BUILDINGS,
        })))
    });
    // Where lightning never strikes no length asks for a device.
    let strokes = system.place.lightning.and_then(|n| Fact::Known(n.with(Number(n.value.0.max(1e-9)))));
    LongestWithoutSurgeDevice::of_facts(&k, &strokes)
}

/// Places on alternating current at which a dwelling asks for a surge protective device.
pub fn surges_asked(study: &Study) -> Vec<SurgeAsked> {
    let (system, graph) = (&study.design.system, &study.design.graph);
    let rules = system.place.rules.value();
    if study.wiring.is_err() || rules == Some(&Rules::Iec60364) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for (k, node) in graph.nodes.iter().enumerate() {
        let fed = |circuit: &wiring::Circuit| circuit.to == wiring::NodeId(k);
        let by_utility = graph
            .circuits
            .iter()
            .filter(|c| fed(c))
            .any(|circuit| graph.node(circuit.from).is_some_and(|from| from.kind == NodeKind::Utility));
        let is_service = by_utility && matches!(node.kind, NodeKind::Panel | NodeKind::Transfer);
        // Panels at the end of feeders are asked since 2023 (215.18).
        let by_feeder = node.kind == NodeKind::Panel && rules != Some(&Rules::Nec2020);
        if !is_service && !by_feeder {
            continue;
        }
        let table = if node.kind == NodeKind::Panel { "panel" } else { "transfer" };
        all.push(SurgeAsked {
            at: node.name.clone(),
            path: format!("{table}.{}", node.name),
            is_service,
            existing: system.panel(&node.name).is_some_and(|p| p.existing.value() == Some(&true)),
            dwelling: dwelling(system, &node.building, is_service),
        });
    }
    all
}

/// Whether something in a building serves a dwelling: the service of a dwelling does wherever it hangs.
fn dwelling(system: &System, building: &str, is_service: bool) -> Fact<bool> {
    let place = || system.place.dwelling.clone().map(|kind| kind != Dwelling::Other);
    match system.building(building) {
        Some(found) if !is_service => found.kind.clone().map(|kind| kind == BuildingKind::Dwelling).or(place),
        _ => place(),
    }
}

/// Surge protective devices on alternating current at a panel or transfer device.
pub fn surges_at<'s>(study: &'s Study, at: &str) -> Vec<&'s SurgeDevice> {
    let devices = study.design.system.surges.iter();
    devices.filter(|surge| &*surge.at == at && surge.on_modules.value() != Some(&true)).collect()
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    for watch in array_watches(study) {
        let mut put = |what: &str, says: &str, fact: &Fact<Length>| {
            if let Fact::Known(length) = fact {
                all.push(Figure {
                    name: FigureName::new(&["array-watch", &watch.unit, what]),
                    says: format!("{}: {says}", watch.unit),
                    value: length.into(),
                    origin: length.origin.clone(),
                });
            }
        };
        put("way", "longest way from its modules", &watch.way);
        if let Some(most) = &watch.way_without {
            put("way-without", "longest way that asks for no surge protective device", most);
        }
    }
    for surge in &study.design.system.surges {
        if let Fact::Known(volts) = &surge.volts {
            all.push(Figure {
                name: FigureName::new(&["surges", &surge.name, "volts"]),
                says: format!("{}: highest lasting voltage it bears", surge.name),
                value: volts.into(),
                origin: volts.origin.clone(),
            });
        }
    }
    all
}
