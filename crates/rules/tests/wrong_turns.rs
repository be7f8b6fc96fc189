//! The demo that is wrong in instructive ways: every planted fault yields exactly its finding, the table of the guide
//! shows what the rules say, and with all remedies applied the house is clean.

use design::Design;
use rules::{Finding, Remedy, Severity, inspect, remedies};
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn file(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn text() -> String {
    std::fs::read_to_string(file("designs/wrong-turns/wrong-turns.toml")).expect("the demo is there")
}

/// Line of each planted fault with its words.
fn planted(text: &str) -> Vec<(usize, String)> {
    let marked =
        text.lines().enumerate().filter_map(|(k, line)| Some((k + 1, line.split_once("# WRONG: ")?.1)));
    marked.map(|(line, words)| (line, words.trim().to_string())).collect()
}

fn study(text: &str, memo: &mut Memo) -> Study {
    Study::of(Arc::new(Design::of_text(text)), None, Depth::Whole, memo)
}

/// Findings that are more than a note, or that nobody can decide.
fn serious(study: &Study) -> Vec<Finding> {
    inspect(study).into_iter().filter(|f| f.severity < Severity::Note || f.undecided.is_some()).collect()
}

fn place(study: &Study, finding: &Finding) -> (usize, usize) {
    finding
        .at
        .first()
        .and_then(|at| study.design.place_of(&at.field))
        .expect("a finding has a place in the text")
}

/// One planted fault: its words, line and column, its finding, its remedy.
type Row = (String, usize, usize, Finding, Remedy);

/// Each planted fault with its finding and the first remedy that held when it was studied.
fn found() -> (Vec<Row>, String) {
    let text = text();
    let mut memo = Memo::default();
    let study = study(&text, &mut memo);
    assert!(study.design.problems.is_empty(), "{:#?}", study.design.problems);
    let mut findings = serious(&study);
    let mut rows = Vec::new();
    for (line, words) in planted(&text) {
        let at = findings.iter().position(|finding| place(&study, finding).0 == line);
        let finding =
            findings.remove(at.unwrap_or_else(|| panic!("nothing is found at line {line}: {words}")));
        assert_eq!(finding.undecided, None, "line {line}");
        let held = remedies::studied(&study, &finding, &mut memo, study::Files::default());
        let remedy =
            held.into_iter().next().unwrap_or_else(|| panic!("no remedy holds for line {line}: {words}"));
        rows.push((words, line, place(&study, &finding).1, finding, remedy));
    }
    assert!(findings.is_empty(), "found beside the planted faults: {findings:#?}");
    (rows, text)
}

#[test]
fn each_planted_fault_yields_its_finding_and_the_remedies_make_the_house_clean() {
    let (rows, text) = found();
    assert!(rows.len() >= 12);
    let mended = rows.iter().fold(text, |text, (words, .., remedy)| {
        remedies::apply(&text, remedy).unwrap_or_else(|why| panic!("{words}: {why}"))
    });
    let left = serious(&study(&mended, &mut Memo::default()));
    assert!(left.is_empty(), "{left:#?}");
    table_is_true(&rows);
}

/// The table of the guide is what the rules say; with `WATTWRIGHT_ACCEPT` set it is written anew.
fn table_is_true(rows: &[Row]) {
    let mut table = String::from(
        "# Wrong turns\n\n\
         `designs/wrong-turns/wrong-turns.toml` is a house that is wrong in instructive ways. Each fault yields exactly one\n\
         finding, at the line where it was made; with all remedies applied nothing worse than a note is left. A test\n\
         holds this table to what the rules say.\n\n\
         | Planted fault | Code | Severity | Line | Column | What is found | Remedy |\n\
         |---|---|---|---|---|---|---|\n",
    );
    for (words, line, column, finding, remedy) in rows {
        let cells = [
            words.clone(),
            finding.code.to_string(),
            finding.severity.word().to_string(),
            line.to_string(),
            column.to_string(),
            finding.says.clone(),
            remedy.says.clone(),
        ];
        table += &format!("| {} |\n", cells.map(|cell| cell.replace('|', "/")).join(" | "));
    }
    let path = file("docs/wrong-turns.md");
    if std::env::var_os("WATTWRIGHT_ACCEPT").is_some() {
        std::fs::write(&path, &table).expect("the table can be written");
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        written == table,
        "docs/wrong-turns.md does not say what the rules say; WATTWRIGHT_ACCEPT=1 writes it anew"
    );
}

/// No finding of any demo says what only an authority can say.
#[test]
fn no_finding_calls_a_house_safe_legal_or_approved() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house", "orchard-row", "wrong-turns"] {
        let text =
            std::fs::read_to_string(file(&format!("designs/{name}/{name}.toml"))).expect("the demo is there");
        let study =
            Study::of(Arc::new(Design::of_text(&text)), None, Depth::WithoutYear, &mut Memo::default());
        for finding in inspect(&study) {
            let printed =
                format!("{} {} {:?}", finding.says, finding.more.join(" "), finding.remedies).to_lowercase();
            for word in printed.split(|c: char| !c.is_alphanumeric()) {
                assert!(!["safe", "legal", "approved"].contains(&word), "{}: {printed}", finding.code);
            }
        }
    }
}

/// The other demos are houses one could build: nothing in them is worse than a doubt, and nothing that guards a danger
/// or a breach is open.
#[test]
fn the_other_demos_hold_no_danger_and_no_breach() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house", "orchard-row"] {
        let text =
            std::fs::read_to_string(file(&format!("designs/{name}/{name}.toml"))).expect("the demo is there");
        let study = study(&text, &mut Memo::default());
        let blocking: Vec<Finding> = inspect(&study).into_iter().filter(Finding::blocks).collect();
        assert!(blocking.is_empty(), "{name}: {blocking:#?}");
    }
}
