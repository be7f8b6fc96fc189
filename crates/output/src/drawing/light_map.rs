//! Light on a plane in every hour of a year: days across, hours of the day down.

use super::charts::{Form, MONTHS, month_starts};
use super::pen::{Area, LABEL, Pen, add_rect, rect, text_width};
use super::{Anchor, Drawing};

/// Upper ends of the six classes, W/m²; below the first nothing is drawn.
pub const LIGHT_CLASSES_W_M2: [f64; 6] = [100.0, 250.0, 450.0, 650.0, 850.0, f64::INFINITY];
const CLASSES: [&str; 6] = ["l0", "l1", "l2", "l3", "l4", "l5"];
/// Darker than this an hour stays blank, W/m².
const BLANK_W_M2: f64 = 5.0;

/// Draws `light_w_m2` (8760 hours from 1 January, each for the hour ending at its stamp). `covered` marks hours in which
/// snow lies on the plane. The phone form shows weeks instead of days.
pub fn light_map(light_w_m2: &[f64], covered: &[bool], form: Form) -> Drawing {
    let days = light_w_m2.len() / 24;
    let row = if form == Form::Wide { 1.75 } else { 1.9 };
    let left = text_width("noon", LABEL) + 1.6;
    let field = Area::new(left, 1.5, form.width() - left - 1.0, 24.0 * row);
    let together = if form == Form::Wide { 1 } else { 7 };
    let columns = days.div_ceil(together).max(1);
    let step = field.width * together as f64 / days.max(1) as f64;
    let entries = key_entries(covered);
    let lines = key_lines(&entries, form.width());
    let height = lines.last().map_or(0.0, |(line, _)| (*line + 1) as f64 * 5.4);
    let mut pen = Pen::new(form.width(), field.bottom() + 9.6 + height);
    let mut paths = vec![String::new(); CLASSES.len()];
    let mut snow = String::new();
    let class_of = |hour: usize, column: usize| -> (Option<usize>, bool) {
        let indices = (column * together..((column + 1) * together).min(days)).map(|day| day * 24 + hour);
        let (mut sum, mut count, mut white) = (0.0, 0.0, false);
        for index in indices {
            if let Some(light) = light_w_m2.get(index).filter(|light| light.is_finite()) {
                sum += light;
                count += 1.0;
            }
            white |= covered.get(index).copied().unwrap_or(false);
        }
        let mean = if count > 0.0 { sum / count } else { 0.0 };
        if mean < BLANK_W_M2 {
            return (None, false);
        }
        (LIGHT_CLASSES_W_M2.iter().position(|upper| mean < *upper), white)
    };
    for hour in 0..24 {
        let y = field.y + hour as f64 * row;
        let mut start = 0;
        while start < columns {
            let here = class_of(hour, start);
            let mut end = start + 1;
            while end < columns && class_of(hour, end) == here {
                end += 1;
            }
            let x = field.x + step * start as f64;
            let right = (field.x + step * end as f64).min(field.right());
            let area = Area::new(x, y, right - x, row + 0.03);
            if let (Some(class), white) = here {
                add_rect(&mut paths[class], area);
                if white {
                    add_rect(&mut snow, Area::new(x, y + row * 0.3, right - x, row * 0.4));
                }
            }
            start = end;
        }
    }
    for (class, d) in CLASSES.into_iter().zip(paths) {
        pen.path(class, d);
    }
    pen.titled("device-open", snow, "", "snow on the plane");
    let at = |day: usize| field.x + field.width * day as f64 / days.max(1) as f64;
    for &start in month_starts().iter().skip(1).filter(|start| **start < days) {
        pen.line("grid", at(start), field.y, at(start), field.bottom());
    }
    for (month, name) in MONTHS.iter().enumerate() {
        let (from, to) = (month_starts()[month], month_starts().get(month + 1).copied().unwrap_or(365));
        let short = if form == Form::Wide { *name } else { &name[..1] };
        let y = field.bottom() + 1.2 + 0.75 * LABEL;
        pen.text("ax", (at(from) + at(to)) / 2.0, y, LABEL, Anchor::Middle, short);
    }
    for (hour, name) in [(0, "0 h"), (6, "6"), (12, "noon"), (18, "18"), (24, "24")] {
        let shift = if hour == 0 {
            0.75
        } else if hour == 24 {
            0.0
        } else {
            0.36
        };
        let y = field.y + f64::from(hour) * row + shift * LABEL;
        pen.text("ax", field.x - 1.2, y, LABEL, Anchor::End, name);
    }
    pen.path("frame-thin", rect(field));
    for ((class, name), (line, x)) in entries.iter().zip(lines) {
        let y = field.bottom() + 9.6 + line as f64 * 5.4;
        if *class == "device-open" {
            pen.path("l3", rect(Area::new(x, y, 3.0, 3.0)));
            pen.path(class, rect(Area::new(x, y + 0.9, 3.0, 1.2)));
        } else {
            pen.path(class, rect(Area::new(x, y, 3.0, 3.0)));
        }
        pen.text("ax", x + 4.4, y + 1.5 + 0.36 * LABEL, LABEL, Anchor::Start, name);
    }
    pen.drawing
}

fn key_entries(covered: &[bool]) -> Vec<(&'static str, String)> {
    let mut entries: Vec<(&'static str, String)> = Vec::new();
    let mut low = BLANK_W_M2;
    for (class, upper) in CLASSES.into_iter().zip(LIGHT_CLASSES_W_M2) {
        let words = if upper.is_finite() {
            format!("{low:.0} to {upper:.0}")
        } else {
            format!("over {low:.0} W/m²")
        };
        entries.push((class, words));
        low = upper;
    }
    if covered.iter().any(|white| *white) {
        entries.push(("device-open", "snow on it".into()));
    }
    entries
}

fn key_lines(entries: &[(&'static str, String)], width: f64) -> Vec<(usize, f64)> {
    let (mut x, mut line) = (0.0, 0);
    entries
        .iter()
        .map(|(_, name)| {
            let needs = 4.4 + text_width(name, LABEL);
            if x > 0.0 && x + needs > width {
                (x, line) = (0.0, line + 1);
            }
            let at = (line, x);
            x += needs + 4.0;
            at
        })
        .collect()
}
