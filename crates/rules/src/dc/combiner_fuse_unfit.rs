//! # The fuse of a combiner does not fit its strings
//!
//! What it checks: the fuse fixed for each string of a combiner: not above the series fuse the modules allow, and not
//! below 1.56 times the string's short-circuit current.
//!
//! Why it matters: a fuse that is too large does not protect the modules; one that is too small blows on a bright day
//! and takes a string with it unnoticed.
//!
//! Known limits: its voltage and interrupting rating are not fields of a combiner yet.
//!
//! Source: NEC 2023, 690.9(A) and 690.9(B) (read second-hand).
//!
//! Fails: a 30 A fuse for modules that allow 25 A.
//! Passes: a 25 A fuse for a string of 13.9 A (21.7 A at least).

use crate::words::{exceeds, field, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Standing, nec, units};
use study::Study;
use wiring::Demand;

pub(crate) static RULE: Rule = Rule {
    code: "D10",
    name: "combiner-fuse-unfit",
    severity: Severity::Danger,
    clause: nec("2023", "690.9", Standing::SecondHand),
    text: include_str!("combiner_fuse_unfit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let (graph, Ok(schedule)) = (&study.design.graph, &study.wiring) else { return };
    for combiner in &study.design.system.combiners {
        let Some(fuse) = &combiner.fuse else { continue };
        let strings = schedule.circuits.iter().filter_map(|sized| {
            let circuit = graph.circuits.get(sized.circuit.0)?;
            let Demand::PvStrings(pv) = &circuit.demand else { return None };
            (graph.node(circuit.to)?.name == combiner.name).then_some((sized, pv))
        });
        let path = format!("combiner.{}.fuse", combiner.name);
        let Some((sized, pv)) = strings.into_iter().next() else { continue };
        let (Fact::Known(fuse), Fact::Known(most), Fact::Known(least)) =
            (fuse, &pv.series_fuse, &sized.protection.least)
        else {
            let gaps = [fuse.gap(), pv.series_fuse.gap(), sized.protection.least.gap()];
            if let Some(gap) = gaps.into_iter().flatten().next() {
                let thing = format!("combiner \"{}\"", combiner.name);
                findings.undecided_for(&thing, "whether its fuses fit the strings is not known", gap.clone());
            }
            continue;
        };
        let standard = sized.protection.standard.known().filter(|rating| !exceeds(*rating, most));
        let finding = if exceeds(fuse, most) {
            let finding = findings.fails(format!(
                "combiner \"{}\": fuses of {} for modules that allow {}",
                combiner.name,
                say(study, fuse),
                say(study, most)
            ));
            finding.at_field(field(most), "series fuse of the module");
            finding
        } else if exceeds(least, fuse) {
            findings.fails_as(
                Severity::Breach,
                format!(
                    "combiner \"{}\": fuses of {} for strings that need at least {}",
                    combiner.name,
                    say(study, fuse),
                    say(study, least)
                ),
            )
        } else {
            continue;
        };
        finding.at.insert(
            0,
            crate::Place { field: quantity::FieldPath::new(path.clone()), says: "fuse set here".into() },
        );
        finding.because([
            fuse.term("fuse", &units::AMPERE),
            least.term("at least", &units::AMPERE),
            most.term("at most", &units::AMPERE),
        ]);
        if let Some(rating) = standard {
            let amps = rating.si();
            finding.remedy(Remedy::set(format!("fuses of {amps} A"), path, format!("\"{amps} A\"")));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    fn fuse(amps: &str) -> String {
        let combiner = format!(
            "[[combiner]]\nname = \"box\"\ninto = {{ unit = \"inverter\", input = 1 }}\nfuse = {amps}\nprice = 50"
        );
        verdict("D10", &[("+", &combiner), ("string.row.into", ""), ("string.row.through", "\"box\"")])
    }

    /// Modules allow 25 A; 1.5625 · 13.9 A = 21.72 A is the least.
    #[test]
    fn a_fuse_lies_between_what_the_string_needs_and_its_modules_allow() {
        assert_eq!(fuse("\"25 A\""), "passes");
        assert_eq!(fuse("\"26 A\""), "danger");
        assert_eq!(fuse("\"21.8 A\""), "passes");
        assert_eq!(fuse("\"21.7 A\""), "breach");
        assert_eq!(fuse("\"unknown\""), "undecided danger");
    }
}
