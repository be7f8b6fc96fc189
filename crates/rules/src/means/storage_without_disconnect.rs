//! # The battery cannot be parted from the house, or stopped from outside
//!
//! What it checks: that every bank can be parted from what hangs on it under load: by a breaker built into each of its
//! units, or by a breaker or load-break switch in every circuit that leaves its bus; and, by the NEC on a one- or
//! two-family dwelling, that a control outside stops it from giving power.
//!
//! Why it matters: a battery has no off. A fuse protects its cable and is no switch; whoever must work on the inverter,
//! or comes with the fire department, needs a handle.
//!
//! Known limits: whether the control is readily accessible and marked is not judged.
//!
//! Source: NEC 2023, 706.15(A), (B); IEC 60364-5-53, 536 (from memory).
//!
//! Fails: lead-acid batteries joined to an inverter by a fused cable alone.
//! Passes: a load-break switch in each cable, or units with breakers of their own; and a stop button by the door.

use crate::{Change, Findings, Remedy, Rule, Severity};
use design::system::{Control, Dwelling};
use quantity::{Fact, Gap, Standing, nec};
use study::Study;
use wiring::{CircuitId, Demand};

pub(crate) static RULE: Rule = Rule {
    code: "N02",
    name: "storage-without-disconnect",
    severity: Severity::Breach,
    clause: nec("2023", "706.15", Standing::Remembered),
    text: include_str!("storage_without_disconnect.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    if study.wiring.is_err() {
        return;
    }
    let (graph, facts) = (&study.design.graph, study::state_facts(study));
    for bank in &system.banks {
        let name = &bank.bank.name;
        let Some(bus) = graph.find(name) else {
            // On the busbars of another bank it is parted with that one, and stopped by itself.
            if !bank.beside.is_empty() {
                stop(study, findings, name, &bank.emergency_stop);
            }
            continue;
        };
        // Opened at every unit, or in every circuit that leaves.
        let mut units = Side::default();
        let mut leaving = Side::default();
        for (id, circuit) in graph.circuits_at(bus) {
            let side =
                if matches!(circuit.demand, Demand::BatteryUnit(_)) { &mut units } else { &mut leaving };
            side.take(study::opens_under_load(study, &facts, CircuitId(id.0)), &circuit.name);
        }
        if !(units.open() || leaving.open()) {
            match units
                .gap
                .as_ref()
                .filter(|_| units.closed.is_empty())
                .or(leaving.gap.as_ref().filter(|_| leaving.closed.is_empty()))
            {
                Some(gap) => {
                    let thing = format!("bank \"{name}\"");
                    findings.undecided_for(&thing, "whether a switch parts it is not known", gap.clone());
                }
                None => fails(study, findings, name, &leaving.closed),
            }
        }
        if !study::is_iec(study) {
            stop(study, findings, name, &bank.emergency_stop);
        }
    }
}

/// Circuits of one side of the bus.
#[derive(Default)]
struct Side {
    count: usize,
    closed: Vec<String>,
    gap: Option<Gap>,
}

impl Side {
    fn take(&mut self, opens: Result<bool, Gap>, name: &str) {
        self.count += 1;
        match opens {
            Ok(true) => {}
            Ok(false) => self.closed.push(name.to_string()),
            Err(more) => self.gap = Some(self.gap.take().map_or(more.clone(), |gap| gap.and(&more))),
        }
    }

    fn open(&self) -> bool {
        self.count > 0 && self.closed.is_empty() && self.gap.is_none()
    }
}

fn fails(study: &Study, findings: &mut Findings<'_>, bank: &str, closed: &[String]) {
    let graph = &study.design.graph;
    let finding =
        findings.fails(format!("bank \"{bank}\" has no switch that parts it from the house under load"));
    finding.at(format!("bank.{bank}"), "cannot be parted");
    let mut changes = Vec::new();
    for circuit in graph.circuits.iter().filter(|c| closed.iter().any(|name| **name == *c.name)) {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        changes.push(Change::Add {
            table: "disconnect".into(),
            name: format!("switch of {}", circuit.name),
            fields: vec![
                ("between".into(), format!("[\"{}\", \"{}\"]", from.name, to.name)),
                ("at".into(), format!("\"{bank}\"")),
                ("kind".into(), "\"load-break switch\"".into()),
                ("stands".into(), "\"at the equipment\"".into()),
                ("lockable".into(), "\"yes\"".into()),
            ],
        });
    }
    finding.remedy(Remedy { says: "a load-break switch in each circuit that leaves it".into(), changes });
}

fn stop(study: &Study, findings: &mut Findings<'_>, bank: &str, control: &Fact<Control>) {
    let path = format!("bank.{bank}.emergency_stop");
    let home = match &study.design.system.place.dwelling {
        Fact::Known(dwelling) => dwelling.value != Dwelling::Other,
        // Counts as a home until it is known: that asks for more.
        Fact::Unknown(_) => true,
    };
    match control {
        _ if !home => {}
        Fact::Known(control) if control.value == Control::Outside => {}
        Fact::Known(_) => {
            findings
                .fails(format!("bank \"{bank}\" cannot be stopped from outside the building"))
                .at(path.clone(), "stated here")
                .remedy(Remedy::set("a stop control outside, within easy reach", path, "\"outside\""));
        }
        Fact::Unknown(gap) => {
            let thing = format!("bank \"{bank}\"");
            findings.undecided_for(&thing, "where it is stopped in an emergency is not known", gap.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::verdict;

    const NO: (&str, &str) = ("battery.b.breaker", "\"no\"");

    #[test]
    fn a_breaker_in_each_unit_or_a_switch_in_each_cable() {
        assert_eq!(verdict("N02", &[]), "passes");
        assert_eq!(verdict("N02", &[NO]), "breach");
        assert_eq!(verdict("N02", &[("battery.b.breaker", "")]), "undecided breach");
        let switch = "[[disconnect]]\nname = \"battery switch\"\nbetween = [\"bank\", \"inverter\"]\nat = \"bank\"\nkind = \"load-break switch\"\nrating = \"250 A\"\nvolts = \"80 V\"\nstands = \"at the equipment\"\nlockable = \"yes\"\nprice = 60";
        assert_eq!(verdict("N02", &[NO, ("+", switch)]), "passes");
    }

    #[test]
    fn a_home_is_stopped_from_outside() {
        let stop = |at| verdict("N02", &[("bank.bank.emergency_stop", at)]);
        assert_eq!(stop("\"outside\""), "passes");
        assert_eq!(stop("\"inside\""), "breach");
        assert_eq!(stop("\"none\""), "breach");
        assert_eq!(stop(""), "undecided breach");
        assert_eq!(
            verdict("N02", &[("bank.bank.emergency_stop", "\"none\""), ("place.dwelling", "\"other\"")]),
            "passes"
        );
    }

    #[test]
    fn by_iec_a_bank_is_parted_too_and_no_control_outside_is_asked() {
        use crate::trial::metric_verdict;
        assert_eq!(metric_verdict("N02", &[]), "passes");
        assert_eq!(metric_verdict("N02", &[("battery.stack.breaker", "\"no\"")]), "breach");
        assert_eq!(metric_verdict("N02", &[("battery.stack.breaker", "")]), "undecided breach");
    }
}
