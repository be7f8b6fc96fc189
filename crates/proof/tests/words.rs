//! Words the project must not print, and words that do not belong into its files.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A view says "meets" or "does not meet" a clause as entered; the local authority decides. So none of these is a verdict
/// of the program.
const CLAIMS: &[&str] = &[
    "legal",
    "legally",
    "illegal",
    "safe",
    "safely",
    "approved",
    "approves",
    "guaranteed",
    "guarantees",
    "compliant",
    "certified",
];

/// Printed text that needs one of the words and claims nothing: the end of the file's path, a piece of the text, why.
const ALLOWED: &[(&str, &str, &str)] = &[];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the workspace has a root")
}

/// Files under version control; of a copy without it, all but the build.
fn files() -> Vec<PathBuf> {
    let root = root();
    let listed = Command::new("git").args(["ls-files", "-z"]).current_dir(&root).output();
    if let Ok(out) = listed
        && out.status.success()
        && !out.stdout.is_empty()
    {
        let names = String::from_utf8_lossy(&out.stdout).into_owned();
        // A file that was removed and not yet committed is still listed.
        return names
            .split('\0')
            .filter(|n| !n.is_empty())
            .map(|n| root.join(n))
            .filter(|p| p.is_file())
            .collect();
    }
    let mut found = Vec::new();
    let mut open = vec![root.clone()];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder").flatten() {
            let path = entry.path();
            let name = entry.file_name();
            if path.is_dir() && name != "target" && name != ".git" {
                open.push(path);
            } else if path.is_file() {
                found.push(path);
            }
        }
    }
    found
}

