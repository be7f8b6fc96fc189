//! Prints what the rules make of designs, for the eye of a developer.
#![allow(clippy::print_stdout)]

use std::sync::Arc;

fn main() {
    for path in std::env::args().skip(1) {
        let design = Arc::new(design::Design::of_bytes(&std::fs::read(&path).unwrap_or_default()));
        println!("== {path}: {} problems", design.problems.len());
        for problem in &design.problems {
            println!("PROBLEM {} | {}", problem.says, problem.help);
        }
        let mut memo = study::Memo::default();
        let study = study::Study::of(design.clone(), None, study::Depth::Whole, &mut memo);
        for finding in rules::inspect(&study) {
            let open = if finding.undecided.is_some() { "undecided " } else { "" };
            println!("{open}{} {} {}", finding.severity.word(), finding.code, finding.says);
            for at in &finding.at {
                println!("    at {} {:?}: {}", at.field, design.place_of(&at.field), at.says);
            }
            for more in &finding.more {
                println!("    {more}");
            }
            for remedy in &finding.remedies {
                println!("    -> {}  {:?}", remedy.says, remedy.changes);
            }
        }
    }
}
