//! Light of a year by tilt and bearing as lines of equal share of the best, on flat paper.

use super::charts::Form;
use super::pen::{Area, LABEL, Pen, n, rect, text_width};
use super::{Anchor, Drawing};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A grid of planes.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlaneGrid {
    /// Tilts, degrees, rising.
    pub tilts_deg: Vec<f64>,
    /// Bearings, degrees clockwise from true north, rising from 0 to below 360.
    pub bearings_deg: Vec<f64>,
    /// Share of the best, tilt by tilt.
    pub share: Vec<f64>,
    /// The best plane: bearing, tilt.
    pub best: Option<(f64, f64)>,
    /// Planes of the owner: name, bearing, tilt.
    pub own: Vec<(String, f64, f64)>,
    /// Bearing in the middle of the sheet.
    pub middle: f64,
}

/// Shares of the best at which a line is drawn.
const LINES: [f64; 6] = [0.99, 0.95, 0.90, 0.80, 0.70, 0.60];

/// Draws the grid with bearing across and tilt up.
pub fn plane_map(grid: &PlaneGrid, form: Form) -> Drawing {
    let left = text_width("90°", LABEL) + 2.0;
    let tall = if form == Form::Wide { 78.0 } else { 62.0 };
    let field = Area::new(left, 8.0, form.width() - left - 4.0, tall);
    let mut pen = Pen::new(form.width(), field.bottom() + 16.0);
    let px = |turned: f64| field.x + field.width * (turned + 180.0) / 360.0;
    let py = |tilt: f64| field.bottom() - field.height * tilt / 90.0;
    let turned = |bearing: f64| (bearing - grid.middle + 180.0).rem_euclid(360.0) - 180.0;
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, "tilt");
    for tilt in [0.0, 30.0, 60.0, 90.0] {
        pen.line("grid", field.x, py(tilt), field.right(), py(tilt));
        let text = format!("{tilt:.0}°");
        pen.text("ax", field.x - 1.4, py(tilt) + 0.36 * LABEL, LABEL, Anchor::End, &text);
    }
    let names = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let mut at = -180.0;
    while at <= 180.0 {
        let bearing = (at + grid.middle).rem_euclid(360.0);
        pen.line("grid", px(at), field.y, px(at), field.bottom());
        let name = names[((bearing / 45.0).round() as usize) % 8];
        pen.text("ax", px(at), field.bottom() + 4.6, LABEL, Anchor::Middle, name);
        at += 45.0;
    }
    let columns = columns(grid, &turned);
    let mut taken: Vec<(f64, f64)> =
        grid.own.iter().map(|(_, bearing, tilt)| (px(turned(*bearing)), py(*tilt))).collect();
    taken.extend(grid.best.map(|(bearing, tilt)| (px(turned(bearing)), py(tilt))));
    for level in LINES {
        let segments = contour(grid, &columns, level);
        let mut d = String::new();
        for chain in chains(&segments) {
            for (index, (x, tilt)) in chain.iter().enumerate() {
                let _ = write!(d, "{}{} {}", if index == 0 { 'M' } else { 'L' }, n(px(*x)), n(py(*tilt)));
            }
        }
        let percent = format!("{:.0} %", level * 100.0);
        let class = if level >= 0.95 { "curve-sun" } else { "axis" };
        pen.titled(class, d, "", &format!("{percent} of the best"));
        // One label for a line, at its steepest plane, clear of those before.
        let mut points: Vec<(f64, f64)> = segments.iter().map(|(a, _)| (px(a.0), py(a.1))).collect();
        points.sort_by(|a, b| a.1.total_cmp(&b.1));
        let half = text_width(&percent, LABEL) / 2.0;
        let free = |p: &&(f64, f64)| {
            p.0 - half > field.x
                && p.0 + half < field.right()
                && p.1 - LABEL > field.y
                && taken
                    .iter()
                    .all(|t| (t.0 - p.0).abs() > 2.0 * half + 6.0 || (t.1 - p.1).abs() > LABEL + 1.5)
        };
        if let Some((x, y)) = points.iter().find(free).copied() {
            let back = Area::new(x - half - 0.6, y - LABEL * 0.6, 2.0 * half + 1.2, LABEL * 1.2);
            pen.path("device-open", rect(back));
            pen.text("ax", x, y + 0.36 * LABEL, LABEL, Anchor::Middle, &percent);
            taken.push((x, y));
        }
    }
    let mut key = Vec::new();
    if let Some((bearing, tilt)) = grid.best {
        let (x, y) = (px(turned(bearing)), py(tilt));
        pen.titled("solid", super::one_line::circle(x, y, 1.3), "", "best plane");
        key.push(format!("dot: best, {tilt:.0}° towards {:.0}°", bearing.round().rem_euclid(360.0)));
    }
    for (index, (name, bearing, tilt)) in grid.own.iter().enumerate() {
        let (x, y) = (px(turned(*bearing)), py(*tilt));
        let d = format!(
            "M{} {}L{} {}M{} {}L{} {}",
            n(x - 1.6),
            n(y - 1.6),
            n(x + 1.6),
            n(y + 1.6),
            n(x - 1.6),
            n(y + 1.6),
            n(x + 1.6),
            n(y - 1.6)
        );
        pen.titled("brace", d, "", name);
        if grid.own.len() > 1 {
            let number = (index + 1).to_string();
            pen.text("value", x + 2.2, y - 1.2, LABEL, Anchor::Start, &number);
            key.push(format!("cross {number}: {name}"));
        } else {
            key.push(format!("cross: {name}"));
        }
    }
    key.push("lines: share of the best year".into());
    let text = super::pen::wrapped(&key.join("; "), LABEL, form.width(), 2);
    for (line, words) in text.iter().enumerate() {
        pen.text("ax", 0.0, field.bottom() + 10.0 + 5.0 * line as f64, LABEL, Anchor::Start, words);
    }
    pen.drawing
}

