//! Drawings as SVG: inline for a page, whose style sheet colours the classes, and with plain colours for print.

use super::palette::{Faces, print_rules};
use super::pen::{LEGIBLE, n};
use super::{Anchor, Drawing, Shape};
use std::fmt::Write;

/// CSS pixels in a millimetre: the user unit of every SVG written here is a pixel, so that no renderer's
/// least letter size interferes with texts given in millimetres.
pub const PIXELS_PER_MM: f64 = 96.0 / 25.4;

/// SVG for a page: classes only, named for screen readers.
///
/// `id` must be unique on the page. `width` is the natural width; a page lets wide drawings scroll or shows the phone form
/// instead of shrinking them, so that letters keep their size.
pub fn inline(drawing: &Drawing, id: &str, title: &str, describes: &str) -> String {
    let mut out = String::new();
    let id = escaped(id);
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"fig\" id=\"{id}\" {} role=\"img\" aria-labelledby=\"{id}-title {id}-desc\"><title id=\"{id}-title\">{}</title><desc id=\"{id}-desc\">{}</desc>",
        frame(drawing),
        escaped(title),
        escaped(describes)
    );
    shapes(&mut out, drawing);
    out.push_str("</svg>");
    out
}

/// SVG that stands alone, in plain colours and the usual faces.
pub fn print(drawing: &Drawing) -> String {
    print_in(drawing, &Faces::default())
}

/// SVG for a file of its own: as [`print()`], on white paper with a margin, so that a viewer with a dark ground shows it too.
pub fn file(drawing: &Drawing) -> String {
    const MARGIN: f64 = 12.0;
    let (width, height) = (drawing.width * PIXELS_PER_MM, drawing.height * PIXELS_PER_MM);
    let (w, h) = (n(width + 2.0 * MARGIN), n(height + 2.0 * MARGIN));
    let m = n(-MARGIN);
    let inner = print(drawing);
    let body = inner.split_once('>').map_or("", |(_, rest)| rest);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"{m} {m} {w} {h}\"><rect x=\"{m}\" y=\"{m}\" width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>{body}"
    )
}

/// SVG that stands alone, in plain colours and the faces given.
pub fn print_in(drawing: &Drawing, faces: &Faces) -> String {
    let mut classes: Vec<&str> = Vec::new();
    for shape in &drawing.shapes {
        let (Shape::Path { class, .. } | Shape::Text { class, .. }) = shape;
        if !classes.contains(class) {
            classes.push(class);
        }
    }
    let mut out = String::new();
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" {}><style>{}</style>",
        frame(drawing),
        escaped(&print_rules(&classes, faces))
    );
    shapes(&mut out, drawing);
    out.push_str("</svg>");
    out
}

fn frame(drawing: &Drawing) -> String {
    let (width, height) = (n(drawing.width * PIXELS_PER_MM), n(drawing.height * PIXELS_PER_MM));
    format!("width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\"")
}

fn shapes(out: &mut String, drawing: &Drawing) {
    let mut scaled = false;
    for shape in &drawing.shapes {
        match shape {
            Shape::Path { d, class, of, title } => {
                if !scaled {
                    let _ = write!(out, "<g transform=\"scale({PIXELS_PER_MM:.5})\">");
                    scaled = true;
                }
                let _ = write!(out, "<path class=\"{class}\"{} d=\"{}\"", data_of(of), escaped(d));
                if title.is_empty() {
                    out.push_str("/>");
                } else {
                    let _ = write!(out, "><title>{}</title></path>", escaped(title));
                }
            }
            Shape::Text { x, y, size, anchor, class, of, text } => {
                if scaled {
                    out.push_str("</g>");
                    scaled = false;
                }
                let lean = match anchor {
                    Anchor::Start => "",
                    Anchor::Middle => " text-anchor=\"middle\"",
                    Anchor::End => " text-anchor=\"end\"",
                };
                let _ = write!(
                    out,
                    "<text class=\"{class}\" x=\"{}\" y=\"{}\" font-size=\"{}\"{lean}{}>{}</text>",
                    n(x * PIXELS_PER_MM),
                    n(y * PIXELS_PER_MM),
                    n(size.max(LEGIBLE) * PIXELS_PER_MM),
                    data_of(of),
                    escaped(text)
                );
            }
        }
    }
    if scaled {
        out.push_str("</g>");
    }
}

fn data_of(of: &str) -> String {
    if of.is_empty() { String::new() } else { format!(" data-of=\"{}\"", escaped(of)) }
}

/// Text for XML; characters that XML cannot hold become the replacement character.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn awkward() -> Drawing {
        Drawing {
            width: 10.0,
            height: 5.0,
            shapes: vec![
                Shape::Path {
                    d: "M0 0h1".into(),
                    class: "axis",
                    of: "a\"<&>".into(),
                    title: "x < y & z".into(),
                },
                Shape::Text {
                    x: 1.0,
                    y: 2.0,
                    size: 0.5,
                    anchor: Anchor::End,
                    class: "ax",
                    of: String::new(),
                    text: "\u{1}<b>&".into(),
                },
            ],
        }
    }

    #[test]
    fn names_with_angle_brackets_still_give_xml() {
        for text in [inline(&awkward(), "a&b", "<t>", "\"d\""), print(&awkward())] {
            let document = roxmltree::Document::parse(&text).unwrap();
            let path = document.descendants().find(|node| node.has_tag_name("path")).unwrap();
            assert_eq!(path.attribute("data-of"), Some("a\"<&>"));
        }
    }

    #[test]
    fn a_page_drawing_says_what_it_is() {
        let text = inline(&awkward(), "map", "Charge", "All hours");
        let document = roxmltree::Document::parse(&text).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        assert_eq!(root.attribute("aria-labelledby"), Some("map-title map-desc"));
        assert!(!text.contains("<style"), "classes only");
    }

    #[test]
    fn letters_are_never_set_below_legibility() {
        let text = print(&awkward());
        let document = roxmltree::Document::parse(&text).unwrap();
        let node = document.descendants().find(|node| node.has_tag_name("text")).unwrap();
        let size: f64 = node.attribute("font-size").unwrap().parse().unwrap();
        assert!(size >= LEGIBLE * PIXELS_PER_MM - 0.01);
    }
}
