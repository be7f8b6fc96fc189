//! # A conductor is too small
//!
//! What it checks: a size fixed by the owner against three tests that are never stacked: the continuous current at the
//! terminals' temperature, the maximum current in the hottest and fullest part of the route, and the device against
//! the ampacity it must protect. Left out, the size is found and passes all three.
//!
//! Why it matters: a conductor that is too small gets hot where nobody looks, inside a wall or a lug, every evening,
//! until the insulation is brittle.
//!
//! Known limits: battery circuits by the current at the lowest battery voltage; short surges load the fuse's curve and
//! the battery's electronics, not the ampacity.
//!
//! Source: NEC 2023, 110.14(C)(1), 310.15, 310.16, 240.4 (read second-hand); 706 for the current at lowest voltage
//! (from memory).
//!
//! Fails: 2/0 AWG copper for 177 A at 75 °C terminals (175 A).
//! Passes: 3/0 AWG (200 A).

use super::{by_run, circuits};
use crate::words::thing;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;
use tables::TerminalColumn;
use wiring::WhichTest;

pub(crate) static RULE: Rule = Rule {
    code: "W01",
    name: "conductor-too-small",
    severity: Severity::Danger,
    clause: nec("2023", "110.14(C)(1), 310.16, 240.4", Standing::SecondHand),
    text: include_str!("conductor_too_small.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let failing = |sized: &&&wiring::Sized| {
            sized.conductor.value().is_some_and(|c| c.fails.iter().any(|test| *test != WhichTest::Drop))
        };
        let group: Vec<_> = group.iter().filter(failing).copied().collect();
        let Some(sized) = group.first() else { continue };
        let Fact::Known(found) = &sized.conductor else { continue };
        let conductor = &found.value;
        let fails: Vec<WhichTest> =
            conductor.fails.iter().copied().filter(|t| *t != WhichTest::Drop).collect();
        let said: Vec<String> = fails.iter().map(|test| conductor.tests.in_words(*test)).collect();
        let size = conductor.gauge.value;
        let finding = findings.fails(format!("{size} is too small for {}: {}", circuits(&group), said[0]));
        let tests = &conductor.tests;
        finding.figure(&["circuits", &sized.name, "conductor"]).because([
            tests.terminal.needs.term("continuous current", &units::AMPERE),
            tests.terminal.offers.term("ampacity at the terminals", &units::AMPERE),
            tests.guard.protected.term("ampacity to be protected", &units::AMPERE),
        ]);
        for more in &said[1..] {
            finding.explains(format!("Also {more}."));
        }
        match run {
            Some(run) => {
                let path = format!("{}.conductor", run.field);
                finding.at(path.clone(), "size fixed here");
                if run.device.is_some()
                    && fails.iter().any(|t| matches!(t, WhichTest::Protection | WhichTest::SmallConductor))
                {
                    finding.at(format!("{}.device.rating", run.field), "its device is set here");
                }
                remedy(finding, conductor, sized, &path);
            }
            None => {
                finding.at(thing(study, &sized.name), "this circuit");
            }
        }
        let at_90 = sized.material.value().and_then(|m| tables::ampacity(size, *m, TerminalColumn::C90).ok());
        // With its terminals out of the way the insulation's own column decides.
        let by_terminals = fails.contains(&WhichTest::Terminal)
            && fails.iter().all(|test| matches!(test, WhichTest::Terminal | WhichTest::Protection));
        if by_terminals
            && sized.terminals.value() != Some(&TerminalColumn::C90)
            && at_90.is_some_and(|at_90| at_90.si() >= tests.terminal.needs.si())
        {
            finding.explains("Terminals marked for 90 °C at both ends would bear it; that must stand on the equipment or in its manual.");
        }
    }
}

