//! Where storage stands and how much, and the free space in front of equipment.

use crate::Study;
use design::system::{BankIn, UnitPart, WorkingSpace};
use quantity::{
    Choice, Energy, Fact, Figure, FigureName, Gap, Length, Traced, Value, Voltage, WhoKnows, units,
};
use std::sync::Arc;
use storage::PlaceKind;
use wiring::{Demand, NodeKind, Opposite};

/// The storage of one room or place.
#[derive(Clone, Debug)]
pub struct StoragePlace {
    /// The room; empty where banks name none.
    pub room: Arc<str>,
    /// What it is.
    pub kind: Fact<PlaceKind>,
    /// Banks in it.
    pub banks: Vec<Arc<str>>,
    /// Energy of all of them.
    pub energy: Fact<Energy>,
    /// Most that may stand in all places of the kind together, and what stands there; unknown with the kind.
    pub allowed: Fact<Energy>,
    /// What stands in all places of that kind together.
    pub together: Fact<Energy>,
}

/// Every place with storage in it, in the order of its banks.
pub fn storage_places(study: &Study) -> Vec<StoragePlace> {
    let system = &study.design.system;
    let mut places: Vec<StoragePlace> = Vec::new();
    for bank in &system.banks {
        let room = &bank.bank.room;
        match places.iter_mut().find(|place| place.room == *room && !room.is_empty()) {
            Some(place) => place.banks.push(bank.bank.name.clone()),
            None => places.push(StoragePlace {
                room: room.clone(),
                kind: system.room(room).map_or_else(
                    || Fact::unknown(format!("bank.{}.room", bank.bank.name), WhoKnows::Owner),
                    |room| room.kind.clone(),
                ),
                banks: vec![bank.bank.name.clone()],
                energy: Fact::unknown("bank", WhoKnows::Owner),
                allowed: Fact::unknown("room", WhoKnows::Owner),
                together: Fact::unknown("bank", WhoKnows::Owner),
            }),
        }
    }
    for place in &mut places {
        place.energy = energy_of(study, &place.banks);
        place.allowed = place.kind.and_then(|kind| {
            let most = storage::place_most(kind.value);
            Fact::Known(Traced::found(
                most.value,
                Choice {
                    because: format!("what a {} may hold", kind.value.in_words()).into(),
                    runner_up: "".into(),
                    clause: storage::STORAGE_PLACE,
                    terms: vec![
                        most.term("tabled", &units::KILOWATT_HOUR),
                        quantity::Term::words("place", kind.value.in_words(), kind.origin.clone()),
                    ],
                },
            ))
        });
    }
    let all: Vec<(Fact<PlaceKind>, Vec<Arc<str>>)> =
        places.iter().map(|place| (place.kind.clone(), place.banks.clone())).collect();
    for place in &mut places {
        let alike = all.iter().filter(|(kind, banks)| {
            *banks == place.banks || (kind.value().is_some() && kind.value() == place.kind.value())
        });
        let banks: Vec<Arc<str>> = alike.flat_map(|(_, banks)| banks.clone()).collect();
        place.together = energy_of(study, &banks);
    }
    places
}

fn energy_of(study: &Study, banks: &[Arc<str>]) -> Fact<Energy> {
    let mut parts = Vec::new();
    for name in banks {
        let found = study.banks.iter().find(|bank| bank.name == *name);
        match found.map(|bank| &bank.capacity) {
            Some(Fact::Known(energy)) => parts.push((name.clone(), energy.clone())),
            Some(Fact::Unknown(gap)) => return Fact::Unknown(gap.clone()),
            None => return Fact::unknown(format!("bank.{name}"), WhoKnows::Owner),
        }
    }
    Fact::Known(quantity::sum(parts, &units::KILOWATT_HOUR))
}

/// Energy of one unit of a bank.
pub fn unit_energy(study: &Study, bank: &BankIn) -> Fact<Energy> {
    let missing = || format!("battery.{}", bank.bank.battery);
    let Some(battery) = study.design.system.battery(&bank.bank.battery) else {
        return Fact::unknown(missing(), WhoKnows::DataSheet);
    };
    let one = Fact::Known(Traced::stated(quantity::Count(1), missing()));
    storage::BankCapacity::of_facts(&one, &one, &battery.nominal, &battery.capacity)
}

/// Equipment that is worked on while it is live, with the space in front of it.
#[derive(Clone, Debug)]
pub struct SpaceStudy {
    /// Its name.
    pub name: Arc<str>,
    /// What it is.
    pub what: &'static str,
    /// Path of its working space in the design.
    pub path: String,
    /// What the owner states; `None` where nothing was said.
    pub stated: Option<WorkingSpace>,
    /// Highest voltage to ground in it.
    pub to_ground: Fact<Voltage>,
    /// Least depth; unknown where the voltage or what stands opposite decides it and is not known.
    pub depth: Fact<Length>,
    /// Least width.
    pub width: Traced<Length>,
    /// Least height.
    pub height: Traced<Length>,
    /// Whether the space above and below belongs to it alone: panels.
    pub dedicated: bool,
}

