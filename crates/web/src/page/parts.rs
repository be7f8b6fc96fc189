//! Pieces that several pages share.

use super::Asked;
use super::things::field_address;
use crate::workbook::{Place, Tried};
use maud::{Markup, PreEscaped, html};
use output::answers::Answer;
use output::book::{Span, glued};
use output::drawing::{Drawing, svg};
use output::say::plural;
use output::sheets;
use output::table::html::{led, linked};
use output::table::{Table, Tone};
use quantity::{FieldPath, FigureName};
use std::fmt::Write;

/// Links of a page: they carry along what is being tried.
pub(crate) struct Links {
    query: String,
}

impl Links {
    pub(crate) fn of(tried: &Tried) -> Links {
        let knobs = tried.knobs.iter().filter(|knob| knob.is_moved());
        let lines = tried.lines.iter().filter(|line| line.is_moved());
        let query = knobs
            .map(|knob| (&knob.id, format!("{:.0}", knob.value)))
            .chain(lines.map(|line| (&line.id, line.typed())))
            .fold(String::new(), |mut query, (name, value)| {
                let sign = if query.is_empty() { '?' } else { '&' };
                let _ = write!(query, "{sign}{}={}", encoded(name, false), encoded(&value, false));
                query
            });
        Links { query }
    }

    /// What is being tried, with its question mark; empty where nothing is.
    pub(crate) fn query(&self) -> &str {
        &self.query
    }

    /// Address of a figure's working.
    pub(crate) fn why(&self, figure: &FigureName) -> String {
        format!("/why/{}{}", encoded(figure.as_str(), true), self.query)
    }

    /// A table in which every figure opens its working.
    pub(super) fn table(&self, table: &Table) -> Markup {
        linked(table, &|figure| Some(self.why(figure)))
    }
}

/// Text for the path or query of an address.
pub(crate) fn encoded(text: &str, slashes: bool) -> String {
    text.bytes().fold(String::with_capacity(text.len()), |mut out, byte| {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' => out.push(char::from(byte)),
            b'/' if slashes => out.push('/'),
            other => {
                let _ = write!(out, "%{other:02X}");
            }
        }
        out
    })
}

/// The answer sentence. What was not understood is never passed over in it.
pub(super) fn sentence(asked: &Asked<'_>, answer: &Answer, links: &Links) -> Markup {
    let misread = asked.shown().design().problems.len();
    let unread = asked.tried.sheet.trouble.is_some() && !asked.tried.sheet.understood;
    html! {
        @if unread {
            // An answer from part of a text would be better than the part that is missing.
            p.answer { "Cannot be said until the design file can be read." }
        } @else {
            p.answer { (spans(&answer.sentence, links)) }
            @if misread > 0 {
                p.beside { (plural(misread, "place", "places")) " of the design " @if misread == 1 { "was" } @else { "were" } " not understood; the answer is without " @if misread == 1 { "it." } @else { "them." } }
            }
        }
    }
}

/// Runs of text with their figures underlined.
pub(crate) fn spans(spans: &[Span], links: &Links) -> Markup {
    html! {
        @for span in spans {
            @match &span.figure {
                Some(figure) => { a.n.(tone(span.tone)) href=(links.why(figure)) { (glued(&span.text)) } },
                None => { span.(tone(span.tone)) { (glued(&span.text)) } },
            }
        }
    }
}

pub(crate) fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Sun => "t-sun",
        Tone::Battery => "t-battery",
        Tone::Backup => "t-backup",
        Tone::Danger => "t-danger",
        Tone::Unknown => "t-unknown",
        Tone::Soft => "t-soft",
    }
}

/// A table whose figures open their workings; an open question leads to the form on which it is answered.
pub(super) fn sheet(asked: &Asked<'_>, table: &Table, links: &Links) -> Markup {
    let asks = table.id == sheets::QUESTIONS;
    let form = |field: &str| {
        let field = FieldPath::new(field);
        field_address(asked.shown().design(), &field, asked.number).filter(|_| asks)
    };
    led(table, &|figure| Some(links.why(figure)), &form)
}

/// A drawing in its two forms; the style sheet shows the one whose letters keep their size.
pub(crate) fn picture(id: &str, title: &str, describes: &str, wide: &Drawing, phone: &Drawing) -> Markup {
    html! {
        div.picture {
            div.wide { (PreEscaped(svg::inline(wide, &format!("{id}-wide"), title, describes))) }
            div.phone { (PreEscaped(svg::inline(phone, &format!("{id}-phone"), title, describes))) }
        }
    }
}

/// A line of the design with a mark under the place.
pub(crate) fn excerpt(place: &Place) -> Markup {
    let before = " ".repeat(place.column.saturating_sub(1).min(150));
    html! {
        p.says { "Line " (place.line) ": " (place.says) }
        // A long line scrolls, for the keyboard too.
        pre.excerpt tabindex="0" role="group" aria-label={ "Line " (place.line) " of the file" } {
            span.at { (place.line) "  " } (place.text) "\n"
            span.at { (" ".repeat(place.line.to_string().len())) "  " } (before) b { "^" }
        }
        @if !place.help.is_empty() { p.help { (place.help) } }
    }
}
