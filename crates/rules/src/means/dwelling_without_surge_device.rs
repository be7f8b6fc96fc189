//! # A dwelling without a surge protective device
//!
//! What it checks: that a surge protective device of type 1 or 2 stands at new service equipment of a dwelling, and since
//! 2023 at every new panel of a dwelling that a feeder brings power to, an inverter's output among them; and that its
//! voltage to ground is at least that of the panel.
//!
//! Why it matters: surges from the line and from one's own switching end in the electronics that a house now depends on:
//! smoke alarms, pumps, the inverter itself. A device of too low a voltage burns instead.
//!
//! Known limits: NEC only. Equipment that is there already is asked when it is replaced; this rule is silent until then.
//! Nominal discharge current and the distance to the panel are not judged.
//!
//! Source: NEC 2023, 230.67, 215.18, 242.12 (from memory).
//!
//! Fails: a new panel in a dwelling, fed by an inverter, without a device; one of type 3.
//! Passes: a type 2 device at it; a panel in a workshop.

use crate::{Change, Findings, Remedy, Rule, Severity};
use design::system::SurgeType;
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "N07",
    name: "dwelling-without-surge-device",
    severity: Severity::Breach,
    clause: nec("2023", "230.67, 215.18", Standing::Remembered),
    text: include_str!("dwelling_without_surge_device.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for asked in study::surges_asked(study) {
        let devices = study::surges_at(study, &asked.at);
        for device in &devices {
            too_low(study, findings, &asked, device);
        }
        if asked.existing {
            continue;
        }
        let what = if asked.is_service { "service equipment" } else { "panel" };
        match &asked.dwelling {
            Fact::Known(dwelling) if !dwelling.value => {}
            Fact::Unknown(gap) if devices.is_empty() => {
                let says =
                    "whether it serves a dwelling, which asks for a surge protective device, is not known";
                findings.undecided_for(&format!("{what} \"{}\"", asked.at), says, gap.clone());
            }
            _ if devices.is_empty() => {
                let at_least = to_ground(study, &asked.at);
                let volts = LABELS.into_iter().find(|label| at_least.is_some_and(|volts| volts <= *label));
                let finding = findings
                    .fails(format!("{what} \"{}\" of a dwelling has no surge protective device", asked.at))
                    .at(asked.path.clone(), "asked for here, in it or beside it");
                if let Some(volts) = volts {
                    finding.remedy(Remedy {
                        says: format!("a type 2 device of {volts} V to ground at \"{}\"", asked.at),
                        changes: vec![Change::Add {
                            table: "surge".into(),
                            name: format!("surges at {}", asked.at),
                            fields: vec![
                                ("at".into(), format!("\"{}\"", asked.at)),
                                ("protects".into(), "\"alternating current\"".into()),
                                ("type".into(), "\"type 2\"".into()),
                                ("volts".into(), format!("\"{volts} V\"")),
                            ],
                        }],
                    });
                }
            }
            _ => unfit_type(findings, &asked, &devices, what),
        }
    }
}

fn unfit_type(
    findings: &mut Findings<'_>,
    asked: &study::SurgeAsked,
    devices: &[&design::system::SurgeDevice],
    what: &str,
) {
    let fits = |kind: &SurgeType| *kind != SurgeType::Three;
    if devices.iter().any(|d| d.on_modules.is_known() && d.kind.value().is_some_and(fits)) {
        return;
    }
    let gaps = devices.iter().flat_map(|device| [device.on_modules.gap(), device.kind.gap()]).flatten();
    match gaps.fold(None, |all: Option<quantity::Gap>, gap| Some(all.map_or(gap.clone(), |all| all.and(gap))))
    {
        Some(gap) => {
            let says = "whether its surge protective device is of type 1 or 2 is not known";
            findings.undecided_for(&format!("{what} \"{}\"", asked.at), says, gap);
        }
        None => {
            let name = devices.first().map(|device| device.name.to_string()).unwrap_or_default();
            findings
                .fails(format!(
                    "{what} \"{}\": its surge protective device is of type 3, type 1 or 2 is asked for",
                    asked.at
                ))
                .at(format!("surge.{name}.type"), "for the point of use");
        }
    }
}

