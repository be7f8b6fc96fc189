//! # What the heater of a bank has to do
//!
//! What it checks: the heat that holds the cells at the temperature the heater is set to, in the coldest air around them,
//! against the heater's power; and it says what that costs in a day, and what it takes to warm a bank gone cold.
//!
//! Why it matters: the heater takes its energy from the same battery and in the same dark weeks. One that is too weak leaves
//! the cells too cold to be charged on the one morning that has sun.
//!
//! Known limits: the coldest air all day long; the cells' own losses warm them a little. A heater that loses its power holds
//! nothing. How well cells take up its heat is the maker's to say.
//!
//! Source: steady conduction; heat capacity of lithium cells about 1 kJ/(kg·K) (from memory).
//!
//! Fails: 39 W for a cabinet of 5 m² and 2.5 m²·K/W, 20 K above the air.
//! Passes: 40 W there; a bank without a heater.

use crate::words::{both, exceeds, say};
use crate::{Findings, Rule, Severity};
use quantity::{Clause, Fact, Standing, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B11",
    name: "bank-heater",
    severity: Severity::Doubt,
    clause: Clause {
        document: "definition",
        edition: "",
        clause: "steady conduction",
        standing: Standing::Computed,
    },
    text: include_str!("bank_heater.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bank in &study.banks {
        let Some(held) = &bank.held_warm else { continue };
        let thing = format!("bank \"{}\"", bank.name);
        let (steady, power) = match both(&held.steady, &held.power) {
            Ok(known) => known,
            Err(gap) => {
                let says = "whether its heater holds it on the coldest day is not known";
                findings.undecided_for(&thing, says, gap);
                continue;
            }
        };
        let (Fact::Known(holds), Fact::Known(coldest), Fact::Known(daily)) =
            (&held.holds, &bank.coldest, &held.daily)
        else {
            continue;
        };
        let weak = exceeds(steady, power);
        let says = format!(
            "{thing}: to hold {} in air of {} its heater takes {} all day, {} a day{}",
            say(study, holds),
            say(study, coldest),
            say(study, steady),
            say(study, daily),
            if weak { format!("; it has {}", say(study, power)) } else { String::new() }
        );
        let finding = findings.fails_as(if weak { Severity::Doubt } else { Severity::Note }, says);
        finding
            .at(format!("bank.{}.heater", bank.name), "this heater")
            .figure(&["banks", &bank.name, "heater-steady"])
            .because([
                steady.term("takes", &units::WATT),
                power.term("has", &units::WATT),
                daily.term("a day", &units::KILOWATT_HOUR),
            ]);
        if let Fact::Known(warming) = &held.warming {
            finding.explains(format!(
                "Once gone as cold as that air, it takes {} to warm the cells again.",
                say(study, warming)
            ));
        }
        finding.explains(
            "The year counts it among the loads: it is asked for in the dark weeks, when the sun brings least.",
        );
    }
}
