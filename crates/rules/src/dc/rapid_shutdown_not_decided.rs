//! # Module conductors in a building without rapid shutdown
//!
//! What it checks: strings whose conductors run on or inside a building name what brings them down to a low voltage when
//! one switch is turned.
//!
//! Why it matters: firefighters open roofs. Where the rule holds, conductors outside the array must fall to 30 V within
//! half a minute of turning one switch, and that takes devices that must be bought with the modules. Conductors of a
//! ground rack are controlled too once they enter a building by more than 3 ft.
//!
//! Decided by where the conductors run: on a building, or inside one by more than 3 ft from where they enter. Excepted are
//! open structures apart from the house (from the 2023 edition), circuits that end on the outside of a building, and
//! ground racks whose conductors enter a building that houses nothing but equipment of the system.
//!
//! Known limits: parts indoors are added, also where a run comes out again between them. Whether the devices work
//! together is in the makers' papers.
//!
//! Source: NEC 2023, 690.12 (read second-hand; exception for buildings of equipment from memory).
//!
//! Fails: a string on a roof with `rapid_shutdown = "none"`; undecided when nothing is said.
//! Passes: a rack, and an inverter on a post beside it; 3 ft of conduit indoors; a roof with module electronics.

use crate::{Findings, Rule, Severity};
use design::system::{RapidShutdown, Rules, StringIn};
use quantity::{Fact, FieldPath, Gap, Measure, Standing, WhoKnows, nec, units};
use study::Study;
use wiring::{Run, Where};

pub(crate) static RULE: Rule = Rule {
    code: "D12",
    name: "no-rapid-shutdown",
    severity: Severity::Breach,
    clause: nec("2023", "690.12", Standing::SecondHand),
    text: include_str!("rapid_shutdown_not_decided.rs"),
    check,
};

/// Length inside a building from which conductors are controlled, ft.
const INSIDE: f64 = 3.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    // IEC 60364-7-712 asks for nothing of the kind.
    if study.wiring.is_err() || study::rule_set(&study.design.system) == Some(wiring::RuleSet::Iec60364) {
        return;
    }
    for string in &study.design.system.strings {
        let shuts = string.rapid_shutdown.value().is_some_and(|what| *what != RapidShutdown::None);
        if !shuts {
            tell(findings, string, controlled(study, string));
        }
    }
}

fn tell(findings: &mut Findings<'_>, string: &StringIn, controlled: Result<bool, Gap>) {
    let name = &string.string.name;
    let field = format!("string.{name}.rapid_shutdown");
    match (controlled, &string.rapid_shutdown) {
        (Ok(false), _) => {}
        (Ok(true), Fact::Known(_)) => {
            findings
                .fails(format!("string \"{name}\" runs on or inside a building and nothing shuts its conductors down"))
                .at(field, "said here")
                .explains("Ask the makers of modules and inverter which devices do it together, before buying either.");
        }
        (Ok(true), Fact::Unknown(gap)) => {
            findings
                .undecided(
                    format!("string \"{name}\" runs on or inside a building; what shuts its conductors down is not known"),
                    gap.clone(),
                )
                .explains("Ask the building office what it expects, and the makers of modules and inverter which devices do it, before buying either.");
        }
        (Err(gap), _) => {
            findings
                .undecided(
                    format!("string \"{name}\": where its conductors run is not known, so neither is whether something must shut them down"),
                    gap,
                )
                .explains("Conductors on a building, or more than 3 ft inside one, are shut down by one switch, also those of a ground rack.");
        }
    }
}

/// Whether conductors of a string are controlled; what is missing where that is not known.
fn controlled(study: &Study, string: &StringIn) -> Result<bool, Gap> {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let plane = system.plane(&string.string.plane);
    let carrier = plane.map(|plane| &plane.building).filter(|building| !building.is_empty());
    let on_open =
        carrier.and_then(|name| system.building(name)).is_some_and(|b| b.open.value() == Some(&true));
    // Open structures are excepted from the edition of 2023 on.
    let excepted = on_open && system.place.rules.value() != Some(&Rules::Nec2020);
    if carrier.is_some() && !excepted {
        return Ok(true);
    }
    let own = |circuit: &&wiring::Circuit| {
        circuit.demand.is_pv()
            && graph.node(circuit.from).is_some_and(|from| {
                from.name == string.string.name || (!string.through.is_empty() && from.name == string.through)
            })
    };
    let mut gap: Option<Gap> = None;
    for circuit in graph.circuits.iter().filter(own) {
        match circuit
            .run
            .and_then(|run| system.runs.get(run.0))
            .map(|run| inside(study, run, carrier.is_some()))
        {
            Some(Ok(true)) => return Ok(true),
            Some(Ok(false)) => {}
            Some(Err(more)) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
            None => {
                let field = FieldPath::new(format!("run for {}", circuit.name));
                let more = Gap::one(field, WhoKnows::Owner);
                gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more)));
            }
        }
    }
    gap.map_or(Ok(false), Err)
}

