//! # What a bank holds, and for how long
//!
//! What it checks: nothing fails. It says the energy of every bank in kilowatt-hours, what of it is used from day to
//! day, and how many days it carries the mean day of the house without any sun.
//!
//! Why it matters: ampere-hours say nothing without volts: 200 Ah at 51.2 V hold a third more than 600 Ah at 12.8 V.
//! Days are what a dark week is measured in.
//!
//! Known limits: the mean day of the year at the worst efficiency of the inverters; a winter day may ask for more. The
//! year says what really happens.
//!
//! Source: energy = charge · voltage; IEEE 1013, 2019, days of battery reserve (from memory).
//!
//! Fails: never; a bank is told as a note.
//! Passes: a house without a bank.

use crate::words::say;
use crate::{Findings, Rule, Severity};
use quantity::{Clause, Fact, Standing, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B06",
    name: "days-of-autonomy",
    severity: Severity::Note,
    clause: Clause {
        document: "IEEE 1013",
        edition: "2019",
        clause: "days of battery reserve",
        standing: Standing::Remembered,
    },
    text: include_str!("days_of_autonomy.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bank in &study.banks {
        let thing = format!("bank \"{}\"", bank.name);
        let (Fact::Known(capacity), Fact::Known(usable), Fact::Known(days)) =
            (&bank.capacity, &bank.usable, &bank.autonomy)
        else {
            let gaps = [bank.capacity.gap(), bank.usable.gap(), bank.autonomy.gap()];
            if let Some(gap) = gaps.into_iter().flatten().next() {
                findings.undecided_for(&thing, "how long it carries the house is not known", gap.clone());
            }
            continue;
        };
        let share = units::PERCENT.of_si(usable.si() / capacity.si());
        let by_charge = match (&bank.charge, &bank.nominal) {
            (Fact::Known(charge), Fact::Known(volts)) => {
                format!(" ({} at {})", say(study, charge), say(study, volts))
            }
            _ => String::new(),
        };
        findings
            .fails(format!(
                "{thing} holds {}{by_charge}, {} of it in use ({share:.0} %): the mean day without sun for {:.1} days",
                say(study, capacity),
                say(study, usable),
                units::DAY.of_si(days.si())
            ))
            .at(format!("bank.{}", bank.name), "this bank")
            .figure(&["banks", &bank.name, "autonomy"])
            .because([
                capacity.term("holds", &units::KILOWATT_HOUR),
                usable.term("in use", &units::KILOWATT_HOUR),
                days.term("carries", &units::DAY),
            ]);
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{close, of, study_of};
    use quantity::units;
    use study::Depth;

    /// Acceptance story S9: 6.0 kWh a day, idle 40 W, efficiency 0.92; three banks.
    #[test]
    fn six_hundred_is_less_than_two_hundred() {
        let cases = [
            ("\"51.2 V\"", "\"200 Ah\"", r#"["20 %", "100 %"]"#, 10.24, 1.08),
            ("\"12.8 V\"", "\"600 Ah\"", r#"["20 %", "100 %"]"#, 7.68, 0.81),
            ("\"12 V\"", "\"600 Ah\"", r#"["50 %", "100 %"]"#, 7.2, 0.48),
        ];
        for (volts, charge, usable, kwh, days) in cases {
            let low = volts != "\"51.2 V\"";
            let changes = [
                ("battery.b.nominal", volts),
                ("battery.b.cut_off", if low { "\"11 V\"" } else { "\"46 V\"" }),
                ("battery.b.charge_voltage", if low { "\"14.2 V\"" } else { "\"56.8 V\"" }),
                ("battery.b.capacity", charge),
                ("battery.b.usable", usable),
                ("bank.bank.parallel", "1"),
                ("inverter.i.idle", "\"40 W\""),
                ("load.lights.watts", "0"),
                ("load.water heater.watts", "0"),
                ("load.pump.watts", "0"),
                ("load.kitchen.watts", "1500"),
                ("load.kitchen.hours", "4"),
            ];
            let study = study_of(&changes, Depth::WithoutYear);
            let bank = &study.banks[0];
            close(units::KILOWATT_HOUR.of_si(bank.capacity.si().unwrap()), kwh);
            close(units::DAY.of_si(bank.autonomy.si().unwrap()), days);
            let found = of("B06", &changes);
            assert_eq!((found.len(), found[0].severity.word()), (1, "note"));
            assert!(found[0].says.contains("kWh") && found[0].says.contains("Ah at"), "{}", found[0].says);
        }
        // 10.24 kWh are 33 % more than 7.68 kWh.
        close(10.24 / 7.68 - 1.0, 0.333);
    }
}