fn remedy(
    finding: &mut crate::Finding,
    conductor: &wiring::SizedConductor,
    sized: &wiring::Sized,
    path: &str,
) {
    let Some(required) = &conductor.required else { return };
    let device = sized.protection.rating.si().map(|amps| format!(" with {amps} A")).unwrap_or_default();
    if conductor.required_sets > 1 {
        finding.remedy(Remedy::remove(
            format!(
                "{} × {}{device}: leave the size out and it is found",
                conductor.required_sets, required.value
            ),
            path,
        ));
    } else {
        let size = required.value;
        finding.remedy(Remedy::set(format!("{size}{device}"), path, format!("\"{size}\"")));
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{close, of, study_of, verdict};
    use crate::{Change, remedies};
    use quantity::units;
    use study::Depth;

    fn size(size: &str) -> String {
        verdict("W01", &[("run.bus.conductor", &format!("\"{size}\""))])
    }

    #[test]
    fn the_size_just_below_fails_and_the_required_one_passes() {
        assert_eq!(size("2/0 AWG"), "danger");
        assert_eq!(size("3/0 AWG"), "passes");
        assert_eq!(size("4/0 AWG"), "passes");
    }

    #[test]
    fn a_size_that_is_left_out_is_found() {
        assert_eq!(verdict("W01", &[("run.bus.conductor", "")]), "passes");
    }

    /// 6000 W / (46 V · 0.92) · 1.25 = 177.2 A; an output of 5925 W needs 175.02 A, one of 5924 W 174.99 A.
    #[test]
    fn a_watt_decides_at_the_table_value() {
        let with =
            |watts| verdict("W01", &[("run.bus.conductor", "\"2/0 AWG\""), ("inverter.i.output", watts)]);
        assert_eq!(with("\"5924 W\""), "passes");
        assert_eq!(with("\"5925 W\""), "danger");
    }

    #[test]
    fn without_the_place_it_is_not_decided_here_but_by_the_missing_size() {
        let blank = [("run.bus.conductor", "\"2/0 AWG\""), ("run.bus.route.1.where", "\"unknown\"")];
        assert_eq!(verdict("W01", &blank), "passes");
        assert_eq!(verdict("W06", &blank), "undecided breach");
    }

    /// Acceptance story S4, "battery cable at the bottom of the battery".
    #[test]
    fn the_cable_is_sized_at_the_bottom_of_the_battery() {
        let chosen = [("run.bus.conductor", "\"2/0 AWG\"")];
        let study = study_of(&chosen, Depth::WithoutYear);
        let sized =
            study.wiring.as_ref().unwrap().circuits.iter().find(|c| &*c.name == "bank to inverter").unwrap();
        close(sized.currents.maximum.si().unwrap(), 141.8);
        close(sized.currents.continuous.si().unwrap(), 177.2);
        close(sized.protection.rating.si().unwrap(), 200.0);
        let found = &of("W01", &chosen)[0];
        assert!(found.says.contains("175 A") && found.says.contains("177.2 A"), "{}", found.says);
        assert!(found.more.iter().any(|line| line.contains("90 °C")));
        let Change::Set { value, .. } = &found.remedies[0].changes[0] else { panic!() };
        assert_eq!(value, "\"3/0 AWG\"");
        assert!(found.remedies[0].says.contains("200 A"));
        let mended = remedies::apply(&crate::trial::text(&chosen), &found.remedies[0]).unwrap();
        assert!(mended.contains("conductor = \"3/0 AWG\""));
        // Drop with 3/0 over the 10 ft loop: 0.109 V, 0.24 %.
        let mended = study_of(&[], Depth::WithoutYear);
        let sized =
            mended.wiring.as_ref().unwrap().circuits.iter().find(|c| &*c.name == "bank to inverter").unwrap();
        close(sized.drop.si().unwrap(), 0.109);
        // 0.24 % has two digits, so 0.005 points is its rounding.
        assert!((units::PERCENT.of_si(sized.drop_share.si().unwrap()) - 0.24).abs() < 0.005);
    }

    /// The conductor common to both inverters of the story carries what one of 12 kW would.
    #[test]
    fn a_shared_conductor_needs_two_in_parallel() {
        let both = [("inverter.i.output", "\"12 kW\""), ("run.bus.conductor", "\"4/0 AWG\"")];
        let study = study_of(&both, Depth::WithoutYear);
        let sized =
            study.wiring.as_ref().unwrap().circuits.iter().find(|c| &*c.name == "bank to inverter").unwrap();
        close(sized.currents.maximum.si().unwrap(), 283.6);
        close(sized.currents.continuous.si().unwrap(), 354.4);
        let found = &of("W01", &both)[0];
        assert!(found.says.contains("230 A"), "{}", found.says);
        // Two of 4/0 (460 A) pass, and so do two of the next smaller size: 400 A for 354.4 A behind a 400 A device.
        assert!(found.remedies[0].says.starts_with("2 × 3/0 AWG with 400 A"), "{}", found.remedies[0].says);
        assert!(matches!(found.remedies[0].changes[0], Change::Remove { .. }));
    }
}
