//! # Nothing listens for arcs in the module circuits
//!
//! What it checks: that module circuits of 80 V and more on or in a building have a device listed to find and stop arcs: in
//! the inverter or charge controller, or in the combiner through which all of its strings pass (`arc_fault_protection`).
//!
//! Why it matters: a connector half pushed home burns with a steady arc that draws less than the working current. Nothing
//! else in the system sees it before the roof does.
//!
//! Known limits: NEC only. The exception is taken where every part of the way is shown in metal or underground and the
//! only buildings are shown to hold nothing but equipment. What is not known counts as a building, and as 80 V.
//!
//! Source: NEC 2023, 690.11 (from memory).
//!
//! Fails: a string of 453 V into an inverter in a workshop whose data sheet names no arc-fault protection.
//! Passes: the same with `arc_fault_protection = "yes"`; one module of 56 V.

use crate::{Findings, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "D14",
    name: "array-arcs-not-watched",
    severity: Severity::Breach,
    clause: nec("2023", "690.11", Standing::Remembered),
    text: include_str!("array_arcs_not_watched.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    for watch in study::array_watches(study).iter().filter(|watch| watch.arcs_asked) {
        let field = format!("{}.arc_fault_protection", watch.part);
        match &watch.arcs {
            quantity::Fact::Known(name) if !name.value.is_empty() => {}
            quantity::Fact::Known(_) => {
                findings
                    .fails(format!("nothing listens for arcs in the module circuits of \"{}\"", watch.unit))
                    .at(field, "none by its data sheet")
                    .explains(format!(
                        "{} reach 80 V or more on or in a building. A listed device in the combiner serves as well.",
                        crate::words::named(&watch.strings)
                    ));
            }
            quantity::Fact::Unknown(gap) => {
                let says = "whether anything listens for arcs in its module circuits is not known";
                findings.undecided_for(&format!("\"{}\"", watch.unit), says, gap.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const NO: (&str, &str) = ("inverter.i.arc_fault_protection", "\"no\"");
    const ONLY: (&str, &str) = ("building.shed.only_equipment", "\"yes\"");

    #[test]
    fn circuits_of_80_volts_in_a_building_want_a_listener() {
        assert_eq!(verdict("D14", &[]), "passes");
        assert_eq!(verdict("D14", &[NO]), "breach");
        assert_eq!(verdict("D14", &[("inverter.i.arc_fault_protection", "")]), "undecided breach");
        // One module: 56.6 V; two: 113 V.
        assert_eq!(verdict("D14", &[NO, ("string.row.count", "1")]), "passes");
        assert_eq!(verdict("D14", &[NO, ("string.row.count", "2")]), "breach");
        assert_eq!(verdict("D14", &[NO, ("place.coldest.value", "\"unknown\"")]), "breach");
        assert_eq!(verdict("D14", &[NO, ("place.rules", "\"iec-60364\"")]), "passes");
    }

    /// The way is underground and in EMT: the exception holds where the shed is shown to hold nothing but equipment.
    #[test]
    fn the_exception_is_taken_only_where_it_is_shown() {
        assert_eq!(verdict("D14", &[NO, ONLY]), "passes");
        let open = ("run.down.route.1.raceway", "\"open\"");
        let in_sun = ("run.down.route.1.where", "\"in sun\"");
        let depth = ("run.down.route.1.depth", "");
        let under = ("run.down.route.1.under", "");
        let wire = ("run.down.insulation", "\"pv wire\"");
        assert_eq!(verdict("D14", &[NO, ONLY, depth, under, wire, open, in_sun]), "breach");
        assert_eq!(verdict("D14", &[NO, ONLY, ("plane.rack.mount", "\"roof\"")]), "breach");
        let on_shed = [NO, ONLY, ("plane.rack.mount", "\"roof\""), ("plane.rack.building", "\"shed\"")];
        assert_eq!(verdict("D14", &on_shed), "passes");
    }

    #[test]
    fn a_combiner_that_listens_stands_for_the_unit() {
        let boxed = |listens: &str| {
            format!(
                "[[combiner]]\nname = \"box\"\ninto = {{ unit = \"inverter\", input = 1 }}\nvolts = \"600 V\"\nprice = 90\narc_fault_protection = {listens}"
            )
        };
        let through = ("string.row.through", "\"box\"");
        let into = ("string.row.into", "");
        let says = |listens: &str| verdict("D14", &[NO, ("+", &boxed(listens)), into, through]);
        assert_eq!(says("\"yes\""), "passes");
        assert_eq!(says("\"no\""), "breach");
        assert_eq!(says("\"unknown\""), "undecided breach");
        assert!(of("D14", &[NO])[0].says.contains("inverter"));
    }
}
