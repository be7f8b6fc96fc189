//! # Strings bring more current than an input uses
//!
//! What it checks: the currents at maximum power of all strings on an input against the highest current the input
//! uses.
//!
//! Why it matters: nothing is harmed; the input takes what it can. In the brightest hours a share is left on the roof,
//! which is often a good bargain for more in winter.
//!
//! Known limits: the year counts what is lost, hour by hour; this only names the cause.
//!
//! Source: common practice, no source; the input's data sheet.
//!
//! Fails: 13 A on an input that uses 12 A.
//! Passes: 13 A on an input that uses 15 A.

use crate::words::{exceeds, field, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D07",
    name: "input-current-clipped",
    severity: Severity::Note,
    clause: practice("an input takes no more than its highest current"),
    text: include_str!("input_current_clipped.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for input in &study.inputs {
        let (Fact::Known(brought), Fact::Known(limit)) = (&input.imp, &input.current_limit) else { continue };
        if !exceeds(brought, limit) {
            continue;
        }
        let number = format!("input {}", input.input);
        findings
            .fails(format!(
                "{number} of \"{}\": its strings bring {} in full sun, it uses {}",
                input.unit,
                say(study, brought),
                say(study, limit)
            ))
            .at(format!("unit.{}", input.unit), "this unit")
            .at_field(field(limit), "highest current set here")
            .figure(&["inputs", &input.unit, &number, "imp"])
            .because([brought.term("brought", &units::AMPERE), limit.term("used", &units::AMPERE)])
            .explains(
                "What is above is not taken in the brightest hours; the year counts it as a loss of its own.",
            );
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn it_is_a_note_just_above_what_the_input_uses() {
        let uses = |amps| [("inverter.i.pv_input.1.current", amps)];
        assert_eq!(verdict("D07", &uses("\"13.1 A\"")), "passes");
        assert_eq!(verdict("D07", &uses("\"13 A\"")), "passes");
        assert_eq!(verdict("D07", &uses("\"12.9 A\"")), "note");
        assert_eq!(verdict("D07", &uses("\"unknown\"")), "passes");
    }
}
