//! Circuits follow from what names what: whatever is added or taken away changes them.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use design::system::UtilityRole;
use std::collections::BTreeSet;
use std::path::PathBuf;
use wiring::NodeKind;

fn text(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("../../designs/{name}/{name}.toml"));
    std::fs::read_to_string(path).unwrap()
}

fn circuits(text: &str) -> BTreeSet<String> {
    let design = Design::of_text(text);
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    design.graph.circuits.iter().map(|c| c.name.to_string()).collect()
}

fn set(names: &[&str]) -> BTreeSet<String> {
    names.iter().map(ToString::to_string).collect()
}

#[test]
fn the_farmhouse_has_the_circuits_a_person_would_draw() {
    let found = circuits(&text("hollow-farm"));
    let mut expected = set(&[
        "north row to inverter A",
        "south row to inverter B",
        "rack to inverter A",
        "rack to inverter B",
        "inverter A to inverter panel",
        "inverter B to inverter panel",
        "utility to service panel",
        "inverter panel to house switch",
        "service panel to house switch",
        "house switch to house panel",
    ]);
    expected.extend((1..=6).map(|n| format!("rack {n} to rack")));
    assert_eq!(found, expected);
}

#[test]
fn the_cabin_has_controller_generator_and_no_utility() {
    let found = circuits(&text("pine-cabin"));
    let expected = set(&[
        "left three to controller",
        "right three to controller",
        "box 1 to box",
        "box 2 to box",
        "controller to box",
        "box to inverter",
        "inverter to cabin panel",
        "yard set to inverter",
    ]);
    assert_eq!(found, expected);
    assert_eq!(Design::of_text(&text("pine-cabin")).system.utility.role.value(), Some(&UtilityRole::None));
}

#[test]
fn a_battery_a_string_or_a_combiner_more_brings_its_own_circuits() {
    let before = text("hollow-farm");
    let more = before.replace("parallel = 6", "parallel = 8");
    let added: Vec<String> = circuits(&more).difference(&circuits(&before)).cloned().collect();
    assert_eq!(added, ["rack 7 to rack", "rack 8 to rack"]);

    // Two strings through one combiner instead of straight into the inverter.
    let combined = before
        .replace("into = { unit = \"inverter A\", input = 1 }", "through = \"field box\"")
        .replace("into = { unit = \"inverter B\", input = 1 }", "through = \"field box\"")
        + "\n[[combiner]]\nname = \"field box\"\ninto = { unit = \"inverter A\", input = 1 }\n";
    let after = circuits(&combined);
    for name in ["north row to field box", "south row to field box", "field box to inverter A"] {
        assert!(after.contains(name), "{name} is missing in {after:?}");
    }
    assert!(!after.contains("north row to inverter A"));
}

#[test]
fn taking_a_source_away_takes_its_circuits_and_its_node() {
    let before = text("pine-cabin");
    let start = before.find("[[engine]]").unwrap();
    let end = start + before[start..].find("[[panel]]").unwrap();
    let mut without =
        format!("{}{}", &before[..start], &before[end..]).replace("ac_input = \"yard set\"\n", "");
    let start = without.find("[[run]]\nname = \"yard set to inverter\"").unwrap();
    let end = start + without[start..].find("[[stock]]").unwrap();
    without.replace_range(start..end, "");
    let design = Design::of_text(&without);
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    assert!(!design.graph.nodes.iter().any(|node| node.kind == NodeKind::Generator));
    assert!(!circuits(&without).contains("yard set to inverter"));
    assert_eq!(circuits(&without).len() + 1, circuits(&before).len());
}

#[test]
fn a_second_building_with_its_own_panel_is_joined_by_its_feeder() {
    let more = text("hollow-farm")
        + "\n[[building]]\nname = \"barn\"\n\n[[panel]]\nname = \"barn panel\"\nfed_by = [\"house panel\"]\n\
           volts = \"120/240\"\nmain = \"60 A\"\nbuilding = \"barn\"\n";
    assert!(circuits(&more).contains("house panel to barn panel"));
    let design = Design::of_text(&more);
    let barn = design.graph.nodes.iter().find(|node| &*node.name == "barn panel").unwrap();
    assert_eq!(&*barn.building, "barn");
}

#[test]
fn two_sources_on_one_panel_meet_and_a_transfer_device_parts_them() {
    let before = text("hollow-farm");
    assert!(Design::of_text(&before).graph.problems().is_empty());
    let wrong =
        before.replace("fed_by = [\"house switch\"]", "fed_by = [\"inverter panel\", \"service panel\"]");
    let problems = Design::of_text(&wrong).graph.problems();
    let meet = |p: &wiring::GraphProblem| {
        matches!(p, wiring::GraphProblem::SourcesMeet(..) | wiring::GraphProblem::SourcesMayMeet(..))
    };
    assert!(problems.iter().any(meet), "{problems:?}");
}

#[test]
fn every_run_of_every_design_is_found_by_the_names_of_its_ends() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house"] {
        let design = Design::of_text(&text(name));
        for (i, run) in design.system.runs.iter().enumerate() {
            let used = design.graph.circuits.iter().any(|c| c.run == Some(wiring::RunId(i)));
            assert!(used, "{name}: run \"{}\" carries no circuit", run.name);
        }
    }
}
