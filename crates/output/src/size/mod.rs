//! Question 4: what to build, as a sentence, tables, a picture and for machines.

mod budget;
mod growth;
mod json;
mod tables;

pub use budget::{BUDGET, budget};
pub use growth::{ahead, given_up, growth_words, stages};
pub use json::size as json;
pub use tables::{listed, rejected, steps, systems, what_if};

use crate::answers::QUESTIONS;
use crate::book::Span;
use crate::drawing::{Dot, DotKind, Drawing, Form, trade_off};
use crate::say::{begun, fixed, listed as in_a_row, missing, plural};
use crate::table::Table;
use design::Design;
use quantity::{FigureName, Money};
use size::{Finished, Limit, Odds, Outcome, Ranking, Refusal, Scale, SizeStudy, Supposed};

/// Most systems drawn of those without a number: more are one black field and a file that no browser likes.
const MOST_DRAWN: usize = 3000;

/// A search with the design it was made for.
pub struct Sized<'a> {
    /// The design as it stands.
    pub design: &'a Design,
    /// The search.
    pub study: &'a SizeStudy,
    /// The last word on the promise of the best system, where it was asked for.
    pub odds: Option<&'a Odds>,
    /// The best system, or the present one, under other circumstances, where it was asked for.
    pub supposed: &'a [Supposed],
}

impl Sized<'_> {
    fn money(&self, money: Money) -> String {
        money.show(self.design.system.currency)
    }

    /// The settings of a system in words: "batteries 5, modules in each row 8".
    pub fn settings(&self, system: usize) -> String {
        self.study.space.says(system)
    }

    /// The name of a figure of a system.
    fn figure(&self, system: usize, figure: &str) -> FigureName {
        told_of(&self.study.space.name(system), figure)
    }

    /// "20 years".
    fn years_looked_at(&self) -> String {
        let years = self.design.system.money.years.value().map_or(0, |years| years.0);
        plural(years as usize, "year", "years")
    }

    fn backup_name(&self) -> &'static str {
        if self.design.system.engines.is_empty() { "on the utility" } else { "on backup" }
    }
}

/// The name of a figure of a system of a name.
pub(crate) fn told_of(system: &str, figure: &str) -> FigureName {
    let mut parts = vec![size::PREFIX, system];
    parts.extend(figure.split('/'));
    FigureName::new(&parts)
}

/// The measure of the front in words, with its unit.
pub fn scale_words(scale: Scale) -> (&'static str, &'static str) {
    match scale {
        Scale::BackupHours => ("on backup", "h"),
        Scale::DarkHours => ("dark", "h"),
        Scale::MissingEnergy => ("missing", "kWh"),
    }
}

pub(crate) fn scaled(scale: Scale, outcome: &Outcome) -> f64 {
    let value = scale.of(outcome);
    if scale == Scale::MissingEnergy { value / 1000.0 } else { value }
}

/// A broken limit in words.
pub fn limit_words(limit: Limit) -> &'static str {
    match limit {
        Limit::DarkHours => "dark hours",
        Limit::BackupHours => "hours on backup",
        Limit::BackupEnergy => "energy on backup",
        Limit::Missing => "missing energy",
        Limit::Fuel => "fuel",
        Limit::Together => "all limits together",
        Limit::Drill => "the rehearsal",
        Limit::Budget => "the budget",
    }
}

fn suffers(sized: &Sized<'_>, outcome: &Outcome) -> String {
    let mut parts = Vec::new();
    if outcome.backup_h > 0.0 || sized.study.scale == Scale::BackupHours {
        parts.push(format!("{} hours {}", fixed(outcome.backup_h, 0), sized.backup_name()));
    }
    parts.push(format!("{} dark", plural(outcome.dark_h.round() as usize, "hour", "hours")));
    if outcome.missing_wh >= 500.0 {
        parts.push(format!("{} kWh missing", fixed(outcome.missing_wh / 1000.0, 0)));
    }
    in_a_row(&parts)
}

