//! Notes in the margin: findings with their remedies, what was not understood, what was assumed.

use super::parts::Links;
use super::things::{field_address, finding_id};
use super::{Asked, token};
use crate::words::{capital, spaced};
use crate::workbook::{Answered, Offer, Place, line_of, place_of};
use design::catalogue::TABLES;
use maud::{Markup, html};
use output::answers::question_of;
use output::book::glued;
use output::say::plural;
use quantity::{FieldPath, Origin, Reason};
use rules::{Finding, Remedy, Severity};

pub(crate) fn margin(asked: &Asked<'_>, links: &Links) -> Markup {
    let shown = asked.shown();
    let (here, elsewhere): (Vec<&Finding>, Vec<&Finding>) =
        shown.findings.iter().partition(|finding| page_of(finding) == asked.number);
    let misread: Vec<Place> =
        shown.design().problems.iter().map(|problem| Place::of(problem, &shown.design().text)).collect();
    // What is only tried is not on disk, and a remedy for it would be written there.
    let offers = if asked.moved().next().is_none() { asked.workbook.offers(shown) } else { Vec::new() };
    let assumed = if asked.number == 5 { assumptions(shown) } else { assumed_of(asked.number, shown) };
    html! {
        div #margin data-part {
            @if asked.tried.sheet.trouble.is_none() {
                @for place in misread.iter().take(6) {
                    div.entry {
                        span.sev.d { "Not understood · line " (place.line) }
                        p { (glued(&place.says)) }
                        @if !place.help.is_empty() { p.soft { (glued(&place.help)) } }
                    }
                }
                @if misread.len() > 6 { div.entry { p { "And " (misread.len() - 6) " more places that were not understood." } } }
            }
            @for finding in &here { (entry(asked, finding, links, &offers)) }
            @if !elsewhere.is_empty() {
                div.entry {
                    span.sev.a { "On other pages" }
                    ul.few {
                        @for (question, words, worst) in tallies(&elsewhere) {
                            li { a.(severity_class(worst)) href={ "/" (question) (links.query()) } { (words) } " on page " (question) }
                        }
                    }
                }
            }
            @for reason in assumed.iter().take(3) { (assumption(asked, reason)) }
            @if assumed.len() > 3 {
                details.entry {
                    summary { span.sev.a { (assumed.len() - 3) " more assumed" } }
                    @for reason in assumed.iter().skip(3) { (assumption(asked, reason)) }
                }
            }
        }
    }
}

/// Findings about one thing, for the page on which it is changed.
pub(super) fn of_thing(asked: &Asked<'_>, path: &str, links: &Links) -> Markup {
    let shown = asked.shown();
    let offers = asked.workbook.offers(shown);
    let inside = |finding: &&Finding| {
        let at = place_of(finding);
        at == path || at.strip_prefix(path).is_some_and(|rest| rest.starts_with('.') && !path.is_empty())
    };
    html! { div #margin { @for finding in shown.findings.iter().filter(inside) { (entry(asked, finding, links, &offers)) } } }
}

/// The page in whose margin a finding stands. What the house may never suffer is held against its year.
pub(super) fn page_of(finding: &Finding) -> u8 {
    let about_the_year = finding.figure.as_ref().is_some_and(|figure| figure.as_str().starts_with("year/"));
    match question_of(finding) {
        _ if about_the_year => 5,
        4 if !about_money(finding) => 5,
        asks => asks,
    }
}

/// Whether it is about what the house may cost, which is no matter of the year.
fn about_money(finding: &Finding) -> bool {
    finding.at.first().is_some_and(|place| place.field.as_str() == "promise.budget")
}

pub(super) fn severity_class(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "d",
        Severity::Breach => "b",
        Severity::Doubt => "q",
        Severity::Note => "a",
    }
}

/// A remedy in words, and once it was studied and holds, the button that takes it, with the lines it changes.
fn remedied(asked: &Asked<'_>, finding: &Finding, remedy: &Remedy, offers: &[Offer]) -> Markup {
    let place = place_of(finding);
    let offer = offers
        .iter()
        .find(|offer| offer.code == finding.code && offer.place == place && offer.says == remedy.says);
    let Some(offer) = offer else { return html! { (glued(&remedy.says)) } };
    html! {
        (glued(&remedy.says))
        details.diff {
            summary { "show the change" }
            pre {
                @for (mark, line) in &offer.lines {
                    span.(match mark { '+' => "plus", '−' => "minus", _ => "same" }) { (mark) " " (line) "\n" }
                }
            }
            form method="post" action="/remedy" {
                (token(asked))
                input type="hidden" name="from" value=(asked.number);
                input type="hidden" name="code" value=(offer.code);
                input type="hidden" name="place" value=(offer.place);
                input type="hidden" name="says" value=(offer.says);
                button disabled[asked.tried.sheet.trouble.is_some()] { "make this change" }
            }
        }
    }
}

/// Words that lead to the form of a field.
fn at(asked: &Asked<'_>, field: &FieldPath, words: &str) -> Markup {
    match field_address(asked.shown().design(), field, asked.number) {
        Some(address) => html! { a.edit href=(address) { (words) } },
        None => html! { (words) },
    }
}

