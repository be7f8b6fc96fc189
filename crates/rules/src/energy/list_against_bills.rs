//! # The list of loads does not match the bills
//!
//! What it checks: the energy of the list over a year against twelve bills. Within 10 % is good; up to 25 % a load is
//! missing or counted too often; beyond, nothing should be sized on the list yet.
//!
//! Also whether a list that is to be scaled or filled up to its bills has any.
//!
//! Why it matters: every figure of the design rests on what the house uses. A forgotten water heater doubles the array.
//!
//! Known limits: the year as a whole and the month that differs most; bills of a changed household prove little.
//!
//! Source: common practice, no source, for the bands.
//!
//! Fails: 300 kWh on the list, 400 on the bill.
//! Passes: 370 on the list, 400 on the bill.

use crate::{Findings, Rule, Severity};
use loads::{Agreement, Unlisted};
use quantity::{practice, print_in, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "E04",
    name: "list-against-bills",
    severity: Severity::Doubt,
    clause: practice("a list agrees with the bills within 10 %"),
    text: include_str!("list_against_bills.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    without_bills(study, findings);
    let Some(reconciled) = &study.demand.reconciled else { return };
    let year = &reconciled.year;
    let (Some(difference), Some(agreement)) = (year.difference, year.agreement) else { return };
    if agreement == Agreement::Good {
        return;
    }
    let side = if difference > 0.0 { "below" } else { "above" };
    let finding = findings.fails(format!(
        "the list of loads is {} {side} the bills ({:.0} and {:.0} kWh a year): {}",
        print_in(difference.abs(), &units::PERCENT),
        year.list_wh / 1000.0,
        year.bill_wh / 1000.0,
        agreement.in_words()
    ));
    finding
        .at(
            if study.design.system.bills.energy.is_known() { "bills.kwh" } else { "bills.meter" },
            "bills set here",
        )
        .figure(&["loads-total", "against-bills"])
        .because(study.demand.difference.as_ref().map(|d| d.term("difference", &units::PERCENT)))
        .explains(if difference > 0.0 {
            "Look for heating of rooms or water, pumps, a dehumidifier, and what is on standby."
        } else {
            "Look for hours that are too long and for loads that are counted twice."
        });
    if let Some(worst) = reconciled.worst
        && let (Some(name), Some(month)) = (quantity::MONTHS.get(worst), reconciled.months.get(worst))
    {
        finding.explains(format!(
            "{name} differs most: {:.0} kWh on the list, {:.0} kWh on the bill.",
            month.list_wh / 1000.0,
            month.bill_wh / 1000.0
        ));
    }
}

/// A list that is to meet bills which are not there stands as it is, and nobody would notice.
fn without_bills(study: &Study, findings: &mut Findings<'_>) {
    let bills = &study.design.system.bills;
    let asked = match bills.unlisted.value() {
        Some(Unlisted::Scaled) => "scaled to the bills",
        Some(Unlisted::Added) => "filled up to the bills",
        Some(Unlisted::Left) | None => return,
    };
    let why = match &study.demand.meter {
        _ if bills.energy.is_known() => return,
        // A file that cannot be read has a finding of its own.
        Some(Err(_)) => return,
        Some(Ok(meter)) if meter.account.whole_months_wh().iter().any(Option::is_some) => return,
        Some(Ok(_)) => "no month of the meter is whole",
        None => "there are none",
    };
    findings
        .fails(format!("the list of loads is to be {asked}, and {why}: it stands as it is"))
        .at("bills.unlisted", "asked for here")
        .explains("Write twelve bills, or name a meter's file with a whole month; or leave the list alone: unlisted = \"left\".");
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 1500 W · 6 h · 365 = 3285 kWh on the list.
    fn bills(kwh: f64) -> Vec<(&'static str, String)> {
        let month = format!("{:.4}", kwh / 12.0);
        let months = format!("[bills]\nkwh = [{}]", vec![month; 12].join(", "));
        let mut all: Vec<(&str, String)> =
            ["lights", "water heater", "pump"].map(|name| (name, "0".to_string())).to_vec();
        for (name, _) in &mut all {
            *name = match *name {
                "lights" => "load.lights.watts",
                "pump" => "load.pump.watts",
                _ => "load.water heater.watts",
            };
        }
        all.push(("load.kitchen.hours", "6".into()));
        all.push(("+", months));
        all
    }

    fn says(kwh: f64) -> String {
        let all = bills(kwh);
        verdict("E04", &all.iter().map(|(a, b)| (*a, b.as_str())).collect::<Vec<_>>())
    }

    #[test]
    fn a_tenth_decides() {
        assert_eq!(says(3285.0), "passes");
        // 3285 of 3650 is exactly a tenth below.
        assert_eq!(says(3649.0), "passes");
        assert_eq!(says(3652.0), "doubt");
        assert_eq!(says(2980.0), "doubt");
        assert_eq!(verdict("E04", &[]), "passes");
    }

    #[test]
    fn a_list_that_is_to_meet_no_bills_is_told() {
        let says = |unlisted: &str| {
            let bills = format!("[bills]\nunlisted = \"{unlisted}\"");
            let found = of("E04", &[("+", bills.as_str())]);
            found.first().map(|finding| finding.says.clone())
        };
        let told = "the list of loads is to be scaled to the bills, and there are none: it stands as it is";
        assert_eq!(says("scaled").as_deref(), Some(told));
        assert!(says("added").is_some_and(|says| says.contains("filled up to the bills")));
        assert_eq!(says("left"), None);
    }

    #[test]
    fn beyond_a_quarter_nothing_should_be_sized() {
        let words = |kwh| {
            let all = bills(kwh);
            of("E04", &all.iter().map(|(a, b)| (*a, b.as_str())).collect::<Vec<_>>())[0].says.clone()
        };
        assert!(words(4000.0).contains("find the missing load"));
        assert!(words(4400.0).contains("do not size yet"));
        let all = |kwh: f64| {
            let all = bills(kwh);
            let found = of("E04", &all.iter().map(|(a, b)| (*a, b.as_str())).collect::<Vec<_>>());
            format!("{} {}", found[0].says, found[0].more.join(" "))
        };
        assert!(all(4000.0).contains(" below the bills") && all(4000.0).contains("Look for heating"));
        assert!(all(2900.0).contains(" above the bills") && all(2900.0).contains("counted twice"));
    }
}
