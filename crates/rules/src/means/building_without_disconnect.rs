//! # A building that a feeder reaches has no disconnect of its own
//!
//! What it checks: that at every building to which a feeder comes from another one a device opens that feeder: the main device
//! of the panel there, a `[[disconnect]]` or breaker at that end of the circuit, or a transfer device with a position in which
//! no source is connected (`off_position`).
//!
//! Why it matters: whoever works in the second building, or fights a fire in it, must not have to find the breaker in the
//! first. A source in the workshop and a house full of people is the usual case with solar power.
//!
//! Known limits: NEC only. Circuits of modules and batteries have rules of their own (N01, N02). Where in the building it stands, and the six
//! handles that may stand together, are not judged.
//!
//! Source: NEC 2023, 225.31, 225.32, 225.36 (from memory).
//!
//! Fails: a panel without a main device in a barn, fed from the house.
//! Passes: the same with a main device, or with a load-break switch at it.

use crate::{Change, Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, WhoKnows, nec};
use study::Study;
use wiring::{End, NodeKind};

pub(crate) static RULE: Rule = Rule {
    code: "N08",
    name: "building-without-disconnect",
    severity: Severity::Breach,
    clause: nec("2023", "225.31, 225.32", Standing::Remembered),
    text: include_str!("building_without_disconnect.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let iec = study.design.system.place.rules.value() == Some(&design::system::Rules::Iec60364);
    if study.wiring.is_err() || iec {
        return;
    }
    let (graph, facts) = (&study.design.graph, study::state_facts(study));
    for id in study::feeders_between_buildings(study) {
        let Some(circuit) = graph.circuits.get(id.0) else { continue };
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        let here = |point: &&wiring::SwitchPoint| point.circuit == id && point.end == End::To;
        if facts.switches.iter().filter(here).any(|point| point.kind.breaks_load()) {
            continue;
        }
        match opens(study, &to.name, to.kind) {
            Ok(true) => {}
            Ok(false) => {
                findings
                    .fails(format!(
                        "\"{}\" feeds \"{}\" in building \"{}\", and nothing there opens that feeder",
                        from.name, to.name, to.building
                    ))
                    .at(crate::words::thing(study, &to.name), "fed from another building")
                    .remedy(Remedy {
                        says: format!("a load-break switch at \"{}\"", to.name),
                        changes: vec![Change::Add {
                            table: "disconnect".into(),
                            name: format!("switch of {}", to.building),
                            fields: vec![
                                ("between".into(), format!("[\"{}\", \"{}\"]", from.name, to.name)),
                                ("at".into(), format!("\"{}\"", to.name)),
                                ("kind".into(), "\"load-break switch\"".into()),
                                ("stands".into(), "\"at the equipment\"".into()),
                                ("lockable".into(), "\"yes\"".into()),
                            ],
                        }],
                    });
            }
            Err(gap) => {
                let thing = format!("the feeder from \"{}\" to \"{}\"", from.name, to.name);
                findings.undecided_for(&thing, "what opens it in the building it reaches is not known", gap);
            }
        }
    }
}

/// Whether equipment opens what feeds it.
fn opens(study: &Study, name: &str, kind: NodeKind) -> Result<bool, Gap> {
    let system = &study.design.system;
    match kind {
        NodeKind::Panel => Ok(system.panel(name).is_some_and(|panel| panel.main.is_some())),
        NodeKind::Transfer => match system.transfer(name).map(|transfer| &transfer.off_position) {
            Some(Fact::Known(off)) => Ok(off.value),
            Some(Fact::Unknown(gap)) => Err(gap.clone()),
            None => Err(Gap::one(quantity::FieldPath::new(format!("transfer.{name}")), WhoKnows::DataSheet)),
        },
        _ => Ok(false),
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use crate::trial::verdict;

    /// A second building with a panel that the panel of the trial house feeds.
    pub(crate) const BARN: &str = r#"
[[building]]
name = "barn"
kind = "barn"

[[panel]]
name = "barn panel"
fed_by = ["panel"]
volts = "120/240"
bus = "100 A"
bond = "no"
building = "barn"
price = 80

[[run]]
name = "to the barn"
between = ["panel", "barn panel"]
terminals = "75 °C"
route = [{ length = "60 ft", where = "underground", depth = "20 in", under = "open ground", raceway = "pvc-40" }]
"#;

    const SWITCH: &str = r#"
[[disconnect]]
name = "barn switch"
between = ["panel", "barn panel"]
at = "barn panel"
kind = "load-break switch"
rating = "60 A"
volts = "240 V"
stands = "at the equipment"
lockable = "yes"
price = 60
"#;

    #[test]
    fn a_panel_in_another_building_wants_a_main_device_or_a_switch() {
        assert_eq!(verdict("N08", &[]), "passes");
        assert_eq!(verdict("N08", &[("+", BARN)]), "breach");
        assert_eq!(verdict("N08", &[("+", BARN), ("panel.barn panel.main", "\"60 A\"")]), "passes");
        assert_eq!(verdict("N08", &[("+", BARN), ("+", SWITCH)]), "passes");
        // At its near end it stands in the first building.
        let near = SWITCH.replace("at = \"barn panel\"", "at = \"panel\"");
        assert_eq!(verdict("N08", &[("+", BARN), ("+", &near)]), "breach");
        let isolating = SWITCH.replace("load-break switch", "isolating switch");
        assert_eq!(verdict("N08", &[("+", BARN), ("+", &isolating)]), "breach");
        assert_eq!(verdict("N08", &[("+", BARN), ("panel.barn panel.building", "\"shed\"")]), "passes");
    }

    #[test]
    fn a_transfer_device_opens_when_it_has_a_position_for_that() {
        let transfer = |off: &str| {
            let device = format!(
                "[[transfer]]\nname = \"barn change-over\"\nfrom = [\"panel\"]\nkind = \"manual\"\nrating = \"60 A\"\nswitches_neutral = \"no\"\nbuilding = \"barn\"\nprice = 200\nlisted = \"UL 1008\"\n{off}"
            );
            let barn = BARN.replace("fed_by = [\"panel\"]", "fed_by = [\"barn change-over\"]").replace(
                "between = [\"panel\", \"barn panel\"]",
                "between = [\"panel\", \"barn change-over\"]",
            );
            verdict("N08", &[("+", &barn), ("+", &device)])
        };
        assert_eq!(transfer("off_position = \"yes\""), "passes");
        assert_eq!(transfer("off_position = \"no\""), "breach");
        assert_eq!(transfer(""), "undecided breach");
    }
}
