//! Question 5: will it carry us through the year?

use super::Asked;
use super::parts::{Links, picture, sentence};
use crate::knobs::Knob;
use crate::skyline::Skyline;
use crate::words::capital;
use crate::workbook::{Answered, said};
use design::system::UtilityRole;
use maud::{Markup, html};
use output::answers::{Answer, answers};
use output::drawing::{
    ChargeHours, Form, Limit, Line, charge_map, charge_map_days, line_with_band, months_stacked,
};
use output::say::{day, fixed};
use output::sheets;
use output::table::{Align, Cell, Column, Row, Table, Tone};
use quantity::{Money, units};
use study::{Stretch, Study, YearStudy};

pub(crate) fn main(asked: &Asked<'_>, answer: &Answer, links: &Links) -> Markup {
    let shown = asked.shown();
    let year = shown.study.year.as_ref().ok();
    html! {
        h1 { (answer.title) }
        div #answer data-part { (sentence(asked, answer, links)) }
        div #map data-part { @if let Some(year) = year { (map(year, links)) (super::day::zoom(asked, year, &limits(&shown.study))) } @else { (open_questions(asked, links)) } }
        (controls(asked))
        div #change .change data-part aria-live="polite" { (change(asked)) }
        div #pinned .change data-part { (pinned(asked)) }
        @if let Some(year) = year {
            div #months-chart data-part { (months(year)) }
            div #worksheet data-part {
                h2 { "The worksheet" }
                (links.table(&bare(sheets::months(&shown.study, year))))
            }
            div #worst data-part { (worst(&shown.study, year, links)) (further(&shown.study, year, links)) (super::later::folded(asked, links)) }
        } @else {
            div #months-chart data-part {} div #worksheet data-part {} div #worst data-part {}
        }
    }
}

/// The table without its caption: a heading stands over it.
fn bare(table: Table) -> Table {
    Table { id: String::new(), ..table }
}

/// What is asked of the owner where there is no answer.
fn open_questions(asked: &Asked<'_>, links: &Links) -> Markup {
    let table = sheets::questions(&asked.shown().study, &asked.shown().findings);
    html! { @if !table.rows.is_empty() { (super::parts::sheet(asked, &table, links)) } }
}

/// "the utility" → "on the utility".
fn on(year: &YearStudy) -> String {
    format!("on {}", year.backup_name)
}

fn map(year: &YearStudy, links: &Links) -> Markup {
    let Some(result) = year.result() else { return html! {} };
    let backup: Vec<bool> = result.mode.iter().map(|mode| *mode == 1).collect();
    let dark: Vec<bool> = result.mode.iter().map(|mode| *mode == 2).collect();
    let on = on(year);
    let worst_name =
        year.worst.as_ref().map(|worst| format!("the worst {} days", worst.days)).unwrap_or_default();
    let hours = ChargeHours {
        charge: &result.state_of_charge,
        backup: &backup,
        dark: &dark,
        backup_name: &on,
        worst: year.worst.as_ref().map(|worst| worst.first_day..worst.first_day + worst.days),
        worst_name: &worst_name,
    };
    let carried = match (backup.iter().any(|b| *b), dark.iter().any(|d| *d)) {
        (true, true) => format!(
            " In the violet hours {} helps; in the red ones a must-load is missing.",
            year.backup_name
        ),
        (true, false) => format!(" In the violet hours {} helps.", year.backup_name),
        (false, true) => " In the red hours a must-load is missing.".to_string(),
        (false, false) => String::new(),
    };
    let describes = format!(
        "Every hour of a middling year: days across, hours of the day down. {} hours {on}, {} dark hours.",
        fixed(units::HOUR.of_si(year.backup_hours.si()), 0),
        fixed(units::HOUR.of_si(year.dark_hours.si()), 0),
    );
    let [wide, phone] = [Form::Wide, Form::Phone].map(charge_map_days);
    // A touch on the map leads to the day that lies there.
    let across = format!("{:.4} {:.4} {:.4} {:.4}", wide.0, wide.1, phone.0, phone.1);
    html! {
        h2 { "How full the battery is, every hour" }
        p.cap.for-wide { "Days run across, the hours of the day down. Sand is empty, paper half, teal full." (carried) }
        p.cap.for-phone { "Weeks run across, the hours of the day down. Sand is empty, paper half, teal full." (carried) }
        div #charge-map data-days=(across) {
            (picture("charge", "How full the battery is, every hour", &describes, &charge_map(&hours, Form::Wide), &charge_map(&hours, Form::Phone)))
        }
        details.days #charge-table {
            summary { "this picture as a table" }
            (links.table(&sheets::charge_hours(year)))
        }
    }
}

