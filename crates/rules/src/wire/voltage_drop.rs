//! # Too much voltage drops on the way
//!
//! What it checks: the scheduled drop of every circuit, at 75 °C and full operating current, against the owner's
//! target; where none is stated against 3 %. A size fixed by the owner that comes near the target is a note.
//!
//! Why it matters: what drops on the way is paid for with modules and never arrives. Low voltage over a long way is
//! the dearest mistake of a first design, because the current is large and the wire must be thick.
//!
//! Known limits: at full current; the loss over the year is less and is counted by the year.
//!
//! Source: NEC 2023, 215.2(A)(2), informational note (advice, not a rule; read second-hand); 3 % is common practice.
//!
//! Fails: 52 A at 83 V over 180 ft of 6 AWG: 11 %.
//! Passes: 13 A at 332 V over the same way on 10 AWG: 1.7 %.

use super::{by_run, circuits};
use crate::words::{above, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Ratio, Standing, nec, print_in, units};
use study::Study;
use wiring::Sized;

pub(crate) static RULE: Rule = Rule {
    code: "W02",
    name: "voltage-drop",
    severity: Severity::Doubt,
    clause: nec("2023", "215.2(A)(2), informational note", Standing::SecondHand),
    text: include_str!("voltage_drop.rs"),
    check,
};

/// Where no target is stated (common practice, no source).
const PRACTICE: f64 = 0.03;
/// A fixed size this near its target is worth a word.
const NEAR: f64 = 0.85;

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let Some(run) = run else { continue };
        let target = run.drop_target.si().unwrap_or(PRACTICE);
        let worst = group
            .iter()
            .filter_map(|sized| Some((sized, sized.drop_share.known()?)))
            .max_by(|a, b| a.1.si().total_cmp(&b.1.si()));
        let Some((sized, share)) = worst else { continue };
        let (Some(conductor), Fact::Known(drop)) = (sized.conductor.value(), &sized.drop) else { continue };
        let whose = if run.drop_target.is_known() { "your target is" } else { "common practice is" };
        let says = |share: &quantity::Traced<Ratio>| {
            format!(
                "{}: {} of its voltage ({}) drops on {}, {whose} {}",
                circuits(&[sized]),
                print_in(share.si(), &units::PERCENT),
                say(study, drop),
                conductor.gauge.value,
                print_in(target, &units::PERCENT)
            )
        };
        let fixed = run.conductor.is_some();
        let finding = if above(share.si(), target) {
            let finding = findings.fails(says(share));
            finding.explains("The loss grows with the square of the current: more modules in series carry the same power at less current.");
            remedy(finding, run, sized, target);
            finding
        } else if fixed && run.drop_target.is_known() && share.si() >= NEAR * target {
            findings.fails_as(Severity::Note, format!("{}, close to it", says(share)))
        } else {
            continue;
        };
        let place = if fixed { format!("{}.conductor", run.field) } else { run.field.to_string() };
        finding
            .at
            .insert(0, crate::Place { field: quantity::FieldPath::new(place), says: "this run".into() });
        finding.because([share.term("drop", &units::PERCENT), drop.term("drop", &units::VOLT)]).figure(&[
            "circuits",
            &sized.name,
            "drop-share",
        ]);
    }
}

