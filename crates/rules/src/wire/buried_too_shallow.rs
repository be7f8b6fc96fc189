//! # A buried run lies too shallow
//!
//! What it checks: the cover over every underground part against the least for its raceway and what is above it.
//!
//! Why it matters: a spade, a fence post, a tiller. A trench is cheap while it is open and dear afterwards; the
//! inspector looks before it is filled.
//!
//! Known limits: circuits up to 1000 V; rock and concrete encasement are not seen.
//!
//! Source: NEC 2023, table 300.5(A) (from memory).
//!
//! Fails: PVC conduit 12 in under a lawn.
//! Passes: the same 18 in deep.

use crate::words::say;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Length, Standing, Traced, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W10",
    name: "buried-too-shallow",
    severity: Severity::Breach,
    clause: nec("2023", "table 300.5(A)", Standing::Remembered),
    text: include_str!("buried_too_shallow.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for row in &schedule.raceways {
        let Some(run) = study.design.system.runs.get(row.run.0) else { continue };
        let Some(cover) = &row.cover else { continue };
        let part = format!("run \"{}\", part {}", run.name, row.segment + 1);
        let path = format!("{}.route.{}.depth", run.field, row.segment + 1);
        let cover = match cover {
            Fact::Known(cover) => &cover.value,
            Fact::Unknown(gap) => {
                findings.undecided_for(&part, "how deep it must lie is not known", gap.clone());
                continue;
            }
        };
        let Some(least) = &cover.least else {
            findings
                .fails(format!("{part}: conductors without a raceway may not be buried there at any depth"))
                .at(format!("{}.route.{}.raceway", run.field, row.segment + 1), "raceway set here");
            continue;
        };
        match (&cover.planned, &cover.reaches) {
            (_, Fact::Known(reaches)) if reaches.value => {}
            (Fact::Known(planned), Fact::Known(_)) => {
                let depth = in_words(least);
                findings
                    .fails(format!("{part}: {} of cover planned, at least {} asked", say(study, planned), say(study, least)))
                    .at(path.clone(), "depth set here")
                    .because([
                        planned.term("planned", &units::INCH_UNIT),
                        least.term("at least", &units::INCH_UNIT),
                    ])
                    .explains("Cover counts from the top of the raceway; the trench is deeper by its diameter. Have it seen before it is filled.")
                    .remedy(Remedy::set(format!("{} of cover", say(study, least)), path, format!("\"{depth}\"")));
            }
            (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                findings.undecided_for(&part, "how deep it lies is not known", gap.clone());
            }
        }
    }
}

/// The table is in whole inches.
fn in_words(least: &Traced<Length>) -> String {
    let inches = units::INCH_UNIT.of_si(quantity::Measure::si(least.value));
    format!("{} in", (inches * 100.0).round() / 100.0)
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn an_inch_decides() {
        let depth = |depth| verdict("W10", &[("run.down.route.1.depth", depth)]);
        assert_eq!(depth("\"17 in\""), "breach");
        assert_eq!(depth("\"18 in\""), "passes");
        assert_eq!(depth("\"19 in\""), "passes");
        assert_eq!(depth("\"unknown\""), "undecided breach");
    }

    #[test]
    fn the_remedy_is_the_least_cover() {
        let found = of("W10", &[("run.down.route.1.depth", "\"12 in\"")]);
        assert!(found[0].remedies[0].says.contains("18 in"), "{:?}", found[0].remedies);
    }

    #[test]
    fn what_lies_above_must_be_known() {
        assert_eq!(verdict("W10", &[("run.down.route.1.under", "")]), "undecided breach");
        assert_eq!(verdict("W10", &[("run.down.route.1.under", "\"road\"")]), "breach");
    }
}
