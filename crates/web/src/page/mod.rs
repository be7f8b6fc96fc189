//! Pages as functions from what was asked to text.

mod begin;
mod day;
mod devices;
mod files;
mod form;
mod later;
mod margin;
mod other;
mod paper;
mod parts;
mod pictures;
mod size;
mod skyline;
mod things;
mod wires;
mod working;
mod year;

pub(crate) use begin::{Begun, DEMOS, begin, called, free_name};
pub(crate) use devices::{code_for_terminal, devices, pair};
pub(crate) use files::{Shown as FilesShown, files};
pub(crate) use form::{Sheet as FormSheet, thing};
pub(crate) use later::{Later, only_later};
pub(crate) use things::edit_address;
pub(crate) use working::why;

use crate::Bench;
use crate::knobs::Knob;
use crate::skyline::Skyline;
use crate::words::capital;
use crate::workbook::{Answered, Clash, KeepError, Tried, Trouble, Workbook};
use maud::{DOCTYPE, Markup, html};
use output::answers::{Answer, answers};
use output::drawing::palette::{self, Faces, Scheme};
use parts::{Links, excerpt};
use std::sync::Arc;

/// Everything a page is made from.
pub(crate) struct Asked<'a> {
    pub(crate) bench: &'a Bench,
    pub(crate) workbook: &'a Workbook,
    pub(crate) tried: &'a Tried,
    pub(crate) number: u8,
    /// Each knob one step further, in their order; `None` while it is not asked for.
    pub(crate) steps: Option<&'a [Option<Arc<Answered>>]>,
    /// What is asked for of that which a page leaves out at first.
    pub(crate) later: Option<Later>,
    pub(crate) refused: Option<&'a KeepError>,
}

impl Asked<'_> {
    fn shown(&self) -> &Answered {
        &self.tried.shown
    }

    fn drawn(&self) -> impl Iterator<Item = &Skyline> {
        self.tried.lines.iter().filter(|line| line.is_moved())
    }

    fn moved(&self) -> impl Iterator<Item = &Knob> {
        self.tried.knobs.iter().filter(|knob| knob.is_moved())
    }
}

/// The style sheet: inks and drawing classes from the palette, the rest from our own file.
pub(crate) fn style(own: &str) -> String {
    let faces = Faces::default();
    format!(
        ":root{{{}--text:{};--fig:{};}}\n@media (prefers-color-scheme:dark){{:root{{{}}}}}\n@media print{{:root{{{}}}}}\n{own}\n{}",
        palette::variables(Scheme::Light),
        faces.text,
        faces.figure,
        palette::variables(Scheme::Dark),
        palette::variables(Scheme::Print),
        palette::page_rules(&faces),
    )
}

/// A whole page.
pub(crate) fn whole(asked: &Asked<'_>) -> String {
    let shown = asked.shown();
    let links = Links::of(asked.tried);
    let all = answers(&shown.study, &shown.findings);
    let Some(answer) = all.get(usize::from(asked.number) - 1) else { return String::new() };
    let inside = match asked.number {
        5 => year::main(asked, answer, &links),
        _ => other::main(asked, answer, &links),
    };
    let inside = html! { (inside) div #things data-part { (things::things(asked)) } };
    shell(asked, answer.title, &all, &links, inside, margin::margin(asked, &links))
}

/// Only what one more step would bring.
pub(crate) fn only_steps(asked: &Asked<'_>) -> String {
    html! { (DOCTYPE) html { body { (year::steps(asked)) } } }.into_string()
}

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) }
            link rel="stylesheet" href="/assets/page.css";
            link rel="icon" href="data:,";
            script type="module" src="/assets/page.js" {}
        }
    }
}

/// A page that is about no design.
pub(crate) fn bare(bench: &Bench, title: &str, main: Markup) -> String {
    let open = bench.workbook();
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(title))
            body {
                a.skip href="#content" { "Skip to the page" }
                p #gone .gone role="alert" hidden { "The workbook program has stopped. This page goes on by itself when the program runs again." }
                div.book.quiet {
                    nav aria-label="The ten questions" {
                        @match &open {
                            Some(book) => { p.name { a href="/5" { "back to " (book.file_name()) } } },
                            None => { p.name { "A workbook for a home's own power" } },
                        }
                        div.spine { ol { @for question in output::answers::QUESTIONS { li { (question) } } } }
                    }
                    main #content { (main) }
                    aside aria-label="Caution" {
                        div #margin {
                            div.entry {
                                span.sev.a { "Caution" }
                                p { "What is planned here carries current that can kill and store energy that can burn. Local codes, licensed people and the makers' manuals decide; this workbook compares what you say with named clauses." }
                            }
                        }
                    }
                }
            }
        }
    }
    .into_string()
}

