//! Shade that falls on part of a plane: what each part of it gets.

use crate::incidence::{DiffuseModifiers, IncidenceModel};
use crate::obstacle::Stand;
use crate::plane::Plane;
use crate::series::{SeriesError, in_range, same_length};
use crate::shadow::Shadow;
use crate::transposition::SkyYear;

/// Shade on a plane, one entry per step; made by [`crate::obstacle::Surroundings::shade`].
///
/// In a step the sun is shown by the far horizon for the share `shown`; of that time, for the share `during`, the share
/// `shaded` of the plane lies in the shade of near things, where the share `passes` of the beam still arrives. Where on
/// the plane that shade lies is in `shadows`.
#[derive(Debug, Clone, PartialEq)]
pub struct NearShade {
    /// Share of the step in which the far horizon shows the sun, 0..=1.
    pub shown: Vec<f64>,
    /// Share of that time in which anything near shades the plane, 0..=1.
    pub during: Vec<f64>,
    /// Share of the plane's area shaded then, 0..=1.
    pub shaded: Vec<f64>,
    /// Share of the beam that passes there, 0..=1.
    pub passes: Vec<f64>,
    /// The shade of every part of a step that has any, by step.
    pub shadows: Vec<Shadow>,
    /// Width of the plane on which the shadows lie, m.
    pub width_m: f64,
    /// Month of each step, 1..=12.
    pub month_of_step: Vec<u8>,
    /// Share of the even sky light left in each month.
    pub sky: [f64; 12],
    /// Share of the horizon band left in each month.
    pub horizon: [f64; 12],
}

impl NearShade {
    /// No shade at all.
    #[must_use]
    pub fn open(month_of_step: Vec<u8>) -> Self {
        let steps = month_of_step.len();
        Self {
            shown: vec![1.0; steps],
            during: vec![0.0; steps],
            shaded: vec![0.0; steps],
            passes: vec![1.0; steps],
            shadows: Vec::new(),
            width_m: 1.0,
            month_of_step,
            sky: [1.0; 12],
            horizon: [1.0; 12],
        }
    }

    /// Share of the beam that falls on the whole plane in each step, shade by area: what a picture of hours shows.
    #[must_use]
    pub fn beam_share(&self) -> Vec<f64> {
        (0..self.shown.len()).map(|step| self.shown[step] * (1.0 - self.lost_of_shown(step))).collect()
    }

    fn lost_of_shown(&self, step: usize) -> f64 {
        self.during[step] * self.shaded[step] * (1.0 - self.passes[step])
    }
}

/// A year on a plane in partial shade, one entry per step, W/m².
#[derive(Debug, Clone, PartialEq)]
pub struct ShadedPlaneYear {
    /// Mean over the plane of what falls on it, before the glass. Warms the cells.
    pub plane_w_m2: Vec<f64>,
    /// Light on the cells outside the near shade.
    pub cell_w_m2: Vec<f64>,
    /// Light on the cells inside it, while it is there; equal to `cell_w_m2` in steps without.
    pub shaded_cell_w_m2: Vec<f64>,
}

/// Light on the plane of `stand` over the year of `sky`, inside and outside the near shade.
///
/// # Errors
/// `SeriesError` when the shade does not fit the year or a share is outside 0..=1.
pub fn shaded_plane_year(
    sky: &SkyYear,
    plane: &Plane,
    glass: &IncidenceModel,
    shade: &NearShade,
) -> Result<ShadedPlaneYear, SeriesError> {
    refuse_bad_shade(shade, sky.steps())?;
    let modifiers = DiffuseModifiers::new(glass, plane);
    let dark = || vec![0.0; sky.steps()];
    let mut year = ShadedPlaneYear { plane_w_m2: dark(), cell_w_m2: dark(), shaded_cell_w_m2: dark() };
    for hour in sky.lit() {
        let step = hour.step;
        let month = usize::from(shade.month_of_step[step]) - 1;
        let cosine = plane.incidence_cosine(hour.sun);
        let parts = hour.on_plane_at(plane, cosine);
        let with_beam = |share: f64| {
            let mut left = parts;
            left.beam_w_m2 *= share;
            left.circumsolar_w_m2 *= share;
            left.sky_w_m2 *= shade.sky[month];
            // A band darker than the sky takes away no more than all of the diffuse light.
            left.horizon_w_m2 =
                (left.horizon_w_m2 * shade.horizon[month]).max(-(left.circumsolar_w_m2 + left.sky_w_m2));
            left
        };
        let behind_glass =
            |share: f64| modifiers.behind_glass(glass, &with_beam(share), cosine).total_w_m2().max(0.0);
        let shown = shade.shown[step];
        year.plane_w_m2[step] = with_beam(shown * (1.0 - shade.lost_of_shown(step))).total_w_m2().max(0.0);
        year.cell_w_m2[step] = behind_glass(shown);
        year.shaded_cell_w_m2[step] = if shade.during[step] > 0.0 {
            behind_glass(shown * shade.passes[step])
        } else {
            year.cell_w_m2[step]
        };
    }
    Ok(year)
}

pub(crate) fn refuse_bad_shade(shade: &NearShade, steps: usize) -> Result<(), SeriesError> {
    same_length("month of the step", shade.month_of_step.len(), steps)?;
    for (name, series) in [
        ("shown share of the sun", &shade.shown),
        ("share of the step in shade", &shade.during),
        ("shaded share of the plane", &shade.shaded),
        ("share that passes", &shade.passes),
    ] {
        same_length(name, series.len(), steps)?;
        for (step, share) in series.iter().enumerate() {
            in_range(name, step, *share, 0.0, 1.0)?;
        }
    }
    for (step, month) in shade.month_of_step.iter().enumerate() {
        in_range("month of the step", step, f64::from(*month), 1.0, 12.0)?;
    }
    for (month, share) in shade.sky.iter().chain(&shade.horizon).enumerate() {
        in_range("seen share of the sky", month % 12, *share, 0.0, 1.0)?;
    }
    Ok(())
}

pub(crate) fn refuse_bad_shadows(shade: &NearShade) -> Result<(), SeriesError> {
    in_range("width of the plane", 0, shade.width_m, 1e-3, 1e4)?;
    let steps = shade.month_of_step.len();
    let mut before = 0;
    for shadow in &shade.shadows {
        in_range("step of a shadow", shadow.step, shadow.step as f64, before as f64, steps as f64 - 1.0)?;
        before = shadow.step;
        in_range("time of a shadow", shadow.step, shadow.share, 0.0, 1.0)?;
        in_range("shade of the row before", shadow.step, shadow.from_below, 0.0, 1.0)?;
        for screen in &shadow.screens {
            in_range("share that passes", shadow.step, screen.passes, 0.0, 1.0)?;
            for (across, up) in &screen.corners {
                in_range("place of a shadow across", shadow.step, *across, -1e4, 1e4)?;
                in_range("place of a shadow up the slope", shadow.step, *up, -1e-6, 1.0 + 1e-6)?;
            }
        }
    }
    Ok(())
}

/// The stand of a plane that is small beside everything around it: a point at a height above the ground, m.
#[must_use]
pub fn point_stand(plane: Plane, height_m: f64) -> Stand {
    Stand { plane, lower_edge_m: height_m, slant_m: 0.01, width_m: 0.01 }
}
