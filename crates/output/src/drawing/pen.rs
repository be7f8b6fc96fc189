//! A pen for building drawings: shapes by name, numbers printed shortly, text measured before it is set.

use super::{Anchor, Drawing, Shape};
use std::fmt::Write;

/// Smallest letters a drawing may carry, millimetres: about 10.6 CSS pixels, or 8 points.
pub const LEGIBLE: f64 = 2.8;

/// Usual letters of axes and labels, millimetres: 12 CSS pixels.
pub const LABEL: f64 = 3.2;

/// A rectangle, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl Area {
    pub(crate) fn new(x: f64, y: f64, width: f64, height: f64) -> Self {
        Area { x, y, width, height }
    }
    pub(crate) fn right(&self) -> f64 {
        self.x + self.width
    }
    pub(crate) fn bottom(&self) -> f64 {
        self.y + self.height
    }
}

/// Draws shapes onto a sheet.
pub(crate) struct Pen {
    pub(crate) drawing: Drawing,
}

impl Pen {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Pen { drawing: Drawing { width, height, shapes: Vec::new() } }
    }

    pub(crate) fn path(&mut self, class: &'static str, d: String) {
        self.titled(class, d, "", "");
    }

    pub(crate) fn titled(&mut self, class: &'static str, d: String, of: &str, title: &str) {
        if !d.is_empty() {
            self.drawing.shapes.push(Shape::Path { d, class, of: of.to_string(), title: title.to_string() });
        }
    }

    pub(crate) fn line(&mut self, class: &'static str, x1: f64, y1: f64, x2: f64, y2: f64) {
        self.path(class, format!("M{} {}L{} {}", n(x1), n(y1), n(x2), n(y2)));
    }

    pub(crate) fn text(
        &mut self,
        class: &'static str,
        x: f64,
        y: f64,
        size: f64,
        anchor: Anchor,
        text: &str,
    ) {
        self.text_of(class, x, y, size, anchor, text, "");
    }

    pub(crate) fn text_of(
        &mut self,
        class: &'static str,
        x: f64,
        y: f64,
        size: f64,
        anchor: Anchor,
        text: &str,
        of: &str,
    ) {
        if !text.is_empty() {
            self.drawing.shapes.push(Shape::Text {
                x,
                y,
                size,
                anchor,
                class,
                of: of.to_string(),
                text: text.to_string(),
            });
        }
    }
}

/// A number with at most two decimals, as short as it can be; not-a-number never reaches a sheet.
pub(crate) fn n(value: f64) -> String {
    if !value.is_finite() {
        return "0".into();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.to_string() }
}

/// Path of a rectangle.
pub(crate) fn rect(area: Area) -> String {
    let mut d = String::new();
    add_rect(&mut d, area);
    d
}

/// Adds a rectangle to a path.
pub(crate) fn add_rect(d: &mut String, a: Area) {
    let _ = write!(d, "M{} {}h{}v{}h{}z", n(a.x), n(a.y), n(a.width), n(a.height), n(-a.width));
}

/// Lines at 45° inside a rectangle, rising to the right or falling, `step` apart along x.
pub(crate) fn hatch(d: &mut String, a: Area, step: f64, rising: bool) {
    if a.width <= 0.0 || a.height <= 0.0 || step <= 0.0 {
        return;
    }
    // Lines lie on one lattice for the whole sheet, so that neighbours of one string hatch through.
    let first = if rising { a.x + a.y } else { a.x - a.bottom() };
    let last = if rising { a.right() + a.bottom() } else { a.right() - a.y };
    let mut at = (first / step).ceil() * step;
    while at < last {
        // Rising: x + y = at. Falling: x - y = at.
        let (x1, x2) = if rising {
            ((at - a.bottom()).max(a.x), (at - a.y).min(a.right()))
        } else {
            ((at + a.y).max(a.x), (at + a.bottom()).min(a.right()))
        };
        let y_at = |x: f64| if rising { at - x } else { x - at };
        if x2 - x1 > 0.05 {
            let _ = write!(d, "M{} {}L{} {}", n(x1), n(y_at(x1)), n(x2), n(y_at(x2)));
        }
        at += step;
    }
}

/// Horizontal or upright lines inside a rectangle, `step` apart on one lattice.
pub(crate) fn ruling(d: &mut String, a: Area, step: f64, upright: bool) {
    if step <= 0.0 {
        return;
    }
    let (from, to) = if upright { (a.x, a.right()) } else { (a.y, a.bottom()) };
    let mut at = (from / step).ceil() * step;
    while at < to {
        if at > from {
            if upright {
                let _ = write!(d, "M{} {}v{}", n(at), n(a.y), n(a.height));
            } else {
                let _ = write!(d, "M{} {}h{}", n(a.x), n(at), n(a.width));
            }
        }
        at += step;
    }
}

/// Width of a text line set in a usual sans serif, a little generous, millimetres.
///
/// Advance widths in thousandths of an em, rounded up from those common to metric-compatible faces (from memory).
pub fn text_width(text: &str, size: f64) -> f64 {
    let em: f64 = text
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '\'' | '|' => 0.25,
            ' ' | '.' | ',' | ':' | ';' | 'f' | 't' | 'I' | '!' | '/' | '·' | '-' | '(' | ')' => 0.32,
            'r' => 0.36,
            'm' | 'M' | 'W' | '%' | 'w' | '–' | '—' => 0.88,
            'A'..='Z' => 0.7,
            'a'..='z' | '0'..='9' => 0.57,
            _ => 0.62,
        })
        .sum();
    em * size
}

/// The text, shortened with an ellipsis to fit a width.
pub(crate) fn fitted(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_string();
    }
    let mut short = String::new();
    for c in text.chars() {
        short.push(c);
        if text_width(&short, size) + 0.62 * size > width {
            short.pop();
            break;
        }
    }
    format!("{}…", short.trim_end())
}

/// The text broken at spaces into lines that fit a width.
pub(crate) fn wrapped(text: &str, size: f64, width: f64, at_most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(line, size) + text_width(word, size) + 0.32 * size <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    if lines.len() > at_most {
        let rest = lines.split_off(at_most.saturating_sub(1)).join(" ");
        lines.push(rest);
    }
    lines.iter().map(|line| fitted(line, size, width)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_negative_zero() {
        assert_eq!(n(1.0), "1");
        assert_eq!(n(-0.001), "0");
        assert_eq!(n(2.345), "2.35");
        assert_eq!(n(f64::NAN), "0");
    }

    #[test]
    fn a_fitted_text_fits() {
        for width in [6.0, 10.0, 30.0] {
            let text = fitted("north roof upper row", 3.2, width);
            assert!(text_width(&text, 3.2) <= width, "{text}");
        }
    }

    #[test]
    fn hatching_stays_inside_its_rectangle() {
        for rising in [true, false] {
            let mut d = String::new();
            hatch(&mut d, Area::new(10.0, 20.0, 5.0, 3.0), 1.0, rising);
            assert!(!d.is_empty());
            for part in d.split(['M', 'L']).filter(|p| !p.is_empty()) {
                let (x, y) = part.split_once(' ').expect("points are pairs");
                let (x, y): (f64, f64) = (x.parse().expect("number"), y.parse().expect("number"));
                assert!((9.99..=15.01).contains(&x) && (19.99..=23.01).contains(&y), "{x} {y}");
            }
        }
    }
}
