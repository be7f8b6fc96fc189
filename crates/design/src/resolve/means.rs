//! Ties and electrodes.

use super::Items;
use super::take::Take;
use crate::system::{
    Appliance, Cable, Control, Disconnect, Household, Separation, SourcesAt, Stands, StatedBond, SurgeDevice,
    SurgeType, WorkingSpace,
};
use quantity::{Fact, Gauge, Material, Traced, WhoKnows};
use wiring::{ApplianceKind, Arrangement, ElectrodeKind, GroundElectrode, SwitchKind};

pub(super) fn material(take: &Take<'_>, key: &str) -> Fact<Material> {
    take.choice(key, |word| match word {
        "copper" => Some(Material::Copper),
        "aluminum" => Some(Material::Aluminum),
        _ => None,
    })
}

/// A size as a fact: unknown where it is not stated.
pub(super) fn gauge(take: &Take<'_>, key: &str, ask: WhoKnows) -> Fact<Gauge> {
    match take.gauge(key) {
        Some(gauge) => Fact::Known(gauge),
        None => Fact::unknown(take.path(key).0, ask),
    }
}

pub(super) fn earthing(take: &Take<'_>) -> Fact<Arrangement> {
    take.choice("earthing", |word| match word {
        "TN-C-S" => Some(Arrangement::TnCS),
        "TN-S" => Some(Arrangement::TnS),
        "TT" => Some(Arrangement::Tt),
        "IT" => Some(Arrangement::It),
        _ => None,
    })
}

pub(super) fn working_space(take: &Take<'_>) -> Option<WorkingSpace> {
    take.is_written("working_space").then(|| {
        let space = take.record("working_space");
        WorkingSpace {
            depth: space.quantity("depth"),
            width: space.quantity("width"),
            height: space.quantity("height"),
            opposite: space.choice("opposite", |word| {
                wiring::Opposite::ALL.into_iter().find(|opposite| opposite.in_words() == word)
            }),
            own_width: space.optional("own_width"),
            door_opens: space.yes_no("door_opens"),
            free_of_pipes: space.yes_no("free_of_pipes"),
        }
    })
}

pub(super) fn bonds(items: &Items<'_>) -> Vec<StatedBond> {
    items
        .of("bond")
        .map(|item| {
            let take = Take::new(item, None);
            // Naming a tie states it, unless it is said to be taken out or not known to be in.
            let stated = || Fact::Known(Traced::stated(true, take.path("at").0));
            StatedBond {
                name: item.name.clone(),
                at: take.reference("at"),
                fitted: if take.is_written("fitted") { take.yes_no("fitted") } else { stated() },
            }
        })
        .collect()
}

pub(super) fn electrodes(items: &Items<'_>) -> Vec<GroundElectrode> {
    items
        .of("electrode")
        .map(|item| {
            let take = Take::new(item, None);
            GroundElectrode {
                name: item.name.clone(),
                kind: take.choice("kind", |word| match word {
                    "rod" => Some(ElectrodeKind::Rod),
                    "plate" => Some(ElectrodeKind::Plate),
                    "ring" => Some(ElectrodeKind::Ring),
                    "concrete-encased" => Some(ElectrodeKind::ConcreteEncased),
                    "water pipe" => Some(ElectrodeKind::WaterPipe),
                    "building steel" => Some(ElectrodeKind::BuildingSteel),
                    _ => None,
                }),
                building: take.reference("building"),
                at: take.reference("at"),
                at_array: take.yes_no("at_array").value() == Some(&true),
                resistance: take.quantity("resistance"),
                conductor: take.gauge("conductor"),
                material: material(&take, "material"),
                field: quantity::FieldPath::new(item.path.clone()),
            }
        })
        .collect()
}

pub(super) fn sources_at(take: &Take<'_>) -> Fact<SourcesAt> {
    take.choice("sources_at", |word| match word {
        "end opposite to the feed" => Some(SourcesAt::OppositeEnd),
        "one end of a centre-fed busbar" => Some(SourcesAt::CentreFedOneEnd),
        "elsewhere" => Some(SourcesAt::Elsewhere),
        _ => None,
    })
}

pub(super) fn power_control(take: &Take<'_>) -> Option<wiring::PowerControl> {
    let record = take.record("power_control");
    take.is_written("power_control").then(|| wiring::PowerControl {
        setting: record.quantity("setting"),
        holds: record.choice("holds", |word| match word {
            "the whole busbar" => Some(wiring::Holds::Busbar),
            "the sources" => Some(wiring::Holds::Sources),
            _ => None,
        }),
        listed: record.yes_no("listed"),
    })
}

