//! Houses and trees near a plane: the part of it that they shade, hour by hour, and the sky they take.

use crate::horizon::{BAND_DEG, Horizon, SeenSky, light_above};
use crate::near_shade::NearShade;
use crate::plane::{Direction, Plane};
use crate::rows::Rows;
use crate::series::{SeriesError, in_range, same_length};
use crate::shadow::{Screen, Shadow, shadow_on};

/// Share of the light that passes a bare deciduous crown, where the owner states nothing.
///
/// Crowns without leaves stop 30 to 50 % of the sun by their branches. Source: Heisler, Energy and Buildings 9 (1986),
/// tree shade on houses; from memory.
pub const ASSUMED_BARE_CROWN_PASSES: f64 = 0.6;

/// The same for a crown in leaf: 10 to 20 % passes. Source as above; from memory.
pub const ASSUMED_LEAFY_CROWN_PASSES: f64 = 0.15;

/// A house or a tree: an upright box whose near face stands across the line of sight from the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Obstacle {
    /// Bearing of its middle from the middle of the plane's lower edge, degrees clockwise from true north.
    pub bearing_deg: f64,
    /// Half the angle that it takes of the horizon, degrees, above 0 and at most 85.
    pub half_span_deg: f64,
    /// Level distance to its near face, m, above 0.
    pub distance_m: f64,
    /// How far it reaches back from its near face, m; 0 for a wall.
    pub depth_m: f64,
    /// Height of its top, m, above the same ground as [`Stand::lower_edge_m`].
    pub height_m: f64,
    /// Share of the light that passes it in each month, January first, 0..=1; all zero for a building.
    pub passes: [f64; 12],
}

impl Obstacle {
    /// A building by its middle, its width across the line of sight, its distance and its height.
    #[must_use]
    pub fn building(bearing_deg: f64, width_m: f64, distance_m: f64, height_m: f64) -> Self {
        let half_span_deg = libm::atan2(0.5 * width_m, distance_m).to_degrees();
        Self { bearing_deg, half_span_deg, distance_m, depth_m: 0.0, height_m, passes: [0.0; 12] }
    }

    /// A building that reaches from one bearing clockwise to another.
    #[must_use]
    pub fn building_between(from_deg: f64, to_deg: f64, distance_m: f64, height_m: f64) -> Self {
        let span = (to_deg - from_deg).rem_euclid(360.0);
        let bearing_deg = (from_deg + 0.5 * span).rem_euclid(360.0);
        let half_span_deg = 0.5 * span;
        Self { bearing_deg, half_span_deg, distance_m, depth_m: 0.0, height_m, passes: [0.0; 12] }
    }

    /// The same as a box that reaches so far back from its near face, m. From the middle of the lower edge it looks the
    /// same; from the plane's ends one sees its sides.
    #[must_use]
    pub fn reaching_back(self, depth_m: f64) -> Self {
        Self { depth_m, ..self }
    }

    /// The same box as a tree: `leafless` months (January first) pass the share `bare`, the others the share `leafy`.
    #[must_use]
    pub fn as_tree(self, leafless: &[bool; 12], bare: f64, leafy: f64) -> Self {
        Self { passes: leafless.map(|without| if without { bare } else { leafy }), ..self }
    }

    fn check(&self, index: usize) -> Result<(), SeriesError> {
        in_range("bearing of an obstacle", index, self.bearing_deg, -360.0, 360.0)?;
        // Wider than this, one flat face is no picture of it: state two.
        in_range("half the span of an obstacle", index, self.half_span_deg, 1e-6, 85.0)?;
        in_range("distance of an obstacle", index, self.distance_m, 0.01, 1e5)?;
        in_range("depth of an obstacle", index, self.depth_m, 0.0, 1e4)?;
        in_range("height of an obstacle", index, self.height_m, 0.0, 1e4)?;
        self.passes
            .iter()
            .try_for_each(|share| in_range("share that passes an obstacle", index, *share, 0.0, 1.0))
    }

