//! # The raceway is not made for the place
//!
//! What it checks: every part of a route outdoors or underground: flexible metal conduit lies in no wet place; flexible
//! liquidtight raceways are buried only where they are marked for it. Under IEC 60364: pliable conduit, trunking and tray
//! are not laid in the ground.
//!
//! Why it matters: water runs into flexible metal conduit at every turn of its strip, stands in its lowest bend and
//! follows the conductors into the inverter.
//!
//! Known limits: whether a flexible liquidtight raceway is marked for burial, or tubing is coated for the soil, cannot be
//! stated. Support and bends are judged by their own rules.
//!
//! Source: NEC 2023, 348.12(1), 350.10(3), 356.10(4); IEC 60364-5-52, 522.6 and 522.8.10, IEC 61386-24 (all from memory).
//!
//! Fails: FMC on an outside wall.
//! Passes: LFMC there, PVC in the ground.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use tables::RacewayKind;
use wiring::{Raceway, RuleSet, Where};

pub(crate) static RULE: Rule = Rule {
    code: "W21",
    name: "raceway-not-for-place",
    severity: Severity::Breach,
    clause: nec("2023", "348.12(1), 350.10(3), 356.10(4)", Standing::Remembered),
    text: include_str!("raceway_not_for_place.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let iec = study::rule_set(&study.design.system) == Some(RuleSet::Iec60364);
    for run in &study.design.system.runs {
        for (k, segment) in run.segments.iter().enumerate() {
            let (Some(place), Some(Raceway::Kind(kind))) = (segment.place.value(), segment.raceway.value())
            else {
                continue;
            };
            let buried = *place == Where::Underground;
            let (says, instead) = match kind {
                RacewayKind::Fmc if buried => ("flexible metal conduit is not buried", "pvc-40"),
                RacewayKind::Fmc if place.is_wet() => ("flexible metal conduit lies in no wet place", "lfmc"),
                RacewayKind::Lfmc | RacewayKind::LfncB if buried => {
                    ("flexible liquidtight raceway is buried only where it is marked for that", "pvc-40")
                }
                RacewayKind::PliableConduit if buried => {
                    ("pliable conduit is pressed flat in the ground", "buried conduit")
                }
                RacewayKind::Trunking if buried => ("trunking is not buried", "buried conduit"),
                RacewayKind::CableTray if buried => ("a tray is not buried", "buried conduit"),
                _ => continue,
            };
            // Raceways of the other rules have a rule of their own.
            if kind.is_metric() != iec {
                continue;
            }
            let path = format!("{}.raceway", segment.field);
            findings
                .fails(format!("run \"{}\", part {}: {says}", run.name, k + 1))
                .at(path.as_str(), "raceway set here")
                .remedy(Remedy::set(
                    instead.replace("pvc", "PVC").replace("lfmc", "LFMC"),
                    path,
                    format!("\"{instead}\""),
                ));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn each_flexible_kind_by_its_place() {
        let of = |kind: &str, place: &str| {
            let part = format!(
                "{{ length = \"6 ft\", where = \"{place}\", depth = \"24 in\", under = \"open ground\", raceway = \"{kind}\" }}"
            );
            verdict("W21", &[("run.down.route.1", &part)])
        };
        for (kind, place, wanted) in [
            ("fmc", "indoors", "passes"),
            ("fmc", "damp indoors", "passes"),
            ("fmc", "outdoors", "breach"),
            ("fmc", "in sun", "breach"),
            ("fmc", "underground", "breach"),
            ("lfmc", "in sun", "passes"),
            ("lfmc", "underground", "breach"),
            ("lfnc-b", "underground", "breach"),
            ("lfnc-b", "outdoors", "passes"),
            ("pvc-40", "underground", "passes"),
            ("emt", "in sun", "passes"),
        ] {
            assert_eq!(of(kind, place), wanted, "{kind} {place}");
        }
        let of = |kind: &str, place: &str| {
            let part = format!("{{ length = \"7 m\", where = \"{place}\", raceway = \"{kind}\" }}");
            crate::trial::metric_verdict("W21", &[("run.main board to hybrid.route.1", &part)])
        };
        for (kind, place, wanted) in [
            ("pliable conduit", "underground", "breach"),
            ("pliable conduit", "indoors", "passes"),
            ("trunking", "underground", "breach"),
            ("cable tray", "underground", "breach"),
            ("buried conduit", "underground", "passes"),
            ("plastic conduit", "outdoors", "passes"),
        ] {
            assert_eq!(of(kind, place), wanted, "{kind} {place}");
        }
        // Buried it needs a pipe, not another flexible kind.
        let part = "{ length = \"6 ft\", where = \"underground\", depth = \"24 in\", under = \"open ground\", raceway = \"fmc\" }";
        let found = crate::trial::of("W21", &[("run.down.route.1", part)]);
        assert_eq!(&*found[0].remedies[0].says, "PVC-40");
    }
}
