//! # The dwelling asks more than its service or feeder gives
//!
//! What it checks: the optional load calculation of the dwelling in `[household]`, with every `[[appliance]]`, against the
//! device of whatever feeds its panel; and that the feed is at least 100 A, as the calculation of a new dwelling asks.
//! Inverters are judged by their own rule: a house on its own may have a smaller source than its calculated load.
//!
//! Why it matters: a service that trips on the coldest evening, with the vehicle charging, is found out then.
//!
//! Known limits: one dwelling, one panel. The standard calculation and the load of the neutral are not made. A vehicle
//! charger counts with its nameplate, 7200 VA at least; load management (750.30) is not credited. Some offices count an
//! added charger in full. Nothing is checked where no `[household]` is written.
//!
//! Source: NEC 2023, 220.82, 220.83 (read second hand), 220.57 (from memory).
//!
//! Fails: 145 A calculated behind a 100 A device.
//! Passes: 89.5 A.

use crate::words::{exceeds, say};
use crate::{Findings, Rule, Severity};
use quantity::{Current, Fact, Measure, Standing, Traced, nec, units};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "A08",
    name: "dwelling-load-over-feed",
    severity: Severity::Breach,
    clause: nec("2023", "220.82, 220.83", Standing::SecondHand),
    text: include_str!("dwelling_load_over_feed.rs"),
    check,
};

