//! The page before any design is open: a new one, those opened lately, those of the folder, and houses to look around in.

use super::bare;
use crate::Bench;
use door::FileHash;
use maud::{Markup, html};
use output::book::glued;
use std::path::Path;
use study::NearPlace;

/// A house that comes with the program.
pub(crate) struct Demo {
    pub(crate) key: &'static str,
    pub(crate) title: &'static str,
    pub(crate) says: &'static str,
    pub(crate) text: &'static str,
}

/// Invented houses to look around in.
pub(crate) const DEMOS: [Demo; 4] = [
    Demo {
        key: "hollow-farm",
        title: "Hollow Farm",
        says: "A farmhouse with two inverters, a rack in the field and the utility as backup.",
        text: include_str!("../../../../designs/hollow-farm/hollow-farm.toml"),
    },
    Demo {
        key: "pine-cabin",
        title: "Pine Cabin",
        says: "A mountain cabin far from any utility, with lead-acid batteries and a generator.",
        text: include_str!("../../../../designs/pine-cabin/pine-cabin.toml"),
    },
    Demo {
        key: "harbour-house",
        title: "Harbour House",
        says: "A house at 230 V in the southern hemisphere, with two roofs and the utility.",
        text: include_str!("../../../../designs/harbour-house/harbour-house.toml"),
    },
    Demo {
        key: "orchard-row",
        title: "Orchard Row",
        says: "A house in town without a battery, whose inverter shares the panel with the utility.",
        text: include_str!("../../../../designs/orchard-row/orchard-row.toml"),
    },
];

/// What was asked of the page so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Begun {
    /// What was typed as the place.
    pub(crate) place: String,
    /// What was found under it, or why nothing was.
    pub(crate) found: Option<Result<Vec<NearPlace>, String>>,
    /// What else was typed, by name.
    pub(crate) typed: Vec<(String, String)>,
    /// What was refused: the field, and why.
    pub(crate) refused: Option<(String, String)>,
}

/// More places of one name than can be told apart on a page.
pub(crate) const MOST_PLACES: usize = 12;

/// Name by which a file opened lately is called in a form.
pub(crate) fn called(path: &Path) -> String {
    FileHash::of(path.to_string_lossy().as_bytes()).to_string()
}

pub(crate) fn begin(bench: &Bench, begun: &Begun) -> String {
    let recent = bench.memory().recent();
    let neighbours = bench.neighbours();
    let main = html! {
        h1 { "What shall we open?" }
        p.answer { "A plan begins with where the house stands. Everything else can be said later, in any order." }
        @if let Some((_, says)) = begun.refused.as_ref().filter(|(field, _)| field.is_empty()) {
            div.notice.bad role="alert" { h2 { "Nothing was written" } p { (says) } }
        }
        h2 { "A new design" }
        (place_form(begun))
        @if let Some(Ok(places)) = &begun.found { (new_form(bench, begun, places)) }
        @if !recent.is_empty() {
            h2 { "Opened lately" }
            ul.plain { @for path in &recent { li { (open_button(bench, "recent", &called(path), &shown(path), &folder_of(path))) } } }
        }
        @if !neighbours.is_empty() {
            h2 { "In this folder" }
            ul.plain { @for name in &neighbours { li { (open_button(bench, "file", name, name, "")) } } }
        }
        h2 { "Invented houses to look around in" }
        p.cap { "A copy is written into the folder; change in it what you like." }
        ul.plain {
            @for demo in &DEMOS {
                li {
                    form method="post" action="/begin" data-whole {
                        input type="hidden" name="token" value=(bench.token());
                        button name="demo" value=(demo.key) { (demo.title) }
                        span.soft { " " (demo.says) }
                    }
                }
            }
        }
    };
    bare(bench, "What shall we open?", main)
}

