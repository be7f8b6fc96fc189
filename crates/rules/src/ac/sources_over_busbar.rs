//! # More sources on a busbar than it bears
//!
//! What it checks: a busbar that the utility feeds together with inverters that may feed the utility, by every test of
//! 705.12(B): sources and main device within the busbar; within 120 % of it with the sources at the end opposite to the
//! feed, or at one end of a busbar fed at its centre; all devices but the main one within the busbar. One of them must
//! pass, or the busbar with what a listed power control system holds (705.13). Inverters count with 125 % of their output,
//! also those on panels further down. A feeder with sources at its far end carries 125 % of what they give, and so does
//! its device. A busbar that several inverters feed by themselves must bear 125 % of the greatest of its legs.
//!
//! Why it matters: the loads of a panel can draw from the utility and from the inverters at once. The main device sees
//! only its own part, and nothing else watches the busbar.
//!
//! Known limits: a joint in the middle of a feeder is described as a panel of its own. What a power control system holds is
//! taken from its setting; that only the qualified can change it is not judged. Connections on the supply side of the main
//! device are of A12. Inverters are counted where their input or output is joined.
//!
//! Source: NEC 2023, 705.12(A) (from memory), 705.12(B), 705.13 (read second hand); of 2020 and 2026 by their own numbers.
//!
//! Fails: an inverter of 48 A on a 200 A busbar with a 200 A main: 260 A of 240 A.
//! Passes: one of 32 A at the end opposite to the main.

use crate::words::say;
use crate::{Findings, Remedy, Rule, Severity};
use design::system::SourcesAt;
use quantity::{Fact, Measure, Standing, nec, print, units};
use study::Study;
use wiring::BusTest;

pub(crate) static RULE: Rule = Rule {
    code: "A07",
    name: "sources-over-busbar",
    severity: Severity::Breach,
    clause: nec("2023", "705.12(B), 705.13", Standing::SecondHand),
    text: include_str!("sources_over_busbar.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bus in study::busbars(study) {
        let path = format!("panel.{}", bus.panel);
        match &bus.passes {
            Fact::Known(passes) if passes.value => {}
            Fact::Known(_) => {
                let finding =
                    findings.fails(format!("panel \"{}\": more sources than its busbar bears", bus.panel));
                finding.at(format!("{path}.bus"), "busbar rated here");
                for answer in &bus.answers {
                    let (Fact::Known(needs), Fact::Known(allows)) = (&answer.needs, &answer.allows) else {
                        continue;
                    };
                    finding.explains(format!(
                        "{}: {} of {} allowed ({}).",
                        answer.test.in_words(),
                        say(study, needs),
                        say(study, allows),
                        answer.clause.clause
                    ));
                    if answer.test == BusTest::PlainSum {
                        finding.because([
                            needs.term("sources and main device", &units::AMPERE),
                            allows.term("busbar", &units::AMPERE),
                        ]);
                    }
                }
                finding.figure(&["busbars", &bus.panel, "plain-sum", "needs"]);
                let placed = study.design.system.panel(&bus.panel).map(|panel| &panel.sources_at);
                if !bus.with_utility || placed.is_none() {
                    continue;
                }
                let opposite = placed.is_some_and(|at| at.value() == Some(&SourcesAt::OppositeEnd));
                let end = "\"end opposite to the feed\"";
                if !opposite {
                    finding.remedy(Remedy::set(
                        "the breakers of the sources at the end opposite to the feed",
                        format!("{path}.sources_at"),
                        end,
                    ));
                }
                if let Some(main) = smaller_main(&bus) {
                    let amps = print(main.si(), quantity::Current::KIND, study.design.system.units);
                    finding.remedy(
                        Remedy::set(
                            format!("a main device of {amps} and the sources at the opposite end"),
                            format!("{path}.main"),
                            format!("\"{} A\"", main.si()),
                        )
                        .and_set(format!("{path}.sources_at"), end),
                    );
                }
            }
            Fact::Unknown(gap) => {
                let thing = format!("panel \"{}\"", bus.panel);
                findings.undecided_for(
                    &thing,
                    "whether its busbar bears all its sources cannot be said",
                    gap.clone(),
                );
            }
        }
    }
    for feeder in study::feeders(study) {
        feeder_bears(study, findings, &feeder);
    }
}

