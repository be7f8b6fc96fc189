//! # More units side by side than their maker allows
//!
//! What it checks: battery units of a bank, and inverters of one kind, against the largest number their makers allow
//! together, where the data sheet states one.
//!
//! Why it matters: battery units beyond that number do not see each other. They share badly and alarm without a cause
//! anyone finds. Inverters beyond it need not keep step, and two outputs out of step destroy each other; equipment is
//! used as its instructions say, therefore that is a breach.
//!
//! Known limits: only where the data sheet states a number; a blank states none.
//!
//! Source: data sheets; NEC 2023, 110.3(B) (from memory).
//!
//! Fails: nine units of a kind of which eight may stand together.
//! Passes: eight.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, practice};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B04",
    name: "too-many-in-parallel",
    severity: Severity::Doubt,
    clause: practice("no more units together than their maker allows"),
    text: include_str!("too_many_in_parallel.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for bank in &study.banks {
        let (Fact::Known(n), Fact::Known(most)) = (&bank.parallel, &bank.most_parallel) else { continue };
        if n.count() > most.count() {
            let path = format!("bank.{}.parallel", bank.name);
            findings
                .fails(format!(
                    "bank \"{}\": {} units side by side, their maker allows {}",
                    bank.name,
                    n.count(),
                    most.count()
                ))
                .at(path.clone(), "units side by side set here")
                .remedy(Remedy::set(format!("{} units", most.count()), path, most.count().to_string()));
        }
    }
    for part in &system.inverters {
        let Fact::Known(most) = &part.units_in_parallel else { continue };
        let units = system
            .units_in_place
            .iter()
            .filter(|unit| system.inverter_of(unit).is_some_and(|inverter| inverter.name == part.name));
        let names: Vec<_> = units.map(|unit| unit.name.clone()).collect();
        if names.len() > most.count() as usize
            && let Some(last) = names.last()
        {
            findings
                .fails_as(
                    Severity::Breach,
                    format!(
                        "{} inverters \"{}\", their maker allows {} together",
                        names.len(),
                        part.name,
                        most.count()
                    ),
                )
                .at(format!("unit.{last}"), "one of them");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn one_too_many_is_a_doubt() {
        let units = |n| verdict("B04", &[("bank.bank.parallel", n)]);
        assert_eq!((units("7"), units("8"), units("9")), ("passes".into(), "passes".into(), "doubt".into()));
        assert_eq!(
            verdict("B04", &[("bank.bank.parallel", "9"), ("battery.b.units_in_parallel", "")]),
            "passes"
        );
    }

    #[test]
    fn inverters_are_counted_too() {
        let second = "[[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"bank\"";
        assert_eq!(verdict("B04", &[("+", second), ("inverter.i.units_in_parallel", "1")]), "breach");
        assert_eq!(verdict("B04", &[("+", second), ("inverter.i.units_in_parallel", "2")]), "passes");
    }
}