fn shown(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn folder_of(path: &Path) -> String {
    path.parent().map(|folder| format!("in {}", folder.display())).unwrap_or_default()
}

fn open_button(bench: &Bench, field: &str, value: &str, words: &str, more: &str) -> Markup {
    html! {
        form method="post" action="/open" data-whole {
            input type="hidden" name="token" value=(bench.token());
            button name=(field) value=(value) { (words) }
            @if !more.is_empty() { span.soft { " " (more) } }
        }
    }
}

fn place_form(begun: &Begun) -> Markup {
    let nothing = begun.found.as_ref().and_then(|found| found.as_ref().err());
    html! {
        form.fields method="get" action="/begin" data-whole {
            div.field.bad[nothing.is_some()] {
                label for="place" { "Where is it?" }
                input #place type="text" name="place" value=(begun.place) required aria-describedby="h-place" aria-invalid=[nothing.map(|_| "true")];
                div.hint #h-place {
                    @if let Some(says) = nothing { span.fault { (says) } br; }
                    "A town, or latitude and longitude in degrees, north and east positive: 46.2, -119.1."
                }
            }
            // Once a place was found, writing the file is what comes next.
            p.deeds { button.main[!matches!(begun.found, Some(Ok(_)))] { "find it" } }
        }
    }
}

fn new_form(bench: &Bench, begun: &Begun, places: &[NearPlace]) -> Markup {
    let typed =
        |name: &str| begun.typed.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.as_str());
    let fault =
        |name: &str| begun.refused.as_ref().filter(|(field, _)| field == name).map(|(_, says)| says.as_str());
    let american = match typed("supply") {
        "" => places.first().is_some_and(|place| place.longitude_deg < -30.0 && place.latitude_deg > 7.0),
        supply => supply == "120/240",
    };
    let text = |name: &str, label: &str, value: String, hint: &str| {
        html! {
            div.field.bad[fault(name).is_some()] {
                label for=(name) { (label) }
                input id=(name) type="text" name=(name) value=(value) required aria-describedby={ "h-" (name) } aria-invalid=[fault(name).map(|_| "true")];
                div.hint id={ "h-" (name) } { @if let Some(says) = fault(name) { span.fault { (says) } br; } (hint) }
            }
        }
    };
    let or = |name: &str, otherwise: String| {
        if typed(name).is_empty() { otherwise } else { typed(name).to_string() }
    };
    html! {
        form.fields method="post" action="/begin" data-whole {
            input type="hidden" name="token" value=(bench.token());
            input type="hidden" name="place" value=(begun.place);
            fieldset.record {
                legend { @if places.len() == 1 { "The place" } @else { "Which of these?" } }
                @for (at, place) in places.iter().take(MOST_PLACES).enumerate() {
                    p.choice {
                        label {
                            input type="radio" name="pick" value=(at) checked[if typed("pick").is_empty() { at == 0 } else { typed("pick") == at.to_string() }];
                            " " (place.name)
                            span.soft {
                                " · " (output::say::fixed(place.latitude_deg, 2)) "°, " (output::say::fixed(place.longitude_deg, 2)) "°"
                                @if let Some(zone) = &place.zone { " · " (zone.in_words()) }
                            }
                        }
                    }
                }
                @if places.len() > 1 {
                    p.hint { "Region and country stand in their letters by ISO 3166: MD, US is Maryland in the United States, MD alone is Moldova." }
                }
            }
            (text("title", "What do you call it?", or("title", "Our House".into()), "It stands on every page and in the book."))
            (text("elevation", "Height above the sea", or("elevation", height(places)), "With its unit: 1500 m, 4900 ft. Taken from the nearest climate record; look it up on a map."))
            fieldset.record {
                legend { "What does the house run on?" }
                p.choice { label { input type="radio" name="supply" value="120/240" checked[american]; " 120/240 V, two legs and neutral" } }
                p.choice { label { input type="radio" name="supply" value="230" checked[!american]; " 230 V" } }
            }
            (text("file", "File to write", or("file", free_name(bench, "house")), "In this folder. The design is this file and nothing else."))
            p.deeds { button.main { "write it and open it" } }
        }
    }
}

fn height(places: &[NearPlace]) -> String {
    let metres =
        places.first().and_then(|place| Some(place.row.elevation_m? + place.higher_m.unwrap_or(0.0)));
    metres
        .map(|metres| {
            format!("{} m", glued(&output::say::fixed(metres, 0)).replace([',', '\u{202f}', '\u{a0}'], ""))
        })
        .unwrap_or_default()
}

/// A name that no file of the folder has.
pub(crate) fn free_name(bench: &Bench, stem: &str) -> String {
    let names = std::iter::once(format!("{stem}.toml")).chain((2..100).map(|n| format!("{stem}-{n}.toml")));
    let free = |name: &String| bench.inside(name).is_ok_and(|path| bench.files().read_design(&path).is_err());
    names.into_iter().find(free).unwrap_or_else(|| format!("{stem}.toml"))
}
