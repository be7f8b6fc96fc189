//! Limits of data sheets: values of one part that cannot stand beside each other.

use super::contradictions::{Index, contradiction, label, place};
use crate::problem::{Problem, What};
use crate::read::{Given, Item};
use crate::system::System;
use quantity::{Fact, Kind, Measure, significant};

/// Change of voltages with temperature, relative per kelvin. Silicon gives −0.2 to −0.5 %/K (from memory); ten times
/// as much is a misplaced point.
const VOLTAGE_PER_KELVIN: std::ops::RangeInclusive<f64> = -0.01..=0.0;

/// Change of the short-circuit current, relative per kelvin. Silicon gives 0.03 to 0.1 %/K (from memory).
const CURRENT_PER_KELVIN: std::ops::RangeInclusive<f64> = -0.001..=0.005;

pub(super) fn check(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    coefficients(index, system, problems);
    series_fuses(index, system, problems);
    battery_voltages(index, system, problems);
    thresholds(index, system, problems);
}

/// Coefficients in volts or amperes per kelvin say little by themselves; against their value they do.
fn coefficients(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    for module in &system.modules {
        let Some(item) = index.item("module", &module.name) else { continue };
        let against = [
            ("voc_per_kelvin", "voc", module.voc.si(), VOLTAGE_PER_KELVIN),
            ("vmp_per_kelvin", "vmp", module.vmp.si(), VOLTAGE_PER_KELVIN),
            ("isc_per_kelvin", "isc", module.isc.si(), CURRENT_PER_KELVIN),
        ];
        for (key, of, value, range) in against {
            let Some(entry) = item.entry(key) else { continue };
            let relative = match (&entry.value, value) {
                (Given::Quantity { si, kind: Kind::PerKelvin }, _) => *si,
                (Given::Quantity { si, .. }, Some(value)) if value > 0.0 => si / value,
                _ => continue,
            };
            if !range.contains(&relative) {
                problems.push(contradiction(
                    format!(
                        "module \"{}\": {key} is {} % of {of} per kelvin; it lies between {} % and {} %",
                        module.name,
                        significant(relative * 100.0, 3),
                        significant(range.start() * 100.0, 3),
                        significant(range.end() * 100.0, 3)
                    ),
                    "look at the unit and the decimal point on the data sheet: %/K, mV/K and mA/K are easily mixed up",
                    vec![
                        label(entry.span.clone(), "coefficient here"),
                        label(place(item, of), "the value it belongs to"),
                    ],
                ));
            }
        }
    }
}

fn series_fuses(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    for module in &system.modules {
        let Some(item) = index.item("module", &module.name) else { continue };
        if let (Some(fuse), Some(isc)) = (module.series_fuse.si(), module.isc.si())
            && fuse < isc
        {
            problems.push(contradiction(
                format!("module \"{}\": a series fuse of {fuse} A lies under its {isc} A in short circuit", module.name),
                "the label names the largest fuse a string of them may have, above the short-circuit current; read both again",
                vec![
                    label(place(item, "series_fuse"), format!("{fuse} A here")),
                    label(place(item, "isc"), format!("{isc} A in short circuit")),
                ],
            ));
        }
    }
}

/// A battery is charged above its nominal voltage and cut off below it; neither lies far away, for one cell swings by
/// about a third (LFP 2.5 to 3.65 V about 3.2 V, lead-acid 1.75 to 2.45 V about 2 V; from memory).
fn battery_voltages(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    for battery in &system.batteries {
        let Some(item) = index.item("battery", &battery.name) else { continue };
        let Some(nominal) = battery.nominal.si() else { continue };
        let ends = [
            ("charge_voltage", battery.charge_voltage.si(), 1.0, 1.5),
            ("cut_off", battery.cut_off.si(), 0.5, 1.0),
        ];
        for (key, value, low, high) in ends {
            let Some(value) = value else { continue };
            if value > nominal * low && value < nominal * high {
                continue;
            }
            let help = if key == "cut_off" {
                "a battery is cut off below its nominal voltage and above half of it"
            } else {
                "a battery is charged above its nominal voltage and below one and a half times it"
            };
            problems.push(contradiction(
                format!(
                    "battery \"{}\": {key} of {value} V does not go with {nominal} V nominal",
                    battery.name
                ),
                help,
                vec![
                    label(place(item, key), format!("{value} V here")),
                    label(place(item, "nominal"), format!("{nominal} V nominal")),
                ],
            ));
        }
    }
}

/// What starts at a low state of charge stops at a higher one.
fn thresholds(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    let mut pair = |item: &Item, who: String, keys: [&str; 2], low: Option<f64>, high: Option<f64>| {
        let (Some(low), Some(high)) = (low, high) else { return };
        if high > low {
            return;
        }
        problems.push(contradiction(
            format!("{who} begins below {:.0} % and ends above {:.0} %", low * 100.0, high * 100.0),
            "the state of charge at which it ends lies above the one at which it begins; one left out is assumed",
            vec![
                label(place(item, keys[1]), format!("{} is {:.0} %", keys[1], high * 100.0)),
                label(place(item, keys[0]), format!("{} is {:.0} %", keys[0], low * 100.0)),
            ],
        ));
    };
    for generator in &system.generators {
        if let Some(item) = index.item("generator", &generator.name) {
            let who = format!("generator \"{}\"", generator.name);
            let keys = ["start_below", "stop_above"];
            pair(item, who, keys, generator.start_below.si(), generator.stop_above.si());
        }
    }
    if let Some(item) = index.first("utility") {
        let share = |fact: &Fact<quantity::Ratio>| fact.value().map(|share| share.si());
        let keys = ["charge_below", "charge_up_to"];
        let utility = &system.utility;
        pair(item, "the utility".into(), keys, share(&utility.takes_over), share(&utility.hands_back));
    }
    for item in index.items.iter().filter(|item| matches!(item.table.key, "inverter" | "controller")) {
        for entry in &item.entries {
            if let Given::Curve(points) = &entry.value
                && let Some((share, _)) = points.iter().find(|(share, _)| !(*share > 0.0 && *share <= 1.0))
            {
                problems.push(Problem {
                    what: What::OutOfRange,
                    says: format!("{} is given at {:.0} % load", entry.field.key, share * 100.0),
                    help: "loads are shares of the rated output, above 0 % and at most 100 %".into(),
                    labels: vec![label(entry.span.clone(), "this curve")],
                    mend: None,
                });
            }
        }
    }
}
