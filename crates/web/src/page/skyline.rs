//! The horizon of a plane, drawn over the way of the sun.

use super::parts::{Links, picture};
use super::things::edit_address;
use super::{Asked, year};
use crate::skyline::Skyline;
use maud::{Markup, html};
use output::drawing::SkyFrame;
use output::sky::SkyPicture;

/// The picture with its table and the form in which its horizon is typed; a script lays handles over the picture.
pub(super) fn drawn_over(asked: &Asked<'_>, line: &Skyline, wide: &SkyPicture, phone: &SkyPicture) -> Markup {
    let refused = asked.tried.sheet.trouble.is_some();
    let hint = format!("h-{}", line.id);
    html! {
        h2 { (wide.title) }
        p.cap { (wide.describes) }
        div.drawable data-line=(line.id) data-wide=[shares(wide)] data-phone=[shares(phone)] data-sky=[wide.frame.as_ref().map(sky)] {
            (picture(&wide.id, &wide.title, &wide.describes, &wide.drawing, &phone.drawing))
        }
        details.days #{ "draw-" (line.id) } open[line.is_moved() || line.fault.is_some()] {
            summary { "draw the horizon" }
            form.skyline method="get" action="/3" data-live {
                div.field.bad[line.fault.is_some()] {
                    label for=(line.id) { "Hills and woods far away, seen from the " (line.plane) }
                    input type="text" id=(line.id) name=(line.id) value=(asked_for(asked, line)) data-line data-stored=(line.stored())
                        autocomplete="off" aria-describedby=(hint) aria-invalid=[line.fault.is_some().then_some("true")] disabled[refused];
                    div.hint id=(hint) {
                        span.fault id={ "e-" (line.id) } aria-live="polite" {
                            @if let Some(why) = &line.fault { (crate::words::capital(why)) ". Shown is what the design says." }
                        }
                        "Bearing from true north and height above level in degrees, point by point: " code { "90 12, 120 3" }
                        ". Straight between points, also through north. Nothing is a level horizon."
                        span.alive {
                            " Or over the picture: press where the sky meets the land to set a point, drag a point to move it; with the keyboard, arrow keys move it and Delete takes it out."
                        }
                    }
                }
                @for knob in asked.moved() { input type="hidden" name=(knob.id) value=(knob.value); }
                noscript { button type="submit" { "show" } }
            }
            div.change #{ "change-" (line.id) } aria-live="polite" { @if line.is_moved() { (year::change(asked)) } }
            p.soft { "Houses and trees near by are better given with their distance: " a href={ (edit_address(&format!("plane.{}", line.plane), 3)) "#f-obstacles" } { "what stands around the " (line.plane) } "." }
        }
        details.days {
            summary { "this picture as a table" }
            (Links::of(asked.tried).table(&wide.table))
        }
    }
}

/// What was typed stays in its field, also where it cannot be taken.
fn asked_for(asked: &Asked<'_>, line: &Skyline) -> String {
    let typed = asked.tried.asked.iter().find(|(name, _)| *name == line.id);
    match (&line.fault, typed) {
        (Some(_), Some((_, text))) => text.chars().take(2000).collect(),
        _ => line.typed(),
    }
}

fn shares(picture: &SkyPicture) -> Option<String> {
    let shares = picture.frame?.shares(&picture.drawing);
    Some(shares.map(|share| format!("{share:.5}")).join(" "))
}

fn sky(frame: &SkyFrame) -> String {
    format!("{} {} {}", frame.middle_deg, frame.reach_deg, frame.top_deg)
}