/// Least feed for which the calculation of a new dwelling may be used, NEC 2023, 220.82(A) (from memory).
const LEAST: f64 = 100.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Some(dwelling) = study::dwelling(study) else { return };
    let asked: &Traced<Current> = match &dwelling.load.current {
        Fact::Known(current) => current,
        Fact::Unknown(gap) => {
            findings.undecided("the load of the dwelling cannot be calculated", gap.clone());
            return;
        }
    };
    for (name, rating) in &dwelling.feeds {
        let rating = match rating {
            Fact::Known(rating) => rating,
            Fact::Unknown(gap) => {
                let thing = format!("\"{name}\" to \"{}\"", dwelling.panel);
                findings.undecided_for(&thing, "what it lets through is not known", gap.clone());
                continue;
            }
        };
        if exceeds(asked, rating) {
            findings
                .fails(format!(
                    "the dwelling asks {}, \"{name}\" gives its panel \"{}\" {}",
                    say(study, asked),
                    dwelling.panel,
                    say(study, rating)
                ))
                .at("household.panel", "carries the dwelling")
                .because([asked.term("calculated", &units::AMPERE), rating.term("device", &units::AMPERE)])
                .figure(&["dwelling", "current"]);
        } else if dwelling.existing.value() == Some(&false) && rating.si() < LEAST {
            findings
                .fails(format!(
                    "the optional calculation of a new dwelling asks for a feed of {} at least, \"{name}\" gives {}",
                    quantity::print(LEAST, Current::KIND, study.design.system.units),
                    say(study, rating)
                ))
                .at("household.counted_as", "counted by it")
                .because([rating.term("device", &units::AMPERE)])
                .explains("A licensed electrician makes the standard calculation instead.");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{study_of, verdict};
    use study::Depth;

    const UTILITY: &str = "[utility]\nrole = \"backup by transfer\"\nservice = \"200 A\"\nconductors = \"4/0 AWG\"\nconductor_metal = \"aluminum\"\n\
        [[panel]]\nname = \"service\"\nfed_by = [\"utility\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nmain = \"100 A\"\nbond = \"yes\"\nexisting = \"yes\"\nprice = 0\n\
        [[electrode]]\nname = \"pipe\"\nkind = \"water pipe\"\nat = \"service\"\n";

    fn house(area: &str, counted: &str, appliances: &[(&str, u32, &str)]) -> String {
        let mut text = format!(
            "{UTILITY}[household]\npanel = \"service\"\nfloor_area = \"{area} ft2\"\ncircuits = 3\ncounted_as = \"{counted} dwelling\"\n"
        );
        for (k, (kind, va, more)) in appliances.iter().enumerate() {
            text +=
                &format!("[[appliance]]\nname = \"a{k}\"\nkind = \"{kind}\"\nrated = \"{va} VA\"\n{more}\n");
        }
        text
    }

    const OTHER: &str = "cooking, drying, water heating or other";

    fn current(text: &str) -> f64 {
        let study = study_of(&[("+", text)], Depth::WithoutYear);
        units_of(study.figure("dwelling/current").map(|figure| figure.value.clone()))
    }

    fn units_of(value: Option<quantity::Value>) -> f64 {
        match value {
            Some(quantity::Value::Number { si, .. }) => si,
            other => panic!("{other:?}"),
        }
    }

    /// NEC Annex D, example D2(a), through a design: 21 480 VA, 89.5 A, so 100 A are enough. Its air conditioner of 1380 VA
    /// is less than 40 % of the heat and falls out.
    #[test]
    fn electric_heat_in_five_rooms_asks_89_5_amperes() {
        let text = house(
            "1500",
            "new",
            &[
                (OTHER, 12_000, ""),
                (OTHER, 2500, ""),
                (OTHER, 1200, ""),
                (OTHER, 5000, ""),
                ("space heating", 9000, "controlled_apart = 5"),
                ("cooling", 1380, ""),
            ],
        );
        assert!((current(&text) - 89.5).abs() < 1e-9, "{}", current(&text));
        assert_eq!(verdict("A08", &[("+", &text)]), "passes");
        assert_eq!(verdict("A08", &[("+", &text), ("panel.service.main", "\"90 A\"")]), "breach");
        assert_eq!(verdict("A08", &[("+", &text), ("household.floor_area", "")]), "undecided breach");
        assert_eq!(verdict("A08", &[("+", &text), ("appliance.a0.rated", "")]), "undecided breach");
    }

    /// NEC Annex D, example D2(c): 34 790 VA, printed as 145 A, 150 A.
    #[test]
    fn a_heat_pump_with_heat_beside_it_asks_145_amperes() {
        let text = house(
            "2000",
            "new",
            &[
                (OTHER, 12_000, ""),
                (OTHER, 4500, ""),
                (OTHER, 1200, ""),
                (OTHER, 5000, ""),
                ("heat pump", 5760, ""),
                ("heat beside the heat pump", 15_000, ""),
            ],
        );
        // The example prints whole amperes.
        assert!((current(&text) - 145.0).abs() < 0.5, "{}", current(&text));
        assert_eq!(verdict("A08", &[("+", &text)]), "breach");
        assert_eq!(verdict("A08", &[("+", &text), ("panel.service.main", "\"150 A\"")]), "passes");
    }

    /// Cases built on 220.83: a vehicle charger of 7200 VA asks 81.5 A, an added air conditioner of 5760 VA 93.5 A.
    #[test]
    fn an_existing_dwelling_counts_what_is_added() {
        let plain = [(OTHER, 12_000, ""), (OTHER, 2500, ""), (OTHER, 1200, ""), (OTHER, 5000, "")];
        let with = |more: (&'static str, u32, &'static str)| {
            let all: Vec<_> = plain.into_iter().chain([more]).collect();
            current(&house("1500", "existing", &all))
        };
        assert!((with(("vehicle charger", 7200, "added = \"yes\"")) - 81.5).abs() < 1e-9);
        // A smaller one counts as much.
        assert!((with(("vehicle charger", 3600, "added = \"yes\"")) - 81.5).abs() < 1e-9);
        assert!((with(("cooling", 5760, "added = \"yes\"")) - 93.5).abs() < 1e-9);
        // What is there already falls under the demand factor: 8000 + 0.4 · (29 700 + 5760 − 8000) = 18 984 VA.
        assert!((with(("cooling", 5760, "")) - 18_984.0 / 240.0).abs() < 1e-9);
    }
}