    /// Angle of a bearing from the middle, degrees, within its span; none outside.
    fn within(&self, bearing_deg: f64) -> Option<f64> {
        let turned = (bearing_deg - self.bearing_deg + 180.0).rem_euclid(360.0) - 180.0;
        (turned.abs() <= self.half_span_deg).then_some(turned)
    }

    /// Elevation of its top at a bearing, degrees, from the point `up` (0 lower edge, 1 top) of the slant; 0 where it does
    /// not stand in that bearing or the point looks over it.
    #[must_use]
    pub fn elevation_deg(&self, stand: &Stand, up: f64, bearing_deg: f64) -> f64 {
        let Some(turned) = self.within(bearing_deg) else { return 0.0 };
        let rise_m = self.height_m - stand.lower_edge_m - up * stand.rise_m();
        let level_m = (self.distance_m + up * stand.retreat_m(self.bearing_deg)).max(1e-3);
        libm::atan2(rise_m.max(0.0) * libm::cos(turned.to_radians()), level_m).to_degrees()
    }

    /// Half the width of its near face, m.
    #[must_use]
    pub fn half_width_m(&self) -> f64 {
        self.distance_m * libm::tan(self.half_span_deg.to_radians())
    }
}

/// How a plane stands among its obstacles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// The plane.
    pub plane: Plane,
    /// Height of its lower edge, m, above the ground from which obstacles are measured.
    pub lower_edge_m: f64,
    /// Its length up the slope, m.
    pub slant_m: f64,
    /// Its length across the slope, m; bearings of obstacles are taken from the middle of it.
    pub width_m: f64,
}

impl Stand {
    /// How much higher the top is than the lower edge, m.
    pub(crate) fn rise_m(&self) -> f64 {
        self.slant_m * self.plane.tilt_sine()
    }

    /// How much farther from an obstacle in this bearing the top is than the lower edge, m.
    fn retreat_m(&self, bearing_deg: f64) -> f64 {
        self.slant_m
            * self.plane.tilt_cosine()
            * libm::cos((self.plane.azimuth_deg() - bearing_deg).to_radians())
    }
}

/// Everything that stands around a plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Surroundings {
    horizon: Option<Horizon>,
    obstacles: Vec<Obstacle>,
}

impl Surroundings {
    /// A far horizon (none is a level one) and near obstacles.
    ///
    /// # Errors
    /// `SeriesError` for an obstacle out of range; its place in the list is the step.
    pub fn new(horizon: Option<Horizon>, obstacles: Vec<Obstacle>) -> Result<Self, SeriesError> {
        obstacles.iter().enumerate().try_for_each(|(index, obstacle)| obstacle.check(index))?;
        Ok(Self { horizon, obstacles })
    }

    /// Elevation of everything through which no light at all passes in a month (0 to 11), at a bearing, degrees, from
    /// the middle of the slant: what a drawing of the sky shows as a solid line.
    #[must_use]
    pub fn solid_elevation_deg(&self, stand: &Stand, month: usize, bearing_deg: f64) -> f64 {
        self.lines(stand, month, bearing_deg)
            .filter(|(_, passes)| *passes <= 0.0)
            .fold(0.0, |highest: f64, (elevation, _)| highest.max(elevation))
    }

    fn lines(&self, stand: &Stand, month: usize, bearing_deg: f64) -> impl Iterator<Item = (f64, f64)> {
        let far = self.horizon.iter().map(move |horizon| (horizon.elevation_deg(bearing_deg), 0.0));
        let near = self.obstacles.iter().map(move |obstacle| {
            (obstacle.elevation_deg(stand, 0.5, bearing_deg), obstacle.passes[month.min(11)])
        });
        far.chain(near)
    }

