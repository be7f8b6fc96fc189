//! # Module circuits share a raceway with others
//!
//! What it checks: no raceway holds module circuits together with battery or house circuits.
//!
//! Why it matters: whoever opens a box of house wiring with everything switched off must not find conductors in it that
//! no switch can make dead by day.
//!
//! Known limits: a barrier that is stated is believed; that it reaches through every box is for whoever looks.
//!
//! Source: NEC 2023, 690.31(B) (from memory).
//!
//! Fails: strings and the battery circuit in one run of EMT.
//! Passes: each in a run of its own, or a fixed barrier between them.

use crate::{Findings, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "W12",
    name: "circuits-mixed",
    severity: Severity::Breach,
    clause: nec("2023", "690.31(B)", Standing::Remembered),
    text: include_str!("circuits_mixed.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    let mut told = None;
    for row in schedule.raceways.iter().filter(|row| row.mixes_pv) {
        let Some(run) = study.design.system.runs.get(row.run.0) else { continue };
        if told == Some(row.run) {
            continue;
        }
        told = Some(row.run);
        findings
            .fails(format!("run \"{}\": module circuits share its raceway with other circuits", run.name))
            .at(run.field.as_str(), "this run")
            .explains("Give the module circuits a raceway and boxes of their own, or a fixed barrier through all of it.");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn strings_and_battery_keep_apart() {
        assert_eq!(verdict("W12", &[]), "passes");
        let shared =
            [("run.down.between", r#"["bank", "inverter"]"#), ("run.bus.between", r#"["bank", "panel"]"#)];
        assert_eq!(verdict("W12", &shared), "breach");
    }

    #[test]
    fn a_barrier_in_every_part_keeps_them_apart() {
        let shared =
            [("run.down.between", r#"["bank", "inverter"]"#), ("run.bus.between", r#"["bank", "panel"]"#)];
        let with = |barriers: &[(&str, &str)]| verdict("W12", &[&shared, barriers].concat());
        let first = ("run.down.route.1.barrier", "\"yes\"");
        assert_eq!(with(&[first]), "breach");
        assert_eq!(with(&[first, ("run.down.route.2.barrier", "\"no\"")]), "breach");
        assert_eq!(with(&[first, ("run.down.route.2.barrier", "\"yes\"")]), "passes");
    }

    #[test]
    fn lying_open_they_share_no_raceway() {
        let open = [
            ("run.down.between", r#"["bank", "inverter"]"#),
            ("run.bus.between", r#"["bank", "panel"]"#),
            ("run.down.route", r#"[{ length = "10 ft", where = "indoors", raceway = "open" }]"#),
        ];
        assert_eq!(verdict("W12", &open), "passes");
    }
}
