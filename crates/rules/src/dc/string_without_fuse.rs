//! # A string needs a fuse and has none
//!
//! What it checks: what can flow back into a faulted string, from the other strings on its input and from the input
//! itself, against the series fuse its modules allow. Where more can flow, the string needs a device of its own: one
//! stated on its run, or the fuse of a combiner.
//!
//! Why it matters: a fault in one string is fed by all others. Without a fuse the modules and leads of the faulted
//! string carry what they were not made for, on a roof, by day, with no switch that stops it.
//!
//! Known limits: what an input can push back counts as able to until its maker says 0 A.
//!
//! Source: NEC 2023, 690.9(A) (read second-hand).
//!
//! Fails: three strings of 13.9 A in parallel with modules that allow 25 A: 34.8 A can flow back.
//! Passes: two of them: 17.4 A; or three, each with a 25 A fuse.

use crate::words::{named, say, thing};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Current, Fact, Standing, Traced, nec, units};
use study::Study;
use wiring::{Demand, RunId, Sized};

pub(crate) static RULE: Rule = Rule {
    code: "D09",
    name: "string-without-fuse",
    severity: Severity::Danger,
    clause: nec("2023", "690.9(A)", Standing::SecondHand),
    text: include_str!("string_without_fuse.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(schedule) = &study.wiring else { return };
    let mut told: Vec<Option<RunId>> = Vec::new();
    for sized in &schedule.circuits {
        let Some(circuit) = study.design.graph.circuits.get(sized.circuit.0) else { continue };
        let Demand::PvStrings(pv) = &circuit.demand else { continue };
        if protected(study, sized) {
            continue;
        }
        let needed = match &sized.protection.needed {
            Fact::Known(needed) => needed,
            Fact::Unknown(gap) => {
                findings
                    .undecided_for(
                        &format!("circuit \"{}\"", sized.name),
                        "whether it needs a fuse hangs on what can flow back into it",
                        gap.clone(),
                    )
                    .explains(
                        "Until the maker has said otherwise, an input counts as able to push current back.",
                    );
                continue;
            }
        };
        if !needed.value || (sized.run.is_some() && told.contains(&sized.run)) {
            continue;
        }
        told.push(sized.run);
        let alike: Vec<_> = schedule
            .circuits
            .iter()
            .filter(|other| other.name == sized.name || (sized.run.is_some() && other.run == sized.run))
            .filter(|other| other.protection.needed.value() == Some(&true))
            .map(|other| other.name.clone())
            .collect();
        let flow = flow_of(sized);
        let flows = flow.map_or_else(|| "more".to_string(), |flow| say(study, flow));
        let allows = pv
            .series_fuse
            .known()
            .map_or_else(String::new, |fuse| format!(", its modules allow {}", say(study, fuse)));
        let finding = findings.fails(format!(
            "{} {} no fuse, and {flows} can flow back into a faulted string{allows}",
            named(&alike),
            if alike.len() == 1 { "has" } else { "have" }
        ));
        let run = sized.run.and_then(|run| study.design.system.runs.get(run.0));
        let from = study.design.graph.node(circuit.from).map_or("", |node| &node.name);
        match run {
            Some(run) => finding.at(run.field.as_str(), "no device is stated on this run"),
            None => finding.at(thing(study, from), "this string"),
        };
        finding
            .because(flow.map(|flow| flow.term("can flow back", &units::AMPERE)))
            .because(pv.series_fuse.known().map(|fuse| fuse.term("modules allow", &units::AMPERE)))
            .figure(&["circuits", &sized.name, "back-flow"])
            .explains("Each string needs a fuse of its own, or a combiner that holds one for each.");
        if sized.protection.none_fits {
            finding.explains("No standard fuse lies between 1.56 times the short-circuit current and what the modules allow: fewer strings in parallel are the only way.");
        } else if let (Some(run), Fact::Known(rating), Fact::Known(volts)) =
            (run, &sized.protection.rating, &sized.protection.volts)
        {
            let class = [600.0, 1000.0, 1500.0].into_iter().find(|class| *class >= volts.si());
            let kiloamps = sized.protection.available.si().map_or(1.0, |amps| (amps / 1000.0).ceil());
            if let Some(class) = class {
                let amps = rating.si();
                finding.remedy(Remedy::set(
                    format!("a {amps} A fuse for direct current in each string, rated {class} V"),
                    format!("{}.device", run.field),
                    format!("{{ rating = \"{amps} A\", kind = \"dc fuse\", volts = \"{class} V\", polarised = \"no\", interrupts = \"{kiloamps} kA\" }}"),
                ));
            }
        }
    }
}

/// A device on the run, or a fuse in the combiner the string goes through.
fn protected(study: &Study, sized: &Sized) -> bool {
    let (graph, system) = (&study.design.graph, &study.design.system);
    let on_run = sized.run.and_then(|run| system.runs.get(run.0)).is_some_and(|run| run.device.is_some());
    let circuit = graph.circuits.get(sized.circuit.0);
    let to = circuit.and_then(|circuit| graph.node(circuit.to)).map_or("", |node| &node.name);
    on_run || system.combiner(to).is_some_and(|combiner| combiner.fuse.is_some())
}

fn flow_of(sized: &Sized) -> Option<&Traced<Current>> {
    sized.protection.back_flow.as_ref().and_then(|flow| flow.known())
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn strings(more: usize) -> Vec<(&'static str, String)> {
        let mut changes = vec![("inverter.i.pv_input.1.short_circuit", "\"80 A\"".to_string())];
        for n in 0..more {
            let name = ["two", "three"][n];
            changes.push(("+", format!("[[string]]\nname = \"{name}\"\nplane = \"rack\"\nmodule = \"m\"\ncount = 8\ninto = {{ unit = \"inverter\", input = 1 }}")));
        }
        let carries = if more < 2 { r#"["row", "two"]"# } else { r#"["row", "two", "three"]"# };
        changes.push(("run.down.carries", carries.to_string()));
        changes
    }

    fn with<'a>(all: &'a [(&'static str, String)], more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
        all.iter().map(|(a, b)| (*a, b.as_str())).chain(more.iter().copied()).collect()
    }

    #[test]
    fn three_strings_need_fuses_and_two_do_not() {
        assert_eq!(verdict("D09", &with(&strings(1), &[])), "passes");
        let three = strings(2);
        let found = of("D09", &with(&three, &[]));
        // One run, one finding, although three circuits share it. 2 · 1.25 · 13.9 A = 34.75 A.
        assert_eq!(found.len(), 1);
        assert!(found[0].says.contains("34.75 A"), "{}", found[0].says);
        assert!(found[0].remedies[0].says.contains("25 A"));
        let fused = with(
            &three,
            &[(
                "run.down.device",
                "{ rating = \"25 A\", kind = \"dc fuse\", volts = \"600 V\", interrupts = \"1 kA\" }",
            )],
        );
        assert_eq!(verdict("D09", &fused), "passes");
    }

    /// Two strings: the other one pushes 17.375 A.
    #[test]
    fn what_the_modules_allow_decides_to_the_ampere() {
        let two = strings(1);
        let allows = |amps| verdict("D09", &with(&two, &[("module.m.series_fuse", amps)]));
        assert_eq!(allows("\"17.4 A\""), "passes");
        assert_eq!(allows("\"17.375 A\""), "passes");
        assert_eq!(allows("\"17.3 A\""), "danger");
    }

    #[test]
    fn an_input_of_unknown_back_feed_leaves_it_undecided() {
        assert_eq!(verdict("D09", &[("inverter.i.pv_input.1.back_feed", "\"unknown\"")]), "undecided danger");
    }
}
