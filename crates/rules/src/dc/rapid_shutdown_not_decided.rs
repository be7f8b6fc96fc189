//! # Module conductors in a building without rapid shutdown
//!
//! What it checks: strings whose conductors run on or inside a building name what brings them down to a low voltage when
//! one switch is turned.
//!
//! Why it matters: firefighters open roofs. Where the rule holds, conductors outside the array must fall to 30 V within
//! half a minute of turning one switch, and that takes devices that must be bought with the modules. Conductors of a
//! ground rack are controlled too once they enter a building by more than 3 ft.
//!
//! Known limits: any part indoors counts, however short; the exceptions for detached structures and for circuits that
//! end outside are the office's to say. Whether the devices work together is in the makers' papers.
//!
//! Source: NEC 2023, 690.12 (read second-hand).
//!
//! Fails: a string on a roof with `rapid_shutdown = "none"`; undecided when nothing is said.
//! Passes: a rack, and an inverter on a post beside it; a roof with module electronics.

use crate::{Findings, Rule, Severity};
use design::system::RapidShutdown;
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D12",
    name: "no-rapid-shutdown",
    severity: Severity::Breach,
    clause: nec("2023", "690.12", Standing::SecondHand),
    text: include_str!("rapid_shutdown_not_decided.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    // IEC 60364-7-712 asks for nothing of the kind.
    if study.wiring.is_err() || study::rule_set(&study.design.system) == Some(wiring::RuleSet::Iec60364) {
        return;
    }
    let (graph, system) = (&study.design.graph, &study.design.system);
    for string in &system.strings {
        let circuits = graph.circuits.iter().filter(|circuit| {
            circuit.demand.is_pv()
                && graph.node(circuit.from).is_some_and(|from| {
                    from.name == string.string.name
                        || (!string.through.is_empty() && from.name == string.through)
                })
        });
        let enters = circuits.into_iter().any(|circuit| {
            let on_building = graph.node(circuit.from).is_some_and(|node| !node.building.is_empty());
            let run = circuit.run.and_then(|run| system.runs.get(run.0));
            let inside = run.is_some_and(|run| {
                run.segments.iter().any(|s| s.place.value().is_some_and(|place| place.is_inside()))
            });
            on_building || inside
        });
        if !enters {
            continue;
        }
        let name = &string.string.name;
        let field = format!("string.{name}.rapid_shutdown");
        match &string.rapid_shutdown {
            Fact::Known(what) if what.value == RapidShutdown::None => {
                findings
                    .fails(format!("string \"{name}\" runs on or inside a building and nothing shuts its conductors down"))
                    .at(field, "said here")
                    .explains("Ask the makers of modules and inverter which devices do it together, before buying either.");
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                findings
                    .undecided(
                        format!("string \"{name}\" runs on or inside a building; what shuts its conductors down is not known"),
                        gap.clone(),
                    )
                    .explains("Ask the building office what it expects, and the makers of modules and inverter which devices do it, before buying either.");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn conductors_that_enter_a_building_name_what_shuts_them_down() {
        let shutdown = "string.row.rapid_shutdown";
        assert_eq!(verdict("D12", &[]), "passes");
        assert_eq!(verdict("D12", &[(shutdown, "\"none\"")]), "breach");
        assert_eq!(verdict("D12", &[(shutdown, "\"unknown\"")]), "undecided breach");
        assert_eq!(
            verdict("D12", &[(shutdown, "\"none\""), ("run.down.route.2.where", "\"outdoors\"")]),
            "passes"
        );
    }
}
