//! # A building has no grounding electrode, or a single rod
//!
//! What it checks: that every building with a panel names a grounding electrode, and that a rod or plate is not its only
//! one, unless its measured resistance to earth is 25 ohm or less. By IEC 60364: that the house has an electrode of its own
//! where its supply is TT, or where it can run by itself, since the earth of the utility must not be relied upon then.
//!
//! Why it matters: the electrode holds the ground of the building near the ground one stands on, and takes what lightning
//! brings. A feeder's equipment ground does not do that for a second building, nor does an electrode at the array.
//!
//! Known limits: by IEC 60364 no number of rods and no resistance is asked here (TT: see G20). A building fed by one branch circuit alone needs none (250.32(A), exception); a panel is taken
//! as more than that. An electrode that names no building counts for that of the panel it ends at.
//!
//! Source: NEC 2023, 250.50, 250.32(A), 250.53(A)(2); IEC 60364-5-55:2011, 551.4.3.2.1 (from memory).
//!
//! Fails: a workshop with a panel and one rod of unknown resistance.
//! Passes: two rods; one rod of 18 ohm; a concrete-encased electrode.

use crate::words::above;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{FieldPath, Gap, Standing, WhoKnows, iec, nec};
use study::Study;
use wiring::ElectrodeKind;

pub(crate) static RULE: Rule = Rule {
    code: "G03",
    name: "electrodes-missing",
    severity: Severity::Breach,
    clause: nec("2023", "250.50, 250.32(A), 250.53(A)(2)", Standing::Remembered),
    text: include_str!("electrodes_missing.rs"),
    check,
};

/// Resistance up to which a rod may stand alone.
const ALONE: f64 = 25.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    if study.wiring.is_err() {
        return;
    }
    if study::is_iec(study) {
        return of_its_own(study, findings);
    }
    let mut buildings: Vec<&str> = Vec::new();
    for panel in &system.panels {
        if !buildings.contains(&&*panel.building) {
            buildings.push(&panel.building);
        }
    }
    for building in buildings {
        let panels: Vec<&str> =
            system.panels.iter().filter(|p| *p.building == *building).map(|p| &*p.name).collect();
        let of_it: Vec<_> = system
            .electrodes
            .iter()
            .filter(|e| !e.at_array)
            .filter(
                |e| if e.building.is_empty() { panels.contains(&&*e.at) } else { *e.building == *building },
            )
            .collect();
        let called = if building.is_empty() {
            format!("the place of panel \"{}\"", panels.first().unwrap_or(&""))
        } else {
            format!("building \"{building}\"")
        };
        match of_it.as_slice() {
            [] => {
                let field = FieldPath::new(format!("panel.{}", panels.first().unwrap_or(&"")));
                let gap = Gap::one(field, WhoKnows::Electrician);
                findings.undecided(
                    format!("{called} has a panel, and no grounding electrode is named for it"),
                    gap,
                );
            }
            [one] => {
                let weak = matches!(one.kind.value(), Some(ElectrodeKind::Rod | ElectrodeKind::Plate));
                let enough = one.resistance.si().is_some_and(|ohms| !above(ohms, ALONE));
                if weak && !enough {
                    let kind = one.kind.value().map_or("rod", |kind| kind.in_words());
                    let second = format!("{} 2", one.name);
                    let mut fields = vec![
                        ("kind".to_string(), "\"rod\"".to_string()),
                        ("at".into(), format!("\"{}\"", one.at)),
                    ];
                    if !one.building.is_empty() {
                        fields.push(("building".into(), format!("\"{}\"", one.building)));
                    }
                    findings
                        .fails(format!(
                            "{called} has a {kind} as its only electrode, and it is not known to be 25 ohm or less"
                        ))
                        .at(one.field.as_str(), "alone")
                        .remedy(Remedy {
                            says: "a second rod at least 6 ft from the first".into(),
                            changes: vec![crate::Change::Add { table: "electrode".into(), name: second, fields }],
                        });
                }
            }
            _ => {}
        }
    }
}

/// An electrode of the house's own, by the metric rules.
fn of_its_own(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let by_itself =
        system.units_in_place.iter().any(|unit| !unit.bank.is_empty()) || !system.engines.is_empty();
    let tt = system.utility.earthing.value() == Some(&wiring::Arrangement::Tt);
    if !system.electrodes.is_empty() || !(by_itself || tt) {
        return;
    }
    let why = if tt {
        "the supply brings no protective conductor (TT)"
    } else {
        "while it runs by itself the earth of the utility must not be relied upon"
    };
    let gap = Gap::one(FieldPath::new("electrode"), WhoKnows::Electrician);
    let finding = findings.undecided(format!("no earth electrode of the house is named, and {why}"), gap);
    finding.clause = iec("IEC 60364-5-55", "2011", "551.4.3.2.1", Standing::Remembered);
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn one_rod_is_not_enough_unless_it_was_measured() {
        assert_eq!(verdict("G03", &[]), "passes");
        let one = ("electrode.second rod", "");
        assert_eq!(verdict("G03", &[one]), "breach");
        assert_eq!(verdict("G03", &[one, ("electrode.first rod.resistance", "\"25 ohm\"")]), "passes");
        assert_eq!(verdict("G03", &[one, ("electrode.first rod.resistance", "\"26 ohm\"")]), "breach");
        assert_eq!(verdict("G03", &[one, ("electrode.first rod.kind", "\"concrete-encased\"")]), "passes");
    }

    #[test]
    fn none_at_all_is_asked_for() {
        let none = [("electrode.second rod", ""), ("electrode.first rod", "")];
        assert_eq!(verdict("G03", &none), "undecided breach");
        // One that stands at another building is none of this one.
        let elsewhere = [
            ("electrode.second rod", ""),
            ("+", "[[building]]\nname = \"barn\"\nkind = \"barn\""),
            ("electrode.first rod.building", "\"barn\""),
        ];
        assert_eq!(verdict("G03", &elsewhere), "undecided breach");
    }

    #[test]
    fn by_iec_a_house_that_can_run_by_itself_has_one_of_its_own() {
        use crate::trial::{metric, metric_verdict};
        assert_eq!(metric_verdict("G03", &[]), "passes");
        let none = ("electrode.rod", "");
        assert_eq!(metric_verdict("G03", &[none]), "undecided breach");
        assert_eq!(metric("G03", &[none])[0].clause.clause, "551.4.3.2.1");
        assert!(metric("G03", &[none, ("utility.earthing", "\"TT\"")])[0].says.contains("(TT)"));
    }
}
