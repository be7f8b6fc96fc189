//! Routes, and what the shop asks for wire.

use super::Items;
use super::place;
use super::take::{Take, assumed};
use crate::read::Given;
use crate::system::{Piece, Room, Rules, Stock};
use quantity::{Fact, Interval, Material, Temperature, Traced};
use std::collections::BTreeMap;
use tables::{Insulation, RacewayKind};
use wiring::{
    Curve, Device, DeviceKind, Raceway, Residual, ResidualType, Run, Segment, Strands, Suits, Surface, Where,
};

/// Rooms by their name; of two alike the first.
type Rooms<'a> = BTreeMap<&'a str, &'a Room>;

pub(super) fn runs(items: &Items<'_>) -> Vec<Run> {
    let rooms = super::things::rooms(items);
    let place = place::place(items);
    let iec = place.rules.value() == Some(&Rules::Iec60364);
    let hottest = place.hottest;
    let rooms: Rooms<'_> = rooms.iter().rev().map(|room| (&*room.name, room)).collect();
    items.of("run").map(|item| run(&item.name, &Take::new(item, None), &rooms, &hottest, iec)).collect()
}

fn run(
    name: &std::sync::Arc<str>,
    take: &Take<'_>,
    rooms: &Rooms<'_>,
    hottest: &Fact<Temperature>,
    iec: bool,
) -> Run {
    let between = take.references("between");
    let segments: Vec<Segment> =
        take.records("route").iter().map(|part| segment(part, rooms, hottest, iec)).collect();
    // Who writes "unknown" has conductors there and does not know them: that is no leave to assume.
    let insulation = if take.is_stated("insulation") {
        insulation(take, iec)
    } else {
        let carries_strings = !take.references("carries").is_empty();
        let (value, because) = match (carries_strings, iec) {
            (true, false) => (Insulation::PvWire, "array conductors are bought as PV wire"),
            (false, false) => {
                (Insulation::ThhnThwn2, "single conductors in raceway are bought as THHN/THWN-2")
            }
            (true, true) => (Insulation::ArrayCable, "array conductors are bought as array cable"),
            (false, true) => (Insulation::Pvc70, "conductors of a house are bought with PVC of 70 °C"),
        };
        assumed(value, take.path("insulation"), because, "conductor and raceway size")
    };
    let device = take.record("device");
    Run {
        name: name.clone(),
        between: match between.as_slice() {
            [a, b] => Some([a.clone(), b.clone()]),
            _ => None,
        },
        carries: take.references("carries"),
        segments,
        conductor: take.gauge("conductor"),
        sets: None,
        material: take.choice("material", |word| match word {
            "copper" => Some(Material::Copper),
            "aluminum" => Some(Material::Aluminum),
            _ => None,
        }),
        insulation,
        cable_volts: take.optional("cable_volts"),
        strands: take.choice("strands", |word| match word {
            "building wire" => Some(Strands::Building),
            "fine" => Some(Strands::Fine),
            _ => None,
        }),
        terminals: take.choice("terminals", super::terminals::column),
        drop_target: take.quantity("drop_target"),
        device: take.is_written("device").then(|| stated_device(&device, take)),
        residual: residual(take),
        field: quantity::FieldPath::new(take.path("").as_str().trim_end_matches('.').to_string()),
    }
}

fn insulation(take: &Take<'_>, iec: bool) -> Fact<Insulation> {
    take.choice("insulation", |word| match word {
        "pvc" => Some(Insulation::Pvc70),
        "xlpe" => Some(Insulation::Xlpe90),
        "array cable" => Some(Insulation::ArrayCable),
        // The same cable under both names.
        "pv wire" if iec => Some(Insulation::ArrayCable),
        "thwn-2" => Some(Insulation::ThhnThwn2),
        "xhhw-2" => Some(Insulation::Xhhw2),
        "rhw-2 use-2" => Some(Insulation::Rhw2Use2),
        "pv wire" => Some(Insulation::PvWire),
        _ => None,
    })
}

fn stated_device(device: &Take<'_>, run: &Take<'_>) -> Device {
    let word = |of: fn(&str) -> bool| move |w: &str| Some(of(w));
    let is_fuse = device.choice("kind", word(|w| w.ends_with("fuse")));
    let is_dc = device.choice("kind", word(|w| w.starts_with("dc")));
    Device {
        rating: device.quantity("rating"),
        kind: is_fuse.map(|fuse| if fuse { DeviceKind::Fuse } else { DeviceKind::Breaker }),
        suits: is_dc.map(|dc| if dc { Suits::Dc } else { Suits::Ac }),
        volts: device.quantity("volts"),
        polarised: device.yes_no("polarised"),
        interrupting: device.quantity("interrupts"),
        curve: device.choice("curve", |word| match word {
            "B" => Some(Curve::B),
            "C" => Some(Curve::C),
            "D" => Some(Curve::D),
            _ => None,
        }),
        field: run.path("device"),
    }
}

