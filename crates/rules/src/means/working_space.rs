//! # There is too little room to work in front of equipment
//!
//! What it checks: the free space that is stated in front of inverters, charge controllers, banks and new panels: its
//! depth by the voltage to ground and by what stands opposite, its width, its height, a door that opens by 90 degrees,
//! and for panels that no pipe or duct runs through the space above and below.
//!
//! Why it matters: a person who cannot step back from an arc is burned by it. Equipment is opened live when something is
//! wrong, and then there is no time to clear the way.
//!
//! Known limits: equipment that is there already is not asked for. What makers ask for air to pass comes on top.
//!
//! Source: NEC 2023, 110.26(A) and (E) (3 ft, 30 in and 6 ft 6 in read second-hand, the rest from memory), 706.20(C).
//!
//! Fails: 32 in in front of a panel of 120/240 V; 3 ft before a concrete wall in front of strings of 453 V.
//! Passes: 3 ft by 30 in by 6 ft 6 in at 120 V to ground.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use design::system::Rules;
use quantity::{Fact, FieldPath, Gap, Length, Standing, Traced, WhoKnows, nec, units};
use study::{SpaceStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "N06",
    name: "working-space",
    severity: Severity::Breach,
    clause: nec("2023", "110.26(A), (E)", Standing::SecondHand),
    text: include_str!("working_space.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let rules = &study.design.system.place.rules;
    if study.wiring.is_err() || rules.value() == Some(&Rules::Iec60364) {
        return;
    }
    let all = study::working_spaces(study);
    let blank: Vec<&SpaceStudy> = all.iter().filter(|space| space.stated.is_none()).collect();
    if !blank.is_empty() {
        let names: Vec<&str> = blank.iter().map(|space| &*space.name).collect();
        let gaps =
            blank.iter().map(|space| Gap::one(FieldPath::new(space.path.clone()), WhoKnows::Measurement));
        let gap = gaps.reduce(|a, b| a.and(&b)).unwrap_or(Gap { missing: Vec::new() });
        findings
            .undecided(
                format!("the free space in front of {} is not known", crate::words::named(&names)),
                gap,
            )
            .explains("Measure depth, width and height of the space in which a person stands: at 150 V to ground and less 3 ft deep, 30 in wide, 6 ft 6 in high.");
    }
    for space in &all {
        stated(study, findings, space);
    }
}

fn stated(study: &Study, findings: &mut Findings<'_>, space: &SpaceStudy) {
    let Some(own) = &space.stated else { return };
    let least = [
        ("depth", "deep", &own.depth, space.depth.clone()),
        ("width", "wide", &own.width, Fact::Known(space.width.clone())),
        ("height", "high", &own.height, Fact::Known(space.height.clone())),
    ];
    let mut gap: Option<Gap> = None;
    let mut add = |more: &Gap| gap = Some(gap.take().map_or(more.clone(), |gap| gap.and(more)));
    for (key, word, own, least) in &least {
        match crate::words::both(own, least) {
            Ok((own, least)) if exceeds(least, own) => {
                too_little(study, findings, space, key, word, own, least)
            }
            Ok(_) => {}
            Err(more) => add(&more),
        }
    }
    let mut asked = vec![(&own.door_opens, "its door does not open by 90 degrees", "door_opens")];
    if space.dedicated {
        let says = "pipes or ducts run through the space above or below it";
        asked.push((&own.free_of_pipes, says, "free_of_pipes"));
    }
    for (fact, says, key) in asked {
        match fact {
            Fact::Known(yes) if yes.value => {}
            Fact::Known(_) => {
                findings
                    .fails(format!("{} \"{}\": {says}", space.what, space.name))
                    .at(format!("{}.{key}", space.path), "said here");
            }
            Fact::Unknown(more) => add(more),
        }
    }
    if let Some(gap) = gap {
        let thing = format!("{} \"{}\"", space.what, space.name);
        findings.undecided_for(&thing, "the free space in front of it is not wholly known", gap);
    }
}

fn too_little(
    study: &Study,
    findings: &mut Findings<'_>,
    space: &SpaceStudy,
    key: &str,
    word: &str,
    own: &Traced<Length>,
    least: &Traced<Length>,
) {
    findings
        .fails(format!(
            "{} \"{}\": the space in front of it is {} {word}, {} are asked",
            space.what,
            space.name,
            say(study, own),
            say(study, least)
        ))
        .at(format!("{}.{key}", space.path), "measured here")
        .because([own.term("there", &units::FOOT_UNIT), least.term("asked", &units::FOOT_UNIT)]);
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn panel(depth: &str, width: &str, height: &str, more: &str) -> String {
        let space = format!(
            "{{ depth = \"{depth}\", width = \"{width}\", height = \"{height}\", door_opens = \"yes\", free_of_pipes = \"yes\"{more} }}"
        );
        verdict("N06", &[("panel.panel.working_space", &space)])
    }

    #[test]
    fn a_panel_asks_three_feet_by_thirty_inches_by_six_and_a_half_feet() {
        assert_eq!(verdict("N06", &[]), "passes");
        assert_eq!(panel("36 in", "30 in", "78 in", ""), "passes");
        assert_eq!(panel("35 in", "30 in", "78 in", ""), "breach");
        assert_eq!(panel("36 in", "29 in", "78 in", ""), "breach");
        assert_eq!(panel("36 in", "30 in", "77 in", ""), "breach");
        assert_eq!(panel("36 in", "30 in", "78 in", ", own_width = \"36 in\""), "breach");
        assert_eq!(panel("36 in", "36 in", "78 in", ", own_width = \"36 in\""), "passes");
        let space = "{ depth = \"36 in\", width = \"30 in\", height = \"78 in\", door_opens = \"yes\", free_of_pipes = \"no\" }";
        assert_eq!(verdict("N06", &[("panel.panel.working_space", space)]), "breach");
    }

    #[test]
    fn what_is_not_measured_is_a_question() {
        assert_eq!(verdict("N06", &[("panel.panel.working_space", "")]), "undecided breach");
        let some = "{ depth = \"36 in\", width = \"30 in\" }";
        assert_eq!(verdict("N06", &[("panel.panel.working_space", some)]), "undecided breach");
    }

    /// Eight modules at −28 °C reach 453 V: before concrete 42 in, before other live parts 48 in.
    #[test]
    fn strings_of_many_volts_ask_for_more_before_grounded_walls() {
        let unit = |depth: &str, opposite: &str| {
            let space = format!(
                "{{ depth = \"{depth}\", width = \"30 in\", height = \"78 in\", door_opens = \"yes\", opposite = \"{opposite}\" }}"
            );
            verdict("N06", &[("unit.inverter.working_space", &space)])
        };
        assert_eq!(unit("36 in", "nothing live or grounded"), "passes");
        assert_eq!(unit("36 in", "concrete, brick or something grounded"), "breach");
        assert_eq!(unit("42 in", "concrete, brick or something grounded"), "passes");
        assert_eq!(unit("47 in", "live parts"), "breach");
        assert_eq!(unit("48 in", "live parts"), "passes");
        assert_eq!(unit("60 in", "unknown"), "undecided breach");
    }
}
