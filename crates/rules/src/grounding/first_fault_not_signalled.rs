//! # A first fault to earth is not signalled
//!
//! What it checks: under IEC 60364, where the earthing arrangement is IT, that a device watches the insulation against
//! earth and signals when it fails.
//!
//! Why it matters: where no live part is tied to earth, a first fault trips nothing and nobody notices: all goes on as
//! before. From then on the other conductor has its full voltage to earth, and the second fault kills or burns.
//!
//! Known limits: the device is taken as stated. The current of a first fault times the resistance of the electrode must
//! stay within 50 V (411.6.2); in a house it is that of filters and cables, a few milliamperes, and is not computed. A
//! second fault is judged by the rule of faults that are not parted.
//!
//! Source: IEC 60364-4-41:2005, 411.6.2 and 411.6.3 (from memory).
//!
//! Fails: an IT supply without insulation monitoring.
//! Passes: an IT supply with it; TN and TT.

use crate::{Findings, Rule, Severity};
use quantity::{Fact, Standing, iec};
use study::Study;
use wiring::Arrangement;

pub(crate) static RULE: Rule = Rule {
    code: "G23",
    name: "first-fault-not-signalled",
    severity: Severity::Danger,
    clause: iec("IEC 60364-4-41", "2005", "411.6.3", Standing::Remembered),
    text: include_str!("first_fault_not_signalled.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if study.wiring.is_err() || study::arrangement(study) != Some(Arrangement::It) {
        return;
    }
    let monitor = &study.design.system.utility.insulation_monitor;
    match monitor {
        Fact::Known(watches) if watches.value => {}
        Fact::Known(_) => {
            findings
                .fails("no live part is tied to earth (IT), and nothing signals a first fault to earth")
                .at("utility.insulation_monitor", "said here")
                .at("utility.earthing", "earthing arrangement set here")
                .explains(
                    "An insulation monitoring device (IEC 61557-8) on the live conductors signals it; the fault is then found and mended without delay.",
                );
        }
        Fact::Unknown(gap) => {
            findings.undecided(
                "no live part is tied to earth (IT); whether a first fault to earth is signalled is not known",
                gap.clone(),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{metric_verdict, verdict};

    #[test]
    fn only_where_nothing_is_tied_to_earth_it_is_asked() {
        const MONITOR: &str = "utility.insulation_monitor";
        assert_eq!((metric_verdict("G23", &[]), verdict("G23", &[])), ("passes".into(), "passes".into()));
        let it = ("utility.earthing", "\"IT\"");
        assert_eq!(metric_verdict("G23", &[it]), "undecided danger");
        assert_eq!(metric_verdict("G23", &[it, (MONITOR, "\"no\"")]), "danger");
        assert_eq!(metric_verdict("G23", &[it, (MONITOR, "\"yes\"")]), "passes");
        assert_eq!(metric_verdict("G23", &[("utility.earthing", "\"TT\"")]), "passes");
    }
}
