//! # The conductor to a grounding electrode is too small
//!
//! What it checks: the conductor you fixed for each electrode against table 250.66, by the largest ungrounded conductor
//! that supplies the panel it ends at; to a rod, plate or concrete-encased electrode alone it need not be larger than
//! the size of 250.66(A) or (B). By IEC 60364 against the protective conductor of that supply, and 6 mm² of copper.
//!
//! Why it matters: lightning and a fault of the utility's high voltage go to earth through this wire. One that burns off
//! leaves every enclosure of the house at the voltage of the fault.
//!
//! Known limits: the conductor to a ring is found by the table, without the allowance for a small ring.
//! Bonding jumpers between electrodes are not sized.
//!
//! Source: NEC 2023, 250.66 (read second hand), 250.30(A)(5), 250.32(E); IEC 60364-5-54:2011, 542.3.1, 543.1 (from memory).
//!
//! Fails: 8 AWG copper to a water pipe behind a 200 A service in 4/0 AWG aluminum.
//! Passes: 4 AWG there; 6 AWG to a rod.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "G02",
    name: "electrode-conductor-too-small",
    severity: Severity::Breach,
    clause: nec("2023", "250.66", Standing::SecondHand),
    text: include_str!("electrode_conductor_too_small.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let electrodes = &study.design.system.electrodes;
    for (electrode, found) in electrodes.iter().zip(study::electrode_conductors(study)) {
        match (found, &electrode.conductor) {
            (Fact::Unknown(gap), _) => {
                let thing = format!("electrode \"{}\"", electrode.name);
                findings.undecided_for(&thing, "the size of its conductor cannot be found", gap);
            }
            (Fact::Known(least), Some(fixed)) if fixed.value < least.value => {
                let field = format!("{}.conductor", electrode.field.as_str());
                findings
                    .fails(format!(
                        "electrode \"{}\": its conductor is {}, at least {} is asked",
                        electrode.name, fixed.value, least.value
                    ))
                    .at(field.clone(), "fixed here")
                    .because([fixed.size_term("fixed"), least.size_term("table 250.66")])
                    .figure(&["electrodes", &electrode.name, "conductor"])
                    .remedy(Remedy::set(
                        format!("{} to it", least.value),
                        field,
                        format!("\"{}\"", least.value),
                    ));
            }
            _ => {}
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::trial::{of, verdict};

    const SERVICE: (&str, &str) = (
        "+",
        "[utility]\nrole = \"backup by transfer\"\nservice = \"200 A\"\nconductors = \"4/0 AWG\"\nconductor_metal = \"aluminum\"\n\
        [[panel]]\nname = \"service\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nmain = \"200 A\"\nbond = \"yes\"\nexisting = \"yes\"\nprice = 0\n\
        [[electrode]]\nname = \"pipe\"\nkind = \"water pipe\"\nat = \"service\"\nconductor = \"8 AWG\"",
    );

    /// Table 250.66: over 2/0 to 4/0... AWG aluminum service conductors (4/0 AWG here) ask for 4 AWG copper.
    #[test]
    fn the_table_decides_by_the_service_conductors() {
        let with = |size: &'static str| verdict("G02", &[SERVICE, ("electrode.pipe.conductor", size)]);
        assert_eq!(with("\"8 AWG\""), "breach");
        assert_eq!(with("\"6 AWG\""), "breach");
        assert_eq!(with("\"4 AWG\""), "passes");
        let rod = ("electrode.pipe.kind", "\"rod\"");
        assert_eq!(verdict("G02", &[SERVICE, rod, ("electrode.pipe.conductor", "\"6 AWG\"")]), "passes");
        assert_eq!(verdict("G02", &[SERVICE, ("utility.conductors", "")]), "undecided breach");
        assert_eq!(verdict("G02", &[SERVICE, ("electrode.pipe.at", "\"unknown\"")]), "undecided breach");
        // What lies at the service is asked for, not what would be found for it.
        let open = of("G02", &[SERVICE, ("utility.conductors", "")]);
        let missing = &open[0].undecided.as_ref().unwrap().missing;
        assert!(missing.iter().any(|each| each.field.as_str() == "utility.conductors"), "{missing:?}");
    }

    #[test]
    fn the_remedy_is_the_size_of_the_table() {
        let found = of("G02", &[SERVICE]);
        assert!(found[0].remedies[0].says.contains("4 AWG"), "{:?}", found[0].remedies);
    }

    /// A service of 16 mm² has a protective conductor of 16 mm²; one of 4 mm² still asks for 6 mm² to earth.
    #[test]
    fn by_iec_the_protective_conductor_and_six_square_millimetres_decide() {
        use crate::trial::metric_verdict;
        let by = |service: &str, own: &str| {
            metric_verdict("G02", &[("utility.conductors", service), ("electrode.rod.conductor", own)])
        };
        assert_eq!(by("\"16 mm²\"", "\"16 mm²\""), "passes");
        assert_eq!(by("\"16 mm²\"", "\"10 mm²\""), "breach");
        assert_eq!(by("\"4 mm²\"", "\"6 mm²\""), "passes");
        assert_eq!(by("\"4 mm²\"", "\"4 mm²\""), "breach");
    }
}