/// Columns of the grid from the left edge to the right: turned bearing and place in the row. The cut of the paper stands
/// on both sides.
fn columns(grid: &PlaneGrid, turned: &dyn Fn(f64) -> f64) -> Vec<(f64, usize)> {
    let mut all: Vec<(f64, usize)> =
        grid.bearings_deg.iter().enumerate().map(|(at, bearing)| (turned(*bearing), at)).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((first, at)) = all.first().copied() {
        all.push((first + 360.0, at));
    }
    all
}

type Point = (f64, f64);

/// Segments of one level by cells cut into two triangles each, so that no saddle is ambiguous.
fn contour(grid: &PlaneGrid, columns: &[(f64, usize)], level: f64) -> Vec<(Point, Point)> {
    let width = grid.bearings_deg.len();
    let value = |column: usize, row: usize| {
        grid.share.get(row * width + columns[column].1).copied().filter(|v| v.is_finite()).unwrap_or(0.0)
    };
    let mut segments = Vec::new();
    for row in 1..grid.tilts_deg.len() {
        for column in 1..columns.len() {
            let corner = |c: usize, r: usize| ((columns[c].0, grid.tilts_deg[r]), value(c, r));
            let (a, b) = (corner(column - 1, row - 1), corner(column, row - 1));
            let (c, d) = (corner(column, row), corner(column - 1, row));
            for triangle in [[a, b, c], [a, c, d]] {
                let mut crossings = Vec::new();
                for (from, to) in [(0, 1), (1, 2), (2, 0)] {
                    let ((p, u), (q, v)) = (triangle[from], triangle[to]);
                    if (u < level) != (v < level) {
                        let part = (level - u) / (v - u);
                        crossings.push((p.0 + (q.0 - p.0) * part, p.1 + (q.1 - p.1) * part));
                    }
                }
                if let [first, second] = crossings[..]
                    && first != second
                {
                    segments.push((first, second));
                }
            }
        }
    }
    segments
}

/// Joins segments into lines.
fn chains(segments: &[(Point, Point)]) -> Vec<Vec<Point>> {
    let key = |p: Point| ((p.0 * 1e4).round() as i64, (p.1 * 1e4).round() as i64);
    let mut ends: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, (a, b)) in segments.iter().enumerate() {
        ends.entry(key(*a)).or_default().push(index);
        ends.entry(key(*b)).or_default().push(index);
    }
    let mut used = vec![false; segments.len()];
    let mut all = Vec::new();
    // Open lines begin where only one segment ends; closed ones anywhere.
    let open = |index: &usize| {
        [segments[*index].0, segments[*index].1]
            .iter()
            .any(|p| ends.get(&key(*p)).is_some_and(|e| e.len() == 1))
    };
    let order: Vec<usize> = (0..segments.len()).filter(open).chain(0..segments.len()).collect();
    for start in order {
        if used[start] {
            continue;
        }
        used[start] = true;
        let (a, b) = segments[start];
        let alone = |p: Point| ends.get(&key(p)).is_some_and(|e| e.len() == 1);
        let mut chain = if alone(b) { vec![b, a] } else { vec![a, b] };
        while let Some(last) = chain.last().copied() {
            let next =
                ends.get(&key(last)).and_then(|list| list.iter().find(|index| !used[**index]).copied());
            let Some(next) = next else { break };
            used[next] = true;
            let (a, b) = segments[next];
            chain.push(if key(a) == key(last) { b } else { a });
        }
        all.push(chain);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cone_has_round_lines_of_the_right_size() {
        // Share falls by 1 % for each 4.5° of tilt from 45° and 18° of bearing from the middle: level 0.95 lies 22.5° off.
        let tilts: Vec<f64> = (0..=18).map(|i| f64::from(i) * 5.0).collect();
        let bearings: Vec<f64> = (0..36).map(|i| f64::from(i) * 10.0).collect();
        let mut share = Vec::new();
        for tilt in &tilts {
            for bearing in &bearings {
                share.push(1.0 - 0.01 * ((tilt - 45.0) / 4.5).hypot((bearing - 180.0) / 18.0));
            }
        }
        let grid = PlaneGrid {
            tilts_deg: tilts,
            bearings_deg: bearings,
            share,
            middle: 180.0,
            ..PlaneGrid::default()
        };
        let columns = columns(&grid, &|bearing| bearing - 180.0);
        let segments = contour(&grid, &columns, 0.95);
        assert!(segments.len() > 20);
        for (a, _) in &segments {
            let off = ((a.1 - 45.0) / 4.5).hypot(a.0 / 18.0);
            // Straight cuts of cells 5° by 10° stray by less than a tenth of a step of the level.
            assert!((off - 5.0).abs() < 0.12, "{off}");
        }
        let lines = chains(&segments);
        assert_eq!(lines.len(), 1, "one closed line");
        assert_eq!(lines.iter().map(Vec::len).sum::<usize>(), segments.len() + 1);
    }
}
