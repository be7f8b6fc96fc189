//! # With one battery unit out of service the others are overloaded
//!
//! What it checks: the current of the bus shared by all units but one against what one unit bears.
//!
//! Why it matters: units drop out for a cold sensor, a firmware update, a tripped breaker. What happens to the rest then
//! decides between a dim evening and a dark one.
//!
//! Known limits: at full output of every inverter, which is seldom asked for long.
//!
//! Source: common practice, no source: even sharing among the units that remain.
//!
//! Fails: 142 A shared by one unit of 100 A when the second is out.
//! Passes: four units.

use crate::words::say;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;
use wiring::Demand;

pub(crate) static RULE: Rule = Rule {
    code: "B07",
    name: "one-unit-out",
    severity: Severity::Note,
    clause: practice("the units that remain share evenly"),
    text: include_str!("one_unit_out.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let (graph, Ok(schedule)) = (&study.design.graph, &study.wiring) else { return };
    for bank in &study.banks {
        let branch = schedule.circuits.iter().find_map(|sized| {
            let circuit = graph.circuits.get(sized.circuit.0)?;
            let here =
                graph.node(circuit.to)?.name == bank.name && matches!(circuit.demand, Demand::BatteryUnit(_));
            here.then_some(sized.one_out.as_ref()?)
        });
        let Some(Fact::Known(one_out)) = branch else { continue };
        let (share, rating) = (&one_out.value.share, &one_out.value.rating);
        if one_out.value.bears {
            continue;
        }
        findings
            .fails(format!(
                "bank \"{}\": with one unit out each of the others would carry {}, it is rated {}",
                bank.name,
                say(study, share),
                say(study, rating)
            ))
            .at(format!("bank.{}.parallel", bank.name), "units side by side set here")
            .because([share.term("share", &units::AMPERE), rating.term("rated", &units::AMPERE)])
            .explains("Write down which loads stay off while one unit is away.");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 141.8 A on the bus: one of two left carries all of it, each of two left of three 70.9 A.
    #[test]
    fn the_units_that_remain_decide() {
        assert_eq!(verdict("B07", &[("bank.bank.parallel", "2")]), "note");
        assert_eq!(verdict("B07", &[("bank.bank.parallel", "3")]), "passes");
        let rated = |amps: &str| {
            let current = format!("{{ charge = \"50 A\", discharge = {amps}, peak = \"150 A\" }}");
            verdict("B07", &[("bank.bank.parallel", "3"), ("battery.b.current", &current)])
        };
        assert_eq!(rated("\"70.9 A\""), "passes");
        assert_eq!(rated("\"70.8 A\""), "note");
        assert_eq!(rated("\"unknown\""), "passes");
    }

    /// Each bank is judged by its own units: two beside four.
    #[test]
    fn a_second_bank_is_judged_by_its_own_units() {
        let second = "[[bank]]\nname = \"small\"\nbattery = \"b\"\nparallel = 2\nroom = \"corner\"\n\
            [[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"small\"\nroom = \"corner\"\n";
        let found = of("B07", &[("+", second)]);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(found[0].says.starts_with("bank \"small\""), "{}", found[0].says);
    }
}
