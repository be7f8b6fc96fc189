//! # A disconnect does not fit its circuit
//!
//! What it checks: that each `[[disconnect]]` opens a circuit that is there, is rated for the current that flows for hours
//! and for the highest voltage of the circuit, and stands at the equipment or in sight of it, or can be locked open.
//!
//! Why it matters: a switch beyond its rating welds shut or burns, most of all on direct current. One that is out of sight
//! and cannot be locked is closed by the next person while hands are inside.
//!
//! Known limits: the rating is held against the current with the factor for continuous load where the circuit has one.
//! Whether a breaker suits direct current is said by its kind alone.
//!
//! Source: NEC 2023, 690.15, 706.15, 110.25, 404.14 (from memory).
//!
//! Fails: a 150 V switch on a 453 V string.
//! Passes: a 600 V one.

use crate::words::{exceeds, say};
use crate::{Findings, Remedy, Rule, Severity};
use design::system::Stands;
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "N04",
    name: "disconnect-unfit",
    severity: Severity::Danger,
    clause: nec("2023", "690.15, 110.25", Standing::Remembered),
    text: include_str!("disconnect_unfit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for disconnect in &study.design.system.disconnects {
        let path = format!("disconnect.{}", disconnect.name);
        let thing = format!("disconnect \"{}\"", disconnect.name);
        let Some((id, _)) = study::circuit_of(study, disconnect) else {
            findings
                .fails(format!("{thing}: no circuit joins its two ends"))
                .at(format!("{path}.between"), "no circuit between these");
            continue;
        };
        let Some(sized) = schedule.circuits.get(id.0) else { continue };
        match (&disconnect.rating, &sized.currents.continuous) {
            (Fact::Known(own), Fact::Known(least)) if exceeds(least, own) => {
                findings
                    .fails(format!(
                        "{thing}: rated {}, \"{}\" asks {}",
                        say(study, own),
                        sized.name,
                        say(study, least)
                    ))
                    .at(format!("{path}.rating"), "rated here")
                    .because([least.term("asked", &units::AMPERE), own.term("rated", &units::AMPERE)]);
            }
            (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                findings.undecided_for(&thing, "whether it bears its current is not known", gap.clone());
            }
            _ => {}
        }
        match (&disconnect.volts, &sized.protection.volts) {
            (Fact::Known(own), Fact::Known(reached)) if exceeds(reached, own) => {
                findings
                    .fails(format!(
                        "{thing}: made for {}, \"{}\" reaches {}",
                        say(study, own),
                        sized.name,
                        say(study, reached)
                    ))
                    .at(format!("{path}.volts"), "made for this")
                    .because([reached.term("reached", &units::VOLT), own.term("made for", &units::VOLT)]);
            }
            (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                findings.undecided_for(&thing, "whether it bears its voltage is not known", gap.clone());
            }
            _ => {}
        }
        if let Some(gap) = disconnect.kind.gap() {
            findings.undecided_for(&thing, "what kind of switch it is is not known", gap.clone());
        }
        match (disconnect.stands.value(), disconnect.lockable.value()) {
            (Some(Stands::AtEquipment | Stands::InSight), _) | (_, Some(true)) => {}
            (Some(Stands::Away), Some(false)) => {
                let lock = format!("{path}.lockable");
                findings
                    .fails(format!("{thing} is out of sight of what it serves and cannot be locked open"))
                    .at(format!("{path}.stands"), "stands here")
                    .remedy(Remedy::set("one that can be locked open", lock, "\"yes\""));
            }
            _ => {
                if let Err(gap) = crate::words::both(&disconnect.stands, &disconnect.lockable) {
                    let says = "whether it is in sight or can be locked is not known";
                    findings.undecided_for(&thing, says, gap);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const SWITCH: (&str, &str) = (
        "+",
        "[[disconnect]]\nname = \"s\"\nbetween = [\"row\", \"inverter\"]\nat = \"inverter\"\nkind = \"load-break switch\"\nrating = \"32 A\"\nvolts = \"600 V\"\nstands = \"farther away\"\nlockable = \"yes\"\nprice = 60",
    );

    /// Isc 13.9 A: 1.25 · 1.25 · 13.9 = 21.7 A for hours; eight modules at −28 °C reach 453 V.
    #[test]
    fn it_bears_current_and_voltage_of_its_circuit() {
        let with = |field: &'static str, value: &'static str| verdict("N04", &[SWITCH, (field, value)]);
        assert_eq!(verdict("N04", &[SWITCH]), "passes");
        assert_eq!(with("disconnect.s.rating", "\"22 A\""), "passes");
        assert_eq!(with("disconnect.s.rating", "\"17 A\""), "danger");
        assert_eq!(with("disconnect.s.rating", "\"unknown\""), "undecided danger");
        assert_eq!(with("disconnect.s.volts", "\"454 V\""), "passes");
        assert_eq!(with("disconnect.s.volts", "\"150 V\""), "danger");
        assert_eq!(with("disconnect.s.lockable", "\"no\""), "danger");
        assert_eq!(with("disconnect.s.lockable", "\"unknown\""), "undecided danger");
        assert_eq!(with("disconnect.s.stands", "\"in sight within 10 ft\""), "passes");
        let astray = [("disconnect.s.between", r#"["row", "panel"]"#), ("disconnect.s.at", "\"row\"")];
        assert_eq!(verdict("N04", &[SWITCH, astray[0], astray[1]]), "danger");
    }
}
