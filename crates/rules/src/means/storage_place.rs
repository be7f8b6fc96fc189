//! # Storage stands where it may not, or too much of it
//!
//! What it checks: what the place of each bank is, that storage may stand there at all, that units are of 1 to 20 kWh,
//! that all storage in places of a kind together keeps its limit (40 kWh in a utility or storage space, 80 kWh in each
//! of garage, outbuilding, outside wall, ground), that lithium units stand 3 ft from each other unless a fire test lets
//! them stand closer, that vehicles cannot hit it, that doors and windows outdoors are 3 ft away, and that a detector
//! joined with those of the house watches it.
//!
//! Why it matters: a battery that burns cannot be put out by a person. Where it stands decides whether people wake in
//! time and whether the house burns with it.
//!
//! Known limits: one- and two-family dwellings in the United States. States and counties adopt other editions; a rack
//! that its owner builds from listed units may not count as listed storage. The office decides.
//!
//! Source: NFPA 855 (2023), chapter 15, and IRC R328 (read second-hand).
//!
//! Fails: a bank in a bedroom; 51 kWh in a utility space.
//! Passes: 20 kWh in a shed that no vehicle reaches.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use design::system::{BankIn, Rules, Vehicles};
use quantity::{Fact, Length, Traced, units};
use study::{StoragePlace, Study};

