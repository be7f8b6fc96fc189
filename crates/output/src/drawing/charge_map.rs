//! How full the battery is in every hour of the year: days across, hours of the day down.

use super::charts::{Form, MONTHS, month_starts};
use super::pen::{Area, LABEL, Pen, add_rect, n, rect, text_width};
use super::{Anchor, Drawing};
use std::fmt::Write;
use std::ops::Range;

/// A year of hours, each for the hour ending at its stamp, local standard time, from 1 January.
#[derive(Clone, Debug, Default)]
pub struct ChargeHours<'a> {
    /// State of charge, 0 to 1; an hour that is not a number is left blank.
    pub charge: &'a [f32],
    /// Whether the utility or a generator carried the house.
    pub backup: &'a [bool],
    /// Whether a load that must run was missing.
    pub dark: &'a [bool],
    /// What the backup is called in the key: "on the utility".
    pub backup_name: &'a str,
    /// The worst days, counted from 0; a range that runs past the year's end goes on in January.
    pub worst: Option<Range<usize>>,
    /// What stands at them: "the worst ten days".
    pub worst_name: &'a str,
}

/// One cell of the map; what is worse covers what is better.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Cell {
    Blank,
    Charge(usize),
    Backup,
    Dark,
}

const CHARGE: [&str; 10] = ["q0", "q1", "q2", "q3", "q4", "q5", "q6", "q7", "q8", "q9"];

/// Where the days begin and end across the map, as shares of its width: for whoever points at one.
pub fn charge_map_days(form: Form) -> (f64, f64) {
    let (width, left) = (breadth(form), margin());
    (left / width, (width - 1.0) / width)
}

fn breadth(form: Form) -> f64 {
    match form {
        Form::Wide => 190.0,
        Form::Phone => 90.0,
    }
}

/// Room for the hours of the day at the left.
fn margin() -> f64 {
    text_width("noon", LABEL) + 1.6
}

/// Draws the map. The phone form shows weeks instead of days: the mean charge of an hour of the day over the week,
/// and backup or dark where any day of the week had it.
pub fn charge_map(hours: &ChargeHours<'_>, form: Form) -> Drawing {
    let days = hours.charge.len() / 24;
    let row = match form {
        Form::Wide => 1.75,
        Form::Phone => 1.9,
    };
    let (width, left) = (breadth(form), margin());
    let field = Area::new(left, 6.4, width - left - 1.0, 24.0 * row);
    let together = if form == Form::Wide { 1 } else { 7 };
    let columns = days.div_ceil(together).max(1);
    let step = field.width * together as f64 / days.max(1) as f64;
    let entries = key_entries(hours, form);
    let key_lines = key_layout(&entries, width);
    let key_top = field.bottom() + 9.6;
    let key_height = key_lines.last().map_or(0.0, |(_, line, _)| (*line + 1) as f64 * 5.4);
    let mut pen = Pen::new(width, key_top + key_height);
    cells(&mut pen, hours, field, columns, together, step, row);
    let at = |day: usize| field.x + field.width * day as f64 / days.max(1) as f64;
    for &start in month_starts().iter().skip(1).filter(|&&start| start < days) {
        pen.line("gap", at(start), field.y, at(start), field.bottom());
    }
    let baseline = field.bottom() + 1.2 + 0.75 * LABEL;
    for (month, name) in MONTHS.iter().enumerate() {
        let (from, to) = (month_starts()[month], month_starts().get(month + 1).copied().unwrap_or(365));
        if to <= days {
            pen.text("ax", (at(from) + at(to)) / 2.0, baseline, LABEL, Anchor::Middle, name);
        }
    }
    for (hour, name) in [(0, "0 h"), (6, "6"), (12, "noon"), (18, "18"), (24, "24")] {
        let y = field.y + f64::from(hour) * row;
        // The first and the last label stay beside the map.
        let y = if hour == 0 {
            y + 0.75 * LABEL
        } else if hour == 24 {
            y
        } else {
            y + 0.36 * LABEL
        };
        pen.text("ax", field.x - 1.2, y, LABEL, Anchor::End, name);
    }
    if let Some(worst) = &hours.worst {
        brace(&mut pen, hours.worst_name, worst, days, field);
    }
    for (entry, line, x) in key_lines {
        let y = key_top + line as f64 * 5.4;
        swatch(&mut pen, entry.0, Area::new(x, y, 3.0, 3.0));
        pen.text("ax", x + 4.4, y + 1.5 + 0.36 * LABEL, LABEL, Anchor::Start, &entry.1);
    }
    pen.drawing
}

