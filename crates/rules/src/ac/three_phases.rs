//! # Three phases that are not fed
//!
//! What it checks: every board of 230/400 V: whether a unit or a generator feeds it, which are of one phase here; whether
//! the rules are IEC 60364; whether a load of 400 V stands in a house with batteries; and a unit of one phase that gives
//! into a supply of three.
//!
//! Why it matters: one unit feeds one of three phases. What hangs on the others stays dark when the utility is gone, and a
//! motor for three phases on one burns.
//!
//! Known limits: three units that make three phases together are not computed, nor is which load hangs on which phase: the
//! year counts them together, as most meters do. The largest power on one phase is the utility's to say.
//!
//! Source: common practice, no source; IEC 60364-1, 312.2 and IEC 60364-5-55, 551.7 (from memory).
//!
//! Fails: a board of 230/400 V that an inverter feeds.
//! Passes: one that the utility feeds, and behind the inverter a board of 230 V.

use crate::words::thing;
use crate::{Findings, Rule, Severity};
use design::system::System;
use quantity::practice;
use std::sync::Arc;
use study::Study;
use wiring::RuleSet;

pub(crate) static RULE: Rule = Rule {
    code: "A31",
    name: "three-phases",
    severity: Severity::Breach,
    clause: practice("a source of one phase feeds one phase"),
    text: include_str!("three_phases.rs"),
    check,
};

/// Volts from which a load hangs between two lines.
const BETWEEN_LINES: f64 = 300.0;

/// What feeds a board or a transfer device with one phase, directly or through others: a unit, a generator or a board that
/// has one phase.
fn one_phase_behind(system: &System, name: &str, passed: &mut Vec<Arc<str>>) -> Option<Arc<str>> {
    if passed.iter().any(|one| &**one == name) {
        return None;
    }
    passed.push(name.into());
    let supplies = match (system.panel(name), system.transfer(name)) {
        (Some(panel), _) => &panel.fed_by,
        (None, Some(transfer)) => &transfer.transfer.from,
        (None, None) => return None,
    };
    supplies.iter().find_map(|supply| {
        let one_phase = system.unit(supply).is_some()
            || system.engine(supply).is_some()
            || system.panel(supply).is_some_and(|panel| !panel.three_phase);
        if one_phase { Some(Arc::from(&**supply)) } else { one_phase_behind(system, supply, passed) }
    })
}

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let mut of_utility = None;
    for panel in system.panels.iter().filter(|panel| panel.three_phase) {
        let field = format!("panel.{}.volts", panel.name);
        if study::rule_set(system).is_some_and(|rules| rules != RuleSet::Iec60364) {
            findings
                .fails(format!(
                    "panel \"{}\": three phases of 230/400 V are sized by IEC 60364 alone",
                    panel.name
                ))
                .at(field.as_str(), "set here");
            continue;
        }
        match one_phase_behind(system, &panel.name, &mut Vec::new()) {
            Some(source) => {
                findings
                    .fails(format!(
                        "panel \"{}\" has three phases, and \"{source}\" feeds one of them",
                        panel.name
                    ))
                    .at(field.as_str(), "three phases set here")
                    .at(thing(study, &source), "this source")
                    .explains(
                        "Three units that make three phases together are not computed. Give what the house must keep a board of 230 V of its own behind the unit, and leave the rest on the board of the utility.",
                    );
            }
            None => of_utility = of_utility.or(Some(field)),
        }
    }
    let Some(field) = of_utility else { return };
    if let Some(unit) = system.units_in_place.iter().find(|unit| !unit.ac_input.is_empty()) {
        findings
            .fails_as(
                Severity::Note,
                format!("\"{}\" works on one of three phases; the utility says how much one phase may give and take", unit.name),
            )
            .at(field.as_str(), "three phases set here")
            .explains("Between 3.7 and 5 kVA are common. What hangs on the other two phases is not fed when the utility is gone, and whether the meter sets one phase against another is in the contract.");
    }
    if let Some(load) = system.loads.iter().find(|load| load.volts.si().is_some_and(|v| v > BETWEEN_LINES))
        && !system.banks.is_empty()
    {
        findings
            .fails_as(
                Severity::Doubt,
                format!("load \"{}\" needs three phases, and stays dark when the utility is gone", load.name),
            )
            .at(format!("load.{}.volts", load.name), "asked for here");
    }
}