/// The answer as a paragraph.
pub fn sentence(sized: &Sized<'_>) -> Vec<Span> {
    let study = sized.study;
    let mut spans = Vec::new();
    let mut text = String::new();
    // An answer is never better than what nobody knows of any of them.
    let settled = match &study.unanswered {
        None => String::new(),
        Some(gap) => {
            let facts = missing(gap);
            let more = match facts.len().saturating_sub(3) {
                0 => String::new(),
                more => format!(", and {more} more"),
            };
            let few = in_a_row(&facts[..facts.len().min(3)]);
            format!("Cannot be said until these are known: {few}{more}. As far as it can be said: ")
        }
    };
    match (study.best, study.finished) {
        (Some(best), finished) => {
            let word = match study.ranking {
                Ranking::Cost => "cheapest to buy".to_string(),
                Ranking::AllYears => format!("cheapest over {}", sized.years_looked_at()),
                Ranking::Size(_) => "smallest".to_string(),
            };
            let found = match finished {
                Finished::Stopped => "best found so far, not proven,".to_string(),
                _ => word,
            };
            let the = if settled.is_empty() { "The" } else { "the" };
            text.push_str(&format!(
                "{settled}{the} {found} of the systems that keep the promise: {}",
                sized.settings(best)
            ));
            let candidate = &study.candidates[best];
            if let (Some(bulk), Some(outcome)) = (candidate.bulk(), candidate.outcome()) {
                let to_buy = Span::figure(sized.money(bulk.cost), sized.figure(best, "bill/total"));
                match (&study.ranking, outcome.life) {
                    (Ranking::AllYears, Some(life)) => {
                        text.push_str(", for ");
                        spans.push(Span::plain(std::mem::take(&mut text)));
                        let name = sized.figure(best, "money/over-the-years");
                        spans.push(Span::figure(sized.money(life), name));
                        spans.push(Span::plain(" in today's money, of which the purchase list is "));
                        spans.push(to_buy);
                        text.push_str(priced_part(study));
                    }
                    (Ranking::Cost | Ranking::AllYears, _) => {
                        text.push_str(", for ");
                        spans.push(Span::plain(std::mem::take(&mut text)));
                        spans.push(to_buy);
                        text.push_str(priced_part(study));
                    }
                    (Ranking::Size(_), _) => {}
                }
                text.push_str(&format!(
                    ". In the middling year it has {}; the promise is broken in {} of {} years and may be in {}.",
                    suffers(sized, outcome),
                    outcome.broken,
                    outcome.years,
                    outcome.allowed
                ));
                text.push_str(&against_present(sized, best));
            }
        }
        (None, Finished::Stopped) => text.push_str("Stopped before any system was found that keeps the promise."),
        (None, _) if !study.promised => text.push_str(
            "Nothing is promised yet, so no system can be the cheapest that keeps it. Write what the house may suffer \
             under [promise]; until then the table shows what money buys.",
        ),
        (None, _) => text.push_str(&nothing_keeps(sized)),
    }
    if let Ranking::Size(items) = &study.ranking {
        let items: Vec<String> = items.iter().map(ToString::to_string).collect();
        text.push_str(&format!(
            " The systems are in order of size, batteries first, because {} without a price; no cost is compared.",
            if items.len() == 1 { format!("{} is", items[0]) } else { format!("{} are", in_a_row(&items)) }
        ));
    }
    spans.push(Span::plain(text));
    if let (Some(odds), Some(best)) = (sized.odds, study.best) {
        spans.extend(odds_words(sized, odds, best));
    }
    spans
}

/// What a sum leaves out is said with it.
fn priced_part(study: &SizeStudy) -> &'static str {
    if study.unpriced_alike > 0 || !study.unpriced_small.is_empty() { " of what has a price" } else { "" }
}

/// What the system of the answer is among those that keep the promise.
pub fn best_words(ranking: &Ranking) -> &'static str {
    match ranking {
        Ranking::Cost => "keeps the promise at least cost",
        Ranking::AllYears => "keeps the promise at least cost of all years",
        Ranking::Size(_) => "the smallest that keeps the promise",
    }
}