pub(crate) static RULE: Rule = Rule {
    code: "N05",
    name: "storage-place",
    severity: Severity::Breach,
    clause: storage::STORAGE_PLACE,
    text: include_str!("storage_place.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let rules = &study.design.system.place.rules;
    if study.wiring.is_err() || rules.value() == Some(&Rules::Iec60364) {
        return;
    }
    for place in study::storage_places(study) {
        if let Fact::Known(energy) = &place.energy
            && exceeds(&storage::rules_from(), energy)
        {
            continue;
        }
        amount(study, findings, &place);
        let banks = study.design.system.banks.iter().filter(|bank| place.banks.contains(&bank.bank.name));
        banks.for_each(|bank| bank_there(study, findings, bank, &place));
    }
}

fn amount(study: &Study, findings: &mut Findings<'_>, place: &StoragePlace) {
    let field = format!("room.{}.kind", place.room);
    let kind = match &place.kind {
        Fact::Known(kind) => kind.value,
        Fact::Unknown(gap) => {
            let thing = format!("bank \"{}\"", place.banks.join("\", \""));
            let finding = findings.undecided_for(
                &thing,
                "what the place is in which it stands is not known",
                gap.clone(),
            );
            if finding.more.is_empty() {
                finding.explains("Say what the room is. Storage may not stand where people live and sleep.");
            }
            return;
        }
    };
    if kind.never() {
        findings
            .fails(format!("storage stands in \"{}\", a {}, where none may stand", place.room, kind.in_words()))
            .at(field, "said here")
            .explains("A utility space, a garage, an outbuilding, an outside wall or the ground outdoors can hold it.");
        return;
    }
    match crate::words::both(&place.together, &place.allowed) {
        Ok((together, allowed)) if exceeds(together, allowed) => {
            findings
                .fails(format!(
                    "{} of storage in \"{}\": each kind of place, here {}, may hold {}",
                    say(study, together),
                    place.room,
                    kind.in_words(),
                    say(study, allowed)
                ))
                .at(field, "said here")
                .because([
                    together.term("storage", &units::KILOWATT_HOUR),
                    allowed.term("most", &units::KILOWATT_HOUR),
                ])
                .figure(&["places", &place.room, "storage"]);
        }
        Ok(_) => {}
        Err(gap) => {
            let thing = format!("room \"{}\"", place.room);
            findings.undecided_for(&thing, "how much storage stands in it is not known", gap);
        }
    }
    let room = study.design.system.room(&place.room);
    if kind.asks_detector()
        && let Some(room) = room
    {
        match &room.detector {
            Fact::Known(there) if there.value => {}
            Fact::Known(_) => {
                findings
                    .fails(format!(
                        "no smoke or heat detector joined with those of the house watches the storage in \"{}\"",
                        place.room
                    ))
                    .at(format!("room.{}.detector", place.room), "said here");
            }
            Fact::Unknown(gap) => {
                let thing = format!("room \"{}\"", place.room);
                let what =
                    "whether a detector joined with those of the house watches the storage is not known";
                findings.undecided_for(&thing, what, gap.clone());
            }
        }
    }
}

fn bank_there(study: &Study, findings: &mut Findings<'_>, bank: &BankIn, place: &StoragePlace) {
    let name = &bank.bank.name;
    let thing = format!("bank \"{name}\"");
    let most = storage::unit_most();
    match study::unit_energy(study, bank) {
        Fact::Known(unit) if exceeds(&unit, &most) => {
            findings
                .fails(format!(
                    "{thing}: one unit holds {}, a unit may hold {}",
                    say(study, &unit),
                    say(study, &most)
                ))
                .at(format!("bank.{name}.battery"), "these units");
        }
        _ => {}
    }
    apart(study, findings, bank, &thing);
    let Some(kind) = place.kind.value() else { return };
    if kind.vehicles_reach() {
        match &bank.vehicles {
            Fact::Known(vehicles) if vehicles.value != Vehicles::Unguarded => {}
            Fact::Known(_) => {
                findings
                    .fails(format!("{thing}: a vehicle can hit it and nothing guards it"))
                    .at(format!("bank.{name}.vehicles"), "said here")
                    .explains("Posts, a curb or a place off the way of vehicles guard it.");
            }
            Fact::Unknown(gap) => {
                findings.undecided_for(&thing, "whether a vehicle can hit it is not known", gap.clone());
            }
        }
    }
    if kind.outdoors() {
        let least = storage::least_distance();
        distance(study, findings, &bank.from_openings, &least, &thing, "doors and windows", || {
            format!("bank.{name}.from_openings")
        });
    }
}

/// Lithium units keep their distance from each other unless a fire test lets them stand closer.
fn apart(study: &Study, findings: &mut Findings<'_>, bank: &BankIn, thing: &str) {
    let system = &study.design.system;
    let battery = system.battery(&bank.bank.battery);
    let alone = bank.bank.parallel.value().is_some_and(|n| n.0 < 2)
        && bank.bank.series.value().is_some_and(|n| n.0 < 2);
    let lead = battery.and_then(|b| b.chemistry.value()) == Some(&storage::Chemistry::LeadAcid);
    let tested = battery.map(|battery| &battery.close_together);
    if alone || lead || tested.and_then(Fact::value) == Some(&true) {
        return;
    }
    let least = storage::least_distance();
    if let Some(Fact::Unknown(gap)) = tested {
        let far = bank.gap.known().is_some_and(|gap| !exceeds(&least, gap));
        if !far {
            let what = "whether a fire test lets its units stand closer than 3 ft is not known";
            let gap = bank.gap.gap().map_or(gap.clone(), |more| gap.clone().and(more));
            findings.undecided_for(thing, what, gap);
        }
        return;
    }
    let path = || format!("bank.{}.gap", bank.bank.name);
    distance(study, findings, &bank.gap, &least, thing, "each other", path);
}

fn distance(
    study: &Study,
    findings: &mut Findings<'_>,
    own: &Fact<Length>,
    least: &Traced<Length>,
    thing: &str,
    from: &str,
    path: impl Fn() -> String,
) {
    match own {
        Fact::Known(own) if exceeds(least, own) => {
            findings
                .fails(format!(
                    "{thing}: its units stand {} from {from}, {} are asked",
                    say(study, own),
                    say(study, least)
                ))
                .at(path(), "said here")
                .because([own.term("stands", &units::FOOT_UNIT), least.term("asked", &units::FOOT_UNIT)]);
        }
        Fact::Known(_) => {}
        Fact::Unknown(gap) => {
            findings.undecided_for(
                thing,
                &format!("how far its units stand from {from} is not known"),
                gap.clone(),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const KIND: &str = "room.corner.kind";

    fn of(changes: &[(&str, &str)]) -> String {
        verdict("N05", changes)
    }

    /// 4 · 51.2 V · 100 Ah = 20.5 kWh; ten of them 51.2 kWh.
    #[test]
    fn each_kind_of_place_holds_its_share() {
        assert_eq!(of(&[]), "passes");
        assert_eq!(of(&[(KIND, "\"bedroom\"")]), "breach");
        assert_eq!(of(&[(KIND, "\"living space\"")]), "breach");
        assert_eq!(of(&[(KIND, "\"unknown\"")]), "undecided breach");
        let utility = (KIND, "\"utility or storage space\"");
        let detector = ("room.corner.detector", "\"yes\"");
        let many = |n: &'static str| ("bank.bank.parallel", n);
        assert_eq!(of(&[utility, detector]), "passes");
        assert_eq!(of(&[utility, detector, many("7")]), "passes");
        assert_eq!(of(&[utility, detector, many("8")]), "breach");
        assert_eq!(of(&[many("15")]), "passes");
        assert_eq!(of(&[many("16")]), "breach");
        assert_eq!(of(&[utility, ("room.corner.detector", "\"no\"")]), "breach");
        assert_eq!(of(&[utility]), "undecided breach");
    }

    #[test]
    fn units_of_more_than_twenty_kilowatt_hours_are_too_large() {
        // 51.2 V · 391 Ah = 20.02 kWh.
        assert_eq!(of(&[("battery.b.capacity", "\"390 Ah\"")]), "passes");
        assert_eq!(of(&[("battery.b.capacity", "\"391 Ah\"")]), "breach");
    }

    #[test]
    fn lithium_units_stand_apart_unless_tested() {
        let tested = |word| ("battery.b.close_together", word);
        let gap = |word| ("bank.bank.gap", word);
        assert_eq!(of(&[tested("\"no\"")]), "undecided breach");
        assert_eq!(of(&[tested("\"no\""), gap("\"3 ft\"")]), "passes");
        assert_eq!(of(&[tested("\"no\""), gap("\"35 in\"")]), "breach");
        assert_eq!(of(&[tested("\"unknown\"")]), "undecided breach");
        assert_eq!(of(&[tested("\"unknown\""), gap("\"35 in\"")]), "undecided breach");
        assert_eq!(of(&[tested("\"unknown\""), gap("\"36 in\"")]), "passes");
        assert_eq!(of(&[tested("\"no\""), ("bank.bank.parallel", "1")]), "passes");
    }

    #[test]
    fn vehicles_and_windows_keep_away() {
        let vehicles = |word| of(&[("bank.bank.vehicles", word)]);
        assert_eq!(vehicles("\"guarded\""), "passes");
        assert_eq!(vehicles("\"unguarded\""), "breach");
        assert_eq!(vehicles("\"unknown\""), "undecided breach");
        let wall = (KIND, "\"outside wall\"");
        assert_eq!(of(&[wall]), "undecided breach");
        assert_eq!(of(&[wall, ("bank.bank.from_openings", "\"3 ft\"")]), "passes");
        assert_eq!(of(&[wall, ("bank.bank.from_openings", "\"2 ft\"")]), "breach");
    }
}
