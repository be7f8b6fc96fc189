//! The sun's way over the sky on flat paper: bearing across, height up; with the horizon and what stands near.

use super::charts::Form;
use super::pen::{Area, LABEL, Pen, n, text_width};
use super::{Anchor, Drawing};
use quantity::significant;
use std::fmt::Write;

/// A point of the sky: bearing clockwise from true north and height, degrees.
pub type SkyPoint = (f64, f64);

/// What a sun path shows.
#[derive(Clone, Debug, Default)]
pub struct SunPath {
    /// Days with their names, each a line of points in order of time.
    pub days: Vec<(String, Vec<SkyPoint>)>,
    /// The same hour of the clock through the year, with its name.
    pub hours: Vec<(String, Vec<SkyPoint>)>,
    /// The far horizon, bearings rising from 0 to 360; empty where it is level.
    pub horizon: Vec<SkyPoint>,
    /// Near obstacles with their names, as outlines from left to right.
    pub obstacles: Vec<(String, Vec<SkyPoint>)>,
    /// Bearing in the middle of the sheet: where the noon sun stands.
    pub middle: f64,
}

/// Where on its sheet a sun path lies and what its edges mean, so that a point can be read off it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SkyFrame {
    field: Area,
    /// Bearing in the middle, degrees clockwise from true north.
    pub middle_deg: f64,
    /// How far the sheet reaches to both sides of the middle, degrees.
    pub reach_deg: f64,
    /// Height at the upper edge, degrees; the lower edge is level.
    pub top_deg: f64,
}

impl SkyFrame {
    /// The sheet reaches as far to both sides as the longest day does.
    fn of(path: &SunPath, form: Form) -> SkyFrame {
        let lines = || path.days.iter().flat_map(|(_, points)| points.iter());
        let up = lines().filter(|(_, up)| *up > 0.0);
        let reach = up.map(|(bearing, _)| turned(path.middle, *bearing).abs()).fold(60.0, f64::max);
        let top = lines()
            .chain(&path.horizon)
            .chain(path.obstacles.iter().flat_map(|(_, points)| points.iter()))
            .map(|(_, up)| *up)
            .fold(20.0, f64::max);
        let left = text_width("90°", LABEL) + 2.0;
        let tall = if form == Form::Wide { 74.0 } else { 62.0 };
        SkyFrame {
            field: Area::new(left, 8.0, form.width() - left - 3.0, tall),
            middle_deg: path.middle,
            reach_deg: ((reach / 15.0).ceil() * 15.0 + 5.0).min(180.0),
            // Room above the highest line for its name.
            top_deg: (((top + 5.0) / 10.0).ceil() * 10.0).min(95.0),
        }
    }

    /// Left, right, upper and lower edge as shares of the drawing's width and height.
    #[must_use]
    pub fn shares(&self, drawing: &Drawing) -> [f64; 4] {
        let Area { x, y, .. } = self.field;
        let (wide, tall) = (drawing.width, drawing.height);
        [x / wide, self.field.right() / wide, y / tall, self.field.bottom() / tall]
    }
}

/// A bearing as degrees clockwise of the middle one, −180 to 180.
fn turned(middle: f64, bearing: f64) -> f64 {
    (bearing - middle + 180.0).rem_euclid(360.0) - 180.0
}