/// Voltages to ground on the labels of devices for 120 V and 230 V (common practice, no source).
const LABELS: [f64; 2] = [150.0, 275.0];

fn to_ground(study: &Study, at: &str) -> Option<f64> {
    Some(study.design.system.panel(at)?.volts.value()?.to_neutral())
}

/// A device of a voltage to ground below that of its panel burns. What carries 230 V or 120 V to ground follows from the panel.
fn too_low(
    study: &Study,
    findings: &mut Findings<'_>,
    asked: &study::SurgeAsked,
    device: &design::system::SurgeDevice,
) {
    let Some(to_ground) = to_ground(study, &asked.at) else { return };
    let field = format!("surge.{}.volts", device.name);
    match &device.volts {
        Fact::Known(rated) if crate::words::above(to_ground, rated.si()) => {
            findings
                .fails_as(
                    Severity::Danger,
                    format!(
                        "surge protective device \"{}\" may lie at {}, \"{}\" has {to_ground:.0} V to ground",
                        device.name,
                        crate::words::say(study, rated),
                        asked.at
                    ),
                )
                .at(field, "voltage set here");
        }
        Fact::Known(_) => {}
        Fact::Unknown(gap) => {
            let says = "the voltage at which it may lie for good is not known";
            findings.undecided_for(
                &format!("surge protective device \"{}\"", device.name),
                says,
                gap.clone(),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const HOUSE: (&str, &str) = ("building.shed.kind", "\"dwelling\"");

    fn device(kind: &str, volts: &str) -> String {
        format!(
            "[[surge]]\nname = \"s\"\nat = \"panel\"\nprotects = \"alternating current\"\ntype = {kind}\nvolts = {volts}\nprice = 40"
        )
    }

    /// The panel hangs behind an inverter: 215.18 came with the edition of 2023.
    #[test]
    fn the_panel_of_a_dwelling_wants_one_since_2023() {
        assert_eq!(verdict("N07", &[]), "passes");
        assert_eq!(verdict("N07", &[HOUSE]), "breach");
        assert_eq!(verdict("N07", &[HOUSE, ("place.rules", "\"nec-2020\"")]), "passes");
        assert_eq!(verdict("N07", &[HOUSE, ("place.rules", "\"nec-2026\"")]), "breach");
        assert_eq!(of("N07", &[HOUSE, ("place.rules", "\"nec-2026\"")])[0].clause.edition, "2026");
        assert_eq!(verdict("N07", &[HOUSE, ("panel.panel.existing", "\"yes\"")]), "passes");
        // A building whose kind nobody says counts by the kind of the place.
        assert_eq!(verdict("N07", &[("building.shed.kind", "")]), "breach");
        assert_eq!(verdict("N07", &[("building.shed.kind", ""), ("place.dwelling", "\"other\"")]), "passes");
        assert_eq!(verdict("N07", &[("building.shed.kind", ""), ("place.dwelling", "")]), "undecided breach");
    }

    #[test]
    fn its_type_and_its_voltage_must_fit() {
        let says = |kind: &str, volts: &str| verdict("N07", &[HOUSE, ("+", &device(kind, volts))]);
        assert_eq!(says("\"type 2\"", "\"150 V\""), "passes");
        assert_eq!(says("\"type 1\"", "\"120 V\""), "passes");
        assert_eq!(says("\"type 3\"", "\"150 V\""), "breach");
        assert_eq!(says("\"unknown\"", "\"150 V\""), "undecided breach");
        assert_eq!(says("\"type 2\"", "\"75 V\""), "danger");
        assert_eq!(says("\"type 2\"", "\"unknown\""), "undecided breach");
    }
}
