//! Where the shadow of a box falls on a plane of modules: its outline across the plane and up its slope.
//!
//! A point is shaded when the ray from it towards the sun passes through the box. With the box's sides as limits on the
//! length of that ray, each limit is linear in the place on the plane; the ray meets the box where every lower limit lies
//! below every upper one. The shadow is therefore a convex polygon, found by cutting the plane's rectangle with those
//! lines. The geometry is that of shading planes in Duffie and Beckman, Solar Engineering of Thermal Processes, 4th ed.,
//! section 1.9, with the edges of the object in place of an overhang's. The sun is a point here: its disc softens an edge
//! over 1/107 of the distance, and something thinner than that is counted as if it took the whole sun.

use crate::obstacle::{Obstacle, Stand};
use crate::plane::Direction;

/// A place on a plane: metres from its middle line to the right, as one looks at the glass; share of the slant from the
/// lower edge.
pub type OnPlane = (f64, f64);

/// A value that is linear in the place on the plane.
#[derive(Clone, Copy)]
struct Linear {
    at_foot: f64,
    across: f64,
    up: f64,
}

impl Linear {
    fn at(&self, (across, up): OnPlane) -> f64 {
        self.at_foot + self.across * across + self.up * up
    }

    fn less(self, other: Self) -> Self {
        Self {
            at_foot: self.at_foot - other.at_foot,
            across: self.across - other.across,
            up: self.up - other.up,
        }
    }

    /// `(limit - self) / along`: how far a ray of that speed goes until it stands at the limit.
    fn until(self, limit: f64, along: f64) -> Self {
        Self { at_foot: (limit - self.at_foot) / along, across: -self.across / along, up: -self.up / along }
    }
}

const NOTHING: Linear = Linear { at_foot: 0.0, across: 0.0, up: 0.0 };

/// Corners of the part of the plane that an obstacle shades, in order around it; empty where it shades nothing.
#[must_use]
pub fn shadow_on(stand: &Stand, obstacle: &Obstacle, sun: Direction) -> Vec<OnPlane> {
    let half = 0.5 * stand.width_m;
    let mut corners = vec![(-half, 0.0), (half, 0.0), (half, 1.0), (-half, 1.0)];
    if sun.up <= 0.0 {
        return Vec::new();
    }
    let (bearing_sine, bearing_cosine) = libm::sincos(obstacle.bearing_deg.to_radians());
    let (turn_sine, turn_cosine) =
        libm::sincos((stand.plane.azimuth_deg() - obstacle.bearing_deg).to_radians());
    let back_m = stand.slant_m * stand.plane.tilt_cosine();
    // Sideways (clockwise), away and up, from the middle of the lower edge as one looks towards the obstacle.
    let aside = Linear { at_foot: 0.0, across: -turn_cosine, up: -back_m * turn_sine };
    let away = Linear { at_foot: 0.0, across: turn_sine, up: -back_m * turn_cosine };
    let height = Linear { at_foot: stand.lower_edge_m, across: 0.0, up: stand.rise_m() };
    let sun_aside = sun.east * bearing_cosine - sun.north * bearing_sine;
    let sun_away = sun.east * bearing_sine + sun.north * bearing_cosine;
    let half_width = obstacle.half_width_m();

    let mut lower = vec![NOTHING];
    let mut upper = vec![height.until(obstacle.height_m, sun.up)];
    for (place, speed, near, far) in [
        (aside, sun_aside, -half_width, half_width),
        (away, sun_away, obstacle.distance_m, obstacle.distance_m + obstacle.depth_m),
    ] {
        if speed.abs() > 1e-12 {
            let (first, last) = if speed > 0.0 { (near, far) } else { (far, near) };
            lower.push(place.until(first, speed));
            upper.push(place.until(last, speed));
        } else {
            // The ray runs along these two sides: the point itself must lie between them.
            corners = cut(&corners, place.less(Linear { at_foot: near, ..NOTHING }));
            corners = cut(&corners, Linear { at_foot: far, ..NOTHING }.less(place));
        }
    }
    for above in &upper {
        for below in &lower {
            if corners.is_empty() {
                return corners;
            }
            corners = cut(&corners, above.less(*below));
        }
    }
    corners
}

/// What of a convex polygon lies where a value is not below zero.
fn cut(corners: &[OnPlane], kept: Linear) -> Vec<OnPlane> {
    let mut left = Vec::with_capacity(corners.len() + 1);
    for (index, to) in corners.iter().enumerate() {
        let from = &corners[(index + corners.len() - 1) % corners.len()];
        let (at_from, at_to) = (kept.at(*from), kept.at(*to));
        if (at_from < 0.0) != (at_to < 0.0) {
            let part = at_from / (at_from - at_to);
            left.push((from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1)));
        }
        if at_to >= 0.0 {
            left.push(*to);
        }
    }
    left
}

