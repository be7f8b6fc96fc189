//! Two statements that cannot both be true, and what no physics allows.

use super::in_order;
use crate::problem::{Label, Problem, What};
use crate::read::{Given, Item};
use crate::system::System;
use std::collections::BTreeMap;
use std::ops::Range;

/// Open-circuit voltage of one silicon cell, volts; outside these bounds a data sheet was misread.
const VOLTS_PER_CELL: std::ops::RangeInclusive<f64> = 0.5..=0.78;

/// Contradictions of a design, each at its place.
pub fn contradictions(items: &[Item], system: &System) -> Vec<Problem> {
    let mut problems = Vec::new();
    let index = &Index::of(items);
    module_sheets(index, system, &mut problems);
    inverter_and_battery_sheets(items, &mut problems);
    loads(items, &mut problems);
    names_of_equipment(items, &mut problems);
    place_and_zone(items, system, &mut problems);
    surroundings(index, system, &mut problems);
    super::limits::check(index, system, &mut problems);
    super::joints::check(index, system, &mut problems);
    snow(items, system, &mut problems);
    super::likes::check(items, &mut problems);
    in_order(problems)
}

/// The items by table and name, so that finding one does not walk through all.
pub(super) struct Index<'a> {
    pub(super) items: &'a [Item],
    by_name: BTreeMap<(&'a str, &'a str), &'a Item>,
}

impl<'a> Index<'a> {
    fn of(items: &'a [Item]) -> Self {
        let mut by_name = BTreeMap::new();
        for item in items {
            by_name.entry((item.table.key, &*item.name)).or_insert(item);
        }
        Index { items, by_name }
    }

    /// The first item of this table and name.
    pub(super) fn item(&self, table: &str, name: &str) -> Option<&'a Item> {
        self.by_name.get(&(table, name)).copied()
    }

    /// The first item of a table.
    pub(super) fn first(&self, table: &str) -> Option<&'a Item> {
        self.items.iter().find(|item| item.table.key == table)
    }
}

pub(super) fn place(item: &Item, key: &str) -> Range<usize> {
    item.entry(key).map_or(item.name_span.clone(), |entry| entry.span.clone())
}

pub(super) fn label(span: Range<usize>, says: impl Into<String>) -> Label {
    Label { span, says: says.into() }
}

pub(super) fn contradiction(says: String, help: &str, labels: Vec<Label>) -> Problem {
    Problem { what: What::Contradiction, says, help: help.to_string(), labels, mend: None }
}

fn module_sheets(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    for module in &system.modules {
        let Some(item) = index.item("module", &module.name) else { continue };
        if let (Some(voc), Some(cells)) = (module.voc.si(), module.cells_in_series.value())
            && cells.0 > 0
        {
            let each = voc / f64::from(cells.0);
            if !VOLTS_PER_CELL.contains(&each) {
                problems.push(contradiction(
                    format!("module \"{}\" would have {each:.2} V in each of its {} series cells", module.name, cells.0),
                    "a silicon cell gives 0.50 to 0.78 V; count the cells in series (half cells come in two halves side by side) or read the voltage again",
                    vec![label(place(item, "voc"), format!("{voc} V here")), label(place(item, "cells"), "cells in series here")],
                ));
            }
        }
        if let (Some(voc), Some(vmp)) = (module.voc.si(), module.vmp.si())
            && vmp >= voc
        {
            problems.push(contradiction(
                format!(
                    "module \"{}\": the voltage at maximum power must lie under the open-circuit voltage",
                    module.name
                ),
                "the two are easily swapped when copied from a data sheet",
                vec![
                    label(place(item, "vmp"), format!("{vmp} V at maximum power")),
                    label(place(item, "voc"), format!("{voc} V open circuit")),
                ],
            ));
        }
        if let (Some(isc), Some(imp)) = (module.isc.si(), module.imp.si())
            && imp >= isc
        {
            problems.push(contradiction(
                format!(
                    "module \"{}\": the current at maximum power must lie under the short-circuit current",
                    module.name
                ),
                "the two are easily swapped when copied from a data sheet",
                vec![
                    label(place(item, "imp"), format!("{imp} A at maximum power")),
                    label(place(item, "isc"), format!("{isc} A in short circuit")),
                ],
            ));
        }
        if let (Some(power), Some(vmp), Some(imp)) = (module.power.si(), module.vmp.si(), module.imp.si()) {
            let product = vmp * imp;
            // Data sheets round each value; 3 % covers that (common practice, no source).
            if (product / power - 1.0).abs() > 0.03 {
                problems.push(contradiction(
                    format!(
                        "module \"{}\": {vmp} V times {imp} A is {product:.0} W, not {power} W",
                        module.name
                    ),
                    "rated power is voltage times current at maximum power, within the rounding of the sheet",
                    vec![
                        label(place(item, "power"), format!("{power} W here")),
                        label(place(item, "vmp"), "voltage here"),
                        label(place(item, "imp"), "current here"),
                    ],
                ));
            }
        }
    }
}