fn shell(
    asked: &Asked<'_>,
    title: &str,
    all: &[Answer],
    links: &Links,
    main: Markup,
    margin: Markup,
) -> String {
    let system = &asked.shown().design().system;
    let number = asked.number;
    // A design without a title is called after its file.
    let name = if system.title.is_empty() { asked.workbook.file_name() } else { system.title.to_string() };
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(&format!("{name} · {title}")))
            body {
                a.skip href="#content" { "Skip to the answer" }
                p #gone .gone role="alert" hidden {
                    "The workbook program has stopped. This page shows its last answer and goes on by itself when the program runs again."
                }
                div.book {
                    nav aria-label="The ten questions" {
                        p.name { a href="/5" { (name) } }
                        p #rev .rev data-part {
                            @if !system.revision.is_empty() { "Revision " (system.revision) br; }
                            (asked.workbook.file_name())
                        }
                        div #turns .turns data-part { (turns(asked)) }
                        div #spine .spine data-part { (questions(number, all, links)) }
                        details.pick {
                            summary { @if number > 0 { (number) " of 10 · " } "all questions" }
                            div #pick data-part { (questions(number, all, links)) }
                        }
                        p.tools {
                            a href="/files" aria-current=[(number == 0).then_some("page")] { "files" } " "
                            a href="/begin" { "other designs" } " "
                            a href="/devices" { "devices" }
                        }
                    }
                    main #content data-turn=(asked.tried.sheet.turn) {
                        dialog #desk aria-labelledby="desk-head" {}
                        div #notice data-part aria-live="polite" { (notice(asked)) }
                        (main)
                    }
                    aside aria-label="Findings and assumptions" { (margin) }
                }
            }
        }
    }
    .into_string()
}

/// The two buttons that take the last edit back and do it again.
fn turns(asked: &Asked<'_>) -> Markup {
    let sheet = &asked.tried.sheet;
    let off = sheet.trouble.is_some();
    html! {
        @for (what, says, of) in [("back", "take back", &sheet.back), ("again", "do again", &sheet.again)] {
            @if let Some(of) = of {
                form method="post" action="/turn" {
                    (token(asked))
                    input type="hidden" name="from" value=(asked.number);
                    button name="what" value=(what) title=(of) aria-label={ (says) ": " (of) } disabled[off] { (says) }
                }
            }
        }
    }
}

/// The field that only our own forms carry.
pub(crate) fn token(asked: &Asked<'_>) -> Markup {
    html! { input type="hidden" name="token" value=(asked.bench.token()); }
}

fn questions(here: u8, all: &[Answer], links: &Links) -> Markup {
    html! {
        ol {
            @for answer in all {
                li.here[answer.question == here] {
                    a href={ "/" (answer.question) (links.query()) } aria-current=[(answer.question == here).then_some("page")] { (answer.title) }
                    small.open[answer.open] { (answer.short) }
                }
            }
        }
    }
}

/// The same field changed in the file and on the page, with both sides.
pub(crate) fn clash(clashes: &[Clash]) -> Markup {
    html! {
        div.notice.bad {
            h2 { "Changed on both sides" }
            p { "Nothing was written. The file was changed by something else since this page read it, in the same place:" }
            table.both {
                thead { tr { td { } th scope="col" { "this page had read" } th scope="col" { "the file says now" } th scope="col" { "you asked for" } } }
                tbody {
                    @for clash in clashes {
                        tr {
                            th scope="row" { (clash.label) }
                            td { (clash.was) }
                            td { (clash.theirs.as_deref().unwrap_or("nothing of that name")) }
                            td { (clash.ours) }
                        }
                    }
                }
            }
            p { "What you asked for still stands below, now against the file as it is. Keep it again, or leave it." }
        }
    }
}

/// The reason below a heading that already says that nothing was written.
fn said_once(refused: &str) -> String {
    capital(refused.strip_prefix("Nothing was written: ").unwrap_or(refused))
}

/// A page of the workbook for an address at which there is none, with the way back.
pub(crate) fn not_here(bench: &Bench, says: &str) -> String {
    bare(bench, "Not here", html! { h1 { "Not here" } p { (says) } p { a href="/" { "to the workbook" } } })
}

/// What the owner must know before reading on: a text that cannot be read, an edit that was refused or written.
fn notice(asked: &Asked<'_>) -> Markup {
    let name = asked.workbook.file_name();
    html! {
        @match &asked.tried.sheet.trouble {
            Some(Trouble::Unreadable(error)) => div.notice.bad {
                h2 { (name) " cannot be read" }
                p { (error) }
                p { "Below is the last answer. Edits from this page are refused until the file can be read again." }
            },
            Some(Trouble::Unparsed(places)) => div.notice.bad {
                h2 { (name) " cannot be read as it stands" }
                @for place in places.iter().take(4) { (excerpt(place)) }
                @if places.len() > 4 { p { "And " (places.len() - 4) " more places." } }
                @if asked.tried.sheet.understood {
                    p { "Below is the answer to the last text that could be read. Edits from this page are refused until the file can be read again." }
                } @else {
                    p { "What could be read of it stands below. Edits from this page are refused until all of it can be read." }
                }
            },
            None => {},
        }
        @match asked.refused {
            Some(KeepError::Clash(clashes)) => (clash(clashes)),
            Some(refused) => div.notice.bad { h2 { "Not written" } p { (said_once(&refused.to_string())) } },
            None => {},
        }
        @for note in &asked.tried.notes { div.notice { p { (note) } } }
        @if let Some(kept) = &asked.tried.sheet.kept {
            @if asked.moved().next().is_none() && asked.drawn().next().is_none() { div.notice { p { "Kept in " (name) ": " (kept) "." } } }
        }
    }
}