/// The controls of this page, with the numbers of their places among all.
fn knobs_here<'a>(asked: &'a Asked<'_>) -> impl Iterator<Item = (usize, &'a Knob)> {
    asked.tried.knobs.iter().enumerate().filter(|(_, knob)| knob.page == asked.number)
}

pub(super) fn controls(asked: &Asked<'_>) -> Markup {
    let refused = asked.tried.sheet.trouble.is_some();
    html! {
        form #try .try method="get" action={ "/" (asked.number) } aria-label="Try other sizes" data-hash=(asked.tried.sheet.stored.hash) {
            @for (at, knob) in knobs_here(asked) {
                div.knob {
                    label for=(knob.id) { (knob.label) }
                    output id={ "out-" (knob.id) } for=(knob.id) data-part { (knob.shown(knob.value)) }
                    input type="range" id=(knob.id) name=(knob.id) min=(knob.low) max=(knob.high) step="1"
                        value=(knob.value) data-stored=(knob.stored) data-unit=(knob.unit()) data-words=[knob.words()] aria-valuetext=(knob.shown(knob.value)) aria-describedby={ "step-" (knob.id) } disabled[refused];
                    div.nudges.alive {
                        @for (by, sign, words) in [(-1, "−", "one less"), (1, "+", "one more")] {
                            button type="button" data-nudge=(by) data-knob=(knob.id) aria-label={ (knob.label) ", " (words) } disabled[refused] { (sign) }
                        }
                    }
                    (step(asked, at, knob))
                }
            }
            noscript {
                button type="submit" { "show" }
                button type="submit" name="steps" value="1" { "show what one more step brings" }
            }
        }
    }
}

/// What one more step would bring, for each control.
pub(crate) fn steps(asked: &Asked<'_>) -> Markup {
    html! { @for (at, knob) in knobs_here(asked) { (step(asked, at, knob)) } }
}

fn step(asked: &Asked<'_>, at: usize, knob: &Knob) -> Markup {
    html! {
        p.delta id={ "step-" (knob.id) } data-part {
            @match (asked.steps, knob.next()) {
                (_, None) if knob.high_because.is_empty() => { "the end of this scale" },
                (_, None) => { (knob.high_because) },
                (None, Some((_, words))) => { (words) ": …" },
                (Some(steps), Some((_, words))) => {
                    (words) ": "
                    @match steps.get(at).and_then(Option::as_ref) {
                        Some(further) if knob.page == 7 => { (super::wires::difference(asked.shown(), further, knob)) (cost(&asked.shown().study, &further.study, true)) },
                        Some(further) => { (difference(asked.shown(), further, knob.is_bought())) },
                        None => { "cannot be tried" },
                    }
                },
            }
        }
    }
}

/// What moving from one design to another brings: "−9 h on the utility, +$1,240".
fn difference(from: &Answered, to: &Answered, priced: bool) -> Markup {
    let (Ok(before), Ok(after)) = (&from.study.year, &to.study.year) else {
        return html! { "cannot be said" };
    };
    let [backup, dark] = [false, true].map(|dark| hours(after, dark) - hours(before, dark));
    let missing = units::KILOWATT_HOUR.of_si(after.missing.si() - before.missing.si());
    let has_backup = before.backup_name != "nothing";
    html! {
        @if has_backup {
            @if backup == 0.0 { "no change of hours " (on(before)) } @else { b { (signed(backup, 0)) " h" } " " (on(before)) }
        } @else if dark == 0.0 && missing.abs() < SEEN {
            "nothing less is missing"
        }
        @if dark != 0.0 { @if has_backup { ", " } b { (signed(dark, 0)) " h" } " dark" }
        @if missing.abs() >= SEEN { ", " b { (signed(missing, 1)) " kWh" } " missing" }
        (cost(&from.study, &to.study, priced))
    }
}

