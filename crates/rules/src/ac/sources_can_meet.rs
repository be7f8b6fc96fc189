//! # Two sources can meet
//!
//! What it checks: between any two sources of alternating current stands a transfer device in each of its positions,
//! unless they are units of one part that its maker lets stack the way they stand, or listed to run in parallel with
//! the utility; and that the kind of each transfer device is known.
//!
//! Why it matters: two sources that are joined out of step destroy each other within a cycle, and a house that feeds a
//! dead line kills the person who repairs it.
//!
//! Known limits: from the circuits of the design; a cord that is plugged in by hand is not in it.
//!
//! Source: NEC 2023, 702.5, 710.15 (from memory).
//!
//! Fails: a panel fed by an inverter and by the utility at once; a panel behind a transfer switch that the utility
//! feeds a second time; two inverters of different parts on one panel.
//! Passes: the same panel behind a transfer switch.

use crate::words::{named, thing};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, nec};
use study::Study;
use wiring::{GraphProblem, NodeId, NodeKind};

pub(crate) static RULE: Rule = Rule {
    code: "A01",
    name: "sources-can-meet",
    severity: Severity::Danger,
    clause: nec("2023", "702.5", Standing::Remembered),
    text: include_str!("sources_can_meet.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for problem in study.design.graph.problems() {
        match problem {
            GraphProblem::SourcesMeet(a, b) => meet(study, findings, a, b, None),
            GraphProblem::SourcesMayMeet(a, b, gap) => meet(study, findings, a, b, Some(gap)),
            _ => {}
        }
    }
    // Something that is neither a switch turned by hand nor a device that turns itself may be no transfer device.
    for device in &study.design.system.transfers {
        if let Fact::Unknown(gap) = &device.transfer.kind {
            let thing = format!("transfer device \"{}\"", device.transfer.name);
            findings.undecided_for(&thing, "whether it parts its sources is not known", gap.clone());
        }
    }
}

