//! Ties and electrodes.

use super::Items;
use super::take::Take;
use crate::system::StatedBond;
use quantity::{Fact, Gauge, Material, Traced, WhoKnows};
use wiring::{Arrangement, ElectrodeKind, GroundElectrode};

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
                resistance: take.quantity("resistance"),
                conductor: take.gauge("conductor"),
                material: material(&take, "material"),
                field: quantity::FieldPath::new(item.path.clone()),
            }
        })
        .collect()
}
