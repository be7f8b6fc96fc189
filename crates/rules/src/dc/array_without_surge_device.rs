//! # A long way from the modules without surge protective devices
//!
//! What it checks: the longest way from the modules to each inverter or charge controller. Under the metric rules it may
//! not reach a length that the strokes of lightning of the place give; from there a device stands at the unit, and beyond
//! 10 m a second one where the conductors leave the modules. Under the NEC, which asks for none there, a way beyond 10 m
//! without both is worth knowing.
//!
//! Why it matters: a stroke a few hundred yards away drives thousands of volts into a long pair of conductors. It ends in
//! the inverter, or it punctures insulation that then burns on every sunny day.
//!
//! Known limits: Devices do not stop a direct stroke, and work only with leads shorter than half a metre to a ground close by.
//! A lightning protection system on the house, and the distance to it, is a matter of its own (IEC 62305).
//!
//! Source: IEC 60364-7-712:2017, 712.443.102; IEC 61643-32:2017 (both from memory). Under the NEC common practice.
//!
//! Fails: 60 m of conductors where 2 strokes fall on each square kilometre in a year, and no device.
//! Passes: 50 m there; a device at the unit and one at the modules.

use crate::words::say;
use crate::{Change, Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, iec, practice, units};
use study::{ArrayWatch, Study};

pub(crate) static RULE: Rule = Rule {
    code: "D15",
    name: "array-without-surge-device",
    severity: Severity::Breach,
    clause: iec("IEC 60364-7-712", "2017", "712.443", Standing::Remembered),
    text: include_str!("array_without_surge_device.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() {
        return;
    }
    for watch in study::array_watches(study) {
        // A way that is not known is told by the rule on routes.
        let Fact::Known(way) = &watch.way else { continue };
        let both_ends = way.si() > wiring::BOTH_ENDS_BEYOND_M;
        let missing = ends(&watch, both_ends);
        if missing.known.is_empty() && missing.unknown.is_none() {
            continue;
        }
        let length = say(study, way);
        match &watch.way_without {
            None if both_ends => {
                let says = match &missing.unknown {
                    Some(_) if missing.known.is_empty() => {
                        format!("whether surges are taken at \"{}\" is not known", watch.unit)
                    }
                    _ => format!("no surge protective device {}", missing.known.join(" and ")),
                };
                let finding = findings.fails_as(
                    Severity::Note,
                    format!("modules of \"{}\": {length} of conductors, {says}", watch.unit),
                );
                finding.clause = practice("surge protective devices at both ends of long array runs");
                finding.at(format!("unit.{}", watch.unit), "surges end here");
                offer(study, finding, &watch, &missing);
            }
            None => {}
            Some(Fact::Known(most)) if way.si() < most.si() => {}
            Some(Fact::Known(most)) if !missing.known.is_empty() => {
                let finding = findings.fails(format!(
                    "modules of \"{}\": {length} of conductors without a surge protective device {}, at most {} may be",
                    watch.unit,
                    missing.known.join(" and "),
                    say(study, most)
                ));
                finding.at(format!("unit.{}", watch.unit), "surges end here").because([
                    way.term("longest way", &units::METER),
                    most.term("at most without", &units::METER),
                ]);
                offer(study, finding, &watch, &missing);
            }
            Some(longest) => {
                let gap = match (missing.unknown, longest.gap()) {
                    (Some(gap), Some(more)) => gap.and(more),
                    (Some(gap), None) => gap,
                    (None, Some(gap)) => gap.clone(),
                    (None, None) => continue,
                };
                let thing = format!("modules of \"{}\"", watch.unit);
                let says = "whether their conductors want surge protective devices cannot be said";
                findings.undecided_for(&thing, says, gap);
            }
        }
    }
}

/// Ends without a device, in words with what a device there is connected at, and what is not known of the others.
struct Missing {
    known: Vec<String>,
    at: Vec<String>,
    unknown: Option<Gap>,
}

fn ends(watch: &ArrayWatch, both: bool) -> Missing {
    let mut missing = Missing { known: Vec::new(), at: Vec::new(), unknown: None };
    let at_modules = both.then_some((&watch.surges_at_modules, "where they leave the modules".to_string()));
    let here = Some((&watch.surges_here, format!("at \"{}\"", watch.unit)));
    for (fact, words) in [here, at_modules].into_iter().flatten() {
        match fact {
            Fact::Known(name) if name.value.is_empty() => {
                missing.at.extend(if missing.known.is_empty() && words.starts_with("at ") {
                    vec![watch.unit.to_string()]
                } else {
                    watch.strings.iter().map(ToString::to_string).collect()
                });
                missing.known.push(words);
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                missing.unknown = Some(missing.unknown.map_or(gap.clone(), |more| more.and(gap)));
            }
        }
    }
    missing
}

