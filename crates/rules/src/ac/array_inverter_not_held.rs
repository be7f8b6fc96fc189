//! # Nothing holds an array inverter back
//!
//! What it checks: that every inverter without a battery, on a supply that others make from one, lowers its output when the
//! frequency rises, and that all of them together are rated for no more than the units that make the supply.
//!
//! Why it matters: when the loads fall away at noon, all that an array inverter makes flows into the units at the battery.
//! They hold it back by raising the frequency. A unit that does not follow goes on: the battery is charged past its limit, or
//! everything drops out at once; and more than the units are rated for overloads them before any frequency helps.
//!
//! Known limits: by rated outputs; what the maker of the units at the battery allows may be less. How fast it answers is
//! for the makers of both to say.
//!
//! Source: IEEE 1547-2018, 6.5.2.7 (frequency-droop), from memory; no more than the rating of the units that make the supply:
//! common practice, no source.
//!
//! Fails: an array inverter that does not follow; 6.1 kW of them beside 6 kW.
//! Passes: 6 kW that follow.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use design::system::Unit;
use quantity::{Clause, Fact, Standing, sum, units};
use std::sync::Arc;
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A10",
    name: "array-inverter-not-held",
    severity: Severity::Danger,
    clause: Clause {
        document: "IEEE 1547",
        edition: "2018",
        clause: "6.5.2.7",
        standing: Standing::Remembered,
    },
    text: include_str!("array_inverter_not_held.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let followers: Vec<&Unit> =
        system.units_in_place.iter().filter(|unit| system.is_array_inverter(unit)).collect();
    let mut outputs = Vec::new();
    for unit in &followers {
        let Some(part) = system.inverter_of(unit) else { continue };
        let path = format!("inverter.{}.follows_frequency", part.name);
        match &part.follows_frequency {
            Fact::Known(follows) if follows.value => {}
            Fact::Known(_) => {
                findings
                    .fails(format!(
                        "\"{}\" feeds modules into a supply made from the battery and does not follow its frequency",
                        unit.name
                    ))
                    .at(path, "said here")
                    .explains("Nothing holds it back when the battery is full and the loads fall away: give it a unit that follows, or take its modules to the battery through a charge controller.");
            }
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &format!("\"{}\"", unit.name),
                    "whether it follows the frequency of a supply made from the battery is not known",
                    gap.clone(),
                );
            }
        }
        match &part.output {
            Fact::Known(output) => outputs.push((unit.name.clone(), output.clone())),
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &format!("\"{}\"", unit.name),
                    "whether the units that make its supply can take what it gives is not known",
                    gap.clone(),
                );
            }
        }
    }
    if outputs.is_empty() || outputs.len() < followers.len() {
        return;
    }
    let all = sum(outputs, &units::WATT);
    match &study.stack.output {
        Fact::Known(takes) if exceeds(&all, takes) => {
            let names: Vec<Arc<str>> = followers.iter().map(|unit| unit.name.clone()).collect();
            let finding = findings.fails(format!(
                "array inverters give {}, the units that make their supply are rated for {}",
                say(study, &all),
                say(study, takes)
            ));
            finding
                .because([all.term("array inverters", &units::WATT), takes.term("units", &units::WATT)])
                .explains("When all loads fall away at once, everything flows into these units before the frequency can hold it back.");
            for name in names {
                finding.at(format!("unit.{name}"), "an array inverter");
            }
        }
        Fact::Known(_) => {}
        Fact::Unknown(gap) => {
            findings.undecided_for(
                "array inverters",
                "whether the units that make their supply can take what they give is not known",
                gap.clone(),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// An array inverter of this output that answers so; the house has one unit of 6 kW at its battery.
    fn beside(output: &str, follows: &str) -> String {
        format!(
            "[inverter.roof]\noutput = \"{output}\"\nvolts = \"120/240\"\ninteractive = \"yes\"\n{follows}\n\
             [[unit]]\nname = \"array inverter\"\ninverter = \"roof\"\nroom = \"corner\""
        )
    }

    #[test]
    fn one_that_does_not_follow_is_a_danger_and_so_is_silence() {
        assert_eq!(verdict("A10", &[]), "passes");
        let told = |follows: &str| verdict("A10", &[("+", beside("3 kW", follows).as_str())]);
        assert_eq!(told("follows_frequency = \"yes\""), "passes");
        assert_eq!(told("follows_frequency = \"no\""), "danger");
        assert_eq!(told("follows_frequency = \"unknown\""), "undecided danger");
        assert_eq!(told(""), "undecided danger");
    }

    #[test]
    fn a_hundred_watts_decide() {
        let of_output =
            |output: &str| of("A10", &[("+", beside(output, "follows_frequency = \"yes\"").as_str())]);
        assert!(of_output("6 kW").is_empty());
        let found = of_output("6.1 kW");
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("6,100 W"), "{}", found[0].says);
    }
}