/// Units, banks and new panels with the space each asks for.
pub fn working_spaces(study: &Study) -> Vec<SpaceStudy> {
    let system = &study.design.system;
    let mut all = Vec::new();
    for unit in &system.units_in_place {
        let what = match unit.part {
            UnitPart::Inverter(_) => "inverter",
            UnitPart::Controller(_) => "charge controller",
            UnitPart::Unclear => continue,
        };
        all.push(space(study, &unit.name, what, format!("unit.{}", unit.name), &unit.working_space));
    }
    for bank in &system.banks {
        let name = &bank.bank.name;
        all.push(space(study, name, "battery", format!("bank.{name}"), &bank.working_space));
    }
    for panel in system.panels.iter().filter(|panel| panel.existing.value() != Some(&true)) {
        all.push(space(study, &panel.name, "panel", format!("panel.{}", panel.name), &panel.working_space));
    }
    all
}

fn space(
    study: &Study,
    name: &Arc<str>,
    what: &'static str,
    path: String,
    stated: &Option<WorkingSpace>,
) -> SpaceStudy {
    let to_ground = to_ground(study, name);
    let depth = to_ground.and_then(|volts| {
        let opposite = if volts.si() <= wiring::SAME_DEPTH_UP_TO {
            Ok(volts.with(Opposite::Nothing))
        } else {
            match stated {
                Some(space) => space.opposite.need().cloned(),
                None => Err(Gap::one(
                    quantity::FieldPath::new(format!("{path}.working_space")),
                    WhoKnows::Measurement,
                )),
            }
        };
        match opposite {
            Err(gap) => Fact::Unknown(gap),
            Ok(opposite) => match wiring::least_depth(volts.value, opposite.value) {
                Some(least) => Fact::Known(least),
                None => Fact::unknown(path.clone(), WhoKnows::Electrician),
            },
        }
    });
    let own = stated.as_ref().and_then(|space| space.own_width.as_ref()).and_then(Fact::known);
    SpaceStudy {
        name: name.clone(),
        what,
        width: wiring::least_width(own),
        height: wiring::least_height(),
        dedicated: what == "panel",
        path: format!("{path}.working_space"),
        stated: stated.clone(),
        to_ground,
        depth,
    }
}

/// Highest voltage to ground of the circuits that end at equipment: of direct current the whole voltage, for a fault may
/// ground either side; of two legs and a neutral half of it.
fn to_ground(study: &Study, name: &str) -> Fact<Voltage> {
    let graph = &study.design.graph;
    let unknown = || Fact::unknown(format!("voltage of {name}"), WhoKnows::Electrician);
    let (Ok(schedule), Some(node)) = (&study.wiring, graph.find(name)) else { return unknown() };
    let mut parts: Vec<(Arc<str>, Traced<Voltage>)> = Vec::new();
    for (id, circuit) in graph.circuits_at(node) {
        let Some(sized) = schedule.circuits.get(id.0) else { continue };
        let volts = match (&sized.currents.highest, &circuit.demand) {
            (Fact::Known(volts), Demand::PvStrings(_)) => volts.clone(),
            (Fact::Known(volts), _) if circuit.conductors == 3 => wiring::LegToNeutral::of(volts),
            (Fact::Known(volts), _) => volts.clone(),
            (Fact::Unknown(gap), _) => return Fact::Unknown(gap.clone()),
        };
        parts.push((circuit.name.clone(), volts));
    }
    debug_assert!(graph.node(node).is_some_and(|node| node.kind != NodeKind::Load));
    quantity::greatest(parts, &units::VOLT).map_or_else(unknown, Fact::Known)
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    let mut put = |name: &[&str], says: String, value: Value, origin: &quantity::Origin| {
        all.push(Figure { name: FigureName::new(name), says, value, origin: origin.clone() });
    };
    for place in storage_places(study).iter().filter(|place| !place.room.is_empty()) {
        if let Fact::Known(energy) = &place.together {
            let says = format!("{}: storage in places of its kind", place.room);
            put(&["places", &place.room, "storage"], says, energy.into(), &energy.origin);
        }
        if let Fact::Known(most) = &place.allowed {
            let says = format!("{}: most storage in places of its kind", place.room);
            put(&["places", &place.room, "most"], says, most.into(), &most.origin);
        }
    }
    for space in working_spaces(study) {
        if let Fact::Known(volts) = &space.to_ground {
            let says = format!("{}: highest voltage to ground", space.name);
            put(&["working-space", &space.name, "to-ground"], says, volts.into(), &volts.origin);
        }
        if let Fact::Known(depth) = &space.depth {
            let says = format!("{}: least depth of the working space", space.name);
            put(&["working-space", &space.name, "depth"], says, depth.into(), &depth.origin);
        }
        for (what, least) in [("width", &space.width), ("height", &space.height)] {
            let says = format!("{}: least {what} of the working space", space.name);
            put(&["working-space", &space.name, what], says, least.into(), &least.origin);
        }
        let Some(own) = &space.stated else { continue };
        for (what, there) in [("depth", &own.depth), ("width", &own.width), ("height", &own.height)] {
            if let Fact::Known(there) = there {
                let says = format!("{}: {what} of the working space there", space.name);
                let name = format!("{what}-there");
                put(&["working-space", &space.name, &name], says, there.into(), &there.origin);
            }
        }
    }
    all
}