    /// What is left of even sky and horizon band in a month (0 to 11), seen from the middle of the slant.
    ///
    /// As [`Horizon::seen_sky`], with light that passes trees.
    #[must_use]
    pub fn seen_sky(&self, stand: &Stand, month: usize) -> SeenSky {
        let plane = &stand.plane;
        let (mut open, mut seen, mut band, mut band_seen) = (0.0, 0.0, 0.0, 0.0);
        let mut lines: Vec<(f64, f64)> = Vec::with_capacity(self.obstacles.len() + 1);
        for index in 0..720_u32 {
            let bearing_deg = 0.5 * f64::from(index) + 0.25;
            let level = plane.tilt_sine() * libm::cos((bearing_deg - plane.azimuth_deg()).to_radians());
            let upright = plane.tilt_cosine();
            lines.clear();
            lines.extend(self.lines(stand, month, bearing_deg).filter(|(elevation, _)| *elevation > 0.0));
            // From the sky downwards: below each line the light is what passes it and all that stand above.
            lines.sort_by(|a, b| b.0.total_cmp(&a.0));
            let whole = light_above(level, upright, 0.0);
            let weight = level.max(0.0);
            open += whole;
            band += weight;
            let (mut above, mut passing, mut above_band) = (0.0, 1.0, 0.0);
            for (elevation_deg, passes) in &lines {
                let light = light_above(level, upright, elevation_deg.to_radians());
                let of_band = (1.0 - elevation_deg / BAND_DEG).max(0.0);
                seen += passing * (light - above);
                band_seen += weight * passing * (of_band - above_band);
                (above, above_band) = (light, of_band);
                passing *= passes;
            }
            seen += passing * (whole - above);
            band_seen += weight * passing * (1.0 - above_band);
        }
        let share = |part: f64, whole: f64| if whole > 1e-9 { (part / whole).clamp(0.0, 1.0) } else { 1.0 };
        SeenSky { sky: share(seen, open), horizon: share(band_seen, band) }
    }

    /// The shade of horizon, obstacles and the row before (`rows`; none for a single or the first row) on a plane, for
    /// consecutive steps with the sun at their middles; `month_of_step` holds 1..=12.
    ///
    /// Within a step the sun is taken at four places between its neighbours' positions, so that an edge that passes in
    /// the hour shades the part of the hour it should. Obstacles shade the part of the plane on which their shadow falls,
    /// across it and up it; rows are long, so that theirs is as wide as the plane. The sky that obstacles take is that of
    /// the middle of the plane; rows and obstacles take their shares of the even sky one after the other, and light from
    /// the ground is left whole.
    ///
    /// # Errors
    /// `SeriesError` for unequal lengths, angles or months out of range, or a stand out of range.
    pub fn shade(
        &self,
        stand: &Stand,
        rows: Option<&Rows>,
        zenith_deg: &[f64],
        azimuth_deg: &[f64],
        month_of_step: &[u8],
    ) -> Result<NearShade, SeriesError> {
        let steps = zenith_deg.len();
        same_length("sun azimuth", azimuth_deg.len(), steps)?;
        same_length("month of the step", month_of_step.len(), steps)?;
        in_range("height of the lower edge", 0, stand.lower_edge_m, -1e3, 1e4)?;
        in_range("slant length", 0, stand.slant_m, 1e-3, 1e3)?;
        in_range("width of the plane", 0, stand.width_m, 1e-3, 1e4)?;
        let mut suns = Vec::with_capacity(steps);
        for step in 0..steps {
            in_range("zenith angle", step, zenith_deg[step], 0.0, 180.0)?;
            in_range("sun azimuth", step, azimuth_deg[step], -360.0, 360.0)?;
            in_range("month of the step", step, f64::from(month_of_step[step]), 1.0, 12.0)?;
            suns.push(Direction::from_angles(zenith_deg[step], azimuth_deg[step]));
        }
        let mut shade = NearShade { width_m: stand.width_m, ..NearShade::open(month_of_step.to_vec()) };
        for step in 0..steps {
            if suns[step].up <= 0.0 {
                continue;
            }
            let month = usize::from(month_of_step[step]) - 1;
            let mut parts = Parts::default();
            for part in [-0.375, -0.125, 0.125, 0.375_f64] {
                let next = if part < 0.0 { step.saturating_sub(1) } else { (step + 1).min(steps - 1) };
                let sun = between(suns[step], suns[next], part.abs());
                if sun.up > 0.0 {
                    parts.add(self.at(stand, rows, sun, month));
                }
            }
            // A sun that only the middle of a short step shows.
            if parts.count == 0 {
                parts.add(self.at(stand, rows, suns[step], month));
            }
            parts.write(&mut shade, step, stand.width_m);
        }
        let (row_sky, row_band) = rows.map_or((1.0, 1.0), |rows| (rows.seen_sky(), rows.seen_band(BAND_DEG)));
        for month in 0..12 {
            // Months with the same crowns see the same sky.
            let same = (0..month)
                .find(|earlier| self.obstacles.iter().all(|o| o.passes[*earlier] == o.passes[month]));
            (shade.sky[month], shade.horizon[month]) = match same {
                Some(earlier) => (shade.sky[earlier], shade.horizon[earlier]),
                None => {
                    let seen = self.seen_sky(stand, month);
                    (seen.sky * row_sky, seen.horizon * row_band)
                }
            };
        }
        Ok(shade)
    }

