//! The map of the year, looked at closer: one day hour by hour.

use super::Asked;
use super::parts::{Links, picture};
use maud::{Markup, html};
use output::drawing::{Form, Limit};
use output::one_day::OneDay;
use output::say::day;
use study::YearStudy;

/// Days of the calendar that all weather years share.
const DAYS: usize = 365;

/// The day asked for, from 0, or the first of the worst stretch.
fn chosen(asked: &Asked<'_>, year: &YearStudy) -> (usize, bool) {
    let wish =
        asked.tried.asked.iter().find(|(name, _)| name == "day").and_then(|(_, text)| text.parse().ok());
    match wish.filter(|day| (1..=DAYS).contains(day)) {
        Some(day) => (day - 1, true),
        None => (year.worst.as_ref().map_or(0, |worst| worst.first_day % DAYS), false),
    }
}

pub(super) fn zoom(asked: &Asked<'_>, year: &YearStudy, limits: &[Limit]) -> Markup {
    let (at, wished) = chosen(asked, year);
    html! {
        details.days #day-zoom open[wished] {
            summary { "one day of it, hour by hour" }
            form #day-form .try method="get" action="/5" data-live aria-label="Choose a day" {
                div.knob {
                    label for="day" { "Day of the year" }
                    output #out-day for="day" { (day(at)) }
                    input #day type="range" name="day" min="1" max=(DAYS) step="1" value=(at + 1) aria-valuetext=(day(at));
                }
                @for knob in asked.moved() { input type="hidden" name=(knob.id) value=(knob.value); }
                noscript { button type="submit" { "show" } }
            }
            @match OneDay::of(year, at) {
                Err(why) => { p.soft { (why) } },
                Ok(one) => {
                    @let said = one.sentence(year.backup_name);
                    p #day-words aria-live="polite" { (said) }
                    (picture("day-charge", &format!("Charge on {}", day(at)), &said, &one.charge(limits, Form::Wide), &one.charge(limits, Form::Phone)))
                    (picture("day-power", &format!("Power on {}", day(at)), "What was asked, what the modules offered and what came out of the battery, hour by hour; the table has the numbers.", &one.power(Form::Wide), &one.power(Form::Phone)))
                    details.days #day-table {
                        summary { "this day as a table" }
                        (Links::of(asked.tried).table(&one.table()))
                    }
                },
            }
        }
    }
}
