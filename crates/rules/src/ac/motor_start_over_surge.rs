//! # A motor may not start
//!
//! What it checks: the apparent power of each motor while it starts, together with everything else listed on its leg,
//! against the short overload of the units that feed it.
//!
//! Why it matters: a pump that pulls six times its current for half a second dims or drops the whole house, at night,
//! when the tank runs empty.
//!
//! Known limits: watts of other loads are taken as volt-amperes; how long the start lasts is not compared with how long
//! the overload is borne; everything else running is the worst case.
//!
//! Source: the definition of apparent power; common practice for the coincidence.
//!
//! Fails: 20 A locked rotor at 240 V with 2 kW running on a leg whose unit bears 4 kVA for seconds.
//! Passes: the same on 6 kVA.

use crate::words::{both, exceeds, field, say};
use crate::{Findings, Rule, Severity};
use quantity::{practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A03",
    name: "motor-start-over-surge",
    severity: Severity::Doubt,
    clause: practice("the short overload bears the largest start"),
    text: include_str!("motor_start_over_surge.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for start in &study.starts {
        let (together, limit) = match both(&start.together, &start.limit) {
            Ok(known) => known,
            Err(gap) => {
                findings.undecided_for(
                    &format!("load \"{}\"", start.load),
                    "whether it can start is not known",
                    gap,
                );
                continue;
            }
        };
        if !exceeds(together, limit) {
            continue;
        }
        findings
            .fails(format!(
                "load \"{}\": its start and everything else on its leg take {}, the units bear {} for a moment",
                start.load,
                say(study, together),
                say(study, limit)
            ))
            .at(format!("load.{}", start.load), "this motor")
            .at_field(field(limit), "short overload set here")
            .figure(&["starts", &start.load, "together"])
            .because([together.term("together", &units::VOLT_AMPERE), limit.term("overload", &units::VOLT_AMPERE)])
            .explains("A soft starter or a pump with an electronic drive takes about its running current instead; so do fewer things running beside it.");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    /// 240 V · 20 A / 2 = 2400 VA on each leg, 1500 W kitchen and 500 W of the heater beside it: 4400 VA; the unit bears
    /// half of its overload on each leg.
    #[test]
    fn the_overload_decides_to_the_volt_ampere() {
        let bears = |surge| verdict("A03", &[("inverter.i.surge.power", surge)]);
        assert_eq!(bears("\"8790 VA\""), "doubt");
        assert_eq!(bears("\"8800 VA\""), "passes");
        assert_eq!(bears("\"8810 VA\""), "passes");
        assert_eq!(bears("\"unknown\""), "undecided doubt");
    }

    #[test]
    fn an_unknown_locked_rotor_current_is_asked_for() {
        assert_eq!(verdict("A03", &[("load.pump.locked_rotor", "\"unknown\"")]), "undecided doubt");
    }
}
