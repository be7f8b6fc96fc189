//! Who may look on from the house network.

use super::bare;
use crate::Bench;
use maud::{Markup, PreEscaped, html};
use qrcode::{Color, QrCode};
use std::fmt::Write as _;

/// Light modules around a code, as its standard (ISO/IEC 18004) wants them.
const QUIET: usize = 4;

pub(crate) fn devices(bench: &Bench) -> String {
    let main = html! {
        h1 { "Devices" }
        @match bench.pairing() {
            None => {
                p.answer { "This workbook answers on this computer only." }
                p { "To carry it to the equipment room, stop the program and start it with " code { "wattwright open --share" } ". It then also listens on the house network, and a phone is let in by scanning a code shown here." }
            },
            Some(address) => {
                p.answer { "Scan this with the phone that shall come in. It works once, for ten minutes." }
                (code(&address))
                p.soft { "Or type " (address) }
                p { "The house network carries it in plain text: share it where you trust the network, as long as you need it." }
            },
        }
        @let list = bench.devices().list();
        h2 { "Let in so far" }
        @if list.is_empty() { p.soft { "None." } } @else {
            ul.plain {
                @for device in &list {
                    li {
                        form method="post" action="/devices" data-whole {
                            input type="hidden" name="token" value=(bench.token());
                            (device.name) " "
                            button name="away" value=(device.number) aria-label={ "send away " (device.name) } { "send away" }
                        }
                    }
                }
            }
        }
    };
    bare(bench, "Devices", main)
}

/// The page a phone sees before it is let in.
pub(crate) fn pair(bench: &Bench, code: &str, good: bool) -> String {
    let main = html! {
        h1 { "Come in?" }
        @if good {
            p.answer { "This phone will see and change the design that lies open on the computer." }
            form.fields method="post" action={ "/pair/" (code) } data-whole {
                div.field {
                    label for="name" { "What is it called?" }
                    input #name type="text" name="name" value="phone" maxlength="40";
                }
                p.deeds { button.main { "come in" } }
            }
        } @else {
            p.answer { "This code was used, or is too old." }
            p { "Load the page " i { "devices" } " on the computer again and scan the code that it shows now." }
        }
    };
    bare(bench, "Come in?", main)
}

/// A code as one path, dark on light in every scheme, since readers expect it so.
fn code(text: &str) -> Markup {
    let Ok(code) = QrCode::new(text.as_bytes()) else { return html! {} };
    let width = code.width();
    let mut path = String::new();
    for (at, color) in code.to_colors().iter().enumerate() {
        if *color == Color::Dark {
            let _ = write!(path, "M{} {}h1v1h-1z", at % width + QUIET, at / width + QUIET);
        }
    }
    let all = width + 2 * QUIET;
    html! {
        div.code {
            (PreEscaped(format!(
                "<svg viewBox=\"0 0 {all} {all}\" role=\"img\" aria-label=\"Code to scan\" shape-rendering=\"crispEdges\"><rect class=\"code-light\" width=\"{all}\" height=\"{all}\"/><path class=\"code-dark\" d=\"{path}\"/></svg>"
            )))
        }
    }
}

/// The same code for a terminal.
pub(crate) fn code_for_terminal(text: &str) -> String {
    QrCode::new(text.as_bytes())
        .map(|code| {
            use qrcode::render::unicode::Dense1x2;
            // Terminals are mostly dark: blocks of light are the light of the code.
            let mut drawn = code.render::<Dense1x2>();
            drawn.dark_color(Dense1x2::Light).light_color(Dense1x2::Dark).quiet_zone(true).build()
        })
        .unwrap_or_default()
}