/// Draws the path, and says where on the drawing it lies.
pub fn sun_path(path: &SunPath, form: Form) -> (Drawing, SkyFrame) {
    let frame = SkyFrame::of(path, form);
    let SkyFrame { field, reach_deg: reach, top_deg: top, .. } = frame;
    let turned = |bearing: f64| turned(path.middle, bearing);
    let names: Vec<String> = key(path);
    let mut pen = Pen::new(form.width(), field.bottom() + 10.0 + 5.0 * names.len() as f64);
    let px = |bearing: f64| field.x + field.width * (turned(bearing) + reach) / (2.0 * reach);
    let py = |up: f64| field.bottom() - field.height * (up.clamp(0.0, top) / top);
    let step = if top > 50.0 { 20.0 } else { 10.0 };
    let mut up = 0.0;
    while up <= top + 1e-9 {
        pen.line("grid", field.x, py(up), field.right(), py(up));
        let text = format!("{}°", significant(up, 3));
        pen.text("ax", field.x - 1.4, py(up) + 0.36 * LABEL, LABEL, Anchor::End, &text);
        up += step;
    }
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, "height of the sun");
    // Areas first, so that paths stay legible over them.
    for (class, outline) in areas(path, reach) {
        let mut d = String::new();
        let ends = (outline.first().copied(), outline.last().copied());
        if let (Some(first), Some(last)) = ends {
            let x = |turned: f64| field.x + field.width * (turned + reach) / (2.0 * reach);
            let _ = write!(d, "M{} {}", n(x(first.0)), n(py(0.0)));
            for (turned, up) in &outline {
                let _ = write!(d, "L{} {}", n(x(*turned)), n(py(*up)));
            }
            let _ = write!(d, "L{} {}z", n(x(last.0)), n(py(0.0)));
        }
        pen.path(class, d);
    }
    let inside = |point: &SkyPoint| point.1 > 0.0 && turned(point.0).abs() <= reach;
    for (name, points) in &path.hours {
        pen.titled("grid", parted(points, &inside, &turned, &px, &py), "", name);
    }
    for (name, points) in &path.days {
        pen.titled("curve-sun", parted(points, &inside, &turned, &px, &py), "", name);
    }
    // Names of days stand at their highest points, of hours where they cross the longest day.
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut place = |pen: &mut Pen, class, x: f64, y: f64, text: &str| {
        let half = text_width(text, LABEL) / 2.0;
        let x = x.clamp(field.x + half, field.right() - half);
        let free = |at: &(f64, f64, f64)| (at.0 - x).abs() > at.2 + half + 2.0 || (at.1 - y).abs() > LABEL;
        if y > field.y + 1.0 && y < field.bottom() && taken.iter().all(free) {
            pen.text(class, x, y, LABEL, Anchor::Middle, text);
            taken.push((x, y, half));
        }
    };
    for (name, points) in &path.days {
        let highest = points.iter().filter(|p| inside(p)).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((bearing, up)) = highest {
            // A narrow drawing has no room for both days of a line between its neighbours.
            let name = if form == Form::Wide { name } else { name.split(',').next().unwrap_or(name) };
            place(&mut pen, "note", px(*bearing), py(*up) - 1.0, name);
        }
    }
    for (name, points) in &path.obstacles {
        let highest = points.iter().map(|point| point.1).fold(0.0, f64::max);
        if let Some((bearing, _)) = points.get(points.len() / 2).filter(|p| turned(p.0).abs() <= reach) {
            place(&mut pen, "ax", px(*bearing), py(highest) - 1.0, name);
        }
    }
    for (name, points) in &path.hours {
        let highest = points.iter().filter(|p| inside(p)).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((bearing, up)) = highest {
            // Outside the longest day, so that no line runs through the words.
            let aside = (text_width(name, LABEL) / 2.0 + 1.4) * turned(*bearing).signum();
            place(&mut pen, "ax", px(*bearing) + aside, py(*up), name);
        }
    }
    let mut bearing = -((reach / 45.0).floor() * 45.0);
    while bearing <= reach + 1e-9 {
        let true_bearing = (bearing + path.middle).rem_euclid(360.0);
        let x = field.x + field.width * (bearing + reach) / (2.0 * reach);
        pen.line("axis", x, field.bottom(), x, field.bottom() + 1.0);
        let name = compass(true_bearing, form);
        let half = text_width(&name, LABEL) / 2.0;
        let middle = x.clamp(half, form.width() - half);
        pen.text("ax", middle, field.bottom() + 4.6, LABEL, Anchor::Middle, &name);
        bearing += 45.0;
    }
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    for (line, name) in names.iter().enumerate() {
        pen.text("ax", field.x, field.bottom() + 10.0 + 5.0 * line as f64, LABEL, Anchor::Start, name);
    }
    (pen.drawing, frame)
}