/// Whole hours on backup, or dark ones.
fn hours(year: &YearStudy, dark: bool) -> f64 {
    let hours = if dark { &year.dark_hours } else { &year.backup_hours };
    units::HOUR.of_si(hours.si()).round()
}

/// What it costs more; `priced` when it is something that is bought.
fn cost(from: &Study, to: &Study, priced: bool) -> Markup {
    let more = Money(to.bill.total.value.0.saturating_sub(from.bill.total.value.0));
    let currency = from.design.system.currency;
    html! {
        @if more != Money::ZERO {
            ", " @if more > Money::ZERO { "+" } (more.show(currency))
        } @else if priced && to.bill.without_price > 0 {
            ", price not known"
        }
    }
}

fn signed(value: f64, decimals: usize) -> String {
    let plus = if value > 0.0 { "+" } else { "" };
    format!("{plus}{}", fixed(value, decimals))
}

/// What was moved against the design on disk, with the button that writes it.
pub(super) fn change(asked: &Asked<'_>) -> Markup {
    let sheet = &asked.tried.sheet;
    let moved: Vec<&Knob> = asked.moved().collect();
    if moved.is_empty() && asked.drawn().next().is_none() {
        return html! {};
    }
    let said: Vec<String> = moved
        .iter()
        .map(|knob| {
            format!("{} {} → {}", knob.label.to_lowercase(), knob.shown(knob.stored), knob.shown(knob.value))
        })
        .chain(asked.drawn().map(Skyline::says))
        .collect();
    let stored = &sheet.stored;
    let bought = moved.iter().any(|knob| knob.is_bought());
    html! {
        p {
            "Against the design on disk: " (said.join(", ")) ". "
            @for knob in moved.iter().filter(|knob| knob.page == 7) { (capital(&knob.label)) ": " (super::wires::difference(stored, asked.shown(), knob)) ". " }
            @if let (Ok(before), Ok(after)) = (&stored.study.year, &asked.shown().study.year) {
                @if before.backup_name != "nothing" {
                    (fixed(hours(before, false), 0)) " h → " b { (fixed(hours(after, false), 0)) " h" } " " (on(before))
                } @else {
                    (fixed(hours(before, true), 0)) " h → " b { (fixed(hours(after, true), 0)) " h" } " dark"
                }
                @if before.backup_name != "nothing" && hours(before, true) + hours(after, true) > 0.0 {
                    ", " (fixed(hours(before, true), 0)) " h → " b { (fixed(hours(after, true), 0)) " h" } " dark"
                }
                (cost(&stored.study, &asked.shown().study, bought)) "."
            } @else {
                "The difference cannot be said."
            }
        }
        form method="post" action="/keep" data-keep {
            (super::token(asked))
            input type="hidden" name="from" value=(asked.number);
            input type="hidden" name="hash" value=(stored.hash);
            @for knob in &moved {
                input type="hidden" name=(knob.id) value=(knob.value);
                input type="hidden" name={ "was-" (knob.id) } value=(knob.stored);
            }
            @for line in asked.drawn() {
                input type="hidden" name=(line.id) value=(line.typed());
                input type="hidden" name={ "was-" (line.id) } value=(line.stored());
            }
            button type="submit" disabled[sheet.trouble.is_some()] { "keep it" }
            a.button href={ "/" (asked.number) } { "put it back" }
            @if sheet.trouble.is_some() { span.soft { "Edits are refused until the design file can be read." } }
        }
    }
}

/// What the pinned state answered to the question of this page, where that is not the year.
fn elsewhere(asked: &Asked<'_>, pinned: &Answered) -> Markup {
    let short = |of: &Answered| {
        let all = answers(&of.study, &of.findings);
        all.into_iter().find(|answer| answer.question == asked.number).map(|answer| answer.short)
    };
    let (before, after) = (short(pinned), short(asked.shown()));
    html! {
        @if let (Some(before), Some(after)) = (before.filter(|_| asked.number != 5), after) {
            " This question: "
            @if before == after { (before) " as before." } @else { (before) " → " b { (after) } "." }
        }
    }
}