fn meet(study: &Study, findings: &mut Findings<'_>, a: NodeId, b: NodeId, gap: Option<Gap>) {
    let graph = &study.design.graph;
    let (Some(a), Some(b)) = (graph.node(a), graph.node(b)) else { return };
    let names = named(&[&a.name, &b.name]);
    let panel = study
        .design
        .system
        .panels
        .iter()
        .find(|panel| panel.fed_by.contains(&a.name) && panel.fed_by.contains(&b.name));
    let finding = match gap {
        Some(gap) => {
            let finding = findings.undecided(
                format!("{names} are joined without a transfer device; whether they may run in parallel is not known"),
                gap,
            );
            finding.explains("Until it is known they count as sources that meet.");
            finding
        }
        None => findings.fails(format!("{names} are joined without a transfer device between them")),
    };
    if let Some(panel) = panel {
        let path = format!("panel.{}.fed_by", panel.name);
        finding.at.insert(
            0,
            crate::Place { field: quantity::FieldPath::new(path.clone()), says: "joined here".into() },
        );
        // The way out that needs nothing new: one of the two feeds the panel no longer.
        let away = if a.kind == NodeKind::Inverter { &b.name } else { &a.name };
        let left: Vec<String> =
            panel.fed_by.iter().filter(|name| *name != away).map(|name| format!("\"{name}\"")).collect();
        finding.remedy(Remedy::set(
            format!("\"{away}\" no longer feeds \"{}\"", panel.name),
            path,
            format!("[{}]", left.join(", ")),
        ));
    } else {
        finding.at(thing(study, &a.name), "this source").at(thing(study, &b.name), "and this one");
    }
    finding.explains("A transfer device connects the house to one of them and never to both; its interlock is mechanical, not a habit.");
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const UTILITY: (&str, &str) = (
        "+",
        "[utility]\nrole = \"backup by transfer\"\nservice = \"100 A\"\n[[run]]\nname = \"service\"\nbetween = [\"utility\", \"panel\"]\nterminals = \"75 °C\"\nroute = [{ length = \"5 ft\", where = \"indoors\", raceway = \"emt\" }]",
    );
    const JOINED: (&str, &str) = ("panel.panel.fed_by", r#"["inverter", "utility"]"#);

    #[test]
    fn one_source_meets_nothing() {
        assert_eq!(verdict("A01", &[]), "passes");
    }

    #[test]
    fn utility_and_inverter_on_one_panel_meet() {
        assert_eq!(verdict("A01", &[UTILITY, JOINED]), "danger");
        let found = of("A01", &[UTILITY, JOINED]);
        assert_eq!(found[0].remedies[0].says, "\"utility\" no longer feeds \"panel\"");
    }

    #[test]
    fn a_listing_for_parallel_operation_parts_them() {
        assert_eq!(verdict("A01", &[UTILITY, JOINED, ("inverter.i.interactive", "\"yes\"")]), "passes");
        assert_eq!(
            verdict("A01", &[UTILITY, JOINED, ("inverter.i.interactive", "\"unknown\"")]),
            "undecided danger"
        );
    }

    const SWITCH: (&str, &str) = (
        "+",
        "[[transfer]]\nname = \"switch\"\nfrom = [\"inverter\", \"utility\"]\nkind = \"manual\"\nrating = \"60 A\"\nswitches_neutral = \"no\"\nprice = 200",
    );

    #[test]
    fn a_transfer_device_parts_them() {
        let behind = [UTILITY, SWITCH, ("panel.panel.fed_by", r#"["switch"]"#)];
        assert_eq!(verdict("A01", &behind), "passes");
        let kind = |word| {
            let changes: Vec<_> = behind.into_iter().chain([("transfer.switch.kind", word)]).collect();
            verdict("A01", &changes)
        };
        assert_eq!(kind("\"automatic\""), "passes");
        assert_eq!(kind("\"unknown\""), "undecided danger");
    }

    #[test]
    fn a_second_way_in_behind_the_transfer_device_joins_them() {
        let around = [UTILITY, SWITCH, ("panel.panel.fed_by", r#"["switch", "utility"]"#)];
        assert_eq!(verdict("A01", &around), "danger");
    }

    #[test]
    fn the_farm_whose_house_panel_hangs_on_switch_and_service_is_found() {
        let farm = include_str!("../../../../designs/hollow-farm/hollow-farm.toml");
        let around =
            farm.replace(r#"fed_by = ["house switch"]"#, r#"fed_by = ["house switch", "service panel"]"#);
        for (text, dangers) in [(farm.to_string(), 0), (around, 2)] {
            let design = std::sync::Arc::new(design::Design::of_text(&text));
            let study =
                study::Study::of(design, None, study::Depth::WithoutYear, &mut study::Memo::default());
            let found = crate::inspect(&study).into_iter().filter(|f| f.code == "A01").count();
            // The service meets each of the two inverters.
            assert_eq!(found, dangers);
        }
    }

    const SECOND: (&str, &str) = (
        "+",
        "[[unit]]\nname = \"second\"\ninverter = \"i\"\nbank = \"bank\"\nroom = \"corner\"\nleg = \"B\"",
    );
    const PAIR: (&str, &str) = ("panel.panel.fed_by", r#"["inverter", "second"]"#);

    #[test]
    fn only_what_the_maker_says_of_stacking_lets_two_units_share_a_panel() {
        let split = |how| {
            let leg = ("unit.inverter.leg", "\"A\"");
            verdict("A01", &[SECOND, PAIR, leg, ("inverter.i.stackable", how)])
        };
        assert_eq!(split("\"split phase\""), "passes");
        assert_eq!(split("\"both\""), "passes");
        assert_eq!(split("\"same phase\""), "danger");
        assert_eq!(split("\"no\""), "danger");
        assert_eq!(split("\"unknown\""), "undecided danger");
        let same = |how| {
            let (here, there) = (("unit.inverter.leg", "\"A\""), ("unit.second.leg", "\"A\""));
            verdict("A01", &[SECOND, PAIR, here, there, ("inverter.i.stackable", how)])
        };
        assert_eq!((same("\"same phase\""), same("\"split phase\"")), ("passes".into(), "danger".into()));
    }

    #[test]
    fn two_parts_do_not_keep_step_with_each_other() {
        let other = (
            "+",
            "[inverter.j]\noutput = \"6 kW\"\nvolts = \"120/240\"\nstackable = \"both\"\n[[unit]]\nname = \"second\"\ninverter = \"j\"\nbank = \"bank\"",
        );
        assert_eq!(verdict("A01", &[other, PAIR, ("inverter.i.stackable", "\"both\"")]), "danger");
    }
}
