//! # Idle draw and efficiencies of an inverter that do not belong together
//!
//! What it checks: the efficiency the year reckons with against each one on the data sheet, for every inverter: the curve begins
//! with the stated idle draw and follows the efficiencies by least squares. More than one point of a hundred apart is told.
//!
//! Why it matters: a house lives most of its hours at a tenth of what its inverters could give. If a unit draws more while it
//! works than its idle draw says, the nights cost more than was reckoned.
//!
//! Known limits: by the points the data sheet gives; between them nothing is known.
//!
//! Source: Schmidt & Sauer, Sonnenenergie 4/1996 (quadratic loss model, from memory); one point: common practice, no source.
//!
//! Fails: 25 W of idle draw beside 85 % at a tenth of 6 kW and 92 % in full.
//! Passes: beside 92 % at a tenth.

use crate::words::{above, say};
use crate::{Findings, Rule, Severity};
use quantity::{practice, print_in, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "E06",
    name: "efficiencies-against-idle",
    severity: Severity::Note,
    clause: practice("a loss curve meets its data sheet to a point of efficiency"),
    text: include_str!("efficiencies_against_idle.rs"),
    check,
};

const POINT: f64 = 0.01;

fn check(study: &Study, findings: &mut Findings<'_>) {
    for miss in study::curve_misses(&study.design.system) {
        let apart = miss.reckoned.si() - miss.stated.si();
        if !above(apart.abs(), POINT) {
            continue;
        }
        let percent = |value: f64| print_in(value, &units::PERCENT);
        findings
            .fails(format!(
                "inverter \"{}\": at {} of its output the data sheet says {}, a curve that begins with its idle draw of {} says {}",
                miss.inverter,
                percent(miss.share),
                percent(miss.stated.si()),
                say(study, &miss.idle),
                percent(miss.reckoned.si())
            ))
            .at(format!("inverter.{}.idle", miss.inverter), "draw of one unit set here")
            .because([
                miss.stated.term("stated", &units::PERCENT),
                miss.reckoned.term("reckoned with", &units::PERCENT),
            ])
            .explains(if apart > 0.0 {
                "It loses more while it works than it draws idle: the year is a little too bright there. Ask the maker what it draws when it \
                 is on and gives little, and write that as its idle draw."
            } else {
                "The year reckons with more loss there than the data sheet: ask the maker whether its efficiencies leave the idle draw out."
            });
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 6 kW with 25 W of idle draw and 92 % in full: of 600 W, 105.88 W are lost at 85 %. Least squares of the loss leave most of the
    /// difference there.
    #[test]
    fn a_point_of_efficiency_decides() {
        let low = |percent: &str| {
            let curve = format!("{{ \"10 %\" = \"{percent} %\", \"100 %\" = \"92 %\" }}");
            (
                verdict("E06", &[("inverter.i.efficiency", &curve)]),
                of("E06", &[("inverter.i.efficiency", &curve)]),
            )
        };
        assert_eq!(low("92").0, "passes");
        let (word, found) = low("85");
        assert_eq!(word, "note");
        assert!(found[0].says.contains("85 %") && found[0].says.contains("25 W"), "{}", found[0].says);
        // Fewer losses than the idle draw alone: 600/(600 + 25) is 96 %.
        let (word, found) = low("98");
        assert_eq!(word, "note");
        assert!(found[0].more[0].contains("leave the idle draw out"));
    }
}
