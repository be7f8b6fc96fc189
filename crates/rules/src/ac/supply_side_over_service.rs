//! # Sources ahead of the main device ask too much of the service
//!
//! What it checks: inverters joined to the service ahead of its main device (`ac_input = "utility"`): their continuous
//! outputs together stay within what the service conductors carry, the conductors of each are 6 AWG copper or 4 AWG
//! aluminum at least, and its fuse or breaker stands within 10 ft of conductor from the joint.
//!
//! Why it matters: nothing but the fuse of the utility protects that joint. A thin wire there burns without anything opening.
//!
//! Known limits: NEC only. The service conductors count with their column of 75 °C; the allowance of 310.12 for dwellings is
//! not taken. Limiters at the joint, which allow a longer way, are not described in a design.
//!
//! Source: NEC 2020 and 2023, 705.11(A), (B); the 10 ft of 705.31 in 2017, which later editions place under 705.11 (all from
//! memory).
//!
//! Fails: 8 AWG from the joint to an inverter of 7.6 kW.
//! Passes: 6 AWG.

use crate::words::say;
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gauge, Material, Standing, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A12",
    name: "supply-side-over-service",
    severity: Severity::Breach,
    clause: nec("2023", "705.11(A), (B)", Standing::Remembered),
    text: include_str!("supply_side_over_service.rs"),
    check,
};

/// Longest conductor from the joint to a device, m: 10 ft.
const FARTHEST: f64 = 10.0 * 0.3048;

/// Least conductor of a metal from the joint.
fn least(metal: Material) -> Gauge {
    match metal {
        Material::Copper => Gauge::Awg(6),
        Material::Aluminum => Gauge::Awg(4),
    }
}

fn check(study: &Study, findings: &mut Findings<'_>) {
    let (Some(side), Ok(schedule)) = (study::supply_side(study), &study.wiring) else { return };
    match (&side.passes, &side.output, &side.service) {
        (Fact::Known(passes), Fact::Known(output), Fact::Known(service)) if !passes.value => {
            findings
                .fails(format!(
                    "ahead of the main device of the service the sources give {} together, its conductors carry {}",
                    say(study, output),
                    say(study, service)
                ))
                .at("utility.conductors", "service conductors")
                .because([output.term("sources", &units::AMPERE), service.term("service", &units::AMPERE)])
                .figure(&["busbars", "service", "supply-side", "needs"]);
        }
        (Fact::Unknown(gap), ..) => {
            let says =
                "whether the service conductors bear the sources ahead of the main device is not known";
            findings.undecided(says, gap.clone());
        }
        _ => {}
    }
    match &side.joint_to_device {
        Fact::Known(far) if crate::words::above(far.si(), FARTHEST) => {
            findings
                .fails(format!(
                    "a source joined ahead of the main device of the service has its fuse {} of conductor away, 10 ft are allowed",
                    say(study, far)
                ))
                .at("utility.joint_to_device", "stated here")
                .explains("Within that way nothing but the fuse of the utility ends a short. Set the fuse nearer, or have limiters put at the joint by those the utility allows to.")
                .because([far.term("from the joint", &units::FOOT_UNIT)]);
        }
        Fact::Known(_) => {}
        Fact::Unknown(gap) => {
            let says = "how far from its joint ahead of the main device a source has its fuse is not known";
            findings.undecided(says, gap.clone());
        }
    }
    for id in &side.circuits {
        let Some(sized) = schedule.circuits.get(id.0) else { continue };
        let (Fact::Known(gauge), Fact::Known(metal)) = (sized.gauge(), &sized.material) else { continue };
        let least = least(metal.value);
        let Some(run) = sized.run.and_then(|run| study.design.system.runs.get(run.0)) else { continue };
        if gauge.value < least {
            let path = format!("{}.conductor", run.field.as_str());
            findings
                .fails(format!(
                    "circuit \"{}\" leaves the service in {}, at least {least} is asked ahead of its main device",
                    sized.name, gauge.value
                ))
                .at(run.field.as_str(), "this run")
                .because([gauge.size_term("found")])
                .remedy(Remedy::set(format!("{least} there"), path, format!("\"{least}\"")));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::beside_verdict;

    const AHEAD: [(&str, &str); 2] =
        [("panel.main panel.fed_by", "[\"utility\"]"), ("unit.wall.ac_input", "\"utility\"")];
    const JOINT: (&str, &str) = ("run.inverter to panel.between", "[\"wall\", \"utility\"]");
    const SIX: (&str, &str) = ("run.inverter to panel.conductor", "\"6 AWG\"");

    const NEAR: (&str, &str) = ("utility.joint_to_device", "\"6 ft\"");

    /// 31.7 A ask for 8 AWG alone; 4/0 AWG aluminum carries 180 A.
    #[test]
    fn the_joint_takes_six_and_the_service_bears_the_sources() {
        let by = |more: &[(&'static str, &'static str)]| {
            let all: Vec<_> = AHEAD.iter().chain([&JOINT, &NEAR]).chain(more).copied().collect();
            beside_verdict("A12", &all)
        };
        assert_eq!(by(&[SIX, ("utility.joint_to_device", "\"10 ft\"")]), "passes");
        assert_eq!(by(&[SIX, ("utility.joint_to_device", "\"11 ft\"")]), "breach");
        assert_eq!(by(&[SIX, ("utility.joint_to_device", "")]), "undecided breach");
        assert_eq!(by(&[]), "breach");
        assert_eq!(by(&[SIX]), "passes");
        assert_eq!(by(&[SIX, ("utility.conductors", "\"10 AWG\"")]), "breach");
        assert_eq!(by(&[SIX, ("utility.conductors", "")]), "undecided breach");
        // By its breaker in the panel it is none of these.
        assert_eq!(beside_verdict("A12", &[]), "passes");
    }

    /// Ahead of the main device the busbar has one feed, and the sums of 705.12 are no matter.
    #[test]
    fn the_busbar_is_spared() {
        let smaller = ("panel.main panel.bus", "\"150 A\"");
        assert_eq!(beside_verdict("A07", &[]), "passes");
        assert_eq!(beside_verdict("A07", &[smaller]), "breach");
        let ahead = [AHEAD[0], AHEAD[1], JOINT, SIX, smaller];
        assert_eq!(beside_verdict("A07", &ahead), "passes");
    }

    /// 1.25 · 31.67 A + 200 A = 239.6 A of 240 A: every edition lets it pass, by its own clause.
    #[test]
    fn every_edition_has_the_sums_by_its_own_number() {
        for rules in ["\"nec-2020\"", "\"nec-2023\"", "\"nec-2026\""] {
            let rules = ("place.rules", rules);
            assert_eq!(beside_verdict("A07", &[rules]), "passes");
            assert_eq!(beside_verdict("A07", &[rules, ("inverter.wall.output", "\"7.7 kW\"")]), "breach");
            let centre = ("panel.main panel.sources_at", "\"one end of a centre-fed busbar\"");
            assert_eq!(beside_verdict("A07", &[rules, centre]), "passes");
            let elsewhere = ("panel.main panel.sources_at", "\"elsewhere\"");
            assert_eq!(beside_verdict("A07", &[rules, elsewhere]), "breach");
            // All devices but the main one: 160 A of loads and 40 A are 200 A.
            let loads = ("panel.main panel.load_breakers", "\"160 A\"");
            assert_eq!(beside_verdict("A07", &[rules, elsewhere, loads]), "passes");
        }
    }
}