/// The residual-current device of a run or a panel, where one is stated.
pub(super) fn residual(take: &Take<'_>) -> Option<Residual> {
    let record = take.record("residual");
    take.is_written("residual").then(|| Residual {
        trips: record.quantity("trips"),
        kind: record.choice("type", |word| match word {
            "AC" => Some(ResidualType::Ac),
            "A" => Some(ResidualType::A),
            "F" => Some(ResidualType::F),
            "B" => Some(ResidualType::B),
            _ => None,
        }),
        delayed: record.yes_no("delayed"),
        field: take.path("residual"),
    })
}

fn segment(part: &Take<'_>, rooms: &Rooms<'_>, hottest: &Fact<Temperature>, iec: bool) -> Segment {
    let room = part.reference("room");
    let stated: Fact<Temperature> = part.quantity("hottest");
    let indoors = rooms.get(&*room).map(|room| room.hottest.clone());
    let ambient = stated.or(|| match indoors {
        Some(Fact::Known(hot)) => Fact::Known(hot),
        _ => match hottest {
            Fact::Known(hot) => assumed(
                hot.value,
                part.path("hottest"),
                "no temperature was stated for this part of the route, so the hot design air of the place",
                "conductor size",
            ),
            unknown => unknown.clone(),
        },
    });
    Segment {
        length: part.quantity("length"),
        place: part.choice("where", |word| match word {
            "indoors" => Some(Where::Indoors),
            "damp indoors" => Some(Where::Damp),
            "hazardous" => Some(Where::Hazardous),
            "outdoors" => Some(Where::Outdoors),
            "in sun" => Some(Where::InSun),
            "underground" => Some(Where::Underground),
            "on a roof" => Some(Where::OnRoof),
            _ => None,
        }),
        raceway: part.choice("raceway", |word| {
            Some(match word {
                "open" => Raceway::Open,
                "mc cable" => Raceway::MetalClad { for_wet: false },
                "mc cable for wet places" => Raceway::MetalClad { for_wet: true },
                "emt" => Raceway::Kind(RacewayKind::Emt),
                "fmc" => Raceway::Kind(RacewayKind::Fmc),
                "lfmc" => Raceway::Kind(RacewayKind::Lfmc),
                "lfnc-b" => Raceway::Kind(RacewayKind::LfncB),
                "rmc" => Raceway::Kind(RacewayKind::Rmc),
                "pvc-40" => Raceway::Kind(RacewayKind::Pvc40),
                "pvc-80" => Raceway::Kind(RacewayKind::Pvc80),
                "sheathed cable" => Raceway::Sheathed,
                "steel conduit" => Raceway::Kind(RacewayKind::SteelConduit),
                "plastic conduit" => Raceway::Kind(RacewayKind::PlasticConduit),
                "pliable conduit" => Raceway::Kind(RacewayKind::PliableConduit),
                "buried conduit" => Raceway::Kind(RacewayKind::BuriedConduit),
                "trunking" => Raceway::Kind(RacewayKind::Trunking),
                "cable tray" => Raceway::Kind(RacewayKind::CableTray),
                _ => return None,
            })
        }),
        depth: part.quantity("depth"),
        surface: part.choice("under", |word| {
            Some(match word {
                "open ground" => Surface::OpenGround,
                "dwelling driveway" => Surface::DwellingDriveway,
                "road" => Surface::Road,
                "concrete" => Surface::Concrete,
                "a building" => Surface::Building,
                _ => return None,
            })
        }),
        height_above_roof: part.quantity("above_roof"),
        ambient,
        insulation: part.is_written("insulation").then(|| insulation(part, iec)),
        barrier: part.yes_no("barrier"),
        bends: part.quantity("bends"),
        pull_points: part.count("pull_points"),
        trade_size: match part.choice("trade_size", tables::TradeSize::read) {
            Fact::Known(size) => Some(size),
            Fact::Unknown(_) => None,
        },
        inside: part.optional("inside"),
        inside_height: part.optional("inside_height"),
        swing: part.quantity::<Interval>("swing"),
        room,
        field: quantity::FieldPath::new(part.path("").as_str().trim_end_matches('.').to_string()),
    }
}

pub(super) fn pieces(items: &Items<'_>) -> Vec<Piece> {
    let piece = |item: &crate::read::Item| Piece {
        name: item.name.clone(),
        price: Take::new(item, None).money("price"),
    };
    items.of("piece").map(piece).collect()
}

pub(super) fn stock(items: &Items<'_>) -> Vec<Stock> {
    items
        .of("stock")
        .filter_map(|item| {
            let take = Take::new(item, None);
            let price = match take.given("price") {
                Some((Given::Quantity { si, .. }, origin)) => Traced { value: *si, origin },
                _ => return None,
            };
            Some(Stock {
                conductor: take.gauge("conductor").map(|gauge| gauge.value),
                raceway: take.text("raceway").value().cloned(),
                price,
                sold_by: take.optional("sold_by"),
                field: take.path("price"),
            })
        })
        .collect()
}
