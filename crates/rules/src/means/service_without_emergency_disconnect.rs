//! # A new service is not switched off from outside
//!
//! What it checks: that the service of a one- or two-family dwelling, where its equipment comes new with this design, is
//! switched off by a disconnect outside, within easy reach.
//!
//! Why it matters: the fire department does not enter a house whose service it cannot switch off.
//!
//! Known limits: NEC only. Service equipment that is there already and stays is not judged. Marking is not judged.
//!
//! Source: NEC 2023, 230.85 (from memory).
//!
//! Fails: a new panel in the hall fed by the utility, without a disconnect outside.
//! Passes: a disconnect at the meter.

use crate::{Findings, Remedy, Rule, Severity};
use design::system::{Control, Dwelling, Rules};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "N03",
    name: "service-without-emergency-disconnect",
    severity: Severity::Breach,
    clause: nec("2023", "230.85", Standing::Remembered),
    text: include_str!("service_without_emergency_disconnect.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let other = system.place.dwelling.value() == Some(&Dwelling::Other);
    if study.wiring.is_err() || other || system.place.rules.value() == Some(&Rules::Iec60364) {
        return;
    }
    let fed = |names: &[std::sync::Arc<str>]| names.iter().any(|name| &**name == design::circuits::UTILITY);
    let new = system.panels.iter().any(|p| fed(&p.fed_by) && p.existing.value() != Some(&true))
        || system.transfers.iter().any(|t| fed(&t.transfer.from));
    if !new {
        return;
    }
    match &system.utility.emergency_disconnect {
        Fact::Known(control) if control.value == Control::Outside => {}
        Fact::Known(_) => {
            let path = "utility.emergency_disconnect";
            findings
                .fails("the new service equipment is not switched off from outside")
                .at(path, "stated here")
                .remedy(Remedy::set("a disconnect outside, within easy reach", path, "\"outside\""));
        }
        Fact::Unknown(gap) => {
            findings
                .undecided("where the new service is switched off in an emergency is not known", gap.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn service(more: &str, existing: &str) -> String {
        format!(
            "[utility]\nrole = \"backup by transfer\"\nservice = \"100 A\"\n{more}\n\
            [[panel]]\nname = \"service\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"100 A\"\nmain = \"100 A\"\nbond = \"yes\"\nexisting = \"{existing}\"\nprice = 0"
        )
    }

    #[test]
    fn a_new_service_has_one_outside() {
        assert_eq!(verdict("N03", &[]), "passes");
        assert_eq!(verdict("N03", &[("+", &service("", "yes"))]), "passes");
        assert_eq!(verdict("N03", &[("+", &service("", "no"))]), "undecided breach");
        assert_eq!(verdict("N03", &[("+", &service("emergency_disconnect = \"inside\"", "no"))]), "breach");
        assert_eq!(verdict("N03", &[("+", &service("emergency_disconnect = \"outside\"", "no"))]), "passes");
    }
}
