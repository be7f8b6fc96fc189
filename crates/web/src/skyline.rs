//! The horizon of a plane, drawn by hand over the way of the sun on page 3.
//!
//! As with a knob, drawing is the very edit that keeping would write. In addresses and forms a horizon is a line of text:
//! `90 12, 120 3` stands for 12° at bearing 90° and 3° at 120°.

use design::edit::{EditError, remove, set, source};
use quantity::{FieldPath, slug, units};
use std::fmt::Write;
use study::Study;

/// More points than a hand draws.
const MOST_POINTS: usize = 72;

/// Points of bearing and height, degrees.
type Points = Vec<(f64, f64)>;

/// The horizon of one plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Skyline {
    /// Name in addresses and forms, such as `horizon-barn-roof`.
    pub id: String,
    /// The plane's name.
    pub plane: String,
    /// The field of the design.
    pub field: FieldPath,
    /// Why what was asked for could not be taken; the design's own horizon is shown then.
    pub fault: Option<String>,
    stored: Points,
    drawn: Points,
}

impl Skyline {
    /// The points on the page, as they are typed.
    pub fn typed(&self) -> String {
        typed(&self.drawn)
    }

    /// The points in the design on disk, as they are typed.
    pub fn stored(&self) -> String {
        typed(&self.stored)
    }

    /// Whether it is drawn otherwise than in the design.
    pub fn is_moved(&self) -> bool {
        self.typed() != self.stored()
    }

    /// What is drawn against what is stored, in words.
    pub fn says(&self) -> String {
        let of = |points: &Points| match points.as_slice() {
            [] => "none".to_string(),
            points => {
                let top = points.iter().map(|point| point.1).fold(0.0, f64::max);
                format!("{} up to {}°", output::say::plural(points.len(), "point", "points"), number(top))
            }
        };
        format!("horizon of the {} {} → {}", self.plane, of(&self.stored), of(&self.drawn))
    }

    /// The design text with the drawn horizon.
    ///
    /// # Errors
    /// What the edit says; the text is then unchanged.
    pub fn set(&self, text: &str) -> Result<String, EditError> {
        if self.drawn.is_empty() {
            return match source(text, self.field.as_str()) {
                Some(_) => remove(text, self.field.as_str()),
                None => Ok(text.to_string()),
            };
        }
        let mut list = String::from("[\n");
        for (bearing, up) in &self.drawn {
            let _ = writeln!(list, "  {{ bearing = \"{}°\", up = \"{}°\" }},", number(*bearing), number(*up));
        }
        list.push(']');
        set(text, self.field.as_str(), &list, design::catalogue::TABLES)
    }
}

/// The horizons of all planes, as the design has them. One with a point that is not known is not drawn over.
pub(crate) fn skylines(study: &Study) -> Vec<Skyline> {
    let system = &study.design.system;
    system
        .sites
        .iter()
        .filter_map(|site| {
            let mut stored = Points::new();
            for (bearing, up) in &site.horizon {
                stored.push((bearing.value()?.degrees(), units::DEGREE_UNIT.of_si(up.si()?)));
            }
            Some(Skyline {
                id: format!("horizon-{}", slug(&site.plane)),
                plane: site.plane.to_string(),
                field: FieldPath::new(format!("plane.{}.horizon", site.plane)),
                fault: None,
                drawn: stored.clone(),
                stored,
            })
        })
        .collect()
}

/// Takes what was asked for from the names and values of an address or a form.
pub(crate) fn draw(pairs: &[(String, String)], lines: &mut [Skyline]) {
    for line in lines {
        let Some((_, text)) = pairs.iter().find(|(name, _)| *name == line.id) else { continue };
        match points(text) {
            // What stands in the file is not rounded by being looked at.
            Ok(drawn) if typed(&drawn) != line.stored() => line.drawn = drawn,
            Ok(_) => {}
            Err(why) => line.fault = Some(why),
        }
    }
}

fn points(text: &str) -> Result<Points, String> {
    let mut points = Points::new();
    let parts = text.split([',', ';', '\n', '\r']).map(str::trim).filter(|part| !part.is_empty());
    for part in parts {
        let short: String = part.chars().take(40).collect();
        let mut numbers = part.split([' ', ':', '°']).filter(|word| !word.is_empty()).map(str::parse::<f64>);
        let (Some(Ok(bearing)), Some(Ok(up)), None) = (numbers.next(), numbers.next(), numbers.next()) else {
            return Err(format!("\"{short}\" is not a bearing and a height"));
        };
        if !(0.0..360.0).contains(&bearing) || !(0.0..=90.0).contains(&up) {
            return Err(format!(
                "\"{short}\" lies outside bearings from 0 to under 360 and heights from 0 to 90"
            ));
        }
        points.push((hundredth(bearing) % 360.0, hundredth(up)));
    }
    if points.len() > MOST_POINTS {
        return Err(format!("more than {MOST_POINTS} points"));
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let Some(twice) = points.windows(2).find(|pair| pair[0].0 >= pair[1].0) {
        return Err(format!("two points at bearing {}", number(twice[0].0)));
    }
    Ok(points)
}

/// No horizon is measured more closely.
fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn number(value: f64) -> String {
    format!("{}", hundredth(value))
}

fn typed(points: &Points) -> String {
    let said: Vec<String> =
        points.iter().map(|(bearing, up)| format!("{} {}", number(*bearing), number(*up))).collect();
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_read_in_any_order_and_separators() {
        assert_eq!(points("120 3; 90:12.256\n 359.999 0"), Ok(vec![(0.0, 0.0), (90.0, 12.26), (120.0, 3.0)]));
        assert_eq!(points("  "), Ok(vec![]));
        for bad in ["90", "90 12 3", "360 2", "-1 2", "10 91", "north 4", "10 NaN", "5 1, 5 2", "5 inf"] {
            assert!(points(bad).is_err(), "{bad}");
        }
        assert!(points(&(0..73).map(|at| format!("{at} 1,")).collect::<String>()).is_err());
    }
}
