//! What each leg bears against what its units give.

use super::{left, right, row, toned};
use crate::drawing::{Drawing, Form, bars};
use crate::say::{NOT_KNOWN, Reader, fixed, listed, words};
use crate::table::{Table, Tone};
use loads::Leg;
use quantity::{ApparentPower, Fact, Measure, Power, units};
use study::{LegStudy, Study};

/// Nothing to show where no unit feeds a house, or nothing is listed in it.
fn fed(study: &Study) -> &[LegStudy] {
    if study.stack.count == 0 || study.demand.loads.is_empty() { &[] } else { &study.legs }
}

fn name(leg: Leg) -> &'static str {
    match leg {
        Leg::A => "leg A",
        Leg::B => "leg B",
        Leg::Both => "both legs",
        Leg::Only => "the only leg",
    }
}

/// Highest hourly mean on a leg, W; both are one where there is only one.
fn highest_hour(study: &Study, leg: Leg) -> Option<f64> {
    let worst = study.stack.worst_hour.as_ref()?;
    Some(match leg {
        Leg::A => worst.legs_w[0],
        Leg::B => worst.legs_w[1],
        Leg::Both | Leg::Only => worst.together_w,
    })
}

fn over<T: Measure>(what: &Fact<T>, limit: &Fact<T>) -> Tone {
    match (what.si(), limit.si()) {
        (Some(what), Some(limit)) if what > limit => Tone::Danger,
        _ => Tone::Plain,
    }
}

/// Each leg with everything on at once, each motor with everything else on while it starts.
pub fn legs(study: &Study) -> Table {
    let reader = Reader::of(study);
    let watts = |fact: &Fact<Power>, path: &[&str]| match fact {
        Fact::Known(known) => reader.number(known, &units::WATT, 0, path),
        Fact::Unknown(_) => super::unknown(),
    };
    let volt_amperes = |fact: &Fact<ApparentPower>, path: &[&str]| match fact {
        Fact::Known(known) => reader.number(known, &units::VOLT_AMPERE, 0, path),
        Fact::Unknown(_) => super::unknown(),
    };
    let mut rows = Vec::new();
    for leg in fed(study) {
        let figure = format!("leg {:?}", leg.leg);
        rows.push(row(vec![
            words(name(leg.leg)),
            words("everything listed, on at once"),
            toned(watts(&leg.all_running, &["legs", &figure, "running"]), over(&leg.all_running, &leg.limit)),
            watts(&leg.limit, &["legs", &figure, "limit"]),
            words("W"),
            words(highest_hour(study, leg.leg).map_or_else(|| NOT_KNOWN.into(), |watts| fixed(watts, 0))),
        ]));
    }
    let starts = if rows.is_empty() { &[][..] } else { &study.starts };
    for start in starts {
        rows.push(row(vec![
            words(name(start.leg)),
            words(format!("{} starts, everything else on", start.load)),
            toned(
                volt_amperes(&start.together, &["starts", &start.load, "together"]),
                over(&start.together, &start.limit),
            ),
            volt_amperes(&start.limit, &["starts", &start.load, "limit"]),
            words("VA"),
            words(""),
        ]));
    }
    Table {
        id: "legs".into(),
        caption: "What each leg bears".into(),
        columns: vec![
            left("leg"),
            left("when"),
            right("together", ""),
            right("its units give", ""),
            left(""),
            right("highest hour", "W"),
        ],
        rows,
        note: format!(
            "A load across both legs counts half on each. Highest hour: mean of the busiest hour of the year on that leg.{}",
            uncounted(study)
        ),
    }
}

/// What has no watts to add up is named and not passed over.
fn uncounted(study: &Study) -> String {
    let loads = study.design.system.loads.iter();
    let without: Vec<String> =
        loads.filter(|load| load.usage.running_power().is_none()).map(|load| load.name.to_string()).collect();
    match without.is_empty() {
        true => String::new(),
        false => format!(" Not in what is on at once, since its watts are not stated: {}.", listed(&without)),
    }
}

/// What the picture of the legs shows.
pub const LEGS: &str = "For each leg: everything listed on at once, the mean of its busiest hour, and what its units give all day. The table has the same, and each motor while it starts.";

/// Each leg in bars: everything on at once, the highest hour, what its units give.
pub fn legs_picture(study: &Study, form: Form) -> Option<Drawing> {
    let mut items: Vec<(String, &'static str, f64)> = Vec::new();
    for leg in fed(study) {
        let (Some(running), Some(limit)) = (leg.all_running.si(), leg.limit.si()) else { continue };
        let bar = if running > limit { "dark" } else { "plain" };
        items.push((format!("{}: everything on", name(leg.leg)), bar, running / 1000.0));
        if let Some(watts) = highest_hour(study, leg.leg) {
            items.push((format!("{}: highest hour", name(leg.leg)), "sun", watts / 1000.0));
        }
        items.push((format!("{}: its units give", name(leg.leg)), "soft", limit / 1000.0));
    }
    (!items.is_empty()).then(|| bars(&items, "kW", form))
}
