//! # A run joins two things between which there is no circuit
//!
//! What it checks: that every run carries a circuit of the system: its two ends, or what it is said to carry, are those of one.
//!
//! Why it matters: a run with a wrong end leaves its circuit without a way, and conductors are bought and pulled for nothing.
//!
//! Known limits: a run kept empty for later is found as well; it is no circuit yet.
//!
//! Source: common practice, no source: every run of the schedule carries a conductor.
//!
//! Fails: a run from an inverter to the bank of another one.
//! Passes: a run between an inverter and the panel it feeds.

use crate::{Findings, Rule, Severity};
use quantity::practice;
use study::Study;
use wiring::RunId;

pub(crate) static RULE: Rule = Rule {
    code: "W25",
    name: "run-joins-nothing",
    severity: Severity::Note,
    clause: practice("every run carries a circuit"),
    text: include_str!("run_joins_nothing.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let graph = &study.design.graph;
    for (k, run) in study.design.system.runs.iter().enumerate() {
        if graph.sharing(RunId(k)).next().is_some() {
            continue;
        }
        let (place, says) = match &run.between {
            Some([a, b]) if run.carries.is_empty() => {
                ("between", format!("between \"{a}\" and \"{b}\", and no circuit joins these two"))
            }
            _ if run.carries.is_empty() => {
                ("between", "and neither its ends nor what it carries are stated".into())
            }
            _ => (
                "carries",
                format!("for {}, and no circuit of these takes it", crate::words::named(&run.carries)),
            ),
        };
        findings
            .fails(format!("run \"{}\" lies {says}", run.name))
            .at(format!("{}.{place}", run.field), "joins nothing")
            .explains("Its conductors are not on the purchase list. Name the two things a circuit leads between, as the schedule has them.");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, study_of, verdict};

    #[test]
    fn a_run_with_a_wrong_end_is_found_at_its_ends_and_the_rest_is_sized() {
        assert_eq!(verdict("W25", &[]), "passes");
        let wrong = [
            ("run.out.between", r#"["inverter", "second"]"#),
            ("+", "[[unit]]\nname = \"second\"\ninverter = \"i\"\nroom = \"corner\"\nbank = \"bank\""),
        ];
        assert_eq!(verdict("W25", &wrong), "note");
        assert_eq!(of("W25", &wrong)[0].at[0].field.as_str(), "run.out.between");
        assert_eq!(verdict("W05", &wrong), "undecided breach");
        let study = study_of(&wrong, study::Depth::WithoutYear);
        let sized =
            study.wiring.as_ref().map_or(0, |s| s.circuits.iter().filter(|c| c.conductor.is_known()).count());
        // String, four battery units, bank to inverter.
        assert_eq!(sized, 6);
    }

    /// One thing wrong each time: a finding stands at it, and every other circuit keeps its size.
    #[test]
    fn bad_wiring_is_found_at_its_place_and_the_rest_is_sized() {
        let clean = study_of(&[], study::Depth::WithoutYear);
        let sizes = |study: &study::Study| -> Vec<_> {
            let schedule = study.wiring.as_ref().ok();
            schedule
                .map(|s| s.circuits.iter().map(|c| (c.name.clone(), c.gauge().value().copied())).collect())
                .unwrap_or_default()
        };
        let before = sizes(&clean);
        let ac_breaker = "{ kind = \"ac breaker\", rating = \"200 A\", volts = \"125 V\", polarised = \"no\", interrupts = \"20 kA\" }";
        let cases: [(&str, &str, &str, &str, &str); 4] = [
            ("run.out.route.1.length", "\"unknown\"", "W05", "run.out.route.1.length", "inverter to panel"),
            ("run.bus.route.1.trade_size", "\"3/8\"", "W09", "run.bus.route.1", "bank to inverter"),
            ("run.bus.device", ac_breaker, "W07", "run.bus.device", "bank to inverter"),
            ("run.out.route", "[]", "W05", "unit.inverter", "inverter to panel"),
        ];
        for (field, value, code, place, circuit) in cases {
            let found = of(code, &[(field, value)]);
            assert!(!found.is_empty(), "{field}: nothing of {code}");
            let at: Vec<&str> = found[0].at.iter().map(|at| at.field.as_str()).collect();
            assert!(at.iter().any(|at| at.starts_with(place)), "{field}: {at:?}");
            let after = sizes(&study_of(&[(field, value)], study::Depth::WithoutYear));
            for (was, is) in before.iter().zip(&after).filter(|(was, _)| &*was.0 != circuit) {
                assert_eq!(was, is, "{field}");
            }
        }
    }

    /// A size or an insulation that is not made is told by the reader, with what there is, and costs no other circuit its size.
    #[test]
    fn words_that_mean_nothing_are_told_with_what_is_allowed() {
        for (field, value, allowed) in [
            ("run.bus.route.1.trade_size", "\"1/8\"", "3/8"),
            ("run.down.insulation", "\"cloth\"", "rhw-2 use-2"),
        ] {
            let design = design::Design::of_text(&crate::trial::text(&[(field, value)]));
            let problem = design.problems.iter().find(|p| !p.labels.is_empty());
            let said = problem.map(|p| format!("{} {}", p.says, p.help)).unwrap_or_default();
            assert!(said.contains(allowed), "{field}: {said}");
            let study = study::Study::of(
                std::sync::Arc::new(design),
                None,
                study::Depth::WithoutYear,
                &mut study::Memo::default(),
            );
            let sized = study
                .wiring
                .as_ref()
                .map_or(0, |s| s.circuits.iter().filter(|c| c.conductor.is_known()).count());
            assert!(sized >= 6, "{field}: {sized}");
        }
    }
}
