//! Charts as values: each in a wide form and in a phone form of its own, with letters of one size in both.

use super::pen::{Area, LABEL, Pen, add_rect, fitted, n, rect, ruling, text_width};
use super::ticks::{Ticks, ticks};
use super::{Anchor, Drawing};
use quantity::significant;
use std::fmt::Write;

/// The sheet a chart is drawn for. A page shows the one that fits and never shrinks the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// 190 mm wide: a page's column, or the width of a printed sheet.
    Wide,
    /// 90 mm wide: a phone held upright.
    Phone,
}

impl Form {
    /// Width of its sheet, millimetres.
    pub fn width(self) -> f64 {
        match self {
            Form::Wide => 190.0,
            Form::Phone => 90.0,
        }
    }
}

/// Names of months for axes.
pub(crate) use crate::sheets::MONTHS;

/// First day of each month of a common year, counted from 0.
pub(crate) fn month_starts() -> [usize; 12] {
    [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334]
}

/// One line of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it shows.
    pub name: String,
    /// `curve`, `curve-second`, `curve-sun` or `curve-battery`.
    pub class: &'static str,
    /// Points with rising first coordinate; points that are not numbers part the line.
    pub points: Vec<(f64, f64)>,
    /// Points to be marked and named, such as the design temperature.
    pub marked: Vec<(f64, f64, String)>,
}

/// A level line.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it limits.
    pub name: String,
    /// Its height.
    pub value: f64,
    /// `limit` for a limit that is a danger to pass, `limit-soft` for any other.
    pub class: &'static str,
}

