//! What joins what: ends of runs, inputs of units, supplies that feed each other, prices of one wire.

use super::contradictions::{Index, contradiction, label, place};
use crate::problem::{Problem, What};
use crate::read::{Given, Item, Span};
use crate::system::{System, UnitPart};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

pub(super) fn check(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    ends(index, problems);
    inputs(index, system, problems);
    rings(index, problems);
    stock(index, problems);
    ties(index, problems);
    switches(index, problems);
}

/// A disconnect opens a circuit between two things and stands at one of them.
fn switches(index: &Index<'_>, problems: &mut Vec<Problem>) {
    for item in index.items.iter().filter(|item| item.table.key == "disconnect") {
        let Some(Given::References(between)) = item.entry("between").map(|entry| &entry.value) else {
            continue;
        };
        let Some(Given::Reference(at)) = item.entry("at").map(|entry| &entry.value) else { continue };
        let names: Vec<&str> = between.iter().map(|(name, _)| &**name).collect();
        if names.len() != 2 || !names.contains(&at.as_ref()) {
            problems.push(contradiction(
                format!("disconnect \"{}\" opens one circuit and stands at one of its two ends", item.name),
                "name both ends of the circuit in `between`, and one of them in `at`",
                vec![label(place(item, "between"), "its ends"), label(place(item, "at"), "where it stands")],
            ));
        }
    }
}

/// A tie that is named and a panel that says it has none cannot both be.
fn ties(index: &Index<'_>, problems: &mut Vec<Problem>) {
    for item in index.items.iter().filter(|item| item.table.key == "bond") {
        let Some(Given::Reference(at)) = item.entry("at").map(|entry| &entry.value) else { continue };
        let fitted = match item.entry("fitted").map(|entry| &entry.value) {
            None => true,
            Some(Given::YesNo(fitted)) => *fitted,
            Some(_) => continue,
        };
        let Some(panel) = index.item("panel", at) else { continue };
        let Some(Given::YesNo(tied)) = panel.entry("bond").map(|entry| &entry.value) else { continue };
        if *tied != fitted {
            problems.push(contradiction(
                format!("panel \"{at}\" and bond \"{}\" do not agree whether neutral is tied to ground in it", item.name),
                "look into the panel: a green screw or a strap from the neutral bar to the enclosure is the tie",
                vec![
                    label(place(item, "fitted"), if fitted { "fitted, by this" } else { "not fitted, by this" }),
                    label(place(panel, "bond"), if *tied { "tied, by this" } else { "not tied, by this" }),
                ],
            ));
        }
    }
}

/// A run joins two things.
fn ends(index: &Index<'_>, problems: &mut Vec<Problem>) {
    for item in index.items.iter().filter(|item| item.table.key == "run") {
        let Some(entry) = item.entry("between") else { continue };
        let Given::References(names) = &entry.value else { continue };
        if names.len() != 2 {
            problems.push(Problem {
                what: What::WrongShape,
                says: format!("run \"{}\" joins two things; between names {}", item.name, names.len()),
                help: "write the names of its two ends, such as between = [\"rack\", \"inverter A\"]".into(),
                labels: vec![label(entry.span.clone(), "two names are wanted")],
                mend: None,
            });
        }
    }
}

/// An input that is named must be there.
fn inputs(index: &Index<'_>, system: &System, problems: &mut Vec<Problem>) {
    let inverters: BTreeMap<&str, usize> =
        system.inverters.iter().map(|part| (&*part.name, part.pv_inputs.len())).collect();
    let controllers: BTreeMap<&str, usize> =
        system.controllers.iter().map(|part| (&*part.name, part.pv_inputs.len())).collect();
    let units: BTreeMap<&str, (&str, &Arc<str>, Option<&usize>)> = system
        .units_in_place
        .iter()
        .filter_map(|unit| match &unit.part {
            UnitPart::Inverter(name) => Some((&*unit.name, ("inverter", name, inverters.get(&**name)))),
            UnitPart::Controller(name) => Some((&*unit.name, ("controller", name, controllers.get(&**name)))),
            UnitPart::Unclear => None,
        })
        .collect();
    for item in index.items.iter().filter(|item| matches!(item.table.key, "string" | "combiner")) {
        let Some(Given::Record(into)) = item.entry("into").map(|entry| &entry.value) else { continue };
        let inner = |key: &str| into.iter().find(|entry| entry.field.key == key);
        let Some(Given::Reference(unit)) = inner("unit").map(|entry| &entry.value) else { continue };
        let Some(input) = inner("input") else { continue };
        let Given::Count(number) = input.value else { continue };
        let Some((table, part, Some(there))) = units.get(&**unit) else { continue };
        // Inputs that the owner calls unknown are asked for elsewhere.
        let unknown = index
            .item(table, part)
            .and_then(|part| part.entry("pv_input"))
            .is_some_and(|entry| entry.value == Given::Unknown);
        if unknown || number as usize <= **there {
            continue;
        }
        let says = match **there {
            0 => format!("input {number} of \"{unit}\" is not there; it has no inputs for modules"),
            1 => format!("input {number} of \"{unit}\" is not there; it has one input for modules"),
            there => format!("input {number} of \"{unit}\" is not there; it has {there} inputs for modules"),
        };
        problems.push(Problem {
            what: What::Dangling,
            says,
            help: format!(
                "inputs are counted from 1, in the order of pv_input of {table} \"{part}\"; each has a table of its own there"
            ),
            labels: vec![label(input.span.clone(), "no such input")],
            mend: None,
        });
    }
}

