//! # Nothing here decides rapid shutdown
//!
//! What it checks: whether module conductors run on or inside a building. It decides nothing: what shuts them down is
//! not part of the design yet.
//!
//! Why it matters: firefighters open roofs. Where the rule holds, conductors outside the array must fall to a low
//! voltage within half a minute of turning one switch, and that takes devices that must be bought with the modules.
//! Conductors of a ground rack are controlled too once they enter a building by more than a few feet.
//!
//! Known limits: a reminder, not a check; which exceptions hold is the office's to say.
//!
//! Source: NEC 2023, 690.12 (read second-hand).
//!
//! Fails: a string whose route has a part indoors, or whose plane lies on a building.
//! Passes: a rack, and an inverter on a post beside it.

use crate::words::named;
use crate::{Findings, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::Where;

pub(crate) static RULE: Rule = Rule {
    code: "D12",
    name: "rapid-shutdown-not-decided",
    severity: Severity::Note,
    clause: nec("2023", "690.12", Standing::SecondHand),
    text: include_str!("rapid_shutdown_not_decided.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() {
        return;
    }
    let (graph, system) = (&study.design.graph, &study.design.system);
    let mut names = Vec::new();
    let mut places = Vec::new();
    for circuit in graph.circuits.iter().filter(|circuit| circuit.demand.is_pv()) {
        let on_building = graph.node(circuit.from).is_some_and(|node| !node.building.is_empty());
        let run = circuit.run.and_then(|run| system.runs.get(run.0));
        let inside =
            run.is_some_and(|run| run.segments.iter().any(|s| s.place.value() == Some(&Where::Indoors)));
        if on_building || inside {
            names.push(circuit.name.clone());
            if let Some(run) = run {
                places.push(run.field.clone());
            }
        }
    }
    places.dedup();
    if names.is_empty() {
        return;
    }
    let finding = findings.fails(format!(
        "{} run on or inside a building; nothing here decides their rapid shutdown",
        named(&names)
    ));
    for place in places {
        finding.at(place.as_str(), "runs here");
    }
    finding.explains("Ask the building office what it expects, and the makers of modules and inverter which devices do it, before buying either.");
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn conductors_that_enter_a_building_are_named() {
        assert_eq!(verdict("D12", &[]), "note");
        assert_eq!(verdict("D12", &[("run.down.route.2.where", "\"outdoors\"")]), "passes");
        assert_eq!(verdict("D12", &[("run.down.route.2.where", "\"unknown\"")]), "passes");
    }
}
