//! # More modules than the maker allows
//!
//! What it checks: the rated power of all modules on an input, and on an inverter, against the largest array the maker
//! allows there.
//!
//! Why it matters: an array larger than the output is normal and useful in winter. Beyond the maker's own limit the
//! warranty ends, and a maker that states a limit has a reason.
//!
//! Known limits: only where the data sheet states a limit; a blank states none.
//!
//! Source: common practice, no source; the maker's data sheet.
//!
//! Fails: 8 modules of 540 W on an input of 4 kW.
//! Passes: 7 of them.

use crate::words::{exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Measure, Power, Traced, practice, sum, units};
use study::{InputStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "D08",
    name: "array-above-maker-limit",
    severity: Severity::Doubt,
    clause: practice("an array stays within the maker's limit"),
    text: include_str!("array_above_maker_limit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for input in &study.inputs {
        let Some(unit) = system.unit(&input.unit) else { continue };
        let limit = system.pv_inputs(unit).get((input.input.max(1) - 1) as usize).map(|i| &i.power);
        if let (Fact::Known(power), Some(Fact::Known(limit))) = (&input.power, limit) {
            let what = format!("input {} of \"{}\"", input.input, input.unit);
            hold(study, findings, &what, power, limit, &[input]);
        }
    }
    for unit in &system.units_in_place {
        let Some(Fact::Known(limit)) = system.inverter_of(unit).map(|part| &part.array_power) else {
            continue;
        };
        let here: Vec<&InputStudy> = study.inputs.iter().filter(|input| input.unit == unit.name).collect();
        let known: Vec<_> =
            here.iter().filter_map(|i| Some((i.unit.clone(), i.power.known()?.clone()))).collect();
        if !here.is_empty() && known.len() == here.len() {
            let all = sum(known, &units::WATT);
            hold(study, findings, &format!("\"{}\"", unit.name), &all, limit, &here);
        }
    }
}

fn hold(
    study: &Study,
    findings: &mut Findings<'_>,
    what: &str,
    power: &Traced<Power>,
    limit: &Traced<Power>,
    inputs: &[&InputStudy],
) {
    if !exceeds(power, limit) {
        return;
    }
    let strings: Vec<_> = inputs.iter().flat_map(|input| &input.strings).collect();
    let Some(last) = strings.last() else { return };
    let finding = findings.fails(format!(
        "{what}: {} of modules, its maker allows {}",
        say(study, power),
        say(study, limit)
    ));
    finding
        .at(format!("string.{last}.count"), "modules set here")
        .at_field(field(limit), "limit set here")
        .because([power.term("modules", &units::WATT), limit.term("allowed", &units::WATT)]);
    let string = study.strings.iter().find(|s| s.name == **last);
    let each = string.and_then(|s| study.design.system.module(&s.module)?.power.si());
    let (Some(each), Some(count)) = (each, string.and_then(|s| s.count.value())) else { return };
    let fits = (1..count.0).rev().find(|n| {
        let less = f64::from(count.0 - n) * each;
        power.si() - less <= limit.value.si()
    });
    // A string that shares its input must stay like its neighbours.
    if let (Some(n), true) = (fits, inputs.iter().all(|input| input.strings.len() == 1)) {
        finding.remedy(Remedy::set(
            format!("{n} modules in \"{last}\" instead of {}", count.0),
            format!("string.{last}.count"),
            n.to_string(),
        ));
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 8 · 540 W = 4320 W.
    #[test]
    fn it_doubts_just_above_the_limit_of_input_or_inverter() {
        for path in ["inverter.i.pv_input.1.power", "inverter.i.array_power"] {
            assert_eq!(verdict("D08", &[(path, "\"4321 W\"")]), "passes");
            assert_eq!(verdict("D08", &[(path, "\"4320 W\"")]), "passes");
            assert_eq!(verdict("D08", &[(path, "\"4319 W\"")]), "doubt");
        }
        let found = of("D08", &[("inverter.i.array_power", "\"4 kW\"")]);
        assert!(found[0].remedies[0].says.starts_with("7 modules"));
        // 6 · 540 W = 3240 W.
        let found = of("D08", &[("inverter.i.array_power", "\"3.3 kW\"")]);
        assert!(found[0].remedies[0].says.starts_with("6 modules"), "{}", found[0].remedies[0].says);
    }
}