fn offer(study: &Study, finding: &mut crate::Finding, watch: &ArrayWatch, missing: &Missing) {
    finding.explains(
        "A device takes what lightning near by drives into the conductors, with leads shorter than half a metre; none stops a direct stroke.",
    );
    let strings = study.strings.iter().filter(|string| watch.strings.contains(&string.name));
    let reached = strings.map(|string| string.cold_voc.si()).collect::<Option<Vec<f64>>>();
    // Labels come in steps of some hundred volts.
    let Some(volts) =
        reached.and_then(|all| all.into_iter().reduce(f64::max)).map(|v| (v / 100.0).ceil() * 100.0)
    else {
        return;
    };
    if missing.at.is_empty() {
        return;
    }
    let add = |at: &String| Change::Add {
        table: "surge".into(),
        name: format!("surges at {at}"),
        fields: vec![
            ("at".into(), format!("\"{at}\"")),
            ("protects".into(), "\"module circuits\"".into()),
            ("type".into(), "\"type 2\"".into()),
            ("volts".into(), format!("\"{volts} V\"")),
        ],
    };
    finding.remedy(Remedy {
        says: format!("surge protective devices of {volts} V for the module circuits of \"{}\"", watch.unit),
        changes: missing.at.iter().map(add).collect(),
    });
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{of, study_of, verdict};

    const IEC: (&str, &str) = ("place.rules", "\"iec-60364\"");
    const TWO: (&str, &str) = ("place.lightning", "2");
    /// The device of the trial house where conductors leave the modules, taken elsewhere.
    const AWAY: (&str, &str) = ("surge.far end.at", "\"panel\"");
    const NONE: (&str, &str) = ("inverter.i.surge_protection", "\"no\"");

    fn long(metres: &str) -> (&'static str, String) {
        ("run.down.route.1.length", format!("\"{metres} m\""))
    }

    fn device(at: &str, volts: &str) -> String {
        format!(
            "[[surge]]\nname = \"at {at}\"\nat = \"{at}\"\nprotects = \"module circuits\"\ntype = \"type 2\"\nvolts = {volts}\nprice = 40"
        )
    }

    /// 115 / 2 = 57.5 m; the second part of the way has 10 ft, 3.05 m.
    #[test]
    fn under_metric_rules_the_strokes_of_the_place_give_the_length() {
        let says = |metres: &str, more: &[(&str, &str)]| {
            let (field, value) = long(metres);
            let mut changes = vec![IEC, TWO, NONE, AWAY, (field, value.as_str())];
            changes.extend(more);
            verdict("D15", &changes)
        };
        assert_eq!(says("54", &[]), "passes");
        assert_eq!(says("55", &[]), "breach");
        assert_eq!(says("30", &[("place.lightning", "8")]), "breach");
        assert_eq!(says("55", &[("place.lightning", "0")]), "passes");
        assert_eq!(says("55", &[("place.lightning", "")]), "undecided breach");
        // Other buildings: 450 / 2 = 225 m.
        assert_eq!(says("55", &[("place.dwelling", "\"other\"")]), "passes");
        let (here, there) = (device("inverter", "\"600 V\""), device("row", "\"600 V\""));
        assert_eq!(says("55", &[("+", &here)]), "breach");
        assert_eq!(says("55", &[("+", &here), ("+", &there)]), "passes");
        assert_eq!(says("55", &[("inverter.i.surge_protection", "\"yes\""), ("+", &there)]), "passes");
        assert_eq!(says("55", &[("inverter.i.surge_protection", ""), ("+", &there)]), "undecided breach");
    }

    #[test]
    fn under_the_nec_a_long_way_without_devices_is_worth_knowing() {
        assert_eq!(verdict("D15", &[]), "passes");
        assert_eq!(verdict("D15", &[NONE]), "note");
        assert_eq!(verdict("D15", &[AWAY]), "note");
        let short = [NONE, ("run.down.route.1.length", "\"20 ft\"")];
        assert_eq!(verdict("D15", &short), "passes");
        assert_eq!(of("D15", &[NONE])[0].clause.document, "");
    }

    /// Eight modules reach 453 V: a device of 440 V would lie above its voltage on every cold morning.
    #[test]
    fn a_device_on_the_way_limits_the_string() {
        let says = |volts: &str| verdict("D01", &[("+", &device("inverter", volts))]);
        assert_eq!(says("\"600 V\""), "passes");
        assert_eq!(says("\"440 V\""), "danger");
        assert_eq!(says("\"unknown\""), "undecided danger");
        let found = of("D01", &[("+", &device("row", "\"440 V\""))]);
        assert!(found[0].says.contains("surge protective device"), "{}", found[0].says);
        // One on alternating current lies at another voltage.
        let ac = device("inverter", "\"150 V\"").replace("module circuits", "alternating current");
        assert_eq!(verdict("D01", &[("+", &ac)]), "passes");
        let study = study_of(&[("+", &device("row", "\"600 V\""))], study::Depth::WithoutYear);
        assert!(
            study
                .bill
                .lines
                .iter()
                .any(|line| line.item.contains("surge protective device for module circuits"))
        );
    }
}
