//! What the minutes of the year bring, on the pages it concerns. The walk takes longer than everything else on a page
//! together, so it is made for who unfolds it: a script asks for this part alone, without scripts a link shows it.

use super::Asked;
use super::parts::Links;
use maud::{DOCTYPE, Markup, html};
use output::sheets;
use output::table::Table;
use output::table::html::linked;

/// Name of the part, and of the value in an address that asks for it.
pub(crate) const MINUTES: &str = "minutes";

type Made = fn(&study::Study) -> Table;

/// The table and its caption, for the pages that have one.
fn of_page(number: u8) -> Option<(Made, &'static str)> {
    match number {
        5 => Some((sheets::within_hour, sheets::WITHIN_HOUR)),
        6 => Some((sheets::busiest_minutes, sheets::BUSIEST_MINUTES)),
        _ => None,
    }
}

/// The part as it is folded away; nothing where there is no year to walk.
pub(super) fn folded(asked: &Asked<'_>, links: &Links) -> Markup {
    let Some((_, caption)) = of_page(asked.number).filter(|_| asked.shown().study.year.is_ok()) else {
        return html! {};
    };
    let sign = if links.query().is_empty() { "?" } else { "&" };
    html! {
        details.days #minutes-fold open[asked.minutes] {
            summary { (caption) }
            @if asked.minutes { (walked(asked, links)) } @else {
                div #minutes data-part data-later {
                    p.soft {
                        a href={ "/" (asked.number) (links.query()) (sign) (MINUTES) "=shown#minutes" } { "Walk the minutes of the year" }
                        ", half a million of them."
                    }
                }
            }
        }
    }
}

fn walked(asked: &Asked<'_>, links: &Links) -> Markup {
    let made = of_page(asked.number).map(|(table, _)| table(&asked.shown().study));
    html! {
        div #minutes data-part {
            @match made.filter(|table| !table.rows.is_empty()) {
                Some(table) => { (linked(&table, &|figure| Some(links.why(figure)))) },
                None => { p.soft { "The minutes of this year cannot be walked." } },
            }
        }
    }
}

/// Only this part.
pub(crate) fn only_minutes(asked: &Asked<'_>) -> String {
    let links = Links::of(asked.tried);
    html! { (DOCTYPE) html { body { (walked(asked, &links)) } } }.into_string()
}