fn cells(
    pen: &mut Pen,
    hours: &ChargeHours<'_>,
    field: Area,
    columns: usize,
    together: usize,
    step: f64,
    row: f64,
) {
    let mut charge = vec![String::new(); 10];
    let (mut backup, mut dark) = (String::new(), String::new());
    let (mut low, mut lines) = (String::new(), String::new());
    for hour in 0..24 {
        let y = field.y + hour as f64 * row;
        let mut start = 0;
        while start < columns {
            let cell = cell(hours, hour, start, together);
            let mut end = start + 1;
            while end < columns && self::cell(hours, hour, end, together) == cell {
                end += 1;
            }
            // Cells reach a little under their neighbours, so that no seam shows.
            let right = (field.x + step * end as f64).min(field.right());
            let x = field.x + step * start as f64;
            let area = Area::new(x, y, right - x, row + 0.03);
            let middle = y + row / 2.0;
            let level = |d: &mut String| {
                let _ = write!(d, "M{} {}h{}", n(x), n(middle), n(right - x));
            };
            match cell {
                Cell::Blank => {}
                Cell::Charge(class) => {
                    add_rect(&mut charge[class], area);
                    if class < 2 {
                        level(&mut low);
                    }
                }
                Cell::Backup => {
                    add_rect(&mut backup, area);
                    level(&mut lines);
                }
                Cell::Dark => add_rect(&mut dark, area),
            }
            start = end;
        }
    }
    for (class, d) in CHARGE.into_iter().zip(charge) {
        pen.path(class, d);
    }
    pen.titled("backup", backup, "", hours.backup_name);
    pen.titled("dark", dark, "", "dark hours");
    pen.path("hatch-ink", low);
    pen.path("hatch-paper", lines);
}

fn cell(hours: &ChargeHours<'_>, hour: usize, column: usize, together: usize) -> Cell {
    let indices = (column * together..(column + 1) * together).map(|day| day * 24 + hour);
    let is = |list: &[bool]| indices.clone().any(|i| list.get(i).copied().unwrap_or(false));
    if is(hours.dark) {
        return Cell::Dark;
    }
    if is(hours.backup) {
        return Cell::Backup;
    }
    let (mut sum, mut count) = (0.0, 0usize);
    for charge in indices.filter_map(|i| hours.charge.get(i)).filter(|c| c.is_finite()) {
        sum += f64::from(*charge);
        count += 1;
    }
    if count == 0 {
        return Cell::Blank;
    }
    Cell::Charge(((sum / count as f64 * 10.0).floor().clamp(0.0, 9.0)) as usize)
}

fn brace(pen: &mut Pen, name: &str, worst: &Range<usize>, days: usize, field: Area) {
    if days == 0 || worst.is_empty() {
        return;
    }
    let at = |day: usize| field.x + field.width * day.min(days) as f64 / days as f64;
    let y = field.y - 1.6;
    let mut spans = vec![(at(worst.start), at(worst.end))];
    if worst.end > days {
        spans.push((at(0), at((worst.end - days).min(worst.start))));
    }
    let mut d = String::new();
    for (from, to) in &spans {
        let _ = write!(d, "M{} {}v-1H{}v1", n(*from), n(y + 1.0), n(*to));
    }
    pen.path("brace", d);
    let (from, to) = spans[0];
    let baseline = y + 0.2;
    let size = LABEL + 0.2;
    if to + 1.4 + text_width(name, size) < field.right() {
        pen.text("note", to + 1.4, baseline, size, Anchor::Start, name);
    } else {
        pen.text("note", from - 1.4, baseline, size, Anchor::End, name);
    }
}

fn key_entries(hours: &ChargeHours<'_>, form: Form) -> Vec<(Cell, String)> {
    let weekly = if form == Form::Phone { ", any day of the week" } else { "" };
    let mut entries = vec![
        (Cell::Charge(9), "full".to_string()),
        (Cell::Charge(5), "half".to_string()),
        (Cell::Charge(0), "nearly empty".to_string()),
    ];
    if hours.backup.iter().any(|b| *b) {
        entries.push((Cell::Backup, format!("{}{weekly}", hours.backup_name)));
    }
    if hours.dark.iter().any(|d| *d) {
        entries.push((Cell::Dark, format!("dark{weekly}")));
    }
    entries
}

/// Entry, line and left edge.
fn key_layout(entries: &[(Cell, String)], width: f64) -> Vec<(&(Cell, String), usize, f64)> {
    let (mut x, mut line) = (0.0, 0);
    entries
        .iter()
        .map(|entry| {
            let needs = 4.4 + text_width(&entry.1, LABEL);
            if x > 0.0 && x + needs > width {
                (x, line) = (0.0, line + 1);
            }
            let here = x;
            x += needs + 5.0;
            (entry, line, here)
        })
        .collect()
}

fn swatch(pen: &mut Pen, cell: Cell, a: Area) {
    let mut level = String::new();
    for k in [0.25, 0.75] {
        let _ = write!(level, "M{} {}h{}", n(a.x), n(a.y + a.height * k), n(a.width));
    }
    match cell {
        Cell::Blank => {}
        Cell::Charge(class) => {
            pen.path(CHARGE[class], rect(a));
            if class < 2 {
                pen.path("hatch-ink", level);
            }
        }
        Cell::Backup => {
            pen.path("backup", rect(a));
            pen.path("hatch-paper", level);
        }
        Cell::Dark => pen.path("dark", rect(a)),
    }
}
