//! # A breaker or fuse does not fit its circuit
//!
//! What it checks: a device stated by the owner: rated for direct or alternating current as the circuit is, for the
//! highest voltage it can reach, not below the continuous current, not above what the equipment allows (the module's
//! series fuse), neither polarised nor marked line and load where current flows both ways, and able to interrupt the fault current.
//!
//! Why it matters: a breaker for alternating current opened on a battery draws an arc that does not go out. It is the
//! one part that must work on the worst day.
//!
//! Known limits: no length of conductor is credited against the fault current.
//!
//! Source: NEC 2023, 110.9, 240.4, 240.60, 690.9(B), 705.30(D), 706.31 (from memory).
//!
//! Fails: an AC breaker between battery and inverter.
//! Passes: a DC fuse of 200 A, 125 V, 20 kA there.

use super::{by_run, circuits};
use crate::words::say;
use crate::{Finding, Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, nec, units};
use study::Study;
use wiring::{Device, DeviceKind, DeviceRule, Protection, Run, Supply};

pub(crate) static RULE: Rule = Rule {
    code: "W07",
    name: "device-unfit",
    severity: Severity::Danger,
    clause: nec("2023", "110.9, 240.4, 690.9(B), 706.31", Standing::Remembered),
    text: include_str!("device_unfit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for (run, group) in by_run(study) {
        let Some((run, device)) = run.and_then(|run| Some((run, run.device.as_ref()?))) else { continue };
        let Some(sized) = group.first() else { continue };
        let protection = &sized.protection;
        for broken in &protection.breaks {
            let path = field(run, *broken);
            let finding = findings.fails(format!(
                "{}: {}",
                circuits(&group),
                words(study, *broken, device, protection)
            ));
            finding.at(path.clone(), "device set here").figure(&["circuits", &sized.name, "device"]);
            remedy(finding, *broken, device, protection, path);
        }
        for (rule, gap) in &protection.undecided {
            // What sources can feed is asked for by a rule of its own.
            if *rule == DeviceRule::Interrupting && device.interrupting.is_known() {
                continue;
            }
            tell(findings, &circuits(&group), *rule, gap.clone());
        }
    }
}

fn tell(findings: &mut Findings<'_>, group: &str, rule: DeviceRule, gap: Gap) {
    let what = match rule {
        DeviceRule::NotBelowContinuous | DeviceRule::NotAboveEquipment => {
            "whether the rating of its device suits is not known"
        }
        DeviceRule::RightSupply => "whether its device is made for this kind of current is not known",
        DeviceRule::Volts => "whether its device is made for this voltage is not known",
        DeviceRule::BothWays => "whether its device works in both directions is not known",
        DeviceRule::Interrupting => "whether its device can interrupt the fault current is not known",
    };
    findings.undecided_for(group, what, gap);
}

fn field(run: &Run, rule: DeviceRule) -> String {
    let key = match rule {
        DeviceRule::NotBelowContinuous | DeviceRule::NotAboveEquipment => "rating",
        DeviceRule::RightSupply => "kind",
        DeviceRule::Volts => "volts",
        DeviceRule::BothWays => "polarised",
        DeviceRule::Interrupting => "interrupts",
    };
    format!("{}.device.{key}", run.field)
}

fn words(study: &Study, rule: DeviceRule, device: &Device, protection: &Protection) -> String {
    let amps = |fact: &Fact<quantity::Current>| fact.known().map_or("?".into(), |amps| say(study, amps));
    let volts = |fact: &Fact<quantity::Voltage>| fact.known().map_or("?".into(), |volts| say(study, volts));
    match rule {
        DeviceRule::NotBelowContinuous => {
            format!(
                "its device of {} is below the {} it must bear continuously",
                amps(&device.rating),
                amps(&protection.least)
            )
        }
        DeviceRule::NotAboveEquipment => {
            let most = protection.most.as_ref().map_or("?".into(), amps);
            format!("its device of {} is above the {most} that the modules allow", amps(&device.rating))
        }
        DeviceRule::RightSupply => match protection.supply {
            Supply::Dc => {
                "a device made for alternating current stands in a circuit of direct current".into()
            }
            Supply::Ac => {
                "a device made for direct current stands in a circuit of alternating current".into()
            }
        },
        DeviceRule::Volts => {
            format!(
                "its device is made for {}, the circuit reaches {}",
                volts(&device.volts),
                volts(&protection.volts)
            )
        }
        DeviceRule::BothWays => {
            "its device breaks current in one direction only, and here it flows both ways".into()
        }
        DeviceRule::Interrupting => format!(
            "its device interrupts {}, a fault can reach {}",
            amps(&device.interrupting),
            amps(&protection.available)
        ),
    }
}

