//! Light on the backs of bifacial modules on open racks.
//!
//! The method is that of Marion, MacAlpine, Deline, Asgharzadeh, Toor, Riley, Stein & Hansen, "A Practical Irradiance
//! Model for Bifacial PV Modules", 44th IEEE Photovoltaic Specialists Conference 2017 (NREL/CP-5J00-67847), from memory:
//! the cross-section of infinitely long rows; each point of the back looks in 180 one-degree steps at sky, ground or
//! the front of the row behind, with view factor `(cos a − cos b)/2` for each step; ground in the shadow of a row gets
//! no beam and no circumsolar light, all ground gets the part of the even sky that the rows leave open. Simplified here:
//! the front of the row behind is taken as black (it throws back a few per cent of what it gets); light at a slant is
//! not reduced by the back's glass; posts and rails are left to a stated share of the caller.

use core::f64::consts::PI;

use crate::horizon::BAND_DEG;
use crate::plane::Plane;
use crate::rows::profile_angle_rad;
use crate::series::{SeriesError, in_range, same_length};
use crate::transposition::SkyYear;

/// A rack in the open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rack {
    /// Tilt, degrees, 0..=90.
    pub tilt_deg: f64,
    /// Where its front looks, degrees clockwise from true north.
    pub azimuth_deg: f64,
    /// Length up the slope, m.
    pub slant_m: f64,
    /// Height of the lower edge above the ground, m.
    pub clearance_m: f64,
    /// Distance from one lower edge to the next of many equal rows, m; none for a rack that stands alone.
    pub pitch_m: Option<f64>,
}

/// Strips of the slant over which the back is averaged.
const STRIPS: u32 = 12;
/// Profile angles of the sun for which the lit ground is kept: every half degree from 0 to 180.
const PROFILES: usize = 361;
/// Rows on either side whose shadows and masking are counted.
const NEIGHBOURS: i32 = 20;

/// What the back of a rack sees, independent of the weather.
#[derive(Debug, Clone, PartialEq)]
pub struct RearView {
    rear: Plane,
    azimuth_deg: f64,
    /// View factor of the open sky.
    sky: f64,
    /// Sum over the seen ground of view factor times the ground's own share of open sky.
    ground_sky: f64,
    /// View factor of the ground.
    ground: f64,
    /// Share of the horizon band behind that the row behind leaves.
    band: f64,
    /// View factor of ground in the sun, by profile angle.
    ground_lit: Vec<f64>,
    /// Share of the back in the sun, by profile angle.
    rear_lit: Vec<f64>,
}

#[derive(Clone, Copy)]
struct Point {
    x: f64,
    z: f64,
}

/// A row in the cross-section: x runs the way the fronts look, z up.
#[derive(Clone, Copy)]
struct Section {
    lower: Point,
    upper: Point,
}

impl Section {
    /// The angles, from level forwards over the zenith to level backwards, that the row takes of the sky of a point
    /// below or beside it; ends below the level are cut there.
    fn masks(&self, from: Point) -> (f64, f64) {
        let angle = |to: Point| {
            let (x, z) = (to.x - from.x, to.z - from.z);
            if z <= 0.0 { if x >= 0.0 { 0.0 } else { PI } } else { libm::atan2(z, x) }
        };
        let (a, b) = (angle(self.lower), angle(self.upper));
        (a.min(b), a.max(b))
    }

    /// Whether a ray from a point meets the row.
    fn met_by(&self, from: Point, along: Point) -> bool {
        let side = |to: Point| along.x * (to.z - from.z) - along.z * (to.x - from.x);
        let ahead = |to: Point| along.x * (to.x - from.x) + along.z * (to.z - from.z) > 0.0;
        side(self.lower) * side(self.upper) < 0.0 && (ahead(self.lower) || ahead(self.upper))
    }
}

impl RearView {
    /// What the back sees.
    ///
    /// # Errors
    /// `SeriesError` for a tilt outside 0..=90°, lengths that are none, or rows that overlap in plan.
    pub fn new(rack: &Rack) -> Result<Self, SeriesError> {
        in_range("tilt of the rack", 0, rack.tilt_deg, 0.0, 90.0)?;
        in_range("azimuth of the rack", 0, rack.azimuth_deg, -360.0, 360.0)?;
        in_range("slant length", 0, rack.slant_m, 0.01, 1e3)?;
        in_range("height of the lower edge", 0, rack.clearance_m, 0.0, 1e3)?;
        let (sine, cosine) = libm::sincos(rack.tilt_deg.to_radians());
        if let Some(pitch_m) = rack.pitch_m {
            in_range("distance of the rows", 0, pitch_m, rack.slant_m * cosine + 1e-6, 1e5)?;
        }
        let section = |shift_m: f64| Section {
            lower: Point { x: shift_m, z: rack.clearance_m },
            upper: Point { x: shift_m - rack.slant_m * cosine, z: rack.clearance_m + rack.slant_m * sine },
        };
        let rows: Vec<Section> = match rack.pitch_m {
            Some(pitch_m) => {
                (-NEIGHBOURS..=NEIGHBOURS).map(|row| section(f64::from(row) * pitch_m)).collect()
            }
            None => vec![section(0.0)],
        };
        let behind = rack.pitch_m.map(|pitch_m| section(-pitch_m));
        let mut view = Self {
            rear: Plane::new(rack.tilt_deg, rack.azimuth_deg)?.rear(),
            azimuth_deg: rack.azimuth_deg,
            sky: 0.0,
            ground_sky: 0.0,
            ground: 0.0,
            band: 0.0,
            ground_lit: vec![0.0; PROFILES],
            rear_lit: vec![0.0; PROFILES],
        };
        let strip_share = 1.0 / f64::from(STRIPS);
        for strip in 0..STRIPS {
            let up_m = rack.slant_m * (f64::from(strip) + 0.5) * strip_share;
            let from = Point { x: -up_m * cosine, z: rack.clearance_m + up_m * sine };
            for step in 0..180_u32 {
                let (low, high) = (f64::from(step).to_radians(), f64::from(step + 1).to_radians());
                let factor = 0.5 * (libm::cos(low) - libm::cos(high)) * strip_share;
                // From straight down the slope over the back's normal to straight up the slope.
                let (turn_sine, turn_cosine) = libm::sincos(0.5 * (low + high));
                let along = Point {
                    x: cosine * turn_cosine - sine * turn_sine,
                    z: -sine * turn_cosine - cosine * turn_sine,
                };
                if behind.is_some_and(|row| row.met_by(from, along)) {
                    continue;
                }
                if along.z >= 0.0 {
                    view.sky += factor;
                } else {
                    view.see_ground(&rows, Point { x: from.x - along.x * from.z / along.z, z: 0.0 }, factor);
                }
            }
            let masked = behind.map_or(0.0, |row| PI - row.masks(from).0);
            view.band += (1.0 - masked.to_degrees() / BAND_DEG).max(0.0) * strip_share;
            for (profile, lit) in view.rear_lit.iter_mut().enumerate() {
                let (up, forward) = libm::sincos(profile_of(profile));
                let open = !behind.is_some_and(|row| row.met_by(from, Point { x: forward, z: up }));
                *lit += f64::from(u8::from(open)) * strip_share;
            }
        }
        Ok(view)
    }

