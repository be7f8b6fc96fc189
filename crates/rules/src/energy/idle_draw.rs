//! # Idle draw takes more than a tenth
//!
//! What it checks: the energy all inverters draw just for being on, against everything the house takes with it.
//!
//! Why it matters: it is drawn every hour of the year, at night and in December too, and no appliance shows it. Left
//! out of a design it is the bank that is empty at dawn without a reason.
//!
//! Known limits: sleeping modes are not seen; other equipment that is always on is a load of the list.
//!
//! Source: common practice, no source, for the tenth.
//!
//! Fails: 60 W beside 9 kWh a day: 14 %.
//! Passes: 40 W beside them: 9.6 %.

use crate::words::{both, say};
use crate::{Findings, Rule, Severity};
use quantity::{practice, print_in, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "E03",
    name: "idle-draw",
    severity: Severity::Doubt,
    clause: practice("idle draw stays under a tenth of the energy used"),
    text: include_str!("idle_draw.rs"),
    check,
};

const TENTH: f64 = 0.10;

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.stack.count == 0 {
        return;
    }
    let (idle, loads) = match both(&study.stack.idle_yearly, &study.demand.yearly) {
        Ok(known) => known,
        Err(gap) => {
            findings
                .undecided("what share of the energy the inverters take for themselves is not known", gap);
            return;
        }
    };
    let all = idle.si() + loads.si();
    if all <= 0.0 || !crate::words::above(idle.si(), TENTH * all) {
        return;
    }
    let share = print_in(idle.si() / all, &units::PERCENT);
    let finding = findings.fails(format!(
        "the inverters take {} a year for being on, {share} of the energy used ({} for the loads)",
        say(study, idle),
        say(study, loads)
    ));
    let unit =
        study.design.system.units_in_place.iter().find_map(|unit| study.design.system.inverter_of(unit));
    if let Some(part) = unit {
        finding.at(format!("inverter.{}.idle", part.name), "draw of one unit set here");
    }
    finding
        .figure(&["inverters", "idle-yearly"])
        .because([
            idle.term("idle", &units::KILOWATT_HOUR),
            loads.term("loads", &units::KILOWATT_HOUR),
        ])
        .explains("One unit that is just large enough draws less than two that are seldom needed; some units sleep at night.");
    if let Some(watts) = study.stack.idle.known() {
        finding.explains(format!("It is {} around the clock.", say(study, &watts.with(watts.value))));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// Loads of 9.0 kWh a day, as in acceptance story S3.
    const NINE: [(&str, &str); 4] = [
        ("load.lights.watts", "0"),
        ("load.water heater.watts", "0"),
        ("load.pump.watts", "0"),
        ("load.kitchen.hours", "6"),
    ];

    fn idle(watts: &str) -> Vec<(&str, &str)> {
        NINE.into_iter().chain([("inverter.i.idle", watts)]).collect()
    }

    /// Acceptance story S3: 60 W are 1.44 of 10.44 kWh a day, 14 %.
    #[test]
    fn sixty_watts_are_fourteen_per_cent() {
        let found = of("E03", &idle("\"60 W\""));
        assert!(found[0].says.contains("13.79 %"), "{}", found[0].says);
        assert_eq!(found[0].severity.word(), "doubt");
    }

    /// A tenth of the whole is a ninth of the loads: 1.0 kWh a day, 41.667 W.
    #[test]
    fn a_tenth_decides() {
        assert_eq!(verdict("E03", &idle("\"41.6 W\"")), "passes");
        assert_eq!(verdict("E03", &idle("\"41.7 W\"")), "doubt");
        assert_eq!(verdict("E03", &idle("\"unknown\"")), "undecided doubt");
    }
}