fn against_present(sized: &Sized<'_>, best: usize) -> String {
    let study = sized.study;
    let (bulk, outcome) = &study.present;
    if study.present_at == Some(best) {
        return " It is what you have drawn.".into();
    }
    let keeps = if outcome.keeps() {
        "keeps the promise too".to_string()
    } else {
        let broken: Vec<String> = outcome.breaks.iter().map(|l| limit_words(*l).to_string()).collect();
        format!("does not keep the promise ({})", in_a_row(&broken))
    };
    let drawn = match study.ranking {
        Ranking::Cost => Some(bulk.cost),
        Ranking::AllYears => outcome.life,
        Ranking::Size(_) => None,
    };
    let difference =
        drawn.zip(study.ranking.cost(&study.candidates[best])).map(|(drawn, best)| best.0 - drawn.0);
    let money = match difference {
        None => String::new(),
        Some(0) => " for the same money".to_string(),
        Some(d) if d < 0 => format!(" for {} more", sized.money(Money(-d))),
        Some(d) => format!(" for {} less", sized.money(Money(d))),
    };
    format!(" What you have drawn {keeps}{money}, with {}.", suffers(sized, outcome))
}

fn nothing_keeps(sized: &Sized<'_>) -> String {
    let study = sized.study;
    if study.counts.buildable == 0 {
        return "No system of the choices can be built as drawn; the reasons stand below.".into();
    }
    let Some(nearest) = study.misses.first() else {
        return "No system of the choices has a year to hold the promise against.".into();
    };
    let Some(outcome) = study.candidates[*nearest].outcome() else { return String::new() };
    let broken: Vec<String> = outcome.breaks.iter().map(|l| limit_words(*l).to_string()).collect();
    let alone = binding(study);
    let binds = match alone.as_slice() {
        [] => " No single limit is to blame.".to_string(),
        limits => format!(
            " Without the limit on {} a system of these choices would keep the rest.",
            limits.iter().map(|limit| limit_words(*limit)).collect::<Vec<_>>().join(" or without that on ")
        ),
    };
    format!(
        "No system of the choices keeps the promise. The nearest is {} with {}; it breaks {}, in {} of {} years where {} \
         may.{binds}",
        sized.settings(*nearest),
        suffers(sized, outcome),
        in_a_row(&broken),
        outcome.broken,
        outcome.years,
        outcome.allowed,
    )
}

/// The limits that alone stand between some system and the promise.
pub(crate) fn binding(study: &SizeStudy) -> Vec<Limit> {
    let mut alone: Vec<Limit> = study
        .candidates
        .iter()
        .filter_map(|candidate| match candidate.outcome()?.breaks.as_slice() {
            [one] => Some(*one),
            _ => None,
        })
        .collect();
    alone.sort();
    alone.dedup();
    alone
}

fn odds_words(sized: &Sized<'_>, odds: &Odds, best: usize) -> Vec<Span> {
    let drill = odds.drill.map_or_else(String::new, |(carried, of)| {
        format!("; the rehearsal has no dark hour in {carried} of {of}")
    });
    let short: Vec<String> = odds.breaks.iter().map(|limit| limit_words(*limit).to_string()).collect();
    let short = if short.is_empty() {
        String::new()
    } else {
        format!(" That is less often than promised for {}: look at the next larger system.", in_a_row(&short))
    };
    let percent =
        |share: f64, figure: &str| Span::figure(fixed(share * 100.0, 0), sized.figure(best, figure));
    vec![
        Span::plain(format!(" Over {} weather years it keeps the limits of a year in ", odds.years)),
        Span::figure(odds.kept.to_string(), sized.figure(best, "odds/kept")),
        Span::plain(": between "),
        percent(odds.share.0, "odds/share-low"),
        Span::plain(" and "),
        percent(odds.share.1, "odds/share-high"),
        Span::plain(format!(" % of all years as far as these can tell{drill}.{short}")),
    ]
}

