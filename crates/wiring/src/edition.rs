//! What differs between rule sets: an edition is the one of 2023 with tagged differences.
//!
//! Differences are known second-hand or from memory; a clause without an entry keeps its number.

use crate::design_current::DesignCurrents;
use crate::graph::Circuit;
use crate::iec;
use crate::schedule::{RuleSet, Sized};
use quantity::{
    Choice, Clause, Current, Fact, Measure, Origin, Standing, TableRow, Term, Traced, nec, units,
};
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};
use tables::TableError;

/// Clauses, or parts of them, whose number differs: as in 2023, in 2020, in 2026.
const RENUMBERED: &[(&str, &str, &str)] = &[
    ("705.12(A)", "705.12(B)(1)", "705.12(A)"),
    ("705.12(B)(1)", "705.12(B)(3)(1)", "705.12(B)(1)"),
    ("705.12(B)(2)", "705.12(B)(3)(2)", "705.12(B)(2)"),
    ("705.12(B)(3)", "705.12(B)(3)(3)", "705.12(B)(3)"),
    ("705.12(B)(4)", "705.12(B)(3)(4)", "705.12(B)(4)"),
    ("705.13", "705.13", "article 130"),
    // The rule of feeders came in 2023.
    ("230.67, 215.18", "230.67", "230.67, 215.18"),
    ("Table 310.4(1)", "Table 310.4(A)", "Table 310.4(1)"),
    ("Table 310.15(B)(1)(1)", "Table 310.15(B)(1)", "Table 310.15(B)(1)(1)"),
    ("Table 314.16(B)(1)", "Table 314.16(B)", "Table 314.16(B)(1)"),
    ("table 300.5(A)", "table 300.5", "table 300.5(A)"),
    ("Table 310.12(A)", "Table 310.12", "Table 310.12(A)"),
    ("310.12", "310.12", "310.12(A)"),
];

/// A clause as these rules have it: of the 2023 edition as another edition numbers it, and by IEC the clause that rules
/// the same matter. Clauses of other documents stay. The text of 2026 was not seen, so its standing is from memory
/// throughout.
pub fn in_edition(rules: RuleSet, clause: Clause) -> Clause {
    if clause.document != "NEC" || clause.edition != "2023" {
        return clause;
    }
    let (edition, standing) = match rules {
        RuleSet::Nec2023 => return clause,
        RuleSet::Iec60364 => return crate::iec_clauses::of_matter(clause.clause),
        RuleSet::Nec2020 => ("2020", clause.standing),
        RuleSet::Nec2026 => ("2026", clause.standing.max(Standing::Remembered)),
    };
    nec(edition, renumbered(rules, clause.clause), standing)
}

/// Every part of a clause by its number in 2020 or 2026.
fn renumbered(rules: RuleSet, clause: &'static str) -> &'static str {
    if let Some(row) = RENUMBERED.iter().find(|row| row.0 == clause) {
        return if rules == RuleSet::Nec2020 { row.1 } else { row.2 };
    }
    let mut said = String::with_capacity(clause.len());
    let mut rest = clause;
    loop {
        let end = rest.find([',', ';']).unwrap_or(rest.len());
        let part = &rest[..end];
        match RENUMBERED.iter().find(|row| row.0 == part) {
            Some(row) => said.push_str(if rules == RuleSet::Nec2020 { row.1 } else { row.2 }),
            // Article 220 became article 120.
            None if rules == RuleSet::Nec2026 && part.starts_with("220.") => {
                said.push_str("120.");
                said.push_str(&part[4..]);
            }
            None => said.push_str(part),
        }
        let next = rest[end..].find(|c: char| !matches!(c, ',' | ';' | ' ')).map_or(rest.len(), |k| end + k);
        said.push_str(&rest[end..next]);
        rest = &rest[next..];
        if rest.is_empty() {
            break;
        }
    }
    if said == clause { clause } else { kept(said) }
}

/// The same words for as long as the program runs. Clauses are constants, so their number is bounded.
fn kept(words: String) -> &'static str {
    static KEPT: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut all = KEPT.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    match all.get(words.as_str()) {
        Some(words) => words,
        None => {
            let words: &'static str = Box::leak(words.into_boxed_str());
            all.insert(words);
            words
        }
    }
}

