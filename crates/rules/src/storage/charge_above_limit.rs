//! # More charge current than a bank takes
//!
//! What it checks: the charge currents of everything on the bus together against the continuous charge current of all
//! units.
//!
//! Why it matters: above its limit a cell heats and ages, a lead-acid cell boils, and the electronics of a unit that
//! protects itself drop the bank off the bus in full sun.
//!
//! Known limits: by the highest current of each charger; a lower setting would mend it and is not a field that is used
//! yet.
//!
//! Source: data sheets.
//!
//! Fails: 100 A offered to one unit that takes 50 A.
//! Passes: to two.

use crate::words::{above, both, exceeds, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B03",
    name: "charge-above-limit",
    severity: Severity::Danger,
    clause: practice("chargers together stay under the bank's charge current"),
    text: include_str!("charge_above_limit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bank in &study.banks {
        let (offered, limit) = match both(&bank.charge_offered, &bank.charge_limit) {
            Ok(known) => known,
            Err(gap) => {
                let thing = format!("bank \"{}\"", bank.name);
                findings.undecided_for(&thing, "whether it takes what the chargers send is not known", gap);
                continue;
            }
        };
        if !exceeds(offered, limit) {
            continue;
        }
        let path = format!("bank.{}.parallel", bank.name);
        let finding = findings.fails(format!(
            "bank \"{}\": {} {}, all units together take {}",
            bank.name,
            if bank.share.is_some() {
                "its share of what the chargers can send is"
            } else {
                "the chargers can send"
            },
            say(study, offered),
            say(study, limit)
        ));
        finding
            .at(path.clone(), "units side by side set here")
            .figure(&["banks", &bank.name, "charge-offered"])
            .because([offered.term("sent", &units::AMPERE), limit.term("taken", &units::AMPERE)])
            .explains("Set the chargers so that all together stay under it, and write the setting down; or use more units.");
        // More units of a bank beside another also take more of the current.
        if let Fact::Known(n) = &bank.parallel
            && bank.share.is_none()
            && n.count() > 0
            && limit.si() > 0.0
        {
            let each = limit.si() / f64::from(n.count());
            let enough =
                (n.count() + 1..=n.count() + 200).find(|n| !above(offered.si(), each * f64::from(*n)));
            if let Some(enough) = enough {
                finding.remedy(Remedy::set(
                    format!("{enough} side by side instead of {}", n.count()),
                    path,
                    enough.to_string(),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// Four units of 50 A take 200 A.
    #[test]
    fn an_ampere_decides() {
        let sends = |amps| verdict("B03", &[("inverter.i.charge", amps)]);
        assert_eq!(sends("\"199 A\""), "passes");
        assert_eq!(sends("\"200 A\""), "passes");
        assert_eq!(sends("\"201 A\""), "danger");
        assert_eq!(sends("\"unknown\""), "undecided danger");
        assert!(
            of("B03", &[("inverter.i.charge", "\"201 A\"")])[0].remedies[0]
                .says
                .starts_with("5 side by side")
        );
    }
}