/// By which method the years were walked, and what a skipped system was skipped for.
fn how_walked(study: &SizeStudy) -> Option<String> {
    let size::Walked { side_by_side, one_by_one } = study.walked;
    let years = side_by_side + one_by_one;
    if years == 0 {
        return None;
    }
    let how = match (side_by_side, one_by_one) {
        (_, 0) => format!(
            "All {years} weather years were walked for many systems side by side, those that differ in their banks alone"
        ),
        (0, _) => format!(
            "All {years} weather years were walked for one system after another, because nothing quicker holds for this house"
        ),
        _ => format!(
            "{side_by_side} weather years were walked for many systems side by side, those that differ in their banks alone, \
             and {one_by_one} for one system after another"
        ),
    };
    let counts = &study.counts;
    let proof = if counts.skipped_unwalked + counts.skipped_after_hardest > 0 {
        format!(
            " A system was skipped where it cannot be the answer, because one before it in order keeps the promise or too many of \
             its own years break it, and where the middling of its years is no better than that of one before it, whatever the \
             rest of them bring; {} were spared so.",
            plural(counts.years_spared, "weather year", "weather years")
        )
    } else {
        String::new()
    };
    Some(format!(
        "{how}; either way has the figures of the year's own answer.{proof} No system was skipped for being larger or smaller than \
         another: hours on backup and dark hours need not fall with size, since a source that switches at thresholds may be \
         called at another hour and every battery draws for its own electronics."
    ))
}