/// The smallest standard rating of these rules that is not below `amps`. The 10 A rating of breakers came in 2023.
///
/// # Errors
/// Those of the table.
pub fn standard_rating(rules: RuleSet, amps: f64) -> Result<Traced<Current>, TableError> {
    /// The smallest rating before 2023.
    const SMALLEST_OF_2020: f64 = 15.0;
    match rules {
        RuleSet::Iec60364 => tables::iec_standard_rating(amps),
        RuleSet::Nec2020 if (0.0..SMALLEST_OF_2020).contains(&amps) => {
            tables::next_standard_rating(SMALLEST_OF_2020, tables::Protection::Breaker)
        }
        _ => tables::next_standard_rating(amps, tables::Protection::Breaker),
    }
}

/// Where the standard ratings of these rules stand.
pub(crate) fn ratings_clause(rules: RuleSet) -> Clause {
    match rules {
        RuleSet::Iec60364 => {
            quantity::iec("IEC 60364-4-43", "2008", "433.1: Ib ≤ In ≤ Iz", Standing::Remembered)
        }
        _ => in_edition(rules, nec("2023", "240.6(A)", Standing::SecondHand)),
    }
}

/// A current of an array without its fraction where that is below half an ampere (690.4(G), new in 2026).
pub fn without_small_fraction(i: f64) -> f64 {
    if i.fract() < 0.5 { i.trunc() } else { i }
}

/// The design currents of a circuit by these rules.
pub(crate) fn design_currents(rules: RuleSet, circuit: &Circuit) -> DesignCurrents {
    let currents = circuit.demand.design_currents();
    match rules {
        RuleSet::Nec2020 | RuleSet::Nec2023 => currents,
        RuleSet::Iec60364 => iec::design_currents(&circuit.demand, currents),
        RuleSet::Nec2026 if circuit.demand.is_pv() => {
            let maximum = dropped(&currents.maximum);
            let continuous = dropped(&crate::PvContinuous::of_facts(&maximum));
            DesignCurrents { maximum, continuous, ..currents }
        }
        RuleSet::Nec2026 => currents,
    }
}

fn dropped(current: &Fact<Current>) -> Fact<Current> {
    current.and_then(|full| {
        let amps = units::AMPERE.of_si(full.si());
        let kept = without_small_fraction(amps);
        if kept == amps {
            return Fact::Known(full.clone());
        }
        Fact::Known(Traced::found(
            Current::from_si(units::AMPERE.to_si(kept)),
            Choice {
                because: "a fraction below half an ampere is dropped".into(),
                runner_up: Arc::from(""),
                clause: nec("2026", "690.4(G)", Standing::SecondHand),
                terms: vec![full.term("with its fraction", &units::AMPERE)],
            },
        ))
    })
}

/// Writes the edition into every clause of a sized circuit's choices and table rows. Formulas are declared once and
/// keep the edition they were declared with.
pub(crate) fn retag(rules: RuleSet, sized: &mut Sized) {
    if rules == RuleSet::Nec2023 {
        return;
    }
    for fact in [&mut sized.protection.rating, &mut sized.protection.standard] {
        if let Fact::Known(traced) = fact {
            traced.origin = retagged(rules, &traced.origin);
        }
    }
    if let Fact::Known(needed) = &mut sized.protection.needed {
        needed.origin = retagged(rules, &needed.origin);
    }
    if let Fact::Known(ground) = &mut sized.ground {
        ground.origin = retagged(rules, &ground.origin);
    }
    if let Fact::Known(conductor) = &mut sized.conductor {
        conductor.origin = retagged(rules, &conductor.origin);
        let found = &mut conductor.value;
        found.gauge.origin = retagged(rules, &found.gauge.origin);
        found.sets.origin = retagged(rules, &found.sets.origin);
        if let Some(required) = &mut found.required {
            required.origin = retagged(rules, &required.origin);
        }
    }
}

fn retagged(rules: RuleSet, origin: &Origin) -> Origin {
    let all = |terms: &[Term]| -> Vec<Term> {
        terms.iter().map(|term| Term { origin: retagged(rules, &term.origin), ..term.clone() }).collect()
    };
    match origin {
        Origin::Found(choice) => Origin::Found(Arc::new(Choice {
            clause: in_edition(rules, choice.clause),
            terms: all(&choice.terms),
            ..(**choice).clone()
        })),
        Origin::Tabled(row) => {
            Origin::Tabled(Arc::new(TableRow { clause: in_edition(rules, row.clause), ..(**row).clone() }))
        }
        Origin::Computed(working) => Origin::Computed(Arc::new(quantity::Working {
            formula: working.formula,
            terms: all(&working.terms),
        })),
        other => other.clone(),
    }
}