/// Whether a run lies inside buildings by more than 3 ft, those that house nothing but equipment left out for racks on
/// the ground.
fn inside(study: &Study, run: &Run, on_building: bool) -> Result<bool, Gap> {
    let system = &study.design.system;
    let mut feet = 0.0;
    let mut gap: Option<Gap> = None;
    for segment in &run.segments {
        let building = system.room(&segment.room).and_then(|room| system.building(&room.building));
        let only_equipment = building.is_some_and(|b| b.only_equipment.value() == Some(&true));
        if only_equipment && !on_building {
            continue;
        }
        let counts = match &segment.place {
            Fact::Known(place) => match place.value {
                // On a roof of a building it is on the building, whatever carries the modules.
                Where::OnRoof if !on_building => return Ok(true),
                place => place == Where::Indoors,
            },
            Fact::Unknown(more) => {
                gap = Some(gap.map_or(more.clone(), |gap| gap.and(more)));
                continue;
            }
        };
        match &segment.length {
            _ if !counts => {}
            Fact::Known(length) => feet += units::FOOT_UNIT.of_si(length.value.si()),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    if crate::words::above(feet, INSIDE) {
        return Ok(true);
    }
    gap.map_or(Ok(false), Err)
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    #[test]
    fn conductors_that_enter_a_building_name_what_shuts_them_down() {
        let shutdown = "string.row.rapid_shutdown";
        assert_eq!(verdict("D12", &[]), "passes");
        assert_eq!(verdict("D12", &[(shutdown, "\"none\"")]), "breach");
        assert_eq!(verdict("D12", &[(shutdown, "\"unknown\"")]), "undecided breach");
        assert_eq!(
            verdict("D12", &[(shutdown, "\"none\""), ("run.down.route.2.where", "\"outdoors\"")]),
            "passes"
        );
    }

    #[test]
    fn it_is_decided_by_where_the_conductors_run() {
        let none = ("string.row.rapid_shutdown", "\"none\"");
        let indoors = |feet: &'static str| verdict("D12", &[none, ("run.down.route.2.length", feet)]);
        assert_eq!(indoors("\"36 in\""), "passes");
        assert_eq!(indoors("\"37 in\""), "breach");
        assert_eq!(indoors("\"unknown\""), "undecided breach");
        let place = ("run.down.route.2.where", "\"unknown\"");
        assert_eq!(verdict("D12", &[none, place]), "undecided breach");
        // What shuts everything down settles it wherever the conductors run.
        assert_eq!(verdict("D12", &[place]), "passes");
        let only = ("building.shed.only_equipment", "\"yes\"");
        assert_eq!(verdict("D12", &[none, only]), "passes");
        // On a roof that exception does not hold.
        let on_shed = ("plane.rack.building", "\"shed\"");
        assert_eq!(verdict("D12", &[none, only, on_shed]), "breach");
    }

    #[test]
    fn an_open_carport_is_excepted_from_2023_on() {
        let carport = [
            ("string.row.rapid_shutdown", "\"none\""),
            ("+", "[[building]]\nname = \"carport\"\nopen = \"yes\""),
            ("plane.rack.building", "\"carport\""),
            ("run.down.route.2.where", "\"outdoors\""),
        ];
        let by = |rules: &'static str| {
            verdict("D12", &carport.into_iter().chain([("place.rules", rules)]).collect::<Vec<_>>())
        };
        assert_eq!(by("\"nec-2020\""), "breach");
        assert_eq!(by("\"nec-2023\""), "passes");
        assert_eq!(by("\"nec-2026\""), "passes");
    }
}