/// What was searched, how, and what is not in the sums: one paragraph each.
pub fn remarks(sized: &Sized<'_>) -> Vec<String> {
    let study = sized.study;
    let counts = &study.counts;
    let mut remarks = Vec::new();
    if !study.space.stated {
        remarks.push(
            "The design names no [[choice]]; the numbers of batteries and of modules in each string were tried.".into(),
        );
    }
    let mut text = format!("Of {} ", plural(counts.systems, "system", "systems"));
    let mut parts = Vec::new();
    let rejected: usize = counts.rejected.iter().map(|r| r.systems).sum();
    if rejected > 0 {
        parts.push(format!("{rejected} cannot be built as drawn"));
    }
    if counts.repeated > 0 {
        parts.push(format!("{} are the same as others", counts.repeated));
    }
    parts.push(format!(
        "{} were walked hour by hour through {} weather years",
        counts.examined, study.present.1.years
    ));
    if counts.skipped_unwalked > 0 {
        parts.push(format!("{} were skipped with proof before any of their years", counts.skipped_unwalked));
    }
    if counts.skipped_after_hardest > 0 {
        let skipped = counts.skipped_after_hardest;
        parts.push(format!("{skipped} were skipped with proof after the hardest of their years"));
    }
    if counts.over_budget > 0 {
        parts.push(format!("{} cost more than the budget and were left alone", counts.over_budget));
    }
    if counts.without_year > 0 {
        parts.push(format!("{} have no year", counts.without_year));
    }
    if counts.not_reached > 0 {
        parts.push(format!("{} were not reached", counts.not_reached));
    }
    text.push_str(&in_a_row(&parts));
    text.push_str(match (study.finished, &study.ranking) {
        (Finished::Whole, Ranking::Cost) => {
            ". The walk goes by rising cost, and below the budget it leaves out only what is proven to be neither the cheapest \
             nor on the front, so both are exact for these choices and these years."
        }
        (Finished::Whole, Ranking::AllYears) => {
            ". What a system costs over its years does not rise with its size: a larger battery buys less energy and is bought \
             again itself. So every one below the budget was costed, and the cheapest and the front are exact for these choices \
             and these years."
        }
        (Finished::Whole, Ranking::Size(_)) => {
            ". The walk goes by rising size and leaves out only what is proven to be neither the smallest that keeps the promise \
             nor on the front, so both are exact for these choices and years."
        }
        (Finished::CheapestProven, _) => {
            ". The search was stopped; everything before the system found was looked at, so it is proven, but the front \
             is not complete."
        }
        (Finished::Stopped, _) => ". The search was stopped; what it found is the best so far and not proven.",
    });
    remarks.push(text);
    remarks.extend(how_walked(study));
    if let Some(best) = study.best {
        let ends: Vec<String> = study
            .space
            .knobs
            .iter()
            .zip(study.space.picks(best))
            .filter(|(knob, pick)| knob.settings.len() > 1 && (*pick == 0 || pick + 1 == knob.settings.len()))
            .map(|(knob, pick)| format!("{} {}", knob.name, knob.settings[pick].says))
            .collect();
        if !ends.is_empty() {
            remarks.push(format!(
                "At the end of what was tried: {}. A wider choice may find a better system.",
                in_a_row(&ends)
            ));
        }
    }
    let growth = growth_words(sized);
    if !growth.is_empty() {
        remarks.push(growth);
    }
    if let Some(why) = &study.costs_unknown {
        remarks.push(format!(
            "The design asks for the least cost of all years (money.cheapest_by), which cannot be said: {why}. The cost of the \
             purchase list was made least instead."
        ));
    }
    let without: Vec<String> = sized
        .design
        .system
        .sites
        .iter()
        .filter(|site| site.structure_price.is_none())
        .map(|site| format!("\"{}\"", site.plane))
        .collect();
    if !without.is_empty() {
        remarks.push(format!(
            "Racks and rails of {} {} on no list and in no sum, and systems with more modules need more of them: \
             structure_price of a plane says what they cost for a module.",
            if without.len() == 1 { "plane" } else { "planes" },
            format_args!("{} are", in_a_row(&without)),
        ));
    }
    let objective = match study.ranking {
        Ranking::AllYears => {
            "Cost is that of all years in today's money: the purchase list, wire, raceway and breakers included, and bills, fuel, \
             upkeep and what is bought again; the budget is held against the purchase list"
        }
        Ranking::Cost => "Cost is that of the whole purchase list, wire, raceway and breakers included",
        Ranking::Size(_) => "The purchase list",
    };
    let mut missing = Vec::new();
    if study.unpriced_alike > 0 {
        let items = plural(study.unpriced_alike, "item that is", "items that are");
        missing.push(format!("{items} the same in every system"));
    }
    if !study.unpriced_small.is_empty() {
        let names: Vec<String> = study.unpriced_small.iter().take(4).map(ToString::to_string).collect();
        let more = study.unpriced_small.len() - names.len();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        missing.push(format!("small things that differ between systems ({}{more})", names.join(", ")));
    }
    if missing.is_empty() {
        remarks.push(format!("{objective}; every line has a price."));
    } else {
        remarks.push(format!("{objective}. Without a price, and so in no sum: {}.", in_a_row(&missing)));
    }
    if !study.open.is_empty() {
        remarks.push(format!(
            "For every system alike these rules lack a fact and are not passed: {} (see check).",
            study.open.join(", ")
        ));
    }
    remarks
}

/// Why nothing was searched: what is wrong and what to do.
pub fn refusal(refusal: &Refusal) -> (String, String) {
    match refusal {
        Refusal::Choice { says, help, .. } => (says.clone(), help.clone()),
        Refusal::Nothing => (
            "there is nothing to vary: the design has neither a bank nor a string".into(),
            "draw a system first, or name what may vary under [[choice]]".into(),
        ),
        Refusal::TooMany { systems, knobs } => {
            let widest: Vec<String> = knobs.iter().map(|(name, n)| format!("{name} {n}")).collect();
            (
                format!("{} systems are more than the {} a search takes on: {}", fixed(*systems as f64, 0), fixed(size::LARGEST as f64, 0), widest.join(" × ")),
                "narrow it: raise step or lower to in the widest choice, search, then look closely around what was found".into(),
            )
        }
        Refusal::NoYear(why) => {
            let (spans, _) = crate::answers::cannot(why);
            let text: String = spans.iter().map(|span| span.text.as_str()).collect();
            (
                format!(
                    "the search begins from the present design, and its year cannot be said. {}",
                    begun(&text)
                ),
                "run year first".into(),
            )
        }
    }
}

