//! The schedules of every shipped design: recomputed by a script outside the crates, and each thing in each list once.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)] // What is skipped is said.

use design::Design;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::Arc;
use study::{Depth, Memo, Study};
use wiring::NodeKind;

const DESIGNS: [&str; 5] = ["hollow-farm", "pine-cabin", "harbour-house", "orchard-row", "wrong-turns"];

fn path(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn design_path(name: &str) -> PathBuf {
    path(&format!("designs/{name}/{name}.toml"))
}

fn study(name: &str) -> Study {
    let text = std::fs::read_to_string(design_path(name)).unwrap();
    Study::of(Arc::new(Design::of_text(&text)), None, Depth::WithoutYear, &mut Memo::default())
}

/// Whether the script finds every value the same, with what it says.
fn recomputed(name: &str, wire: &serde_json::Value) -> (bool, String) {
    let mut script = Command::new("python3")
        .arg(path("cases/wiring/recompute_schedules.py"))
        .arg(design_path(name))
        .arg(path("crates/tables/data"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    script.stdin.take().unwrap().write_all(wire.to_string().as_bytes()).unwrap();
    let out = script.wait_with_output().unwrap();
    (out.status.success(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

/// Every row of the schedules is worked out anew from the text of the design and the tables, to seven digits; and the
/// script is one that can say no.
#[test]
fn a_script_outside_the_crates_finds_every_row_the_same() {
    let reads_toml = Command::new("python3").args(["-c", "import tomllib"]).output();
    if !reads_toml.is_ok_and(|out| out.status.success()) {
        println!("skipped: {} designs, for want of python3 with a TOML reader", DESIGNS.len());
        return;
    }
    for name in DESIGNS {
        let wire = output::json::wire(&study(name));
        let (same, says) = recomputed(name, &wire);
        assert!(same, "{name}: {says}");
        println!("{name}: {}", says.trim());
        if name != "pine-cabin" {
            continue;
        }
        for (key, other) in [
            ("conductor", serde_json::json!("500 kcmil")),
            ("ground", serde_json::json!("500 kcmil")),
            ("device_a", serde_json::json!(7.0)),
            ("drop_v", serde_json::json!(9.5)),
            ("maximum_a", serde_json::json!(3.25)),
        ] {
            let mut spoilt = wire.clone();
            // The last circuit of the cabin has a size and a device.
            let rows = spoilt["circuits"].as_array_mut().unwrap();
            let row = rows.iter_mut().rev().find(|row| row["run"].is_string()).unwrap();
            row[key] = other;
            assert!(!recomputed(name, &spoilt).0, "{name}: a wrong {key} is not seen");
        }
    }
}

fn count<'a>(names: impl Iterator<Item = &'a str>) -> BTreeMap<String, usize> {
    let mut all = BTreeMap::new();
    for name in names {
        *all.entry(name.to_string()).or_insert(0) += 1;
    }
    all
}

/// Conductors, devices and equipment of each design stand exactly once in each list that has to hold them.
#[test]
fn every_conductor_switch_and_enclosure_is_in_each_list_once() {
    for name in DESIGNS {
        let study = study(name);
        let graph = &study.design.graph;
        let schedule = study.wiring.as_ref().unwrap();
        let (facts, map) = study::lock_out_map(&study).unwrap();
        let once = |list: &str, found: &BTreeMap<String, usize>, wanted: &[&str]| {
            for thing in wanted {
                assert_eq!(found.get(*thing), Some(&1), "{name}: {thing} in the {list}");
            }
            assert_eq!(found.len(), wanted.len(), "{name}: the {list} holds more: {found:?}");
        };

        // Conductors: schedule, lock-out map, both ends in the list of torques, wire on the bill.
        let circuits: Vec<&str> = graph.circuits.iter().map(|c| &*c.name).collect();
        once("schedule", &count(schedule.circuits.iter().map(|c| &*c.name)), &circuits);
        once("lock-out map", &count(map.conductors.iter().map(|row| circuits[row.circuit.0])), &circuits);
        let ends = study::terminal_ends(&study);
        let mut both = Vec::new();
        for circuit in &graph.circuits {
            both.extend(
                [circuit.from, circuit.to]
                    .map(|id| format!("{} at {}", circuit.name, graph.node(id).unwrap().name)),
            );
        }
        let landed: Vec<String> = ends
            .iter()
            .map(|end| format!("{} at {}", circuits[end.circuit], graph.node(end.node).unwrap().name))
            .collect();
        let wire = output::json::wire(&study);
        let rows = wire["terminals"].as_array().unwrap();
        assert_eq!(rows.len(), both.len(), "{name}");
        for (row, end) in rows.iter().zip(&ends).filter(|(row, _)| row["on"] == "terminal") {
            let sized = schedule.circuits[end.circuit].conductor.is_known();
            let new = !study.is_existing(end.circuit);
            assert_eq!(row["takes"] == true, sized && new, "{name}: {row}");
            assert!(row["takes"] != false && row["torque_nm"].as_f64().unwrap() > 0.0, "{name}: {row}");
        }
        let wanted: Vec<&str> = both.iter().map(String::as_str).collect();
        once("torque list", &count(landed.iter().map(String::as_str)), &wanted);
        let bought: Vec<&str> =
            (0..circuits.len()).filter(|k| !study.is_existing(*k)).map(|k| circuits[k]).collect();
        // Signal cables are bought as wire and serve two pieces of equipment, but are no conductors of a circuit.
        let signal = |line: &bill::Line| {
            study
                .design
                .system
                .cables
                .iter()
                .any(|cable| line.item.contains(&format!("signal cable \"{}\"", cable.name)))
        };
        let of_group = |group: bill::Group| {
            count(
                study
                    .bill
                    .lines
                    .iter()
                    .filter(|l| l.group == group && !signal(l))
                    .flat_map(|l| l.serves.iter().map(|s| &**s)),
            )
        };
        let mut wire = of_group(bill::Group::Wire);
        let beside = ["ground of ", "protective conductor of "];
        wire.retain(|what, _| !beside.iter().any(|start| what.starts_with(start)));
        once("wire of the bill", &wire, &bought);

        // Devices: one line of the bill names each circuit that needs one, and each is one point that can be opened.
        let guarded: Vec<&str> = schedule
            .circuits
            .iter()
            .enumerate()
            .filter(|(k, c)| c.protection.needed.value() != Some(&false) && !study.is_existing(*k))
            .map(|(_, c)| &*c.name)
            .collect();
        let by_hand: Vec<&str> = study.design.system.disconnects.iter().map(|each| &*each.name).collect();
        let surges: Vec<&str> = study.design.system.surges.iter().map(|each| &*each.name).collect();
        let protected: Vec<&str> = guarded.iter().chain(&by_hand).chain(&surges).copied().collect();
        once("devices and switches of the bill", &of_group(bill::Group::Protection), &protected);
        // Beside a fuse an end may have a switch, but never two that break load.
        for (k, point) in facts.switches.iter().enumerate().filter(|(_, point)| point.kind.breaks_load()) {
            let again = facts.switches[..k].iter().any(|other| {
                other.circuit == point.circuit && other.end == point.end && other.kind.breaks_load()
            });
            assert!(!again, "{name}: two switches at one end of {}", circuits[point.circuit.0]);
        }
        let opened = count(facts.switches.iter().map(|point| circuits[point.circuit.0]));
        for circuit in &guarded {
            assert!(
                opened.contains_key(*circuit),
                "{name}: the device of {circuit} is not in the lock-out map"
            );
        }

        // Equipment: a page of the lock-out sequences each, and a line of the bill for what is bought.
        let nodes: Vec<&str> = graph.nodes.iter().map(|node| &*node.name).collect();
        once("pages", &count(map.enclosures.iter().map(|page| nodes[page.node.0])), &nodes);
        for node in &graph.nodes {
            let branch_of = |bank: &str| {
                node.name.strip_prefix(bank).is_some_and(|n| n.trim_start().parse::<u32>().is_ok())
            };
            let on_lines =
                |wanted: &dyn Fn(&bill::Line) -> bool| study.bill.lines.iter().filter(|l| wanted(l)).count();
            let serves = |line: &bill::Line| !signal(line) && line.serves.contains(&node.name);
            let lines = match node.kind {
                NodeKind::Utility => continue,
                NodeKind::Panel
                    if study.design.system.panel(&node.name).unwrap().existing.value() == Some(&true) =>
                {
                    continue;
                }
                NodeKind::BatteryUnit => on_lines(&|line| {
                    line.item.starts_with("battery ") && line.serves.iter().any(|bank| branch_of(bank))
                }),
                NodeKind::BatteryBus => on_lines(&|line| line.item.contains("busbars") && serves(line)),
                NodeKind::PvString => on_lines(&|line| line.group == bill::Group::Modules && serves(line)),
                _ => on_lines(&serves),
            };
            assert_eq!(lines, 1, "{name}: {} on the bill", node.name);
        }
    }
}
