//! # Lithium may be charged in the cold
//!
//! What it checks: the coldest air around a bank of lithium cells against the coldest temperature at which they may be
//! charged, and whether the battery refuses by itself.
//!
//! Why it matters: charged at or under freezing, lithium plates onto the cell and stays there. It is lost for good, and
//! what grows can pierce the cell later. A lower current is no remedy.
//!
//! Known limits: cells are taken as cold as the coldest air of the room. A heater of the bank is not counted: it may lose its
//! power on the night it is needed. What it holds and takes is in the year.
//!
//! Source: cell data sheets, 0 to 60 °C for charging (read second-hand).
//!
//! Fails: a barn of −10 °C and a battery of which nobody knows whether it refuses.
//! Passes: a room that stays above 0 °C.

use crate::words::{both, exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Clause, Fact, Standing, units};
use study::{BankStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "B01",
    name: "charging-in-the-cold",
    severity: Severity::Danger,
    clause: Clause {
        document: "cell data sheets",
        edition: "",
        clause: "charging from 0 to 60 °C",
        standing: Standing::SecondHand,
    },
    text: include_str!("charging_in_the_cold.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bank in &study.banks {
        let thing = format!("bank \"{}\"", bank.name);
        match &bank.lithium {
            Fact::Known(lithium) if !lithium.value => continue,
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &thing,
                    "whether the cold can harm it hangs on its chemistry",
                    gap.clone(),
                );
                continue;
            }
        }
        let (coldest, above) = match both(&bank.coldest, &bank.charge_above) {
            Ok(known) => known,
            Err(gap) => {
                findings.undecided_for(
                    &thing,
                    "whether it may be charged on the coldest day is not known",
                    gap,
                );
                continue;
            }
        };
        if exceeds(coldest, above) {
            continue;
        }
        let says = format!(
            "{thing}: the air around it falls to {}, it may be charged only above {}",
            say(study, coldest),
            say(study, above)
        );
        let room = study.design.system.bank(&bank.name).map(|b| b.bank.room.clone()).unwrap_or_default();
        let finding = match &bank.cut_off {
            Fact::Known(refuses) if refuses.value => {
                let finding = findings.fails_as(
                    Severity::Doubt,
                    format!("{says}; it refuses, so that cold sunny days are lost"),
                );
                finding.explains("The battery keeps itself from harm. What the sun offers on such a morning goes unused until the cells are warm.");
                finding
            }
            Fact::Known(_) => findings.fails(format!("{says}, and nothing stops the charger")),
            Fact::Unknown(gap) => findings
                .undecided(format!("{says}, and whether it refuses by itself is not known"), gap.clone()),
        };
        finding.at.insert(
            0,
            crate::Place {
                field: quantity::FieldPath::new(format!("bank.{}.room", bank.name)),
                says: format!("it stands in \"{room}\""),
            },
        );
        finding
            .at_field(field(coldest), "coldest air set here")
            .because([coldest.term("coldest", &units::CELSIUS), above.term("charged above", &units::CELSIUS)])
            .explains("Charging at or under freezing plates lithium for good. A lower current is no remedy; warmth is.");
        warmer_room(study, finding, bank);
    }
}

/// Another room of the design that stays warm enough.
fn warmer_room(study: &Study, finding: &mut crate::Finding, bank: &BankStudy) {
    let Fact::Known(above) = &bank.charge_above else { return };
    for room in &study.design.system.rooms {
        if let Fact::Known(coldest) = &room.coldest
            && exceeds(coldest, above)
        {
            finding.remedy(Remedy::set(
                format!("the bank in \"{}\", which stays at {} or warmer", room.name, say(study, coldest)),
                format!("bank.{}.room", bank.name),
                format!("\"{}\"", room.name),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn room(coldest: &str, refuses: &str) -> String {
        let between = format!("[{coldest}, \"30 °C\"]");
        verdict("B01", &[("room.corner.between", &between), ("battery.b.low_temperature_cut_off", refuses)])
    }

    #[test]
    fn freezing_decides() {
        assert_eq!(room("\"1 °C\"", "\"no\""), "passes");
        // At the limit itself it must not be charged.
        assert_eq!(room("\"0 °C\"", "\"no\""), "danger");
        assert_eq!(room("\"-1 °C\"", "\"no\""), "danger");
        assert_eq!(room("\"-1 °C\"", "\"unknown\""), "undecided danger");
        assert_eq!(room("\"-1 °C\"", "\"yes\""), "doubt");
    }

    #[test]
    fn an_unknown_room_is_no_pass() {
        assert_eq!(verdict("B01", &[("room.corner.between", "\"unknown\"")]), "undecided danger");
        assert_eq!(verdict("B01", &[("bank.bank.room", "")]), "undecided danger");
        assert_eq!(verdict("B01", &[("battery.b.chemistry", "\"lead-acid\"")]), "passes");
    }

    #[test]
    fn a_warmer_room_of_the_design_is_named() {
        let other = "[[room]]\nname = \"cellar\"\nbetween = [\"6 °C\", \"20 °C\"]";
        let found = of(
            "B01",
            &[
                ("+", other),
                ("room.corner.between", r#"["-15 °C", "30 °C"]"#),
                ("battery.b.low_temperature_cut_off", "\"no\""),
            ],
        );
        assert_eq!(found[0].remedies.len(), 1);
        assert!(found[0].remedies[0].says.contains("cellar"));
    }
}