fn inverter_and_battery_sheets(items: &[Item], problems: &mut Vec<Problem>) {
    for item in items.iter().filter(|i| matches!(i.table.key, "inverter" | "battery" | "controller")) {
        for entry in &item.entries {
            if let Given::Curve(points) = &entry.value
                && let Some((share, efficiency)) = points.iter().find(|(_, e)| !(*e > 0.0 && *e <= 1.0))
            {
                problems.push(contradiction(
                    format!(
                        "an efficiency of {:.0} % at {:.0} % load is not possible",
                        efficiency * 100.0,
                        share * 100.0
                    ),
                    "an efficiency lies above 0 % and at or under 100 %",
                    vec![label(entry.span.clone(), "read here")],
                ));
            }
        }
        let (Some(peak), Some(points)) = (item.entry("peak_efficiency"), item.entry("efficiency")) else {
            continue;
        };
        if let (Given::Quantity { si: peak_share, .. }, Given::Curve(stated)) = (&peak.value, &points.value)
            && let Some((share, efficiency)) = stated.iter().find(|(_, e)| *e > peak_share + SAME_EFFICIENCY)
        {
            problems.push(contradiction(
                format!(
                    "the highest efficiency of {:.1} % is less than the {:.1} % at {:.0} % of the output",
                    peak_share * 100.0,
                    efficiency * 100.0,
                    share * 100.0
                ),
                "the highest efficiency is at least every other one; read both again",
                vec![
                    label(peak.span.clone(), "the highest here"),
                    label(points.span.clone(), "more than that here"),
                ],
            ));
        }
    }
}

/// Efficiencies apart by less are one figure, rounded.
const SAME_EFFICIENCY: f64 = 0.0005;

fn loads(items: &[Item], problems: &mut Vec<Problem>) {
    for item in items.iter().filter(|item| item.table.key == "load") {
        let written = |key: &str| item.entry(key);
        let number = |key: &str| match written(key).map(|e| &e.value) {
            Some(Given::Quantity { si, .. }) => Some(*si),
            _ => None,
        };
        if let (Some(watts), Some(volts), Some(amps)) = (number("watts"), number("volts"), number("amps"))
            && watts > volts * amps * number("power_factor").map_or(1.02, |factor| (factor * 1.1).min(1.02))
        {
            problems.push(contradiction(
                format!("load \"{}\": {watts:.0} W is more than {volts:.0} V times {amps} A", item.name),
                "watts never exceed volts times amperes times the power factor; one of the three was misread",
                vec![label(place(item, "watts"), "watts here"), label(place(item, "amps"), "amperes here")],
            ));
        }
        let stated = number("power_factor");
        if let (Some(watts), Some(volts), Some(amps)) = (number("watts"), number("volts"), number("amps"))
            && watts < volts * amps * stated.unwrap_or(1.0) * 0.9
        {
            let factor = stated.map_or(String::new(), |factor| format!(" at power factor {factor}"));
            problems.push(contradiction(
                format!(
                    "load \"{}\": {watts:.0} W is less than {volts:.0} V times {amps} A{factor}",
                    item.name
                ),
                "watts are volts times amperes times the power factor; a motor's stands on its plate: power_factor = 0.8",
                vec![label(place(item, "watts"), "watts here"), label(place(item, "amps"), "amperes here")],
            ));
        }
        let hour = |key: &str, assumed: f64| number(key).unwrap_or(assumed * 3600.0) / 3600.0;
        let (earliest, latest) = (hour("earliest", 10.0), hour("latest", 16.0));
        if latest - earliest < 1.0 && (written("earliest").is_some() || written("latest").is_some()) {
            problems.push(contradiction(
                format!("load \"{}\" may run from {earliest} h and must be done by {latest} h", item.name),
                "what waits for the sun needs at least an hour between the two, on one day: earliest = 9, latest = 17",
                vec![label_at(item, "earliest", "earliest here"), label_at(item, "latest", "latest here")],
            ));
        }
        let by_hours = written("watts").is_some() || written("amps").is_some();
        let followed: Vec<&str> = super::follows::RECORDS
            .into_iter()
            .chain(["pump"])
            .filter(|key| written(key).is_some())
            .collect();
        if let Some(key) = followed.first() {
            let other = ["yearly", "watts", "hours"].into_iter().chain(followed[1..].iter().copied());
            for other in other.filter(|other| written(other).is_some()) {
                problems.push(contradiction(
                    format!("load \"{}\" gives both `{key}` and `{other}`", item.name),
                    "one load is used in one way; keep one of the two, or make two loads of it",
                    vec![label(place(item, key), "one here"), label(place(item, other), "the other here")],
                ));
            }
            continue;
        }
        if written("hours").is_some() && written("profile").is_some() {
            problems.push(contradiction(
                format!("load \"{}\" gives both `hours` and `profile`", item.name),
                "the profile is used; keep one of the two",
                vec![label_at(item, "hours", "hours here"), label_at(item, "profile", "profile here")],
            ));
        }
        if let Some(Given::Texts(days)) = written("weekdays").map(|e| &e.value) {
            for day in days.iter().filter(|day| super::house::weekday(day).is_none()) {
                problems.push(Problem {
                    what: What::WrongShape,
                    ..contradiction(
                        format!("load \"{}\": \"{day}\" is no day of the week", item.name),
                        "write weekdays = [\"Mon\", \"Tue\", \"Wed\", \"Thu\", \"Fri\", \"Sat\", \"Sun\"], or some of them",
                        vec![label_at(item, "weekdays", "here")],
                    )
                });
            }
        }
        if let (Some(label), Some(by_hours)) = (number("yearly"), energy_by_hours(item)) {
            let kwh = |joules: f64| joules / 3.6e6;
            // A label and an honest estimate differ by some; the label is used.
            if (by_hours / label - 1.0).abs() > LABEL_AGREES {
                problems.push(contradiction(
                    format!(
                        "load \"{}\": its label says {:.0} kWh a year, its power times its hours says {:.0} kWh",
                        item.name,
                        kwh(label),
                        kwh(by_hours)
                    ),
                    "the label already holds the hours; keep the one you trust and take the other out",
                    vec![label_at(item, "yearly", "label here"), label_at(item, "hours", "hours here")],
                ));
            }
        }
        if written("yearly").is_none() && !by_hours && item.entry("like").is_none() {
            problems.push(Problem {
                what: What::Missing,
                says: format!("load \"{}\" says neither how much power nor how much energy it takes", item.name),
                help: "give watts and hours, or volts and amps and hours, or yearly = \"512 kWh\" from its label".into(),
                labels: vec![label(item.name_span.clone(), "this load")],
                mend: None,
            });
        }
    }
}

