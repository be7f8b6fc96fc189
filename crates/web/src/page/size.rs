//! Question 4: what the search found, once the owner asked for it.

use super::parts::{Links, picture, spans};
use super::{Asked, token};
use maud::{Markup, html};
use output::drawing::Form;
use output::size::{self as shown, Sized};
use output::table::html::linked;

pub(super) fn found(asked: &Asked<'_>, links: &Links) -> Markup {
    let stored = asked.shown();
    let off = asked.tried.sheet.trouble.is_some();
    let ask = |address: &str, words: &str| {
        html! {
            form.pin method="post" action=(address) {
                (token(asked))
                input type="hidden" name="from" value="4";
                button.main disabled[off] { (words) }
            }
        }
    };
    match asked.workbook.searched(stored) {
        None => html! {
            h2 { "The search" }
            p.cap { "Walks systems of the kinds the design allows by rising cost and holds each against the promise, year by year. It takes from seconds to minutes." }
            (ask("/search", "search for the first that keeps the promise"))
        },
        Some(Err((says, help))) => html! {
            h2 { "The search" }
            div.notice.bad { p { (says) "." } p { (help) "." } }
        },
        Some(Ok(study)) => {
            let sized = Sized { design: stored.design(), study: &study, odds: None, supposed: &[] };
            let (title, describes) = shown::picture_words(&sized);
            let pictures = shown::picture(&sized, Form::Wide).zip(shown::picture(&sized, Form::Phone));
            html! {
                h2 { "The search" }
                p.found { (spans(&shown::sentence(&sized), links)) }
                @if study.best.is_some() && study.best != study.present_at { (ask("/take", "write this system to the file")) }
                @if let Some((wide, phone)) = pictures {
                    h2 { (title) }
                    p.cap { (describes) }
                    (picture("size-picture", &title, &describes, &wide, &phone))
                }
                @for table in [shown::systems(&sized), shown::steps(&sized), shown::rejected(&sized)] {
                    @if !table.rows.is_empty() { (linked(&table, &|figure| Some(links.why(figure)))) }
                }
                @for remark in shown::remarks(&sized) { p.cap { (remark) } }
            }
        }
    }
}
