//! # The list costs more than the budget
//!
//! What it checks: the sum of everything on the purchase list that has a price against the ceiling of the design.
//!
//! Why it matters: a system that is half paid for stands half built.
//!
//! Known limits: lines without a price are not in the sum, so it can only grow.
//!
//! Source: the purchase list of this project.
//!
//! Fails: a list of 8000 under a ceiling of 7500.
//! Passes: a ceiling of 8000.

use crate::words::exceeds;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "M01",
    name: "over-budget",
    severity: Severity::Doubt,
    clause: practice("the list stays under the ceiling"),
    text: include_str!("over_budget.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Some(budget) = &study.design.system.promise.budget else { return };
    let budget = match budget {
        Fact::Known(budget) => budget,
        Fact::Unknown(gap) => {
            findings.undecided("whether the list stays under the ceiling is not known", gap.clone());
            return;
        }
    };
    let (total, currency) = (&study.bill.total, study.design.system.currency);
    if !exceeds(total, budget) {
        return;
    }
    let finding = findings.fails(format!(
        "the purchase list comes to {}, the ceiling is {}",
        total.value.show(currency),
        budget.value.show(currency)
    ));
    finding
        .at("promise.budget", "ceiling set here")
        .figure(&["bill", "total"])
        .because([total.term("list", &units::COIN), budget.term("ceiling", &units::COIN)]);
    if study.bill.without_price > 0 {
        finding.explains(format!(
            "{} lines have no price yet and are not in the sum.",
            study.bill.without_price
        ));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 8 modules of 150, one inverter of 1900, 4 batteries of 1200, a panel of 90, a surge device of 45: 8035.
    #[test]
    fn a_coin_decides() {
        let ceiling = |text| verdict("M01", &[("+", text)]);
        assert_eq!(ceiling("[promise]\nbudget = 8036"), "passes");
        assert_eq!(ceiling("[promise]\nbudget = 8035"), "passes");
        assert_eq!(ceiling("[promise]\nbudget = 8034"), "doubt");
        assert_eq!(ceiling("[promise]\nbudget = \"unknown\""), "undecided doubt");
        assert_eq!(verdict("M01", &[]), "passes");
        let more = |price| {
            let changes = [("+", "[promise]\nbudget = 900"), ("module.m.price", price)];
            of("M01", &changes)[0].more.join(" ")
        };
        assert!(more("\"unknown\"").contains("no price yet"), "{}", more("\"unknown\""));
    }
}
