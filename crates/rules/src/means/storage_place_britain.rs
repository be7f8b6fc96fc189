//! # Storage stands where it may not in Great Britain
//!
//! What it checks: in a dwelling of Great Britain, that no bank stands where people sleep, on stairs or in a corridor by
//! which they leave, or in a loft or another void; that outdoors it stands 1 m from doors, windows, vents and ways of
//! escape; that indoors a detector joined with those of the dwelling watches it.
//!
//! Why it matters: a battery that burns cannot be put out by a person. In a loft nobody notices it in time and nobody
//! reaches it, and beside a door it stands in the way out.
//!
//! Known limits: the place alone; its order of choice is outdoors, then a garage or an outbuilding, then indoors. The
//! installer, the insurer and building control decide.
//!
//! Source: PAS 63100:2024 (summaries, read second-hand).
//!
//! Fails: three units in the loft; a bank on a wall 0.6 m from the kitchen door.
//! Passes: the same in a garage with a detector joined with those of the house.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use design::system::Country;
use quantity::{Fact, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "N12",
    name: "storage-place-britain",
    severity: Severity::Breach,
    clause: storage::STORAGE_PLACE_BRITAIN,
    text: include_str!("storage_place_britain.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    if system.place.country.value() != Some(&Country::GreatBritain) {
        return;
    }
    for place in study::storage_places(study) {
        let banks = place.banks.join("\", \"");
        let thing = format!("bank \"{banks}\"");
        let kind = match &place.kind {
            Fact::Known(kind) => kind.value,
            Fact::Unknown(gap) => {
                findings.undecided_for(
                    &thing,
                    "what the place is in which it stands is not known",
                    gap.clone(),
                );
                continue;
            }
        };
        if kind.never_in_britain() {
            findings
                .fails(format!("{thing} stands in \"{}\", a {}, where none may stand", place.room, kind.in_words()))
                .at(format!("room.{}.kind", place.room), "said here")
                .explains("First choice is outdoors, then a garage or an outbuilding, then a room indoors where nobody sleeps.");
            continue;
        }
        if kind.outdoors() {
            from_openings(study, findings, &place.banks);
            continue;
        }
        match system.room(&place.room).map(|room| &room.detector) {
            Some(Fact::Known(there)) if there.value => {}
            Some(Fact::Known(_)) => {
                findings
                    .fails(format!(
                        "no detector joined with those of the dwelling watches the storage in \"{}\"",
                        place.room
                    ))
                    .at(format!("room.{}.detector", place.room), "said here");
            }
            Some(Fact::Unknown(gap)) => {
                let what = "whether a detector joined with those of the dwelling watches it is not known";
                findings.undecided_for(&thing, what, gap.clone());
            }
            None => {}
        }
    }
}

fn from_openings(study: &Study, findings: &mut Findings<'_>, banks: &[std::sync::Arc<str>]) {
    let least = storage::least_distance_britain();
    for bank in study.design.system.banks.iter().filter(|bank| banks.contains(&bank.bank.name)) {
        let thing = format!("bank \"{}\"", bank.bank.name);
        match &bank.from_openings {
            Fact::Known(own) if exceeds(&least, own) => {
                findings
                    .fails(format!(
                        "{thing} stands {} from doors, windows, vents or a way of escape, {} are asked",
                        say(study, own),
                        say(study, &least)
                    ))
                    .at(format!("bank.{}.from_openings", bank.bank.name), "said here")
                    .because([own.term("stands", &units::METER), least.term("asked", &units::METER)]);
            }
            Fact::Known(_) => {}
            Fact::Unknown(gap) => {
                let what = "how far it stands from doors, windows, vents and ways of escape is not known";
                findings.undecided_for(&thing, what, gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const BRITAIN: (&str, &str) = ("place.country", "\"great britain\"");

    fn in_a(kind: &'static str, more: &[(&'static str, &'static str)]) -> String {
        let changes: Vec<_> =
            [BRITAIN, ("room.corner.kind", kind)].into_iter().chain(more.iter().copied()).collect();
        verdict("N12", &changes)
    }

    /// Acceptance story S8: the loft and the wall 0.6 m from the kitchen door may not be, the garage with a joined
    /// detector may.
    #[test]
    fn the_loft_and_the_wall_by_the_door_are_refused_and_the_garage_is_not() {
        assert_eq!(in_a("\"loft or roof space\"", &[]), "breach");
        let loft = of("N12", &[BRITAIN, ("room.corner.kind", "\"loft or roof space\"")]);
        assert!(loft[0].more[0].starts_with("First choice is outdoors"), "{:?}", loft[0].more);
        let wall = |far| in_a("\"outside wall\"", &[("bank.bank.from_openings", far)]);
        assert_eq!(wall("\"0.6 m\""), "breach");
        assert_eq!(wall("\"0.99 m\""), "breach");
        assert_eq!(wall("\"1 m\""), "passes");
        assert_eq!(wall("\"unknown\""), "undecided breach");
        let garage = |detector| in_a("\"attached garage\"", &[("room.corner.detector", detector)]);
        assert_eq!(garage("\"yes\""), "passes");
        assert_eq!(garage("\"no\""), "breach");
        assert_eq!(garage("\"unknown\""), "undecided breach");
    }

    #[test]
    fn it_speaks_of_great_britain_alone() {
        assert_eq!(in_a("\"bedroom\"", &[]), "breach");
        assert_eq!(in_a("\"stairs, hall or corridor\"", &[]), "breach");
        assert_eq!(in_a("\"unknown\"", &[]), "undecided breach");
        assert_eq!(verdict("N12", &[("room.corner.kind", "\"loft or roof space\"")]), "passes");
        let elsewhere = ("place.country", "\"elsewhere\"");
        assert_eq!(verdict("N12", &[elsewhere, ("room.corner.kind", "\"loft or roof space\"")]), "passes");
    }
}
