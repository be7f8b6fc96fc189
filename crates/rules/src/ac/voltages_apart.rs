//! # Things of different voltages are joined
//!
//! What it checks: the voltage of every unit, generator and panel against the panels and units it feeds, through
//! transfer devices as if they were wire; and the volts of every load against the panels of the house.
//!
//! Why it matters: 230 V on a wire that is meant for 120 V burns what hangs on it. A part that asks for more than it
//! gets does not run, or burns its motor.
//!
//! Known limits: a load names no panel, so it passes where any panel fits it; 120 V on one leg and 120/240 V count as
//! one family here, A04 tells where a second leg is missing; the voltage of the utility is not a field.
//!
//! Source: NEC 2023, 110.4 (from memory); a tenth up and down is what loads bear, common practice.
//!
//! Fails: a unit of 230 V on a panel of 120/240 V, a load of 277 V on the same panel.
//! Passes: a unit of 120/240 V, a load of 120 V or 240 V.

use crate::{Findings, Rule, Severity};
use conversion::OutputVolts;
use quantity::{Fact, Standing, nec};
use std::sync::Arc;
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A06",
    name: "voltages-apart",
    severity: Severity::Danger,
    clause: nec("2023", "110.4", Standing::Remembered),
    text: include_str!("voltages_apart.rs"),
    check,
};

/// Share by which a voltage may lie above or below.
const BEARS: f64 = 0.1;

/// Volts between two lines of three phases.
const LINE_TO_LINE: f64 = 400.0;

/// A thing with its volts: the field they stand in and the fact.
type WithVolts<'s> = (String, &'s Fact<OutputVolts>);

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for panel in &system.panels {
        let fed = (format!("panel.{}.volts", panel.name), &panel.volts);
        for source in &panel.fed_by {
            compare(study, findings, source, &panel.name, &fed);
        }
    }
    for unit in system.units_in_place.iter().filter(|unit| !unit.ac_input.is_empty()) {
        let Some(part) = system.inverter_of(unit) else { continue };
        let fed = (format!("inverter.{}.volts", part.name), &part.volts);
        compare(study, findings, &unit.ac_input, &unit.name, &fed);
    }
    loads(study, findings);
}

fn compare(study: &Study, findings: &mut Findings<'_>, source: &Arc<str>, to: &str, fed: &WithVolts<'_>) {
    let mut sources = Vec::new();
    let mut passed = Vec::new();
    behind(study, source, &mut passed, &mut sources);
    for (name, (path, volts)) in sources {
        match crate::words::both(volts, fed.1) {
            Ok((gives, takes)) if !alike(gives.value, takes.value) => {
                findings
                    .fails(format!(
                        "\"{name}\" gives {}, \"{to}\" is made for {}",
                        in_words(gives.value),
                        in_words(takes.value)
                    ))
                    .at(path, "this voltage")
                    .at(fed.0.clone(), "and this one");
            }
            Ok(_) => {}
            Err(gap) => {
                let thing = format!("\"{name}\" on \"{to}\"");
                findings.undecided_for(&thing, "whether their voltages agree is not known", gap);
            }
        }
    }
}

/// What gives the voltage of a supply: the supply itself, or what stands behind a transfer device.
fn behind<'s>(
    study: &'s Study,
    source: &Arc<str>,
    passed: &mut Vec<Arc<str>>,
    found: &mut Vec<(Arc<str>, WithVolts<'s>)>,
) {
    let system = &study.design.system;
    if let Some(part) = system.unit(source).and_then(|unit| system.inverter_of(unit)) {
        found.push((source.clone(), (format!("inverter.{}.volts", part.name), &part.volts)));
    } else if let Some(panel) = system.panel(source) {
        found.push((source.clone(), (format!("panel.{source}.volts"), &panel.volts)));
    } else if let Some(part) = system.engine(source).and_then(|engine| system.generator(&engine.generator)) {
        found.push((source.clone(), (format!("generator.{}.volts", part.name), &part.volts)));
    } else if let Some(device) = system.transfer(source)
        && !passed.contains(source)
    {
        passed.push(source.clone());
        for from in &device.transfer.from {
            behind(study, from, passed, found);
        }
    }
}

