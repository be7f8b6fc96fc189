//! # Plastic pipe lengthens with heat
//!
//! What it checks: rigid plastic raceway above ground: a quarter of an inch or more of change between fixed ends asks
//! for an expansion fitting. In sun it gets 30 °F hotter than the air.
//!
//! Why it matters: without a fitting the pipe pulls its boxes off the wall in summer and out of its couplings in
//! winter, and the conductors hang bare in the gap.
//!
//! Known limits: each part of a route is taken as one straight piece between fixed ends.
//!
//! Source: NEC 2023, 352.44 (read second-hand).
//!
//! Fails: 12 ft on a wall in sun with a swing of 100 °F: 0.63 in.
//! Passes: 4 ft of it: 0.21 in.

use crate::words::say;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W11",
    name: "plastic-lengthens",
    severity: Severity::Note,
    clause: nec("2023", "352.44", Standing::SecondHand),
    text: include_str!("plastic_lengthens.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for row in &schedule.raceways {
        let Some(run) = study.design.system.runs.get(row.run.0) else { continue };
        let part = format!("run \"{}\", part {}", run.name, row.segment + 1);
        let number = (row.segment + 1).to_string();
        match &row.expansion {
            Some(Fact::Known(expansion)) if expansion.value.fitting => {
                let change = &expansion.value.change;
                findings
                    .fails(format!(
                        "{part}: its plastic pipe changes by {}, so it needs an expansion fitting",
                        say(study, change)
                    ))
                    .at(format!("{}.route.{number}", run.field), "this part")
                    .because([change.term("change", &units::INCH_UNIT)])
                    .figure(&["raceways", &run.name, &number, "expansion"])
                    .explains(
                        "Mount it open to the amount the day's temperature asks for, as its maker says.",
                    );
            }
            Some(Fact::Unknown(gap)) => {
                findings.undecided_for(
                    &part,
                    "whether its plastic pipe needs an expansion fitting is not known",
                    gap.clone(),
                );
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    /// 3.38e-5 · 12 · 130 °F per foot: 0.0527 in a foot; a quarter inch at 4.74 ft.
    fn wall(length: &str, swing: &str) -> String {
        let part = format!("{{ length = {length}, where = \"in sun\", raceway = \"pvc-40\"{swing} }}");
        verdict("W11", &[("run.down.route.1", &part)])
    }

    #[test]
    fn a_quarter_inch_decides() {
        assert_eq!(wall("\"4.7 ft\"", ", swing = \"55.5556 K\""), "passes");
        assert_eq!(wall("\"4.8 ft\"", ", swing = \"55.5556 K\""), "note");
        assert_eq!(wall("\"12 ft\"", ", swing = \"55.5556 K\""), "note");
        assert_eq!(wall("\"12 ft\"", ""), "undecided note");
    }
}