    /// What lies on the plane for one place of the sun; `None` while the far horizon hides it.
    fn at(&self, stand: &Stand, rows: Option<&Rows>, sun: Direction, month: usize) -> Option<OfPart> {
        let altitude_deg = libm::asin(sun.up.clamp(-1.0, 1.0)).to_degrees();
        let azimuth_deg = libm::atan2(sun.east, sun.north).to_degrees();
        let far = self.horizon.as_ref().is_none_or(|h| h.shows_sun(90.0 - altitude_deg, azimuth_deg));
        if !far {
            return None;
        }
        let mut part = OfPart::default();
        // No beam falls on the face of a plane that is turned away.
        if stand.plane.incidence_cosine(sun) <= 0.0 {
            return Some(part);
        }
        part.from_below = rows.map_or(0.0, |rows| rows.shaded_share(90.0 - altitude_deg, azimuth_deg));
        for obstacle in &self.obstacles {
            let corners = shadow_on(stand, obstacle, sun);
            if corners.len() > 2 {
                part.screens.push(Screen { corners, passes: obstacle.passes[month] });
            }
        }
        Some(part)
    }
}

/// What lies on the plane for one place of the sun.
#[derive(Default)]
struct OfPart {
    from_below: f64,
    screens: Vec<Screen>,
}

/// The parts of one step.
#[derive(Default)]
struct Parts {
    count: u32,
    shown: Vec<OfPart>,
}

impl Parts {
    fn add(&mut self, part: Option<OfPart>) {
        self.count += 1;
        self.shown.extend(part);
    }

    fn write(self, shade: &mut NearShade, step: usize, width_m: f64) {
        let shown = self.shown.len() as f64;
        shade.shown[step] = shown / f64::from(self.count);
        let (mut in_shade, mut shaded, mut passed) = (0.0, 0.0, 0.0);
        for OfPart { from_below, screens } in self.shown {
            let shadow = Shadow { step, share: 1.0 / shown, from_below, screens };
            let (area, through) = shadow.shaded_area(width_m);
            if area > 0.0 {
                in_shade += 1.0;
                shaded += area;
                passed += through;
                shade.shadows.push(shadow);
            }
        }
        if in_shade > 0.0 {
            shade.during[step] = in_shade / shown;
            shade.shaded[step] = shaded / in_shade;
            shade.passes[step] = (passed / shaded).clamp(0.0, 1.0);
        }
    }
}

/// A direction part of the way to another, as the chord goes: within 0.1° of the arc for suns an hour apart.
fn between(from: Direction, to: Direction, part: f64) -> Direction {
    let mix = |a: f64, b: f64| a + (b - a) * part;
    let (east, north, up) = (mix(from.east, to.east), mix(from.north, to.north), mix(from.up, to.up));
    let length = (east * east + north * north + up * up).sqrt().max(1e-12);
    Direction { east: east / length, north: north / length, up: up / length }
}