#[cfg(test)]
mod tests {
    use crate::Severity;
    use crate::trial::{metric, metric_verdict, verdict};

    #[test]
    fn a_board_of_three_phases_is_fed_by_the_utility() {
        const MAIN: (&str, &str) = ("panel.main board.volts", "\"230/400\"");
        assert_eq!(metric_verdict("A31", &[]), "passes");
        let found = metric("A31", &[MAIN]);
        assert_eq!((found.len(), found[0].severity), (1, Severity::Note));
        let found = metric("A31", &[("panel.backed-up board.volts", "\"230/400\"")]);
        assert_eq!(found[0].severity, Severity::Breach);
        assert!(found[0].says.contains("\"hybrid\" feeds one of them"), "{}", found[0].says);
        assert_eq!(verdict("A31", &[("panel.panel.volts", "\"230/400\"")]), "breach");
        // Also where another board or a changeover stands between.
        let boards = "[\"backed-up board\"]";
        let behind = [MAIN, ("panel.backed-up board.volts", "\"230\""), ("panel.main board.fed_by", boards)];
        assert!(metric("A31", &behind).iter().any(|one| one.severity == Severity::Breach));
        // A cooker of 400 V fits the board, and not the battery.
        let cooker = [MAIN, ("load.cooking.volts", "400")];
        assert_eq!(metric_verdict("A06", &cooker), "passes");
        assert_eq!(metric_verdict("A06", &cooker[1..]), "danger");
        assert!(metric("A31", &cooker).iter().any(|one| one.severity == Severity::Doubt));
    }

    /// A second board of three phases behind 63 A: PVC in conduit, three loaded, 38 °C in the garage (40 °C: 0.87): 16 mm²
    /// carries 68 · 0.87 = 59 A, 25 mm² 89 · 0.87 = 77 A. Drop of 20 m at 63 A: 20 m · 0.727 mΩ/m · 1.22 · 63 A = 1.12 V.
    #[test]
    fn a_feeder_of_three_phases_has_three_loaded_conductors_and_no_return() {
        let board = "[[panel]]\nname = \"barn board\"\nfed_by = [\"main board\"]\nvolts = \"230/400\"\nbus = \"80 A\"\nmain = \"63 A\"\nbond = \"no\"\nbuilding = \"house\"\n[[run]]\nname = \"to barn\"\nbetween = [\"main board\", \"barn board\"]\nroute = [{ length = \"20 m\", where = \"indoors\", room = \"garage\", raceway = \"plastic conduit\" }]";
        let changes = [("panel.main board.volts", "\"230/400\""), ("+", board)];
        let study = crate::trial::metric_study(&changes);
        let circuits = &study.wiring.as_ref().expect("sized").circuits;
        let row = circuits.iter().find(|c| &*c.name == "main board to barn board").expect("a feeder");
        assert_eq!(row.gauge().value().map(ToString::to_string).as_deref(), Some("25 mm²"));
        assert_eq!(row.protection.poles, 3);
        let drop = row.drop.si().expect("a drop");
        assert!((drop - 20.0 * 0.727e-3 * 1.22 * 63.0).abs() < 1e-6, "{drop}");
        assert!((row.drop_share.si().expect("a share") - drop / 230.0).abs() < 1e-9);
        // Four conductors and the protective one lie in the conduit.
        let raceway = study.wiring.as_ref().expect("sized").raceways.iter().find(|r| Some(r.run) == row.run);
        let contents = raceway.expect("its raceway").contents.value().expect("known").clone();
        assert_eq!(contents.iter().map(|c| c.count.value.0).collect::<Vec<_>>(), [4, 1]);
        // In a TT house the neutral is opened with the lines.
        let tt = [changes[0], changes[1], ("utility.earthing", "\"TT\"")];
        let study = crate::trial::metric_study(&tt);
        let circuits = &study.wiring.as_ref().expect("sized").circuits;
        let poles = |name: &str| circuits.iter().find(|c| &*c.name == name).map(|c| c.protection.poles);
        assert_eq!((poles("main board to barn board"), poles("main board to hybrid")), (Some(4), Some(2)));
    }
}