fn short(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// String literals of Rust source with their lines, test modules and attributes left out.
fn literals(source: &str) -> Vec<(usize, String)> {
    let source = source.split("#[cfg(test)]").next().unwrap_or_default();
    let text: Vec<char> = source.chars().collect();
    let at = |i: usize| text.get(i).copied().unwrap_or('\0');
    let (mut found, mut line, mut i) = (Vec::new(), 1, 0);
    while i < text.len() {
        match text[i] {
            '\n' => line += 1,
            '/' if at(i + 1) == '/' => {
                while i + 1 < text.len() && at(i + 1) != '\n' {
                    i += 1;
                }
            }
            '/' if at(i + 1) == '*' => {
                while i < text.len() && !(text[i] == '*' && at(i + 1) == '/') {
                    line += usize::from(text[i] == '\n');
                    i += 1;
                }
            }
            // A character, not a lifetime.
            '\'' if at(i + 1) == '\\' => {
                i += 2;
                while i + 1 < text.len() && at(i + 1) != '\'' {
                    i += 1;
                }
                i += 1;
            }
            '\'' if at(i + 2) == '\'' => i += 2,
            'r' if at(i + 1) == '"' || (at(i + 1) == '#' && matches!(at(i + 2), '"' | '#')) => {
                let mut hashes = 0;
                while at(i + 1 + hashes) == '#' {
                    hashes += 1;
                }
                let start = i + 2 + hashes;
                let ends = |j: usize| at(j) == '"' && (1..=hashes).all(|h| at(j + h) == '#');
                let mut end = start;
                while end < text.len() && !ends(end) {
                    end += 1;
                }
                let body: String = text[start..end.min(text.len())].iter().collect();
                let lines = body.matches('\n').count();
                found.push((line, body));
                line += lines;
                i = end + hashes;
            }
            '"' => {
                let (first, mut body) = (line, String::new());
                i += 1;
                while i < text.len() && text[i] != '"' {
                    if text[i] == '\\' {
                        i += 1;
                    }
                    line += usize::from(at(i) == '\n');
                    body.push(at(i));
                    i += 1;
                }
                found.push((first, body));
            }
            _ => {}
        }
        i += 1;
    }
    found
}

fn words_of(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

fn claims_in(text: &str) -> Vec<String> {
    words_of(text).filter(|word| CLAIMS.contains(&word.as_str())).collect()
}

#[test]
fn nothing_printed_claims_that_a_system_is_safe_legal_or_approved() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for path in files() {
        let name = short(&path);
        if !name.starts_with("crates/") || !name.contains("/src/") {
            continue;
        }
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let pieces = match ending {
            "rs" if !name.ends_with("tests.rs") => literals(&text),
            // Templates, pages and scripts are printed as they stand.
            "typ" | "html" | "js" | "css" | "csv" | "toml" => {
                text.lines().enumerate().map(|(at, line)| (at + 1, line.to_owned())).collect()
            }
            _ => continue,
        };
        seen += pieces.len();
        for (line, piece) in pieces {
            let allowed = ALLOWED.iter().any(|(file, part, _)| name.ends_with(file) && piece.contains(part));
            for word in claims_in(&piece) {
                if !allowed {
                    wrong.push(format!("{name}:{line}: \"{word}\" in \"{piece}\""));
                }
            }
        }
    }
    assert!(seen > 1000, "only {seen} texts were found; is the reading of sources broken?");
    assert!(
        wrong.is_empty(),
        "say what is met or not met, of which clause; or add the text to ALLOWED with the reason:\n{}",
        wrong.join("\n")
    );
}

#[test]
fn the_reader_of_literals_sees_texts_and_nothing_else() {
    let source = r##"
        // "a comment"
        let c = '"'; let q = '\''; let life: &'static str = "one \"quoted\" text";
        let raw = r#"two "quotes" here"#; /* "no" */ let b = b"three";
        let last = "over
two lines"; let after = "five";
        #[cfg(test)]
        mod tests { const T: &str = "not this"; }
    "##;
    let found: Vec<(usize, String)> = literals(source);
    let texts: Vec<&str> = found.iter().map(|(_, text)| text.as_str()).collect();
    assert_eq!(texts, ["one \"quoted\" text", "two \"quotes\" here", "three", "over\ntwo lines", "five"]);
    assert_eq!(found[4].0, 6, "lines are counted through texts");
    assert_eq!(claims_in("This is Safe, and unsafe is another word"), ["safe"]);
}

/// Put together here, so that this file does not hold them.
fn foreign_words() -> Vec<(String, &'static str)> {
    let join = |parts: &[&str]| parts.concat();
    vec![
        (join(&["/wo", "rk/"]), "a path of one machine"),
        (join(&["/ho", "me/"]), "a path of one machine"),
        (join(&["/ro", "ot/"]), "a path of one machine"),
        (join(&["/Us", "ers/"]), "a path of one machine"),
        (join(&["seed docu", "ment"]), "a word of the workplace"),
        (join(&["trans", "cript "]), "a word of the workplace"),
        (join(&["trans", "cript."]), "a word of the workplace"),
        (join(&["issues sh", "ow"]), "a word of the workplace"),
        (join(&["fa", "rm-"]), "a word of the workplace"),
    ]
}

#[test]
fn files_speak_of_the_project_alone() {
    let mut wrong = Vec::new();
    let shared = ["../sha", "red/"].concat();
    for path in files() {
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let name = short(&path);
        // The lock file names where each crate comes from, by its nature.
        if name == "Cargo.lock" {
            continue;
        }
        for (at, line) in text.lines().enumerate() {
            for (word, why) in foreign_words() {
                if line.contains(&word) {
                    wrong.push(format!("{name}:{}: {why}: {}", at + 1, line.trim()));
                }
            }
            if line.contains(&shared) && name != ".ci/run" {
                wrong.push(format!("{name}:{}: a folder outside the project: {}", at + 1, line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn measured_years_and_meter_records_are_not_part_of_the_project() {
    for path in files() {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
        let bytes = path.metadata().expect("a file").len();
        // A small invented file may show the form; a year of hours is over a megabyte, a month of a meter over 100 kB.
        let limit = match ending.as_str() {
            "epw" | "tm2" | "tm3" | "xml" => 100_000,
            // Names of towns with their zones: open data, and no record of anybody's weather or meter.
            "csv" if short(&path) == "crates/tables/data/places.csv" => 2_000_000,
            _ => 1_500_000,
        };
        assert!(bytes < limit, "{} has {bytes} bytes", short(&path));
    }
}
