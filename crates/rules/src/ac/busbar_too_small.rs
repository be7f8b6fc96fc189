//! # The busbar of a panel, or a transfer device, is smaller than what feeds it
//!
//! What it checks: the device of every circuit that feeds a panel, and its main device, against the rating of its
//! busbar; the device and the continuous current of every circuit that feeds a transfer device against its rating.
//!
//! Why it matters: neither a busbar nor a switch has a fuse of its own. What protects it is the device ahead of it.
//!
//! Known limits: each feeder by itself; the sums of several sources on one busbar are the matter of A07. A
//! rating that is not known is told with the circuit that lacks it.
//!
//! Source: NEC 2023, 408.36, 702.5 (from memory).
//!
//! Fails: a 60 A device ahead of a 50 A busbar or of a 50 A transfer switch.
//! Passes: a 60 A busbar, a 60 A switch.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A05",
    name: "busbar-too-small",
    severity: Severity::Breach,
    clause: nec("2023", "408.36", Standing::Remembered),
    text: include_str!("busbar_too_small.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    busbars(study, findings);
    transfers(study, findings);
}

fn busbars(study: &Study, findings: &mut Findings<'_>) {
    let (graph, Ok(schedule)) = (&study.design.graph, &study.wiring) else { return };
    for panel in &study.design.system.panels {
        let path = format!("panel.{}.bus", panel.name);
        let feeds = schedule.circuits.iter().filter(|sized| {
            graph
                .circuits
                .get(sized.circuit.0)
                .and_then(|c| graph.node(c.to))
                .is_some_and(|n| n.name == panel.name)
        });
        let mut devices: Vec<(String, &Fact<quantity::Current>)> = feeds
            .map(|sized| (format!("the device of \"{}\"", sized.name), &sized.protection.rating))
            .collect();
        // A main device stands between feeder and busbar and decides in its place.
        if let Some(main) = &panel.main {
            devices = vec![("its main device".to_string(), main)];
        }
        for (name, rating) in devices {
            match (rating, &panel.bus) {
                (Fact::Known(rating), Fact::Known(bus)) if exceeds(rating, bus) => {
                    findings
                        .fails(format!(
                            "panel \"{}\": {name} is rated {}, its busbar {}",
                            panel.name,
                            say(study, rating),
                            say(study, bus)
                        ))
                        .at(path.clone(), "busbar rated here")
                        .because([rating.term("device", &units::AMPERE), bus.term("busbar", &units::AMPERE)]);
                }
                (_, Fact::Unknown(gap)) => {
                    let thing = format!("panel \"{}\"", panel.name);
                    findings.undecided_for(&thing, "the rating of its busbar is not known", gap.clone());
                    break;
                }
                _ => {}
            }
        }
    }
}

fn transfers(study: &Study, findings: &mut Findings<'_>) {
    let (graph, Ok(schedule)) = (&study.design.graph, &study.wiring) else { return };
    for device in study.design.system.transfers.iter().map(|device| &device.transfer) {
        let path = format!("transfer.{}.rating", device.name);
        let own = match &device.rating {
            Fact::Known(own) => own,
            Fact::Unknown(gap) => {
                let thing = format!("transfer device \"{}\"", device.name);
                findings.undecided_for(&thing, "its rating is not known", gap.clone());
                continue;
            }
        };
        let feeds = schedule.circuits.iter().filter(|sized| {
            let circuit = graph.circuits.get(sized.circuit.0);
            circuit.and_then(|c| graph.node(c.to)).is_some_and(|node| node.name == device.name)
        });
        for sized in feeds {
            // The device ahead is what the switch may see; where none is found, the current that flows for hours.
            let carried = [
                (format!("the device of \"{}\" is rated", sized.name), &sized.protection.rating),
                (format!("\"{}\" carries", sized.name), &sized.currents.continuous),
            ];
            let over = carried.into_iter().find_map(|(says, fact)| {
                fact.known().filter(|most| exceeds(*most, own)).map(|most| (says, most))
            });
            if let Some((says, most)) = over {
                findings
                    .fails(format!(
                        "transfer device \"{}\": {says} {}, it is rated {}",
                        device.name,
                        say(study, most),
                        say(study, own)
                    ))
                    .at(path.clone(), "rated here")
                    .because([most.term("feeds it", &units::AMPERE), own.term("rating", &units::AMPERE)]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    /// 6000 W / 240 V · 1.25 = 31.25 A: a device of 35 A.
    #[test]
    fn the_device_ahead_decides() {
        let bus = |amps| verdict("A05", &[("panel.panel.bus", amps)]);
        assert_eq!(bus("\"36 A\""), "passes");
        assert_eq!(bus("\"35 A\""), "passes");
        assert_eq!(bus("\"34 A\""), "breach");
        assert_eq!(bus("\"unknown\""), "undecided breach");
        assert_eq!(
            verdict("A05", &[("panel.panel.bus", "\"34 A\""), ("panel.panel.main", "\"30 A\"")]),
            "passes"
        );
    }
    /// The same 35 A device ahead of a transfer switch.
    #[test]
    fn a_transfer_device_bears_what_feeds_it() {
        let rated = |amps: &str| {
            let switch = format!(
                "[[transfer]]\nname = \"switch\"\nfrom = [\"inverter\"]\nkind = \"manual\"\nrating = {amps}\nswitches_neutral = \"no\"\n[[run]]\nname = \"to switch\"\nbetween = [\"inverter\", \"switch\"]\nterminals = \"75 °C\"\nroute = [{{ length = \"5 ft\", where = \"indoors\", raceway = \"emt\" }}]"
            );
            verdict("A05", &[("+", &switch), ("panel.panel.fed_by", r#"["switch"]"#)])
        };
        assert_eq!(rated("\"36 A\""), "passes");
        assert_eq!(rated("\"35 A\""), "passes");
        assert_eq!(rated("\"34 A\""), "breach");
        assert_eq!(rated("\"unknown\""), "undecided breach");
    }
}