fn remedy(finding: &mut crate::Finding, run: &wiring::Run, sized: &Sized, target: f64) {
    let path = format!("{}.conductor", run.field);
    let required = sized.conductor.value().and_then(|c| Some((c.required.as_ref()?.value, c.required_sets)));
    match (run.drop_target.is_known(), run.conductor.is_some(), required) {
        (true, true, Some((size, 1))) => {
            finding.remedy(Remedy::set(format!("{size}"), path, format!("\"{size}\"")));
        }
        (true, true, Some((size, sets))) => {
            finding
                .remedy(Remedy::remove(format!("{sets} × {size}: leave the size out and it is found"), path));
        }
        (false, false, _) => {
            let percent = print_in(target, &units::PERCENT);
            finding.remedy(Remedy::set(
                format!("a target of {percent}, for which the size is then found"),
                format!("{}.drop_target", run.field),
                format!("\"{percent}\""),
            ));
        }
        _ => {}
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{close, of, study_of, verdict};
    use quantity::units;
    use study::{Depth, Study};

    /// The way of acceptance story S10: 168 ft in the ground, 12 ft of plastic pipe in the sun.
    fn story(more: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
        let mut all = vec![
            (
                "+",
                "[[string]]\nname = \"second\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 8\ninto = { unit = \"inverter\", input = 2 }",
            ),
            ("run.down.carries", r#"["row", "second"]"#),
            ("run.down.insulation", "\"thwn-2\""),
            ("run.down.conductor", "\"10 AWG\""),
            (
                "run.down.route",
                r#"[
  { length = "168 ft", where = "underground", depth = "18 in", under = "open ground", raceway = "pvc-40", hottest = "40 °C" },
  { length = "12 ft", where = "in sun", raceway = "pvc-40", hottest = "40 °C", swing = "55.5556 K" },
]"#,
            ),
        ];
        all.extend_from_slice(more);
        all
    }

    fn sized<'s>(study: &'s Study, name: &str) -> &'s wiring::Sized {
        study.wiring.as_ref().unwrap().circuits.iter().find(|c| &*c.name == name).unwrap()
    }

    /// Acceptance story S10 (a), "ground mount 180 ft away".
    #[test]
    fn the_long_way_at_high_voltage_is_close_to_its_target_and_passes() {
        let study = study_of(&story(&[]), Depth::WithoutYear);
        let row = sized(&study, "row to inverter");
        close(row.drop.si().unwrap(), 5.80);
        close(units::PERCENT.of_si(row.drop_share.si().unwrap()), 1.75);
        close(row.currents.continuous.si().unwrap(), 21.7);
        close(row.currents.maximum.si().unwrap(), 17.4);
        let tests = &row.conductor.value().unwrap().tests;
        close(tests.segments[0].offers.si(), 29.1);
        close(tests.terminal.offers.si(), 35.0);
        assert!(row.conductor.value().unwrap().fails.is_empty());
        let raceways = &study.wiring.as_ref().unwrap().raceways;
        let fill = raceways[0].fill.as_ref().unwrap().value().unwrap();
        close(units::SQUARE_INCH.of_si(fill.area.si()), 0.106);
        let longer = raceways[1].expansion.as_ref().unwrap().value().unwrap();
        close(units::INCH_UNIT.of_si(longer.change.si()), 0.63);
        assert!(longer.fitting);
        let cover = raceways[0].cover.as_ref().unwrap().value().unwrap();
        close(units::INCH_UNIT.of_si(cover.least.as_ref().unwrap().si()), 18.0);
        // Wire to order: (720 + 180) · 1.2 = 1080 ft.
        let feet: f64 = study
            .bill
            .lines
            .iter()
            .filter(|line| line.item.starts_with("10 AWG"))
            .filter_map(|line| line.length.as_ref()?.si())
            .map(|m| units::FOOT_UNIT.of_si(m))
            .sum();
        close(feet, 1080.0);
        let found = of("W02", &story(&[]));
        assert_eq!((found.len(), found[0].severity.word()), (1, "note"));
        assert_eq!(verdict("W11", &story(&[])), "note");
        assert_eq!(verdict("W10", &story(&[])), "passes");
    }

    /// Acceptance story S10 (b): four pairs in parallel at 83 V and 52 A on 6 AWG.
    #[test]
    fn the_low_voltage_idea_is_rejected_at_eleven_per_cent() {
        let combined = "[[combiner]]\nname = \"box\"\ninto = { unit = \"inverter\", input = 1 }\nfuse = \"25 A\"\nprice = 50";
        let more = ["a", "b", "c"].map(|name| {
            format!("[[string]]\nname = \"{name}\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 2\nthrough = \"box\"")
        });
        let changes = [
            ("+", combined),
            ("+", more[0].as_str()),
            ("+", more[1].as_str()),
            ("+", more[2].as_str()),
            ("string.row.count", "2"),
            ("string.row.into", ""),
            ("string.row.through", "\"box\""),
            ("run.down.carries", r#"["box"]"#),
            ("run.down.conductor", "\"6 AWG\""),
            ("run.down.drop_target", "\"3 %\""),
            (
                "run.down.route",
                r#"[{ length = "180 ft", where = "underground", depth = "18 in", under = "open ground", raceway = "pvc-40" }]"#,
            ),
        ];
        let study = study_of(&changes, Depth::WithoutYear);
        let feeder = sized(&study, "box to inverter");
        close(feeder.drop.si().unwrap(), 9.19);
        close(units::PERCENT.of_si(feeder.drop_share.si().unwrap()), 11.1);
        assert_eq!(verdict("W02", &changes), "doubt");
        // Without a target of the owner's it is held against common practice.
        let mut without = changes.to_vec();
        without.push(("run.down.drop_target", ""));
        assert_eq!(verdict("W02", &without), "doubt");
    }

    /// 5.80 V of 332 V are 1.7477 %.
    #[test]
    fn it_doubts_just_above_the_target() {
        assert_eq!(verdict("W02", &story(&[("run.down.drop_target", "\"1.74 %\"")])), "doubt");
        assert_eq!(verdict("W02", &story(&[("run.down.drop_target", "\"1.75 %\"")])), "note");
        assert_eq!(verdict("W02", &story(&[("run.down.drop_target", "\"2.1 %\"")])), "passes");
        let found = of("W02", &story(&[("run.down.drop_target", "\"1.74 %\"")]));
        assert_eq!(found[0].remedies[0].says, "8 AWG");
    }

    #[test]
    fn without_a_length_the_missing_length_is_told_instead() {
        let blank = [("run.down.route.1.length", "\"unknown\"")];
        assert_eq!(verdict("W02", &blank), "passes");
        assert_eq!(verdict("W05", &blank), "undecided breach");
    }
}
