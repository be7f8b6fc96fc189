//! # The network operator must be told or asked
//!
//! What it checks: in Great Britain, the rated current of all inverters that may feed the utility, per phase: up to 16 A
//! the operator is told after the work, above it is asked before.
//!
//! Why it matters: a unit that is connected without consent may have to be taken off again, and the voltage of a street
//! can rise above what its equipment bears.
//!
//! Known limits: single phase; several generators of one street count together for their operator. The work is
//! notifiable: a registered electrician certifies it.
//!
//! Source: Engineering Recommendations G98 and G99; Building Regulations, part P (from memory).
//!
//! Fails: 5 kW at 230 V (21.7 A) before the operator has agreed.
//! Passes: 3.68 kW (16 A), with a note of what is to be told.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use design::system::Country;
use quantity::{Clause, Current, Fact, Measure, Standing, TableRow, Traced, units};
use study::Study;

const NOTICE: Clause =
    Clause { document: "G98 and G99", edition: "", clause: "16 A per phase", standing: Standing::Remembered };

pub(crate) static RULE: Rule = Rule {
    code: "O06",
    name: "network-operator",
    severity: Severity::Breach,
    clause: NOTICE,
    text: include_str!("network_operator.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    if system.place.country.value() != Some(&Country::GreatBritain) {
        return;
    }
    let current = match study::network_current(study) {
        None => return,
        Some(Fact::Known(current)) => current,
        Some(Fact::Unknown(gap)) => {
            findings.undecided("what the inverters give per phase is not known", gap);
            return;
        }
    };
    let row = TableRow { clause: NOTICE, row: "up to 16 A per phase".into(), standing: Standing::Remembered };
    let most: Traced<Current> = Traced::tabled(Current::from_si(16.0), row);
    let says = format!("the inverters give {} per phase", say(study, &current));
    let terms = [current.term("they give", &units::AMPERE), most.term("told after", &units::AMPERE)];
    let certified = "The work is notifiable: a registered electrician certifies it (part P, from memory).";
    if !exceeds(&current, &most) {
        findings
            .fails_as(Severity::Note, format!("{says}: the network operator is told within 28 days after"))
            .because(terms)
            .explains(certified);
        return;
    }
    let agreed =
        system.permits.iter().find(|permit| permit.asks.contains("utility")).map(|permit| &permit.answer);
    if agreed.and_then(Fact::value) == Some(&true) {
        return;
    }
    findings
        .fails(format!("{says}: above {} the network operator must agree before", say(study, &most)))
        .at("permits.utility_agrees", "no consent so far")
        .because(terms)
        .explains(certified);
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// Acceptance story S8: 3680 W / 230 V = 16.0 A is told after, 5 kW (21.7 A) asks for consent before.
    #[test]
    fn sixteen_amperes_per_phase_decide() {
        let with = |output: &'static str, more: &[(&'static str, &'static str)]| {
            let mut all = vec![
                ("place.country", "\"great britain\""),
                ("+", "[utility]\nrole = \"interactive\"\nservice = \"60 A\""),
                ("inverter.i.volts", "\"230\""),
                ("inverter.i.interactive", "\"yes\""),
                ("panel.panel.volts", "\"230\""),
                ("inverter.i.output", output),
            ];
            all.extend(more);
            all
        };
        let ask = ("permits.utility_agrees", "\"unknown\"");
        assert_eq!(verdict("O06", &with("\"3680 W\"", &[ask])), "note");
        let note = of("O06", &with("\"3680 W\"", &[ask]));
        assert!(
            note[0].says.contains("16 A per phase") && note[0].more[0].contains("registered electrician")
        );
        assert_eq!(verdict("O06", &with("\"3681 W\"", &[ask])), "breach");
        let large = of("O06", &with("\"5 kW\"", &[ask]));
        assert!(large[0].says.contains("21.74 A per phase"), "{}", large[0].says);
        assert_eq!(verdict("O06", &with("\"5 kW\"", &[])), "passes");
        assert_eq!(verdict("O06", &with("\"unknown\"", &[ask])), "undecided breach");
        assert_eq!(verdict("O06", &with("\"5 kW\"", &[ask, ("place.country", "\"elsewhere\"")])), "passes");
    }
}
