//! Dependencies point one way: quantity, tables, subjects, design, study, rules, output, the ends. Read from the metadata
//! of the workspace and from the sources, so that a new arrow is a decision and not an accident.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// Every crate in reading order with the crates of the project it may use. An arrow may only point upwards in this list.
///
/// Before adding one: a subject that needs another subject usually needs a number from it, which its caller can hand over.
const ARROWS: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("tables", &["quantity"]),
    ("sun", &[]),
    ("weather", &["sun"]),
    ("array", &["quantity", "sun"]),
    ("storage", &["quantity"]),
    ("conversion", &["quantity"]),
    ("loads", &["quantity"]),
    ("energy", &["quantity", "storage", "conversion", "loads"]),
    ("wiring", &["quantity", "tables"]),
    ("bill", &["quantity"]),
    ("money", &["quantity"]),
    ("design", &["quantity", "tables", "sun", "array", "storage", "conversion", "loads", "wiring"]),
    (
        "study",
        &[
            "quantity",
            "tables",
            "sun",
            "weather",
            "array",
            "storage",
            "conversion",
            "loads",
            "energy",
            "wiring",
            "bill",
            "money",
            "design",
        ],
    ),
    // A rule compares facts, so it meets the types of the subjects that hold them.
    ("rules", &["quantity", "tables", "sun", "loads", "conversion", "storage", "wiring", "design", "study"]),
    // A search tries systems as designs: it studies, inspects and prices each.
    ("size", &["quantity", "energy", "wiring", "bill", "design", "study", "rules"]),
    (
        "output",
        // It lays out a study and its findings, so it meets the types of the subjects whose results it shows.
        &["quantity", "sun", "loads", "wiring", "bill", "design", "study", "rules", "size"],
    ),
    ("typeset", &["quantity", "output"]),
    ("door", &[]),
    ("web", &["quantity", "design", "study", "rules", "size", "output", "typeset", "door"]),
    ("wattwright", &["quantity", "design", "study", "rules", "size", "output", "typeset", "door", "web"]),
    ("proof", &[]),
];

/// Crates that hold a subject: numbers in, numbers out.
const SUBJECTS: &[&str] = &[
    "quantity",
    "tables",
    "sun",
    "weather",
    "array",
    "storage",
    "conversion",
    "loads",
    "energy",
    "wiring",
    "bill",
    "money",
];

/// All that subjects may use from outside, each with its reason.
const SUBJECTS_MAY_USE: &[(&str, &str)] = &[
    ("libm", "mathematics that gives the same bits on every machine"),
    ("rand_pcg", "random words from a stored seed, in weather and loads"),
    ("uom", "dimensions, in quantity"),
    ("strsim", "nearest name, in quantity"),
    ("csv", "the data files of tables, interval readings in loads"),
    ("roxmltree", "interval readings in XML, in loads"),
];

/// Outside crates that only the named crates may use.
const KEPT_AT: &[(&str, &[&str])] = &[
    ("clap", &["wattwright"]),
    ("clap_complete", &["wattwright"]),
    ("clap_mangen", &["wattwright"]),
    ("anstream", &["wattwright"]),
    ("annotate-snippets", &["wattwright"]),
    ("axum", &["web"]),
    ("hyper", &["web"]),
    ("hyper-util", &["web"]),
    ("rust-embed", &["web"]),
    ("tokio", &["web", "wattwright"]),
    ("typst", &["typeset"]),
    ("typst-layout", &["typeset"]),
    ("typst-pdf", &["typeset"]),
    ("tempfile", &["door"]),
    ("toml", &["design"]),
    ("toml_edit", &["design"]),
    ("thirtyfour", &["proof"]),
];

struct Package {
    folder: PathBuf,
    /// Name and whether only tests use it.
    uses: Vec<(String, bool)>,
}

fn workspace() -> BTreeMap<String, Package> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let out = Command::new(cargo)
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs this test, so it can be run");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let metadata: Value = serde_json::from_slice(&out.stdout).expect("cargo prints JSON");
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    list(&metadata["packages"])
        .iter()
        .map(|package| {
            let manifest = PathBuf::from(text(&package["manifest_path"]));
            let folder = manifest.parent().expect("a manifest lies in a folder").to_path_buf();
            let uses = list(&package["dependencies"])
                .iter()
                .map(|used| (text(&used["name"]), used["kind"].as_str() == Some("dev")))
                .collect();
            (text(&package["name"]), Package { folder, uses })
        })
        .collect()
}

fn rank(name: &str) -> Option<usize> {
    ARROWS.iter().position(|(crate_name, _)| *crate_name == name)
}

#[test]
fn every_crate_is_in_the_list_and_the_list_points_upwards() {
    let found: BTreeSet<String> = workspace().into_keys().collect();
    let listed: BTreeSet<String> = ARROWS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(found, listed, "crates of the workspace on the left, of the list ARROWS on the right");
    for (at, (name, uses)) in ARROWS.iter().enumerate() {
        for used in *uses {
            assert!(rank(used).is_some_and(|above| above < at), "{name} -> {used} does not point upwards");
        }
    }
}