fn key(path: &SunPath) -> Vec<String> {
    let mut lines = vec!["clock hours are standard time".to_string()];
    let down: Vec<&str> = path
        .days
        .iter()
        .filter(|(_, points)| points.iter().all(|(_, up)| *up <= 0.0))
        .map(|(name, _)| name.as_str())
        .collect();
    if !down.is_empty() {
        lines.push(format!("the sun stays down: {}", down.join("; ")));
    }
    let mut shown = Vec::new();
    if !path.horizon.is_empty() {
        shown.push("grey: horizon".to_string());
    }
    if !path.obstacles.is_empty() {
        let names: Vec<&str> = path.obstacles.iter().map(|(name, _)| name.as_str()).collect();
        shown.push(format!("darker: {}", names.join(", ")));
    }
    if !shown.is_empty() {
        lines.push(shown.join("; "));
    }
    lines
}

/// Horizon and obstacles as outlines over the turned bearing, cut at the edges of the sheet.
fn areas(path: &SunPath, reach: f64) -> Vec<(&'static str, Vec<SkyPoint>)> {
    let mut all = Vec::new();
    if !path.horizon.is_empty() {
        let elevation = |bearing: f64| between(&path.horizon, bearing);
        let steps = 180;
        let outline = (0..=steps)
            .map(|step| {
                let turned = reach * (2.0 * f64::from(step) / f64::from(steps) - 1.0);
                (turned, elevation((turned + path.middle).rem_euclid(360.0)))
            })
            .collect();
        all.push(("soft", outline));
    }
    for (_, points) in &path.obstacles {
        let outline: Vec<SkyPoint> = points
            .iter()
            .map(|(bearing, up)| (turned(path.middle, *bearing), *up))
            .filter(|(turned, _)| turned.abs() <= reach)
            .collect();
        // An obstacle across the cut of the paper is drawn in its two parts.
        let parts = outline.chunk_by(|a, b| (a.0 - b.0).abs() < 180.0).map(<[SkyPoint]>::to_vec);
        all.extend(parts.map(|part| ("plain", part)));
    }
    all
}

fn between(points: &[SkyPoint], bearing: f64) -> f64 {
    let count = points.len();
    let after = points.partition_point(|p| p.0 <= bearing);
    let (mut left, right) = (points[(after + count - 1) % count], points[after % count]);
    if left.0 > bearing {
        left.0 -= 360.0;
    }
    let width = (right.0 - left.0).rem_euclid(360.0);
    if width == 0.0 { left.1 } else { left.1 + (right.1 - left.1) * ((bearing - left.0) / width) }
}

/// A line that parts where it leaves the sheet, sets, or crosses the cut of the paper.
fn parted(
    points: &[SkyPoint],
    inside: &dyn Fn(&SkyPoint) -> bool,
    turned: &dyn Fn(f64) -> f64,
    px: &dyn Fn(f64) -> f64,
    py: &dyn Fn(f64) -> f64,
) -> String {
    let mut d = String::new();
    let mut before: Option<f64> = None;
    for point in points {
        if !inside(point) {
            before = None;
            continue;
        }
        let here = turned(point.0);
        let joined = before.is_some_and(|last| (last - here).abs() < 120.0);
        let _ = write!(d, "{}{} {}", if joined { 'L' } else { 'M' }, n(px(point.0)), n(py(point.1)));
        before = Some(here);
    }
    d
}

fn compass(bearing: f64, form: Form) -> String {
    let names = [
        ("north", "N"),
        ("north-east", "NE"),
        ("east", "E"),
        ("south-east", "SE"),
        ("south", "S"),
        ("south-west", "SW"),
        ("west", "W"),
        ("north-west", "NW"),
    ];
    let (long, short) = names[((bearing / 45.0).round() as usize) % 8];
    if form == Form::Wide { long.into() } else { short.into() }
}
