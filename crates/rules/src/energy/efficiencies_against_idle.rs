//! # Idle draw and efficiencies of an inverter that do not belong together
//!
//! What it checks: the efficiency the year reckons with against each one on the data sheet, for every inverter: the curve begins
//! with the stated idle draw, follows the efficiencies by least squares and betters none of them. More than one point of a
//! hundred apart is told.
//!
//! Why it matters: a house lives most of its hours at a tenth of what its inverters could give. Where idle draw and efficiencies
//! contradict each other, one of them is misread, and the year rests on it.
//!
//! Known limits: by the points the data sheet gives; between them nothing is known. A unit that loses more at work than it draws
//! idle contradicts nothing: the year follows its efficiencies.
//!
//! Source: Schmidt & Sauer, Sonnenenergie 4/1996 (quadratic loss model, from memory); one point: common practice, no source.
//!
//! Fails: 25 W of idle draw beside 98 % at a tenth of 6 kW and 92 % in full.
//! Passes: beside 92 % at a tenth, and beside 85 %.

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
        if !above((miss.reckoned.si() - miss.stated.si()).abs(), POINT) {
            continue;
        }
        let percent = |value: f64| print_in(value, &units::PERCENT);
        findings
            .fails(format!(
                "inverter \"{}\": at {} of its output the data sheet says {}, a curve through its idle draw of {} and all its efficiencies says {}",
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
            .explains(if miss.loses_less_than_idle {
                "It would lose less there than it draws idle. The year reckons with more loss: ask the maker whether its efficiencies leave \
                 the idle draw out."
            } else {
                "These efficiencies do not lie on one curve, and the year takes the less favourable one: read them again at their shares \
                 of output, and ask the maker which is right."
            });
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    /// 6 kW with 25 W of idle draw and 92 % in full. At 98 % of 600 W 12.24 W are lost, less than idle. At 85 % it is 105.88 W, more
    /// than idle by 80.88 W, as a unit may.
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
        assert_eq!(low("85").0, "passes");
        // 600/(600 + 25) is 96 %.
        let (word, found) = low("98");
        assert_eq!(word, "note");
        assert!(found[0].says.contains("98 %") && found[0].says.contains("25 W"), "{}", found[0].says);
        assert!(found[0].more[0].contains("leave the idle draw out"));
    }

    /// 66.7 W, 315.8 W and 58.5 W of loss at 600 W, 3 kW and 5.79 kW: no loss falls while power grows.
    #[test]
    fn efficiencies_that_no_curve_meets_are_told() {
        let curve = "{ \"10 %\" = \"90 %\", \"50 %\" = \"90.5 %\", \"96.5 %\" = \"99 %\" }";
        let found = of("E06", &[("inverter.i.efficiency", curve)]);
        assert!(found[0].more[0].contains("do not lie on one curve"), "{:?}", found[0]);
    }
}