/// A label and power times hours agree within this share; own judgement, no source.
const LABEL_AGREES: f64 = 0.1;

fn label_at(item: &Item, key: &str, says: &str) -> Label {
    label(place(item, key), says)
}

/// Energy a year by power and hours, joules, of one; `None` where either is missing.
fn energy_by_hours(item: &Item) -> Option<f64> {
    let number = |key: &str| match item.entry(key).map(|e| &e.value) {
        Some(Given::Quantity { si, .. }) => Some(*si),
        _ => None,
    };
    let factor = number("power_factor").unwrap_or(1.0);
    let watts = number("watts").or_else(|| Some(number("volts")? * number("amps")? * factor))?;
    let hours: f64 = match item.entry("hours").map(|e| &e.value) {
        Some(Given::DayHours(parts)) => parts.iter().sum(),
        _ => return None,
    };
    let days = match item.entry("months").map(|e| &e.value) {
        Some(Given::MonthSet(months)) => {
            months.iter().zip(loads::MONTH_DAYS).filter(|(used, _)| **used).map(|(_, days)| days as f64).sum()
        }
        _ => 365.0,
    };
    Some(watts * hours * 3600.0 * days * number("days_per_week").unwrap_or(7.0) / 7.0)
}

/// Things that circuits join are called by name, so no two of them may share one.
fn names_of_equipment(items: &[Item], problems: &mut Vec<Problem>) {
    const JOINED: [&str; 7] = ["string", "combiner", "unit", "bank", "engine", "transfer", "panel"];
    let mut seen: BTreeMap<String, &Item> = BTreeMap::new();
    for item in items.iter().filter(|item| JOINED.contains(&item.table.key)) {
        if quantity::slug(&item.name) == crate::circuits::UTILITY {
            problems.push(Problem {
                what: What::Duplicate,
                says: "\"utility\" is the name of the public supply".into(),
                help: "choose another name".into(),
                labels: vec![label(item.name_span.clone(), "named here")],
                mend: None,
            });
        }
        match seen.get(&quantity::slug(&item.name)) {
            Some(first) if first.table.key != item.table.key => problems.push(Problem {
                what: What::Duplicate,
                says: format!(
                    "a {} and a {} are both called \"{}\"",
                    first.table.key, item.table.key, item.name
                ),
                help: "circuits are told apart by the names of their ends; give one of them another name"
                    .into(),
                labels: vec![
                    label(item.name_span.clone(), "again here"),
                    label(first.name_span.clone(), "first here"),
                ],
                mend: None,
            }),
            _ => {
                seen.insert(quantity::slug(&item.name), item);
            }
        }
    }
}

