//! # A string reaches more volts than its limit
//!
//! What it checks: the open-circuit voltage of every string on the coldest bright morning against the lowest of all limits
//! on its way: what the input survives, what the modules are made for, what the place allows for module circuits on or
//! in a building (600 V on one- and two-family dwellings), and what combiner, devices, switches and cables are rated for.
//!
//! Why it matters: silicon gives more volts when it is cold. A string that looks harmless on the label can destroy the
//! inverter on its first frosty sunrise, and no warranty covers it.
//!
//! Known limits: by the coefficient of the data sheet, linear in temperature; the place limit is applied to every
//! design, also where all module circuits stay off the building. Connectors count with the label of their module;
//! building wire and PV wire with 600 V, unless their print is stated (not by IEC). Surge devices are not in it.
//!
//! Source: NEC 2023, 690.7 and 690.7(A) (read second-hand); the arithmetic of the coefficient.
//!
//! Fails: ten modules of 49.5 V and −0.27 %/K at −28 °C on a 500 V input: 566 V.
//! Passes: eight of them: 453 V.

use crate::words::{both, exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Count, Fact, Measure, Standing, Traced, Voltage, nec, product_of_count, units};
use study::{StringStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "D01",
    name: "string-voltage-over-limit",
    severity: Severity::Danger,
    clause: nec("2023", "690.7", Standing::SecondHand),
    text: include_str!("string_voltage_over_limit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for string in &study.strings {
        let limits = limits(string);
        let broken = string.cold_voc.known().and_then(|reached| {
            let over = limits.iter().filter_map(|(name, limit)| Some((name, limit.known()?)));
            let over = over.filter(|(_, limit)| exceeds(reached, limit));
            over.min_by(|a, b| a.1.si().total_cmp(&b.1.si())).map(|(name, limit)| (reached, name, limit))
        });
        if let Some((reached, name, limit)) = broken {
            fails(study, findings, string, reached, name, limit, &limits);
        } else if let Err(gap) = both(&string.cold_voc, &string.limit) {
            findings
                .undecided_for(
                    &format!("string \"{}\"", string.name),
                    "its voltage on the coldest morning cannot be held against its limits",
                    gap,
                )
                .explains("Until it is known this string counts as too long: cold modules give more volts than their label says.");
        }
    }
}

fn limits(string: &StringStudy) -> Vec<(String, &Fact<Voltage>)> {
    string.limits.iter().map(|limit| (limit.what.clone(), &limit.volts)).collect()
}