/// Another device to buy instead: the least that suits.
fn remedy(finding: &mut Finding, rule: DeviceRule, device: &Device, protection: &Protection, path: String) {
    let offer = match rule {
        DeviceRule::NotBelowContinuous | DeviceRule::NotAboveEquipment if !protection.none_fits => {
            protection.standard.si().map(|amps| format!("{amps} A"))
        }
        DeviceRule::RightSupply => {
            let kind = if device.kind.value() == Some(&DeviceKind::Fuse) { "fuse" } else { "breaker" };
            Some(format!("{} {kind}", if protection.supply == Supply::Dc { "dc" } else { "ac" }))
        }
        DeviceRule::Volts => {
            let classes = [60.0, 80.0, 125.0, 150.0, 250.0, 300.0, 600.0, 1000.0, 1500.0];
            protection
                .volts
                .si()
                .and_then(|v| classes.into_iter().find(|c| *c >= v))
                .map(|c| format!("{c} V"))
        }
        DeviceRule::BothWays => Some("no".into()),
        DeviceRule::Interrupting => {
            let classes = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
            let need = protection.available.si().map(|a| units::KILOAMPERE.of_si(a));
            need.and_then(|need| classes.into_iter().find(|c| *c >= need)).map(|c| format!("{c} kA"))
        }
        _ => None,
    };
    let Some(value) = offer else { return };
    let says = match rule {
        DeviceRule::BothWays => "a device without polarity".to_string(),
        DeviceRule::RightSupply => format!("a {value}"),
        DeviceRule::Volts => format!("a device made for {value}"),
        DeviceRule::Interrupting => format!("a device that interrupts {value}"),
        _ => format!("a device of {value}"),
    };
    finding.remedy(Remedy::set(says, path, format!("\"{value}\"")));
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// The battery circuit: 177.2 A continuous, 56.8 V at most, 4 · 2 kA of fault current.
    fn device(kind: &str, rating: &str, volts: &str, polarised: &str, interrupts: &str) -> String {
        format!(
            "{{ kind = {kind}, rating = {rating}, volts = {volts}, polarised = {polarised}, interrupts = {interrupts} }}"
        )
    }

    fn says(device: &str) -> String {
        verdict("W07", &[("run.bus.device", device)])
    }

    #[test]
    fn a_fitting_device_passes() {
        assert_eq!(says(&device("\"dc fuse\"", "\"200 A\"", "\"60 V\"", "\"no\"", "\"8 kA\"")), "passes");
    }

    #[test]
    fn each_way_of_not_fitting_is_a_danger() {
        assert_eq!(says(&device("\"ac breaker\"", "\"200 A\"", "\"60 V\"", "\"no\"", "\"8 kA\"")), "danger");
        assert_eq!(says(&device("\"dc fuse\"", "\"175 A\"", "\"60 V\"", "\"no\"", "\"8 kA\"")), "danger");
        assert_eq!(says(&device("\"dc fuse\"", "\"200 A\"", "\"56.8 V\"", "\"no\"", "\"8 kA\"")), "passes");
        assert_eq!(says(&device("\"dc fuse\"", "\"200 A\"", "\"56.7 V\"", "\"no\"", "\"8 kA\"")), "danger");
        assert_eq!(says(&device("\"dc fuse\"", "\"200 A\"", "\"60 V\"", "\"yes\"", "\"8 kA\"")), "danger");
        assert_eq!(says(&device("\"dc fuse\"", "\"200 A\"", "\"60 V\"", "\"no\"", "\"7.9 kA\"")), "danger");
    }

    #[test]
    fn a_rating_that_is_not_known_is_no_pass() {
        let blank = device("\"dc fuse\"", "\"200 A\"", "\"60 V\"", "\"no\"", "\"unknown\"");
        assert_eq!(says(&blank), "undecided danger");
        let blank = device("\"unknown\"", "\"200 A\"", "\"60 V\"", "\"no\"", "\"8 kA\"");
        assert_eq!(says(&blank), "undecided danger");
    }

    #[test]
    fn remedies_name_the_least_that_suits() {
        let found = of(
            "W07",
            &[("run.bus.device", &device("\"ac breaker\"", "\"100 A\"", "\"48 V\"", "\"yes\"", "\"1 kA\""))],
        );
        let offered: Vec<&str> = found.iter().flat_map(|f| &f.remedies).map(|r| r.says.as_str()).collect();
        for says in [
            "a dc breaker",
            "a device of 200 A",
            "a device made for 60 V",
            "a device without polarity",
            "a device that interrupts 10 kA",
        ] {
            assert!(offered.contains(&says), "{offered:?}");
        }
    }

    /// A panel that the utility feeds and an inverter may feed too: its breaker sees current from both sides.
    #[test]
    fn a_breaker_between_two_sources_bears_no_marks_of_line_and_load() {
        let utility = (
            "+",
            "[utility]\nrole = \"interactive\"\nservice = \"100 A\"\nfault_current = \"5 kA\"\n[[panel]]\nname = \"main\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nmain = \"100 A\"\nbond = \"yes\"\n[[run]]\nname = \"back\"\nbetween = [\"main\", \"inverter\"]\nterminals = \"75 °C\"\nroute = [{ length = \"6 ft\", where = \"indoors\", raceway = \"emt\" }]",
        );
        let input = ("unit.inverter.ac_input", "\"main\"");
        let breaker = |marked: &str| device("\"ac breaker\"", "\"35 A\"", "\"240 V\"", marked, "\"10 kA\"");
        let says = |marked: &str, may: &'static str| {
            let (kind, device) = (("inverter.i.interactive", may), breaker(marked));
            let through = ("inverter.i.passes_through", "\"25 A\"");
            verdict("W07", &[utility, input, through, kind, ("run.back.device", &device)])
        };
        assert_eq!(says("\"yes\"", "\"yes\""), "danger");
        assert_eq!(says("\"unknown\"", "\"yes\""), "undecided danger");
        assert_eq!(says("\"no\"", "\"yes\""), "passes");
        // One that may not feed the utility is a load there.
        assert_eq!(says("\"yes\"", "\"no\""), "passes");
    }

    #[test]
    fn a_device_above_the_series_fuse_is_a_danger() {
        let fuse = |amps: &str| device("\"dc fuse\"", amps, "\"600 V\"", "\"no\"", "\"1 kA\"");
        assert_eq!(verdict("W07", &[("run.down.device", &fuse("\"25 A\""))]), "passes");
        assert_eq!(verdict("W07", &[("run.down.device", &fuse("\"30 A\""))]), "danger");
    }
}
