//! The one-line diagram on page 7, walked through on paper.

use super::Asked;
use super::parts::{Links, encoded};
use maud::{Markup, PreEscaped, html};
use output::book::one_line_picture;
use output::drawing::{Drawing, Form, svg};
use output::opened::{CAUTION, Here, Place, Walk, walk};

const TITLE: &str = "The one-line diagram";

pub(super) fn one_line(asked: &Asked<'_>) -> Markup {
    let study = &asked.shown().study;
    let of = |wanted: &str| {
        let pairs = asked.tried.asked.iter().filter(move |(name, _)| name == wanted);
        pairs.map(|(_, value)| value.as_str()).collect::<Vec<_>>()
    };
    let (open, at) = (of("open"), of("at").first().copied().unwrap_or(""));
    let describes =
        "What is connected to what, with each circuit's identifier; the tables below have the same circuits.";
    let Some(walk) = walk(study, &open, at) else {
        return html! {
            h2 #one-line-head { (TITLE) }
            p.cap { (describes) " Which switches there are is known once the circuits are sized." }
            (sheet(&one_line_picture(study, Form::Wide), &one_line_picture(study, Form::Phone), describes))
        };
    };
    html! {
        h2 #one-line-head { (TITLE) }
        p.cap { (describes) " What a source reaches lies on a band of sand; a flag in ink is a circuit opened on paper." }
        p.caution { (CAUTION) }
        p #reached-words aria-live="polite" { (walk.sentence) }
        div.walks { (sheet(&walk.drawing, &walk.phone, describes)) }
        (switches(&walk))
        (places(&walk))
        @if let Some(here) = &walk.here { (stood_at(&walk, here)) }
        details.days #reached-all {
            summary { "what is still reached, as a table" }
            (Links::of(asked.tried).table(&walk.table))
        }
    }
}

/// A sheet wider than the page scrolls; a phone sees the equipment below each other.
fn sheet(drawing: &Drawing, phone: &Drawing, describes: &str) -> Markup {
    html! {
        div.picture {
            div.sheet.for-wide {
                div.wide tabindex="0" role="region" aria-label=(TITLE) {
                    (PreEscaped(svg::inline(drawing, "one-line", TITLE, describes)))
                }
            }
            div.phone { (PreEscaped(svg::inline(phone, "one-line-phone", TITLE, describes))) }
        }
    }
}

/// Address of the walk with these switches open, standing there.
fn address<'a>(open: impl Iterator<Item = &'a str>, at: &str) -> String {
    let mut pairs: Vec<String> = open.map(|key| format!("open={}", encoded(key, false))).collect();
    if !at.is_empty() {
        pairs.push(format!("at={}", encoded(at, false)));
    }
    match pairs.is_empty() {
        true => "/7#one-line-head".into(),
        false => format!("/7?{}#one-line-head", pairs.join("&")),
    }
}

fn open_now(walk: &Walk) -> impl Iterator<Item = &str> {
    walk.choices.iter().filter(|choice| choice.open).map(|choice| choice.key.as_str())
}

fn switches(walk: &Walk) -> Markup {
    let at = walk.here.as_ref().map_or("", |here| here.place.key.as_str());
    html! {
        form #paper .switches method="get" action="/7" data-live {
            @if !at.is_empty() { input type="hidden" name="at" value=(at); }
            fieldset {
                legend { "Open on paper" }
                div.ticks {
                    @for choice in &walk.choices {
                        label {
                            input type="checkbox" id={ "open-" (choice.key) } name="open" value=(choice.key) data-circuit=(choice.of) checked[choice.open];
                            span { b { (choice.circuit) } " " (choice.words) }
                        }
                    }
                }
                @if walk.choices.is_empty() { p.soft { "This design has no switch that breaks load." } }
                @if !walk.no_switches.is_empty() {
                    details.days #no-switches {
                        summary { (output::say::plural(walk.no_switches.len(), "device", "devices")) " not counted: opened without load only" }
                        ul.few { @for words in &walk.no_switches { li { (words) } } }
                    }
                }
            }
            noscript { button type="submit" { "show" } }
            @if open_now(walk).next().is_some() { a.button data-walk href=(address(std::iter::empty(), at)) { "close them all" } }
        }
    }
}

fn link(walk: &Walk, place: &Place) -> Markup {
    let here = walk.here.as_ref().is_some_and(|here| here.place.key == place.key);
    html! { a data-walk data-place=(place.name) aria-current=[here.then_some("true")] href=(address(open_now(walk), &place.key)) { (place.name) } }
}

fn places(walk: &Walk) -> Markup {
    html! {
        h3.stand { "Stand at" }
        p.places { @for place in &walk.places { (link(walk, place)) " " } }
    }
}

fn stood_at(walk: &Walk, here: &Here) -> Markup {
    html! {
        section #here aria-labelledby="here-head" {
            h3 #here-head { (here.place.name) ", " (here.place.kind) }
            p { "Still reached by " b { (here.place.from) } "." }
            ul.few {
                @for next in &here.next {
                    li { (next.circuit) " leads to " (link(walk, &next.place)) ", " (next.place.kind) "; reached by " (next.from) }
                }
            }
            p { "Before it is opened:" }
            ol.steps { @for step in &here.steps { li { (step) } } }
            @if !here.always.is_empty() { p.t-danger { "No switch of this design parts it from " (here.always) "." } }
            @if !here.set.is_empty() {
                p { a.button data-walk href=(address(here.set.iter().map(String::as_str), &here.place.key)) { "open this set on paper" } }
            }
        }
    }
}