/// The state shown against an earlier one that the owner pinned.
pub(super) fn pinned(asked: &Asked<'_>) -> Markup {
    let button = |what: &str, words: &str| {
        html! {
            form.pin method="post" action="/pin" {
                (super::token(asked))
                input type="hidden" name="from" value=(asked.number);
                button name="what" value=(what) { (words) }
            }
        }
    };
    let Some(pinned) = &asked.tried.sheet.pinned else {
        return button("in", "pin this state, to see later ones against it");
    };
    let shown = asked.shown();
    html! {
        p {
            "Against the pinned state: "
            @match said(pinned.design(), shown.design()) {
                None => { "the same." },
                Some(says) => {
                    (says) ". "
                    @if let (Ok(before), Ok(after)) = (&pinned.study.year, &shown.study.year) {
                        @if before.backup_name != "nothing" {
                            (fixed(hours(before, false), 0)) " h → " b { (fixed(hours(after, false), 0)) " h" } " " (on(before)) ", "
                        }
                        (fixed(hours(before, true), 0)) " h → " b { (fixed(hours(after, true), 0)) " h" } " dark"
                        (cost(&pinned.study, &shown.study, false)) "."
                    } @else { "The difference cannot be said." }
                    (elsewhere(asked, pinned))
                },
            }
        }
        (button("out", "take the pin out"))
    }
}

/// Kilowatt-hours a year below which a part of the chart cannot be seen and is left out of it; the table keeps it.
const SEEN: f64 = 0.05;

fn months(year: &YearStudy) -> Markup {
    let Some(result) = year.result() else { return html! {} };
    let of = |take: fn(&study::MonthStudy) -> f64| {
        let mut values = [0.0; 12];
        for (value, month) in values.iter_mut().zip(&year.months) {
            *value = units::KILOWATT_HOUR.of_si(take(month));
        }
        values
    };
    let mut helped = [0.0; 12];
    for (value, month) in helped.iter_mut().zip(&result.months) {
        *value = month.backup_to_load_wh / 1000.0;
    }
    let missing = of(|month| month.missing.si());
    let from = format!("from {}", year.backup_name);
    let mut series: Vec<(&str, &'static str, [f64; 12])> = vec![
        ("straight from the sun", "sun", of(|month| month.from_sun.si())),
        ("through the battery", "battery", of(|month| month.from_battery.si())),
    ];
    let mut words = vec!["straight from the sun".to_string(), "through the battery".to_string()];
    if helped.iter().sum::<f64>() > SEEN {
        series.push((&from, "backup", helped));
        words.push(from.clone());
    }
    if missing.iter().sum::<f64>() > SEEN {
        series.push(("missing", "dark", missing));
        words.push("missing".to_string());
    }
    let unused = fixed(units::KILOWATT_HOUR.of_si(year.unused.si()), 0);
    let exported = units::KILOWATT_HOUR.of_si(year.exported.si());
    let title = "Where the energy came from";
    let describes =
        format!("Each month's use in kWh: {}. The table below has the numbers.", output::say::listed(&words));
    html! {
        h2 { (title) }
        p.cap {
            "Each month's use in kWh: " (output::say::listed(&words)) ". A further "
            @if exported > 0.5 { (fixed(exported, 0)) " kWh went to the utility, and " }
            (unused) " kWh stayed unused."
        }
        (picture("months", title, &describes, &months_stacked(&series, "kWh", Form::Wide), &months_stacked(&series, "kWh", Form::Phone)))
    }
}