/// The zone must exist, and its standard time lie near the sun's time at that longitude.
fn place_and_zone(items: &[Item], system: &System, problems: &mut Vec<Problem>) {
    let Some(item) = items.iter().find(|item| item.table.key == "place") else { return };
    let Some(zone) = system.place.zone.value() else { return };
    let Some(offset) = super::place::standard_offset_h(zone) else {
        problems.push(Problem {
            what: What::OutOfRange,
            says: format!("\"{zone}\" is no IANA time zone"),
            help: "write it like \"America/Denver\" or \"Australia/Sydney\"".into(),
            labels: vec![label(place(item, "zone"), "zone here")],
            mend: None,
        });
        return;
    };
    let Some(longitude) = system.place.longitude.value() else { return };
    let degrees = quantity::units::DEGREE_UNIT.of_si(quantity::Measure::si(*longitude));
    let apart = (offset - degrees / 15.0 + 12.0).rem_euclid(24.0) - 12.0;
    // Civil time strays up to three hours from the sun's on land (western China); beyond that a sign is wrong.
    if apart.abs() > 3.5 {
        problems.push(contradiction(
            format!("longitude {degrees:.2}° and zone {zone} lie {:.0} hours apart", apart.abs()),
            "east is positive, west negative; check the sign of the longitude or the zone",
            vec![label(place(item, "longitude"), "longitude here"), label(place(item, "zone"), "zone here")],
        ));
    }
}

/// Horizons run clockwise, obstacles have two sides, rows one distance.
fn surroundings(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    for site in &system.sites {
        let Some(item) = index.item("plane", &site.plane) else { continue };
        let spans = |key: &str| match item.entry(key).map(|entry| &entry.value) {
            Some(Given::Records(list)) => list.iter().map(|(_, span)| span.clone()).collect(),
            _ => Vec::new(),
        };
        let points: Vec<Range<usize>> = spans("horizon");
        for (at, pair) in site.horizon.windows(2).enumerate() {
            let [before, after] = [&pair[0].0, &pair[1].0].map(|b| b.value().map(|b| b.degrees()));
            if let (Some(before), Some(after)) = (before, after)
                && after <= before
                && let (Some(first), Some(second)) = (points.get(at), points.get(at + 1))
            {
                problems.push(contradiction(
                    format!(
                        "the horizon of plane \"{}\" goes backwards: {after:.1}° after {before:.1}°",
                        site.plane
                    ),
                    "write its points clockwise from north, each bearing above the one before, from 0° to below 360°",
                    vec![label(second.clone(), "this point"), label(first.clone(), "after this one")],
                ));
            }
        }
        for (near, span) in site.obstacles.iter().zip(spans("obstacles")) {
            let (Some(from), Some(to)) = (near.from.value(), near.to.value()) else { continue };
            let wide = (to.degrees() - from.degrees()).rem_euclid(360.0);
            if wide == 0.0 || wide > 170.0 {
                problems.push(contradiction(
                    format!("obstacle \"{}\" reaches over {wide:.0}°, clockwise from its first side", near.name),
                    "write the left side first and the right side second, seen from the modules; what reaches farther than 170° is two obstacles",
                    vec![label(span, "this obstacle")],
                ));
            }
        }
        if site.ground_gap.is_some() && site.pitch.is_some() {
            problems.push(contradiction(
                format!("plane \"{}\" states both the gap and the pitch of its rows", site.plane),
                "keep one of them; the other follows from tilt and module size",
                vec![label(place(item, "rows"), "both here")],
            ));
        }
    }
}

/// No month has more days with snowfall than days.
fn snow(items: &[Item], system: &System, problems: &mut Vec<Problem>) {
    const MONTHS: [(&str, f64); 12] = [
        ("January", 31.0),
        ("February", 28.0),
        ("March", 31.0),
        ("April", 30.0),
        ("May", 31.0),
        ("June", 30.0),
        ("July", 31.0),
        ("August", 31.0),
        ("September", 30.0),
        ("October", 31.0),
        ("November", 30.0),
        ("December", 31.0),
    ];
    let Some(item) = items.iter().find(|item| item.table.key == "place") else { return };
    let Some(snow) = &system.place.snow else { return };
    for ((name, most), days) in MONTHS.iter().zip(snow.days.value) {
        if days > *most {
            problems.push(contradiction(
                format!("{days} days with snowfall in {name}, which has {most}"),
                "write the mean number of days on which snow falls, January first",
                vec![label(place(item, "snow"), "snow here")],
            ));
        }
    }
}
