//! # More sources on a busbar than it bears
//!
//! What it checks: a busbar that the utility feeds together with inverters that may feed the utility, by every test of
//! 705.12(B): sources and main device within the busbar; within 120 % of it with the sources at the end opposite to the
//! feed, or at one end of a busbar fed at its centre; all devices but the main one within the busbar. One of them must
//! pass. Inverters count with 125 % of their output, also those on panels further down. A busbar that several inverters
//! feed by themselves must bear 125 % of the greatest of its legs.
//!
//! Why it matters: the loads of a panel can draw from the utility and from the inverters at once. The main device sees
//! only its own part, and nothing else watches the busbar.
//!
//! Known limits: connections to a feeder between panels (705.12(A)) and power control systems (705.13) are not judged; those
//! on the supply side of the main device are of A12. Inverters are counted where their input or output is joined.
//!
//! Source: NEC 2023, 705.12(B) (read second hand); of 2020 and 2026 by their own numbers.
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
    clause: nec("2023", "705.12(B)", Standing::SecondHand),
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
