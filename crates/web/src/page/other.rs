//! Pages of the questions that have no live page yet: the answer, and the tables behind it.

use super::Asked;
use super::parts::{Links, spans};
use maud::{Markup, html};
use output::answers::Answer;
use output::sheets;
use output::table::Table;
use output::table::html::linked;
use study::Study;

pub(crate) fn main(asked: &Asked<'_>, answer: &Answer, links: &Links) -> Markup {
    let study = &asked.shown().study;
    let tables = tables(asked, answer.question, study);
    html! {
        h1 { (answer.title) }
        p #answer .answer data-part { (spans(&answer.sentence, links)) }
        @if !tables.is_empty() { p.cap { "This page comes with the workbook; until then it shows what is computed." } }
        div #tables data-part {
            @for table in &tables { (linked(table, &|figure| Some(links.why(figure)))) }
        }
    }
}

fn tables(asked: &Asked<'_>, question: u8, study: &Study) -> Vec<Table> {
    let tables = match question {
        1 => vec![sheets::questions(study, &asked.shown().findings)],
        2 => vec![sheets::loads(study)],
        4 => vec![sheets::equipment(study)],
        6 => vec![sheets::strings(study)],
        7 => [
            Some(sheets::findings(study, &asked.shown().findings)),
            sheets::circuits(study),
            sheets::raceways(study),
        ]
        .into_iter()
        .flatten()
        .collect(),
        8 => vec![sheets::bill(study)],
        _ => Vec::new(),
    };
    tables.into_iter().filter(|table| !table.rows.is_empty()).collect()
}
