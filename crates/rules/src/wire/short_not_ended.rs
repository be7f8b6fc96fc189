//! # Nothing is known that ends a short at the far end
//!
//! What it checks: a short at the far end of every circuit, fed by each of its sources alone, either operates the device
//! of the circuit or makes the source switch itself off.
//!
//! Why it matters: a fuse sees a short only when enough current flows. A generator or an inverter on its own may feed
//! less than the breaker lets through for hours, and a wire then glows where nobody looks.
//!
//! Known limits: a device is counted on from twice its rating (within minutes; 2.55 times by IEC 60898-1). The arc is
//! not counted, which can only make the current smaller. Shorts between module conductors are not in it: no fuse opens
//! on them. Circuits that are there already are not asked for.
//!
//! Source: NEC 2023, 250.4(A)(5) and 110.10 (from memory); UL 489, UL 248, IEC 60898-1 (from memory).
//!
//! Fails: a generator that keeps feeding 40 A through a breaker of 30 A and does not switch itself off.
//! Passes: an inverter that switches itself off on a short.

use crate::words::{beyond_schedule, say, thing};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;
use wiring::{Ended, Sized};

pub(crate) static RULE: Rule = Rule {
    code: "W16",
    name: "short-not-ended",
    severity: Severity::Danger,
    clause: nec("2023", "250.4(A)(5), 110.10", Standing::Remembered),
    text: include_str!("short_not_ended.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    for (k, sized) in schedule.circuits.iter().enumerate() {
        if !study.is_existing(k) {
            circuit(study, findings, sized);
        }
    }
}

fn circuit(study: &Study, findings: &mut Findings<'_>, sized: &Sized) {
    for end in &sized.far_ends {
        match (&end.ended, &end.current, &sized.protection.rating) {
            (Fact::Known(ended), Fact::Known(current), Fact::Known(rating))
                if ended.value == Ended::ByNothing =>
            {
                let finding = findings.fails(format!(
                    "circuit \"{}\": fed by {} alone, a short at the far end draws {}, too little for its device of {} to be counted on",
                    sized.name,
                    end.source,
                    say(study, current),
                    say(study, rating),
                ));
                let path = match sized.run.and_then(|run| study.design.system.runs.get(run.0)) {
                    Some(run) => run.field.to_string(),
                    None => thing(study, &end.source),
                };
                finding
                    .at(path, "this circuit")
                    .explains("A thicker wire and ground, a smaller device, or a source that switches itself off on a short ends it.")
                    .because([
                        current.term("at the far end", &quantity::units::AMPERE),
                        rating.term("device", &quantity::units::AMPERE),
                    ])
                    .figure(&["circuits", &sized.name, "smallest-fault"]);
            }
            (Fact::Unknown(gap), ..) => {
                // What the schedule itself lacks, and what a source can feed, is asked for by rules of their own.
                let Some(gap) = beyond_schedule(gap, sized) else { continue };
                let thing = format!("circuit \"{}\", fed by {} alone", sized.name, end.source);
                let finding =
                    findings.undecided_for(&thing, "what ends a short at its far end is not known", gap);
                if finding.more.is_empty() {
                    finding.explains("Ask the maker whether the source switches itself off on a short at its output, and what it keeps feeding into one.");
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const ENDS: &str = "inverter.i.ends_short";
    const FEEDS: &str = "inverter.i.fault_current";

    /// 6 kW at 240 V: a breaker of 35 A over 6 ft; twice its rating is 70 A, less the loop 6 · (0.491 + 1.24) / 1000 Ω.
    #[test]
    fn an_inverter_that_neither_trips_its_breaker_nor_switches_off_is_a_danger() {
        assert_eq!(verdict("W16", &[]), "passes");
        assert_eq!(verdict("W16", &[(ENDS, "\"no\"")]), "danger");
        assert_eq!(verdict("W16", &[(ENDS, "\"unknown\"")]), "undecided danger");
        assert_eq!(verdict("W16", &[(ENDS, "\"no\""), (FEEDS, "\"90 A\"")]), "passes");
        // What it feeds is asked for by the rule of interrupting ratings.
        assert_eq!(verdict("W16", &[(ENDS, "\"yes\""), (FEEDS, "\"unknown\"")]), "passes");
        assert_eq!(verdict("W16", &[(ENDS, "\"unknown\""), (FEEDS, "\"unknown\"")]), "undecided danger");
    }

    #[test]
    fn a_battery_at_the_end_of_a_long_thin_pair_does_not_blow_its_fuse() {
        let far = ("run.bus.route.1.length", "\"400 ft\"");
        let thin = [("run.bus.conductor", "\"3/0 AWG\""), far];
        assert_eq!(verdict("W16", &[]), "passes");
        // 46 V / (46 / 2000 + 800 · 0.0766 / 1000) Ω = 546 A through a fuse of 200 A; one of 300 A is not counted on.
        assert_eq!(verdict("W16", &thin), "passes");
        let fuse = "{ kind = \"dc fuse\", rating = \"300 A\", volts = \"60 V\", polarised = \"no\", interrupts = \"8 kA\" }";
        assert_eq!(verdict("W16", &[thin[0], thin[1], ("run.bus.device", fuse)]), "danger");
    }
}