fn entry(asked: &Asked<'_>, finding: &Finding, links: &Links, offers: &[Offer]) -> Markup {
    let shown = asked.shown();
    let place = finding.at.first().and_then(|place| line_of(shown.design(), &place.field));
    let situation = finding.name.replace('-', " ");
    html! {
        div.entry id=(finding_id(finding)) {
            span.sev.(severity_class(finding.severity)) {
                (capital(finding.severity.word()))
                @if finding.undecided.is_some() { ", undecided" }
                " · " (situation)
            }
            p { (glued(&finding.says)) }
            @for more in &finding.more { p.soft { (glued(more)) } }
            @if let Some(gap) = &finding.undecided {
                ul.few { @for missing in &gap.missing {
                    li { "ask " (missing.ask.in_words()) ": " (at(asked, &missing.field, missing.field.as_str())) }
                } }
            }
            @if !finding.remedies.is_empty() {
                ul.remedies { @for remedy in &finding.remedies { li { (remedied(asked, finding, remedy, offers)) } } }
            }
            p.src {
                (finding.code) " · " (finding.clause)
                @if let (Some(line), Some(first)) = (place, finding.at.first()) {
                    " · " (at(asked, &first.field, &format!("line {line}")))
                }
                @if let Some(figure) = finding.figure.as_ref().filter(|f| shown.study.figure(f.as_str()).is_some()) {
                    " · " a.n href=(links.why(figure)) { "its working" }
                }
            }
        }
    }
}

/// Findings of other pages, counted: page, words, worst severity.
fn tallies(findings: &[&Finding]) -> Vec<(u8, String, Severity)> {
    let mut pages: Vec<(u8, Vec<&Finding>)> = Vec::new();
    for finding in findings {
        let question = page_of(finding);
        match pages.iter_mut().find(|(page, _)| *page == question) {
            Some((_, list)) => list.push(finding),
            None => pages.push((question, vec![finding])),
        }
    }
    pages.sort_by_key(|(page, _)| *page);
    let words = |list: &[&Finding]| {
        let count =
            |severity| list.iter().filter(|f| f.severity == severity && f.undecided.is_none()).count();
        let undecided = list.iter().filter(|f| f.undecided.is_some()).count();
        let parts = [
            (count(Severity::Danger), "danger", "dangers"),
            (count(Severity::Breach), "breach", "breaches"),
            (undecided, "undecided", "undecided"),
            (count(Severity::Doubt), "doubt", "doubts"),
            (count(Severity::Note), "note", "notes"),
        ];
        let said: Vec<String> =
            parts.iter().filter(|(n, _, _)| *n > 0).map(|(n, one, many)| plural(*n, one, many)).collect();
        said.join(", ")
    };
    pages
        .into_iter()
        .map(|(page, list)| {
            let worst = list.iter().map(|f| f.severity).min().unwrap_or(Severity::Note);
            (page, words(&list), worst)
        })
        .collect()
}

/// Assumptions in the tables of a question.
fn assumed_of(number: u8, shown: &Answered) -> Vec<Reason> {
    let of_page = |field: &str| {
        let key = field.split('.').next().unwrap_or_default();
        TABLES.iter().any(|table| table.key == key && table.question == number)
    };
    let assumed = shown.design().assumptions();
    let of_page: Vec<_> = assumed.iter().filter(|one| of_page(one.field.as_str())).collect();
    let mut found: Vec<Reason> = Vec::new();
    let last = |field: &FieldPath| spaced(field.as_str().rsplit('.').next().unwrap_or_default());
    for one in &of_page {
        let alike =
            |other: &&&design::Assumption| last(&other.field) == last(&one.field) && other.value == one.value;
        let first = of_page.iter().find(alike).is_some_and(|first| first.field == one.field);
        if first {
            let count = of_page.iter().filter(alike).count();
            let places = if count > 1 { format!(" in {count} places") } else { String::new() };
            found.push(Reason {
                field: one.field.clone(),
                because: format!("{} {}{places}: {}", last(&one.field), one.value, one.because).into(),
                moves: one.moves.into(),
                clause: quantity::practice("the catalogue of fields"),
            });
        }
    }
    found
}

/// Assumptions the year rests on.
fn assumptions(shown: &Answered) -> Vec<Reason> {
    let mut found: Vec<Reason> = Vec::new();
    if let Ok(year) = &shown.study.year {
        year.backup_hours.origin.walk(&mut |origin| {
            if let Origin::Assumed(reason) = origin
                && !found.iter().any(|known| known.because == reason.because)
            {
                found.push(reason.clone());
            }
        });
    }
    // Those that move most of this page come first; the order within stays.
    let weight = |reason: &Reason| match &*reason.moves {
        moves if moves.contains("backup") => 0,
        moves if moves.contains("kilowatt") || moves.contains("all energy") => 1,
        _ => 2,
    };
    found.sort_by_key(weight);
    found
}

fn assumption(asked: &Asked<'_>, reason: &Reason) -> Markup {
    html! {
        div.entry {
            span.sev.a { "Assumed" }
            p { (capital(&glued(&reason.because))) "." }
            p.src { "moves " (glued(&reason.moves)) " · " (at(asked, &reason.field, "say it yourself")) }
        }
    }
}
