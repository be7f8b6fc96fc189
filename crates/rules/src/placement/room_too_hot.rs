//! # A room gets hotter than its inverter works in
//!
//! What it checks: the hottest air of the room in which an inverter hangs against the highest air temperature at which
//! it works.
//!
//! Why it matters: an inverter that is too hot gives less, then nothing, on the hottest afternoon of the year.
//!
//! Known limits: the heat of the inverter itself is not added yet; output falls before the limit is reached.
//!
//! Source: data sheets.
//!
//! Fails: a shed of 55 °C and an inverter that works up to 50 °C.
//! Passes: one of 30 °C.

use crate::words::{exceeds, field, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P03",
    name: "room-too-hot",
    severity: Severity::Doubt,
    clause: practice("equipment hangs in air it works in"),
    text: include_str!("room_too_hot.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for unit in &system.units_in_place {
        let (Some(part), Some(room)) = (system.inverter_of(unit), system.room(&unit.room)) else { continue };
        let Fact::Known(most) = &part.works_up_to else { continue };
        match &room.hottest {
            Fact::Known(hottest) if exceeds(hottest, most) => {
                findings
                    .fails(format!(
                        "\"{}\" works up to {}, \"{}\" reaches {}",
                        unit.name,
                        say(study, most),
                        room.name,
                        say(study, hottest)
                    ))
                    .at(format!("unit.{}.room", unit.name), "it hangs here")
                    .at_field(field(hottest), "hottest air set here")
                    .because([
                        hottest.term("hottest", &units::CELSIUS),
                        most.term("works up to", &units::CELSIUS),
                    ]);
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let thing = format!("\"{}\"", unit.name);
                findings.undecided_for(&thing, "how hot its room gets is not known", gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn a_degree_decides() {
        let up_to = |range| verdict("P03", &[("inverter.i.works_between", range)]);
        assert_eq!(up_to(r#"["0 °C", "31 °C"]"#), "passes");
        assert_eq!(up_to(r#"["0 °C", "30 °C"]"#), "passes");
        assert_eq!(up_to(r#"["0 °C", "29 °C"]"#), "doubt");
        assert_eq!(verdict("P03", &[("room.corner.between", "\"unknown\"")]), "undecided doubt");
    }
}
