//! The search as a new user meets it.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn wattwright() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wattwright"));
    command.current_dir(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")).env("NO_COLOR", "1");
    command
}

fn run(args: &[&str]) -> Output {
    wattwright().args(args).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The shipped farmhouse with few years and a narrow choice, so that a search is short.
fn farmhouse(folder: &Path, to: u32) -> String {
    let shipped =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = std::fs::read_to_string(shipped).unwrap();
    assert!(text.contains("years = 20") && text.contains("to = 12"));
    // Half of the rows and the batteries up to `to`.
    let text = text.replace("years = 20", "years = 2").replace("from = 6\nto = 12", "from = 11\nto = 12");
    let text = text.replace("from = 3\nto = 12", &format!("from = 5\nto = {to}"));
    let path = folder.join("house.toml");
    std::fs::write(&path, text).unwrap();
    path.display().to_string()
}

#[test]
fn the_best_system_is_written_into_the_design_and_is_then_what_is_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let path = farmhouse(folder.path(), 7);
    let before = std::fs::read_to_string(&path).unwrap();
    let picture = folder.path().join("front.svg");
    let first =
        run(&["size", &path, "--json", "--quick", "--apply", "best", "--picture", picture.to_str().unwrap()]);
    let first: serde_json::Value = serde_json::from_slice(&first.stdout).unwrap_or_else(|e| panic!("{e}"));
    assert!(std::fs::read_to_string(&picture).unwrap().starts_with("<svg"));
    let after = std::fs::read_to_string(&path).unwrap();
    assert_eq!(before.lines().count(), after.lines().count(), "comments and order stay");
    assert_ne!(before, after);
    // A second search finds the applied system drawn, with the same figures, and changes nothing more.
    let second = run(&["size", &path, "--json", "--quick", "--apply", "best"]);
    let second: serde_json::Value = serde_json::from_slice(&second.stdout).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), after);
    for key in ["cost", "backup_h", "dark_h", "missing_kwh", "years_broken", "settings"] {
        assert_eq!(second["present"][key], first["cheapest"][key], "{key}");
    }
    // What year says of the file is what the search said of the system.
    let year: serde_json::Value = serde_json::from_slice(&run(&["year", &path, "--json"]).stdout).unwrap();
    for key in ["backup_h", "dark_h", "missing_kwh"] {
        let (a, b) = (year[key].as_f64().unwrap(), first["cheapest"][key].as_f64().unwrap());
        // Machine output has nine significant digits.
        assert!((a - b).abs() <= 1e-8 * b.abs().max(1.0), "{key}: {a} {b}");
    }
    assert!(first["proven"].as_bool().unwrap() && first["complete"].as_bool().unwrap());
}

#[test]
fn the_answer_reads_as_sentence_tables_and_remarks() {
    let folder = tempfile::tempdir().unwrap();
    let path = farmhouse(folder.path(), 6);
    let found = run(&["size", &path]);
    // Lines break where the numbers let them.
    let text = out(&found).split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "keep the promise",
        "What one step brings",
        "What if",
        "cannot be built",
        "rising cost",
        "200 weather years",
    ] {
        assert!(text.contains(words), "no \"{words}\" in:\n{text}\n{}", err(&found));
    }
    assert!(!text.contains("NaN"));
    assert!(err(&found).contains("systems walked through their years"), "progress is told");
    let none = run(&["size", &path, "--quick", "--apply", "99"]);
    assert!(err(&none).contains("the table has no system 99"), "{}", err(&none));
    assert_eq!(none.status.code(), Some(2));
}

#[test]
fn a_choice_that_cannot_be_is_refused_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    let path = farmhouse(folder.path(), 6);
    let text = std::fs::read_to_string(&path).unwrap().replace("bank.rack.parallel", "bank.rak.parallel");
    std::fs::write(&path, text).unwrap();
    let refused = run(&["size", &path]);
    let line =
        std::fs::read_to_string(&path).unwrap().lines().position(|l| l.contains("bank.rak")).unwrap() + 1;
    assert_eq!(refused.status.code(), Some(2));
    assert!(err(&refused).contains(&format!("house.toml:{line}:")), "{}", err(&refused));
}

/// The first Ctrl-C ends the search early, and what was found follows.
#[cfg(unix)]
#[test]
fn ctrl_c_leaves_what_was_found_so_far() {
    use std::io::{BufRead as _, BufReader};
    let folder = tempfile::tempdir().unwrap();
    let path = farmhouse(folder.path(), 15);
    // So many systems and years that no machine is through with them before it is told to stop: it looks up between strides.
    let text = std::fs::read_to_string(&path).unwrap();
    let text = text.replace("from = 11\nto = 12", "from = 6\nto = 12").replace("years = 2,", "years = 20,");
    std::fs::write(&path, text).unwrap();
    let mut child = wattwright()
        .args(["size", &path, "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
    // Years are being walked: now somebody has had enough.
    let begun = lines.by_ref().map_while(Result::ok).any(|line| line.contains("walked through their years"));
    assert!(begun);
    let kill = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(kill.success());
    let rest: Vec<String> = lines.map_while(Result::ok).collect();
    let output = child.wait_with_output().unwrap();
    assert!(rest.iter().any(|line| line.contains("Stopping")), "{rest:?}");
    let found: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(found["complete"], false);
    assert!(found["counts"]["not_reached"].as_u64().unwrap() > 0);
    assert!(found["odds"].is_null() && found["what_if"].as_array().unwrap().is_empty());
}
