//! # A part carries no listing mark
//!
//! What it checks: that every part in the system, and every transfer device, has a standard on the listing mark of its
//! label, and that somebody has looked.
//!
//! Why it matters: a part that nobody tested fails in ways nobody knows, and an inspector who finds no mark has it taken
//! down. Unknown blocks the purchase, not the planning.
//!
//! Known limits: it does not compare the standard with what the part is used for, and a mark can be forged.
//!
//! Source: NEC 2023, 690.4(B), 110.3 (from memory).
//!
//! Fails: an inverter with `listed = "none"`.
//! Passes: one with `listed = "UL 1741"`.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "O03",
    name: "no-listing-mark",
    severity: Severity::Breach,
    clause: nec("2023", "690.4(B)", Standing::Remembered),
    text: include_str!("no_listing_mark.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for listing in &study.design.system.listings {
        match &listing.mark {
            Fact::Known(mark) if is_none(&mark.value) => {
                findings
                    .fails(format!("{} carries no listing mark", listing.part))
                    .at(format!("{}.listed", listing.path), "said here")
                    .explains("Choose a part whose label names the standard it was tested to.");
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let finding = findings.undecided(
                    format!("{}: whether it carries a listing mark is not known", listing.part),
                    gap.clone(),
                );
                // Nobody has said that the mark is missing; until someone looks, only the purchase waits.
                finding.severity = Severity::Doubt;
                finding.explains("Plan on, but do not buy it before you have read the mark on its label.");
            }
        }
    }
}

fn is_none(mark: &str) -> bool {
    ["", "none", "no"].iter().any(|word| mark.trim().eq_ignore_ascii_case(word))
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn none_is_worse_than_unknown() {
        let mark = |text| verdict("O03", &[("inverter.i.listed", text)]);
        assert_eq!(mark("\"UL 1741\""), "passes");
        assert_eq!(mark("\"none\""), "breach");
        assert_eq!(mark("\"None\""), "breach");
        assert_eq!(mark("\"unknown\""), "undecided doubt");
        assert_eq!(mark(""), "undecided doubt");
    }

    #[test]
    fn the_part_is_named() {
        let found = of("O03", &[("battery.b.listed", "\"none\"")]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].says, "battery \"b\" carries no listing mark");
        assert_eq!(found[0].at[0].field.as_str(), "battery.b.listed");
    }
}
