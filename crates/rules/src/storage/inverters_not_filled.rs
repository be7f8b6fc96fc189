//! # Nothing fills the capacitors of the inverters before the battery is switched on
//!
//! What it checks: for every bank with inverters, that the maker of the battery or of the inverters says they fill the
//! capacitors by themselves, or that a path with a resistor is stated whose resistor bears the energy.
//!
//! Why it matters: empty capacitors are a short for a moment. More than a thousand amperes weld the contacts of the
//! switch, kill the transistors of a battery with electronics, and the spark is where a lead-acid battery vents
//! hydrogen.
//!
//! Known limits: charge controllers hold little and are not counted. The time is to 1 % of the battery's voltage.
//!
//! Source: the closed form of a capacitor behind a resistor; 0.5 to 3 A at first are common practice, no source.
//!
//! Fails: a bank whose makers both say no, without a resistor.
//! Passes: a battery that does it by itself; a resistor of 22 Ω that bears 50 J before 31 J of capacitors.

use crate::words::{exceeds, named, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, print_in, units};
use study::{FilledBy, PreCharge, Study};

pub(crate) static RULE: Rule = Rule {
    code: "B09",
    name: "inverters-not-filled",
    severity: Severity::Danger,
    clause: practice("capacitors of an inverter are filled through a resistor"),
    text: include_str!("inverters_not_filled.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for fill in study::pre_charges(study) {
        let thing = format!("bank \"{}\"", fill.bank);
        match &fill.by {
            Fact::Unknown(gap) => {
                findings
                    .undecided_for(&thing, "what fills the capacitors of its inverters is not known", gap.clone())
                    .explains("Ask the makers whether battery or inverter does it by itself, and for the capacitance of the inverter's battery input; until it is known, no switch is closed on an empty inverter.");
            }
            Fact::Known(by) if by.value == FilledBy::Nothing => nothing(study, findings, &fill),
            Fact::Known(by) if by.value == FilledBy::Path => path(findings, &fill, &thing),
            Fact::Known(_) => {}
        }
    }
}

fn nothing(study: &Study, findings: &mut Findings<'_>, fill: &PreCharge) {
    let finding = findings.fails(format!(
        "bank \"{}\": nothing fills the capacitors of {} before it is switched on to them",
        fill.bank,
        named(&fill.inverters)
    ));
    finding.at(format!("bank.{}", fill.bank), "no pre_charge here");
    if let (Fact::Known(resistor), Fact::Known(first)) = (&fill.resistor, &fill.first) {
        let energy = match (&fill.energy, &fill.time) {
            (Fact::Known(energy), Fact::Known(time)) => format!(
                ", takes up {} and needs {}",
                print_in(energy.si(), &units::JOULE),
                print_in(time.si(), &units::SECOND)
            ),
            _ => "; the energy it takes up and the time follow from the capacitance, which the maker of the inverter knows"
                .into(),
        };
        finding.explains(format!(
            "A push-button past the open switch with a resistor of {} lets {} through at first{energy}.",
            say(study, resistor),
            say(study, first),
        ));
    }
}

fn path(findings: &mut Findings<'_>, fill: &PreCharge, thing: &str) {
    let Some(bears) = &fill.bears else { return };
    match crate::words::both(bears, &fill.energy) {
        Ok((bears, energy)) if exceeds(energy, bears) => {
            let joules = |energy: f64| print_in(energy, &units::JOULE);
            findings
                .fails(format!(
                    "bank \"{}\": the resistor that fills the inverters bears {}, they take {}",
                    fill.bank,
                    joules(bears.si()),
                    joules(energy.si())
                ))
                .at(format!("bank.{}.pre_charge", fill.bank), "resistor stated here")
                .because([energy.term("taken up", &units::JOULE), bears.term("borne", &units::JOULE)])
                .figure(&["pre-charge", &fill.bank, "energy"]);
        }
        Ok(_) => {}
        Err(gap) => {
            let what = "whether its resistor bears filling the inverters is not known";
            findings.undecided_for(thing, what, gap);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const OWN: &str = "battery.b.pre_charge";
    const INVERTER: &str = "inverter.i.pre_charge";

    #[test]
    fn makers_say_it_or_a_resistor_does_it() {
        assert_eq!(verdict("B09", &[]), "passes");
        assert_eq!(verdict("B09", &[(OWN, "\"no\""), (INVERTER, "\"no\"")]), "danger");
        assert_eq!(verdict("B09", &[(OWN, "\"no\""), (INVERTER, "\"yes\"")]), "passes");
        assert_eq!(verdict("B09", &[(OWN, "\"unknown\"")]), "undecided danger");
        assert_eq!(verdict("B09", &[(OWN, "\"unknown\""), (INVERTER, "\"no\"")]), "undecided danger");
        assert_eq!(verdict("B09", &[(OWN, "\"no\""), (INVERTER, "\"unknown\"")]), "undecided danger");
    }

    /// ½ · 20 mF · (56.8 V)² = 32.26 J.
    #[test]
    fn a_stated_resistor_bears_the_energy() {
        let path = |joules: &str| format!("{{ ohms = 22, joules = {joules} }}");
        let with = |joules: &str, more: Option<(&'static str, &'static str)>| {
            let path = path(joules);
            let mut changes =
                vec![("bank.bank.pre_charge", path.as_str()), ("inverter.i.input_millifarads", "20")];
            changes.extend(more);
            verdict("B09", &changes)
        };
        assert_eq!(with("33", None), "passes");
        assert_eq!(with("32", None), "danger");
        assert_eq!(with("\"unknown\"", None), "undecided danger");
        assert_eq!(with("33", Some(("inverter.i.input_millifarads", "\"unknown\""))), "undecided danger");
    }
}