/// Months with several parts on top of each other, such as where the energy came from. `series` holds name, class and the
/// twelve values, first at the bottom; values below zero count as zero. The phone form lays the months below each other.
pub fn months_stacked(series: &[(&str, &'static str, [f64; 12])], unit: &str, form: Form) -> Drawing {
    let totals: Vec<f64> = (0..12).map(|m| series.iter().map(|s| amount(s.2[m])).sum()).collect();
    let top = totals.iter().copied().fold(0.0, f64::max);
    let entries: Vec<(&'static str, &str)> = series.iter().map(|s| (s.1, s.0)).collect();
    match form {
        Form::Wide => {
            let axis = ticks(0.0, top, 4);
            let mut pen = Pen::new(form.width(), 62.0);
            let field = upright_axis(&mut pen, &axis, unit, 48.0);
            for (month, name) in MONTHS.iter().enumerate() {
                let slot = field.width / 12.0;
                let (x, w) = (field.x + slot * (month as f64 + 0.17), slot * 0.66);
                let mut base = 0.0;
                for (named, class, values) in series {
                    let value = amount(values[month]);
                    let y1 = field.bottom() - field.height * axis.share(base);
                    base += value;
                    let y2 = field.bottom() - field.height * axis.share(base);
                    part(&mut pen, class, Area::new(x, y2, w, y1 - y2), &said(named, name, value, unit));
                }
                pen.text("ax", x + w / 2.0, field.bottom() + 4.2, LABEL, Anchor::Middle, name);
            }
            pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
            key(&mut pen, &entries, field.bottom() + 8.2);
            pen.drawing
        }
        Form::Phone => {
            let rows: Vec<Row<'_>> = (0..12)
                .map(|month| Row {
                    name: MONTHS[month].to_string(),
                    parts: series.iter().map(|s| (s.1, not_below_zero(s.2[month]), s.0)).collect(),
                })
                .collect();
            level_bars(&rows, &entries, unit, form)
        }
    }
}

/// Months with bars beside each other, such as what was listed and what was billed; series as for [`months_stacked`]. The
/// phone form lays the bars below each other.
pub fn months_beside(series: &[(&str, &'static str, [f64; 12])], unit: &str, form: Form) -> Drawing {
    let entries: Vec<(&'static str, &str)> = series.iter().map(|s| (s.1, s.0)).collect();
    if form == Form::Phone {
        let rows: Vec<Row<'_>> = (0..12)
            .flat_map(|month| series.iter().enumerate().map(move |(k, s)| (month, k, s)))
            .map(|(month, k, s)| Row {
                name: if k == 0 { MONTHS[month].to_string() } else { String::new() },
                parts: vec![(s.1, not_below_zero(s.2[month]), s.0)],
            })
            .collect();
        return level_bars(&rows, &entries, unit, form);
    }
    let top = series.iter().flat_map(|s| s.2).map(amount).fold(0.0, f64::max);
    let axis = ticks(0.0, top, 4);
    let mut pen = Pen::new(form.width(), 62.0);
    let field = upright_axis(&mut pen, &axis, unit, 48.0);
    let slot = field.width / 12.0;
    let w = slot * 0.76 / series.len().max(1) as f64;
    for (month, name) in MONTHS.iter().enumerate() {
        let from = field.x + slot * (month as f64 + 0.12);
        for (k, (named, class, values)) in series.iter().enumerate() {
            let height = field.height * axis.share(amount(values[month]));
            let area = Area::new(from + w * k as f64, field.bottom() - height, w, height);
            part(&mut pen, class, area, &said(named, name, values[month], unit));
        }
        pen.text(
            "ax",
            field.x + slot * (month as f64 + 0.5),
            field.bottom() + 4.2,
            LABEL,
            Anchor::Middle,
            name,
        );
    }
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    key(&mut pen, &entries, field.bottom() + 8.2);
    pen.drawing
}

/// Level bars with their names on the left and their values on the right: name, class, value.
pub fn bars(items: &[(String, &'static str, f64)], unit: &str, form: Form) -> Drawing {
    let rows: Vec<Row<'_>> = items
        .iter()
        .map(|(name, class, value)| Row { name: name.clone(), parts: vec![(class, *value, "")] })
        .collect();
    level_bars(&rows, &[], unit, form)
}

/// Peak sun hours of each month, hours a day (kWh/m² a day on the plane).
pub fn sun_hours(values: &[f64; 12], form: Form) -> Drawing {
    let unit = "sun hours a day";
    if form == Form::Phone {
        let rows: Vec<Row<'_>> = (0..12)
            .map(|m| Row { name: MONTHS[m].to_string(), parts: vec![("sun", not_below_zero(values[m]), "")] })
            .collect();
        return level_bars(&rows, &[], unit, form);
    }
    // Each month says its value, so that there is no axis to read it from.
    let top = values.iter().map(|v| amount(*v)).fold(0.0, f64::max).max(1e-9);
    let mut pen = Pen::new(form.width(), 52.0);
    let field = Area::new(0.0, 10.0, form.width(), 36.0);
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, unit);
    for (month, name) in MONTHS.iter().enumerate() {
        let slot = field.width / 12.0;
        let (x, w) = (field.x + slot * (month as f64 + 0.17), slot * 0.66);
        let height = field.height * amount(values[month]) / top;
        let y = field.bottom() - height;
        part(&mut pen, "sun", Area::new(x, y, w, height), &said("", name, values[month], "h a day"));
        pen.text("value", x + w / 2.0, y - 1.0, LABEL, Anchor::Middle, &one_decimal(values[month]));
        pen.text("ax", x + w / 2.0, field.bottom() + 4.2, LABEL, Anchor::Middle, name);
    }
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    pen.drawing
}

/// Lines over a band and level limits, such as the voltage of a string over temperature with the window of its input.
/// `band` is name, low and high. Names of lines and limits stand at the right end in the wide form, below in the phone form.
pub fn line_with_band(
    lines: &[Line],
    band: Option<(&str, f64, f64)>,
    limits: &[Limit],
    across: &str,
    up: &str,
    form: Form,
) -> Drawing {
    let points = || lines.iter().flat_map(|l| l.points.iter()).filter(|p| p.0.is_finite() && p.1.is_finite());
    let heights = || {
        points()
            .map(|p| p.1)
            .chain(limits.iter().map(|l| l.value))
            .chain(band.iter().flat_map(|b| [b.1, b.2]))
            .filter(|y| y.is_finite())
    };
    let least = |a: f64, b: f64| a.min(b);
    let most = |a: f64, b: f64| a.max(b);
    let about = if form == Form::Wide { 6 } else { 4 };
    let from = points().map(|p| p.0).fold(f64::INFINITY, least);
    let to = points().map(|p| p.0).fold(f64::NEG_INFINITY, most);
    // Lines fill the width; only the ticks are round.
    let (from, to) = if from < to { (from, to) } else { (0.0, 1.0) };
    let x_share = |x: f64| (x - from) / (to - from);
    let x_ticks: Vec<f64> =
        ticks(from, to, about).values.into_iter().filter(|x| (from..=to).contains(x)).collect();
    let y_axis = ticks(heights().fold(f64::INFINITY, least), heights().fold(f64::NEG_INFINITY, most), 5);
    let names_width = if form == Form::Wide { 46.0 } else { 0.0 };
    let below = if form == Form::Wide {
        0.0
    } else {
        5.2 * (lines.iter().map(|l| 1 + l.marked.len()).sum::<usize>()
            + limits.len()
            + usize::from(band.is_some())) as f64
    };
    let left = y_axis.values.iter().map(|v| text_width(&significant(*v, 4), LABEL)).fold(0.0, f64::max) + 2.0;
    let tall = if form == Form::Wide { 62.0 } else { 56.0 };
    let field = Area::new(left, 7.0, form.width() - left - names_width - 3.0, tall);
    let mut pen = Pen::new(form.width(), field.bottom() + 11.0 + below + if below > 0.0 { 3.0 } else { 0.0 });
    let px = |x: f64| field.x + field.width * x_share(x);
    let py = |y: f64| field.bottom() - field.height * y_axis.share(y);
    if let Some((name, low, high)) = band
        && low.is_finite()
        && high.is_finite()
    {
        let area = Area::new(field.x, py(high.max(low)), field.width, (py(low) - py(high)).abs());
        pen.titled("band", rect(area), "", name);
    }
    for value in &y_axis.values {
        pen.line("grid", field.x, py(*value), field.right(), py(*value));
        pen.text("ax", field.x - 1.4, py(*value) + 0.36 * LABEL, LABEL, Anchor::End, &significant(*value, 4));
    }
    pen.text("ax", 0.0, 3.0, LABEL, Anchor::Start, up);
    for value in &x_ticks {
        pen.line("axis", px(*value), field.bottom(), px(*value), field.bottom() + 1.0);
        pen.text("ax", px(*value), field.bottom() + 4.4, LABEL, Anchor::Middle, &significant(*value, 4));
    }
    pen.text("ax", field.x + field.width / 2.0, field.bottom() + 9.0, LABEL, Anchor::Middle, across);
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    for limit in limits.iter().filter(|l| l.value.is_finite()) {
        pen.titled(
            limit.class,
            format!("M{} {}H{}", n(field.x), n(py(limit.value)), n(field.right())),
            "",
            &limit.name,
        );
    }
    for line in lines {
        pen.titled(line.class, polyline(&line.points, px, py), "", &line.name);
    }
    let mut marked_names: Vec<&str> = Vec::new();
    let marked = lines.iter().flat_map(|line| line.marked.iter().map(move |m| (line, m)));
    for (line, (x, y, name)) in marked.filter(|(_, m)| m.0.is_finite() && m.1.is_finite()) {
        pen.path("solid", super::one_line::circle(px(*x), py(*y), 0.9));
        if form == Form::Phone {
            // Too narrow for words beside the point; they stand in the key.
            marked_names.push(name.as_str());
            continue;
        }
        // The words lean away from the nearer edge.
        let right_half = x_share(*x) > 0.5;
        let (dx, lean) = if right_half { (-1.8_f64, Anchor::End) } else { (1.8, Anchor::Start) };
        let reach = dx.signum() * text_width(name, LABEL);
        let over = |height: f64| limits.iter().any(|l| (py(l.value) - height + 1.0).abs() < 3.0);
        let mut baseline = py(*y) - 1.6;
        if over(baseline) {
            // Under the line instead, clear of where it is lowest beside the words.
            let beside = line.points.iter().filter(|p| {
                let ahead = (px(p.0) - px(*x)) * dx.signum();
                ahead >= 0.0 && ahead <= reach.abs() + 4.0
            });
            baseline =
                beside.map(|p| py(p.1)).filter(|y| y.is_finite()).fold(py(*y), f64::max) + 1.2 + 0.75 * LABEL;
        }
        pen.text("note", px(*x) + dx, baseline, LABEL, lean, name);
    }
    let mut names: Vec<(f64, &'static str, &str)> = Vec::new();
    for line in lines {
        let end = line.points.iter().rev().find(|p| p.0.is_finite() && p.1.is_finite());
        if let Some(end) = end {
            names.push((py(end.1), line.class, &line.name));
        }
    }
    names.extend(
        limits.iter().filter(|l| l.value.is_finite()).map(|l| (py(l.value), l.class, l.name.as_str())),
    );
    if let Some((name, low, high)) = band.filter(|b| b.1.is_finite() && b.2.is_finite()) {
        names.push((py((low + high) / 2.0), "band", name));
    }
    if form == Form::Wide {
        names_at_the_end(&mut pen, names, field, names_width);
    } else {
        let points = marked_names.into_iter().map(|name| ("solid", name));
        for (k, (class, name)) in
            points.chain(names.into_iter().map(|(_, class, name)| (class, name))).enumerate()
        {
            let y = field.bottom() + 14.0 + 5.2 * k as f64;
            sample(&mut pen, class, 0.0, y);
            pen.text(
                "ax",
                8.0,
                y + 0.36 * LABEL,
                LABEL,
                Anchor::Start,
                &fitted(name, LABEL, form.width() - 8.0),
            );
        }
    }
    pen.drawing
}

/// Names beside the ends of their lines, moved apart where two would overlap.
fn names_at_the_end(pen: &mut Pen, mut names: Vec<(f64, &'static str, &str)>, field: Area, width: f64) {
    const STEP: f64 = 4.4;
    names.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut heights: Vec<f64> = names.iter().map(|name| name.0).collect();
    for k in 1..heights.len() {
        heights[k] = heights[k].max(heights[k - 1] + STEP);
    }
    let mut floor = field.bottom();
    for height in heights.iter_mut().rev() {
        *height = height.min(floor);
        floor = *height - STEP;
    }
    for ((at, class, name), height) in names.iter().zip(heights) {
        if *class != "band" {
            pen.path(
                "frame-thin",
                format!("M{} {}L{} {}", n(field.right() + 0.4), n(*at), n(field.right() + 3.4), n(height)),
            );
        }
        let tone = if *class == "limit" { "danger" } else { "value" };
        let text = fitted(name, LABEL, width - 3.0);
        pen.text(tone, field.right() + 4.0, height + 0.36 * LABEL, LABEL, Anchor::Start, &text);
    }
}

fn sample(pen: &mut Pen, class: &'static str, x: f64, y: f64) {
    if class == "solid" {
        pen.path(class, super::one_line::circle(x + 3.0, y, 0.9));
    } else if class == "band" {
        pen.path(class, rect(Area::new(x, y - 1.5, 6.0, 3.0)));
    } else {
        pen.line(class, x, y, x + 6.0, y);
    }
}

fn polyline(points: &[(f64, f64)], px: impl Fn(f64) -> f64, py: impl Fn(f64) -> f64) -> String {
    let mut d = String::new();
    let mut open = false;
    for &(x, y) in points {
        if !x.is_finite() || !y.is_finite() {
            open = false;
            continue;
        }
        let _ = write!(d, "{}{} {}", if open { 'L' } else { 'M' }, n(px(x)), n(py(y)));
        open = true;
    }
    d
}

/// One row of level bars.
struct Row<'a> {
    name: String,
    /// Class, value, name of the part.
    parts: Vec<(&'static str, f64, &'a str)>,
}

fn level_bars(rows: &[Row<'_>], entries: &[(&'static str, &str)], unit: &str, form: Form) -> Drawing {
    const BAR: f64 = 5.6;
    const NAME: f64 = 4.4;
    let total = |row: &Row<'_>| row.parts.iter().map(|p| finite(p.1)).sum::<f64>();
    let total_said = |row: &Row<'_>| {
        if row.parts.iter().all(|p| p.1.is_finite()) { shown(total(row)) } else { shown(f64::NAN) }
    };
    let longest = rows.iter().map(|r| text_width(&r.name, LABEL)).fold(0.0, f64::max);
    // Long names stand over their bars on a phone, beside them elsewhere.
    let over = form == Form::Phone && longest > form.width() * 0.3;
    let names = if over { 0.0 } else { longest.min(form.width() * 0.42) };
    let step = if over { BAR + NAME + 1.0 } else { BAR };
    let numbers = rows.iter().map(|r| text_width(&total_said(r), LABEL)).fold(0.0, f64::max) + 1.6;
    let (low, high) = rows.iter().map(&total).fold((0.0f64, 0.0f64), |(l, h), v| (l.min(v), h.max(v)));
    let span = if high - low > 0.0 { high - low } else { 1.0 };
    let left = if over { 0.3 } else { names + 2.0 };
    let room = form.width() - left - numbers * if low < 0.0 { 2.0 } else { 1.0 };
    let zero = left + if low < 0.0 { numbers + room * -low / span } else { 0.0 };
    let head = if unit.is_empty() { 1.0 } else { 5.6 };
    let key_height =
        if entries.is_empty() { 0.0 } else { 3.0 + 5.4 * key_lines(entries, form.width()) as f64 };
    let mut pen = Pen::new(form.width(), head + step * rows.len() as f64 + 1.0 + key_height);
    pen.text("ax", if over { 0.0 } else { zero }, 3.2, LABEL, Anchor::Start, unit);
    for (k, row) in rows.iter().enumerate() {
        let row_top = head + step * k as f64;
        let y = row_top + step - BAR;
        let baseline = y + BAR / 2.0 + 0.36 * LABEL;
        if over {
            pen.text(
                "ax",
                0.0,
                row_top + NAME,
                LABEL,
                Anchor::Start,
                &fitted(&row.name, LABEL, form.width()),
            );
        } else {
            pen.text("ax", left - 2.0, baseline, LABEL, Anchor::End, &fitted(&row.name, LABEL, names));
        }
        let mut at = zero;
        for (class, value, name) in &row.parts {
            let length = room * finite(*value) / span;
            let area = Area::new(at.min(at + length), y + 0.8, length.abs(), BAR - 1.6);
            part(&mut pen, class, area, &said(name, &row.name, *value, unit));
            at += length;
        }
        let (x, lean) = if total(row) < 0.0 { (at - 1.2, Anchor::End) } else { (at + 1.2, Anchor::Start) };
        pen.text("value", x, baseline, LABEL, lean, &total_said(row));
        pen.line("axis", zero, y, zero, y + BAR);
    }
    key(&mut pen, entries, head + step * rows.len() as f64 + 3.0);
    pen.drawing
}

/// An area of a chart. Backup is ruled level, because in grey its violet is as dark as the battery's teal; the sun's
/// ochre is lighter than both.
fn part(pen: &mut Pen, class: &'static str, area: Area, title: &str) {
    if area.width <= 0.0 || area.height <= 0.0 {
        return;
    }
    pen.titled(class, rect(area), "", title);
    let mut d = String::new();
    if class == "backup" {
        ruling(&mut d, area, 0.9, false);
    }
    pen.path("hatch-paper", d);
    let mut edge = String::new();
    add_rect(&mut edge, area);
    pen.path("gap", edge);
}

pub(super) fn upright_axis(pen: &mut Pen, axis: &Ticks, unit: &str, bottom: f64) -> Area {
    let left = axis.values.iter().map(|v| text_width(&significant(*v, 4), LABEL)).fold(0.0, f64::max) + 2.0;
    let field = Area::new(left, 7.0, pen.drawing.width - left, bottom - 7.0);
    for value in &axis.values {
        let y = field.bottom() - field.height * axis.share(*value);
        pen.line("grid", field.x, y, field.right(), y);
        pen.text("ax", field.x - 1.4, y + 0.36 * LABEL, LABEL, Anchor::End, &significant(*value, 4));
    }
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, unit);
    field
}

fn key_lines(entries: &[(&'static str, &str)], width: f64) -> usize {
    let (mut x, mut lines) = (0.0, 1);
    for (_, name) in entries {
        let needs = 4.4 + text_width(name, LABEL);
        if x > 0.0 && x + needs > width {
            (x, lines) = (0.0, lines + 1);
        }
        x += needs + 5.0;
    }
    lines
}

fn key(pen: &mut Pen, entries: &[(&'static str, &str)], top: f64) {
    let (mut x, mut y) = (0.0, top);
    for (class, name) in entries {
        let needs = 4.4 + text_width(name, LABEL);
        if x > 0.0 && x + needs > pen.drawing.width {
            (x, y) = (0.0, y + 5.4);
        }
        part(pen, class, Area::new(x, y, 3.0, 3.0), "");
        pen.text("ax", x + 4.4, y + 1.5 + 0.36 * LABEL, LABEL, Anchor::Start, name);
        x += needs + 5.0;
    }
}

fn said(part: &str, name: &str, value: f64, unit: &str) -> String {
    let part = if part.is_empty() { String::new() } else { format!("{part}, ") };
    format!("{part}{name}: {} {unit}", shown(value))
}

fn shown(value: f64) -> String {
    if value.is_finite() { significant(value, 3) } else { "not known".into() }
}

fn one_decimal(value: f64) -> String {
    if value.is_finite() { format!("{value:.1}") } else { "–".into() }
}

fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}

/// What is not a number stays so, to be shown as not known.
fn not_below_zero(value: f64) -> f64 {
    if value < 0.0 { 0.0 } else { value }
}

fn amount(value: f64) -> f64 {
    finite(value).max(0.0)
}

#[cfg(test)]
mod tests;
