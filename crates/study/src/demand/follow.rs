//! From the facts of a use that follows the weather to the numbers of its kernel.

use crate::uses::Uses;
use loads::space::{BALANCE_POINT, Machine, Space};
use loads::vehicle::{Vehicle, charge_per_day, window};
use loads::water::{DRAWS, MAINS, WaterHeater};
use loads::{Driven, Following, Follows, HotWater, Load, MachinePoints, Points, Rooms};
use quantity::{Clause, Fact, Origin, TableRow, units};
use std::sync::Arc;

/// The numbers, each noted in `uses`; meaningless where a fact is missing, which `uses` then remembers.
pub(super) fn following(load: &Load, follows: &Follows, uses: &mut Uses) -> Following {
    match follows {
        Follows::Water(water) => Following::Water(heater(load, water, uses)),
        Follows::Rooms(rooms) => Following::Space(space(load, rooms, uses)),
        Follows::Vehicle(driven) => Following::Vehicle(vehicle(load, driven, uses)),
    }
}

/// What the hours of such a use rest on.
pub(super) fn clause(follows: &Follows) -> Clause {
    match follows {
        Follows::Water(_) => MAINS,
        Follows::Rooms(_) => BALANCE_POINT,
        Follows::Vehicle(_) => Clause {
            document: "definition",
            edition: "",
            clause: "distance times energy per distance, charged in its window",
            standing: quantity::Standing::Computed,
        },
    }
}

fn heater(load: &Load, water: &HotWater, uses: &mut Uses) -> WaterHeater {
    let of = |what: &str| format!("{}: {what}", load.name);
    let set_point_c = uses.number(&of("set point"), &water.set_point, &units::CELSIUS);
    let room_c = uses.number(&of("room of the tank"), &water.room, &units::CELSIUS);
    let standby_wh = uses.number(&of("heat the tank loses a day"), &water.standby, &units::WATT_HOUR);
    let inlet_c = water.inlet.as_ref().map(|inlet| uses.number(&of("inlet"), inlet, &units::CELSIUS));
    let mut tabled = |says: &str, clause: Clause| {
        let row = TableRow { clause, row: clause.clause.into(), standing: clause.standing };
        uses.note(&of(says), clause.clause, Origin::Tabled(Arc::new(row)));
    };
    tabled("draws over the day", DRAWS);
    if inlet_c.is_none() {
        tabled("temperature of mains water", MAINS);
    }
    let heats = sun_hours(load, uses).unwrap_or([true; 24]);
    WaterHeater {
        litres_a_day: uses.number(&of("hot water a day"), &water.a_day, &units::LITER),
        set_point_c,
        inlet_c,
        tank_litres: uses.number(&of("tank"), &water.tank, &units::LITER),
        // A tank no warmer than its room loses nothing.
        loss_w_per_k: if set_point_c > room_c { standby_wh / 24.0 / (set_point_c - room_c) } else { 0.0 },
        room_c,
        power_w: uses.number(&of("electric power"), &water.power, &units::WATT),
        cop: water.cop.as_ref().and_then(|points| curve(&of("heat over electricity"), points, uses)),
        outdoors: uses.words(&of("heat from outdoor air"), &water.outdoors, yes_or_no) == Some(true),
        element_w: uses.number(&of("element beside it"), &water.element, &units::WATT),
        heats,
        lowest_c: uses.number(&of("lowest temperature of the tank"), &water.lowest, &units::CELSIUS),
        months: load.months,
    }
}

fn space(load: &Load, rooms: &Rooms, uses: &mut Uses) -> Space {
    let of = |what: &str| format!("{}: {what}", load.name);
    let loss_w_per_k = uses.number(&of("heat loss"), &rooms.loss, &units::WATT_PER_KELVIN);
    let warm = rooms.warmed_to.as_ref().map(|to| uses.number(&of("warmed to"), to, &units::CELSIUS));
    let night = rooms.night.as_ref().map(|to| uses.number(&of("warmed to by night"), to, &units::CELSIUS));
    let cooled_to_c = rooms.cooled_to.as_ref().map(|to| uses.number(&of("cooled to"), to, &units::CELSIUS));
    let mut machine = |what: &str, machine: &MachinePoints| {
        let capacity_w = curve(&of(&format!("{what} capacity")), &machine.capacity, uses)?;
        let cop = curve(&of(&format!("{what} heat over electricity")), &machine.cop, uses)?;
        Some(Machine { capacity_w, cop })
    };
    let heating = rooms.heating.as_ref().and_then(|points| machine("heating", points));
    let cooling = rooms.cooling.as_ref().and_then(|points| machine("cooling", points));
    Space {
        loss_w_per_k,
        time_constant_h: uses.number(&of("holds its warmth"), &rooms.holds, &units::HOUR),
        gains_w: uses.number(&of("free heat"), &rooms.gains, &units::WATT),
        heated_to_c: warm.map(|warm| [warm, night.unwrap_or(warm)]),
        cooled_to_c,
        heating,
        strip_w: uses.number(&of("resistance heat"), &rooms.strip, &units::WATT),
        cooling,
        cycling: uses.number(&of("lost by starting and stopping"), &rooms.cycling, &units::RATIO),
        months: load.months,
    }
}

fn vehicle(load: &Load, driven: &Driven, uses: &mut Uses) -> Vehicle {
    let of = |what: &str| format!("{}: {what}", load.name);
    let distance = uses.number(&of("distance of a day"), &driven.distance, &units::KILOMETER);
    let takes = uses.number(&of("energy per distance"), &driven.takes, &units::WATT_HOUR_PER_KILOMETER);
    let efficiency = uses.number(&of("outlet into its battery"), &driven.efficiency, &units::RATIO);
    let share = uses.number(&of("days of use a week"), &load.days_per_week, &units::NUMBER) / 7.0;
    let from = uses.number(&of("charging from"), &driven.from, &units::HOUR);
    let until = uses.number(&of("charging until"), &driven.until, &units::HOUR);
    Vehicle {
        // Days of no particular weekday are spread evenly over the week.
        wh_per_day: charge_per_day(distance, takes, efficiency) * share,
        power_w: uses.number(&of("charging power"), &driven.power, &units::WATT),
        charges: window(from, until),
        cold: driven.cold.as_ref().and_then(|points| curve(&of("more in the cold"), points, uses)),
        weekdays: load.weekdays,
        months: load.months,
    }
}

/// Hours of the day into which a load that may wait is moved; `None` where it runs when it is wanted.
pub(super) fn sun_hours(load: &Load, uses: &mut Uses) -> Option<[bool; 24]> {
    let hours = load.sun_hours.as_ref()?;
    let of = |what: &str| format!("{}: {what}", load.name);
    let earliest = uses.number(&of("may run from"), &hours.earliest, &units::HOUR);
    let latest = uses.number(&of("must be done by"), &hours.latest, &units::HOUR);
    // Over midnight there is no sun to wait for; that is said where it is written.
    (earliest < latest).then(|| window(earliest, latest)).filter(|hours| hours.contains(&true))
}

fn curve(says: &str, points: &Fact<Points>, uses: &mut Uses) -> Option<Points> {
    uses.words(says, points, |points| {
        let (low, high) = points.range();
        let count = points.all().len();
        format!(
            "{count} points from {} to {} °C",
            quantity::significant(low, 3),
            quantity::significant(high, 3)
        )
    })
}

fn yes_or_no(yes: &bool) -> String {
    if *yes { "yes" } else { "no" }.into()
}