/// Every table of the answer that has rows, in order.
pub fn tables(sized: &Sized<'_>) -> Vec<Table> {
    let all = [systems, steps, what_if, rejected, stages, given_up, ahead];
    all.into_iter().map(|table| table(sized)).filter(|table| !table.rows.is_empty()).collect()
}

/// Of systems that have no number one in so many is drawn.
fn drawn_every(study: &SizeStudy) -> usize {
    study.counts.examined.div_ceil(MOST_DRAWN).max(1)
}

/// The picture: cost against hardship of every system with its years.
pub fn picture(sized: &Sized<'_>, form: Form) -> Option<Drawing> {
    let study = sized.study;
    let listed = listed(study);
    let across = |bulk: &size::Bulk, outcome: &Outcome| match (&study.ranking, outcome.life) {
        (Ranking::Size(_), _) => bulk.battery_wh / 1000.0,
        (Ranking::AllYears, Some(life)) => life.units(),
        (Ranking::Cost | Ranking::AllYears, _) => bulk.cost.units(),
    };
    let mut dots: Vec<Dot> = Vec::new();
    let every = drawn_every(study);
    let mut others = 0;
    for (at, candidate) in study.candidates.iter().enumerate() {
        let (Some(bulk), Some(outcome)) = (candidate.bulk(), candidate.outcome()) else { continue };
        let number = listed.iter().position(|l| *l == at).map(|k| k + 1);
        let kind = match number {
            Some(number) if study.best == Some(at) => DotKind::Best(number, study.front.contains(&at)),
            Some(number) if study.front.contains(&at) => DotKind::Front(number),
            _ => DotKind::Other,
        };
        if matches!(kind, DotKind::Other) {
            others += 1;
            if (others - 1) % every != 0 {
                continue;
            }
        }
        let cost = match study.ranking {
            // A sum that leaves out what differs most is no cost.
            Ranking::Size(_) => String::new(),
            Ranking::Cost | Ranking::AllYears => format!("{}, ", sized.money(bulk.cost)),
        };
        let says = format!("{}: {cost}{}", sized.settings(at), suffers(sized, outcome));
        dots.push(Dot { across: across(bulk, outcome), up: scaled(study.scale, outcome), says, kind });
    }
    if dots.len() < 2 {
        return None;
    }
    let (bulk, outcome) = &study.present;
    let says = format!("as drawn: {}, {}", sized.money(bulk.cost), suffers(sized, outcome));
    dots.push(Dot {
        across: across(bulk, outcome),
        up: scaled(study.scale, outcome),
        says,
        kind: DotKind::Present,
    });
    let up = format!("{} in the middling year", hardship(sized));
    let currency = sized.design.system.currency.code();
    let across = match study.ranking {
        Ranking::Cost => format!("cost, {currency}"),
        Ranking::AllYears => format!("cost over {} in today's money, {currency}", sized.years_looked_at()),
        Ranking::Size(_) => "batteries, kWh".into(),
    };
    Some(trade_off(&dots, &across, &up, form))
}

/// The measure of the front as an axis says it.
fn hardship(sized: &Sized<'_>) -> String {
    match sized.study.scale {
        Scale::BackupHours => format!("hours {}", sized.backup_name()),
        Scale::DarkHours => "dark hours".into(),
        Scale::MissingEnergy => "kWh missing".into(),
    }
}

/// What the picture shows, for those who cannot see it.
pub fn picture_words(sized: &Sized<'_>) -> (String, String) {
    (
        format!("{}: cost against {}", QUESTIONS[3].trim_end_matches('?'), hardship(sized)),
        format!(
            "{} that can be built and was walked through all years. Black squares joined by a line are beaten by none in both; \
             the numbers are those of the table. The large filled square is the one that {}, the open one is the design as \
             drawn.",
            match drawn_every(sized.study) {
                1 => "Each square is a system".to_string(),
                every => format!("Each square is a system, one in {every} of those without a number,"),
            },
            match sized.study.ranking {
                Ranking::Size(_) => "is the smallest that keeps the promise",
                _ => best_words(&sized.study.ranking),
            }
        ),
    )
}
