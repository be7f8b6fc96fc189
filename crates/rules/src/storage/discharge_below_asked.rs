//! # A bank cannot give what the inverters ask
//!
//! What it checks: the current all inverters draw at full output and lowest battery voltage against the continuous
//! discharge current of all units together.
//!
//! Why it matters: the electronics of a battery cut off without warning, one unit after the other, each leaving more to
//! the rest; a battery without electronics overheats instead.
//!
//! Known limits: even sharing. The trade plans with 80 % of the sum, as links are never quite alike (common practice,
//! no source); between the two it is a note.
//!
//! Source: the arithmetic of power, voltage and efficiency; data sheets.
//!
//! Fails: 142 A asked of one unit of 100 A.
//! Passes: of two.

use crate::words::{above, both, exceeds, say};
use crate::{Findings, Remedy, Rule, Severity};
use quantity::{Fact, practice, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "B02",
    name: "discharge-below-asked",
    severity: Severity::Danger,
    clause: practice("a bank gives what its inverters ask at lowest voltage"),
    text: include_str!("discharge_below_asked.rs"),
    check,
};

/// Share of the summed limits the trade plans with.
const PLANNED: f64 = 0.8;

fn check(study: &Study, findings: &mut Findings<'_>) {
    for bank in &study.banks {
        let (asked, limit) = match both(&bank.discharge_asked, &bank.discharge_limit) {
            Ok(known) => known,
            Err(gap) => {
                let thing = format!("bank \"{}\"", bank.name);
                findings.undecided_for(&thing, "whether it gives what the inverters ask is not known", gap);
                continue;
            }
        };
        let says = format!(
            "bank \"{}\": {} asked{} at the lowest voltage, all units together give {}",
            bank.name,
            say(study, asked),
            if bank.share.is_some() { " as its share" } else { "" },
            say(study, limit)
        );
        let path = format!("bank.{}.parallel", bank.name);
        let finding = if exceeds(asked, limit) {
            let finding = findings.fails(says);
            finding.explains("One unit cuts off first and leaves the rest with more than before.");
            // More units of a bank beside another also carry more of the current.
            if let Fact::Known(n) = &bank.parallel
                && bank.share.is_none()
                && n.count() > 0
                && limit.si() > 0.0
            {
                let each = limit.si() / f64::from(n.count());
                let enough =
                    (n.count() + 1..=n.count() + 200).find(|n| !above(asked.si(), each * f64::from(*n)));
                if let Some(enough) = enough {
                    finding.remedy(Remedy::set(
                        format!("{enough} side by side instead of {}", n.count()),
                        path.clone(),
                        enough.to_string(),
                    ));
                }
            }
            finding
        } else if above(asked.si(), PLANNED * limit.si()) {
            findings.fails_as(
                Severity::Note,
                format!(
                    "{says}: more than the 80 % that are planned with, as units never share quite evenly"
                ),
            )
        } else {
            continue;
        };
        finding
            .at(path, "units side by side set here")
            .figure(&["banks", &bank.name, "discharge-asked"])
            .because([asked.term("asked", &units::AMPERE), limit.term("given", &units::AMPERE)]);
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 6000 W / (46 V · 0.92) = 141.776 A of four units.
    #[test]
    fn what_one_unit_gives_decides() {
        let each = |amps: &str| {
            let current = format!("{{ charge = \"50 A\", discharge = \"{amps}\", peak = \"150 A\" }}");
            verdict("B02", &[("battery.b.current", &current)])
        };
        assert_eq!(each("35.4 A"), "danger");
        assert_eq!(each("35.4443 A"), "note");
        assert_eq!(each("44.3 A"), "note");
        assert_eq!(each("44.4 A"), "passes");
        assert_eq!(verdict("B02", &[("battery.b.current.discharge", "\"unknown\"")]), "undecided danger");
    }

    #[test]
    fn the_remedy_is_the_fewest_that_give_it() {
        let found = of("B02", &[("bank.bank.parallel", "1")]);
        assert!(found[0].remedies[0].says.starts_with("2 side by side"));
    }
}
