//! Pages of the questions: the answer, its picture, and the tables behind it.

use super::parts::{Links, sentence, sheet, spans};
use super::{Asked, pictures, size, wires, year};
use maud::{Markup, html};
use output::answers::Answer;
use output::table::Table;
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
        @if PINNED_ON.contains(&answer.question) { div #pinned .change data-part { (year::pinned(asked)) } }
        @if answer.question == 4 { div #found data-part { (size::found(asked, links)) } }
        div #tables data-part {
            @if answer.question == 7 { (schedules(&tables, links)) } @else {
                @for table in &tables { (sheet(asked, table, links)) }
            }
            @if answer.question == 6 { (super::later::folded(asked, links)) }
            @if answer.question == 3 { (remarks(&asked.shown().sky().remarks)) }
        }
    }
}

/// Pages beside that of the year whose answers follow what is bought and moved, so that they are seen against a pinned state.
const PINNED_ON: [u8; 4] = [4, 6, 7, 8];

/// Tables of the wiring that are read first; the others stand behind their names, so that the page can be looked over.
const READ_FIRST: [&str; 2] = ["circuits", "lock-out"];

fn schedules(tables: &[Table], links: &Links) -> Markup {
    let is_enclosure = |table: &&Table| table.id.starts_with("enclosure-");
    let enclosures: Vec<&Table> = tables.iter().filter(is_enclosure).collect();
    html! {
        @for table in tables.iter().filter(|table| !is_enclosure(table)) {
            @if READ_FIRST.contains(&table.id.as_str()) { (links.table(table)) } @else {
                details.days.folded id={ "fold-" (table.id) } {
                    summary { (table.caption) }
                    (links.table(table))
                }
            }
        }
        @if !enclosures.is_empty() {
            h2 { "Before anything is opened" }
            p.cap { "One list for each piece of equipment, in the order in which it is done." }
            @for table in enclosures {
                details.days.folded id={ "fold-" (table.id) } {
                    summary { (table.caption) }
                    (links.table(table))
                }
            }
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