    fn see_ground(&mut self, rows: &[Section], at: Point, factor: f64) {
        let mut masks: Vec<(f64, f64)> = rows.iter().map(|row| row.masks(at)).collect();
        masks.sort_by(|a, b| a.0.total_cmp(&b.0));
        // What lies between the rows is open: Σ (cos a − cos b)/2 over the gaps.
        let (mut open, mut reached) = (0.0, 0.0_f64);
        for (from, to) in masks.iter().copied().chain([(PI, PI)]) {
            if from > reached {
                open += 0.5 * (libm::cos(reached) - libm::cos(from));
            }
            reached = reached.max(to);
        }
        self.ground += factor;
        self.ground_sky += factor * open;
        for (profile, lit) in self.ground_lit.iter_mut().enumerate() {
            let sun = profile_of(profile);
            if !masks.iter().any(|(from, to)| *from < sun && sun < *to) {
                *lit += factor;
            }
        }
    }

    /// View factors of the open sky, the ground and (the rest) the row behind.
    #[must_use]
    pub fn view_factors(&self) -> (f64, f64, f64) {
        (self.sky, self.ground, (1.0 - self.sky - self.ground).max(0.0))
    }

    /// Light on the back for every step of a year, W/m², a mean over the slant.
    #[must_use]
    pub fn rear_w_m2(&self, sky: &SkyYear) -> Vec<f64> {
        let mut rear = vec![0.0; sky.steps()];
        for hour in sky.lit() {
            let source = hour.sources();
            let even = source.even_w_m2;
            let level_beam = source.sun_normal_w_m2 * hour.sun.up.max(0.0);
            let mut light = even * self.sky + source.horizon_w_m2 * self.rear.tilt_sine() * self.band;
            let mut on_ground = even * self.ground_sky;
            if level_beam > 0.0 {
                let altitude_deg = libm::asin(hour.sun.up.clamp(-1.0, 1.0)).to_degrees();
                let azimuth_deg = libm::atan2(hour.sun.east, hour.sun.north).to_degrees();
                let profile = profile_angle_rad(altitude_deg, azimuth_deg - self.azimuth_deg);
                let cosine = self.rear.incidence_cosine(hour.sun).max(0.0);
                light += source.sun_normal_w_m2 * cosine * at_profile(&self.rear_lit, profile);
                on_ground += level_beam * at_profile(&self.ground_lit, profile);
            }
            // The ground throws back the same share of whatever reaches it.
            let open_ground = level_beam + even;
            if open_ground > 0.0 {
                light += source.reflected_w_m2 * on_ground / open_ground;
            }
            rear[hour.step] = light.max(0.0);
        }
        rear
    }
}

/// Adds the light on the back, times the module's bifaciality and what posts and rails leave (both 0..=1), to the light
/// on the cells.
///
/// # Errors
/// `SeriesError` for unequal lengths or shares outside 0..=1.
pub fn add_rear(
    cell_w_m2: &mut [f64],
    rear_w_m2: &[f64],
    bifaciality: f64,
    left_by_structure: f64,
) -> Result<(), SeriesError> {
    same_length("light on the back", rear_w_m2.len(), cell_w_m2.len())?;
    in_range("bifaciality", 0, bifaciality, 0.0, 1.0)?;
    in_range("share that posts and rails leave", 0, left_by_structure, 0.0, 1.0)?;
    for (step, (front, rear)) in cell_w_m2.iter_mut().zip(rear_w_m2).enumerate() {
        in_range("light on the back", step, *rear, 0.0, 2000.0)?;
        *front += rear * bifaciality * left_by_structure;
    }
    Ok(())
}

fn profile_of(index: usize) -> f64 {
    (0.5 * index as f64).to_radians()
}

fn at_profile(table: &[f64], profile_rad: f64) -> f64 {
    let place = (profile_rad.to_degrees() * 2.0).clamp(0.0, (PROFILES - 1) as f64);
    let below = (libm::floor(place) as usize).min(PROFILES - 2);
    table[below] + (table[below + 1] - table[below]) * (place - below as f64)
}
