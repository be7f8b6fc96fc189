//! # The insulation is not made for the place
//!
//! What it checks: the insulation of every conductor against each part of its route: the inside of raceways outdoors
//! and underground is wet, and exposed conductors of an array must be PV wire or RHW-2/USE-2.
//!
//! Why it matters: insulation that is not made for sun and water cracks in a few years, on the roof, at several hundred
//! volts.
//!
//! Known limits: single conductors and metal-clad cable; other cables are not a field of the format.
//!
//! Source: NEC 2023, 310.10(C), 300.5(B), 300.9, 690.31(C) (from memory).
//!
//! Fails: THWN-2 lying open on a roof.
//! Passes: PV wire there, THWN-2 in a raceway.

use super::{by_run, circuits};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::Problem;

pub(crate) static RULE: Rule = Rule {
    code: "W04",
    name: "insulation-not-allowed",
    severity: Severity::Breach,
    clause: nec("2023", "310.10(C), 690.31(C)", Standing::Remembered),
    text: include_str!("insulation_not_allowed.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let (Some(run), Some(sized)) = (run, group.first()) else { continue };
        let mut problems = sized.problems.iter().filter_map(|problem| match problem {
            Problem::NotAllowed { segment, because } => Some((segment, because)),
            _ => None,
        });
        let Some((segment, because)) = problems.next() else { continue };
        let finding = findings.fails(format!("{}, part {}: {because}", circuits(&group), segment + 1));
        finding
            .at(run.insulation_field(*segment).as_str(), "insulation set here")
            .at(format!("{}.route.{}", run.field, segment + 1), "this part");
        let pv = study.design.graph.circuits.get(sized.circuit.0).is_some_and(|c| c.demand.is_pv());
        let iec = study::rule_set(&study.design.system) == Some(wiring::RuleSet::Iec60364);
        let words: &[&str] = match (iec, pv) {
            (true, _) => &["array cable"],
            (false, true) => &["pv wire", "rhw-2 use-2"],
            (false, false) => &["xhhw-2", "rhw-2 use-2"],
        };
        for word in words {
            let path = run.insulation_field(*segment);
            finding.remedy(Remedy::set(
                word.to_uppercase().replace("WIRE", "wire").replace("ARRAY CABLE", "array cable"),
                path.as_str(),
                format!("\"{word}\""),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn exposed_conductors_are_made_for_sun() {
        let open = ("run.down.route.1", r#"{ length = "20 ft", where = "in sun", raceway = "open" }"#);
        assert_eq!(verdict("W04", &[open, ("run.down.insulation", "\"thwn-2\"")]), "breach");
        assert_eq!(verdict("W04", &[open, ("run.down.insulation", "\"pv wire\"")]), "passes");
        assert_eq!(verdict("W04", &[open, ("run.down.insulation", "\"rhw-2 use-2\"")]), "passes");
        assert_eq!(verdict("W04", &[("run.down.insulation", "\"thwn-2\"")]), "passes");
    }

    /// 300.5(B), 300.9: what is wet inside is judged part by part.
    #[test]
    fn each_part_has_its_own_insulation() {
        let parts = |open: &str, sheath: &str| {
            let route = format!(
                r#"[
                {{ length = "20 ft", where = "in sun", raceway = "open", insulation = "{open}" }},
                {{ length = "40 ft", where = "outdoors", raceway = "{sheath}", insulation = "thwn-2" }},
                {{ length = "10 ft", where = "indoors", raceway = "mc cable", insulation = "thwn-2" }},
                ]"#
            );
            verdict("W04", &[("run.down.route", &route)])
        };
        assert_eq!(parts("pv wire", "emt"), "passes");
        assert_eq!(parts("thwn-2", "emt"), "breach");
        assert_eq!(parts("pv wire", "mc cable"), "breach");
        assert_eq!(parts("pv wire", "mc cable for wet places"), "passes");
    }

    #[test]
    fn single_conductors_do_not_lie_in_the_ground_without_a_duct() {
        let of = |raceway: &str| {
            let part = format!(
                "{{ length = \"7 m\", where = \"underground\", depth = \"600 mm\", raceway = \"{raceway}\" }}"
            );
            let found = crate::trial::metric("W04", &[("run.main board to hybrid.route.1", &part)]);
            found.iter().any(|one| one.says.contains("without a duct"))
        };
        assert!(of("open") && !of("buried conduit"));
    }

    #[test]
    fn an_unknown_insulation_is_told_as_a_missing_size() {
        assert_eq!(verdict("W06", &[("run.down.insulation", "\"unknown\"")]), "undecided breach");
        let part =
            "{ length = \"20 ft\", where = \"outdoors\", raceway = \"emt\", insulation = \"unknown\" }";
        let found = crate::trial::of("W06", &[("run.down.route.1", part)]);
        assert_eq!(found[0].at[0].field.as_str(), "run.down.route.1.insulation");
        assert!(found[0].undecided.is_some());
        // The rest is still sized.
        let study = crate::trial::study_of(&[("run.down.route.1", part)], study::Depth::WithoutYear);
        let open = |sized: &&wiring::Sized| !sized.conductor.is_known();
        let circuits = &study.wiring.as_ref().expect("sized").circuits;
        assert!(circuits.iter().filter(open).count() < circuits.len() / 2);
        for path in ["run.main board to hybrid.insulation", "run.main board to hybrid.route.1.insulation"] {
            let found = crate::trial::metric("W06", &[(path, "\"unknown\"")]);
            assert_eq!(found[0].at[0].field.as_str(), path);
            assert!(found[0].undecided.is_some() && found.len() == 1);
        }
        assert_eq!(verdict("W06", &[("run.down.route.1.where", "\"unknown\"")]), "undecided breach");
    }
}
