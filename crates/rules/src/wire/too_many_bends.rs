//! # Too many bends between two pull points
//!
//! What it checks: every stretch of raceway from box to box: no more than four quarter bends, 360°, between two points at
//! which conductors can be pulled.
//!
//! Why it matters: each bend multiplies the pull. Beyond four, insulation is scraped off on the inside of a bend, where
//! nobody sees it until it burns.
//!
//! Known limits: the stated pull points count as set where they divide the bends evenly. Offsets count as bends and are
//! yours to add.
//!
//! Source: NEC 2023, 344.26, 352.26, 358.26 and the like (from memory).
//!
//! Fails: 450° in one pull.
//! Passes: the same with a conduit body between.

use crate::words::say;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W22",
    name: "too-many-bends",
    severity: Severity::Breach,
    clause: nec("2023", "344.26, 352.26, 358.26", Standing::Remembered),
    text: include_str!("too_many_bends.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for stretch in &schedule.stretches {
        let Some(run) = study.design.system.runs.get(stretch.run.0) else { continue };
        let (first, last) = stretch.parts;
        let parts = if first == last {
            format!("part {}", first + 1)
        } else {
            format!("parts {} to {}", first + 1, last + 1)
        };
        match (&stretch.bends, &stretch.passes) {
            (Fact::Known(bends), Fact::Known(passes)) if !passes.value => {
                // The part with the most bends is the one to break.
                let turns = |k: &usize| run.segments.get(*k).and_then(|s| s.bends.si()).unwrap_or(0.0);
                let worst = (first..=last).max_by(|a, b| turns(a).total_cmp(&turns(b))).unwrap_or(first);
                let points = run.segments.get(worst).and_then(|s| s.pull_points.value()).map_or(0, |n| n.0);
                let path = format!("{}.route.{}", run.field, worst + 1);
                findings
                    .fails(format!(
                        "run \"{}\", {parts}: {} of bends between pull points, at most {}",
                        run.name,
                        say(study, bends),
                        say(study, &stretch.most)
                    ))
                    .at(format!("{path}.bends"), "bends set here")
                    .because([
                        bends.term("bends", &units::DEGREE_UNIT),
                        stretch.most.term("most", &units::DEGREE_UNIT),
                    ])
                    .figure(&["raceways", &run.name, &(first + 1).to_string(), "bends"])
                    .remedy(Remedy::set(
                        "one more conduit body or box to pull through",
                        format!("{path}.pull_points"),
                        (points + 1).to_string(),
                    ));
            }
            (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                let subject = format!("run \"{}\", {parts}", run.name);
                findings.undecided_for(&subject, "how many bends it has is not known", gap.clone());
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn bends(first: &str, second: &str, points: &str) -> String {
        verdict(
            "W22",
            &[
                ("run.down.route.1.bends", first),
                ("run.down.route.2.bends", second),
                ("run.down.route.1.pull_points", points),
            ],
        )
    }

    /// The fitting from plastic to metal is no place to pull at, so both parts count together.
    #[test]
    fn four_quarter_turns_from_box_to_box() {
        assert_eq!(bends("\"180°\"", "\"180°\"", "0"), "passes");
        assert_eq!(bends("\"180°\"", "\"181°\"", "0"), "breach");
        assert_eq!(bends("\"540°\"", "\"180°\"", "1"), "passes");
        assert_eq!(bends("\"541°\"", "\"180°\"", "1"), "breach");
        assert_eq!(bends("\"unknown\"", "\"90°\"", "0"), "undecided breach");
    }

    #[test]
    fn a_box_ends_the_stretch() {
        let change = ("run.down.route.2.insulation", "\"thwn-2\"");
        let both = [("run.down.route.1.bends", "\"270°\""), ("run.down.route.2.bends", "\"270°\"")];
        assert_eq!(verdict("W22", &both), "breach");
        assert_eq!(verdict("W22", &[both[0], both[1], change]), "passes");
    }
}
