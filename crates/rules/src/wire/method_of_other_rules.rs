//! # A raceway or an insulation of other rules
//!
//! What it checks: under IEC 60364, that no raceway, size or insulation is one of the NEC alone; under the NEC, that no
//! raceway and no size is one of IEC standards.
//!
//! Why it matters: the two worlds make different pipe, different sizes and different conductors. What is written so is
//! sold in no shop there, its fill is in no table of the rules that hold, and an inspector knows neither.
//!
//! Known limits: insulation of IEC under the NEC is told by the rule of insulations. Array cable and PV wire count as one
//! thing under two names.
//!
//! Source: NEC 2023, 300.1 with the articles of chapter 3; IEC 60364-5-52, 521 (both from memory).
//!
//! Fails: EMT under IEC 60364; plastic conduit of 25 mm under the NEC.
//! Passes: plastic conduit under IEC 60364; EMT under the NEC.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use tables::{Insulation, RacewayKind};
use wiring::{Raceway, RuleSet};

pub(crate) static RULE: Rule = Rule {
    code: "W26",
    name: "method-of-other-rules",
    severity: Severity::Breach,
    clause: nec("2023", "300.1(A)", Standing::Remembered),
    text: include_str!("method_of_other_rules.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Some(rules) = study::rule_set(&study.design.system) else { return };
    let iec = rules == RuleSet::Iec60364;
    let carrying = |run: usize| study.design.graph.circuits.iter().any(|c| c.run.is_some_and(|r| r.0 == run));
    let runs = study.design.system.runs.iter().enumerate();
    for (_, run) in runs.filter(|(r, _)| carrying(*r)) {
        let mut told: Option<Insulation> = None;
        for (k, segment) in run.segments.iter().enumerate() {
            let part = format!("run \"{}\", part {}", run.name, k + 1);
            let other = |is_metric: bool| is_metric != iec;
            if let Some(raceway) = segment.raceway.value()
                && raceway.is_metric().is_some_and(other)
            {
                let path = format!("{}.raceway", segment.field);
                let words = raceway.in_words();
                let finding =
                    findings.fails(format!("{part}: {words} is no raceway of {}", rules.in_words()));
                finding.at(path.as_str(), "raceway set here");
                for instead in instead_of(*raceway) {
                    finding.remedy(Remedy::set(*instead, path.as_str(), format!("\"{instead}\"")));
                }
            } else if let Some(size) = &segment.trade_size
                && other(size.value.is_metric())
            {
                let path = format!("{}.trade_size", segment.field);
                let named = if iec { "its outside diameter in millimetres" } else { "inches" };
                findings
                    .fails(format!(
                        "{part}: {} is no size of {}, which names it by {named}",
                        size.value,
                        rules.in_words()
                    ))
                    .at(path.as_str(), "size set here");
            }
            let kind = run.insulation_in(k).value().copied();
            if let Some(kind) = kind
                && iec
                && !kind.is_metric()
                && told != Some(kind)
            {
                told = Some(kind);
                let path = run.insulation_field(k);
                let finding =
                    findings.fails(format!("{part}: {kind} is no insulation of {}", rules.in_words()));
                finding.at(path.as_str(), "insulation set here");
                for word in ["pvc", "xlpe"] {
                    finding.remedy(Remedy::set(word.to_uppercase(), path.as_str(), format!("\"{word}\"")));
                }
            }
        }
    }
}

/// What the other world uses in the place of a raceway.
fn instead_of(raceway: Raceway) -> &'static [&'static str] {
    match raceway {
        Raceway::Open => &[],
        Raceway::MetalClad { .. } => &["sheathed cable"],
        Raceway::Sheathed => &["mc cable"],
        Raceway::Kind(kind) => match kind {
            RacewayKind::Emt | RacewayKind::Rmc => &["steel conduit", "plastic conduit"],
            RacewayKind::Fmc | RacewayKind::Lfmc | RacewayKind::LfncB => &["pliable conduit"],
            RacewayKind::Pvc40 | RacewayKind::Pvc80 => &["plastic conduit", "buried conduit"],
            RacewayKind::SteelConduit => &["emt", "rmc"],
            RacewayKind::PlasticConduit | RacewayKind::Trunking | RacewayKind::CableTray => {
                &["emt", "pvc-40"]
            }
            RacewayKind::PliableConduit => &["lfnc-b"],
            RacewayKind::BuriedConduit => &["pvc-40"],
        },
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{metric, metric_verdict, verdict};

    #[test]
    fn each_world_has_raceways_of_its_own() {
        assert_eq!((verdict("W26", &[]), metric_verdict("W26", &[])), ("passes".into(), "passes".into()));
        let part = "run.main board to hybrid.route.1.raceway";
        for (kind, wanted) in [
            ("emt", "breach"),
            ("pvc-40", "breach"),
            ("mc cable", "breach"),
            ("steel conduit", "passes"),
            ("pliable conduit", "passes"),
            ("sheathed cable", "passes"),
            ("trunking", "passes"),
            ("open", "passes"),
        ] {
            assert_eq!(metric_verdict("W26", &[(part, &format!("\"{kind}\""))]), wanted, "{kind}");
        }
        let found = metric("W26", &[(part, "\"emt\"")]);
        assert!(found[0].says.contains("EMT is no raceway of IEC 60364"), "{}", found[0].says);
        assert_eq!(&*found[0].remedies[1].says, "plastic conduit");
        assert!(found[0].clause.document.starts_with("IEC"));
        assert_eq!(verdict("W26", &[("run.down.route.1.raceway", "\"plastic conduit\"")]), "breach");
    }

    #[test]
    fn sizes_and_insulations_too() {
        let size = "run.main board to hybrid.route.1.trade_size";
        assert_eq!(metric_verdict("W26", &[(size, "\"3/4\"")]), "breach");
        assert_eq!(metric_verdict("W26", &[(size, "\"32 mm\"")]), "passes");
        assert_eq!(verdict("W26", &[("run.bus.route.1.trade_size", "\"25 mm\"")]), "breach");
        let insulation = "run.main board to hybrid.insulation";
        assert_eq!(metric_verdict("W26", &[(insulation, "\"thwn-2\"")]), "breach");
        assert_eq!(metric_verdict("W26", &[(insulation, "\"xlpe\"")]), "passes");
        assert_eq!(metric_verdict("W26", &[("run.north string down.insulation", "\"pv wire\"")]), "passes");
    }
}
