//! Loads and bills.

use super::Items;
use super::take::{Take, assumed};
use crate::read::Given;
use loads::meter::{Clock, Columns, DateOrder, SummerTime};
use loads::{
    Bills, Leg, Load, MeterFile, PumpHours, PumpPower, RunningPower, Saving, SunHours, Then, Tier, Unlisted,
    Use,
};
use quantity::{Current, Fact, Origin, Power, Ratio, Time, Traced, Voltage, WhoKnows};
use std::sync::Arc;

pub(super) fn loads(items: &Items<'_>) -> Vec<Load> {
    items.of("load").map(|item| load(&item.name, &items.part(item), items.like(item))).collect()
}

fn load(name: &Arc<str>, take: &Take<'_>, like: Option<&'static tables::Appliance>) -> Load {
    let volts: Fact<Voltage> = take.quantity("volts");
    let amps: Fact<Current> = take.quantity("amps");
    let power_factor: Fact<Ratio> = take.quantity("power_factor");
    let tier = take.choice("tier", |word| match word {
        "must" => Some(Tier::Must),
        "want" => Some(Tier::Want),
        "luxury" => Some(Tier::Luxury),
        _ => None,
    });
    let leg = take.choice("leg", |word| match word {
        "A" => Some(Leg::A),
        "B" => Some(Leg::B),
        "both" => Some(Leg::Both),
        _ => None,
    });
    let leg = leg.or(|| {
        let both = volts.si().is_some_and(|v| v > 235.0);
        let (value, because) = if both {
            (Leg::Both, "a 240 V load takes half from each leg")
        } else {
            (Leg::Only, "no leg was named")
        };
        assumed(value, take.path("leg"), because, "how evenly the legs are loaded")
    });
    let profile = take.is_written("profile").then(|| day_profile(take));
    let usage = if let Some(usage) = super::follows::usage(take) {
        usage
    } else if take.is_written("pump") {
        pump(&take.record("pump"))
    } else if take.is_written("yearly") {
        Use::Label { energy: take.quantity("yearly") }
    } else {
        let power: Fact<Power> = if take.is_stated("watts") {
            take.quantity("watts")
        } else if let Some(like) = like.filter(|_| !take.is_stated("amps")) {
            Fact::Known(like.typical_power())
        } else {
            RunningPower::of_facts(&volts, &amps, &power_factor)
        };
        Use::Hours { power, hours: hours(take, profile.as_ref()) }
    };
    let motor = take.yes_no("motor").value() == Some(&true)
        || take.is_written("locked_rotor")
        || take.is_written("start");
    Load {
        name: name.clone(),
        like: like.map(|row| row.name.as_str().into()),
        usage,
        count: take.count("count"),
        locked_rotor: (motor && !take.is_written("start")).then(|| take.quantity("locked_rotor")),
        start: take.optional("start"),
        tier,
        leg,
        months: match take.given("months") {
            Some((Given::MonthSet(months), _)) => *months,
            _ => [true; 12],
        },
        weekdays: weekdays(take),
        standby: take.optional("standby"),
        profile,
        sun_hours: (take.yes_no("shift_into_sun").value() == Some(&true))
            .then(|| SunHours { earliest: take.quantity("earliest"), latest: take.quantity("latest") }),
        panel: take.reference("panel"),
        days_per_week: take.quantity("days_per_week"),
        volts,
        amps,
        power_factor,
    }
}

/// A pump that lifts its water evenly over the day.
fn pump(take: &Take<'_>) -> Use {
    let flow = take.quantity("flow");
    let power = PumpPower::of_facts(&flow, &take.quantity("lift"), &take.quantity("efficiency"));
    let runs = PumpHours::of_facts(&take.quantity("a_day"), &flow);
    // Parts of the day are 4, 6, 6 and 8 hours long.
    let hours = runs.and_then(|time| {
        Fact::Known(time.with([4.0, 6.0, 6.0, 8.0].map(|part| time.si() / 3600.0 * part / 24.0)))
    });
    Use::Hours { power, hours }
}

/// Share of full power in each hour, from stretches of the day.
fn day_profile(take: &Take<'_>) -> Fact<[f64; 24]> {
    let mut shares = [0.0_f64; 24];
    for stretch in take.records("profile") {
        let (from, until): (Fact<Time>, Fact<Time>) = (stretch.quantity("from"), stretch.quantity("until"));
        let share: Fact<Ratio> = stretch.quantity("share");
        let (Some(from), Some(until), Some(share)) = (from.si(), until.si(), share.si()) else {
            return Fact::unknown(take.path("profile").0, WhoKnows::Owner);
        };
        let (from, until) = (from / 3600.0, until / 3600.0);
        let until = if until > from { until } else { until + 24.0 };
        for hour in 0..48 {
            let inside = (until.min(f64::from(hour) + 1.0) - from.max(f64::from(hour))).max(0.0);
            shares[hour as usize % 24] += inside * share;
        }
    }
    Fact::Known(Traced {
        value: shares.map(|share| share.min(1.0)),
        origin: Origin::Stated(take.path("profile")),
    })
}

