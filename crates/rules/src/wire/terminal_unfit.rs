//! # A terminal does not take its conductor
//!
//! What it checks: both ends of every circuit against what the data sheet says of the terminal there: smallest and
//! largest size, metal, stranding, how many conductors at once, and the temperature it is marked for against the column
//! the circuit is sized by.
//!
//! Why it matters: most fires in wiring begin at a terminal. A conductor that is too small or of strands too fine for a
//! screw works loose, one that is too large is trimmed to fit, aluminum under a copper terminal creeps, and a terminal
//! that runs hotter than it is made for burns the end of a sound conductor.
//!
//! Known limits: the terminals of a breaker or fuse holder are those its panel or box states; connectors of modules and
//! terminals of the utility are left to their makers. Torque is printed where it is stated, never guessed.
//!
//! Source: NEC 2023, 110.14(A), 110.14(C), 110.14(D) (from memory).
//!
//! Fails: a 3/0 AWG conductor at an inverter whose battery terminals take 6 AWG to 2/0 AWG.
//! Passes: the same at terminals that take 2 AWG to 4/0 AWG.

use crate::{Findings, Remedy, Rule, Severity};
use design::terminals::Landing;
use quantity::{Gap, Standing, nec};
use study::Study;
use wiring::{Refusal, Strands};

pub(crate) static RULE: Rule = Rule {
    code: "W15",
    name: "terminal-unfit",
    severity: Severity::Danger,
    clause: nec("2023", "110.14", Standing::Remembered),
    text: include_str!("terminal_unfit.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let mut missing: Option<Gap> = None;
    let mut undecided = 0;
    // Units of a bank and other circuits that come to the same terminal with the same conductor are told once.
    let mut told: Vec<(String, Vec<Refusal>)> = Vec::new();
    for end in study::terminal_ends(study) {
        // A conductor without a size is a finding of its own.
        let sized = study.wiring.as_ref().ok().and_then(|schedule| schedule.circuits.get(end.circuit));
        if !sized.is_some_and(|sized| sized.conductor.is_known()) {
            continue;
        }
        if let Some(gap) = &end.taken.missing {
            missing = Some(missing.take().map_or_else(|| gap.clone(), |all| all.and(gap)));
            undecided += 1;
        }
        let Landing::Terminal(terminal) = &end.on else { continue };
        let (Some(first), Some(sized)) = (end.taken.refusals.first(), sized) else { continue };
        let path = terminal.field.as_str().to_string();
        let same = (path.clone(), end.taken.refusals.clone());
        if told.contains(&same) {
            continue;
        }
        told.push(same);
        let at = study.design.graph.node(end.node).map_or("", |node| &*node.name);
        let says = format!("circuit \"{}\" does not fit its terminal at {at}: {first}", sized.name);
        let finding = findings.fails(says);
        finding.figure(&["circuits", &sized.name, "conductor"]);
        finding.at(path, "what the terminal takes");
        for more in &end.taken.refusals[1..] {
            finding.explains(format!("Also {more}."));
        }
        let run = sized.run.and_then(|run| study.design.system.runs.get(run.0));
        if let Some(run) = run {
            finding.at(run.field.as_str(), "its run");
            match first {
                Refusal::Stranding(strands) => {
                    let other = match strands {
                        Strands::Fine => "building wire",
                        Strands::Building => "fine",
                    };
                    let path = format!("{}.strands", run.field);
                    finding.remedy(Remedy::set(format!("{other} strands"), path, format!("\"{other}\"")));
                }
                Refusal::Cooler(marked, _) => {
                    let value = format!("{:.0} °C", marked.celsius());
                    let path = format!("{}.terminals", run.field);
                    finding.remedy(Remedy::set(format!("sized at {value}"), path, format!("\"{value}\"")));
                }
                Refusal::Metal(_) | Refusal::TooSmall(..) | Refusal::TooLarge(..) | Refusal::TooMany(..) => {
                    finding.explains(
                        "A terminal, lug or pin adapter listed for both, or another piece of equipment, is the way out; \
                         strands are never cut off to make a conductor fit.",
                    );
                }
            }
        }
    }
    if let Some(gap) = missing {
        let ends = if undecided == 1 { "1 end".to_string() } else { format!("{undecided} ends") };
        let says = format!("whether the terminals take their conductors is not known at {ends} of circuits");
        findings.undecided(says, gap).explains(
            "The label inside the door or the data sheet says smallest and largest size, metal, strands, temperature \
             and torque.",
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    const TAKES: &str = "smallest = \"6 AWG\", largest = \"4/0 AWG\", material = \"copper\", strands = \"any\", temperature = \"75 °C\", torque = \"12 N·m\"";

    /// Terminals of the inverter, with these for the battery.
    fn terminals(words: &str) -> String {
        let others = TAKES.replace("6 AWG", "14 AWG").replace("4/0 AWG", "8 AWG");
        format!("[{{ {others} }}, {{ serves = \"battery\", {words} }}]")
    }

    fn battery_end(words: &str) -> String {
        verdict("W15", &[("inverter.i.terminals", &terminals(words))])
    }

    #[test]
    fn each_way_of_not_fitting_is_a_danger() {
        assert_eq!(battery_end(TAKES), "passes");
        // The bus conductor is 3/0 AWG copper of building strands, sized at 75 °C.
        for (was, is) in [
            ("4/0 AWG", "2/0 AWG"),
            ("6 AWG", "4/0 AWG"),
            ("\"copper\"", "\"aluminum\""),
            ("\"any\"", "\"fine\""),
            ("75 °C", "60 °C"),
        ] {
            assert_eq!(battery_end(&TAKES.replace(was, is)), "danger", "{is}");
        }
        assert_eq!(battery_end(&TAKES.replace("4/0 AWG", "3/0 AWG")), "passes");
        assert_eq!(battery_end(&TAKES.replace("6 AWG", "10 AWG").replace("75", "90")), "passes");
    }

    #[test]
    fn what_is_not_stated_is_one_question_and_no_pass() {
        assert_eq!(verdict("W15", &[]), "passes");
        assert_eq!(verdict("W15", &[("inverter.i.terminals", "")]), "undecided danger");
        let found = of("W15", &[("inverter.i.terminals", ""), ("battery.b.terminals", "")]);
        assert_eq!(found.len(), 1, "{found:#?}");
        for key in ["smallest", "largest", "material", "strands", "temperature"] {
            let without: Vec<&str> = TAKES.split(", ").filter(|part| !part.starts_with(key)).collect();
            assert_eq!(battery_end(&without.join(", ")), "undecided danger", "{key}");
        }
        // Torque alone missing is asked on the label, and decides nothing.
        let without: Vec<&str> = TAKES.split(", ").filter(|part| !part.starts_with("torque")).collect();
        assert_eq!(battery_end(&without.join(", ")), "passes");
    }

    #[test]
    fn fine_strands_need_a_terminal_identified_for_them() {
        let fine = ("run.bus.strands", "\"fine\"");
        let screw = terminals(&TAKES.replace("\"any\"", "\"building wire\""));
        let found = of("W15", &[fine, ("inverter.i.terminals", &screw)]);
        assert!(found[0].says.contains("fine strands"), "{found:#?}");
        assert_eq!(found[0].remedies.len(), 1);
    }
}
