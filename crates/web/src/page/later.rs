//! What a page leaves out until it is unfolded, because it takes longer than everything else on the page together: a script
//! asks for this part alone, without scripts a link shows it.

use super::Asked;
use super::parts::Links;
use maud::{DOCTYPE, Markup, html};
use output::sheets;
use output::table::Table;

/// A part that comes later.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Later {
    /// What the minutes of the year bring: half a million steps.
    Minutes,
    /// The years while a unit is out of order: all of them anew for each.
    WithoutAUnit,
}

impl Later {
    /// The part of a name.
    pub(crate) fn of(name: &str) -> Option<Later> {
        [Later::Minutes, Later::WithoutAUnit].into_iter().find(|later| later.name() == name)
    }

    fn name(self) -> &'static str {
        match self {
            Later::Minutes => "minutes",
            Later::WithoutAUnit => "without-a-unit",
        }
    }

    fn caption(self, number: u8) -> &'static str {
        match self {
            Later::Minutes if number == 6 => sheets::BUSIEST_MINUTES,
            Later::Minutes => sheets::WITHIN_HOUR,
            Later::WithoutAUnit => sheets::WITHOUT_A_UNIT,
        }
    }

    /// What is to be done for it, in words.
    fn deed(self) -> &'static str {
        match self {
            Later::Minutes => "Walk the minutes of the year, half a million of them",
            Later::WithoutAUnit => "Walk all years anew without each unit",
        }
    }

    fn table(self, asked: &Asked<'_>) -> Table {
        let study = &asked.shown().study;
        match self {
            Later::Minutes if asked.number == 6 => sheets::busiest_minutes(study),
            Later::Minutes => sheets::within_hour(study),
            Later::WithoutAUnit => {
                let whole = asked.workbook.whole(asked.shown());
                whole
                    .year
                    .as_ref()
                    .map_or_else(|_| Table::default(), |year| sheets::without_a_unit(whole, year))
            }
        }
    }
}

/// What a page has of it, folded away; nothing where there is no year to walk.
pub(super) fn folded(asked: &Asked<'_>, links: &Links) -> Markup {
    let study = &asked.shown().study;
    let here: &[Later] = match asked.number {
        _ if study.year.is_err() => &[],
        5 if study.may_lose_a_unit() => &[Later::WithoutAUnit, Later::Minutes],
        5 | 6 => &[Later::Minutes],
        _ => &[],
    };
    let sign = if links.query().is_empty() { "?" } else { "&" };
    html! {
        @for later in here.iter().copied() {
            @let name = later.name();
            details.days id={ (name) "-fold" } open[asked.later == Some(later)] {
                summary { (later.caption(asked.number)) }
                @if asked.later == Some(later) { (made(asked, later, links)) } @else {
                    div id=(name) data-part data-later {
                        p.soft { a href={ "/" (asked.number) (links.query()) (sign) "later=" (name) "#" (name) } { (later.deed()) } "." }
                    }
                }
            }
        }
    }
}

fn made(asked: &Asked<'_>, later: Later, links: &Links) -> Markup {
    let table = later.table(asked);
    html! {
        div id=(later.name()) data-part {
            @if table.rows.is_empty() { p.soft { "That cannot be walked for this design." } }
            @else { (links.table(&table)) }
        }
    }
}

/// Only such a part.
pub(crate) fn only_later(asked: &Asked<'_>, later: Later) -> String {
    let links = Links::of(asked.tried);
    html! { (DOCTYPE) html { body { (made(asked, later, &links)) } } }.into_string()
}
