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
    /// Strings in the order of the design.
    pub strings: Vec<StringOnPlane>,
}

/// The part of a string that lies on a plane.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct StringOnPlane {
    /// Owner's name.
    pub name: String,
    /// Its modules on this plane.
    pub modules: usize,
    /// The module row it fills, counted from 1 at the lower edge, where that is said; over all rows otherwise.
    pub row: Option<usize>,
    /// Its first column, counted from 1 at the left, where that is said; after the strings before it otherwise.
    pub first_column: Option<usize>,
}

/// A module in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacedModule {
    /// Place of its string among those of the plane.
    pub string: usize,
    /// Its number in the string, from 1.
    pub number: usize,
    /// Row, from 0 at the top.
    pub row: usize,
    /// Column, from 0 at the left.
    pub column: usize,
}

impl PlaneLayout {
    /// Whether the owner says anything of where the modules lie.
    pub fn is_said(&self) -> bool {
        self.rows > 0 || self.strings.iter().any(|s| s.row.is_some() || s.first_column.is_some())
    }

    /// Rows and columns.
    pub fn shape(&self) -> (usize, usize) {
        let count: usize = self.strings.iter().map(|s| s.modules).sum();
        match (self.is_said(), self.columns) {
            (true, columns) => {
                let named = self.strings.iter().filter_map(|s| s.row).max().unwrap_or(1);
                let reached = self.modules().iter().map(|m| m.column + 1).max().unwrap_or(0);
                (self.rows.max(named), columns.max(reached))
            }
            (false, 0) => {
                let columns = if count > 12 { count.div_ceil(2).min(16) } else { count };
                (count.div_ceil(columns.max(1)), columns)
            }
            (false, columns) => (count.div_ceil(columns), columns),
        }
    }

    /// Every module in its place. Where rows are said, strings lie side by side over all of them or in the row they name, as the
    /// study of shade takes them; where nothing is said they follow each other along the rows, to and fro.
    pub fn modules(&self) -> Vec<PlacedModule> {
        if self.is_said() { self.as_said() } else { self.in_order() }
    }

    fn in_order(&self) -> Vec<PlacedModule> {
        let (_, columns) = self.shape();
        let all = self.strings.iter().enumerate().flat_map(|(at, s)| (1..=s.modules).map(move |n| (at, n)));
        all.enumerate()
            .map(|(k, (string, number))| {
                let (row, along) = (k / columns.max(1), k % columns.max(1));
                let column = if row % 2 == 0 { along } else { columns - 1 - along };
                PlacedModule { string, number, row, column }
            })
            .collect()
    }

    fn as_said(&self) -> Vec<PlacedModule> {
        let named = self.strings.iter().filter_map(|s| s.row).max().unwrap_or(1);
        let rows = self.rows.max(named).max(1);
        let mut ends = vec![0_usize; rows];
        let mut modules = Vec::new();
        for (string, of) in self.strings.iter().enumerate() {
            let own = match of.row {
                // Rows are counted up from the lower edge and drawn down from the upper one.
                Some(row) => rows - row.clamp(1, rows)..rows - row.clamp(1, rows) + 1,
                None => 0..rows,
            };
            let wide = of.modules.div_ceil(own.len()).max(1);
            let after = ends[own.clone()].iter().copied().max().unwrap_or(0);
            let begins = of.first_column.map_or(after, |first| first.max(1) - 1);
            modules.extend((0..of.modules).map(|k| {
                let (down, along) = (k / wide, k % wide);
                let column = begins + if down % 2 == 0 { along } else { wide - 1 - along };
                PlacedModule { string, number: k + 1, row: own.start + down, column }
            }));
            ends[own].iter_mut().for_each(|end| *end = (*end).max(begins + wide));
        }
        modules
    }
}

/// Draws the planes below each other. Each string has a texture of its own; places without a module are drawn empty.
pub fn string_map(planes: &[PlaneLayout], form: Form) -> Drawing {
    let width = form.width();
    let widest = planes.iter().map(|p| p.shape().1).max().unwrap_or(1).max(1);
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

fn draw_plane(pen: &mut Pen, plane: &PlaneLayout, first: Area, per_row: usize, texture: &mut usize) -> f64 {
    let (rows, columns) = plane.shape();
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
    let modules = plane.modules();
    let first_texture = *texture;
    let mut taken = vec![false; rows * columns];
    for module in &modules {
        let (row, column) = (module.row, module.column);
        if let Some(taken) = taken.get_mut(row * columns + column) {
            *taken = true;
        }
        let (kind, name) = (first_texture + module.string, plane.strings[module.string].name.as_str());
        let area = place(row, column);
        let inner = Area::new(area.x + 0.25, area.y + 0.25, area.width - 0.5, area.height - 0.5);
        let class = if kind.is_multiple_of(2) { "module" } else { "module-tint" };
        pen.titled(class, rect(inner), name, &format!("{name}, module {}", module.number));
        fill(pen, kind, inner);
        let (cx, cy) = (area.x + area.width / 2.0, area.y + area.height / 2.0);
        // The number stands on paper, clear of the texture.
        let text = module.number.to_string();
        let half = text_width(&text, LEGIBLE) / 2.0 + 0.5;
        pen.path("device-open", rect(Area::new(cx - half, cy - 1.9, 2.0 * half, 3.8)));
        pen.text_of("value", cx, cy + 0.36 * LEGIBLE, LEGIBLE, Anchor::Middle, &text, name);
    }
    let spare = taken.iter().enumerate().filter(|(_, taken)| !**taken);
    for at in spare.map(|(at, _)| place(at / columns, at % columns)) {
        let inner = Area::new(at.x + 0.25, at.y + 0.25, at.width - 0.5, at.height - 0.5);
        pen.path("module-spare", rect(inner));
    }
    *texture += plane.strings.len();
    let entries = plane.strings.iter().enumerate().map(|(k, string)| (first_texture + k, string));
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