pub(super) fn household(items: &Items<'_>) -> Option<Household> {
    items.of("household").next()?;
    let take = items.one("household");
    Some(Household {
        panel: take.reference("panel"),
        floor_area: take.quantity("floor_area"),
        circuits: take.count("circuits"),
        existing: take.choice("counted_as", |word| match word {
            "existing dwelling" => Some(true),
            "new dwelling" => Some(false),
            _ => None,
        }),
    })
}

pub(super) fn appliances(items: &Items<'_>) -> Vec<Appliance> {
    items
        .of("appliance")
        .map(|item| {
            let take = Take::new(item, None);
            Appliance {
                name: item.name.clone(),
                kind: take.choice("kind", |word| match word {
                    "cooking, drying, water heating or other" => Some(ApplianceKind::General),
                    "cooling" => Some(ApplianceKind::Cooling),
                    "heat pump" => Some(ApplianceKind::HeatPump),
                    "heat beside the heat pump" => Some(ApplianceKind::HeatBesidePump),
                    "space heating" => Some(ApplianceKind::SpaceHeating),
                    "vehicle charger" => Some(ApplianceKind::VehicleCharger),
                    _ => None,
                }),
                rated: take.quantity("rated"),
                controlled_apart: take.count("controlled_apart").value().map_or(1, |n| n.0),
                added: take.yes_no("added").value() == Some(&true),
            }
        })
        .collect()
}

pub(super) fn control(take: &Take<'_>, key: &str) -> Fact<Control> {
    take.choice(key, |word| match word {
        "outside" => Some(Control::Outside),
        "inside" => Some(Control::Inside),
        "none" => Some(Control::None),
        _ => None,
    })
}

pub(super) fn disconnects(items: &Items<'_>) -> Vec<Disconnect> {
    items
        .of("disconnect")
        .map(|item| {
            let take = Take::new(item, None);
            Disconnect {
                name: item.name.clone(),
                between: take.references("between"),
                at: take.reference("at"),
                kind: take.choice("kind", |word| match word {
                    "load-break switch" => Some(SwitchKind::LoadBreak),
                    "breaker" => Some(SwitchKind::Breaker),
                    "isolating switch" => Some(SwitchKind::Isolating),
                    "connector" => Some(SwitchKind::Connector),
                    _ => None,
                }),
                rating: take.quantity("rating"),
                volts: take.quantity("volts"),
                stands: take.choice("stands", |word| match word {
                    "at the equipment" => Some(Stands::AtEquipment),
                    "in sight within 10 ft" => Some(Stands::InSight),
                    "farther away" => Some(Stands::Away),
                    _ => None,
                }),
                lockable: take.yes_no("lockable"),
                price: take.money("price"),
            }
        })
        .collect()
}

pub(super) fn surges(items: &Items<'_>) -> Vec<SurgeDevice> {
    items
        .of("surge")
        .map(|item| {
            let take = Take::new(item, None);
            SurgeDevice {
                name: item.name.clone(),
                at: take.reference("at"),
                on_modules: take.choice("protects", |word| match word {
                    "module circuits" => Some(true),
                    "alternating current" => Some(false),
                    _ => None,
                }),
                kind: take
                    .choice("type", |word| SurgeType::ALL.into_iter().find(|kind| kind.in_words() == word)),
                volts: take.quantity("volts"),
                price: take.money("price"),
            }
        })
        .collect()
}

pub(super) fn cables(items: &Items<'_>) -> Vec<Cable> {
    let words = |take: &Take<'_>, key: &str| take.text(key).value().cloned().unwrap_or_else(|| "".into());
    items
        .of("cable")
        .map(|item| {
            let take = Take::new(item, None);
            Cable {
                name: item.name.clone(),
                between: take.references("between"),
                carries: words(&take, "carries"),
                way: words(&take, "way"),
                length: take.quantity("length"),
                longest: take.quantity("longest"),
                separation: take.choice("lies", |word| match word {
                    "2 in from power conductors" => Some(Separation::Apart),
                    "in a raceway of its own" => Some(Separation::OwnRaceway),
                    "behind a barrier" => Some(Separation::Barrier),
                    "with power conductors" => Some(Separation::None),
                    _ => None,
                }),
                ends: take.text("ends"),
                price: take.money("price"),
                field: quantity::FieldPath::new(item.path.clone()),
            }
        })
        .collect()
}
