//! # A leg is overloaded when everything runs at once
//!
//! What it checks: everything listed on each leg running together against the continuous output of the units that feed
//! it. A load across both legs counts half on each; a split-phase unit gives half its output to each.
//!
//! Why it matters: the house goes dark at breakfast although the inverter is large enough on paper. It trips by its
//! fuller leg, not by the sum.
//!
//! Known limits: loads given by a yearly label have no running power and are not counted; that everything runs at once
//! is the worst minute, not every day.
//!
//! Source: the definition of split phase; common practice for the worst coincidence.
//!
//! Fails: 5200 W on a leg of 4000 W, although 6300 W in all are under 8000 W.
//! Passes: the kettle moved to the other leg: 3700 W and 2600 W.

use crate::words::{both, exceeds, say};
use crate::{Findings, Remedy, Rule, Severity};
use loads::{Leg, leg_watts, neutral_current, smallest_move};
use quantity::{Current, Measure, practice, print, units};
use study::{Study, running};

pub(crate) static RULE: Rule = Rule {
    code: "A02",
    name: "leg-overloaded",
    severity: Severity::Doubt,
    clause: practice("each leg bears what runs on it at once"),
    text: include_str!("leg_overloaded.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    // Beside the utility, inverters without a battery carry nothing alone.
    if study.stack.count == 0 || !study.design.system.can_run_by_itself() {
        return;
    }
    for leg in &study.legs {
        let name = match leg.leg {
            Leg::A => "leg A",
            Leg::B => "leg B",
            Leg::Both | Leg::Only => "the inverter",
        };
        let (running_now, limit) = match both(&leg.all_running, &leg.limit) {
            Ok(known) => known,
            Err(gap) => {
                findings.undecided_for(name, "whether it bears everything at once is not known", gap);
                continue;
            }
        };
        if !exceeds(running_now, limit) {
            continue;
        }
        let gives = if limit.si() > 0.0 {
            let share = units::PERCENT.of_si(running_now.si() / limit.si());
            format!("its units give {} ({share:.0} %)", say(study, limit))
        } else {
            "no unit feeds this leg".to_string()
        };
        let finding = findings.fails(format!(
            "{name} carries {} when everything listed runs at once, {gives}",
            say(study, running_now)
        ));
        finding
            .figure(&["legs", &format!("leg {:?}", leg.leg), "running"])
            .because([running_now.term("at once", &units::WATT), limit.term("units give", &units::WATT)]);
        let all = running(&study.design.system);
        let (names, loads): (Vec<_>, Vec<_>) = all.into_iter().unzip();
        let here = loads.iter().enumerate().filter(|(_, load)| load.leg == leg.leg || load.leg == Leg::Only);
        let largest = here.max_by(|a, b| a.1.watts.total_cmp(&b.1.watts)).map(|(k, _)| k);
        let amps = |legs: [f64; 2]| {
            let amps = Current::from_si(neutral_current(legs[0], legs[1], to_neutral(study)));
            print(amps.si(), Current::KIND, study.design.system.units)
        };
        let moved = if leg.leg == Leg::Only { None } else { smallest_move(&loads, limit.si()) };
        match moved.and_then(|moved| Some((names.get(moved.index)?, moved))) {
            Some((load, moved)) => {
                let to = if leg.leg == Leg::A { "B" } else { "A" };
                finding
                    .at(format!("load.{load}.leg"), "this load is the smallest move that helps")
                    .explains(format!("The neutral carries {} then.", amps(leg_watts(&loads))))
                    .remedy(Remedy::set(
                        format!(
                            "\"{load}\" on leg {to}: {:.0} W and {:.0} W, {} in the neutral",
                            moved.legs_w[0],
                            moved.legs_w[1],
                            amps(moved.legs_w)
                        ),
                        format!("load.{load}.leg"),
                        format!("\"{to}\""),
                    ));
            }
            None => {
                if let Some(load) = largest.and_then(|k| names.get(k)) {
                    finding.at(format!("load.{load}"), "the largest load on it");
                }
                finding.explains(
                    "No single move helps; agree which loads never run together, or choose a larger unit.",
                );
            }
        }
    }
}

/// Volts from leg to neutral by the units of the house; 120 V where none is known, as split phase is defined.
fn to_neutral(study: &Study) -> f64 {
    let system = &study.design.system;
    let mut volts = system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit)?.volts.value());
    volts.next().map_or(120.0, |volts| volts.to_neutral())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{close, of, study_of, verdict};
    use study::Depth;

    fn load(name: &str, watts: u32, leg: &str) -> String {
        let volts = if leg == "both" { 240 } else { 120 };
        format!("[[load]]\nname = \"{name}\"\nwatts = {watts}\nvolts = {volts}\nhours = 1\nleg = \"{leg}\"\n")
    }

    /// The house has lights 300 W on A, kitchen 1500 W on B, 1750 W across both: 1175 W and 2375 W of 3000 W each.
    #[test]
    fn a_watt_decides() {
        let with = |watts| verdict("A02", &[("load.kitchen.watts", watts)]);
        assert_eq!(with("2124"), "passes");
        assert_eq!(with("2125"), "passes");
        assert_eq!(with("2126"), "doubt");
        assert_eq!(with("\"unknown\""), "undecided doubt");
    }

    #[test]
    fn a_leg_that_no_unit_feeds_is_told_in_words() {
        let one = [("inverter.i.volts", "\"120\""), ("unit.inverter.leg", "\"A\"")];
        let found = of("A02", &one);
        let bare = found.iter().find(|f| f.says.starts_with("leg B")).unwrap();
        assert!(bare.says.ends_with("no unit feeds this leg"), "{}", bare.says);
        assert!(!found.iter().any(|f| f.says.contains("inf")), "{found:#?}");
    }

    /// Acceptance story S5: 5200 W and 1100 W on legs of 4000 W; the kettle is the smallest move, 34.2 A become 9.2 A.
    #[test]
    fn the_kettle_moves() {
        let mut kitchen = String::new();
        for (name, watts, leg) in [
            ("microwave", 1500, "A"),
            ("toaster", 1200, "A"),
            ("kettle", 1500, "A"),
            ("fridge", 200, "A"),
            ("lamps", 150, "A"),
            ("freezer", 150, "A"),
            ("others", 600, "B"),
            ("well", 1000, "both"),
        ] {
            kitchen += &load(name, watts, leg);
        }
        let changes = [
            ("+", kitchen.as_str()),
            ("inverter.i.output", "\"8 kW\""),
            ("load.lights.watts", "0"),
            ("load.kitchen.watts", "0"),
            ("load.water heater.watts", "0"),
            ("load.pump.watts", "0"),
        ];
        let study = study_of(&changes, Depth::WithoutYear);
        close(study.legs[0].all_running.si().unwrap(), 5200.0);
        close(study.legs[1].all_running.si().unwrap(), 1100.0);
        close(study.legs[0].limit.si().unwrap(), 4000.0);
        let found = of("A02", &changes);
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("130 %"), "{}", found[0].says);
        assert!(found[0].more[0].contains("34.17 A"), "{:?}", found[0].more);
        let says = &found[0].remedies[0].says;
        assert!(
            says.starts_with("\"kettle\" on leg B: 3700 W and 2600 W") && says.contains("9.167 A"),
            "{says}"
        );
        let moved: Vec<_> = changes.iter().copied().chain([("load.kettle.leg", "\"B\"")]).collect();
        assert_eq!(verdict("A02", &moved), "passes");
    }
}
