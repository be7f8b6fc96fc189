//! Question 4: what the search found, once the owner asked for it.

use super::parts::{Links, picture, spans};
use super::{Asked, token};
use crate::workbook::{Progress, Standing};
use maud::{Markup, html};
use output::drawing::Form;
use output::size::{self as shown, Sized};
use size::{Finished, SizeStudy, Stage};

pub(super) fn found(asked: &Asked<'_>, links: &Links) -> Markup {
    let stored = asked.shown();
    html! {
        h2 { "The search" }
        @match asked.workbook.searched(stored) {
            Standing::NotAsked => {
                p.cap { "Walks systems of the kinds the design allows by rising cost and holds each against the promise, year by year. It takes from seconds to minutes, and the page goes on meanwhile." }
                (ask(asked, "", "search for the first that keeps the promise"))
            },
            Standing::Running(progress) => { (running(asked, progress)) },
            Standing::Over(Err((says, help))) => { div.notice.bad { p { (says) "." } p { (help) "." } } },
            Standing::Over(Ok(study)) => { (over(asked, links, &study)) },
        }
    }
}

fn ask(asked: &Asked<'_>, what: &str, words: &str) -> Markup {
    html! {
        form.pin method="post" action="/search" {
            (token(asked))
            input type="hidden" name="from" value="4";
            input type="hidden" name="what" value=(what);
            button.main[what.is_empty()] disabled[asked.tried.sheet.trouble.is_some()] { (words) }
        }
    }
}

fn running(asked: &Asked<'_>, progress: Progress) -> Markup {
    let does = match progress.stage {
        Stage::Rules => "systems held against the rules",
        Stage::Years => "systems walked through their years",
    };
    html! {
        p #search-state role="status" {
            @if progress.stopping { "Stopping; what was found so far is kept." }
            @else if progress.of == 0 { "The search has begun." }
            @else { (progress.done) " of " (progress.of) " " (does) "." }
        }
        @if progress.of > 0 { progress aria-labelledby="search-state" max=(progress.of) value=(progress.done) {} }
        @if !progress.stopping { (ask(asked, "stop", "stop here and show what was found so far")) }
        noscript { p { a href="/4" { "see how far it is" } } }
    }
}

/// What the search answers, once it is over.
pub(super) fn answered(asked: &Asked<'_>, links: &Links) -> Option<Markup> {
    let stored = asked.shown();
    let Standing::Over(Ok(study)) = asked.workbook.searched(stored) else { return None };
    let sized = Sized { design: stored.design(), study: &study, odds: None, supposed: &[] };
    Some(html! { p.answer { (spans(&shown::sentence(&sized), links)) } })
}

fn over(asked: &Asked<'_>, links: &Links, study: &SizeStudy) -> Markup {
    let sized = Sized { design: asked.shown().design(), study, odds: None, supposed: &[] };
    let (title, describes) = shown::picture_words(&sized);
    let pictures = shown::picture(&sized, Form::Wide).zip(shown::picture(&sized, Form::Phone));
    html! {
        @if study.finished == Finished::Stopped { (ask(asked, "", "search again, to the end")) }
        @if let Some((wide, phone)) = pictures {
            h2 { (title) }
            p.cap { (describes) }
            div.picks { (picture("size-picture", &title, &describes, &wide, &phone)) }
        }
        (picks(asked, &sized))
        @if let Some((wide, phone)) = shown::budget(&sized, Form::Wide).zip(shown::budget(&sized, Form::Phone)) {
            h2 { (shown::BUDGET.0) }
            p.cap { (shown::BUDGET.1) }
            (picture("stages-picture", shown::BUDGET.0, shown::BUDGET.1, &wide, &phone))
        }
        @for table in shown::tables(&sized) { (links.table(&table)) }
        @for remark in shown::remarks(&sized) { p.cap { (remark) } }
    }
}

/// What each stage of growth asks for, on the page of the purchase; the search of page 4 finds it.
pub(super) fn budget(asked: &Asked<'_>) -> Markup {
    let stored = asked.shown();
    if stored.design().system.stages.is_empty() {
        return html! {};
    }
    let Standing::Over(Ok(study)) = asked.workbook.searched(stored) else {
        return html! {
            h2 { (shown::BUDGET.0) }
            p.cap { "It is said once the search of " a href="/4" { "question 4" } " was run." }
        };
    };
    let sized = Sized { design: stored.design(), study: &study, odds: None, supposed: &[] };
    let pictures = shown::budget(&sized, Form::Wide).zip(shown::budget(&sized, Form::Phone));
    html! {
        @if let Some((wide, phone)) = pictures {
            h2 { (shown::BUDGET.0) }
            p.cap { (shown::BUDGET.1) }
            (picture("stages-picture", shown::BUDGET.0, shown::BUDGET.1, &wide, &phone))
            (Links::of(asked.tried).table(&shown::stages(&sized)))
        }
    }
}

/// Any system that has a number can be taken; a touch on its square in the picture picks it too.
fn picks(asked: &Asked<'_>, sized: &Sized<'_>) -> Markup {
    let study = sized.study;
    let listed = shown::listed(study);
    let currency = sized.design.system.currency;
    let priced = !matches!(study.ranking, size::Ranking::Size(_));
    let chosen = study.best.or_else(|| listed.first().copied());
    html! {
        @if !listed.is_empty() {
            form #take method="post" action="/take" {
                (token(asked))
                input type="hidden" name="from" value="4";
                fieldset {
                    legend { "Take one of them" }
                    div.ticks {
                        @for (k, system) in listed.iter().enumerate() {
                            label {
                                input type="radio" name="system" id={ "pick-" (k + 1) } value=(system) checked[chosen == Some(*system)];
                                span {
                                    b { (k + 1) } " " (sized.settings(*system))
                                    @if let Some(bulk) = priced.then(|| study.candidates.get(*system)).flatten().and_then(size::Candidate::bulk) { ", " (bulk.cost.show(currency)) }
                                    @if study.best == Some(*system) { " · " (shown::best_words(&study.ranking)) }
                                    @if study.present_at == Some(*system) { " · as drawn" }
                                }
                            }
                        }
                    }
                }
                @if study.unanswered.is_some() { p.t-unknown { "Whether any of them may be built is not settled: facts are missing on which a danger or breach hangs. Page 1 lists them." } }
                button.main disabled[asked.tried.sheet.trouble.is_some()] { "write this system to the file" }
            }
        }
    }
}