/// Days of the week, Monday first; every day where none is named.
fn weekdays(take: &Take<'_>) -> [bool; 7] {
    let Some((Given::Texts(named), _)) = take.given("weekdays") else { return [true; 7] };
    std::array::from_fn(|day| named.iter().any(|name| weekday(name) == Some(day)))
}

/// The day a word names, 0 for Monday: at least its first three letters.
pub(super) fn weekday(word: &str) -> Option<usize> {
    const DAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    let word = word.trim().to_lowercase();
    (word.len() >= 3).then(|| DAYS.iter().position(|day| day.starts_with(&word)))?
}

fn hours(take: &Take<'_>, profile: Option<&Fact<[f64; 24]>>) -> Fact<[f64; 4]> {
    if let Some(profile) = profile {
        let part = |hours: &[f64; 24], of: &[usize]| of.iter().map(|hour| hours[*hour]).sum::<f64>();
        return profile.and_then(|shares| {
            Fact::Known(shares.with([
                part(&shares.value, &[6, 7, 8, 9]),
                part(&shares.value, &[10, 11, 12, 13, 14, 15]),
                part(&shares.value, &[16, 17, 18, 19, 20, 21]),
                part(&shares.value, &[22, 23, 0, 1, 2, 3, 4, 5]),
            ]))
        });
    }
    match take.given("hours") {
        Some((Given::DayHours(hours), origin)) => Fact::Known(Traced { value: *hours, origin }),
        _ => Fact::unknown(take.path("hours").0, WhoKnows::Owner),
    }
}

/// What the owner might change.
pub(super) fn savings(items: &Items<'_>) -> Vec<Saving> {
    let saving = |item: &crate::read::Item| {
        let take = Take::new(item, None);
        let then = if take.is_written("watts") {
            Then::Power(take.quantity("watts"))
        } else if take.is_written("yearly") {
            Then::Label(take.quantity("yearly"))
        } else {
            Then::Share(take.quantity("share"))
        };
        Saving { name: item.name.clone(), load: take.reference("load"), then, price: take.money("price") }
    };
    items.of("saving").map(saving).collect()
}

pub(super) fn bills(items: &Items<'_>, offset_h: Option<f64>) -> Bills {
    let take = items.one("bills");
    let energy = match take.given("kwh") {
        Some((Given::Months(joules), origin)) => {
            Fact::Known(Traced { value: joules.map(|j| quantity::units::KILOWATT_HOUR.of_si(j)), origin })
        }
        _ => Fact::unknown("bills.kwh", WhoKnows::Owner),
    };
    let columns = take.is_written("columns").then(|| columns(&take.record("columns"), offset_h)).flatten();
    let meter = take.text("meter").known().map(|name| MeterFile { name: name.clone(), columns });
    let unlisted = take.choice("unlisted", |word| match word {
        "left" => Some(Unlisted::Left),
        "scaled" => Some(Unlisted::Scaled),
        "added" => Some(Unlisted::Added),
        _ => None,
    });
    Bills { energy, meter, unlisted }
}

/// What columns mean; `None` while something of it is missing, which is a problem of its own.
fn columns(take: &Take<'_>, offset_h: Option<f64>) -> Option<Columns> {
    let text = |key: &str| take.text(key).value().map(ToString::to_string);
    let seconds: Fact<Time> = take.quantity("minutes");
    let offset_s = offset_h.map(|hours| (hours * 3600.0).round() as i64);
    let clock = take.choice("clock", |word| match word {
        "universal" => Some(Clock::Universal),
        "summer time of North America" => offset_s.map(|s| Clock::Wall(s, SummerTime::NorthAmerica)),
        "summer time of Europe" => offset_s.map(|s| Clock::Wall(s, SummerTime::Europe)),
        _ => offset_s.map(Clock::Standard),
    });
    let order = take.choice("dates", |word| match word {
        "year first" => Some(DateOrder::YearFirst),
        "month first" => Some(DateOrder::MonthFirst),
        "day first" => Some(DateOrder::DayFirst),
        _ => None,
    });
    Some(Columns {
        stamp: text("stamp")?,
        stamped_at_end: *take.choice("stamped", |word| Some(word == "end")).value()?,
        order: *order.value()?,
        clock: *clock.value()?,
        taken: text("taken")?,
        fed: text("fed"),
        wh: *take.choice("unit", |word| Some(if word == "kWh" { 1000.0 } else { 1.0 })).value()?,
        length: text("length"),
        seconds: seconds.si()?.round() as i64,
    })
}
