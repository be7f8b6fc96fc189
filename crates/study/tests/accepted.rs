//! Each shipped design has its accepted figures beside it: numbers are held at 1e-9, everything else exactly.
//!
//! These are no checks against the outside (those stand in `VALIDATION.md`); they say that nothing moved unnoticed.
//! A change that is meant is accepted with `UPDATE=1 cargo test -p study --test accepted`, and told in the change log.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use quantity::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

/// Relative difference at which accepted numbers count as the same.
const SAME: f64 = 1e-9;

fn lines_of(study: &Study) -> String {
    let mut text = String::from(
        "# Accepted figures in SI units (money in currency units); see crates/study/tests/accepted.rs\n",
    );
    for figure in study.figures.values() {
        let value = match &figure.value {
            Value::Number { si, .. } => format!("{si:.12e}"),
            Value::Money(money) => format!("{money}"),
            Value::Gauge(gauge) => gauge.to_string(),
            Value::Material(material) => material.in_words().to_string(),
            Value::Text(words) => words.to_string(),
        };
        let _ = writeln!(text, "{}\t{value}", figure.name);
    }
    text
}

fn table(text: &str) -> BTreeMap<&str, &str> {
    text.lines().filter(|line| !line.starts_with('#')).filter_map(|line| line.split_once('\t')).collect()
}

#[test]
fn the_shipped_designs_give_their_accepted_figures() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let mut designs = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().to_string();
        let Ok(text) = std::fs::read_to_string(path.join(format!("{name}.toml"))) else { continue };
        designs += 1;
        let design = Arc::new(design::Design::of_text(&text));
        let found = lines_of(&Study::of(design, None, Depth::Whole, &mut Memo::default()));
        let file = path.join("accepted.tsv");
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&file, &found).unwrap();
        }
        let accepted = std::fs::read_to_string(&file).unwrap_or_default();
        let (found, accepted) = (table(&found), table(&accepted));
        for (figure, now) in &found {
            let then = accepted
                .get(figure)
                .unwrap_or_else(|| panic!("{name}: {figure} is new; accept it with UPDATE=1"));
            let same = match (now.parse::<f64>(), then.parse::<f64>()) {
                (Ok(a), Ok(b)) => (a - b).abs() <= SAME * a.abs().max(b.abs()),
                _ => now == then,
            };
            assert!(same, "{name}: {figure} was {then} and is {now}");
        }
        for figure in accepted.keys() {
            assert!(found.contains_key(figure), "{name}: {figure} is gone; accept it with UPDATE=1");
        }
    }
    assert!(designs >= 3);
}
