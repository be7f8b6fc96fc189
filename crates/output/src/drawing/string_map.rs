//! Plan of the planes: modules numbered in their strings, strings told apart by hatching, so that it reads in grey.

use super::charts::Form;
use super::pen::{Area, LABEL, LEGIBLE, Pen, fitted, hatch, n, rect, ruling, text_width};
use super::{Anchor, Drawing};

/// A plane as it is seen from in front, first row on top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlaneLayout {
    /// Owner's name.
    pub name: String,
    /// Rows of modules; 0 where the owner gives only a count, and one is chosen for the drawing.
    pub rows: usize,
    /// Modules in a row; 0 where the owner gives only a count.
    pub columns: usize,
    /// Strings in the order in which they take the modules: along the first row, back along the next.
    pub strings: Vec<StringOnPlane>,
}

/// The part of a string that lies on a plane.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StringOnPlane {
    /// Owner's name.
    pub name: String,
    /// Its modules on this plane.
    pub modules: usize,
}

/// Draws the planes below each other. Strings on one plane share a snake through the rows; each has a texture of its
/// own; modules without a string are drawn empty.
pub fn string_map(planes: &[PlaneLayout], form: Form) -> Drawing {
    let width = form.width();
    let widest = planes.iter().map(|p| shape(p).1).max().unwrap_or(1).max(1);
    // A module is upright, 1 by 1.7, as common modules are; a phone sees smaller ones but the same letters.
    let module = ((width - 2.0) / widest as f64).clamp(7.0, 12.0);
    let tall = module * if form == Form::Wide { 1.5 } else { 1.2 };
    let per_row = (((width - 2.0) / module).floor() as usize).max(1);
    let mut pen = Pen::new(width, 0.0);
    let mut y = 1.0;
    let mut texture = 0;
    for plane in planes {
        y = draw_plane(&mut pen, plane, Area::new(1.0, y, module, tall), per_row, &mut texture);
    }
    pen.drawing.height = y.max(4.0);
    pen.drawing
}

/// Rows and columns.
fn shape(plane: &PlaneLayout) -> (usize, usize) {
    let count: usize = plane.strings.iter().map(|s| s.modules).sum();
    match (plane.rows, plane.columns) {
        (0, 0) => {
            let columns = if count > 12 { count.div_ceil(2).min(16) } else { count };
            (count.div_ceil(columns.max(1)), columns)
        }
        (0, columns) => (count.div_ceil(columns), columns),
        (rows, 0) => (rows, count.div_ceil(rows)),
        (rows, columns) => (rows.max(count.div_ceil(columns)), columns),
    }
}

fn draw_plane(pen: &mut Pen, plane: &PlaneLayout, first: Area, per_row: usize, texture: &mut usize) -> f64 {
    let (rows, columns) = shape(plane);
    let width = pen.drawing.width;
    let count: usize = plane.strings.iter().map(|s| s.modules).sum();
    let title = format!("{} · {count} modules", plane.name);
    pen.text("head", first.x, first.y + 4.0, LABEL, Anchor::Start, &fitted(&title, LABEL, width * 0.95));
    let top = first.y + 6.4;
    // A plane wider than the sheet is broken into bands below each other.
    let bands = columns.div_ceil(per_row).max(1);
    let band_height = rows as f64 * first.height + if bands > 1 { 3.0 } else { 0.0 };
    let place = |row: usize, column: usize| {
        let band = column / per_row;
        Area::new(
            first.x + (column % per_row) as f64 * first.width,
            top + band as f64 * band_height + row as f64 * first.height,
            first.width,
            first.height,
        )
    };
    let mut snake = (0..rows)
        .flat_map(|row| (0..columns).map(move |k| (row, if row % 2 == 0 { k } else { columns - 1 - k })));
    let mut entries = Vec::new();
    for string in &plane.strings {
        let kind = *texture;
        *texture += 1;
        for number in 1..=string.modules {
            let Some((row, column)) = snake.next() else { break };
            let area = place(row, column);
            let inner = Area::new(area.x + 0.25, area.y + 0.25, area.width - 0.5, area.height - 0.5);
            let class = if kind.is_multiple_of(2) { "module" } else { "module-tint" };
            pen.titled(class, rect(inner), &string.name, &format!("{}, module {number}", string.name));
            fill(pen, kind, inner);
            let (cx, cy) = (area.x + area.width / 2.0, area.y + area.height / 2.0);
            // The number stands on paper, clear of the texture.
            let text = number.to_string();
            let half = text_width(&text, LEGIBLE) / 2.0 + 0.5;
            pen.path("device-open", rect(Area::new(cx - half, cy - 1.9, 2.0 * half, 3.8)));
            pen.text_of("value", cx, cy + 0.36 * LEGIBLE, LEGIBLE, Anchor::Middle, &text, &string.name);
        }
        entries.push((kind, string));
    }
    for (row, column) in snake {
        pen.path(
            "module-spare",
            rect(Area {
                x: place(row, column).x + 0.25,
                y: place(row, column).y + 0.25,
                width: first.width - 0.5,
                height: first.height - 0.5,
            }),
        );
    }
    let (mut x, mut y) = (first.x, top + bands as f64 * band_height + 2.0);
    for (kind, string) in entries {
        let words = fitted(&format!("{}, {} modules", string.name, string.modules), LABEL, width - 10.0);
        let needs = 7.4 + text_width(&words, LABEL);
        if x > first.x && x + needs > width {
            (x, y) = (first.x, y + 5.6);
        }
        let area = Area::new(x, y, 6.0, 3.6);
        pen.path(if kind.is_multiple_of(2) { "module" } else { "module-tint" }, rect(area));
        fill(pen, kind, area);
        pen.text_of("ax", x + 7.4, y + 1.8 + 0.36 * LABEL, LABEL, Anchor::Start, &words, &string.name);
        x += needs + 5.0;
    }
    y + 9.0
}

/// Eight textures; odd ones lie on a tint.
fn fill(pen: &mut Pen, kind: usize, area: Area) {
    let mut d = String::new();
    match kind % 8 {
        0 => hatch(&mut d, area, 1.6, true),
        1 => {}
        2 => hatch(&mut d, area, 1.6, false),
        3 => ruling(&mut d, area, 1.2, false),
        4 => {
            hatch(&mut d, area, 2.2, true);
            hatch(&mut d, area, 2.2, false);
        }
        5 => ruling(&mut d, area, 1.2, true),
        6 => {
            ruling(&mut d, area, 2.0, true);
            ruling(&mut d, area, 2.0, false);
        }
        _ => {
            for (k, y) in [0.25, 0.75].into_iter().enumerate() {
                for step in 0..4 {
                    let x = area.x + area.width * (0.14 + 0.24 * f64::from(step) + 0.06 * k as f64);
                    d.push_str(&format!("M{} {}h0.6", n(x), n(area.y + area.height * y)));
                }
            }
        }
    }
    pen.path("hatch-ink", d);
}