#[test]
fn no_crate_uses_one_it_may_not() {
    let packages = workspace();
    let mut wrong = Vec::new();
    for (name, package) in &packages {
        if name == "proof" {
            continue; // Tests of the whole see the whole.
        }
        let allowed = ARROWS.iter().find(|(listed, _)| listed == name).map_or(&[][..], |(_, uses)| uses);
        for (used, only_tests) in &package.uses {
            let inside = packages.contains_key(used);
            // Tests may look at anything above them in the list.
            let upwards = rank(used) < rank(name);
            if inside && !allowed.contains(&used.as_str()) && !(*only_tests && upwards) {
                wrong.push(format!("{name} -> {used}"));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "new arrows: {wrong:?}. If one is right, add it to ARROWS here and to ARCHITECTURE.md, and say why in the commit; \
         if not, hand the number over instead."
    );
}

#[test]
fn subjects_use_only_mathematics_and_units_from_outside() {
    let packages = workspace();
    for name in SUBJECTS {
        for (used, only_tests) in &packages[*name].uses {
            let known = packages.contains_key(used) || SUBJECTS_MAY_USE.iter().any(|(may, _)| may == used);
            assert!(known || *only_tests, "{name} is a subject and may not use {used}");
        }
    }
}

#[test]
fn terminals_browsers_and_files_are_known_only_at_the_ends() {
    for (name, package) in workspace() {
        for (used, only_tests) in &package.uses {
            let Some((_, at)) = KEPT_AT.iter().find(|(kept, _)| kept == used) else { continue };
            assert!(
                *only_tests || at.contains(&name.as_str()),
                "{used} is kept at {at:?}, and {name} uses it"
            );
        }
    }
}

/// The sources below a folder, with what follows the first test module cut off.
fn sources(folder: &Path) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        let mut entries: Vec<PathBuf> = std::fs::read_dir(&folder)
            .expect("a source folder")
            .map(|entry| entry.expect("an entry").path())
            .collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs")
                && path.file_stem() != Some("tests".as_ref())
            {
                let text = std::fs::read_to_string(&path).expect("a source is text");
                let own = text.split("#[cfg(test)]").next().unwrap_or_default().to_owned();
                found.push((path, own));
            }
        }
    }
    found
}

/// Lines of code, not of comment, that hold one of the words.
fn lines_with<'a>(text: &'a str, words: &'a [&'a str]) -> impl Iterator<Item = (usize, &'a str)> {
    text.lines().enumerate().filter_map(move |(at, line)| {
        let code = line.split("//").next().unwrap_or_default();
        words.iter().any(|word| code.contains(word)).then_some((at + 1, line.trim()))
    })
}

fn none_in(crates: &[&str], words: &[&str], why: &str) {
    let packages = workspace();
    let mut wrong = Vec::new();
    for name in crates {
        for (path, text) in sources(&packages[*name].folder.join("src")) {
            for (line, code) in lines_with(&text, words) {
                wrong.push(format!("{}:{line}: {code}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{why}:\n{}", wrong.join("\n"));
}

#[test]
fn nothing_before_the_ends_knows_files_clocks_network_or_environment() {
    let inner: Vec<&str> = ARROWS
        .iter()
        .map(|(name, _)| *name)
        .filter(|name| !["door", "web", "wattwright", "proof"].contains(name))
        .collect();
    let words = [
        "std::fs",
        "std::net",
        "std::env",
        "std::process",
        "std::io::stdin",
        "SystemTime",
        "Instant::now",
        "File::open",
    ];
    none_in(&inner, &words, "files, clocks, network and environment belong to the door and the ends");
}

#[test]
fn libraries_never_print() {
    let libraries: Vec<&str> =
        ARROWS.iter().map(|(name, _)| *name).filter(|name| !["wattwright", "proof"].contains(name)).collect();
    none_in(&libraries, &["println!(", "eprintln!(", "print!(", "dbg!("], "libraries never print");
}

#[test]
fn numbers_that_must_be_the_same_everywhere_use_portable_mathematics() {
    // The standard library's versions call the platform's, whose last bits differ between machines.
    let words = [
        ".sin()",
        ".cos()",
        ".tan()",
        ".sin_cos()",
        ".asin()",
        ".acos()",
        ".atan()",
        ".atan2(",
        ".exp()",
        ".exp_m1()",
        ".ln()",
        ".ln_1p()",
        ".log10()",
        ".log2()",
        ".powf(",
        ".cbrt()",
        ".sinh()",
        ".cosh()",
        ".tanh()",
        ".hypot(",
        ".mul_add(",
    ];
    none_in(&["sun", "weather", "array", "storage", "energy"], &words, "use libm, and no fused multiply-add");
}