/// What is fed, by name, with the names of what feeds it and their places.
type Fed<'a> = BTreeMap<&'a str, (&'a Item, Vec<(&'a str, &'a Span)>)>;

/// Panels and transfer devices feed downwards; none feeds itself, however long the way.
fn rings(index: &Index<'_>, problems: &mut Vec<Problem>) {
    let mut things: Fed<'_> = BTreeMap::new();
    for item in index.items {
        let key = match item.table.key {
            "panel" => "fed_by",
            "transfer" => "from",
            _ => continue,
        };
        if let Some(Given::References(names)) = item.entry(key).map(|entry| &entry.value) {
            let sources = names.iter().map(|(name, span)| (&**name, span)).collect();
            things.entry(&item.name).or_insert((item, sources));
        }
    }
    // Depth first without recursion, so that a long chain costs no stack: a way that meets itself is a ring.
    let mut done: BTreeSet<&str> = BTreeSet::new();
    for start in things.keys().copied() {
        let mut way: Vec<(&str, usize)> = vec![(start, 0)];
        let mut on_way: BTreeSet<&str> = BTreeSet::from([start]);
        if !done.insert(start) {
            continue;
        }
        while let Some((name, next)) = way.last_mut() {
            let name = *name;
            let Some((item, sources)) = things.get(name) else { break };
            let Some((source, span)) = sources.get(*next) else {
                on_way.remove(name);
                way.pop();
                continue;
            };
            *next += 1;
            if on_way.contains(source) {
                let from = way.iter().position(|(at, _)| at == source).unwrap_or(0);
                let through: Vec<String> =
                    way[from + 1..].iter().rev().map(|(at, _)| format!("\"{at}\"")).collect();
                let through = match through.as_slice() {
                    [] => String::new(),
                    // A long ring is told by its first members.
                    some => format!(" through {}", some[..some.len().min(6)].join(", ")),
                };
                problems.push(contradiction(
                    format!("{} \"{source}\" feeds itself{through}", kind_of(&things, source)),
                    "power comes from a unit, an engine or the utility; take one of the names away",
                    vec![
                        label((*span).clone(), "closes the ring"),
                        label(item.name_span.clone(), "fed here"),
                    ],
                ));
            } else if things.contains_key(source) && done.insert(source) {
                on_way.insert(source);
                way.push((source, 0));
            }
        }
    }
}

fn kind_of(things: &Fed<'_>, name: &str) -> &'static str {
    things.get(name).map_or("panel", |(item, _)| item.table.key)
}

/// One wire has one price.
fn stock(index: &Index<'_>, problems: &mut Vec<Problem>) {
    let mut seen: BTreeMap<String, &Item> = BTreeMap::new();
    for item in index.items.iter().filter(|item| item.table.key == "stock") {
        let called = ["conductor", "raceway"].into_iter().filter_map(|key| {
            Some(match &item.entry(key)?.value {
                Given::Gauge(gauge) => (key, gauge.to_string()),
                Given::Text(text) => (key, text.trim().to_lowercase()),
                _ => return None,
            })
        });
        for (key, name) in called {
            let Some(first) = seen.get(&name) else {
                seen.insert(name, item);
                continue;
            };
            problems.push(Problem {
                what: What::Duplicate,
                says: format!("{name} is priced twice"),
                help: "keep one of the two; a wire or raceway has one price".into(),
                labels: vec![label(place(item, key), "again here"), label(place(first, key), "first here")],
                mend: None,
            });
        }
    }
}