fn feeder_bears(study: &Study, findings: &mut Findings<'_>, feeder: &study::FeederStudy) {
    let thing = format!("feeder \"{}\"", feeder.name);
    match &feeder.passes {
        Fact::Known(passes) if passes.value => {}
        Fact::Known(_) => {
            let run = study.design.graph.circuits.get(feeder.circuit.0).and_then(|c| c.run);
            let path = match run.and_then(|run| study.design.system.runs.get(run.0)) {
                Some(run) => run.field.to_string(),
                None => "run".to_string(),
            };
            let finding = findings.fails(format!("{thing} bears less than the sources at its far end ask"));
            finding.at(path, "this feeder").figure(&["busbars", &feeder.name, "feeder", "needs"]);
            let mut said = Vec::new();
            for (what, fact) in [
                ("125 % of the sources", &feeder.needs),
                ("its device", &feeder.device),
                ("its conductor at the terminals", &feeder.carries),
                ("its conductor where it lies", &feeder.where_it_lies),
            ] {
                if let Fact::Known(amps) = fact {
                    said.push(format!("{what} {}", say(study, amps)));
                    finding.because([amps.term(what, &units::AMPERE)]);
                }
            }
            finding.explains(format!("{}.", said.join(", ")));
        }
        Fact::Unknown(gap) => {
            let says = "whether it bears the sources at its far end cannot be said";
            findings.undecided_for(&thing, says, gap.clone());
        }
    }
}

