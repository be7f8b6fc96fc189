//! The design as a file: copies, comparisons, and what can be taken away from here.

use super::{Asked, shell, token};
use crate::page::parts::{Links, encoded};
use crate::workbook::{Answered, Difference};
use maud::{Markup, html};
use output::answers::answers;
use output::book::glued;

/// What the page shows beside its forms.
pub(crate) enum Shown<'a> {
    /// Nothing more.
    Nothing,
    /// Another design beside this one.
    Beside(&'a str, &'a Answered, Vec<Difference>),
    /// Something was refused.
    Refused(&'a str),
    /// A copy was written.
    Written(&'a str),
}

pub(crate) fn files(asked: &Asked<'_>, shown: &Shown<'_>) -> String {
    let stored = asked.shown();
    let all = answers(&stored.study, &stored.findings);
    let links = Links::of(asked.tried);
    let neighbours = asked.bench.neighbours();
    let name = asked.workbook.file_name();
    let main = html! {
        h1 { "Files" }
        p.answer { "The design is the file " b { (name) } " and nothing else. Whatever edits it, this page follows." }
        @match shown {
            Shown::Refused(says) => { div.notice.bad role="alert" { h2 { "Nothing was written" } p { (says) } } },
            Shown::Written(name) => { div.notice role="status" { p { "Written: " (name) "." } } },
            Shown::Beside(..) | Shown::Nothing => {},
        }
        h2 { "Take away" }
        ul.plain {
            li { a href="/export/book.html" download { "the build book" } span.soft { " · a page that prints" } }
            @if typeset::BUILT_IN { li { a href="/export/book.pdf" download { "the build book, typeset" } span.soft { " · PDF" } } }
            li { a href="/export/bill.csv" download { "the purchase list" } span.soft { " · comma-separated values" } }
            li { a href="/export/circuits.csv" download { "the circuit schedule" } span.soft { " · comma-separated values" } }
            li { a href="/export/loads.csv" download { "the list of loads" } span.soft { " · comma-separated values" } }
        }
        @if !typeset::BUILT_IN { p.soft { "This build of the program sets no PDF; a browser prints the build book to one." } }
        h2 { "Save a copy" }
        form.fields method="post" action="/copy" data-whole {
            (token(asked))
            div.field {
                label for="copy-name" { "Name of the copy" }
                input #copy-name type="text" name="name" value=(super::begin::free_name(asked.bench, name.trim_end_matches(".toml"))) required;
                div.hint { "In the same folder; it ends in .toml." }
            }
            p.deeds { button { "save the copy" } }
        }
        h2 { "Beside another design" }
        @if neighbours.is_empty() {
            p.soft { "There is no other design in this folder. Save a copy, change one of the two, and compare them here." }
        } @else {
            ul.plain {
                @for other in &neighbours { li { a href={ "/compare?with=" (encoded(other, false)) } { "compare with " (other) } } }
            }
        }
        @if let Shown::Beside(other, beside, differences) = shown { (side_by_side(stored, &name, other, beside, differences)) }
        h2 { "Another design" }
        p { a href="/begin" { "open or begin another design" } }
    };
    shell(asked, "Files", &all, &links, main, html! {})
}

fn side_by_side(
    one: &Answered,
    name: &str,
    other: &str,
    beside: &Answered,
    differences: &[Difference],
) -> Markup {
    let (ours, theirs) = (answers(&one.study, &one.findings), answers(&beside.study, &beside.findings));
    html! {
        section #beside {
            h2 { (name) " beside " (other) }
            div.sheet { div.wide tabindex="0" role="region" aria-label="The answers of both" {
                table.both {
                    thead { tr { th scope="col" { "question" } th scope="col" { (name) } th scope="col" { (other) } } }
                    tbody {
                        @for (a, b) in ours.iter().zip(&theirs) {
                            tr {
                                th scope="row" { (a.question) " " (a.title) }
                                td { (glued(&a.short)) }
                                td { @if a.short == b.short { span.soft { "the same" } } @else { b { (glued(&b.short)) } } }
                            }
                        }
                    }
                }
            } }
            @if !beside.design().problems.is_empty() {
                p.beside { (other) " has places that were not understood; its answers are without them." }
            }
            h3 { "What differs in what they say" }
            @if differences.is_empty() { p { "Nothing: both say the same." } } @else {
                div.sheet { div.wide tabindex="0" role="region" aria-label="What differs" {
                    table.both {
                        thead { tr { th scope="col" { "thing" } th scope="col" { "field" } th scope="col" { (name) } th scope="col" { (other) } } }
                        tbody {
                            @for one in differences {
                                tr {
                                    th scope="row" { (one.thing) }
                                    td { @if one.field.is_empty() { span.soft { "all of it" } } @else { (one.field) } }
                                    td { (one.one.as_deref().unwrap_or("—")) }
                                    td { (one.other.as_deref().unwrap_or("—")) }
                                }
                            }
                        }
                    }
                } }
            }
        }
    }
}
