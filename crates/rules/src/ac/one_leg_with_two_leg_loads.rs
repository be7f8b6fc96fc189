//! # A 120 V source and 240 V loads
//!
//! What it checks: a house that is fed by 120 V alone has no 240 V loads and no panel wired for 120/240 V.
//!
//! Why it matters: a panel with two legs joined onto one source has both legs in step. A 240 V load sees nothing, and
//! the shared neutral of a multiwire circuit carries the sum of both legs instead of their difference, without any
//! breaker that would notice.
//!
//! Known limits: multiwire circuits are not fields that are used yet; ask of every circuit with a shared neutral.
//!
//! Source: NEC 2023, 710.15(C) (read second-hand).
//!
//! Fails: one inverter of 120 V and a pump of 240 V.
//! Passes: two such inverters stacked on legs A and B.

use crate::{Findings, Rule, Severity};
use loads::Leg;
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A04",
    name: "one-leg-with-two-leg-loads",
    severity: Severity::Breach,
    clause: nec("2023", "710.15(C)", Standing::SecondHand),
    text: include_str!("one_leg_with_two_leg_loads.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let inverters: Vec<_> =
        system.units_in_place.iter().filter_map(|unit| Some((unit, system.inverter_of(unit)?))).collect();
    if inverters.is_empty() {
        return;
    }
    if let Some(Fact::Unknown(gap)) =
        inverters.iter().map(|(_, part)| &part.volts).find(|volts| !volts.is_known())
    {
        if needs_two_legs(study).next().is_some() {
            findings.undecided("whether the house has two legs is not known", gap.clone());
        }
        return;
    }
    let fed = |leg: Leg| inverters.iter().any(|(unit, _)| unit.leg.value() == Some(&leg));
    // Half way between 120 V and 240 V parts the two beyond doubt.
    let whole = |volts: f64| volts > 180.0;
    if inverters.iter().any(|(_, part)| part.volts.value().is_some_and(|v| whole(v.across())))
        || (fed(Leg::A) && fed(Leg::B))
    {
        return;
    }
    for (path, what) in needs_two_legs(study) {
        findings
            .fails(format!("{what} needs two legs, and the house is fed by 120 V alone"))
            .at(path, "240 V asked for here")
            .explains("Use a second inverter stacked for the other leg, a unit with both legs, or a 120 V part instead.");
    }
}

/// Everything that asks for 240 V, with its place.
fn needs_two_legs(study: &Study) -> impl Iterator<Item = (String, String)> {
    let system = &study.design.system;
    let panels = system
        .panels
        .iter()
        .filter(|panel| panel.fed_by.iter().all(|name| system.unit(name).is_some()))
        .filter(|panel| panel.volts.value().is_some_and(|v| v.across() > v.to_neutral()))
        .map(|panel| (format!("panel.{}.volts", panel.name), format!("panel \"{}\"", panel.name)));
    // Supply voltages lie near 120 V or near 240 V; half way parts the two.
    let loads = system
        .loads
        .iter()
        .filter(|load| load.volts.value().is_some_and(|v| quantity::Measure::si(*v) > 180.0))
        .map(|load| (format!("load.{}.volts", load.name), format!("load \"{}\"", load.name)));
    panels.chain(loads)
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_single_leg_feeds_no_240_volt_load() {
        assert_eq!(verdict("A04", &[]), "passes");
        let single = ("inverter.i.volts", "\"120\"");
        // The panel, the heater and the pump.
        assert_eq!(of("A04", &[single]).len(), 3);
        let small = [
            single,
            ("panel.panel.volts", "\"120\""),
            ("load.water heater.volts", "120"),
            ("load.pump.volts", "120"),
        ];
        assert_eq!(verdict("A04", &small), "passes");
        assert_eq!(verdict("A04", &[("inverter.i.volts", "\"unknown\"")]), "undecided breach");
    }

    #[test]
    fn two_stacked_units_make_two_legs() {
        let second =
            "[[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"bank\"\nroom = \"corner\"\nleg = \"B\"";
        let single = ("inverter.i.volts", "\"120\"");
        assert_eq!(verdict("A04", &[("+", second), single]), "breach");
        assert_eq!(verdict("A04", &[("+", second), single, ("unit.inverter.leg", "\"A\"")]), "passes");
    }
}
