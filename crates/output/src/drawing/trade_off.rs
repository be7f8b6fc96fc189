//! Cost against hardship: every system a dot, the front a line, the design as drawn a square.

use super::charts::{Form, upright_axis};
use super::pen::{Area, LABEL, Pen, n, rect, text_width};
use super::ticks::ticks;
use super::{Anchor, Drawing};
use quantity::significant;

/// One system of the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Dot {
    /// Across: cost, or size where prices are missing.
    pub across: f64,
    /// Up: hours or energy.
    pub up: f64,
    /// What it is, for those who point at it.
    pub says: String,
    /// How it is drawn.
    pub kind: DotKind,
}

/// How a system is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DotKind {
    /// One of many.
    Other,
    /// On the front; the number stands in the table.
    Front(usize),
    /// The best one that keeps the promise: its number in the table, and whether it lies on the front.
    Best(usize, bool),
    /// The design as drawn.
    Present,
}

/// The picture; `across` and `up` are the words on the axes.
pub fn trade_off(dots: &[Dot], across: &str, up: &str, form: Form) -> Drawing {
    let height = 78.0;
    let mut pen = Pen::new(form.width(), height);
    let top = dots.iter().map(|dot| dot.up).filter(|v| v.is_finite()).fold(0.0, f64::max);
    let field = upright_axis(&mut pen, &ticks(0.0, top, 4), up, height - 14.0);
    let rise = ticks(0.0, top, 4);
    let known = || dots.iter().map(|dot| dot.across).filter(|v| v.is_finite());
    let (least, most) = (known().fold(f64::INFINITY, f64::min), known().fold(f64::NEG_INFINITY, f64::max));
    let run = ticks(least, most, if form == Form::Wide { 6 } else { 3 });
    // Room at both ends, so that no dot and no label is cut.
    let inner = Area::new(field.x + 3.0, field.y, (field.width - 12.0).max(1.0), field.height);
    let x = |value: f64| inner.x + inner.width * run.share(value);
    let y = |value: f64| inner.bottom() - inner.height * rise.share(value);
    for value in &run.values {
        let text = significant(*value, 4);
        let half = text_width(&text, LABEL) / 2.0;
        let middle = x(*value).clamp(half, form.width() - half);
        pen.line("axis", x(*value), field.bottom(), x(*value), field.bottom() + 1.2);
        pen.text("ax", middle, field.bottom() + 5.0, LABEL, Anchor::Middle, &text);
    }
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    pen.text("ax", field.right(), height - 1.6, LABEL, Anchor::End, across);
    let mut line = String::new();
    let on_front = |dot: &&Dot| matches!(dot.kind, DotKind::Front(_) | DotKind::Best(_, true));
    let mut front: Vec<&Dot> = dots.iter().filter(on_front).collect();
    front.sort_by(|a, b| a.across.total_cmp(&b.across));
    for (k, dot) in front.iter().enumerate() {
        line.push_str(&format!("{}{} {}", if k == 0 { "M" } else { "L" }, n(x(dot.across)), n(y(dot.up))));
    }
    pen.path("curve-second", line);
    let rank = |dot: &Dot| match dot.kind {
        DotKind::Other => 0,
        DotKind::Front(_) => 1,
        DotKind::Present => 2,
        DotKind::Best(..) => 3,
    };
    let mut drawn: Vec<&Dot> = dots.iter().filter(|d| d.across.is_finite() && d.up.is_finite()).collect();
    drawn.sort_by_key(|dot| rank(dot));
    let mut last_label = f64::NEG_INFINITY;
    for dot in drawn {
        let (at_x, at_y) = (x(dot.across), y(dot.up));
        let (class, size) = match dot.kind {
            DotKind::Other => ("soft", 1.0),
            DotKind::Front(_) => ("solid", 1.6),
            DotKind::Best(..) => ("sun", 3.0),
            DotKind::Present => ("module", 2.8),
        };
        let square = Area::new(at_x - size / 2.0, at_y - size / 2.0, size, size);
        let of = match dot.kind {
            DotKind::Front(number) | DotKind::Best(number, _) => number.to_string(),
            DotKind::Other | DotKind::Present => String::new(),
        };
        pen.titled(class, rect(square), &of, &dot.says);
        if let DotKind::Front(number) | DotKind::Best(number, _) = dot.kind {
            // Labels that would lie on each other are left out; the table has them all.
            if at_x - last_label > 6.0 || matches!(dot.kind, DotKind::Best(..)) {
                pen.text("value", at_x + 2.0, at_y - 1.4, LABEL, Anchor::Start, &number.to_string());
                last_label = at_x;
            }
        }
    }
    pen.drawing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Shape;

    #[test]
    fn every_system_has_its_dot_on_the_sheet() {
        let dot = |across, up, kind| Dot { across, up, says: String::new(), kind };
        let dots = [
            dot(9000.0, 220.0, DotKind::Front(1)),
            dot(11_000.0, 80.0, DotKind::Best(2, true)),
            dot(12_000.0, 90.0, DotKind::Other),
            dot(15_000.0, 81.0, DotKind::Present),
            dot(f64::NAN, 3.0, DotKind::Other),
        ];
        for form in [Form::Wide, Form::Phone] {
            let drawing = trade_off(&dots, "cost", "hours", form);
            let squares = drawing.shapes.iter().filter(
                |s| matches!(s, Shape::Path { class, .. } if ["soft", "solid", "sun", "module"].contains(class)),
            );
            assert_eq!(squares.count(), 4);
            for shape in &drawing.shapes {
                if let Shape::Text { x, y, .. } = shape {
                    assert!((0.0..=drawing.width).contains(x) && (0.0..=drawing.height).contains(y));
                }
            }
        }
        assert!(!trade_off(&[], "cost", "hours", Form::Wide).shapes.is_empty());
    }
}
