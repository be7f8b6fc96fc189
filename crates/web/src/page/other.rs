//! Pages of the questions that have no live page yet: the answer, and the tables behind it.

use super::Asked;
use super::parts::{Links, picture, spans};
use maud::{Markup, PreEscaped, html};
use output::answers::Answer;
use output::drawing::{Form, svg};
use output::table::Table;
use output::table::html::linked;
use output::{book, sheets, sheets_wiring, sky};
use study::Study;

pub(crate) fn main(asked: &Asked<'_>, answer: &Answer, links: &Links) -> Markup {
    let study = &asked.shown().study;
    let tables = tables(asked, answer.question, study);
    html! {
        h1 { (answer.title) }
        p #answer .answer data-part { (spans(&answer.sentence, links)) }
        @match answer.question {
            3 => { div #pictures data-part { (sky_pictures(study)) } },
            7 => { div #pictures data-part { (one_line(study)) } },
            _ => {},
        }
        div #tables data-part {
            @for table in &tables { (linked(table, &|figure| Some(links.why(figure)))) }
        }
    }
}

/// The pictures of the sky, each with its numbers folded behind it.
fn sky_pictures(study: &Study) -> Markup {
    let (wide, phone) = (sky::pictures(study, Form::Wide), sky::pictures(study, Form::Phone));
    html! {
        @for (wide, phone) in wide.iter().zip(&phone) {
            h2 { (wide.title) }
            p.cap { (wide.describes) }
            (picture(&wide.id, &wide.title, &wide.describes, &wide.drawing, &phone.drawing))
            details.days {
                summary { "this picture as a table" }
                (output::table::html(&wide.table))
            }
        }
    }
}

/// The one-line diagram in one form: it is read by tracing lines, so a narrow sheet scrolls.
fn one_line(study: &Study) -> Markup {
    let title = "The one-line diagram";
    let describes =
        "What is connected to what, with each circuit's identifier; the tables below have the same circuits.";
    html! {
        h2 { (title) }
        p.cap { (describes) }
        div.sheet {
            div.wide tabindex="0" role="region" aria-label=(title) {
                (PreEscaped(svg::inline(&book::one_line_picture(study), "one-line", title, describes)))
            }
        }
    }
}

fn tables(asked: &Asked<'_>, question: u8, study: &Study) -> Vec<Table> {
    let tables = match question {
        1 => vec![sheets::questions(study, &asked.shown().findings)],
        2 => vec![sheets::loads(study)],
        3 => [
            Some(sky::bearings(study)),
            sky::rows(study),
            sky::best_planes(study),
            study::look_at_study(study).ok().map(|look| sky::weather_table(&look, study.design.system.units)),
        ]
        .into_iter()
        .flatten()
        .collect(),
        4 => vec![sheets::equipment(study)],
        6 => vec![sheets::strings(study)],
        7 => [
            Some(sheets::findings(study, &asked.shown().findings)),
            sheets::circuits(study),
            sheets::raceways(study),
            sheets_wiring::lock_out(study),
            sheets_wiring::bonds(study),
        ]
        .into_iter()
        .flatten()
        .collect(),
        8 => vec![sheets::bill(study)],
        _ => Vec::new(),
    };
    tables.into_iter().filter(|table| !table.rows.is_empty()).collect()
}
