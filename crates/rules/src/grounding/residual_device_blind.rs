//! # A residual-current device is blinded by the inverter
//!
//! What it checks: every residual-current device between the utility and the input of an inverter sees the currents the
//! inverter can send through it: type B where no transformer separates its direct from its alternating side, unless its
//! maker states that none is asked for; never type AC.
//!
//! Why it matters: a smooth direct current saturates the core of types AC, A and F. The device then trips for nobody, also
//! not for the socket in the bathroom behind it.
//!
//! Known limits: IEC 60364 only. A device stated for a panel counts for every circuit that leaves it. Devices of final
//! circuits that no inverter feeds back through are not judged by type here (see G22).
//!
//! Source: IEC 60364-7-712:2017, 712.411.3.2.1.2; IEC 60364-5-53:2019, 531.3.3 (from memory).
//!
//! Fails: a type A device before an inverter without a transformer whose maker asks for type B.
//! Passes: the same where its maker states that type A serves.

use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, Gap, Standing, iec};
use study::Study;
use wiring::ResidualType;

pub(crate) static RULE: Rule = Rule {
    code: "G21",
    name: "residual-device-blind",
    severity: Severity::Danger,
    clause: iec("IEC 60364-7-712", "2017", "712.411.3.2.1.2", Standing::Remembered),
    text: include_str!("residual_device_blind.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    if !study::is_iec(study) || study.wiring.is_err() {
        return;
    }
    let system = &study.design.system;
    for behind in study::residuals_before_units(study) {
        let inverter = system.unit(&behind.unit).and_then(|unit| system.inverter_of(unit));
        let Some(inverter) = inverter else { continue };
        let field = format!("{}.type", behind.residual.field.as_str());
        let kind = match &behind.residual.kind {
            Fact::Known(kind) => kind.value,
            Fact::Unknown(gap) => {
                let thing = format!("unit \"{}\"", behind.unit);
                findings.undecided_for(
                    &thing,
                    "the type of the residual-current device before it is not known",
                    gap.clone(),
                );
                continue;
            }
        };
        let separated = inverter.separated.value() == Some(&true);
        let asked = (&inverter.separated, &inverter.asks_type_b);
        match (kind, asked) {
            (ResidualType::B, _) => {}
            (ResidualType::Ac, _) => fails(findings, &behind.unit, kind, "never suits an inverter", field),
            (_, (_, Fact::Known(asks))) if asks.value => {
                fails(findings, &behind.unit, kind, "its maker asks for type B", field);
            }
            (_, (_, Fact::Known(_))) => {}
            _ if separated => {}
            (_, (Fact::Unknown(a), Fact::Unknown(b))) => {
                undecided(findings, &behind.unit, kind, a.clone().and(b))
            }
            (_, (_, Fact::Unknown(gap))) => undecided(findings, &behind.unit, kind, gap.clone()),
        }
    }
}

fn fails(findings: &mut Findings<'_>, unit: &str, kind: ResidualType, why: &str, field: String) {
    findings
        .fails(format!("unit \"{unit}\" lies behind a residual-current device of {}: {why}", kind.in_words()))
        .at(field.clone(), "stated here")
        .remedy(Remedy::set("a device of type B", field, "\"B\""));
}

fn undecided(findings: &mut Findings<'_>, unit: &str, kind: ResidualType, gap: Gap) {
    let says = format!(
        "whether a residual-current device of {} before it stays awake is not known",
        kind.in_words()
    );
    findings.undecided_for(&format!("unit \"{unit}\""), &says, gap);
}

#[cfg(test)]
mod tests {
    use crate::trial::metric_verdict;

    const DEVICE: &str = "run.main board to hybrid.residual";
    const A: &str = "{ trips = \"300 mA\", type = \"A\", delayed = \"yes\" }";
    const B: &str = "{ trips = \"300 mA\", type = \"B\", delayed = \"yes\" }";
    const AC: &str = "{ trips = \"300 mA\", type = \"AC\", delayed = \"yes\" }";
    const ASKS: &str = "inverter.hybrid.asks_type_b";
    const APART: &str = "inverter.hybrid.separated";

    #[test]
    fn type_b_unless_a_transformer_or_the_maker_says_otherwise() {
        assert_eq!(metric_verdict("G21", &[(DEVICE, A)]), "passes");
        assert_eq!(metric_verdict("G21", &[(DEVICE, A), (ASKS, "\"yes\"")]), "danger");
        assert_eq!(metric_verdict("G21", &[(DEVICE, B), (ASKS, "\"yes\"")]), "passes");
        assert_eq!(metric_verdict("G21", &[(DEVICE, A), (ASKS, "")]), "undecided danger");
        assert_eq!(metric_verdict("G21", &[(DEVICE, A), (ASKS, ""), (APART, "\"yes\"")]), "passes");
        assert_eq!(metric_verdict("G21", &[(DEVICE, A), (ASKS, ""), (APART, "\"no\"")]), "undecided danger");
        assert_eq!(metric_verdict("G21", &[(DEVICE, AC)]), "danger");
    }

    /// The way from the utility passes the main board, whose device may stand before the inverter's circuit.
    #[test]
    fn a_device_further_up_is_blinded_too() {
        let main = ("panel.main board.residual", AC);
        assert_eq!(metric_verdict("G21", &[main]), "danger");
        // The backed-up board lies behind the inverter's output.
        assert_eq!(metric_verdict("G21", &[("panel.backed-up board.residual", AC)]), "passes");
    }
}
