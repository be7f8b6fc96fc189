//! What cannot be true in a whole design: each kind of problem with its place and its words.

use design::Design;
use design::problem::Problem;
use design::read::Lines;

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
const CABIN: &str = include_str!("../../../designs/pine-cabin/pine-cabin.toml");
const HARBOUR: &str = include_str!("../../../designs/harbour-house/harbour-house.toml");

fn shown(text: &str, problem: &Problem) -> String {
    let (line, column) = Lines::new(text).at(text, problem.labels[0].span.start);
    format!("{} {line}:{column} {}", problem.what.word(), problem.says)
}

fn told(text: &str) -> Vec<String> {
    Design::of_text(text).problems.iter().map(|problem| shown(text, problem)).collect()
}

/// The farm with the first of a line replaced; the line must be there.
fn farm(old: &str, new: &str) -> String {
    assert!(FARM.contains(old), "{old}");
    FARM.replacen(old, new, 1)
}

/// A change of the farm and the problems it leads to.
fn leads_to(old: &str, new: &str, expected: &[&str]) {
    assert_eq!(told(&farm(old, new)), expected, "{old} -> {new}");
}

#[test]
fn designs_that_are_shipped_have_no_problem() {
    for text in [FARM, CABIN, HARBOUR] {
        assert_eq!(told(text), Vec::<String>::new());
    }
}
