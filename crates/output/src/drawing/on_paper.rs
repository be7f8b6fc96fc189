//! A one-line diagram with some of its switches opened on paper.

use super::{Drawing, Shape};

/// What is marked in the diagram, by the owner's names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OnPaper<'a> {
    /// Circuits whose conductors a source still reaches.
    pub reached: Vec<&'a str>,
    /// Circuits with a switch that is open.
    pub open: Vec<&'a str>,
    /// The equipment that is stood at; empty where there is none.
    pub here: &'a str,
}

/// Marks a diagram: a band under what is still reached, flags in ink where a switch is open, a heavy outline around the
/// equipment that is stood at. Nothing moves, so that the same place is found again.
pub fn on_paper(mut drawing: Drawing, marks: &OnPaper<'_>) -> Drawing {
    let mut bands = Vec::new();
    let mut first = None;
    for (at, shape) in drawing.shapes.iter_mut().enumerate() {
        match shape {
            Shape::Path { class, of, d, title } if class.starts_with("wire-") && !of.is_empty() => {
                first.get_or_insert(at);
                let reached = marks.reached.contains(&of.as_str());
                *title = format!("{of}: {}", if reached { "still reached" } else { "not reached on paper" });
                if reached && *class != "wire-split-core" {
                    bands.push(Shape::Path {
                        d: d.clone(),
                        class: "reached",
                        of: of.clone(),
                        title: title.clone(),
                    });
                }
            }
            Shape::Path { class, of, .. } if *class == "flag" && marks.open.contains(&of.as_str()) => {
                *class = "flag-open";
            }
            Shape::Text { class, of, .. } if *class == "flag-text" && marks.open.contains(&of.as_str()) => {
                *class = "flag-open-text";
            }
            Shape::Path { class, of, .. } if *class == "symbol" && !of.is_empty() && *of == marks.here => {
                *class = "symbol-here";
            }
            _ => {}
        }
    }
    let first = first.unwrap_or(drawing.shapes.len());
    drawing.shapes.splice(first..first, bands);
    drawing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Anchor;

    #[test]
    fn only_what_is_named_is_marked() {
        let path =
            |class, of: &str| Shape::Path { d: "M0 0h1".into(), class, of: of.into(), title: of.into() };
        let text = |of: &str| Shape::Text {
            x: 0.0,
            y: 0.0,
            size: 3.0,
            anchor: Anchor::Start,
            class: "flag-text",
            of: of.into(),
            text: of.into(),
        };
        let drawing = Drawing {
            width: 9.0,
            height: 9.0,
            shapes: vec![
                path("frame", ""),
                path("wire-dc", "a"),
                path("wire-split", "b"),
                path("wire-split-core", "b"),
                path("wire-ac", "c"),
                path("flag", "c"),
                text("c"),
                path("symbol", "panel"),
                path("wire-dc", ""),
            ],
        };
        let marks = OnPaper { reached: vec!["a", "b"], open: vec!["c"], here: "panel" };
        let classes: Vec<&str> = on_paper(drawing, &marks)
            .shapes
            .iter()
            .map(|shape| match shape {
                Shape::Path { class, .. } | Shape::Text { class, .. } => *class,
            })
            .collect();
        assert_eq!(
            classes,
            [
                "frame",
                "reached",
                "reached",
                "wire-dc",
                "wire-split",
                "wire-split-core",
                "wire-ac",
                "flag-open",
                "flag-open-text",
                "symbol-here",
                "wire-dc"
            ]
        );
    }
}