/// The largest standard main device that passes with the sources at the opposite end.
fn smaller_main(bus: &study::BusStudy) -> Option<quantity::Current> {
    let sum = bus.answers.iter().find(|answer| answer.test == BusTest::OppositeEnds)?;
    let (allows, needs) = (sum.allows.si()?, sum.needs.si()?);
    let most = bus.bus.main.si()? - (needs - allows);
    let rating = tables::largest_standard_rating_not_above(most, tables::Protection::Breaker).ok()?;
    Some(rating.value)
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// The utility with a panel of 200 A and a main of 200 A; the trial inverter hangs on it by its input. 7.68 kW at 240 V
    /// are 32 A, the largest that the published worked example of 200 A takes at the far end.
    const GRID: (&str, &str) = (
        "+",
        "[utility]\nrole = \"interactive\"\nservice = \"200 A\"\nconductors = \"4/0 AWG\"\nconductor_metal = \"aluminum\"\n\
        [[panel]]\nname = \"service\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nmain = \"200 A\"\nbond = \"no\"\nexisting = \"yes\"\nprice = 0\nsources_at = \"end opposite to the feed\"\n\
        [[run]]\nname = \"tie\"\nbetween = [\"service\", \"inverter\"]\nterminals = \"75 °C\"\nroute = [{ length = \"5 ft\", where = \"indoors\", raceway = \"emt\" }]",
    );
    const INPUT: (&str, &str) = ("unit.inverter.ac_input", "\"service\"");
    const LISTED: (&str, &str) = ("inverter.i.interactive", "\"yes\"");
    /// Its breaker in the panel is then one of 40 A.
    const THROUGH: (&str, &str) = ("inverter.i.passes_through", "\"40 A\"");

    fn with(output: &'static str, more: &[(&'static str, &'static str)]) -> String {
        let mut all = vec![GRID, INPUT, LISTED, THROUGH, ("inverter.i.output", output)];
        all.extend(more);
        verdict("A07", &all)
    }

    /// W36 of the published worked examples: 200 A busbar and main, 32 A at most.
    #[test]
    fn a_200_a_busbar_takes_32_amperes_at_the_far_end() {
        assert_eq!(with("\"7680 W\"", &[]), "passes");
        assert_eq!(with("\"7700 W\"", &[]), "undecided breach");
        assert_eq!(with("\"7700 W\"", &[("panel.service.load_breakers", "\"180 A\"")]), "breach");
    }

    /// W37: 120 % fails with 48 A, the sum of all devices passes with one load breaker of 30 A.
    #[test]
    fn the_sum_of_all_devices_may_pass_instead() {
        let loads = ("panel.service.load_breakers", "\"30 A\"");
        assert_eq!(with("\"11520 W\"", &[loads]), "passes");
    }

    #[test]
    fn the_place_of_the_breakers_decides_and_unknown_never_passes() {
        let loads = ("panel.service.load_breakers", "\"180 A\"");
        assert_eq!(with("\"7680 W\"", &[loads, ("panel.service.sources_at", "\"elsewhere\"")]), "breach");
        assert_eq!(with("\"7680 W\"", &[loads, ("panel.service.sources_at", "")]), "undecided breach");
        assert_eq!(with("\"7680 W\"", &[("panel.service.bus", "\"unknown\"")]), "undecided breach");
        // Not listed to feed the utility: it is no source of this busbar.
        assert_eq!(verdict("A07", &[GRID, INPUT]), "passes");
    }

    /// 48 A would count 60 A and fail 240 A; held to 32 A they count 40 A. Held as a whole, the busbar sees its setting alone.
    #[test]
    fn a_listed_power_control_system_holds_what_the_sums_forbid() {
        let loads = ("panel.service.load_breakers", "\"190 A\"");
        let held = |fields: &str| {
            let record = format!("{{ {fields} }}");
            let record = ("panel.service.power_control", &*record);
            verdict(
                "A07",
                &[GRID, INPUT, LISTED, THROUGH, ("inverter.i.output", "\"11520 W\""), loads, record],
            )
        };
        assert_eq!(with("\"11520 W\"", &[loads]), "breach");
        let sources = "holds = \"the sources\", listed = \"yes\"";
        assert_eq!(held(&format!("setting = \"32 A\", {sources}")), "passes");
        assert_eq!(held(&format!("setting = \"33 A\", {sources}")), "breach");
        let whole = "holds = \"the whole busbar\", listed = \"yes\"";
        assert_eq!(held(&format!("setting = \"200 A\", {whole}")), "passes");
        assert_eq!(held(&format!("setting = \"201 A\", {whole}")), "breach");
        assert_eq!(held("setting = \"32 A\", holds = \"the sources\", listed = \"no\""), "breach");
        for unknown in [
            "setting = \"32 A\", holds = \"the sources\"",
            "setting = \"32 A\", listed = \"yes\"",
            "holds = \"the sources\", listed = \"yes\"",
        ] {
            assert_eq!(held(unknown), "undecided breach", "{unknown}");
        }
    }

    /// A second panel behind a feeder of 40 A: 32 A at its end ask 40 A of device and conductor, 33 A ask 41.3 A.
    #[test]
    fn a_feeder_bears_the_sources_at_its_far_end() {
        let below = (
            "+",
            "[[panel]]\nname = \"barn\"\nfed_by = [\"service\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nmain = \"40 A\"\nbond = \"no\"\nprice = 100\nsources_at = \"end opposite to the feed\"\n\
            [[run]]\nname = \"feeder\"\nbetween = [\"service\", \"barn\"]\nterminals = \"75 °C\"\ndevice = { kind = \"ac breaker\", rating = \"40 A\", volts = \"240 V\", polarised = \"no\", interrupts = \"10 kA\" }\nroute = [{ length = \"50 ft\", where = \"indoors\", raceway = \"emt\" }]",
        );
        let by = |output: &str, more: &[(&str, &str)]| {
            let mut all = vec![GRID, below, ("unit.inverter.ac_input", "\"barn\""), LISTED, THROUGH];
            all.extend([("run.tie.between", "[\"barn\", \"inverter\"]"), ("inverter.i.output", output)]);
            all.extend(more);
            of("A07", &all)
        };
        let feeder = |found: &[crate::Finding]| found.iter().filter(|f| f.says.contains("feeder")).count();
        assert_eq!(feeder(&by("\"7680 W\"", &[])), 0, "{:#?}", by("\"7680 W\"", &[]));
        let found = by("\"7900 W\"", &[]);
        assert_eq!(feeder(&found), 1, "{found:#?}");
        let thin = ("run.feeder.conductor", "\"10 AWG\"");
        assert_eq!(feeder(&by("\"7680 W\"", &[thin])), 1);
    }

    /// W35: 1.2 · 200 − 1.25 · 45 = 183.75 A, of which 175 A is the standard size.
    #[test]
    fn the_remedy_is_the_largest_main_that_fits() {
        let changes = [
            GRID,
            INPUT,
            LISTED,
            THROUGH,
            ("inverter.i.output", "\"10800 W\""),
            ("panel.service.load_breakers", "\"190 A\""),
        ];
        let found = of("A07", &changes);
        assert!(found[0].remedies.iter().any(|r| r.says.contains("175 A")), "{:?}", found[0].remedies);
    }

    /// Two units of 25 A on the same conductors ask for 62.5 A of their own busbar.
    #[test]
    fn several_inverters_must_fit_on_their_own_busbar() {
        let second = (
            "+",
            "[[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"bank\"\nroom = \"corner\"\n\
            [[run]]\nname = \"out 2\"\nbetween = [\"second\", \"panel\"]\nterminals = \"75 °C\"\nroute = [{ length = \"6 ft\", where = \"indoors\", room = \"corner\", raceway = \"emt\" }]",
        );
        let both = ("panel.panel.fed_by", r#"["inverter", "second"]"#);
        assert_eq!(verdict("A07", &[second, both]), "passes");
        assert_eq!(verdict("A07", &[second, both, ("panel.panel.bus", "\"62 A\"")]), "breach");
        assert_eq!(verdict("A07", &[second, both, ("panel.panel.bus", "\"63 A\"")]), "passes");
    }
}
