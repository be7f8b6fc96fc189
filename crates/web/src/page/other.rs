//! Pages of the questions: the answer, its picture, and the tables behind it.

use super::parts::{Links, sentence, spans};
use super::{Asked, pictures, size, wires};
use maud::{Markup, html};
use output::answers::Answer;
use output::table::Table;
use output::table::html::linked;
use output::{sheets, sheets_wiring};
use study::Study;

pub(crate) fn main(asked: &Asked<'_>, answer: &Answer, links: &Links) -> Markup {
    let study = &asked.shown().study;
    let tables = tables(asked, answer.question, study);
    html! {
        h1 { (answer.title) }
        div #answer data-part {
            @match (answer.question == 4 && asked.tried.sheet.trouble.is_none()).then(|| size::answered(asked, links)).flatten() {
                Some(found) => { (found) p { (spans(&answer.sentence, links)) } },
                None => { (sentence(asked, answer, links)) },
            }
        }
        div #pictures data-part { (pictures::pictures(asked, answer.question)) }
        @if answer.question == 7 { (wires::try_wires(asked)) }
        @if answer.question == 4 { div #found data-part { (size::found(asked, links)) } }
        div #tables data-part {
            @for table in &tables { (linked(table, &|figure| Some(links.why(figure)))) }
            @if answer.question == 6 { (super::later::folded(asked, links)) }
            @if answer.question == 3 { (remarks(&asked.shown().sky().remarks)) }
        }
    }
}

/// What is to be known of the weather years, as the book says it.
fn remarks(lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h2 { "What these weather years are" }
            ul { @for line in lines { li { (line) } } }
        }
    }
}

fn tables(asked: &Asked<'_>, question: u8, study: &Study) -> Vec<Table> {
    let tables = match question {
        1 => vec![sheets::questions(study, &asked.shown().findings)],
        2 => output::demand::all_tables(study),
        3 => asked.shown().sky().tables.clone(),
        4 => vec![sheets::equipment(study)],
        6 => vec![sheets::strings(study), sheets::module_curves(study), sheets::legs(study)],
        7 => {
            let mut tables = vec![sheets::findings(study, &asked.shown().findings)];
            tables.extend(sheets_wiring::tables(study));
            tables
        }
        8 => {
            let mut tables = output::money::all_tables(study);
            tables.push(sheets::bill(study));
            tables
        }
        _ => Vec::new(),
    };
    tables.into_iter().filter(|table| !table.rows.is_empty()).collect()
}