fn worst(study: &Study, year: &YearStudy, links: &Links) -> Markup {
    let (Some(worst), Some(result)) = (&year.worst, year.result()) else { return html! {} };
    let points: Vec<(f64, f64)> = (0..worst.days * 24)
        .filter_map(|hour| {
            let at = (worst.first_day * 24 + hour) % result.state_of_charge.len().max(1);
            Some(((hour + 1) as f64 / 24.0, f64::from(*result.state_of_charge.get(at)?) * 100.0))
        })
        .collect();
    let line = Line { name: "charge".into(), class: "curve-battery", points, marked: Vec::new() };
    let span = format!("{} to {}", day(worst.first_day), day(worst.first_day + worst.days - 1));
    let title = format!("The worst {} days", worst.days);
    let across = format!("days from {}", day(worst.first_day));
    let limits = limits(study);
    let chart = |form| line_with_band(std::slice::from_ref(&line), None, &limits, &across, "charge, %", form);
    let describes = format!(
        "State of charge hour by hour from {span}; mean {} %. The table below has the days.",
        fixed(worst.mean_charge * 100.0, 0)
    );
    html! {
        h2 { (title) }
        p.cap {
            (span) ", charge " (fixed(worst.mean_charge * 100.0, 0)) " % in the mean"
            @if worst.backup_h >= 0.5 { ", " (fixed(worst.backup_h, 0)) " hours " (on(year)) }
            @if worst.dark_h >= 0.5 { ", " (fixed(worst.dark_h, 0)) " dark hours" }
            "."
        }
        (picture("stretch", &title, &describes, &chart(Form::Wide), &chart(Form::Phone)))
        details.days {
            summary { "these days as a table" }
            (links.table(&worst_days(worst, &result.days.iter().map(|day| [
                day.load_wh, day.pv_offered_wh, day.backup_wh, day.missing_wh, day.lowest_state_of_charge,
            ]).collect::<Vec<_>>())))
        }
    }
}

/// Tables behind the answer: seasons, every weather year, rehearsal, a unit out of order, rates, limits, losses.
fn further(study: &Study, year: &YearStudy, links: &Links) -> Markup {
    let tables = [
        sheets::seasons(year),
        sheets::worst_month(study, year),
        sheets::every_year(year),
        sheets::rehearsal(study, year),
        sheets::waited(study, year),
        sheets::by_rate(study, year),
        sheets::near_limits(study, year),
        sheets::at_inputs(study, year),
        sheets::losses(study, year),
    ];
    html! {
        @for table in tables.iter().filter(|table| !table.rows.is_empty()) {
            details.days {
                summary { (table.caption) }
                (links.table(table))
            }
        }
    }
}

/// Charge at which the utility takes over and hands back, where it does.
fn limits(study: &Study) -> Vec<Limit> {
    let utility = &study.design.system.utility;
    let switched = [UtilityRole::BackupByTransfer, UtilityRole::BackupThroughInput];
    if !utility.role.value().is_some_and(|role| switched.contains(role)) {
        return Vec::new();
    }
    let takes_over = (utility.takes_over.si(), "the utility takes over");
    let hands_back = (utility.hands_back.si(), "the battery takes over");
    [takes_over, hands_back]
        .into_iter()
        .filter_map(|(share, name)| {
            Some(Limit { name: name.into(), value: share? * 100.0, class: "limit-soft" })
        })
        .collect()
}

fn worst_days(worst: &Stretch, days: &[[f64; 5]]) -> Table {
    let column = |head: &str, unit: &str, align| Column { head: head.into(), unit: unit.into(), align };
    let cell = |value: f64, tone: Tone| {
        let text = fixed(value, 1);
        let tone = if text == "0.0" { Tone::Plain } else { tone };
        Cell { text, tone, ..Cell::default() }
    };
    let rows = (0..worst.days)
        .filter_map(|offset| {
            let at = (worst.first_day + offset) % days.len().max(1);
            let [load, offered, backup, missing, lowest] = *days.get(at)?;
            let kwh = |wh: f64, tone| cell(wh / 1000.0, tone);
            let cells = vec![
                Cell { text: day(at), ..Cell::default() },
                kwh(load, Tone::Plain),
                kwh(offered, Tone::Plain),
                kwh(backup, Tone::Backup),
                kwh(missing, Tone::Danger),
                Cell { text: fixed(lowest * 100.0, 0), ..Cell::default() },
            ];
            Some(Row { cells, total: false })
        })
        .collect();
    Table {
        columns: vec![
            column("day", "", Align::Left),
            column("asked", "kWh", Align::Right),
            column("offered", "kWh", Align::Right),
            column("backup", "kWh", Align::Right),
            column("missing", "kWh", Align::Right),
            column("lowest charge", "%", Align::Right),
        ],
        rows,
        ..Table::default()
    }
}