fn fails(
    study: &Study,
    findings: &mut Findings<'_>,
    string: &StringStudy,
    reached: &Traced<Voltage>,
    name: &str,
    limit: &Traced<Voltage>,
    limits: &[(String, &Fact<Voltage>)],
) {
    let count_field = format!("string.{}.count", string.name);
    let said: Vec<String> = limits
        .iter()
        .map(|(name, limit)| match limit {
            Fact::Known(limit) => format!("{name} {}", say(study, limit)),
            Fact::Unknown(_) => format!("{name} not known"),
        })
        .collect();
    let count = string.count.value().map_or(0, |count| count.0);
    let coldest = study.design.system.place.coldest.known();
    let at = coldest.map(|t| format!(" at {}", say(study, t))).unwrap_or_default();
    let too_much = Voltage::from_si(reached.si() - limit.si());
    let finding = findings.fails(format!(
        "string \"{}\": {count} modules in series reach {}{at}, {} above the {} of {name}",
        string.name,
        say(study, reached),
        say(study, &reached.with(too_much)),
        say(study, limit),
    ));
    finding
        .at(count_field.clone(), format!("{count} in series set here"))
        .at_field(field(limit), "limit set here")
        .figure(&["strings", &string.name, "cold-voc"])
        .because([reached.term("reached", &units::VOLT), limit.term("limit", &units::VOLT)])
        .explains(format!("Limits: {}. The lowest one binds.", said.join(", ")));
    let label = study.design.system.module(&string.module).and_then(|module| module.voc.known());
    if let (Some(label), Fact::Known(count)) = (label, &string.count) {
        let all = product_of_count(count, label, &units::VOLT);
        finding.explains(format!(
            "At the label's 25 °C the same string has {}; cold is what decides, and the coldest bright morning will come.",
            say(study, &all)
        ));
    }
    let (Fact::Known(longest), Fact::Known(each)) = (&string.longest, &string.cold_voc_each) else { return };
    let reach = |n: u32| say(study, &product_of_count(&longest.with(Count(n)), each, &units::VOLT));
    let (n, next) = (longest.count(), longest.count() + 1);
    if n == 0 {
        finding.explains("Not even one of these modules may be connected here.");
        return;
    }
    finding.explains(format!(
        "{n} is the most that fits: {n} reach {}, {next} would reach {}.",
        reach(n),
        reach(next)
    ));
    if string.shortest.value().is_none_or(|shortest| shortest.0 <= n) {
        finding.remedy(Remedy::set(
            format!("{n} modules instead of {count}: {}", reach(n)),
            count_field,
            n.to_string(),
        ));
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{close, of, study_of, verdict};
    use crate::{Change, remedies};
    use study::Depth;

    const TEN: (&str, &str) = ("string.row.count", "10");
    /// The trial house is the house of acceptance story S1 but for the upper end of its tracking window.
    const TRACKS: (&str, &str) = ("inverter.i.pv_input.1.tracks", r#"["120 V", "450 V"]"#);

    #[test]
    fn eight_modules_pass_and_nine_fail() {
        assert_eq!(verdict("D01", &[("string.row.count", "8")]), "passes");
        assert_eq!(verdict("D01", &[("string.row.count", "9")]), "danger");
    }

    /// 8 · 49.5 V · (1 + 0.0027 · 53) = 452.6676 V by hand.
    #[test]
    fn a_limit_just_reached_passes_and_a_little_less_fails() {
        let limit = |volts| [("inverter.i.pv_input.1.voltage_limit", volts)];
        assert_eq!(verdict("D01", &limit("\"452.6677 V\"")), "passes");
        assert_eq!(verdict("D01", &limit("\"452.6676 V\"")), "passes");
        assert_eq!(verdict("D01", &limit("\"452.6 V\"")), "danger");
    }

    #[test]
    fn without_the_coldest_temperature_nothing_passes() {
        let blank = [("place.coldest.value", "\"unknown\"")];
        assert_eq!(verdict("D01", &blank), "undecided danger");
        let found = &of("D01", &blank)[0];
        assert_eq!(found.undecided.as_ref().unwrap().missing[0].field.as_str(), "place.coldest.value");
        assert!(found.blocks());
    }

    #[test]
    fn a_known_limit_that_is_broken_decides_although_another_is_unknown() {
        let unknown = ("module.m.system_voltage", "\"unknown\"");
        assert_eq!(verdict("D01", &[TEN, unknown]), "danger");
        assert_eq!(verdict("D01", &[unknown]), "undecided danger");
    }

    /// 11 · 56.58 V = 622 V: the dwelling binds before a 700 V input and the module's 1000 V.
    #[test]
    fn the_limit_of_the_dwelling_binds_where_it_is_the_lowest() {
        let high = ("inverter.i.pv_input.1.voltage_limit", "\"700 V\"");
        let found = of("D01", &[("string.row.count", "11"), high]);
        assert!(
            found[0].says.contains("600 V of module circuits on a one- or two-family dwelling"),
            "{}",
            found[0].says
        );
        let other = ("place.dwelling", "\"other\"");
        let eleven = [("string.row.count", "11"), high, other];
        // The cable counts with 600 V until its print is stated.
        assert_eq!(verdict("D01", &eleven), "danger");
        let print = ("run.down.cable_volts", "\"1000 V\"");
        assert_eq!(verdict("D01", &[eleven[0], eleven[1], eleven[2], print]), "passes");
    }

    /// Acceptance story S1, "the string that is legal in July".
    #[test]
    fn the_mountain_house_is_stopped_and_told_eight() {
        let study = study_of(&[TEN, TRACKS], Depth::WithoutYear);
        let string = &study.strings[0];
        close(string.cold_voc.si().unwrap(), 565.8);
        close(string.cold_voc_each.si().unwrap(), 56.58);
        close(string.cold_voc_by_table.si().unwrap(), 599.0);
        assert_eq!(string.longest.value().unwrap().0, 8);
        let found = of("D01", &[TEN, TRACKS]);
        assert_eq!((found.len(), found[0].undecided.is_some()), (1, false));
        // 565.8 V less 500 V.
        assert!(found[0].says.contains(" 65.83 V above"), "{}", found[0].says);
        let Change::Set { field, value } = &found[0].remedies[0].changes[0] else { panic!() };
        assert_eq!((field.as_str(), value.as_str()), ("string.row.count", "8"));
        let text = crate::trial::text(&[TEN, TRACKS]);
        let mended = remedies::apply(&text, &found[0].remedies[0]).unwrap();
        assert!(mended.contains("count = 8"));
        // One step less still fails: nine.
        assert_eq!(verdict("D01", &[("string.row.count", "9"), TRACKS]), "danger");
        // With eight: 453 V and 280 V, and the note on the tracking window.
        let eight = study_of(&[TRACKS], Depth::WithoutYear);
        close(eight.strings[0].cold_voc.si().unwrap(), 452.7);
        close(eight.strings[0].hot_vmp.si().unwrap(), 279.7);
        assert_eq!(verdict("D02", &[TRACKS]), "note");
        assert_eq!(verdict("D03", &[TRACKS]), "passes");
    }

    /// Eight modules reach 453 V.
    #[test]
    fn what_lies_on_the_way_limits_it_too() {
        let device = |volts: &str| {
            format!(
                "{{ kind = \"dc breaker\", rating = \"25 A\", volts = {volts}, polarised = \"no\", interrupts = \"1 kA\" }}"
            )
        };
        let says = |volts: &str| verdict("D01", &[("run.down.device", &device(volts))]);
        assert_eq!(says("\"500 V\""), "passes");
        assert_eq!(says("\"450 V\""), "danger");
        assert_eq!(says("\"unknown\""), "undecided danger");
        let cable = |volts: &'static str| verdict("D01", &[("run.down.cable_volts", volts)]);
        assert_eq!(cable("\"450 V\""), "danger");
        assert_eq!(cable("\"1000 V\""), "passes");
        let found = of("D01", &[("run.down.cable_volts", "\"450 V\"")]);
        assert!(found[0].says.contains("cable of run \"down\""), "{}", found[0].says);
        let switch = "[[disconnect]]\nname = \"s\"\nbetween = [\"row\", \"inverter\"]\nat = \"inverter\"\nkind = \"load-break switch\"\nrating = \"32 A\"\nvolts = \"440 V\"\nstands = \"at the equipment\"\nlockable = \"yes\"\nprice = 60";
        assert_eq!(verdict("D01", &[("+", switch)]), "danger");
    }
}
