//! Uses that follow the weather.

use super::take::Take;
use loads::{Driven, Follows, HotWater, MachinePoints, Points, Rooms, Use};
use quantity::{
    Clause, Fact, Measure, Number, Origin, Power, Ratio, Standing, Temperature, Term, Traced, greatest, sum,
    units,
};
use std::sync::Arc;

/// The records, of which a load has one at most.
pub(super) const RECORDS: [&str; 3] = ["water", "rooms", "vehicle"];

/// The use, where a load follows the weather.
pub(super) fn usage(take: &Take<'_>) -> Option<Use> {
    let key = RECORDS.into_iter().find(|key| take.is_written(key))?;
    let record = take.record(key);
    Some(match key {
        "water" => water(&record),
        "rooms" => rooms(&record),
        _ => vehicle(&record),
    })
}

fn water(take: &Take<'_>) -> Use {
    let water = HotWater {
        a_day: take.quantity("a_day"),
        set_point: take.quantity("set_point"),
        inlet: take.optional("inlet"),
        tank: take.quantity("tank"),
        standby: take.quantity("standby"),
        room: take.quantity("room"),
        power: take.quantity("power"),
        cop: take.is_written("points").then(|| points::<Number>(take, "points", "at", "cop")),
        outdoors: take.yes_no("outdoors"),
        element: take.quantity("element"),
        lowest: take.quantity("lowest"),
    };
    let power = match &water.cop {
        Some(_) => both("heat pump", &water.power, "element", &water.element),
        None => water.power.clone(),
    };
    Use::Weather { power, follows: Follows::Water(Box::new(water)) }
}

fn rooms(take: &Take<'_>) -> Use {
    let machine = |key: &str| {
        take.is_written(key).then(|| MachinePoints {
            capacity: points::<Power>(take, key, "at", "capacity"),
            cop: points::<Number>(take, key, "at", "cop"),
        })
    };
    let rooms = Rooms {
        loss: take.quantity("loss"),
        holds: take.quantity("holds"),
        gains: take.quantity("gains"),
        warmed_to: take.optional("warmed_to"),
        night: take.optional("night"),
        cooled_to: take.optional("cooled_to"),
        heating: machine("heating"),
        strip: take.quantity("strip"),
        cooling: machine("cooling"),
        cycling: take.quantity("cycling"),
    };
    let most = |machine: &Option<MachinePoints>| machine.as_ref().map(most_drawn);
    let heating = match most(&rooms.heating) {
        Some(pump) => both("heat pump, heating", &pump, "resistance heat", &rooms.strip),
        None => rooms.strip.clone(),
    };
    let power = match most(&rooms.cooling) {
        Some(cooling) => heating.and_then(|heating| {
            cooling.and_then(|cooling| {
                let parts = vec![("heating".into(), heating.clone()), ("cooling".into(), cooling.clone())];
                greatest(parts, &units::WATT).map_or_else(|| Fact::Known(heating.clone()), Fact::Known)
            })
        }),
        None => heating,
    };
    Use::Weather { power, follows: Follows::Rooms(Box::new(rooms)) }
}

fn vehicle(take: &Take<'_>) -> Use {
    let vehicle = Driven {
        distance: take.quantity("distance"),
        takes: take.quantity("takes"),
        power: take.quantity("power"),
        efficiency: take.quantity("efficiency"),
        from: take.quantity("from"),
        until: take.quantity("until"),
        cold: take.is_written("cold").then(|| points::<Ratio>(take, "cold", "at", "more")),
    };
    Use::Weather { power: vehicle.power.clone(), follows: Follows::Vehicle(Box::new(vehicle)) }
}

/// Points of a list of records: temperatures in °C, values in SI. What makes no curve is unknown; its records are listed
/// as problems where they stand.
fn points<T: Measure>(take: &Take<'_>, key: &str, at: &str, value: &str) -> Fact<Points> {
    let mut pairs = Vec::new();
    for record in take.records(key) {
        let at: Fact<Temperature> = record.quantity(at);
        let value: Fact<T> = record.quantity(value);
        match (at.si(), value.si()) {
            (Some(at), Some(value)) => pairs.push((units::CELSIUS.of_si(at), value)),
            _ => return Fact::unknown(take.path(key).0, quantity::WhoKnows::DataSheet),
        }
    }
    match Points::new(pairs) {
        Some(points) => Fact::Known(Traced { value: points, origin: Origin::Stated(take.path(key)) }),
        None => Fact::unknown(take.path(key).0, quantity::WhoKnows::DataSheet),
    }
}

fn both(first: &'static str, a: &Fact<Power>, second: &'static str, b: &Fact<Power>) -> Fact<Power> {
    a.and_then(|a| {
        b.and_then(|b| {
            let parts: Vec<(Arc<str>, Traced<Power>)> =
                vec![(first.into(), a.clone()), (second.into(), b.clone())];
            Fact::Known(sum(parts, &units::WATT))
        })
    })
}

/// Most electric power at any of the points.
fn most_drawn(machine: &MachinePoints) -> Fact<Power> {
    machine.capacity.and_then(|capacity| {
        machine.cop.and_then(|cop| {
            let drawn = capacity.value.all().iter().zip(cop.value.all()).map(|(heat, cop)| heat.1 / cop.1);
            let clause = Clause {
                document: "definition",
                edition: "",
                clause: "greatest of capacity over COP at the points",
                standing: Standing::Computed,
            };
            let terms =
                vec![Term::words("points", "capacity and COP by temperature", capacity.origin.clone())];
            let most = Power::from_si(drawn.fold(0.0, f64::max));
            Fact::Known(Traced::series(most, "most electric power of the heat pump", clause, terms))
        })
    })
}