/// Lowest and highest place up the slope of a shadow between two lines across the plane (m, the first the smaller);
/// `None` where it does not reach between them by more than a rounding.
#[must_use]
pub fn reach_between(corners: &[OnPlane], left_m: f64, right_m: f64) -> Option<(f64, f64)> {
    let hair = 1e-9 * (right_m - left_m);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut see = |(across, up): OnPlane| {
        (low, high) = (low.min(up), high.max(up));
        (first, last) = (first.min(across), last.max(across));
    };
    for (index, to) in corners.iter().enumerate() {
        let from = corners[(index + corners.len() - 1) % corners.len()];
        for line in [left_m, right_m] {
            if (from.0 < line) != (to.0 < line) {
                let part = (line - from.0) / (to.0 - from.0);
                see((line, from.1 + part * (to.1 - from.1)));
            }
        }
        if to.0 >= left_m && to.0 <= right_m {
            see(*to);
        }
    }
    (last - first > hair).then_some((low, high))
}

/// Where a shadow begins and ends up the slope on one line across the plane; `None` where it does not come there.
fn on_line(corners: &[OnPlane], line_m: f64) -> Option<(f64, f64)> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (index, to) in corners.iter().enumerate() {
        let from = corners[(index + corners.len() - 1) % corners.len()];
        if (from.0 < line_m) != (to.0 < line_m) {
            let part = (line_m - from.0) / (to.0 - from.0);
            let up = from.1 + part * (to.1 - from.1);
            (low, high) = (low.min(up), high.max(up));
        }
    }
    (high > low).then_some((low, high))
}

/// Something that shades part of a plane for a while.
#[derive(Debug, Clone, PartialEq)]
pub struct Screen {
    /// Its shadow, as from [`shadow_on`].
    pub corners: Vec<OnPlane>,
    /// Share of the beam that passes it, 0..=1.
    pub passes: f64,
}

/// The shade on a plane for one part of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Shadow {
    /// The step.
    pub step: usize,
    /// Share of the time in which the far horizon shows the sun in that step, 0..=1.
    pub share: f64,
    /// Share of the slant that the row before shades over the whole width, from the lower edge.
    pub from_below: f64,
    /// What else stands before the sun.
    pub screens: Vec<Screen>,
}

impl Shadow {
    /// Shaded share of the plane's area, and the share of it whose light passes all the same, `(shaded, passed)`.
    ///
    /// Between corners the shaded length of a line is linear across the plane, so that the line in the middle stands for
    /// its stretch; where outlines cross, four lines a stretch leave less than a hundredth of the stretch's area.
    #[must_use]
    pub fn shaded_area(&self, width_m: f64) -> (f64, f64) {
        if self.screens.is_empty() {
            return (self.from_below, 0.0);
        }
        let half = 0.5 * width_m;
        let mut stops = vec![-half, half];
        stops.extend(self.screens.iter().flat_map(|screen| screen.corners.iter().map(|corner| corner.0)));
        stops.sort_by(f64::total_cmp);
        let alone = self.screens.len() == 1 && self.from_below <= 0.0;
        let lines: u32 = if alone { 1 } else { 4 };
        let (mut shaded, mut passed) = (0.0, 0.0);
        let mut bars: Vec<(f64, f64, f64)> = Vec::with_capacity(self.screens.len() + 1);
        for pair in stops.windows(2) {
            let step_m = (pair[1] - pair[0]) / f64::from(lines);
            if step_m <= 1e-12 * width_m {
                continue;
            }
            for line in 0..lines {
                let line_m = pair[0] + (f64::from(line) + 0.5) * step_m;
                bars.clear();
                if self.from_below > 0.0 {
                    bars.push((0.0, self.from_below, 0.0));
                }
                bars.extend(self.screens.iter().filter_map(|screen| {
                    on_line(&screen.corners, line_m).map(|(low, high)| (low, high, screen.passes))
                }));
                let (of_line, through) = over_one_another(&bars);
                shaded += step_m * of_line;
                passed += step_m * through;
            }
        }
        ((shaded / width_m).clamp(0.0, 1.0), (passed / width_m).clamp(0.0, 1.0))
    }
}

/// Length covered by bars `(from, to, passes)`, and the same weighed by what passes all of those that lie over a place.
fn over_one_another(bars: &[(f64, f64, f64)]) -> (f64, f64) {
    if let [(low, high, passes)] = bars {
        return (high - low, passes * (high - low));
    }
    let mut ends: Vec<f64> = bars.iter().flat_map(|(low, high, _)| [*low, *high]).collect();
    ends.sort_by(f64::total_cmp);
    let (mut covered, mut passed) = (0.0, 0.0);
    for pair in ends.windows(2) {
        let middle = 0.5 * (pair[0] + pair[1]);
        let mut over = bars.iter().filter(|(low, high, _)| *low < middle && middle < *high).peekable();
        if over.peek().is_some() {
            covered += pair[1] - pair[0];
            passed += (pair[1] - pair[0]) * over.map(|(_, _, passes)| passes).product::<f64>();
        }
    }
    (covered, passed)
}
