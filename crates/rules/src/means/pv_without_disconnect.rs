//! # Modules cannot be parted from the house under load
//!
//! What it checks: that every circuit of modules that ends at an inverter or charge controller has a breaker or a switch
//! that breaks its current: a `[[disconnect]]`, a breaker on its run, or one built into the unit (`pv_switch`). By IEC 60364
//! every circuit of alternating current at an inverter too, so that it can be parted from both sides.
//!
//! Why it matters: parting module connectors under load draws an arc that does not go out. Whoever works on the inverter
//! or fights a fire needs one handle that takes the array off.
//!
//! Known limits: its place (readily accessible, marked) and the number of handles are not judged. Rapid shutdown
//! is another matter (D12).
//!
//! Source: NEC 2023, 690.13, 690.15; IEC 60364-7-712:2017, 712.536.2.1.1, 712.536.2.2.5 (from memory).
//!
//! Fails: a string that ends in an inverter without a switch, by its connectors.
//! Passes: a load-break switch at the inverter.

use crate::{Change, Findings, Remedy, Rule, Severity};
use quantity::{Standing, nec};
use study::Study;
use wiring::{CircuitId, Demand, NodeKind, Supply};

pub(crate) static RULE: Rule = Rule {
    code: "N01",
    name: "pv-without-disconnect",
    severity: Severity::Breach,
    clause: nec("2023", "690.13, 690.15", Standing::Remembered),
    text: include_str!("pv_without_disconnect.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() {
        return;
    }
    let iec = study::is_iec(study);
    let (graph, facts) = (&study.design.graph, study::state_facts(study));
    for (k, circuit) in graph.circuits.iter().enumerate() {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        let ends_here = matches!(to.kind, NodeKind::Inverter | NodeKind::Controller);
        let modules = matches!(circuit.demand, Demand::PvStrings(_)) && ends_here;
        let inverter = to.kind == NodeKind::Inverter || from.kind == NodeKind::Inverter;
        let alternating = iec && inverter && circuit.demand.supply() == Supply::Ac;
        if !(modules || alternating) {
            continue;
        }
        match study::opens_under_load(study, &facts, CircuitId(k)) {
            Ok(true) => {}
            Ok(false) => {
                let path = crate::words::thing(study, &from.name);
                let ends = format!("[\"{}\", \"{}\"]", from.name, to.name);
                findings
                    .fails(format!(
                        "\"{}\" ends at \"{}\" without a switch that breaks its current",
                        from.name, to.name
                    ))
                    .at(path, "ends without a switch")
                    .remedy(Remedy {
                        says: format!("a load-break switch at \"{}\"", to.name),
                        changes: vec![Change::Add {
                            table: "disconnect".into(),
                            name: format!("switch of {}", from.name),
                            fields: vec![
                                ("between".into(), ends),
                                ("at".into(), format!("\"{}\"", to.name)),
                                ("kind".into(), "\"load-break switch\"".into()),
                                ("stands".into(), "\"at the equipment\"".into()),
                                ("lockable".into(), "\"yes\"".into()),
                            ],
                        }],
                    });
            }
            Err(gap) => {
                let thing = format!("\"{}\" at \"{}\"", from.name, to.name);
                let says = "whether a switch breaks its current is not known";
                findings.undecided_for(&thing, says, gap);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const NO: (&str, &str) = ("inverter.i.pv_switch", "\"no\"");

    fn switch(kind: &str) -> String {
        format!(
            "[[disconnect]]\nname = \"array switch\"\nbetween = [\"row\", \"inverter\"]\nat = \"inverter\"\nkind = {kind}\nrating = \"32 A\"\nvolts = \"600 V\"\nstands = \"at the equipment\"\nlockable = \"yes\"\nprice = 60"
        )
    }

    #[test]
    fn only_what_breaks_load_is_a_switch() {
        assert_eq!(verdict("N01", &[]), "passes");
        assert_eq!(verdict("N01", &[NO]), "breach");
        assert_eq!(verdict("N01", &[("inverter.i.pv_switch", "")]), "undecided breach");
        assert_eq!(verdict("N01", &[NO, ("+", &switch("\"load-break switch\""))]), "passes");
        assert_eq!(verdict("N01", &[NO, ("+", &switch("\"connector\""))]), "breach");
        assert_eq!(verdict("N01", &[NO, ("+", &switch("\"isolating switch\""))]), "breach");
        assert_eq!(verdict("N01", &[NO, ("+", &switch("\"unknown\""))]), "undecided breach");
    }

    #[test]
    fn by_iec_both_sides_of_an_inverter_are_parted() {
        use crate::trial::metric_verdict;
        assert_eq!(metric_verdict("N01", &[]), "passes");
        assert_eq!(metric_verdict("N01", &[("inverter.hybrid.pv_switch", "\"no\"")]), "breach");
        // A fuse is no switch.
        let fuse = "{ kind = \"ac fuse\", rating = \"40 A\", volts = \"400 V\", polarised = \"no\", interrupts = \"50 kA\" }";
        assert_eq!(metric_verdict("N01", &[("run.main board to hybrid.device", fuse)]), "breach");
    }
}