/// Whether each conductor of one has the voltage that the other expects of it.
fn alike(gives: OutputVolts, takes: OutputVolts) -> bool {
    within(gives.to_neutral(), takes.to_neutral())
}

fn within(a: f64, b: f64) -> bool {
    !crate::words::above((a - b).abs(), b * BEARS)
}

fn in_words(volts: OutputVolts) -> &'static str {
    match volts {
        OutputVolts::Single120 => "120 V",
        OutputVolts::Split240 => "120/240 V",
        OutputVolts::Single230 => "230 V",
    }
}

fn loads(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let panels: Vec<(OutputVolts, bool)> = system
        .panels
        .iter()
        .filter_map(|panel| Some((panel.volts.value().copied()?, panel.three_phase)))
        .collect();
    if panels.is_empty() {
        return;
    }
    for load in &system.loads {
        let path = format!("load.{}.volts", load.name);
        match &load.volts {
            Fact::Known(volts) => {
                let fits = |(panel, three_phase): &(OutputVolts, bool)| {
                    within(volts.si(), panel.to_neutral())
                        || within(volts.si(), panel.across())
                        || (*three_phase && within(volts.si(), LINE_TO_LINE))
                };
                if !panels.iter().any(fits) {
                    findings
                        .fails(format!(
                            "load \"{}\" asks for {}, no panel of the house gives that",
                            load.name,
                            crate::words::say(study, volts)
                        ))
                        .at(path, "asked for here");
                }
            }
            Fact::Unknown(gap) => {
                let thing = format!("load \"{}\"", load.name);
                findings.undecided_for(&thing, "whether a panel has its voltage is not known", gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_unit_of_another_voltage_than_its_panel_is_a_danger() {
        let unit = |volts| verdict("A06", &[("inverter.i.volts", volts)]);
        assert_eq!(unit("\"120/240\""), "passes");
        assert_eq!(unit("\"120\""), "passes");
        assert_eq!(unit("\"230\""), "danger");
        assert_eq!(unit("\"unknown\""), "undecided danger");
    }

    /// A tenth of 240 V are 24 V, of 120 V 12 V: 264 V and 216 V, 132 V and 108 V still pass.
    #[test]
    fn a_volt_decides_for_a_load() {
        let load = |volts| verdict("A06", &[("load.pump.volts", volts)]);
        for passing in ["108", "120", "132", "216", "230", "240", "264"] {
            assert_eq!(load(passing), "passes", "{passing} V");
        }
        for failing in ["107", "133", "215", "265", "277"] {
            assert_eq!(load(failing), "danger", "{failing} V");
        }
        assert_eq!(load("\"unknown\""), "undecided danger");
    }

    #[test]
    fn a_transfer_device_changes_no_voltage() {
        let switch = (
            "+",
            "[[transfer]]\nname = \"switch\"\nfrom = [\"inverter\"]\nkind = \"manual\"\nrating = \"60 A\"\nswitches_neutral = \"no\"",
        );
        let fed = ("panel.panel.fed_by", r#"["switch"]"#);
        assert_eq!(verdict("A06", &[switch, fed]), "passes");
        let found = of("A06", &[switch, fed, ("inverter.i.volts", "\"230\"")]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].says, "\"inverter\" gives 230 V, \"panel\" is made for 120/240 V");
    }

    #[test]
    fn a_house_of_230_volts_is_one_family() {
        let mut changes = vec![("inverter.i.volts", "\"230\""), ("panel.panel.volts", "\"230\"")];
        for path in ["load.lights.volts", "load.kitchen.volts", "load.water heater.volts", "load.pump.volts"]
        {
            changes.push((path, "230"));
        }
        assert_eq!(verdict("A06", &changes), "passes");
        changes.push(("load.lights.volts", "120"));
        assert_eq!(verdict("A06", &changes), "danger");
    }
}
